//! Counting wrong tries, for known and unknown addresses alike. Only hashes of what was tried are kept.

use chrono::NaiveDateTime;
use sha2::{Digest, Sha256};

use crate::domain::ids::AccountId;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::{ACCOUNT_TRIES, ADDRESS_TRIES, TRIES_WINDOW, wait};
use crate::services::{App, Failure};
use crate::store::AnyConn;
use crate::store::wrong_tries::{add_wrong_try, wrong_tries_since};

/// What is counted, and how many wrong tries it is let.
#[derive(Clone, Debug)]
pub struct Counted {
    hash: Vec<u8>,
    most: usize,
}

fn counted(kind: &str, what: &str, most: usize) -> Counted {
    Counted { hash: Sha256::digest(format!("{kind} {what}")).to_vec(), most }
}

/// A try with an e-mail address from a network address.
pub fn keys(email: &str, address: &str) -> Vec<Counted> {
    vec![counted("email", &email.to_lowercase(), ACCOUNT_TRIES), counted("address", address, ADDRESS_TRIES)]
}

/// A try of somebody whose account is known already: of a code, or of the current password.
pub fn account_key(account: AccountId) -> Vec<Counted> {
    vec![counted("account", &account.raw().to_string(), ACCOUNT_TRIES)]
}

/// Lets the next try pass, or says after how many minutes it may come.
pub fn in_time(conn: &mut AnyConn, keys: &[Counted], now: NaiveDateTime) -> Result<(), Failure> {
    for key in keys {
        let wrong = wrong_tries_since(conn, &key.hash, now - TRIES_WINDOW, key.most)?;
        if let Some(wait) = wait(&wrong, key.most, now) {
            return Err(Refusal::TooManyTries { minutes: wait.num_minutes() + 1 }.into());
        }
    }
    Ok(())
}

/// Notes a wrong try.
pub fn note_wrong(app: &App, keys: Vec<Counted>) -> Result<(), Failure> {
    let now = app.clock.now();
    let hashes: Vec<Vec<u8>> = keys.into_iter().map(|key| key.hash).collect();
    app.store.write("note wrong try", move |conn| add_wrong_try(conn, &hashes, now).map_err(Failure::from))
}

/// Letters with links to one e-mail address.
pub fn link_key(email: &str) -> Vec<u8> {
    counted("link", &email.to_lowercase(), 0).hash
}
