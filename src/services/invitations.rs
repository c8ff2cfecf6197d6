//! One adult asks another to answer for children with them. The letter goes to the address that the first one wrote; who
//! opens its link reads that mailbox, and the account of that address is the one that joins. Looking changes nothing.

use chrono::NaiveDateTime;

use super::notices::{self, Notice};
use super::sign_in::{self, Origin, Token};
use super::ties::own_child;
use super::{App, Failure};
use crate::domain::access::{Caller, Guardianship, Role};
use crate::domain::guardianship::joins;
use crate::domain::ids::{AccountId, GuardianId, InvitationId, RiderId};
use crate::domain::invitation::{INVITATION_WINDOW, MOST_INVITATIONS, is_open};
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::Way;
use crate::domain::words::{Email, Lang, PersonName, Phone, full_name};
use crate::store::accounts::{NewAccount, add_account, add_role, find_addressee, find_credentials, is_shown, sides_of};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{
    NewGuardian, RiderRow, add_guardian, add_guardianship, find_guardian, find_guardianship, find_rider,
};
use crate::store::invitations::{
    InvitationRow, NewInvitation, add_invitation, add_invitation_token, count_invitations_since, end_invitation,
    find_invitation, find_invitation_by_reference, find_invitation_of_token, riders_of_invitation, set_joined,
};
use crate::store::sign_ins::end_sign_ins;
use crate::store::{AnyConn, Key, StoreError};

/// Who is asked, and for which children.
#[derive(Clone, Debug)]
pub struct Invitation {
    /// What the other one calls them.
    pub name: String,
    /// Where the letter goes.
    pub email: Email,
    /// The language of the letter.
    pub language: Lang,
    /// Public references of the riders, at least one.
    pub riders: Vec<String>,
}

/// Asks another adult. The letter goes out whether its address is known or not.
///
/// # Errors
/// `NotFound` for a child that the caller does not answer for; `AddressNotShown` before the caller's own address is
/// confirmed; `TooManyInvitations`.
pub fn invite(app: &App, caller: &Caller, wanted: &Invitation) -> Result<(), Failure> {
    let (own, account) = caller.guardian().zip(caller.account()).ok_or(Failure::NotFound)?;
    let (caller, wanted, now) = (caller.clone(), wanted.clone(), app.clock.now());
    let (reference, notice) = (app.random.reference(), notices::draw(app, Notice::GuardianInvited));
    app.store.write("invite adult", move |conn| -> Result<(), Failure> {
        let mut riders = Vec::new();
        for rider in &wanted.riders {
            riders.push(own_child(conn, &caller, rider)?.1.id);
        }
        if !is_shown(conn, account)? {
            return Err(Refusal::AddressNotShown.into());
        }
        if count_invitations_since(conn, own, now - INVITATION_WINDOW)? >= MOST_INVITATIONS {
            return Err(Refusal::TooManyInvitations.into());
        }
        let new = NewInvitation {
            reference: reference.clone(),
            guardian_id: own,
            name: wanted.name.clone(),
            address: wanted.email.as_str().to_owned(),
            language: wanted.language,
            asked_at: now,
        };
        let id = add_invitation(conn, &new, &riders)?;
        notice.owe_in(conn, account, id.raw(), wanted.language)?;
        let detail = format!("{} riders", riders.len());
        add_audit_row(conn, &AuditRow::by(&caller, now, "guardian.invite", subject(id), detail))?;
        Ok(())
    })
}

fn subject(id: InvitationId) -> String {
    format!("invitation {}", id.raw())
}

/// Takes an invitation back that was made for a child, and for others along with it; its link serves no more.
///
/// # Errors
/// `NotFound` for another adult's, or of another child; `WorldMoved` when it is over already.
pub fn take_back(app: &App, caller: &Caller, rider: &str, reference: &str) -> Result<(), Failure> {
    let (caller, now) = (caller.clone(), app.clock.now());
    let (rider, reference) = (rider.to_owned(), reference.to_owned());
    app.store.write("take invitation back", move |conn| -> Result<(), Failure> {
        let (guardian, rider) = own_child(conn, &caller, &rider)?;
        let found = find_invitation_by_reference(conn, &reference)?.filter(|one| one.guardian_id == guardian);
        let found = found.ok_or(Failure::NotFound)?;
        if !riders_of_invitation(conn, found.id)?.contains(&rider.id) {
            return Err(Failure::NotFound);
        }
        if !end_invitation(conn, found.id, now)? {
            return Err(Refusal::WorldMoved.into());
        }
        add_audit_row(conn, &AuditRow::by(&caller, now, "guardian.take_back", subject(found.id), ""))?;
        Ok(())
    })
}

