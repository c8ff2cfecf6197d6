//! The audit log: plain inserts in the business transaction. A job seals ranges later; no write touches a chain head.

use chrono::NaiveDateTime;
use diesel::prelude::*;
use sha2::{Digest, Sha256};

use super::connection::AnyConn;
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
