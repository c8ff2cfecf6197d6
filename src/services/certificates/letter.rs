//! What the letters after a session need: whom they go to, and the certificate with its opened paper.

use crate::services::ties::speaker;
use chrono::NaiveDate;

use super::paper;
use crate::domain::cautions::CautionKey;
use crate::domain::certificate::CertificateCode;
use crate::domain::ids::{CertificateId, RegistrationId};
use crate::domain::words::{Lang, full_name};
use crate::services::{App, Failure, program};
use crate::store::AnyConn;
use crate::store::certificates::find_certificate_by_id;
use crate::store::files::find_file;
use crate::store::registrations::find_registration_by_id;
use crate::store::sessions::find_session_by_id;

/// Whom a letter about one registration goes to.
#[derive(Clone, Debug)]
pub struct Addressed {
    /// The guardian's name.
    pub guardian: String,
    /// The guardian's address.
    pub address: String,
    /// The child's first name.
    pub rider: String,
    /// The course's title in the letter's language.
    pub course: String,
    /// The session's first day.
    pub held_on: NaiveDate,
    /// What a certificate does not say, in the words that the session keeps.
    pub caution: String,
}

/// A certificate for its letter.
#[derive(Clone, Debug)]
pub struct ForLetter {
    /// Whom it goes to.
    pub addressed: Addressed,
    /// The code.
    pub code: CertificateCode,
    /// First day on which it counts.
    pub valid_from: NaiveDate,
    /// The paper's bytes; none when the name could not be set.
    pub paper: Option<Vec<u8>>,
}

/// The adult who speaks for the rider; nobody when there is none or the adult has no address.
pub(in crate::services) fn addressed(
    conn: &mut AnyConn,
    id: RegistrationId,
    lang: Lang,
) -> Result<Option<Addressed>, Failure> {
    let (registration, rider) = find_registration_by_id(conn, id)?;
    let Some(adult) = speaker(conn, &registration)? else { return Ok(None) };
    let Some(address) = adult.email else { return Ok(None) };
    let view = find_session_by_id(conn, registration.session_id)?;
    Ok(Some(Addressed {
        guardian: full_name(&adult.given_name, &adult.family_name),
        address,
        rider: rider.given_name,
        course: view.course.title(lang).to_owned(),
        held_on: view.session.held_on,
        caution: program::caution(conn, view.session.cautions_id, CautionKey::Certificate)?.in_lang(lang).to_owned(),
    }))
}

/// A certificate that still stands, for its letter.
///
/// # Errors
/// Those of the store; `Broken` when the paper does not open.
pub fn of(app: &App, id: CertificateId, lang: Lang) -> Result<Option<ForLetter>, Failure> {
    let found = app.store.read(|conn| {
        let row = find_certificate_by_id(conn, id)?;
        let addressed = addressed(conn, row.registration_id, lang)?;
        let (Some(addressed), None) = (addressed, row.revoked_at) else { return Ok::<_, Failure>(None) };
        let file = row.file_id.map(|file| find_file(conn, file)).transpose()?;
        Ok(Some((row, addressed, file)))
    })?;
    let Some((row, addressed, file)) = found else { return Ok(None) };
    let code = CertificateCode::parse(&row.code).map_err(Failure::broken)?;
    let paper = file.map(|file| paper::open(app, &file)).transpose()?;
    Ok(Some(ForLetter { addressed, code, valid_from: row.valid_from, paper }))
}
