//! What a guardian signed for one registration, exactly as it was shown then, whatever the texts say now. Reads only.

use chrono::NaiveDateTime;

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::consent::ConsentText;
use crate::domain::time::LocalTime;
use crate::domain::words::full_name;
use crate::store::consents::{SignedConsentRow, consents_of};
use crate::store::families::find_guardianship;
use crate::store::registrations::find_registration;

/// The copies of one registration.
#[derive(Clone, Debug)]
pub struct Copies {
    /// Public reference of the registration.
    pub reference: String,
    /// The rider's name in one line.
    pub rider: String,
    /// Each text that was signed, the consent to ride first.
    pub signed: Vec<Copy>,
}

/// One signed text.
#[derive(Clone, Debug)]
pub struct Copy {
    /// The text as it stood.
    pub text: ConsentText,
    /// The name as typed.
    pub signed_name: String,
    /// When, as the clock at the site showed it.
    pub signed_at: NaiveDateTime,
    /// SHA-256 of the text as shown.
    pub fingerprint: String,
}

/// The copies of a registration of the caller's family.
///
/// # Errors
/// `NotFound` for a registration that is not there or another family's.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Copies, Failure> {
    let guardian = caller.guardian().ok_or(Failure::NotFound)?;
    app.store.read(|conn| {
        let (row, rider) = find_registration(conn, reference)?.ok_or(Failure::NotFound)?;
        let tie = find_guardianship(conn, guardian, rider.id)?;
        ask(caller, Action::AnswerForRider, Subject::Rider { tie })?;
        let signed: Result<Vec<Copy>, Failure> = consents_of(conn, row.id)?.into_iter().map(copy).collect();
        let rider = full_name(&rider.given_name, &rider.family_name);
        Ok(Copies { reference: row.reference, rider, signed: signed? })
    })
}

fn copy(row: SignedConsentRow) -> Result<Copy, Failure> {
    let zone = row.zone.parse().unwrap_or(chrono_tz::UTC);
    Ok(Copy {
        text: serde_json::from_str(&row.body).map_err(Failure::broken)?,
        signed_name: row.signed_name,
        signed_at: LocalTime::from_utc(row.signed_at, zone).wall,
        fingerprint: row.shown_hash,
    })
}
