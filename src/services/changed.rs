//! What changed of a session, as families and the team read it. Reads only.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use crate::domain::ids::SessionId;
use crate::domain::session_change::{ChangeKind, ChangeReason, Earlier};
use crate::domain::words::Lang;
use crate::store::session_changes::{ChangeRow, newest_changes};
use crate::store::{AnyConn, StoreError};

/// The newest change of a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Moved or called off.
    pub kind: ChangeKind,
    /// Why.
    pub reason: ChangeReason,
    /// What the office adds; may be empty.
    pub words: String,
    /// The language of these words.
    pub words_language: Lang,
    /// What held before.
    pub earlier: Earlier,
    /// The sequence of calendar entries since then.
    pub sequence: u32,
    /// When, in UTC.
    pub at: NaiveDateTime,
}

impl Change {
    pub(super) fn of(row: ChangeRow) -> Result<Self, StoreError> {
        Ok(Self {
            kind: row.kind,
            reason: row.reason,
            words: row.words,
            words_language: row.words_language,
            earlier: serde_json::from_str(&row.earlier)
                .map_err(|_| StoreError::Unreadable("session_changes.earlier"))?,
            sequence: u32::try_from(row.sequence).map_err(|_| StoreError::Unreadable("session_changes.sequence"))?,
            at: row.at,
        })
    }
}

/// The newest change of each of these sessions that was changed at all.
pub(super) fn newest(conn: &mut AnyConn, of: &[SessionId]) -> Result<BTreeMap<SessionId, Change>, StoreError> {
    newest_changes(conn, of)?.into_iter().map(|(id, row)| Ok((id, Change::of(row)?))).collect()
}
