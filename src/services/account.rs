//! One's own account: what it holds, a new password, a new address. Whoever changes how an account is opened proves
//! themselves first: with the current password, or by having signed in with a link in the last minutes.

use super::notices::{self, Notice};
use super::sign_in::{account_key, has_second_step, in_time, note_wrong};
use super::{App, Failure, program, texts};
use crate::domain::access::{Caller, Person};
use crate::domain::ids::{AccountId, LinkId};
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::{Purpose, is_fresh_proof, needs_second_step};
use crate::domain::words::{Email, Phone, full_name};
use crate::outside::password::{PasswordFault, Verdict, rules};
use crate::store::AnyConn;
use crate::store::accounts::{
    are_reminders_off, find_addressee, find_credentials, password_hash_of, set_password_hash,
};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::find_guardian;
use crate::store::links::{NewLink, add_link, find_link, void_links};
use crate::store::second_steps::recovery_codes_left;
use crate::store::sign_ins::{end_sign_ins, find_proven};

/// An account as its owner sees it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// Name in one line.
    pub name: String,
    /// The family's telephone; none for who is no family.
    pub phone: Option<String>,
    /// The address.
    pub email: String,
    /// Whether a password was ever chosen.
    pub has_password: bool,
    /// Whether there is a second step.
    pub has_second_step: bool,
    /// Whether the second step may be taken away.
    pub may_go_without: bool,
    /// Recovery codes not yet used.
    pub codes_left: i64,
    /// Whether reminders come by mail.
    pub reminders: bool,
    /// Whether text messages come; nothing where there are none, or for who is no family.
    pub texts: Option<bool>,
    /// Whether a change needs the current password now.
    pub asks_password: bool,
    /// Whether a change needs a new sign-in by link: there is no password to ask for.
    pub asks_link: bool,
}

fn person(caller: &Caller) -> Result<&Person, Failure> {
    caller.person.as_ref().ok_or(Failure::NotAllowed)
}

/// The caller's account.
pub fn find(app: &App, caller: &Caller) -> Result<Account, Failure> {
    let person = person(caller)?;
    app.store.read(|conn| -> Result<_, Failure> {
        let reader = find_addressee(conn, person.account)?.ok_or(Failure::NotFound)?;
        let has_password = password_hash_of(conn, person.account)?.is_some();
        let is_fresh = is_fresh(conn, app, person)?;
        let guardian = person.guardian.map(|id| find_guardian(conn, id)).transpose()?;
        Ok(Account {
            name: full_name(&reader.given_name, &reader.family_name),
            phone: guardian.map(|guardian| Phone::shown(&guardian.phone)),
            email: reader.email,
            has_password,
            has_second_step: has_second_step(conn, person.account)?,
            may_go_without: !needs_second_step(person.roles),
            codes_left: recovery_codes_left(conn, person.account)?,
            reminders: !are_reminders_off(conn, person.account)?,
            texts: texts::own_choice(app, conn, caller)?,
            asks_password: !is_fresh && has_password,
            asks_link: !is_fresh && !has_password,
        })
    })
}

fn is_fresh(conn: &mut AnyConn, app: &App, person: &Person) -> Result<bool, Failure> {
    let row = find_proven(conn, person.sign_in)?.ok_or(Failure::NotAllowed)?;
    Ok(is_fresh_proof(row.way, row.created_at, app.clock.now()))
}

/// Lets a change pass whose asker has proven to be the owner, and gives back the account.
///
/// # Errors
/// `PasswordWrong`; `TooManyTries` after ten wrong ones.
pub(super) fn prove(app: &App, caller: &Caller, password: &str) -> Result<AccountId, Failure> {
    let person = person(caller)?;
    let keys = account_key(person.account);
    let (is_fresh, stored) = app.store.read(|conn| -> Result<_, Failure> {
        in_time(conn, &keys, app.clock.now())?;
        Ok((is_fresh(conn, app, person)?, password_hash_of(conn, person.account)?))
    })?;
    if is_fresh {
        return Ok(person.account);
    }
    let verdict = match &stored {
        Some(stored) => app.passwords.verify(password, stored),
        None => app.passwords.verify_nobody(password),
    };
    match verdict {
        Verdict::Match { .. } => Ok(person.account),
        Verdict::Busy => Err(Failure::Busy(None)),
        Verdict::NoMatch => {
            note_wrong(app, keys)?;
            Err(Refusal::PasswordWrong.into())
        }
    }
}

