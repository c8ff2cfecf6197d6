//! What is removed because it is old: the rules with their days, what would go tonight, the removal itself, and legal holds
//! of sessions, of which nothing goes.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::{IncidentId, RegistrationId, RiderId, SessionId};
use crate::domain::refusal::Refusal;
use crate::domain::retention::{RetentionRule, is_night};
use crate::domain::time::LocalTime;
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::files::remove_files;
use crate::store::incidents::{closed_before, remove_incidents};
use crate::store::kept_health::remove_kept_health;
use crate::store::retention::{
    OfSession, add_hold, contacts_before, end_hold, find_hold, health_before, kept_health_before, lines_before,
    remove_contacts, remove_health, remove_lines, remove_signed, sessions_on_hold, signed_before,
};
use crate::store::sessions::{SessionView, find_session};
use crate::store::texts::{remove_texts_of_sessions, texts_before};

pub use crate::store::retention::HoldRow;

/// What is removed of a registration.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Old {
    /// To be removed.
    goes: Vec<RegistrationId>,
    /// Old enough, but kept back by a legal hold.
    held: usize,
}

/// All that is old on a day.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Sweep {
    health: Old,
    lines: Old,
    contacts: Old,
    signed: Old,
    kept_health: Vec<RiderId>,
    /// Text messages: sessions with how many.
    texts: Vec<(SessionId, i64)>,
    texts_held: i64,
    incidents: Vec<IncidentId>,
    incidents_held: usize,
}

impl Sweep {
    fn texts_going(&self) -> i64 {
        self.texts.iter().map(|(_, count)| count).sum()
    }

    fn is_empty(&self) -> bool {
        let of_registrations = [&self.health, &self.lines, &self.contacts, &self.signed];
        let are_gone = of_registrations.iter().all(|old| old.goes.is_empty());
        are_gone && self.kept_health.is_empty() && self.texts.is_empty() && self.incidents.is_empty()
    }
}

fn counted(count: i64) -> usize {
    usize::try_from(count).unwrap_or_default()
}

fn apart(found: Vec<OfSession>, on_hold: &BTreeSet<SessionId>) -> Old {
    let (held, goes): (Vec<_>, Vec<_>) = found.into_iter().partition(|(_, session)| on_hold.contains(session));
    Old { goes: goes.into_iter().map(|(registration, _)| registration).collect(), held: held.len() }
}

fn sweep(app: &App, conn: &mut AnyConn) -> Result<Sweep, Failure> {
    let program = program::load(conn)?;
    let (rule, today) = (program.settings.retention, app.clock.today(program.zone));
    let on_hold: BTreeSet<SessionId> = sessions_on_hold(conn)?.into_iter().collect();
    let is_over = |(_, born, held_on): &(OfSession, NaiveDate, NaiveDate)| rule.consent_until(*born, *held_on) < today;
    let signed = signed_before(conn, rule.signed_before(today), rule.signed_born_before(today))?
        .into_iter()
        .filter(is_over)
        .map(|(row, _, _)| row)
        .collect();
    let kept_before = rule.kept_health_before(app.clock.now());
    let (texts_held, texts): (Vec<_>, Vec<_>) = texts_before(conn, rule.contacts_before(today))?
        .into_iter()
        .partition(|(session, _)| on_hold.contains(session));
    let old = |(_, _, on, born): &(IncidentId, SessionId, NaiveDate, Option<NaiveDate>)| {
        rule.report_until(*on, *born) < today
    };
    let (incidents_held, incidents): (Vec<_>, Vec<_>) =
        closed_before(conn, today)?.into_iter().filter(old).partition(|(_, session, ..)| on_hold.contains(session));
    Ok(Sweep {
        incidents: incidents.into_iter().map(|(id, ..)| id).collect(),
        incidents_held: incidents_held.len(),
        texts_held: texts_held.iter().map(|(_, count)| count).sum(),
        texts,
        health: apart(health_before(conn, rule.health_before(today))?, &on_hold),
        lines: apart(lines_before(conn, rule.lines_before(today))?, &on_hold),
        contacts: apart(contacts_before(conn, rule.contacts_before(today))?, &on_hold),
        signed: apart(signed, &on_hold),
        kept_health: kept_health_before(conn, kept_before)?,
    })
}

/// One line of what would be removed tonight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tonight {
    /// What.
    pub what: Kind,
    /// How many go.
    pub goes: usize,
    /// How many are old enough and kept back by a legal hold.
    pub held: usize,
}

