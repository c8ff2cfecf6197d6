//! How places in a session change hands: seats given back, places in line left, and every step kept in its order.
//! Each step is guarded by the state it begins from, so that of two at the same moment one finds nothing to do.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::registrations::RegistrationRow;
use super::schema::{moved_places, place_changes, registrations, sessions};
use crate::domain::ids::{GuardianId, RegistrationId, RiderId, SessionId};
use crate::domain::place::PlaceReason;
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;

/// Where a place moves to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The state it must stand in now.
    pub from: RegistrationState,
    /// The state it moves to.
    pub to: RegistrationState,
    /// Place in line; only for `Waitlisted`.
    pub place: Option<i64>,
    /// Until when it waits for an answer, UTC.
    pub held_until: Option<NaiveDateTime>,
    /// Why.
    pub reason: PlaceReason,
    /// When, UTC.
    pub at: NaiveDateTime,
}

/// Moves a place and keeps the step. `false`: it stood elsewhere by now.
pub fn move_place(conn: &mut AnyConn, id: RegistrationId, step: &Step) -> Result<bool, StoreError> {
    let there = registrations::table.filter(registrations::id.eq(id)).filter(registrations::state.eq(step.from));
    let values = (
        registrations::state.eq(step.to),
        registrations::place.eq(step.place),
        registrations::held_until.eq(step.held_until),
    );
    if diesel::update(there).set(values).execute(conn)? == 0 {
        return Ok(false);
    }
    add_place_change(conn, id, step.to, step.reason, step.at)?;
    Ok(true)
}

/// Moves a place that stands in one session into a seat of another, with all that belongs to it. `false`: it stood
/// elsewhere by now.
pub fn move_to_session(
    conn: &mut AnyConn,
    row: &RegistrationRow,
    to: SessionId,
    at: NaiveDateTime,
) -> Result<bool, StoreError> {
    let there = registrations::table
        .filter(registrations::id.eq(row.id))
        .filter(registrations::session_id.eq(row.session_id))
        .filter(registrations::state.eq(row.state));
    let values = (
        registrations::session_id.eq(to),
        registrations::state.eq(RegistrationState::Confirmed),
        registrations::place.eq(None::<i64>),
        registrations::held_until.eq(None::<NaiveDateTime>),
        registrations::comes_at.eq(None::<NaiveDateTime>),
    );
    if diesel::update(there).set(values).execute(conn)? == 0 {
        return Ok(false);
    }
    let change = add_place_change(conn, row.id, RegistrationState::Confirmed, PlaceReason::Moved, at)?;
    diesel::insert_into(moved_places::table)
        .values((moved_places::change_id.eq(change), moved_places::from_session_id.eq(row.session_id)))
        .execute(conn)?;
    Ok(true)
}

/// Notes that a family says its child comes, as a step of its place.
pub fn set_comes(conn: &mut AnyConn, id: RegistrationId, at: NaiveDateTime) -> Result<bool, StoreError> {
    let there = registrations::table
        .filter(registrations::id.eq(id))
        .filter(registrations::state.eq(RegistrationState::Confirmed));
    if diesel::update(there).set(registrations::comes_at.eq(at)).execute(conn)? == 0 {
        return Ok(false);
    }
    add_place_change(conn, id, RegistrationState::Confirmed, PlaceReason::Comes, at)?;
    Ok(true)
}

/// Forgets who said that they come to a session: its day is another now.
pub fn forget_comes(conn: &mut AnyConn, session: SessionId) -> Result<(), StoreError> {
    diesel::update(registrations::table.filter(registrations::session_id.eq(session)))
        .set(registrations::comes_at.eq(None::<NaiveDateTime>))
        .execute(conn)?;
    Ok(())
}

/// Keeps what a family wishes while its child waits: to come at short notice, and seats together.
pub fn set_line_wishes(
    conn: &mut AnyConn,
    id: RegistrationId,
    standby: bool,
    together: bool,
) -> Result<bool, StoreError> {
    let waits = registrations::table
        .filter(registrations::id.eq(id))
        .filter(registrations::state.eq(RegistrationState::Waitlisted));
    let set = diesel::update(waits).set((registrations::standby.eq(standby), registrations::together.eq(together)));
    Ok(set.execute(conn)? == 1)
}

/// Keeps a step of a place, and gives its row.
pub fn add_place_change(
    conn: &mut AnyConn,
    id: RegistrationId,
    state: RegistrationState,
    reason: PlaceReason,
    at: NaiveDateTime,
) -> Result<i64, StoreError> {
    Ok(diesel::insert_into(place_changes::table)
        .values((
            place_changes::registration_id.eq(id),
            place_changes::state.eq(state),
            place_changes::reason.eq(reason),
            place_changes::at.eq(at),
        ))
        .returning(place_changes::id)
        .get_result(conn)?)
}

/// One step of a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Queryable)]
pub struct PlaceChange {
    /// The state it moved to.
    pub state: RegistrationState,
    /// Why.
    pub reason: PlaceReason,
    /// When, UTC.
    pub at: NaiveDateTime,
    /// The session that the place was moved from.
    pub from_session: Option<SessionId>,
}

