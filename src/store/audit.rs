//! The audit log: plain inserts in the business transaction. A job seals ranges later; no write touches a chain head.

use chrono::NaiveDateTime;
use diesel::prelude::*;
use sha2::{Digest, Sha256};

use super::connection::AnyConn;
use super::dialect::outlive_audit_writers;
use super::error::StoreError;
use super::schema::audit_rows;
use crate::domain::access::Caller;
use crate::domain::ids::AccountId;

/// What somebody did. Holds references and words, never names, notes or typed text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AuditRow {
    /// When, in UTC.
    pub at: NaiveDateTime,
    /// Who, when signed in.
    pub account: Option<AccountId>,
    /// What, as `noun.verb`.
    pub action: &'static str,
    /// To what: a public reference.
    pub subject: String,
    /// By which request or job.
    pub request: String,
    /// More, as short words.
    pub detail: String,
}

impl AuditRow {
    /// What a caller did at a moment.
    pub fn by(
        caller: &Caller,
        at: NaiveDateTime,
        action: &'static str,
        subject: impl Into<String>,
        detail: impl Into<String>,
    ) -> Self {
        let (subject, detail) = (subject.into(), detail.into());
        Self { at, account: caller.account(), action, subject, request: caller.request.clone(), detail }
    }
}

/// Adds a row inside the transaction that does the thing.
pub fn add_audit_row(conn: &mut AnyConn, row: &AuditRow) -> Result<(), StoreError> {
    diesel::insert_into(audit_rows::table)
        .values((
            audit_rows::at.eq(row.at),
            audit_rows::account_id.eq(row.account.map(AccountId::raw)),
            audit_rows::action.eq(row.action),
            audit_rows::subject.eq(&row.subject),
            audit_rows::request_id.eq(&row.request),
            audit_rows::detail.eq(&row.detail),
            audit_rows::row_hash.eq(row_hash(row)),
        ))
        .execute(conn)?;
    Ok(())
}

/// A row as read back.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = audit_rows)]
pub struct StoredAuditRow {
    /// The row.
    pub id: i64,
    at: NaiveDateTime,
    account_id: Option<i64>,
    action: String,
    subject: String,
    request_id: String,
    detail: String,
    /// The hash that was written with it.
    pub row_hash: String,
}

impl StoredAuditRow {
    /// Whether its fields still give the hash that was written with them.
    pub fn is_sound(&self) -> bool {
        let account = self.account_id.map_or(String::new(), |id| id.to_string());
        let at = self.at.and_utc().timestamp_micros().to_string();
        let fields = [&at, &account, &self.action, &self.subject, &self.request_id, &self.detail].map(String::as_str);
        hash_of(&fields) == self.row_hash
    }
}

/// Up to `most` rows after one, in the order of their ids, none above `last`.
pub fn list_audit_rows(
    conn: &mut AnyConn,
    after: i64,
    last: i64,
    most: i64,
) -> Result<Vec<StoredAuditRow>, StoreError> {
    Ok(audit_rows::table
        .filter(audit_rows::id.gt(after))
        .filter(audit_rows::id.le(last))
        .order(audit_rows::id)
        .limit(most)
        .select(StoredAuditRow::as_select())
        .load(conn)?)
}

/// The newest row of the log, once no other can appear below it. `None`: there is none above `after`, or transactions
/// that write rows go on for long; ask again later.
pub fn find_settled_row(conn: &mut AnyConn, after: i64) -> Result<Option<i64>, StoreError> {
    let newest: Option<i64> = audit_rows::table.select(diesel::dsl::max(audit_rows::id)).first(conn)?;
    let newest = newest.filter(|id| *id > after);
    Ok(if newest.is_some() && outlive_audit_writers(conn)? { newest } else { None })
}

/// SHA-256 in hex over every field, each with its length before it, so that no two rows share a text.
fn row_hash(row: &AuditRow) -> String {
    let account = row.account.map_or(String::new(), |id| id.raw().to_string());
    let at = row.at.and_utc().timestamp_micros().to_string();
    hash_of(&[&at, &account, row.action, &row.subject, &row.request, &row.detail])
}

/// The hash of a row as read back from the table, for sealing and verifying.
pub fn hash_of(fields: &[&str; 6]) -> String {
    let mut hash = Sha256::new();
    for field in fields {
        hash.update((field.len() as u64).to_be_bytes());
        hash.update(field.as_bytes());
    }
    hex(&hash.finalize())
}

/// Lower-case hexadecimal.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}
