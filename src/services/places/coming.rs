//! Reminders before a session, and the question between them whether the child is still coming. Who does not come gives
//! the seat to another child; who does not answer keeps it, and the office calls.

use chrono::{Days, NaiveDate, NaiveDateTime};

use super::line::vacate;
use super::question::Answer;
use super::{Side, Turn, find, start_of};
use crate::domain::access::Caller;
use crate::domain::ids::RegistrationId;
use crate::domain::place::{Ask, PlaceReason};
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::domain::reminder::{Reminder, Standing};
use crate::domain::session::SessionState;
use crate::domain::text_message::TextKind;
use crate::domain::words::Word;
use crate::services::{App, Failure, program};
use crate::store::AnyConn;
use crate::store::places::{place_changes_of, set_comes};
use crate::store::questions::set_all_answered;
use crate::store::registrations::{RegistrationRow, find_registration_by_id, registrations_of};
use crate::store::reminders::{add_reminder, reminders_of};
use crate::store::sessions::{find_session_by_id, list_sessions};

/// A reminder that is due.
#[derive(Clone, Copy)]
struct DueReminder {
    registration: RegistrationId,
    kind: Reminder,
    held_on: NaiveDate,
}

/// Sends every reminder that is due. Comes round.
pub fn remind(app: &App) -> Result<(), Failure> {
    let now = app.clock.now();
    for due in app.store.read(|conn| all_due(conn, now))? {
        let turn = Turn::new(app, None, "job reminders");
        app.store.write("remind", move |conn| send(conn, &mut turn.clone(), due))?;
    }
    Ok(())
}

fn all_due(conn: &mut AnyConn, now: NaiveDateTime) -> Result<Vec<DueReminder>, Failure> {
    let rule = program::load(conn)?.settings.reminders;
    let ahead = Days::new(rule.farthest().unsigned_abs() + 1);
    let (from, through) = (now.date() - Days::new(1), now.date() + ahead);
    let mut found = Vec::new();
    for view in list_sessions(conn, from, through)? {
        if view.session.state != SessionState::Announced {
            continue;
        }
        let (start, held_on) = (start_of(conn, view.session.id)?, view.session.held_on);
        let kinds: Vec<Reminder> =
            Reminder::ALL.iter().copied().filter(|kind| rule.is_time(*kind, now, start)).collect();
        if kinds.is_empty() {
            continue;
        }
        for (row, _) in registrations_of(conn, view.session.id)? {
            if row.state != RegistrationState::Confirmed {
                continue;
            }
            let gone = reminders_of(conn, row.id, held_on)?;
            if kinds.iter().all(|kind| gone.contains(kind)) {
                continue;
            }
            let stepped_at = place_changes_of(conn, row.id)?.last().map_or(row.created_at, |step| step.at);
            let standing = Standing { stepped_at, comes_at: row.comes_at };
            let due = kinds.iter().filter(|kind| !gone.contains(kind) && rule.is_due(**kind, now, start, standing));
            found.extend(due.map(|kind| DueReminder { registration: row.id, kind: *kind, held_on }));
        }
    }
    Ok(found)
}

fn send(conn: &mut AnyConn, turn: &mut Turn, due: DueReminder) -> Result<(), Failure> {
    let (row, _) = find_registration_by_id(conn, due.registration)?;
    let view = find_session_by_id(conn, row.session_id)?;
    let stands = row.state == RegistrationState::Confirmed
        && view.session.state == SessionState::Announced
        && view.session.held_on == due.held_on;
    if !stands || !add_reminder(conn, row.id, due.kind, due.held_on, turn.at)? {
        return Ok(());
    }
    match due.kind {
        Reminder::Ask | Reminder::AskAgain => turn.put(conn, &row, Ask::Coming)?,
        Reminder::Week => turn.owe(conn, &row, "reminder_week", row.id.raw())?,
        Reminder::Day => {
            turn.text(conn, &row, TextKind::Reminder)?;
            turn.owe(conn, &row, "reminder_day", row.id.raw())?;
        }
    }
    Ok(())
}

/// Whether it still matters if the child comes.
pub(super) fn is_awaited(conn: &mut AnyConn, row: &RegistrationRow, now: NaiveDateTime) -> Result<bool, Failure> {
    let view = find_session_by_id(conn, row.session_id)?;
    Ok(row.state == RegistrationState::Confirmed
        && row.outcome.is_none()
        && view.session.state == SessionState::Announced
        && start_of(conn, row.session_id)?.at > now)
}

/// Says whether the child comes.
///
/// # Errors
/// `AnswerTooLate` when there is no seat any more, or the session has begun.
pub fn answer_coming(app: &App, caller: &Caller, side: Side, reference: &str, answer: Answer) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("answer whether coming", move |conn| -> Result<(), Failure> {
        let row = find(conn, &caller, side, &reference)?;
        answered(conn, &mut turn.clone(), &row, answer)
    })
}

/// What a family says: the child comes, or the seat is free.
pub(super) fn answered(
    conn: &mut AnyConn,
    turn: &mut Turn,
    row: &RegistrationRow,
    answer: Answer,
) -> Result<(), Failure> {
    if !is_awaited(conn, row, turn.at)? {
        return Err(Refusal::AnswerTooLate.into());
    }
    let done = match answer {
        Answer::Yes => set_comes(conn, row.id, turn.at)?,
        Answer::No => vacate(conn, turn, row, RegistrationState::Cancelled, PlaceReason::StaysAway)?,
    };
    if !done {
        return Err(Refusal::AnswerTooLate.into());
    }
    set_all_answered(conn, row.id, Ask::Coming, turn.at)?;
    match answer {
        Answer::Yes => turn.note(conn, row, "place.comes")?,
        Answer::No => {
            turn.note(conn, row, "place.stays_away")?;
            turn.owe(conn, row, "place_given_up", row.id.raw())?;
        }
    }
    Ok(())
}
