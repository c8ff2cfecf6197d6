//! Days on which people of the staff are away, and what each has taught.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{meetings, session_staff, sessions, sites, staff_absences};
use crate::domain::absence::Absence;
use crate::domain::access::Duty;
use crate::domain::ids::{SessionId, StaffId};
use crate::domain::session::SessionState;

/// Every absence, by person and day.
pub fn list_absences(conn: &mut AnyConn) -> Result<Vec<(StaffId, Absence)>, StoreError> {
    let rows: Vec<(StaffId, NaiveDate, NaiveDate)> = staff_absences::table
        .order((staff_absences::staff_id, staff_absences::from_on, staff_absences::id))
        .select((staff_absences::staff_id, staff_absences::from_on, staff_absences::through_on))
        .load(conn)?;
    Ok(rows.into_iter().map(|(staff, from, through)| (staff, Absence { from, through })).collect())
}

/// The absences of somebody by day, each with its row.
pub fn absences_of(conn: &mut AnyConn, staff: StaffId) -> Result<Vec<(i64, Absence)>, StoreError> {
    let rows: Vec<(i64, NaiveDate, NaiveDate)> = staff_absences::table
        .filter(staff_absences::staff_id.eq(staff))
        .order((staff_absences::from_on, staff_absences::id))
        .select((staff_absences::id, staff_absences::from_on, staff_absences::through_on))
        .load(conn)?;
    Ok(rows.into_iter().map(|(id, from, through)| (id, Absence { from, through })).collect())
}

/// Adds an absence.
pub fn add_absence(conn: &mut AnyConn, staff: StaffId, absence: Absence, at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::insert_into(staff_absences::table)
        .values((
            staff_absences::staff_id.eq(staff),
            staff_absences::from_on.eq(absence.from),
            staff_absences::through_on.eq(absence.through),
            staff_absences::at.eq(at),
        ))
        .execute(conn)?;
    Ok(())
}

/// Removes an absence of somebody. `false`: there is none of that row.
pub fn remove_absence(conn: &mut AnyConn, staff: StaffId, id: i64) -> Result<bool, StoreError> {
    let own = staff_absences::table.filter(staff_absences::id.eq(id)).filter(staff_absences::staff_id.eq(staff));
    Ok(diesel::delete(own).execute(conn)? == 1)
}

/// A closed session that somebody was on the team of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TaughtRow {
    /// The session's reference.
    pub session: String,
    /// Its first day.
    pub on: NaiveDate,
    /// Its site.
    pub site: String,
    /// What the person did there.
    pub duty: Duty,
    /// The minutes of all its meetings.
    pub minutes: i64,
}

/// The closed sessions of somebody, the newest first; each once, whatever the person did there.
pub fn taught_by(conn: &mut AnyConn, staff: StaffId) -> Result<Vec<TaughtRow>, StoreError> {
    let rows: Vec<(SessionId, String, NaiveDate, String, Duty)> = session_staff::table
        .inner_join(sessions::table.inner_join(sites::table))
        .filter(session_staff::staff_id.eq(staff))
        .filter(sessions::state.eq(SessionState::Closed))
        .order((sessions::held_on.desc(), sessions::id.desc()))
        .select((sessions::id, sessions::reference, sessions::held_on, sites::name, session_staff::duty))
        .load(conn)?;
    let ids: Vec<SessionId> = rows.iter().map(|(id, ..)| *id).collect();
    let minutes: Vec<(SessionId, i64)> = meetings::table
        .filter(meetings::session_id.eq_any(ids))
        .select((meetings::session_id, meetings::minutes))
        .load(conn)?;
    let of = |id: SessionId| minutes.iter().filter(|(session, _)| *session == id).map(|(_, minutes)| minutes).sum();
    let row = |(id, session, on, site, duty)| TaughtRow { session, on, site, duty, minutes: of(id) };
    Ok(rows.into_iter().map(row).collect())
}
