//! Versions of the lists of points, as JSON: books of rules in a table of their own. A session keeps the ones that it was
//! announced with.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::rulebooks::RulebookRow;
use super::schema::{point_lists, session_point_lists};
use crate::domain::ids::{RulebookId, SessionId};
use crate::domain::point_list::PointListKind;
use crate::domain::words::Word;

/// Adds a version.
pub fn add_point_list(
    conn: &mut AnyConn,
    kind: PointListKind,
    version: i64,
    starts_on: NaiveDate,
    body: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(point_lists::table)
        .values((
            point_lists::kind.eq(kind),
            point_lists::version.eq(version),
            point_lists::starts_on.eq(starts_on),
            point_lists::body.eq(body),
            point_lists::added_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

/// All versions of a kind, newest first.
pub fn list_point_lists(conn: &mut AnyConn, kind: PointListKind) -> Result<Vec<RulebookRow>, StoreError> {
    Ok(point_lists::table
        .filter(point_lists::kind.eq(kind))
        .order(point_lists::version.desc())
        .select((point_lists::id, point_lists::version, point_lists::starts_on, point_lists::added_at))
        .load(conn)?)
}

/// The JSON of one version.
pub fn find_point_list(conn: &mut AnyConn, id: RulebookId) -> Result<String, StoreError> {
    Ok(point_lists::table.filter(point_lists::id.eq(id)).select(point_lists::body).first(conn)?)
}

/// The newest version of a kind that has started by a day.
pub fn find_point_list_on(
    conn: &mut AnyConn,
    kind: PointListKind,
    on: NaiveDate,
) -> Result<Option<RulebookId>, StoreError> {
    Ok(point_lists::table
        .filter(point_lists::kind.eq(kind))
        .filter(point_lists::starts_on.le(on))
        .order((point_lists::starts_on.desc(), point_lists::version.desc()))
        .select(point_lists::id)
        .first(conn)
        .optional()?)
}

/// Ties a session to the newest version of each kind that has started by its day, where there is one.
pub fn keep_point_lists(conn: &mut AnyConn, session: SessionId, on: NaiveDate) -> Result<(), StoreError> {
    diesel::delete(session_point_lists::table.filter(session_point_lists::session_id.eq(session))).execute(conn)?;
    for kind in PointListKind::ALL {
        let Some(id) = find_point_list_on(conn, *kind, on)? else { continue };
        diesel::insert_into(session_point_lists::table)
            .values((
                session_point_lists::session_id.eq(session),
                session_point_lists::kind.eq(*kind),
                session_point_lists::point_list_id.eq(id),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// The JSON of the list that a session keeps, else of the newest that has started by its day.
pub fn point_list_of(
    conn: &mut AnyConn,
    kind: PointListKind,
    session: SessionId,
    on: NaiveDate,
) -> Result<Option<String>, StoreError> {
    let own: Option<RulebookId> = session_point_lists::table
        .filter(session_point_lists::session_id.eq(session))
        .filter(session_point_lists::kind.eq(kind))
        .select(session_point_lists::point_list_id)
        .first(conn)
        .optional()?;
    let id = match own {
        Some(id) => Some(id),
        None => find_point_list_on(conn, kind, on)?,
    };
    id.map(|id| find_point_list(conn, id)).transpose()
}

/// Every session with the versions that it keeps.
pub fn lists_of_sessions(conn: &mut AnyConn) -> Result<Vec<(SessionId, PointListKind, RulebookId)>, StoreError> {
    Ok(session_point_lists::table
        .select((session_point_lists::session_id, session_point_lists::kind, session_point_lists::point_list_id))
        .load(conn)?)
}
