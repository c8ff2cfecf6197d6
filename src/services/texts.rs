//! Text messages: who agreed to them, what they are owed, and what one needs to know when it goes out. There are none
//! without a gateway in the settings.

use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

use super::ties::speaker;
use super::told::children_of;
use super::{App, Failure, ask, browse, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::{GuardianId, TellingId, TextId};
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::session_change::ChangeKind;
use crate::domain::text_message::{TextKind, TextState};
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, Phone, full_name};
use crate::store::AnyConn;
use crate::store::StoreError;
use crate::store::accounts::are_reminders_off;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{GuardianRow, find_guardian};
use crate::store::registrations::{RegistrationRow, find_registration, find_registration_by_id, registrations_of};
use crate::store::session_changes::{changes_of, find_telling};
use crate::store::sessions::find_session_by_id;
use crate::store::texts::{
    MissedText, NewText, TextRow, add_text, find_text, has_newer_text, missed_texts, set_texts_agreed,
};

/// How long a text may wait before the office hears of it.
const WAITS: TimeDelta = TimeDelta::minutes(15);

/// Whether there are text messages at all.
pub fn are_there(app: &App) -> bool {
    app.settings.texts.is_some()
}

/// Owes an adult who agreed a text about a place.
pub(super) fn owe_place(
    conn: &mut AnyConn,
    adult: &GuardianRow,
    kind: TextKind,
    row: &RegistrationRow,
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    if adult.texts_agreed_at.is_none() {
        return Ok(());
    }
    let held_on = find_session_by_id(conn, row.session_id)?.session.held_on;
    let new = NewText {
        kind,
        guardian_id: adult.id,
        phone: adult.phone.clone(),
        session_id: row.session_id,
        held_on,
        registration_id: Some(row.id),
        telling_id: None,
        language: adult.language,
        created_at: at,
    };
    add_text(conn, &new)
}

/// Owes an adult who agreed a text about a change of a session.
pub(super) fn owe_change(
    conn: &mut AnyConn,
    guardian: GuardianId,
    kind: ChangeKind,
    telling: TellingId,
    at: NaiveDateTime,
) -> Result<(), Failure> {
    let adult = find_guardian(conn, guardian)?;
    let Some((_, change)) = find_telling(conn, telling)? else { return Ok(()) };
    if adult.texts_agreed_at.is_none() {
        return Ok(());
    }
    let new = NewText {
        kind: match kind {
            ChangeKind::Cancelled => TextKind::CalledOff,
            ChangeKind::Moved => TextKind::Moved,
        },
        guardian_id: guardian,
        phone: adult.phone,
        session_id: change.session_id,
        held_on: find_session_by_id(conn, change.session_id)?.session.held_on,
        registration_id: None,
        telling_id: Some(telling),
        language: adult.language,
        created_at: at,
    };
    Ok(add_text(conn, &new)?)
}

/// Notes that an adult agrees to texts, or no more, with its audit row.
fn set(conn: &mut AnyConn, caller: &Caller, id: GuardianId, wanted: bool, now: NaiveDateTime) -> Result<(), Failure> {
    if !set_texts_agreed(conn, id, wanted.then_some(now))? {
        return Ok(());
    }
    let action = if wanted { "texts.on" } else { "texts.off" };
    let subject = format!("guardian {}", id.raw());
    Ok(add_audit_row(conn, &AuditRow::by(caller, now, action, subject, String::new()))?)
}

/// Turns one's own texts on or off.
///
/// # Errors
/// `NotFound` without a gateway, or for who is no family.
pub fn choose_own(app: &App, caller: &Caller, wanted: bool) -> Result<(), Failure> {
    let guardian = caller.guardian().filter(|_| are_there(app)).ok_or(Failure::NotFound)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("choose texts", move |conn| set(conn, &caller, guardian, wanted, now))
}

