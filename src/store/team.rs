//! The team of a session: who does which duty, and handing a duty on.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::session_staff;
use crate::domain::access::Duty;
use crate::domain::ids::{SessionId, StaffId};

/// Everybody on the team with their duty, the lead first.
pub fn team_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<(StaffId, Duty)>, StoreError> {
    let mut team: Vec<(StaffId, Duty)> = session_staff::table
        .filter(session_staff::session_id.eq(session))
        .order(session_staff::staff_id)
        .select((session_staff::staff_id, session_staff::duty))
        .load(conn)?;
    team.sort_by_key(|(_, duty)| *duty);
    Ok(team)
}

/// Puts somebody on the team.
pub fn add_to_team(conn: &mut AnyConn, session: SessionId, member: StaffId, duty: Duty) -> Result<(), StoreError> {
    diesel::insert_into(session_staff::table)
        .values((
            session_staff::session_id.eq(session),
            session_staff::staff_id.eq(member),
            session_staff::duty.eq(duty),
        ))
        .execute(conn)?;
    Ok(())
}

/// Changes a duty; says whether the person had the first one.
pub fn set_duty(
    conn: &mut AnyConn,
    session: SessionId,
    member: StaffId,
    from: Duty,
    to: Duty,
) -> Result<bool, StoreError> {
    let there = session_staff::table
        .filter(session_staff::session_id.eq(session))
        .filter(session_staff::staff_id.eq(member))
        .filter(session_staff::duty.eq(from));
    Ok(diesel::update(there).set(session_staff::duty.eq(to)).execute(conn)? == 1)
}
