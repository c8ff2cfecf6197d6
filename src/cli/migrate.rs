//! `migrate`: brings the database to this program's schema and says what ran.

use anyhow::Result;

use super::{Place, prepare};

/// Runs what is pending.
///
/// # Errors
/// Settings or database are not usable, or a migration failed and was undone.
pub(super) fn run(place: Place) -> Result<()> {
    let settings = prepare::settings(&place.overrides(false))?;
    let ran = prepare::migrated(&settings)?;
    if ran.is_empty() {
        println!("{}: nothing to do", settings.database);
    }
    for name in ran {
        println!("{}: ran {name}", settings.database);
    }
    Ok(())
}
