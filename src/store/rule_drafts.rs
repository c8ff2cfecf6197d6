//! The one open draft of each book of rules, as JSON. A change names the revision it was made on; a stale one writes nothing.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::rule_drafts;
use crate::domain::ids::AccountId;

/// A draft as stored.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = rule_drafts)]
pub struct RuleDraftRow {
    /// The kind of book; one draft each.
    pub kind: String,
    /// The version that it was started from.
    pub base_version: i64,
    /// The book as JSON.
    pub body: String,
    /// The book before the last change, as JSON.
    pub previous: Option<String>,
    /// Rises with each change.
    pub revision: i64,
    /// When it was started.
    pub started_at: NaiveDateTime,
    /// When it was changed last.
    pub changed_at: NaiveDateTime,
    /// By whom.
    pub changed_by: Option<i64>,
}

/// The open draft of a kind.
pub fn find_rule_draft(conn: &mut AnyConn, kind: &str) -> Result<Option<RuleDraftRow>, StoreError> {
    let row = rule_drafts::table.filter(rule_drafts::kind.eq(kind));
    Ok(row.select(RuleDraftRow::as_select()).first(conn).optional()?)
}

/// Opens a draft.
pub fn add_rule_draft(conn: &mut AnyConn, row: &RuleDraftRow) -> Result<(), StoreError> {
    diesel::insert_into(rule_drafts::table).values(row).execute(conn)?;
    Ok(())
}

/// Writes a change over the row that was read and keeps what stood before; false when another change came first.
pub fn set_rule_draft(
    conn: &mut AnyConn,
    read: &RuleDraftRow,
    body: &str,
    by: Option<AccountId>,
    now: NaiveDateTime,
) -> Result<bool, StoreError> {
    let row =
        rule_drafts::table.filter(rule_drafts::kind.eq(&read.kind)).filter(rule_drafts::revision.eq(read.revision));
    let change = (
        rule_drafts::body.eq(body),
        rule_drafts::previous.eq(Some(&read.body)),
        rule_drafts::revision.eq(read.revision + 1),
        rule_drafts::changed_at.eq(now),
        rule_drafts::changed_by.eq(by.map(AccountId::raw)),
    );
    Ok(diesel::update(row).set(change).execute(conn)? == 1)
}

/// Takes the draft of a kind away.
pub fn remove_rule_draft(conn: &mut AnyConn, kind: &str) -> Result<(), StoreError> {
    diesel::delete(rule_drafts::table.filter(rule_drafts::kind.eq(kind))).execute(conn)?;
    Ok(())
}
