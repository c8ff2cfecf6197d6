//! Seals the audit log every few seconds. Must not judge what stands in it: a row that was changed before it is sealed
//! is logged and sealed as it stands, so that it keeps telling.

use super::runner::Job;
use crate::services::{App, Failure};
use crate::store::audit::{find_settled_row, list_audit_rows};
use crate::store::seals::{NO_ROW, SealRow, add_seal, find_last_seal};
use crate::store::{AnyConn, Key, StoreError};

/// The most rows that one seal covers.
const MOST: i64 = 1_000;

/// Its turn, every five seconds.
pub const JOB: Job = Job { name: "seal_audit", every: 5, run };

/// What one seal covered.
struct Sealed {
    rows: usize,
    changed: Vec<i64>,
}

/// Seals all rows that are settled. A sealer that was quicker has done it for us.
pub fn run(app: &App) -> Result<(), Failure> {
    while let Some(settled) = app.store.read(settled)? {
        let now = app.clock.now();
        let sealed = app.store.write("seal audit", move |conn| -> Result<Sealed, StoreError> {
            let last = find_last_seal(conn)?;
            let rows = list_audit_rows(conn, last_row(last.as_ref()), settled, MOST)?;
            add_seal(conn, last.as_ref(), &rows, now)?;
            let changed = rows.iter().filter(|row| !row.is_sound()).map(|row| row.id).collect();
            Ok(Sealed { rows: rows.len(), changed })
        });
        match sealed {
            Ok(sealed) => {
                for row in sealed.changed {
                    tracing::error!(row, "an audit row was changed before it was sealed");
                }
                if sealed.rows == 0 {
                    return Ok(());
                }
                tracing::info!(rows = sealed.rows, "audit rows sealed");
            }
            Err(StoreError::Duplicate(Key::SealFollows)) => return Ok(()),
            Err(fault) => return Err(fault.into()),
        }
    }
    Ok(())
}

/// The newest row that waits for a seal and is settled.
fn settled(conn: &mut AnyConn) -> Result<Option<i64>, StoreError> {
    let last = find_last_seal(conn)?;
    find_settled_row(conn, last_row(last.as_ref()))
}

fn last_row(last: Option<&SealRow>) -> i64 {
    last.map_or(NO_ROW, |seal| seal.last_row)
}
