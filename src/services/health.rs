//! Whether this instance can serve: the database answers, and its schema is this program's.

use super::{App, Failure};
use crate::store::migrations::pending;

/// Nothing is in the way of serving.
///
/// # Errors
/// `Busy` while the database does not answer or waits for a migration.
pub fn ready(app: &App) -> Result<(), Failure> {
    match app.store.read(pending) {
        Ok(waiting) if waiting.is_empty() => Ok(()),
        Ok(_) => Err(Failure::Busy(None)),
        Err(fault) => Err(Failure::Busy(Some(fault))),
    }
}
