//! Versions of the day list, as JSON: a book of rules in a table of its own. A session keeps the one it was announced with.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::rulebooks::RulebookRow;
use super::schema::{day_lists, session_day_lists};
use crate::domain::ids::{RulebookId, SessionId};

/// Adds a version.
pub fn add_day_list(
    conn: &mut AnyConn,
    version: i64,
    starts_on: NaiveDate,
    body: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(day_lists::table)
        .values((
            day_lists::version.eq(version),
            day_lists::starts_on.eq(starts_on),
            day_lists::body.eq(body),
            day_lists::added_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

/// All versions, newest first.
pub fn list_day_lists(conn: &mut AnyConn) -> Result<Vec<RulebookRow>, StoreError> {
    Ok(day_lists::table
        .order(day_lists::version.desc())
        .select((day_lists::id, day_lists::version, day_lists::starts_on, day_lists::added_at))
        .load(conn)?)
}

/// The JSON of one version.
pub fn find_day_list(conn: &mut AnyConn, id: RulebookId) -> Result<String, StoreError> {
    Ok(day_lists::table.filter(day_lists::id.eq(id)).select(day_lists::body).first(conn)?)
}

/// The newest version that has started by a day.
pub fn find_day_list_on(conn: &mut AnyConn, on: NaiveDate) -> Result<Option<RulebookId>, StoreError> {
    Ok(day_lists::table
        .filter(day_lists::starts_on.le(on))
        .order((day_lists::starts_on.desc(), day_lists::version.desc()))
        .select(day_lists::id)
        .first(conn)
        .optional()?)
}

/// Ties a session to the newest version that has started by its day, if there is one.
pub fn keep_day_list(conn: &mut AnyConn, session: SessionId, on: NaiveDate) -> Result<(), StoreError> {
    let newest = find_day_list_on(conn, on)?;
    diesel::delete(session_day_lists::table.filter(session_day_lists::session_id.eq(session))).execute(conn)?;
    let Some(id) = newest else { return Ok(()) };
    diesel::insert_into(session_day_lists::table)
        .values((session_day_lists::session_id.eq(session), session_day_lists::day_list_id.eq(id)))
        .execute(conn)?;
    Ok(())
}

/// The JSON of the list that a session keeps, else of the newest that has started by its day.
pub fn day_list_of(conn: &mut AnyConn, session: SessionId, on: NaiveDate) -> Result<Option<String>, StoreError> {
    let own: Option<RulebookId> = session_day_lists::table
        .filter(session_day_lists::session_id.eq(session))
        .select(session_day_lists::day_list_id)
        .first(conn)
        .optional()?;
    let id = match own {
        Some(id) => Some(id),
        None => find_day_list_on(conn, on)?,
    };
    id.map(|id| find_day_list(conn, id)).transpose()
}
