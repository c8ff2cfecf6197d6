//! Versions of the curriculum, the fit rules and the cautions, as JSON. A session keeps the ones it was made with.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::point_lists::lists_of_sessions;
use super::schema::{rulebooks, sessions, sites};
use crate::domain::ids::{RulebookId, SessionId};
use crate::domain::point_list::PointListKind;
use crate::domain::session::SessionState;

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

/// Every version of a kind: the day from which it holds and its JSON, the newest first.
pub fn list_rulebook_bodies(conn: &mut AnyConn, kind: &str) -> Result<Vec<(NaiveDate, String)>, StoreError> {
    Ok(rulebooks::table
        .filter(rulebooks::kind.eq(kind))
        .order((rulebooks::starts_on.desc(), rulebooks::version.desc()))
        .select((rulebooks::starts_on, rulebooks::body))
        .load(conn)?)
}

/// The JSON of one version.
pub fn find_rulebook(conn: &mut AnyConn, id: RulebookId) -> Result<String, StoreError> {
    Ok(rulebooks::table.filter(rulebooks::id.eq(id)).select(rulebooks::body).first(conn)?)
}

/// One version without its body.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = rulebooks)]
pub struct RulebookRow {
    /// The row.
    pub id: RulebookId,
    /// Counts from 1 within its kind.
    pub version: i64,
    /// First day on which new sessions use it.
    pub starts_on: NaiveDate,
    /// When it was published.
    pub added_at: NaiveDateTime,
}

/// All versions of a kind, newest first.
pub fn list_rulebooks(conn: &mut AnyConn, kind: &str) -> Result<Vec<RulebookRow>, StoreError> {
    Ok(rulebooks::table
        .filter(rulebooks::kind.eq(kind))
        .order(rulebooks::version.desc())
        .select(RulebookRow::as_select())
        .load(conn)?)
}

/// A session that was planned under a version.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SessionUnder {
    /// Its curriculum, fit rules and cautions.
    pub books: [RulebookId; 3],
    /// Its lists of points; none of a kind for a session from before there were any.
    pub point_lists: Vec<(PointListKind, RulebookId)>,
    /// Its reference.
    pub reference: String,
    /// Its first day.
    pub held_on: NaiveDate,
    /// Its site's name.
    pub site: String,
    /// Where it stands.
    pub state: SessionState,
}

/// Every session with the versions that it was planned under, newest day first.
pub fn list_sessions_under(conn: &mut AnyConn) -> Result<Vec<SessionUnder>, StoreError> {
    type Row = (SessionId, RulebookId, RulebookId, RulebookId, String, NaiveDate, String, SessionState);
    let lists = lists_of_sessions(conn)?;
    let rows: Vec<Row> = sessions::table
        .inner_join(sites::table)
        .order((sessions::held_on.desc(), sessions::id.desc()))
        .select((
            sessions::id,
            sessions::curriculum_id,
            sessions::fit_id,
            sessions::cautions_id,
            sessions::reference,
            sessions::held_on,
            sites::name,
            sessions::state,
        ))
        .load(conn)?;
    let mut lists_of: BTreeMap<SessionId, Vec<(PointListKind, RulebookId)>> = BTreeMap::new();
    for (session, kind, list) in lists {
        lists_of.entry(session).or_default().push((kind, list));
    }
    let mut under = |(id, curriculum, fit, cautions, reference, held_on, site, state)| SessionUnder {
        books: [curriculum, fit, cautions],
        point_lists: lists_of.remove(&id).unwrap_or_default(),
        reference,
        held_on,
        site,
        state,
    };
    Ok(rows.into_iter().map(&mut under).collect())
}
