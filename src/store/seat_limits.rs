//! The limits that stood when a session was planned, kept so that its page can explain its seats later.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::seat_limits;
use crate::domain::ids::SessionId;
use crate::domain::session::Limits;

/// Keeps the limits of a session, in place of earlier ones.
pub fn set_seat_limits(conn: &mut AnyConn, session: SessionId, limits: &Limits) -> Result<(), StoreError> {
    diesel::delete(seat_limits::table.filter(seat_limits::session_id.eq(session))).execute(conn)?;
    diesel::insert_into(seat_limits::table)
        .values((
            seat_limits::session_id.eq(session),
            seat_limits::site.eq(limits.site),
            seat_limits::instructors.eq(limits.instructors),
            seat_limits::riders_per_instructor.eq(limits.riders_per_instructor),
            seat_limits::machines.eq(limits.machines),
            seat_limits::helmets.eq(limits.helmets),
            seat_limits::choice.eq(limits.choice),
            seat_limits::overbooked.eq(limits.overbooked),
        ))
        .execute(conn)?;
    Ok(())
}

/// The limits of a session, if they were kept.
pub fn find_seat_limits(conn: &mut AnyConn, session: SessionId) -> Result<Option<Limits>, StoreError> {
    type Row = (i64, i64, i64, i64, i64, Option<i64>, i64);
    let row: Option<Row> = seat_limits::table
        .filter(seat_limits::session_id.eq(session))
        .select((
            seat_limits::site,
            seat_limits::instructors,
            seat_limits::riders_per_instructor,
            seat_limits::machines,
            seat_limits::helmets,
            seat_limits::choice,
            seat_limits::overbooked,
        ))
        .first(conn)
        .optional()?;
    Ok(row.map(|(site, instructors, riders_per_instructor, machines, helmets, choice, overbooked)| Limits {
        site,
        instructors,
        riders_per_instructor,
        machines,
        helmets,
        choice,
        overbooked,
    }))
}
