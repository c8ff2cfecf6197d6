//! FLOOR 3: one use case = one function = one transaction. A service asks `may`, lets the domain decide and stores
//! the outcome with its audit row and its letters. It knows no page and no route.

pub mod account;
pub mod accounts;
pub mod add_staff;
pub mod browse;
pub mod carried_sheet;
pub mod certificates;
pub mod change_session;
pub mod changed;
pub mod close_session;
pub mod concerns;
pub mod consent_texts;
pub mod corrections;
pub(crate) mod counties;
pub mod courses;
pub mod deletions;
pub mod demo;
pub mod due;
pub mod failure;
pub mod families;
pub mod family;
pub mod field_act;
pub mod fleet;
pub mod gear;
pub mod health;
pub mod imports;
pub mod incidents;
pub mod invitations;
pub mod kept_health;
pub mod mail_choice;
pub mod merges;
pub mod my_data;
pub mod my_work;
mod notices;
mod once;
pub mod paper_reminders;
pub mod patterns;
pub mod people;
pub mod places;
pub mod plan_session;
pub mod program;
pub mod program_settings;
pub mod proofs;
pub mod recover;
pub mod register;
pub mod report;
pub mod retention;
pub mod roster;
pub mod rules;
pub mod season;
pub mod seed;
pub mod series;
pub mod session_file;
pub mod session_machines;
pub mod sign_in;
pub mod signed_consents;
pub mod sites;
pub mod teaching;
pub mod texts;
pub mod ties;
pub mod told;
pub mod turn;
pub mod verify_audit;
pub mod voluntary;

use std::sync::Arc;

pub use failure::Failure;

use crate::domain::access::{Action, Caller, Permission, Subject, may};
use crate::outside::cipher::Cipher;
use crate::outside::clock::Clock;
use crate::outside::password::Passwords;
use crate::outside::random::Random;
use crate::settings::Settings;
use crate::store::Store;

/// What every use case may need. Cheap to clone.
#[derive(Clone)]
pub struct App {
    /// The database.
    pub store: Store,
    /// Now.
    pub clock: Clock,
    /// Chance.
    pub random: Random,
    /// Password hashing behind its gate.
    pub passwords: Passwords,
    /// Sealing of sensitive columns and files.
    pub cipher: Cipher,
    /// How this installation is set up.
    pub settings: Arc<Settings>,
}

/// Asks whether the caller may, and turns a no into the failure that shows it.
pub(crate) fn ask(caller: &Caller, action: Action, subject: Subject) -> Result<(), Failure> {
    match may(caller, action, subject) {
        Permission::Granted => Ok(()),
        Permission::Denied => Err(Failure::NotAllowed),
        Permission::Hidden => Err(Failure::NotFound),
    }
}