/// The steps of a place, the oldest first.
pub fn place_changes_of(conn: &mut AnyConn, id: RegistrationId) -> Result<Vec<PlaceChange>, StoreError> {
    Ok(place_changes::table
        .left_join(moved_places::table)
        .filter(place_changes::registration_id.eq(id))
        .order(place_changes::id)
        .select((
            place_changes::state,
            place_changes::reason,
            place_changes::at,
            moved_places::from_session_id.nullable(),
        ))
        .load(conn)?)
}

/// Gives a seat back.
pub fn give_back_seat(conn: &mut AnyConn, id: SessionId) -> Result<(), StoreError> {
    diesel::update(sessions::table.filter(sessions::id.eq(id)))
        .set(sessions::seats_taken.eq(sessions::seats_taken - 1))
        .execute(conn)?;
    Ok(())
}

/// One fewer waits.
pub fn leave_line(conn: &mut AnyConn, id: SessionId) -> Result<(), StoreError> {
    diesel::update(sessions::table.filter(sessions::id.eq(id)))
        .set(sessions::waiting.eq(sessions::waiting - 1))
        .execute(conn)?;
    Ok(())
}

/// Takes a free seat for somebody in line, of a session that takes registrations. The update also makes those who give
/// out the seats of one session wait for each other.
pub fn take_freed_seat(conn: &mut AnyConn, id: SessionId) -> Result<bool, StoreError> {
    let free = sessions::table
        .filter(sessions::id.eq(id))
        .filter(sessions::state.eq(SessionState::Announced))
        .filter(sessions::seats_taken.lt(sessions::capacity));
    Ok(diesel::update(free).set(sessions::seats_taken.eq(sessions::seats_taken + 1)).execute(conn)? == 1)
}

/// How many seats of a session are not taken.
pub fn free_seats(conn: &mut AnyConn, id: SessionId) -> Result<i64, StoreError> {
    Ok(sessions::table.filter(sessions::id.eq(id)).select(sessions::capacity - sessions::seats_taken).first(conn)?)
}

/// The line of a session in its order: those whose family has shown its address.
pub fn line_of(conn: &mut AnyConn, id: SessionId) -> Result<Vec<RegistrationRow>, StoreError> {
    Ok(registrations::table
        .filter(registrations::session_id.eq(id))
        .filter(registrations::state.eq(RegistrationState::Waitlisted))
        .filter(registrations::held_until.is_null())
        .order(registrations::place)
        .select(RegistrationRow::as_select())
        .load(conn)?)
}

/// How many children of a family wait in a session.
pub fn count_in_line(conn: &mut AnyConn, id: SessionId, family: GuardianId) -> Result<i64, StoreError> {
    Ok(registrations::table
        .filter(registrations::session_id.eq(id))
        .filter(registrations::guardian_id.eq(family))
        .filter(registrations::state.eq(RegistrationState::Waitlisted))
        .count()
        .get_result(conn)?)
}

/// Places whose time to answer has run out, in sessions that still take registrations; the longest overdue first.
pub fn overdue_places(conn: &mut AnyConn, now: NaiveDateTime, most: i64) -> Result<Vec<RegistrationId>, StoreError> {
    Ok(registrations::table
        .inner_join(sessions::table)
        .filter(registrations::held_until.le(now))
        .filter(sessions::state.eq(SessionState::Announced))
        .order((registrations::held_until, registrations::id))
        .select(registrations::id)
        .limit(most)
        .load(conn)?)
}

/// A place whose family has not answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnansweredPlace {
    /// In which session.
    pub session: SessionId,
    /// The session's first day.
    pub held_on: NaiveDate,
    /// Offered, or confirmed without a word whether the child comes.
    pub state: RegistrationState,
    /// Whose place it is.
    pub rider: RiderId,
    /// Who registered the child.
    pub registered_by: GuardianId,
}

/// Offered places of announced sessions from a day on, and confirmed ones through another day whose family has not said
/// whether the child comes.
pub fn unanswered_places(
    conn: &mut AnyConn,
    from: NaiveDate,
    through: NaiveDate,
) -> Result<Vec<UnansweredPlace>, StoreError> {
    type Row = (SessionId, NaiveDate, RegistrationState, RiderId, GuardianId);
    let is_offered = registrations::state.eq(RegistrationState::Offered);
    let is_silent = registrations::state
        .eq(RegistrationState::Confirmed)
        .and(registrations::comes_at.is_null())
        .and(sessions::held_on.le(through));
    let rows: Vec<Row> = registrations::table
        .inner_join(sessions::table)
        .filter(sessions::state.eq(SessionState::Announced))
        .filter(sessions::held_on.ge(from))
        .filter(is_offered.or(is_silent))
        .order(registrations::id)
        .select((
            sessions::id,
            sessions::held_on,
            registrations::state,
            registrations::rider_id,
            registrations::guardian_id,
        ))
        .load(conn)?;
    let place = |(session, held_on, state, rider, registered_by): Row| UnansweredPlace {
        session,
        held_on,
        state,
        rider,
        registered_by,
    };
    Ok(rows.into_iter().map(place).collect())
}

/// Announced sessions with a free seat and a line.
pub fn sessions_with_a_seat_for_the_line(conn: &mut AnyConn) -> Result<Vec<SessionId>, StoreError> {
    Ok(sessions::table
        .filter(sessions::state.eq(SessionState::Announced))
        .filter(sessions::waiting.gt(0))
        .filter(sessions::seats_taken.lt(sessions::capacity))
        .order(sessions::id)
        .select(sessions::id)
        .load(conn)?)
}
