//! Health answers that a family keeps for the next registration of a child, by its own choice: read back to its adults
//! alone, and gone when they say so. The session's own copy is another row and follows rules of its own.

use chrono::NaiveDateTime;

use super::register::answers::HealthAnswers;
use super::ties::own_child;
use super::{App, Failure};
use crate::domain::access::Caller;
use crate::domain::ids::RiderId;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::kept_health::{find_kept_health, remove_kept_health, set_kept_health};
use crate::store::{AnyConn, StoreError};

/// Where the seal belongs.
const SEAL: (&str, &str) = ("kept_health", "body");

/// Answers that were kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// As they were typed.
    pub answers: HealthAnswers,
    /// When, in UTC.
    pub at: NaiveDateTime,
}

/// Answers sealed for the row that will hold them.
#[derive(Clone)]
pub(super) struct Sealed {
    key: [u8; 16],
    body: Vec<u8>,
}

/// Seals answers.
pub(super) fn seal(app: &App, answers: &HealthAnswers) -> Result<Sealed, Failure> {
    let key: [u8; 16] = app.random.bytes();
    let plain = zeroize::Zeroizing::new(serde_json::to_vec(answers).map_err(Failure::broken)?);
    Ok(Sealed { body: app.cipher.seal(SEAL.0, SEAL.1, &key, &plain), key })
}

/// What is kept for a child. The caller has asked whether its reader may know.
pub(super) fn find(app: &App, conn: &mut AnyConn, rider: RiderId) -> Result<Option<Kept>, Failure> {
    let Some(row) = find_kept_health(conn, rider)? else { return Ok(None) };
    let key: [u8; 16] = row.row_key.try_into().map_err(|_| StoreError::Unreadable("kept_health.row_key"))?;
    let plain = app.cipher.open(SEAL.0, SEAL.1, &key, &row.body).map_err(Failure::broken)?;
    let answers = serde_json::from_slice(&plain).map_err(Failure::broken)?;
    Ok(Some(Kept { answers, at: row.kept_at }))
}

/// What a registration does with a child's kept answers.
#[derive(Clone)]
pub(super) enum Keeping {
    /// The family wants these to be kept.
    Keep(Sealed),
    /// It saw that some are kept, and does not want that any more.
    Forget,
    /// Nothing was kept and nothing is to be.
    Leave,
}

/// Does what the family wants with a child's kept answers.
pub(super) fn set(conn: &mut AnyConn, rider: RiderId, keeping: &Keeping, at: NaiveDateTime) -> Result<(), StoreError> {
    match keeping {
        Keeping::Keep(sealed) => set_kept_health(conn, rider, &sealed.key, &sealed.body, at),
        Keeping::Forget => remove_kept_health(conn, rider).map(drop),
        Keeping::Leave => Ok(()),
    }
}

/// Forgets what is kept for a child.
///
/// # Errors
/// `NotFound` for a child that the caller does not answer for.
pub fn forget(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let (caller, reference, now) = (caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("forget health", move |conn| -> Result<(), Failure> {
        let (_, rider) = own_child(conn, &caller, &reference)?;
        if remove_kept_health(conn, rider.id)? {
            add_audit_row(conn, &AuditRow::by(&caller, now, "health.forget", format!("rider {reference}"), ""))?;
        }
        Ok(())
    })
}
