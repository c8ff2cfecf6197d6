//! Helping people into their accounts: an administrator finds an account by its address, sends a link, ends sign-ins,
//! shuts and opens it. A second step that was lost is taken away by two administrators together. Nobody sees or sets
//! another person's password.

use chrono::NaiveDateTime;

use super::notices::{self, Notice};
use super::sign_in::{self, has_second_step};
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Role, RoleSet, Subject};
use crate::domain::ids::AccountId;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::Loss;
use crate::domain::words::{Email, full_name};
use crate::store::AnyConn;
use crate::store::accounts::{
    Addressee, count_open_with_role, find_addressee, find_by_reference, find_credentials, name_of, password_hash_of,
    reference_of, roles_of, set_disabled,
};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::second_steps::{find_loss, remove_authenticator, set_loss};
use crate::store::sign_ins::{ListedSignIn, end_sign_ins, list_sign_ins};

/// An account as administrators see it.
#[derive(Clone, Debug)]
pub struct Known {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// The address.
    pub email: String,
    /// What they do.
    pub roles: RoleSet,
    /// Since when it is shut.
    pub shut_since: Option<NaiveDateTime>,
    /// Whether a password was ever chosen.
    pub has_password: bool,
    /// Whether there is a second step.
    pub has_second_step: bool,
    /// The browsers that are signed in.
    pub sign_ins: Vec<ListedSignIn>,
    /// A loss that was told: by whom, and whether it was the caller.
    pub loss: Option<(String, bool)>,
    /// Whether it is the caller's own.
    pub own: bool,
}

/// The reference of the account with an address, if there is one.
pub fn find_by_email(app: &App, caller: &Caller, email: &Email) -> Result<Option<String>, Failure> {
    ask(caller, Action::RunAccounts, Subject::Program)?;
    app.store.read(|conn| -> Result<_, Failure> {
        match find_credentials(conn, email.as_str())? {
            Some(found) => Ok(Some(reference_of(conn, found.id)?)),
            None => Ok(None),
        }
    })
}

/// One account.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Known, Failure> {
    ask(caller, Action::RunAccounts, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let (id, person) = account(conn, reference)?;
        let loss = match open_loss(conn, id, now)? {
            Some(loss) => Some((name_of(conn, loss.asked_by)?, caller.account() == Some(loss.asked_by))),
            None => None,
        };
        Ok(Known {
            reference: reference.to_owned(),
            name: full_name(&person.given_name, &person.family_name),
            email: person.email,
            roles: roles_of(conn, id)?,
            shut_since: person.disabled_at,
            has_password: password_hash_of(conn, id)?.is_some(),
            has_second_step: has_second_step(conn, id)?,
            sign_ins: list_sign_ins(conn, id, now)?,
            loss,
            own: caller.account() == Some(id),
        })
    })
}

fn account(conn: &mut AnyConn, reference: &str) -> Result<(AccountId, Addressee), Failure> {
    let id = find_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
    Ok((id, find_addressee(conn, id)?.ok_or(Failure::NotFound)?))
}

fn open_loss(conn: &mut AnyConn, id: AccountId, now: NaiveDateTime) -> Result<Option<Loss>, Failure> {
    Ok(find_loss(conn, id)?.filter(|loss| loss.is_open(now)))
}

/// Sends a link to sign in to the account's own address.
pub fn send_link(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let known = find(app, caller, reference)?;
    sign_in::ask_link(app, &known.email, &caller.request)
}

/// What an administrator does to somebody else's account.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    /// End every sign-in.
    EndSignIns,
    /// Shut it: it opens nothing from the next request on.
    Shut,
    /// Open it again.
    Open,
    /// Tell that phone and codes are lost, or agree with who told.
    LoseSecondStep,
}

/// Does it.
///
/// # Errors
/// `LastAdministrator` when nobody could run the program afterwards; `AskedByYourself` when one administrator would do
/// the work of two.
pub fn act(app: &App, caller: &Caller, reference: &str, deed: Deed) -> Result<(), Failure> {
    ask(caller, Action::RunAccounts, Subject::Program)?;
    let who = caller.account().ok_or(Failure::NotAllowed)?;
    let (now, caller, reference) = (app.clock.now(), caller.clone(), reference.to_owned());
    let notice = notices::draw(app, Notice::SecondStepOff);
    app.store.write("act on account", move |conn| -> Result<(), Failure> {
        let (id, _) = account(conn, &reference)?;
        let action = match deed {
            Deed::EndSignIns => {
                end_sign_ins(conn, id, None, now)?;
                "account.end_sign_ins"
            }
            Deed::Shut => {
                set_disabled(conn, id, Some(now))?;
                if count_open_with_role(conn, Role::Administrator)? == 0 {
                    return Err(Refusal::LastAdministrator.into());
                }
                end_sign_ins(conn, id, None, now)?;
                "account.shut"
            }
            Deed::Open => {
                set_disabled(conn, id, None)?;
                "account.open"
            }
            Deed::LoseSecondStep => match open_loss(conn, id, now)? {
                None => {
                    set_loss(conn, id, Some(Loss { asked_by: who, asked_at: now }))?;
                    "second_step.lose"
                }
                Some(loss) => {
                    loss.agreed(who, id)?;
                    set_loss(conn, id, None)?;
                    if remove_authenticator(conn, id)? {
                        notice.owe(conn, id, id.raw())?;
                    }
                    end_sign_ins(conn, id, None, now)?;
                    "second_step.agree_lost"
                }
            },
        };
        add_audit_row(conn, &AuditRow::by(&caller, now, action, format!("account {reference}"), ""))?;
        Ok(())
    })
}
