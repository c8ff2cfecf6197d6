//! `demo`: the whole program with invented people, on this machine only.
//!
//! It works in a folder and a database that it made itself, which marker files say. Anybody else's data is never touched.

use std::fs::{self, OpenOptions};
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::domain::words::Word;
use crate::outside::random::Random;
use crate::services::demo::{self, SignIn};
use crate::settings::{self, Overrides, Settings};
use crate::store::Tenancy;
use crate::store::migrations::has_tables;

use super::{Place, keys, prepare, serve};

/// The file that says that a folder was made by `demo`.
const MARKER: &str = "made-by-waymark-demo";

/// The file that says which database holds the people, once they are complete.
const BUILT: &str = "demo-is-built";

/// The file that keeps the passwords drawn for this folder, for the next start.
const SIGN_INS: &str = "sign-ins.txt";

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
        let sign_ins = demo::build(&app).context("the demonstration could not be built")?;
        keep(&app.settings.data.join(SIGN_INS), &listed(&sign_ins))?;
        keep(&app.settings.data.join(BUILT), &app.settings.database.to_string())?;
    }
    let sign_ins = fs::read_to_string(app.settings.data.join(SIGN_INS)).unwrap_or_default();
    println!("Waymark demonstration: {}", app.settings.server.public_url);
    println!("The sign-in page has one button for each role. Or sign in with:\n{sign_ins}");
    println!("Everything in it is invented. Stop it with Ctrl+C.");
    serve::until_stopped(app, listener)
}

/// One line for each role: role, address, password.
fn listed(sign_ins: &[SignIn]) -> String {
    let line = |one: &SignIn| format!("  {:<14} {:<24} {}\n", one.role.as_str(), one.email, one.password);
    sign_ins.iter().map(line).collect::<String>() + "  guardian       by its button: families have no password\n"
}

fn keep(path: &Path, text: &str) -> Result<()> {
    let told = || format!("{} cannot be written", path.display());
    let mut file =
        OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(path).with_context(told)?;
    file.write_all(text.as_bytes()).with_context(told)
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
