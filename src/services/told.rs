//! Who was told of a session's newest change: by letter, by telephone, or not yet. And what one letter needs to know.

use chrono::NaiveDateTime;

use super::browse::{Announced, announced};
use super::changed::Change;
use super::family::{Receipt, receipt};
use super::ties::speaker;
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::{GuardianId, SessionId, StaffId, TellingId};
use crate::domain::session_change::concerns;
use crate::domain::text_message::TextState;
use crate::domain::words::{Lang, Phone, full_name};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{RiderRow, find_guardian};
use crate::store::registrations::{RegistrationRow, registrations_of};
use crate::store::session_changes::{ChangeRow, TellingRow, changes_of, find_telling, set_called, tellings_of};
use crate::store::sessions::{SessionView, find_session, find_session_by_id};
use crate::store::staff::{find_member_address, list_staff};
use crate::store::texts::texts_of_tellings;

/// Where somebody's letter stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LetterState {
    /// There is no address to write to.
    NoAddress,
    /// It waits to go out.
    Waiting,
    /// It went out.
    Sent,
    /// It cannot be delivered.
    Stopped,
}

/// One family, or one member of the team.
#[derive(Clone, Debug)]
pub struct Line {
    /// Its number in this list, from 1.
    pub number: usize,
    /// Name in one line.
    pub name: String,
    /// Telephone as people read it.
    pub phone: String,
    /// Telephone as dialled.
    pub dial: String,
    /// First names of the children; empty for the team.
    pub children: Vec<String>,
    /// The language they read.
    pub language: Option<Lang>,
    /// Where the letter stands.
    pub letter: LetterState,
    /// Where the text message stands; none when there is none.
    pub text: Option<TextState>,
    /// When the office spoke to them.
    pub called_at: Option<NaiveDateTime>,
}

impl Line {
    /// Whether neither a letter nor a call reached them yet. A text alone does not do: it says too little.
    pub fn is_open(&self) -> bool {
        self.letter != LetterState::Sent && self.called_at.is_none()
    }
}

/// The list of a session's newest change.
#[derive(Clone, Debug)]
pub struct ToldList {
    /// The session.
    pub view: SessionView,
    /// The change; none when nothing was changed.
    pub change: Option<Change>,
    /// Everybody, those who are not told yet first.
    pub lines: Vec<Line>,
}

/// Who was told of the newest change of a session.
pub fn list(app: &App, caller: &Caller, reference: &str) -> Result<ToldList, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let Some(row) = changes_of(conn, view.session.id)?.pop() else {
            return Ok(ToldList { view, change: None, lines: Vec::new() });
        };
        let all = registrations_of(conn, view.session.id)?;
        let mut lines = Vec::new();
        let tellings = tellings_of(conn, &[row.id])?;
        let texts = texts_of_tellings(conn, &tellings.iter().map(|telling| telling.id).collect::<Vec<_>>())?;
        for (number, telling) in (1..).zip(tellings) {
            let own = texts.iter().find(|(of, _)| *of == Some(telling.id));
            let text = own.map(|(_, state)| *state).filter(|state| *state != TextState::Moot);
            lines.push(Line { text, ..line(conn, number, &telling, &all)? });
        }
        lines.sort_by_key(|line| (!line.is_open(), line.children.is_empty(), line.number));
        Ok(ToldList { view, change: Some(Change::of(row)?), lines })
    })
}

fn line(
    conn: &mut AnyConn,
    number: usize,
    telling: &TellingRow,
    all: &[(RegistrationRow, RiderRow)],
) -> Result<Line, Failure> {
    let letter = match telling.letter.as_deref() {
        None => LetterState::NoAddress,
        Some("sent") => LetterState::Sent,
        Some("stopped") => LetterState::Stopped,
        Some(_) => LetterState::Waiting,
    };
    let (name, dial, children, language) = match (telling.guardian_id, telling.staff_id) {
        (Some(id), _) => {
            let guardian = find_guardian(conn, id)?;
            let own = children_of(conn, id, all)?;
            let children = own.into_iter().map(|(_, rider)| rider.given_name).collect();
            (full_name(&guardian.given_name, &guardian.family_name), guardian.phone, children, Some(guardian.language))
        }
        (None, Some(id)) => {
            let member = list_staff(conn)?.into_iter().find(|row| row.id == id).ok_or(Failure::NotFound)?;
            (full_name(&member.given_name, &member.family_name), member.phone, Vec::new(), None)
        }
        (None, None) => return Err(Failure::NotFound),
    };
    let phone = Phone::shown(&dial);
    Ok(Line { number, name, phone, dial, children, language, letter, text: None, called_at: telling.called_at })
}

