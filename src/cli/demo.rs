//! `demo`: the whole program with invented people, on this machine only.
//!
//! It works in a folder and a database that it made itself, which marker files say. Anybody else's data is never touched.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::outside::random::Random;
use crate::services::demo;
use crate::settings::{self, Overrides, Settings};
use crate::store::Tenancy;
use crate::store::migrations::has_tables;

use super::{Place, keys, prepare, serve};

/// The file that says that a folder was made by `demo`.
const MARKER: &str = "made-by-waymark-demo";

/// The file that says which database holds the people, once they are complete.
const BUILT: &str = "demo-is-built";

/// Builds the demonstration, or goes on with it, and serves it until a signal.
///
/// # Errors
/// The folder, the database or the address is not one that `demo` may use.
pub(super) fn run(place: Place) -> Result<()> {
    let overrides = place.overrides(true);
    let settings = prepare::settings(&overrides)?;
    claim_folder(&settings)?;
    let is_new = claim_database(&settings)?;
    let settings = with_own_keys(settings, &overrides)?;
    prepare::migrated(&settings)?;
    let app = prepare::app(settings, Tenancy::Serving)?;
    let listener = serve::listener(&app)?;
    if is_new {
        demo::build(&app).context("the demonstration could not be built")?;
        let built = app.settings.data.join(BUILT);
        fs::write(&built, app.settings.database.to_string())
            .with_context(|| format!("{} cannot be written", built.display()))?;
    }
    let url = &app.settings.server.public_url;
    println!("Waymark demonstration: {url}");
    println!("Sign in at {url}/sign-in with one button for each of: {}.", demo::ROLES.join(", "));
    println!("Everything in it is invented. Stop it with Ctrl+C.");
    serve::until_stopped(app, listener)
}

/// Makes the folder ours, or sees that it is; only this machine may reach it.
fn claim_folder(settings: &Settings) -> Result<()> {
    if !settings.server.listen.ip().is_loopback() {
        bail!("demo listens on this machine only; {} is open to others", settings.server.listen);
    }
    let data = &settings.data;
    if data.join(MARKER).is_file() {
        return Ok(());
    }
    let is_empty = fs::read_dir(data).map_or(true, |mut entries| entries.next().is_none());
    if !is_empty {
        bail!("demo did not make the folder {}; choose an empty or new one with --data", data.display());
    }
    fs::create_dir_all(data).with_context(|| format!("{} cannot be made", data.display()))?;
    let marker = data.join(MARKER);
    fs::write(&marker, "Everything in this folder is invented. `waymark demo` made it and may make it anew.\n")
        .with_context(|| format!("{} cannot be written", marker.display()))
}

/// Sees that the database is ours to fill or to go on with. True when it must be built.
fn claim_database(settings: &Settings) -> Result<bool> {
    let built = fs::read_to_string(settings.data.join(BUILT)).unwrap_or_default();
    let is_built = built == settings.database.to_string();
    match settings.database.file() {
        Some(file) if file.parent() != Some(settings.data.as_path()) => {
            bail!("demo keeps its database in its own folder {}, not at {}", settings.data.display(), file.display())
        }
        Some(file) if is_built && file.exists() => Ok(false),
        Some(file) => forget_half_built(&file).map(|()| true),
        None if is_built => Ok(false),
        None if has_tables(&settings.database)? => {
            bail!("demo did not make the database {}; give it an empty one", settings.database)
        }
        None => Ok(true),
    }
}

/// A database file whose building was cut off is taken away.
fn forget_half_built(file: &Path) -> Result<()> {
    for end in ["", "-wal", "-shm"] {
        let part = PathBuf::from(format!("{}{end}", file.display()));
        if part.exists() {
            fs::remove_file(&part).with_context(|| format!("{} cannot be removed", part.display()))?;
        }
    }
    Ok(())
}

/// Keys of this folder's own, drawn on its first use.
fn with_own_keys(settings: Settings, overrides: &Overrides) -> Result<Settings> {
    if settings.keys.is_some() {
        return Ok(settings);
    }
    keys::draw(&settings.key_files, &Random::system())?;
    settings::load(overrides).map_err(Into::into)
}