/// The message for what stands against a new password.
pub fn password_message(fault: PasswordFault) -> &'static str {
    match fault {
        PasswordFault::TooShort => "adults-password-short",
        PasswordFault::TooLong => "adults-password-long",
        PasswordFault::HasNul => "form-wrong-characters",
        PasswordFault::TooCommon => "adults-password-common",
        PasswordFault::ProgramWord => "adults-password-words",
    }
}

/// A new password, or the message of what stands against it.
///
/// # Errors
/// `PasswordWrong` or `TooManyTries` about the current one.
pub fn change_password(
    app: &App,
    caller: &Caller,
    current: &str,
    chosen: &str,
    end_others: bool,
) -> Result<Result<(), &'static str>, Failure> {
    let person = person(caller)?;
    let (program, reader) = app.store.read(|conn| -> Result<_, Failure> {
        Ok((program::load(conn)?.row.name, find_addressee(conn, person.account)?.ok_or(Failure::NotFound)?))
    })?;
    let words = [&program, &reader.email, &reader.given_name, &reader.family_name, "waymark"];
    if let Err(fault) = rules(chosen, &words) {
        return Ok(Err(password_message(fault)));
    }
    let account = prove(app, caller, current)?;
    let hash = app.passwords.hash(chosen).map_err(|_| Failure::Busy(None))?;
    let (now, here, caller) = (app.clock.now(), person.sign_in, caller.clone());
    let notice = notices::draw(app, Notice::PasswordChanged);
    app.store.write("change password", move |conn| -> Result<(), Failure> {
        set_password_hash(conn, account, &hash)?;
        void_links(conn, Some(account), None, now)?;
        let ended = if end_others { end_sign_ins(conn, account, Some(here), now)? } else { 0 };
        notice.owe(conn, account, account.raw())?;
        let (subject, detail) = (format!("account {}", account.raw()), format!("{ended} sign-ins ended"));
        add_audit_row(conn, &AuditRow::by(&caller, now, "password.change", subject, detail))?;
        Ok(())
    })?;
    Ok(Ok(()))
}

/// Sends a link to a new address; the account keeps the old one until the link is used. Who asks does not learn whether
/// the new address has an account already: then no letter goes out.
///
/// # Errors
/// `PasswordWrong` or `TooManyTries`.
pub fn ask_address(app: &App, caller: &Caller, password: &str, email: &Email) -> Result<(), Failure> {
    let account = prove(app, caller, password)?;
    let (now, address, caller) = (app.clock.now(), email.as_str().to_owned(), caller.clone());
    let notice = notices::draw(app, Notice::AddressLink);
    app.store.write("ask for address", move |conn| -> Result<(), Failure> {
        let reader = find_addressee(conn, account)?.ok_or(Failure::NotFound)?;
        let is_free = find_credentials(conn, &address)?.is_none();
        let (address, earlier_address) = (address.clone(), reader.email);
        let link = NewLink { account: Some(account), purpose: Purpose::Address, address, earlier_address, at: now };
        let id = add_link(conn, &link)?;
        if is_free {
            notice.owe(conn, account, id.raw())?;
        }
        let subject = format!("link {}", id.raw());
        add_audit_row(conn, &AuditRow::by(&caller, now, "address.ask", subject, ""))?;
        Ok(())
    })
}

/// Whom a letter about an account reaches.
pub struct Addressed {
    /// Name in one line.
    pub name: String,
    /// The address.
    pub address: String,
}

/// The owner of an account at the address that it has now. `None` once it is closed.
pub fn addressed(app: &App, account: AccountId) -> Result<Option<Addressed>, Failure> {
    let found = app.store.read(|conn| find_addressee(conn, account).map_err(Failure::from))?;
    let open = found.filter(|reader| reader.disabled_at.is_none());
    Ok(open.map(|reader| Addressed { name: full_name(&reader.given_name, &reader.family_name), address: reader.email }))
}

/// The owner of an account at the address that a link took the place of.
pub fn addressed_before(app: &App, account: AccountId, link: LinkId) -> Result<Option<Addressed>, Failure> {
    let link = app.store.read(|conn| find_link(conn, link).map_err(Failure::from))?;
    let earlier = link.map(|link| link.earlier_address);
    Ok(addressed(app, account)?.zip(earlier).map(|(to, address)| Addressed { address, ..to }))
}