/// Notes what the adult who speaks for a place says to the office.
///
/// # Errors
/// `NotFound` without a gateway, or when nobody speaks for the place.
pub fn choose_for(app: &App, caller: &Caller, registration: &str, wanted: bool) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    if !are_there(app) {
        return Err(Failure::NotFound);
    }
    let (now, caller, registration) = (app.clock.now(), caller.clone(), registration.to_owned());
    app.store.write("choose texts", move |conn| {
        let (row, _) = find_registration(conn, &registration)?.ok_or(Failure::NotFound)?;
        let adult = speaker(conn, &row)?.ok_or(Failure::NotFound)?;
        set(conn, &caller, adult.id, wanted, now)
    })
}

/// Whether the caller gets texts; nothing where there are none, or for who is no family.
pub(super) fn own_choice(app: &App, conn: &mut AnyConn, caller: &Caller) -> Result<Option<bool>, Failure> {
    let Some(guardian) = caller.guardian().filter(|_| are_there(app)) else { return Ok(None) };
    Ok(Some(find_guardian(conn, guardian)?.texts_agreed_at.is_some()))
}

/// What the words of a text are made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// What it tells.
    pub kind: TextKind,
    /// The telephone that gets it, as dialled.
    pub to: String,
    /// The language it is in.
    pub language: Lang,
    /// The program's name.
    pub program: String,
    /// The office's telephone, as people read it.
    pub office_phone: String,
    /// First names of the children.
    pub children: Vec<String>,
    /// The first day, at the site.
    pub day: NaiveDate,
    /// When it begins there.
    pub time: NaiveTime,
    /// The site.
    pub site: String,
    /// Until when a seat waits for an answer, at the site.
    pub until: Option<NaiveDateTime>,
    /// Whether a letter can be answered too.
    pub has_letters: bool,
    /// The public page of the session.
    pub href: String,
}

/// What a text needs when it goes out; nothing when its reason is over.
pub fn for_sending(app: &App, id: TextId) -> Result<Option<Told>, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let Some(text) = find_text(conn, id)? else { return Ok(None) };
        let adult = find_guardian(conn, text.guardian_id)?;
        if adult.texts_agreed_at.is_none() || adult.phone != text.phone {
            return Ok(None);
        }
        let found = match text.kind {
            TextKind::CalledOff | TextKind::Moved => of_change(conn, &text)?,
            TextKind::Offered | TextKind::Reminder => of_place(conn, &text, &adult, now)?,
        };
        let Some((children, until)) = found else { return Ok(None) };
        let view = find_session_by_id(conn, text.session_id)?;
        let session = browse::announced(app, conn, vec![view])?.pop().ok_or(Failure::NotFound)?;
        let first = session.sittings.first().ok_or(StoreError::Missing)?;
        if text.kind == TextKind::Reminder && LocalTime::from_utc(now, first.zone).wall >= first.start {
            return Ok(None);
        }
        let program = program::load(conn)?;
        Ok(Some(Told {
            kind: text.kind,
            language: text.language,
            program: program.row.name,
            office_phone: Phone::shown(&program.row.office_phone),
            children,
            day: first.start.date(),
            time: first.start.time(),
            until: until.map(|until| LocalTime::from_utc(until, first.zone).wall),
            has_letters: adult.has_letters(),
            href: format!("{}/sessions/{}", app.settings.server.public_url, session.reference),
            site: session.site,
            to: text.phone,
        }))
    })
}

/// First names of the children, and until when an answer is awaited.
type Reason = Option<(Vec<String>, Option<NaiveDateTime>)>;

/// The newest change of a session, for an adult whose children are still in it.
fn of_change(conn: &mut AnyConn, text: &TextRow) -> Result<Reason, Failure> {
    let Some(telling) = text.telling_id else { return Ok(None) };
    let Some((_, change)) = find_telling(conn, telling)? else { return Ok(None) };
    let newest = changes_of(conn, change.session_id)?.pop();
    if newest.is_none_or(|newest| newest.id != change.id) {
        return Ok(None);
    }
    let all = registrations_of(conn, change.session_id)?;
    let own = children_of(conn, text.guardian_id, &all)?;
    let names: Vec<String> = own.into_iter().map(|(_, rider)| rider.given_name).collect();
    Ok((!names.is_empty()).then_some((names, None)))
}

