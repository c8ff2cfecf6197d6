//! `doctor`: looks the installation over, one line for each thing, and says in words what is wrong. Changes nothing,
//! but for the keys it draws when asked to.

use std::net::{TcpStream, ToSocketAddrs};
use std::path::Path;
use std::time::Duration;

use anyhow::{Result, bail};
use clap::Args;

use crate::domain::words::{Lang, Word};
use crate::outside::cipher::KeyRing;
use crate::outside::mail::Party;
use crate::outside::random::Random;
use crate::settings::{MailWay, Settings, Smtp};
use crate::store::consents::find_consent_text_in_force;
use crate::store::programs::find_program;
use crate::store::{Store, StoreError};

use super::{Place, keys, prepare};

/// How long a relay or a gateway may take to open the door.
const KNOCK: Duration = Duration::from_secs(5);

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
    let store = prepare::beside(&settings);
    let looked = [
        ("settings", None), // Faulty ones have ended the command before.
        ("keys", keys_fault(&settings)),
        ("database", store.as_ref().err().map(super::told)),
        ("program", in_store(&store, program_fault)),
        ("consents", in_store(&store, consents_fault)),
        ("mail", mail_fault(&settings)),
    ];
    for (what, fault) in &looked {
        println!("{what}: {}", fault.as_deref().unwrap_or("fine"));
    }
    let texts = texts_fault(&settings);
    match (&settings.texts, &texts) {
        (None, _) => println!("texts: no gateway is set; nobody gets text messages"),
        (Some(_), fault) => println!("texts: {}", fault.as_deref().unwrap_or("fine")),
    }
    match looked.iter().map(|(_, fault)| fault).chain([&texts]).filter(|fault| fault.is_some()).count() {
        0 => Ok(()),
        wrong => bail!("{wrong} of {} things need a hand", looked.len() + usize::from(settings.texts.is_some())),
    }
}

fn keys_fault(settings: &Settings) -> Option<String> {
    match &settings.keys {
        None => Some(format!("there are none at {}", settings.key_files.field.display())),
        Some(keys) => KeyRing::parse(keys.field.text().as_bytes()).err().map(|fault| fault.to_string()),
    }
}

/// What a look into the database finds, if it can be looked into.
fn in_store(store: &Result<Store>, look: fn(&Store) -> Result<Option<String>, StoreError>) -> Option<String> {
    match store {
        Err(_) => Some("not looked at before the database is fine".into()),
        Ok(store) => look(store).unwrap_or_else(|fault| Some(fault.to_string())),
    }
}

fn program_fault(store: &Store) -> Result<Option<String>, StoreError> {
    let found = store.read(find_program)?;
    Ok(found.is_none().then(|| "there is none yet; run `waymark seed`".into()))
}

/// An approved ride consent in each language opens registration.
fn consents_fault(store: &Store) -> Result<Option<String>, StoreError> {
    let mut lacking = Vec::new();
    for &language in Lang::ALL {
        let text = store.read(|conn| find_consent_text_in_force(conn, "ride", language, true))?;
        if text.is_none() {
            lacking.push(language.as_str());
        }
    }
    let told = || format!("nobody has approved the ride consent in {}; registration stays closed", lacking.join(", "));
    Ok((!lacking.is_empty()).then(told))
}

fn mail_fault(settings: &Settings) -> Option<String> {
    if Party::parse(&settings.mail.from).is_err() {
        return Some(format!("mail.from is no mail address: {}", settings.mail.from));
    }
    match &settings.mail.way {
        MailWay::Files(folder) => folder_fault(folder),
        MailWay::Smtp(relay) => relay_fault(relay),
    }
}

/// Nothing is written: the nearest folder that is there must be one, and must not be read-only.
fn folder_fault(folder: &Path) -> Option<String> {
    let nearest = folder.ancestors().find(|path| path.exists())?;
    let told = |why: &str| Some(format!("letters cannot be written to {}: {why}", folder.display()));
    match std::fs::metadata(nearest) {
        Err(fault) => told(&fault.to_string()),
        Ok(found) if !found.is_dir() => told(&format!("{} is no folder", nearest.display())),
        Ok(found) if found.permissions().readonly() => told(&format!("{} is read-only", nearest.display())),
        Ok(_) => None,
    }
}

fn relay_fault(relay: &Smtp) -> Option<String> {
    let fault = knock((&relay.host, relay.port))?;
    Some(format!("the relay {}:{} {fault}", relay.host, relay.port))
}

/// Whether anything answers at the gateway's door. Sends nothing.
fn texts_fault(settings: &Settings) -> Option<String> {
    let place = settings.texts.as_ref()?.place();
    let fault = knock(place)?;
    Some(format!("the gateway {}:{} {fault}", place.0, place.1))
}

/// Whether somebody opens at a place; in words, if nobody does.
fn knock(place: (&str, u16)) -> Option<String> {
    let found = match place.to_socket_addrs() {
        Ok(found) => found,
        Err(fault) => return Some(format!("is not found: {fault}")),
    };
    let mut why = "it has no address".to_owned();
    for address in found {
        match TcpStream::connect_timeout(&address, KNOCK) {
            Ok(_) => return None,
            Err(fault) => why = fault.to_string(),
        }
    }
    Some(format!("does not answer: {why}"))
}
