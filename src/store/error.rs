//! What can go wrong below: one enum, with unique constraints as named keys and never as text to compare.

use diesel::result::{DatabaseErrorInformation, DatabaseErrorKind, Error as DieselError};

/// A unique constraint that a rule of the program relies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// An address opens one account.
    AccountEmail,
    /// A rider has one registration in a session.
    RegistrationRider,
    /// A request key is answered once.
    RequestKey,
    /// An act is kept once.
    Act,
    /// A rider gets one helmet of each way from a session.
    HelmetOnce,
    /// A certificate code is drawn once.
    CertificateCode,
    /// A machine's number is used once.
    MachineNumber,
    /// A pattern's name is used once.
    PatternName,
    /// A seal of the audit log is followed by one other.
    SealFollows,
    /// Any other.
    Other,
}

/// The name of each constraint on PostgreSQL, and its columns as SQLite reports them.
const KEYS: &[(Key, &str, &str)] = &[
    (Key::AccountEmail, "accounts_email_once", "accounts.sign_in_name"),
    (Key::RegistrationRider, "registrations_rider_once", "registrations.session_id, registrations.rider_id"),
    (Key::RequestKey, "request_keys_once", "request_keys.owner, request_keys.request_key"),
    (Key::Act, "acts_once", "acts.act_id"),
    (Key::Act, "acts_seq_once", "acts.session_id, acts.device, acts.seq"),
    (Key::HelmetOnce, "gear_issues_open_once", "gear_issues.registration_id, gear_issues.way"),
    (Key::CertificateCode, "certificates_code_once", "certificates.code"),
    (Key::SealFollows, "audit_seals_follow", "audit_seals.previous_head"),
    (Key::PatternName, "patterns_name_once", "patterns.name"),
    (Key::MachineNumber, "machines_number_once", "machines.number"),
];

/// A fault of the storage floor.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A row that must be there is not.
    #[error("no such row")]
    Missing,
    /// A unique constraint said no.
    #[error("already there: {0:?}")]
    Duplicate(Key),
    /// The database is overloaded or another writer won; trying again may help.
    #[error("the database is busy")]
    Busy(#[source] Option<DieselError>),
    /// The database did not answer.
    #[error("the database cannot be reached")]
    Unreachable(#[source] diesel::ConnectionError),
    /// The schema asks for a newer program.
    #[error("this database needs program level {needs}; this program has level {has}")]
    SchemaTooNew {
        /// What the schema asks for.
        needs: i64,
        /// What this program has.
        has: i64,
    },
    /// The file is served by another process.
    #[error("another Waymark process uses this database file")]
    InUse,
    /// A migration failed.
    #[error("a migration failed: {0}")]
    Migration(String),
    /// A closure of this name panicked; its work was undone.
    #[error("the write `{0}` failed unexpectedly")]
    Panicked(&'static str),
    /// The writer thread has ended.
    #[error("the writer has stopped")]
    Stopped,
    /// A stored value that the program cannot read.
    #[error("unreadable value in {0}")]
    Unreadable(&'static str),
    /// Anything else the database reported.
    #[error("the database reported a fault")]
    Database(#[source] DieselError),
    /// A file could not be used.
    #[error("a file could not be used")]
    File(#[from] std::io::Error),
}

impl From<DieselError> for StoreError {
    fn from(error: DieselError) -> Self {
        match error {
            DieselError::NotFound => Self::Missing,
            DieselError::DatabaseError(DatabaseErrorKind::UniqueViolation, ref info) => {
                Self::Duplicate(violated(info.as_ref()))
            }
            DieselError::DatabaseError(DatabaseErrorKind::SerializationFailure, _) => Self::Busy(Some(error)),
            DieselError::DatabaseError(_, ref info) if is_lock_fault(info.as_ref()) => Self::Busy(Some(error)),
            other => Self::Database(other),
        }
    }
}

fn violated(info: &(dyn DatabaseErrorInformation + Send + Sync)) -> Key {
    let said = info.constraint_name().unwrap_or_else(|| info.message());
    let columns = said.strip_prefix("UNIQUE constraint failed: ").unwrap_or(said);
    KEYS.iter().find(|(_, name, cols)| columns == *name || columns == *cols).map_or(Key::Other, |(key, _, _)| *key)
}

/// The engines report lost locks as plain messages: SQLite's busy codes, PostgreSQL's deadlock and lock time-out.
fn is_lock_fault(info: &(dyn DatabaseErrorInformation + Send + Sync)) -> bool {
    let said = info.message();
    ["database is locked", "database table is locked", "deadlock detected", "due to lock timeout"]
        .iter()
        .any(|lock| said.contains(lock))
}

/// Errors that a write may be tried again for.
pub trait Transient {
    /// Whether the same work may succeed if done again.
    fn is_transient(&self) -> bool;
}

impl Transient for StoreError {
    fn is_transient(&self) -> bool {
        matches!(self, Self::Busy(Some(_)))
    }
}
