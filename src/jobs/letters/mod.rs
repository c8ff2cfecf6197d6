//! The kinds of letters: each turns an outbox row into words, at the moment of sending and in the reader's language.
//! One file a kind. Must not send, and must not change anything but hashes of link tokens.

mod account;
mod changed;
mod concern;
mod guardian;
mod incident;
mod outcome;
mod paper;
mod place;
mod plain;
mod recall;

use crate::outside::mail::{Enclosure, Party};
use crate::services::{App, Failure};
use crate::store::StoreError;
use crate::store::outbox::OutboxRow;

/// One kind of letter.
#[derive(Clone, Copy)]
pub struct Kind {
    /// Its name in the outbox.
    pub name: &'static str,
    /// Writes it. Runs on a blocking thread; may run again for the same row.
    pub write: fn(&App, &OutboxRow) -> Result<Written, Unwritten>,
}

/// Every kind that the program can write.
pub static KINDS: &[Kind] = &[
    place::REGISTERED,
    place::WAITLISTED,
    place::ADDRESS_ASKED,
    place::SEAT_OFFERED,
    place::HOLD_RAN_OUT,
    place::OFFER_RAN_OUT,
    place::PLACE_GIVEN_UP,
    place::PLACE_MOVED,
    place::CONSENT_SIGNED,
    place::CONSENT_WITHDRAWN,
    place::STILL_COMING,
    place::REMINDER_WEEK,
    place::REMINDER_DAY,
    place::SIGN_TOO,
    guardian::INVITED,
    guardian::JOINED,
    outcome::CERTIFICATE,
    outcome::PRACTICE,
    recall::RECALLED,
    paper::RUNS_OUT,
    incident::OPENED,
    concern::WRITTEN,
    changed::MOVED,
    changed::CANCELLED,
    changed::MOVED_TEAM,
    changed::CANCELLED_TEAM,
    account::SIGN_IN_LINK,
    account::ADDRESS_LINK,
    account::ADDRESS_NEW,
    account::ADDRESS_OLD,
    account::PASSWORD_CHANGED,
    account::SECOND_STEP_ON,
    account::SECOND_STEP_OFF,
];

/// The words of a letter; id, date and sender are added when it is sent.
#[derive(Clone, Debug)]
pub struct Written {
    /// The reader.
    pub to: Party,
    /// One line.
    pub subject: String,
    /// The letter as plain text.
    pub text: String,
    /// The same letter as HTML.
    pub html: String,
    /// Files that come with it.
    pub enclosures: Vec<Enclosure>,
    /// The https address that ends this kind of letter; none for letters a booking needs.
    pub unsubscribe: Option<String>,
}

/// Why there are no words.
#[derive(Debug, thiserror::Error)]
pub enum Unwritten {
    /// What the letter is about is gone or has moved on: nobody is owed this letter any more.
    #[error("nothing to write about")]
    Moot,
    /// The database did not say; later it may.
    #[error("the letter cannot be written now")]
    Store(#[from] StoreError),
}

impl From<Failure> for Unwritten {
    fn from(failure: Failure) -> Self {
        match failure {
            Failure::NotFound | Failure::NotAllowed | Failure::Refused(_) => Self::Moot,
            Failure::Busy(_) => StoreError::Busy(None).into(),
            Failure::Broken(_) => StoreError::Unreadable("what a letter is about").into(),
        }
    }
}
