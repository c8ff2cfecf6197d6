//! Versions of the curriculum, the fit rules and the cautions, as JSON. A session keeps the ones it was made with.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::rulebooks;
use crate::domain::ids::RulebookId;

/// Adds a version. `kind` is one of `curriculum`, `fit`, `cautions`.
pub fn add_rulebook(
    conn: &mut AnyConn,
    kind: &str,
    version: i64,
    starts_on: NaiveDate,
    body: &str,
    now: NaiveDateTime,
) -> Result<RulebookId, StoreError> {
    Ok(diesel::insert_into(rulebooks::table)
        .values((
            rulebooks::kind.eq(kind),
            rulebooks::version.eq(version),
            rulebooks::starts_on.eq(starts_on),
            rulebooks::body.eq(body),
            rulebooks::added_at.eq(now),
        ))
        .returning(rulebooks::id)
        .get_result(conn)?)
}

/// The newest version that has started by a day.
pub fn find_rulebook_on(conn: &mut AnyConn, kind: &str, day: NaiveDate) -> Result<Option<RulebookId>, StoreError> {
    Ok(rulebooks::table
        .filter(rulebooks::kind.eq(kind))
        .filter(rulebooks::starts_on.le(day))
        .order((rulebooks::starts_on.desc(), rulebooks::version.desc()))
        .select(rulebooks::id)
        .first(conn)
        .optional()?)
}

/// The JSON of one version.
pub fn find_rulebook(conn: &mut AnyConn, id: RulebookId) -> Result<String, StoreError> {
    Ok(rulebooks::table.filter(rulebooks::id.eq(id)).select(rulebooks::body).first(conn)?)
}