/// The invitation with the children for whom its asker answers now.
///
/// # Errors
/// `LinkOver` when it is over, or its asker may decide for none of the children any more.
fn open(
    conn: &mut AnyConn,
    row: Option<InvitationRow>,
    now: NaiveDateTime,
) -> Result<(InvitationRow, Vec<RiderRow>), Failure> {
    let row = row.filter(|row| is_open(row.asked_at, row.ended_at, now)).ok_or(Refusal::LinkOver)?;
    let mut riders = Vec::new();
    for rider in riders_of_invitation(conn, row.id)? {
        if find_guardianship(conn, row.guardian_id, rider)? == Some(Guardianship::Active) {
            riders.push(find_rider(conn, rider)?);
        }
    }
    if riders.is_empty() { Err(Refusal::LinkOver.into()) } else { Ok((row, riders)) }
}

/// What a letter with an invitation needs.
#[derive(Clone, Debug)]
pub struct InvitationLetter {
    /// The reader's name, as the other adult wrote it.
    pub to_name: String,
    /// The address that the other adult wrote.
    pub to_address: String,
    /// Who asks.
    pub from: String,
    /// The children's given names.
    pub children: Vec<String>,
    /// The whole address of the link.
    pub href: String,
}

/// Draws a token for a letter that is about to be sent. A letter that is sent twice carries two that both serve.
/// `None`: the invitation is over.
pub fn for_letter(app: &App, id: InvitationId) -> Result<Option<InvitationLetter>, Failure> {
    let token = Token::draw(&app.random);
    let (hash, now) = (token.hash(), app.clock.now());
    let drawn = app.store.write("draw invitation", move |conn| -> Result<_, Failure> {
        let row = find_invitation(conn, id)?;
        let (row, riders) = open(conn, row, now)?;
        add_invitation_token(conn, id, &hash, now)?;
        let from = find_guardian(conn, row.guardian_id)?;
        Ok((row, riders, full_name(&from.given_name, &from.family_name)))
    });
    let (row, riders, from) = match drawn {
        Ok(drawn) => drawn,
        Err(Failure::Refused(_)) => return Ok(None),
        Err(failure) => return Err(failure),
    };
    Ok(Some(InvitationLetter {
        to_name: row.name,
        to_address: row.address,
        from,
        children: riders.into_iter().map(|rider| rider.given_name).collect(),
        href: format!("{}/invitations/{}", app.settings.server.public_url, token.as_str()),
    }))
}

/// What the letter to the asker needs, once somebody joined.
pub fn for_asker(app: &App, id: InvitationId) -> Result<Option<(String, Vec<String>)>, Failure> {
    app.store.read(|conn| {
        let Some(row) = find_invitation(conn, id)? else { return Ok(None) };
        let mut children = Vec::new();
        for rider in riders_of_invitation(conn, id)? {
            children.push(find_rider(conn, rider)?.given_name);
        }
        Ok(Some((row.name, children)))
    })
}

/// An invitation as its reader sees it.
#[derive(Clone, Debug)]
pub struct Invited {
    /// Who asks.
    pub from: String,
    /// The children's given names.
    pub children: Vec<String>,
    /// Where the letter went.
    pub address: String,
    /// The name of the account that this address opens already; it is the one that joins.
    pub account: Option<String>,
    /// Whether a telephone is still to be told: this address is no family's yet.
    pub needs_phone: bool,
}

/// What a token invites to.
///
/// # Errors
/// `LinkOver` when it is unknown or over.
pub fn look(app: &App, token: &str) -> Result<Invited, Failure> {
    let (hash, now) = (Token::hash_of(token), app.clock.now());
    app.store.read(|conn| {
        let row = find_invitation_of_token(conn, &hash)?;
        let (row, riders) = open(conn, row, now)?;
        let from = find_guardian(conn, row.guardian_id)?;
        let (account, family) = match find_credentials(conn, &row.address)? {
            Some(known) => (find_addressee(conn, known.id)?, sides_of(conn, known.id)?.0),
            None => (None, None),
        };
        Ok(Invited {
            from: full_name(&from.given_name, &from.family_name),
            children: riders.into_iter().map(|rider| rider.given_name).collect(),
            address: row.address,
            account: account.map(|person| full_name(&person.given_name, &person.family_name)),
            needs_phone: family.is_none(),
        })
    })
}

/// Who joins, when the address opens no account yet, or one that is no family's.
#[derive(Clone, Debug)]
pub struct Joining {
    /// The adult's name; an account that is there already keeps its own.
    pub name: Option<PersonName>,
    /// Telephone; a family that is there already keeps its own.
    pub phone: Option<Phone>,
    /// The language they read.
    pub language: Lang,
}

/// What accepting came to.
pub struct Joined {
    /// A login, for an account that was made now.
    pub token: Option<Token>,
}

