//! Certificates of riders. A row is never changed but to take the certificate back; the paper is a frozen file.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{certificates, registrations};
use crate::domain::ids::{CertificateId, FileId, RegistrationId, SessionId};
use crate::domain::words::Lang;

/// A certificate.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = certificates)]
pub struct CertificateRow {
    /// The row.
    pub id: CertificateId,
    /// The code, which is the number.
    pub code: String,
    /// For which registration.
    pub registration_id: RegistrationId,
    /// The name as it stands on the paper.
    pub rider_name: String,
    /// The day of completion, at the site.
    pub completed_on: NaiveDate,
    /// The first day on which it counts.
    pub valid_from: NaiveDate,
    /// Who led the session.
    pub lead_name: String,
    /// The language of the paper.
    pub language: Lang,
    /// The frozen paper; none when the name could not be set.
    pub file_id: Option<FileId>,
    /// When it was drawn, in UTC.
    pub issued_at: NaiveDateTime,
    /// When it was taken back, in UTC.
    pub revoked_at: Option<NaiveDateTime>,
    /// Why it was taken back.
    pub revoked_why: Option<String>,
}

/// A certificate about to be given.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = certificates)]
pub struct NewCertificate {
    /// The code.
    pub code: String,
    /// For which registration.
    pub registration_id: RegistrationId,
    /// The name as it stands on the paper.
    pub rider_name: String,
    /// The day of completion.
    pub completed_on: NaiveDate,
    /// The first day on which it counts.
    pub valid_from: NaiveDate,
    /// Who led the session.
    pub lead_name: String,
    /// The language of the paper.
    pub language: Lang,
    /// The frozen paper.
    pub file_id: Option<FileId>,
    /// When, in UTC.
    pub issued_at: NaiveDateTime,
}

/// Gives a certificate. A code drawn twice is `Duplicate(Key::CertificateCode)`.
pub fn add_certificate(conn: &mut AnyConn, new: &NewCertificate) -> Result<CertificateId, StoreError> {
    Ok(diesel::insert_into(certificates::table).values(new).returning(certificates::id).get_result(conn)?)
}

/// The certificate of a code.
pub fn find_certificate(conn: &mut AnyConn, code: &str) -> Result<Option<CertificateRow>, StoreError> {
    Ok(certificates::table
        .filter(certificates::code.eq(code))
        .select(CertificateRow::as_select())
        .first(conn)
        .optional()?)
}

/// The certificate of a row.
pub fn find_certificate_by_id(conn: &mut AnyConn, id: CertificateId) -> Result<CertificateRow, StoreError> {
    Ok(certificates::table.filter(certificates::id.eq(id)).select(CertificateRow::as_select()).first(conn)?)
}

/// Every certificate of a session, revoked ones among them, oldest first.
pub fn certificates_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<CertificateRow>, StoreError> {
    Ok(certificates::table
        .inner_join(registrations::table)
        .filter(registrations::session_id.eq(session))
        .order(certificates::id)
        .select(CertificateRow::as_select())
        .load(conn)?)
}

/// The certificates of these registrations that were not taken back, oldest first.
pub fn standing_certificates(conn: &mut AnyConn, of: &[RegistrationId]) -> Result<Vec<CertificateRow>, StoreError> {
    Ok(certificates::table
        .filter(certificates::registration_id.eq_any(of))
        .filter(certificates::revoked_at.is_null())
        .order(certificates::id)
        .select(CertificateRow::as_select())
        .load(conn)?)
}

/// Takes a certificate back; says whether it still stood.
pub fn revoke_certificate(
    conn: &mut AnyConn,
    id: CertificateId,
    at: NaiveDateTime,
    why: &str,
) -> Result<bool, StoreError> {
    let standing = certificates::table.filter(certificates::id.eq(id)).filter(certificates::revoked_at.is_null());
    let changed = diesel::update(standing)
        .set((certificates::revoked_at.eq(at), certificates::revoked_why.eq(why)))
        .execute(conn)?;
    Ok(changed == 1)
}
