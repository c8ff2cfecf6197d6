//! Which machines go to which session.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{session_machines, sessions};
use crate::domain::ids::{MachineId, SessionId};

/// The machines of each of these sessions.
pub fn machines_of_sessions(
    conn: &mut AnyConn,
    sessions: &[SessionId],
) -> Result<Vec<(SessionId, MachineId)>, StoreError> {
    Ok(session_machines::table
        .filter(session_machines::session_id.eq_any(sessions))
        .order((session_machines::session_id, session_machines::machine_id))
        .select((session_machines::session_id, session_machines::machine_id))
        .load(conn)?)
}

/// The machines of each session whose last day is not before a day.
pub fn machines_of_sessions_from(
    conn: &mut AnyConn,
    day: NaiveDate,
) -> Result<Vec<(SessionId, MachineId)>, StoreError> {
    Ok(session_machines::table
        .inner_join(sessions::table)
        .filter(sessions::last_on.ge(day))
        .select((session_machines::session_id, session_machines::machine_id))
        .load(conn)?)
}

/// The machines of one session.
pub fn machines_of_session(conn: &mut AnyConn, session: SessionId) -> Result<BTreeSet<MachineId>, StoreError> {
    Ok(machines_of_sessions(conn, &[session])?.into_iter().map(|(_, machine)| machine).collect())
}

/// Sends a machine to a session. `false`: it goes there already.
pub fn add_session_machine(conn: &mut AnyConn, session: SessionId, machine: MachineId) -> Result<bool, StoreError> {
    if machines_of_session(conn, session)?.contains(&machine) {
        return Ok(false);
    }
    let row = (session_machines::session_id.eq(session), session_machines::machine_id.eq(machine));
    Ok(diesel::insert_into(session_machines::table).values(row).execute(conn)? == 1)
}

/// Lets a machine stay away from a session. `false`: it did not go there.
pub fn remove_session_machine(conn: &mut AnyConn, session: SessionId, machine: MachineId) -> Result<bool, StoreError> {
    let row = session_machines::table
        .filter(session_machines::session_id.eq(session))
        .filter(session_machines::machine_id.eq(machine));
    Ok(diesel::delete(row).execute(conn)? == 1)
}