/// Accepts an invitation, once: the account of its address answers for the children from now on.
///
/// # Errors
/// `LinkOver`; `OfficeDecides` when this adult stood to every one of the children before, and the office ended that.
pub fn accept(app: &App, token: &str, joining: &Joining, origin: &Origin) -> Result<Joined, Failure> {
    let (hash, now, joining) = (Token::hash_of(token), app.clock.now(), joining.clone());
    let (reference, request) = (app.random.reference(), origin.request.clone());
    let notice = notices::draw(app, Notice::GuardianJoined);
    let made = app.store.write("accept invitation", move |conn| -> Result<Option<AccountId>, Failure> {
        let row = find_invitation_of_token(conn, &hash)?;
        let (row, riders) = open(conn, row, now)?;
        // First, so that whoever presses at the same time waits here and finds it over.
        if !end_invitation(conn, row.id, now)? {
            return Err(Refusal::LinkOver.into());
        }
        let (account, is_new) = account(conn, &row, &joining, &reference, now)?;
        let guardian = guardian(conn, account, &row, &joining, now)?;
        let joined = tie(conn, guardian, &riders, now)?;
        if joined.is_empty() {
            return Err(Refusal::OfficeDecides.into());
        }
        set_joined(conn, row.id, guardian)?;
        if let Some(asker) = find_guardian(conn, row.guardian_id)?.account_id {
            notice.owe(conn, asker, row.id.raw())?;
        }
        let detail = format!("guardian {} for {} riders", guardian.raw(), joined.len());
        let (action, subject, account_id) = ("guardian.join", subject(row.id), Some(account));
        add_audit_row(
            conn,
            &AuditRow { at: now, account: account_id, action, subject, request: request.clone(), detail },
        )?;
        Ok(is_new.then_some(account))
    })?;
    let issue = |account| sign_in::issue(app, account, Way::Link, origin).map(|opened| opened.token);
    Ok(Joined { token: made.map(issue).transpose()? })
}

/// The account that the address of an invitation opens, or a new one. Its letter was read, so the address is shown.
fn account(
    conn: &mut AnyConn,
    row: &InvitationRow,
    joining: &Joining,
    reference: &str,
    now: NaiveDateTime,
) -> Result<(AccountId, bool), Failure> {
    if let Some(known) = find_credentials(conn, &row.address)? {
        return if known.disabled_at.is_some() { Err(Refusal::LinkOver.into()) } else { Ok((known.id, false)) };
    }
    let name = joining.name.as_ref().ok_or(Refusal::WorldMoved)?;
    let new = NewAccount {
        reference: reference.to_owned(),
        email: row.address.clone(),
        is_shown: true,
        password_hash: None,
        given_name: name.given().to_owned(),
        family_name: name.family().to_owned(),
        language: joining.language,
        created_at: now,
    };
    match add_account(conn, &new, &[Role::Guardian]) {
        // The address was shown by another way in this very moment.
        Err(StoreError::Duplicate(Key::AccountEmail)) => Err(Refusal::WorldMoved.into()),
        made => Ok((made?, true)),
    }
}

/// The family side of an account; made when it had none.
fn guardian(
    conn: &mut AnyConn,
    account: AccountId,
    row: &InvitationRow,
    joining: &Joining,
    now: NaiveDateTime,
) -> Result<GuardianId, Failure> {
    if let (Some(guardian), _) = sides_of(conn, account)? {
        return Ok(guardian);
    }
    let person = find_addressee(conn, account)?.ok_or(Failure::NotFound)?;
    add_role(conn, account, Role::Guardian)?;
    // Another role, another login (bar S19).
    end_sign_ins(conn, account, None, now)?;
    let new = NewGuardian {
        account_id: Some(account),
        given_name: person.given_name,
        family_name: person.family_name,
        phone: joining.phone.as_ref().ok_or(Refusal::WorldMoved)?.as_str().to_owned(),
        email: Some(row.address.clone()),
        language: joining.language,
        created_at: now,
        texts_agreed_at: None,
    };
    Ok(add_guardian(conn, &new)?)
}

/// Ties an adult to those of the children whom they may join.
fn tie(
    conn: &mut AnyConn,
    guardian: GuardianId,
    riders: &[RiderRow],
    now: NaiveDateTime,
) -> Result<Vec<RiderId>, Failure> {
    let mut joined = Vec::new();
    for rider in riders {
        let tie = find_guardianship(conn, guardian, rider.id)?;
        if !joins(tie) {
            continue;
        }
        if tie.is_none() {
            add_guardianship(conn, guardian, rider.id, Guardianship::Active, now)?;
        }
        joined.push(rider.id);
    }
    Ok(joined)
}