/// A place that stands as it stood, for the adult who still speaks for it.
fn of_place(conn: &mut AnyConn, text: &TextRow, adult: &GuardianRow, now: NaiveDateTime) -> Result<Reason, Failure> {
    let Some(registration) = text.registration_id else { return Ok(None) };
    let (row, rider) = find_registration_by_id(conn, registration)?;
    let session = find_session_by_id(conn, row.session_id)?.session;
    let stands = row.session_id == text.session_id
        && session.state == SessionState::Announced
        && session.held_on == text.held_on
        && speaker(conn, &row)?.is_some_and(|speaks| speaks.id == adult.id)
        && !has_newer_text(conn, text)?;
    let is_due = stands
        && match text.kind {
            TextKind::Offered => {
                row.state == RegistrationState::Offered && row.held_until.is_some_and(|until| until > now)
            }
            _ => {
                let is_off = match adult.account_id {
                    Some(account) => are_reminders_off(conn, account)?,
                    None => false,
                };
                row.state == RegistrationState::Confirmed && row.outcome.is_none() && !is_off
            }
        };
    Ok(is_due.then(|| (vec![rider.given_name], row.held_until.filter(|_| text.kind == TextKind::Offered))))
}

/// Why a text has not arrived, as far as anybody knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missed {
    /// The gateway refused it.
    Refused,
    /// It was tried for a day.
    GivenUp,
    /// The gateway may have it.
    Unsure,
    /// It is still tried.
    Waits,
}

/// A text that has not arrived, for the office.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotArrived {
    /// What it tells.
    pub kind: TextKind,
    /// Why it has not.
    pub why: Missed,
    /// Whom it should have reached, in one line.
    pub name: String,
    /// Their telephone as people read it.
    pub phone: String,
    /// The same as dialled.
    pub dial: String,
    /// The site.
    pub site: String,
    /// The first day.
    pub held_on: NaiveDate,
    /// Where the office sees more: the session's reference, and the place's for a text about one.
    pub session: String,
    /// The place's reference.
    pub registration: Option<String>,
}

/// The fault of a text that nobody tries any more because a day has passed.
pub const TOO_LATE: &str = "too late";

/// Texts that did not arrive, about sessions that are not over.
pub(super) fn not_arrived(app: &App, conn: &mut AnyConn, today: NaiveDate) -> Result<Vec<NotArrived>, Failure> {
    if !are_there(app) {
        return Ok(Vec::new());
    }
    let since = app.clock.now() - WAITS;
    let mut found = Vec::new();
    for missed in missed_texts(conn, today - Days::new(1), since)? {
        found.extend(one(conn, missed)?);
    }
    Ok(found)
}

/// Nothing when the office need not call about it any more.
fn one(conn: &mut AnyConn, missed: MissedText) -> Result<Option<NotArrived>, Failure> {
    let place = match missed.registration_id {
        Some(id) => Some(find_registration_by_id(conn, id)?.0),
        None => None,
    };
    let still = match missed.kind {
        TextKind::CalledOff | TextKind::Moved => None,
        TextKind::Offered => Some(RegistrationState::Offered),
        TextKind::Reminder => Some(RegistrationState::Confirmed),
    };
    if still.is_some_and(|state| place.as_ref().is_none_or(|row| row.state != state)) {
        return Ok(None);
    }
    let is_late = missed.fault.as_deref().is_some_and(|fault| fault.contains(TOO_LATE));
    Ok(Some(NotArrived {
        kind: missed.kind,
        why: match missed.state {
            TextState::Unsure => Missed::Unsure,
            TextState::Due => Missed::Waits,
            _ if is_late => Missed::GivenUp,
            _ => Missed::Refused,
        },
        name: full_name(&missed.given_name, &missed.family_name),
        phone: Phone::shown(&missed.phone),
        dial: missed.phone,
        site: missed.site,
        held_on: missed.held_on,
        session: missed.session,
        registration: place.map(|row| row.reference),
    }))
}
