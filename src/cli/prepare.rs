//! From settings to a program that can work: keys, database, clock and the rest, put together in one place.

use std::fs::OpenOptions;
use std::os::unix::fs::OpenOptionsExt;
use std::sync::Arc;

use anyhow::{Context, Result, anyhow, bail};

use crate::outside::cipher::{Cipher, KeyRing};
use crate::outside::clock::Clock;
use crate::outside::password::Passwords;
use crate::outside::random::Random;
use crate::services::App;
use crate::settings::{self, Overrides, Settings};
use crate::store::{Store, StoreError, Tenancy, migrations};
use crate::telemetry;

use super::keys;

/// Reads the settings and starts the log.
///
/// # Errors
/// Every fault of the settings, one line each.
pub(super) fn settings(overrides: &Overrides) -> Result<Settings> {
    let settings = settings::load(overrides)?;
    telemetry::start(&settings.log);
    Ok(settings)
}

/// The settings with keys. Draws keys only where nothing can have been sealed yet: a data folder without a database.
///
/// # Errors
/// The keys are missing although a database may hold sealed text.
pub(super) fn with_keys(settings: Settings, overrides: &Overrides) -> Result<Settings> {
    if settings.keys.is_some() {
        return Ok(settings);
    }
    match settings.database.file() {
        Some(file) if !file.exists() => keys::draw(&settings.key_files, &Random::system())?,
        _ => bail!(
            "there are no keys at {}; put the ones of this database there, or draw the first ones with \
             `waymark doctor --draw-keys`",
            settings.key_files.field.display()
        ),
    }
    settings::load(overrides).map_err(Into::into)
}

/// Makes the data folder and brings the database to this program's schema.
///
/// # Errors
/// The folder cannot be made, or a migration fails.
pub(super) fn migrated(settings: &Settings) -> Result<Vec<String>> {
    std::fs::create_dir_all(&settings.data).with_context(|| format!("{} cannot be made", settings.data.display()))?;
    if let Some(folder) = settings.database.file().as_deref().and_then(std::path::Path::parent) {
        std::fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    }
    if let Some(file) = settings.database.file() {
        // The database holds families' addresses: only its owner reads it, and SQLite's side files follow its mode.
        let made = OpenOptions::new().write(true).create(true).truncate(false).mode(0o600).open(&file);
        made.with_context(|| format!("{} cannot be written", file.display()))?;
    }
    let done = migrations::migrate(&settings.database).with_context(|| at(settings))?;
    Ok(done.ran)
}

/// Puts the program together on a migrated database.
///
/// # Errors
/// The keys cannot be read, or the database cannot be opened.
pub(super) fn app(settings: Settings, tenancy: Tenancy) -> Result<App> {
    let store = opened(&settings, tenancy)?;
    with_store(settings, store)
}

/// Puts the program together on an open store.
///
/// # Errors
/// The keys cannot be read.
pub(super) fn with_store(settings: Settings, store: Store) -> Result<App> {
    let keys = settings.keys.as_ref().ok_or_else(|| {
        anyhow!("there are no keys at {}; put the ones of this database there", settings.key_files.field.display())
    })?;
    let ring =
        KeyRing::parse(keys.field.text().as_bytes()).with_context(|| settings.key_files.field.display().to_string())?;
    let random = Random::system();
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    Ok(App {
        store,
        clock: Clock::system(),
        passwords: Passwords::new(cores, random.clone()),
        cipher: Cipher::new(ring, random.clone()),
        random,
        settings: Arc::new(settings),
    })
}

/// Opens a database that is there and migrated, for a short look or one short write beside a server.
///
/// # Errors
/// It is not there, waits for a migration, or cannot be opened.
pub(super) fn beside(settings: &Settings) -> Result<Store> {
    if settings.database.file().is_some_and(|file| !file.exists()) {
        bail!("{} is not there yet; `waymark migrate` makes it", settings.database);
    }
    let store = opened(settings, Tenancy::Beside)?;
    match store.read(migrations::pending).with_context(|| at(settings))?.len() {
        0 => Ok(store),
        waiting => bail!("{}: {waiting} migrations wait; run `waymark migrate`", settings.database),
    }
}

fn opened(settings: &Settings, tenancy: Tenancy) -> Result<Store> {
    match Store::open(&settings.database, tenancy) {
        Ok(store) => Ok(store),
        Err(StoreError::InUse) => bail!("{} is in use by another Waymark", settings.database),
        Err(fault) => Err(fault).with_context(|| at(settings)),
    }
}

fn at(settings: &Settings) -> String {
    format!("database {}", settings.database)
}