/// What is removed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Health answers of a registration.
    Health,
    /// Registrations that came to no seat.
    Lines,
    /// People to call, pick-up and measures.
    Contacts,
    /// Signed texts.
    Signed,
    /// Health answers that a family keeps for the next time.
    KeptHealth,
    /// Text messages about a session.
    Texts,
    /// Closed reports of what happened.
    Incidents,
}

/// What would be removed tonight, without removing anything; with the rule.
pub fn tonight(app: &App, caller: &Caller) -> Result<(RetentionRule, Vec<Tonight>), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let old = sweep(app, conn)?;
        let line = |what, old: &Old| Tonight { what, goes: old.goes.len(), held: old.held };
        let lines = vec![
            line(Kind::Health, &old.health),
            line(Kind::Lines, &old.lines),
            line(Kind::Contacts, &old.contacts),
            line(Kind::Signed, &old.signed),
            Tonight { what: Kind::KeptHealth, goes: old.kept_health.len(), held: 0 },
            Tonight { what: Kind::Texts, goes: counted(old.texts_going()), held: counted(old.texts_held) },
            Tonight { what: Kind::Incidents, goes: old.incidents.len(), held: old.incidents_held },
        ];
        Ok((program::load(conn)?.settings.retention, lines))
    })
}

/// Removes what is old when it is night at the program's home, so that the office has the day to look at what would go.
pub fn remove_by_night(app: &App) -> Result<(), Failure> {
    let zone = app.store.read(program::load)?.zone;
    if is_night(LocalTime::from_utc(app.clock.now(), zone).wall.time()) { remove_old(app) } else { Ok(()) }
}

/// Removes what is old. The audit log says how many, not what.
pub fn remove_old(app: &App) -> Result<(), Failure> {
    let (now, own) = (app.clock.now(), app.clone());
    app.store.write("remove old", move |conn| -> Result<(), Failure> {
        let old = sweep(&own, conn)?;
        if old.is_empty() {
            return Ok(());
        }
        remove_health(conn, &old.health.goes)?;
        remove_lines(conn, &old.lines.goes)?;
        remove_contacts(conn, &old.contacts.goes)?;
        remove_signed(conn, &old.signed.goes)?;
        for rider in &old.kept_health {
            remove_kept_health(conn, *rider)?;
        }
        let photos = remove_incidents(conn, &old.incidents)?;
        remove_files(conn, &photos)?;
        remove_texts_of_sessions(conn, &old.texts.iter().map(|(session, _)| *session).collect::<Vec<_>>())?;
        let detail = format!(
            "{} health notes, {} places in line, {} lists of people and measures, {} signed registrations, {} kept health \
             answers, {} texts, {} reports; {} held",
            old.health.goes.len(),
            old.lines.goes.len(),
            old.contacts.goes.len(),
            old.signed.goes.len(),
            old.kept_health.len(),
            old.texts_going(),
            old.incidents.len(),
            old.incidents_held
                + old.health.held + old.lines.held + old.contacts.held + old.signed.held + counted(old.texts_held),
        );
        let row = AuditRow {
            at: now,
            account: None,
            action: "retention.remove",
            subject: "program".into(),
            request: "job retention".into(),
            detail,
        };
        Ok(add_audit_row(conn, &row)?)
    })
}

/// A session and the legal hold that stands on it.
#[derive(Clone, Debug)]
pub struct Held {
    /// The session.
    pub view: SessionView,
    /// The hold, if one stands.
    pub hold: Option<HoldRow>,
}

/// How a session stands.
pub fn hold_of(app: &App, caller: &Caller, session: &str) -> Result<Held, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| {
        let view = find_session(conn, session)?.ok_or(Failure::NotFound)?;
        let hold = find_hold(conn, view.session.id)?;
        Ok(Held { view, hold })
    })
}

/// Puts a session under a legal hold, or ends the one that stands.
///
/// # Errors
/// `WorldMoved` when somebody did so meanwhile.
pub fn set_hold(app: &App, caller: &Caller, session: &str, holds: bool, note: &str) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, session, note) = (app.clock.now(), caller.clone(), session.to_owned(), note.to_owned());
    app.store.write("legal hold", move |conn| -> Result<(), Failure> {
        let view = find_session(conn, &session)?.ok_or(Failure::NotFound)?;
        let stands = find_hold(conn, view.session.id)?.is_some();
        if stands == holds {
            return Err(Refusal::WorldMoved.into());
        }
        match holds {
            true => add_hold(conn, view.session.id, &note, now)?,
            false => {
                end_hold(conn, view.session.id, now)?;
            }
        }
        let action = if holds { "session.hold" } else { "session.release" };
        add_audit_row(conn, &AuditRow::by(&caller, now, action, format!("session {session}"), note.clone()))?;
        Ok(())
    })
}
