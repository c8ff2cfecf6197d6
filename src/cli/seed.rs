//! `seed`: the program's data and no people, into an empty database.

use std::path::PathBuf;

use anyhow::{Context, Result, bail};
use chrono::NaiveDate;
use clap::Args;

use crate::services::seed::{self, Seeded};
use crate::store::Tenancy;

use super::{Place, prepare};

/// The options of `seed`.
#[derive(Debug, Args)]
pub(super) struct Seed {
    #[command(flatten)]
    place: Place,
    /// Your own program file, made from seed/program.toml [usual: the one that ships]
    #[arg(long, value_name = "FILE")]
    program: Option<PathBuf>,
    /// Who approved the consent texts; without it registration stays closed
    #[arg(long, value_name = "NAME", requires = "approved_on")]
    approved_by: Option<String>,
    /// The day on which they did, as 2026-03-31
    #[arg(long, value_name = "DAY", requires = "approved_by")]
    approved_on: Option<NaiveDate>,
}

/// Fills an empty database.
///
/// # Errors
/// The program file is not sound, or the database cannot be used.
pub(super) fn run(wanted: Seed) -> Result<()> {
    let file = match &wanted.program {
        Some(path) => std::fs::read_to_string(path).with_context(|| format!("{} cannot be read", path.display()))?,
        None => seed::SHIPPED_PROGRAM.to_owned(),
    };
    seed::check(&file)?;
    let overrides = wanted.place.overrides(false);
    let settings = prepare::with_keys(prepare::settings(&overrides)?, &overrides)?;
    prepare::migrated(&settings)?;
    let app = prepare::app(settings, Tenancy::Beside)?;
    match seed::program(&app, &file, wanted.approved_by.as_deref().zip(wanted.approved_on))? {
        Seeded::Filled => println!("{}: seeded; a running server shows it after a restart", app.settings.database),
        Seeded::AlreadyThere => bail!("{} has a program already; nothing was changed", app.settings.database),
    }
    Ok(())
}
