//! Seals of the audit log: each covers the rows since the one before and continues its head, so that a change of any
//! sealed row breaks the chain from there on. Must not judge: `services/verify_audit.rs` does.

use chrono::NaiveDateTime;
use diesel::prelude::*;
use sha2::{Digest, Sha256};

use super::audit::{StoredAuditRow, hex};
use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::audit_seals;

/// The head before the first seal.
pub const NO_HEAD: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Below every audit row.
pub const NO_ROW: i64 = i64::MIN;

/// Hexadecimal digits of a row's hash that a mark keeps.
const MARK: usize = 32;

/// A seal as stored.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = audit_seals)]
pub struct SealRow {
    /// The row.
    pub id: i64,
    /// First audit row it covers.
    pub first_row: i64,
    /// Last audit row it covers.
    pub last_row: i64,
    /// How many it covers; ids may have gaps.
    pub rows_sealed: i64,
    /// Head of the seal before.
    pub previous_head: String,
    /// SHA-256 in hex over the previous head and the rows' hashes in order.
    pub head: String,
    /// One `id:hash` a row, in order, the hash cut to its first half.
    pub marks: String,
}

/// What a seal remembers of one row, for naming it. The head, not the mark, is the proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark<'a> {
    /// The audit row.
    pub row: i64,
    /// The beginning of its hash.
    pub hash: &'a str,
}

impl SealRow {
    /// The marks in order; `None` when one cannot be read.
    pub fn read_marks(&self) -> Option<Vec<Mark<'_>>> {
        let read = |word| {
            let (row, hash) = str::split_once(word, ':')?;
            (hash.len() == MARK && hash.is_ascii()).then_some(Mark { row: row.parse().ok()?, hash })
        };
        self.marks.split_whitespace().map(read).collect()
    }
}

impl Mark<'_> {
    /// Whether a row's hash is the one that was sealed.
    pub fn fits(&self, row_hash: &str) -> bool {
        row_hash.starts_with(self.hash)
    }
}

/// The head that follows `previous` over these hashes.
pub fn next_head<'a>(previous: &str, hashes: impl IntoIterator<Item = &'a str>) -> String {
    let mut head = Sha256::new();
    head.update(previous.as_bytes());
    for hash in hashes {
        head.update(hash.as_bytes());
    }
    hex(&head.finalize())
}

/// The newest seal.
pub fn find_last_seal(conn: &mut AnyConn) -> Result<Option<SealRow>, StoreError> {
    let newest = audit_seals::table.order(audit_seals::id.desc()).select(SealRow::as_select());
    Ok(newest.first(conn).optional()?)
}

/// Up to `most` seals after one, in order.
pub fn list_seals_after(conn: &mut AnyConn, id: i64, most: i64) -> Result<Vec<SealRow>, StoreError> {
    Ok(audit_seals::table
        .filter(audit_seals::id.gt(id))
        .order(audit_seals::id)
        .limit(most)
        .select(SealRow::as_select())
        .load(conn)?)
}

/// Seals rows, in the order of their ids, after `last`. A sealer that was quicker is `Duplicate(Key::SealFollows)`.
/// The hash that stands in each row is sealed: a row changed before keeps telling it.
pub fn add_seal(
    conn: &mut AnyConn,
    last: Option<&SealRow>,
    rows: &[StoredAuditRow],
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let (Some(first), Some(end)) = (rows.first(), rows.last()) else { return Ok(()) };
    let previous = last.map_or(NO_HEAD, |seal| &seal.head);
    let marks: Vec<String> = rows.iter().map(|row| format!("{}:{:.MARK$}", row.id, row.row_hash)).collect();
    diesel::insert_into(audit_seals::table)
        .values((
            audit_seals::first_row.eq(first.id),
            audit_seals::last_row.eq(end.id),
            audit_seals::rows_sealed.eq(rows.len() as i64),
            audit_seals::previous_head.eq(previous),
            audit_seals::head.eq(next_head(previous, rows.iter().map(|row| &*row.row_hash))),
            audit_seals::marks.eq(marks.join(" ")),
            audit_seals::sealed_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}
