//! `verify`: reads the audit log and its seals again, says how much holds, and names the first row that does not.

use anyhow::{Result, bail};
use clap::Args;

use crate::services::verify_audit;

use super::{Place, prepare};

/// The options of `verify`.
#[derive(Debug, Args)]
pub(super) struct Verify {
    #[command(flatten)]
    place: Place,
    /// A head that was noted earlier: it must still be in the log
    #[arg(long, value_name = "HEX", value_parser = head)]
    head: Option<String>,
}

fn head(text: &str) -> Result<String, String> {
    let is_head = text.len() == 64 && text.chars().all(|c| c.is_ascii_hexdigit());
    if is_head { Ok(text.to_lowercase()) } else { Err("a head has 64 digits, 0-9 and a-f".into()) }
}

/// Reads the log.
///
/// # Errors
/// A row is not as it was written, or the database cannot be used.
pub(super) fn run(wanted: Verify) -> Result<()> {
    let settings = prepare::settings(&wanted.place.overrides(false))?;
    let store = prepare::beside(&settings)?;
    let report = verify_audit::verify(&store, wanted.head.as_deref())?;
    let verify_audit::Report { seals, sealed, unsealed, head, fault } = report;
    if let Some(fault) = fault {
        bail!("{fault} (sound before it: {sealed} rows under {seals} seals)");
    }
    println!("audit log: {sealed} rows sealed by {seals} seals, {unsealed} not sealed yet");
    println!("head: {head}");
    Ok(())
}