/// The children in a session for whom this adult is told of a change.
pub(super) fn children_of(
    conn: &mut AnyConn,
    guardian: GuardianId,
    all: &[(RegistrationRow, RiderRow)],
) -> Result<Vec<(RegistrationRow, RiderRow)>, Failure> {
    let mut own = Vec::new();
    for (registration, rider) in all.iter().filter(|(registration, _)| concerns(registration.state)) {
        if speaker(conn, registration)?.is_some_and(|adult| adult.id == guardian) {
            own.push((registration.clone(), rider.clone()));
        }
    }
    Ok(own)
}

/// Notes that the office spoke to somebody of the list.
pub fn mark_called(app: &App, caller: &Caller, reference: &str, number: usize) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, caller, now) = (reference.to_owned(), caller.clone(), app.clock.now());
    app.store.write("mark called", move |conn| {
        let view = find_session(conn, &reference)?.ok_or(Failure::NotFound)?;
        let change = changes_of(conn, view.session.id)?.pop().ok_or(Failure::NotFound)?;
        let all = tellings_of(conn, &[change.id])?;
        let telling = number.checked_sub(1).and_then(|at| all.get(at)).ok_or(Failure::NotFound)?;
        if set_called(conn, telling.id, now)? {
            let (subject, detail) = (format!("session {reference}"), format!("number {number}"));
            add_audit_row(conn, &AuditRow::by(&caller, now, "session.call", subject, detail))?;
        }
        Ok(())
    })
}

/// What the letter about a change needs.
#[derive(Clone, Debug)]
pub struct Addressed {
    /// The reader's name.
    pub to_name: String,
    /// The reader's address.
    pub to_address: String,
    /// What changed.
    pub change: Change,
    /// The session as it is now.
    pub session: Announced,
    /// The reader's children in it; empty for the team.
    pub children: Vec<Receipt>,
}

/// The letter of a telling; nothing when a newer change has its own letter, or nobody is owed this one any more.
pub fn for_letter(app: &App, id: TellingId) -> Result<Option<Addressed>, Failure> {
    app.store.read(|conn| {
        let Some((telling, change)) = find_telling(conn, id)? else { return Ok(None) };
        let newest = changes_of(conn, change.session_id)?.pop();
        if newest.is_none_or(|newest| newest.id != change.id) {
            return Ok(None);
        }
        match (telling.guardian_id, telling.staff_id) {
            (Some(guardian), _) => to_family(app, conn, guardian, change),
            (None, Some(member)) => to_team(app, conn, member, change),
            (None, None) => Ok(None),
        }
    })
}

fn session_of(app: &App, conn: &mut AnyConn, id: SessionId) -> Result<Announced, Failure> {
    let view = find_session_by_id(conn, id)?;
    announced(app, conn, vec![view])?.pop().ok_or(Failure::NotFound)
}

fn to_family(
    app: &App,
    conn: &mut AnyConn,
    guardian: GuardianId,
    change: ChangeRow,
) -> Result<Option<Addressed>, Failure> {
    let found = find_guardian(conn, guardian)?;
    let Some(to_address) = found.email else { return Ok(None) };
    let all = registrations_of(conn, change.session_id)?;
    let mut children = Vec::new();
    for (registration, rider) in children_of(conn, guardian, &all)? {
        children.push(receipt(app, conn, registration, &rider)?);
    }
    if children.is_empty() {
        return Ok(None);
    }
    let to_name = full_name(&found.given_name, &found.family_name);
    let session = session_of(app, conn, change.session_id)?;
    Ok(Some(Addressed { to_name, to_address, change: Change::of(change)?, session, children }))
}

fn to_team(app: &App, conn: &mut AnyConn, member: StaffId, change: ChangeRow) -> Result<Option<Addressed>, Failure> {
    let Some((to_name, to_address)) = find_member_address(conn, member)? else { return Ok(None) };
    let session = session_of(app, conn, change.session_id)?;
    Ok(Some(Addressed { to_name, to_address, change: Change::of(change)?, session, children: Vec::new() }))
}
