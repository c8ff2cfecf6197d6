//! `doctor`: looks the installation over, one line for each thing, and says in words what is wrong.

use anyhow::{Result, bail};
use clap::Args;

use crate::outside::cipher::KeyRing;
use crate::outside::random::Random;
use crate::settings::{MailWay, Settings};
use crate::store::{Store, Tenancy};

use super::{Place, keys, prepare};

/// The options of `doctor`.
#[derive(Debug, Args)]
pub(super) struct Doctor {
    #[command(flatten)]
    place: Place,
    /// Draw the first keys of an installation; never replaces a key file
    #[arg(long)]
    draw_keys: bool,
}

/// Looks everything over.
///
/// # Errors
/// At least one thing is wrong.
pub(super) fn run(doctor: Doctor) -> Result<()> {
    let settings = prepare::settings(&doctor.place.overrides(false))?;
    if doctor.draw_keys {
        keys::draw(&settings.key_files, &Random::system())?;
        println!("drew the keys: {}, {}", settings.key_files.field.display(), settings.key_files.pseudonym.display());
        println!("keep a copy of both apart from the database");
        return Ok(());
    }
    println!("settings: can be read");
    let looked =
        [("keys", keys_fault(&settings)), ("database", database_fault(&settings)), ("mail", mail_fault(&settings))];
    let mut wrong = 0;
    for (what, fault) in looked {
        match fault {
            None => println!("{what}: fine"),
            Some(fault) => {
                wrong += 1;
                println!("{what}: {fault}");
            }
        }
    }
    if wrong > 0 {
        bail!("{wrong} of 4 things need a hand");
    }
    Ok(())
}

fn keys_fault(settings: &Settings) -> Option<String> {
    match &settings.keys {
        None => Some(format!("there are none at {}", settings.key_files.field.display())),
        Some(keys) => KeyRing::parse(keys.field.text().as_bytes()).err().map(|fault| fault.to_string()),
    }
}

fn database_fault(settings: &Settings) -> Option<String> {
    if settings.database.file().is_some_and(|file| !file.exists()) {
        return Some(format!("{} is not there yet; `waymark migrate` makes it", settings.database));
    }
    let store = match Store::open(&settings.database, Tenancy::Beside) {
        Ok(store) => store,
        Err(fault) => return Some(format!("{}: {fault}", settings.database)),
    };
    match store.read(crate::store::migrations::pending) {
        Ok(waiting) if waiting.is_empty() => None,
        Ok(waiting) => Some(format!("{} migrations wait; run `waymark migrate`", waiting.len())),
        Err(fault) => Some(fault.to_string()),
    }
}

fn mail_fault(settings: &Settings) -> Option<String> {
    use std::net::ToSocketAddrs;
    match &settings.mail.way {
        MailWay::Files(_) => None,
        MailWay::Smtp(relay) => (relay.host.as_str(), relay.port)
            .to_socket_addrs()
            .err()
            .map(|fault| format!("the relay {} is not found: {fault}", relay.host)),
    }
}
