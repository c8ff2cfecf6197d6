//! The line of a session: who leaves it, and who gets the seat that comes free. In order of arrival, always.

use chrono::NaiveDateTime;

use super::question::Answer;
use super::{Turn, rule, start_of};
use crate::domain::ids::SessionId;
use crate::domain::place::{Ask, InLine, PlaceReason, next_in_line};
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::places::{Step, free_seats, give_back_seat, leave_line, line_of, move_place, take_freed_seat};
use crate::store::registrations::RegistrationRow;

/// Ends a place and gives its seat to whoever is next. `false`: it is over already, or moved meanwhile.
pub(super) fn vacate(
    conn: &mut AnyConn,
    turn: &mut Turn,
    row: &RegistrationRow,
    to: RegistrationState,
    reason: PlaceReason,
) -> Result<bool, Failure> {
    let step = Step { from: row.state, to, place: None, held_until: None, reason, at: turn.at };
    if !row.state.is_open() || !move_place(conn, row.id, &step)? {
        return Ok(false);
    }
    if row.state.takes_a_seat() {
        give_back_seat(conn, row.session_id)?;
    } else {
        leave_line(conn, row.session_id)?;
    }
    offer_free_seats(conn, turn, row.session_id)?;
    Ok(true)
}

/// Offers every free seat to the first in line, until there is no seat, no line, or no time to answer.
pub(super) fn offer_free_seats(conn: &mut AnyConn, turn: &mut Turn, session: SessionId) -> Result<(), Failure> {
    let start = start_of(conn, session)?;
    let Some(until) = rule(conn)?.offer_until(turn.at, start) else { return Ok(()) };
    // The seat first: whoever holds it lets all others who give out seats of this session wait.
    while take_freed_seat(conn, session)? {
        let free = usize::try_from(free_seats(conn, session)? + 1).unwrap_or_default();
        let line = line_of(conn, session)?;
        let order: Vec<InLine> =
            line.iter().map(|row| InLine { family: row.guardian_id, together: row.together }).collect();
        let Some(group) = next_in_line(&order, free) else {
            give_back_seat(conn, session)?;
            return Ok(());
        };
        for (number, at) in group.into_iter().enumerate() {
            let is_taken = number == 0 || take_freed_seat(conn, session)?;
            if is_taken && !offer(conn, turn, &line[at], until)? {
                give_back_seat(conn, session)?;
            }
        }
    }
    Ok(())
}

/// Offers a seat that was taken for this family. `false`: it waits no more.
fn offer(conn: &mut AnyConn, turn: &mut Turn, row: &RegistrationRow, until: NaiveDateTime) -> Result<bool, Failure> {
    let step = Step {
        from: RegistrationState::Waitlisted,
        to: RegistrationState::Offered,
        place: None,
        held_until: Some(until),
        reason: PlaceReason::SeatFreed,
        at: turn.at,
    };
    if !move_place(conn, row.id, &step)? {
        return Ok(false);
    }
    leave_line(conn, row.session_id)?;
    turn.note(conn, row, "place.offer")?;
    turn.put(conn, row, Ask::Offer)?;
    Ok(true)
}

/// What a family says to an offered seat.
pub(super) fn answer_offer(
    conn: &mut AnyConn,
    turn: &mut Turn,
    row: &RegistrationRow,
    answer: Answer,
) -> Result<(), Failure> {
    let is_open = row.state == RegistrationState::Offered && row.held_until.is_some_and(|until| until > turn.at);
    if !is_open {
        return Err(Refusal::AnswerTooLate.into());
    }
    let done = match answer {
        Answer::Yes => {
            let step = Step {
                from: RegistrationState::Offered,
                to: RegistrationState::Confirmed,
                place: None,
                held_until: None,
                reason: PlaceReason::OfferTaken,
                at: turn.at,
            };
            move_place(conn, row.id, &step)?
        }
        Answer::No => vacate(conn, turn, row, RegistrationState::Cancelled, PlaceReason::OfferLeft)?,
    };
    if !done {
        return Err(Refusal::AnswerTooLate.into());
    }
    let (action, kind) = match answer {
        Answer::Yes => ("place.take", "registered"),
        Answer::No => ("place.leave", "place_given_up"),
    };
    turn.note(conn, row, action)?;
    turn.owe(conn, row, kind, row.id.raw())?;
    Ok(())
}
