//! A place moves to another session of the same course: the child keeps the reference, and all that was answered and
//! signed. Only into a free seat; until it is taken there, the place here stays.

use chrono::{Days, NaiveDateTime, TimeDelta};

use super::line::offer_free_seats;
use super::{Side, Turn, find, start_of};
use crate::domain::access::Caller;
use crate::domain::ids::{RiderId, SessionId};
use crate::domain::people::age_on;
use crate::domain::place::Ask;
use crate::domain::refusal::Refusal;
use crate::domain::registration::{Place, Wish, decide};
use crate::domain::session::{Openness, SessionState};
use crate::domain::timetable::Span;
use crate::services::browse::{Announced, announced};
use crate::services::family::{Receipt, receipt};
use crate::services::{App, Failure, program};
use crate::store::places::{give_back_seat, leave_line, move_to_session};
use crate::store::questions::set_all_answered;
use crate::store::registrations::{
    RegistrationRow, find_registration_by_id, find_registration_of, registrations_of_riders,
};
use crate::store::session_changes::set_guardian_called;
use crate::store::sessions::{SessionView, find_session, find_session_by_id, list_sessions, meetings_of, take_seat};
use crate::store::{AnyConn, StoreError};

/// How far ahead other sessions are looked for.
const AHEAD: Days = Days::new(400);

/// Whether a place can be moved away from where it stands.
fn can_leave(conn: &mut AnyConn, row: &RegistrationRow, now: NaiveDateTime) -> Result<(), Failure> {
    let view = find_session_by_id(conn, row.session_id)?;
    let has_begun = start_of(conn, row.session_id)?.at <= now;
    Ok(row.now(view.session.state).may_move(has_begun)?)
}

/// Whether the child of a place could have a seat in another session, by the rules; seats are counted by the database.
fn may_enter(conn: &mut AnyConn, row: &RegistrationRow, to: &SessionView, now: NaiveDateTime) -> Result<(), Failure> {
    let from = find_session_by_id(conn, row.session_id)?;
    let start = start_of(conn, to.session.id)?;
    let is_possible = to.course.id == from.course.id && to.session.id != from.session.id && start.at > now;
    if !is_possible || find_registration_of(conn, to.session.id, row.rider_id)?.is_some() {
        return Err(Refusal::NoSeatThere.into());
    }
    let (_, rider) = find_registration_by_id(conn, row.id)?;
    let (held_on, settings) = (to.session.held_on, program::load(conn)?.settings);
    let today = crate::domain::time::LocalTime::from_utc(now, start.zone).wall.date();
    let wish = Wish {
        openness: Openness { state: to.session.state, held_on, today },
        least_age: to.course.least_age,
        most_age: to.course.most_age,
        age_on_the_day: age_on(rider.birth_date, held_on, settings.leap_rule),
        existing: None,
        waiting: to.session.waiting,
    };
    if decide(&wish)? != Place::SeatIfFree {
        return Err(Refusal::NoSeatThere.into());
    }
    not_at_once(conn, row.rider_id, to.session.id, Some(row.session_id))
}

/// A registration, and the sessions to which its place can be moved now, by day.
///
/// # Errors
/// `WorldMoved` or `SessionHasBegun` when it cannot be moved.
pub fn choices(app: &App, caller: &Caller, side: Side, reference: &str) -> Result<(Receipt, Vec<Announced>), Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let row = find(conn, caller, side, reference)?;
        can_leave(conn, &row, now)?;
        let course = find_session_by_id(conn, row.session_id)?.course.id;
        let mut views = Vec::new();
        for view in list_sessions(conn, now.date() - Days::new(1), now.date() + AHEAD)? {
            // What the row itself says goes first: the rest asks the database about each session.
            let has_seat = view.course.id == course && view.session.capacity > view.session.seats_taken;
            if has_seat && may_enter(conn, &row, &view, now).is_ok() {
                views.push(view);
            }
        }
        let others = announced(app, conn, views)?;
        let (row, rider) = find_registration_by_id(conn, row.id)?;
        Ok((receipt(app, conn, row, &rider)?, others))
    })
}

/// Moves a place into a seat of another session. The seat here goes to the first in line at once.
///
/// # Errors
/// `NoSeatThere` when that session has no free seat for this child; `TwoSessionsAtOnce`; `WorldMoved` or `SessionHasBegun`
/// when the place cannot be moved.
pub fn move_to(app: &App, caller: &Caller, side: Side, reference: &str, to: &str) -> Result<(), Failure> {
    let (turn, caller) = (Turn::of(app, caller), caller.clone());
    let (reference, to) = (reference.to_owned(), to.to_owned());
    app.store.write("move place", move |conn| -> Result<(), Failure> {
        let mut turn = turn.clone();
        let row = find(conn, &caller, side, &reference)?;
        can_leave(conn, &row, turn.at)?;
        let to = find_session(conn, &to)?.ok_or(Refusal::NoSeatThere)?;
        may_enter(conn, &row, &to, turn.at)?;
        if !take_seat(conn, to.session.id)? {
            return Err(Refusal::NoSeatThere.into());
        }
        if !move_to_session(conn, &row, to.session.id, turn.at)? {
            return Err(Refusal::WorldMoved.into());
        }
        set_all_answered(conn, row.id, Ask::Coming, turn.at)?;
        leave(conn, &mut turn, &row)?;
        turn.note(conn, &row, "place.move")?;
        turn.owe(conn, &row, "place_moved", row.id.raw())?;
        Ok(())
    })
}

/// What stays behind: a seat for the first in line, and a family that need not be called about this session any more.
fn leave(conn: &mut AnyConn, turn: &mut Turn, row: &RegistrationRow) -> Result<(), Failure> {
    if row.state.takes_a_seat() {
        give_back_seat(conn, row.session_id)?;
    } else {
        leave_line(conn, row.session_id)?;
    }
    let view = find_session_by_id(conn, row.session_id)?;
    if view.session.state == SessionState::Announced {
        return offer_free_seats(conn, turn, row.session_id);
    }
    set_guardian_called(conn, row.session_id, row.guardian_id, turn.at)?;
    Ok(())
}

/// Nobody rides in two sessions at once.
///
/// # Errors
/// `TwoSessionsAtOnce` when the rider has a place in another session at the same time; one may be left out.
pub(in crate::services) fn not_at_once(
    conn: &mut AnyConn,
    rider: RiderId,
    wanted: SessionId,
    except: Option<SessionId>,
) -> Result<(), Failure> {
    let spans = spans_of(conn, wanted)?;
    for row in registrations_of_riders(conn, &[rider])? {
        if !row.state.is_open() || row.session_id == wanted || Some(row.session_id) == except {
            continue;
        }
        let view = find_session_by_id(conn, row.session_id)?;
        let meets = spans_of(conn, row.session_id)?.iter().any(|other| spans.iter().any(|span| span.overlaps(other)));
        if meets && view.session.state == SessionState::Announced {
            return Err(Refusal::TwoSessionsAtOnce { site: view.site.name, on: view.session.held_on }.into());
        }
    }
    Ok(())
}

fn spans_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<Span>, StoreError> {
    let span = |row: &crate::store::sessions::MeetingRow| {
        Ok(Span { from: row.starts_at, until: row.starts_at + TimeDelta::minutes(row.minutes), on: row.day()? })
    };
    meetings_of(conn, session)?.iter().map(span).collect()
}
