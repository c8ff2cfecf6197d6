//! Consent texts by kind, version and language, and the signatures under them.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::{consent_texts, consents};
use crate::domain::ids::{ConsentTextId, GuardianId, RegistrationId};
use crate::domain::words::Lang;

/// A text as stored.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = consent_texts)]
pub struct ConsentTextRow {
    /// The row.
    pub id: ConsentTextId,
    /// `ride` or `photo`.
    pub kind: String,
    /// Version, rising.
    pub version: i64,
    /// Language.
    pub language: Lang,
    /// The text as JSON.
    pub body: String,
    /// SHA-256 in hex of the text as shown.
    pub shown_hash: String,
    /// Whether it is the sample that ships.
    pub sample: bool,
    /// Who approved it for use.
    pub approved_by: Option<String>,
    /// When.
    pub approved_on: Option<NaiveDate>,
}

/// A text about to be added.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = consent_texts)]
pub struct NewConsentText {
    /// `ride` or `photo`.
    pub kind: String,
    /// Version, rising.
    pub version: i64,
    /// Language.
    pub language: Lang,
    /// The text as JSON.
    pub body: String,
    /// SHA-256 in hex of the text as shown.
    pub shown_hash: String,
    /// Whether it is the sample that ships.
    pub sample: bool,
    /// Who approved it for use.
    pub approved_by: Option<String>,
    /// When.
    pub approved_on: Option<NaiveDate>,
}

/// Adds a text.
pub fn add_consent_text(conn: &mut AnyConn, text: &NewConsentText) -> Result<ConsentTextId, StoreError> {
    Ok(diesel::insert_into(consent_texts::table).values(text).returning(consent_texts::id).get_result(conn)?)
}

/// The newest text of a kind in a language, approved or not.
pub fn find_newest_consent_text(
    conn: &mut AnyConn,
    kind: &str,
    language: Lang,
) -> Result<Option<ConsentTextRow>, StoreError> {
    Ok(consent_texts::table
        .filter(consent_texts::kind.eq(kind))
        .filter(consent_texts::language.eq(language))
        .order(consent_texts::version.desc())
        .select(ConsentTextRow::as_select())
        .first(conn)
        .optional()?)
}

/// The newest text of a kind in a language, only among approved ones when `approved_only`.
pub fn find_consent_text_in_force(
    conn: &mut AnyConn,
    kind: &str,
    language: Lang,
    approved_only: bool,
) -> Result<Option<ConsentTextRow>, StoreError> {
    let rows: Vec<ConsentTextRow> = consent_texts::table
        .filter(consent_texts::kind.eq(kind))
        .filter(consent_texts::language.eq(language))
        .order(consent_texts::version.desc())
        .select(ConsentTextRow::as_select())
        .load(conn)?;
    Ok(rows.into_iter().find(|row| !approved_only || row.approved_by.is_some()))
}

/// Every text, newest version first, English before Spanish.
pub fn list_consent_texts(conn: &mut AnyConn) -> Result<Vec<ConsentTextRow>, StoreError> {
    Ok(consent_texts::table
        .order((consent_texts::kind, consent_texts::version.desc(), consent_texts::language))
        .select(ConsentTextRow::as_select())
        .load(conn)?)
}

/// Enters an approval; false when there is one already.
pub fn approve_consent_text(
    conn: &mut AnyConn,
    id: ConsentTextId,
    by: &str,
    on: NaiveDate,
) -> Result<bool, StoreError> {
    let row = consent_texts::table.filter(consent_texts::id.eq(id)).filter(consent_texts::approved_by.is_null());
    let approval = (consent_texts::approved_by.eq(by), consent_texts::approved_on.eq(on));
    Ok(diesel::update(row).set(approval).execute(conn)? == 1)
}

/// How many signatures stand under a text, withdrawn ones among them.
pub fn count_signatures(conn: &mut AnyConn, text: ConsentTextId) -> Result<i64, StoreError> {
    Ok(consents::table.filter(consents::text_id.eq(text)).count().get_result(conn)?)
}

/// A signature about to be kept: what was shown by hash, the ticks as JSON, instant and zone.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = consents)]
pub struct NewConsent {
    /// For which registration.
    pub registration_id: RegistrationId,
    /// By whom.
    pub guardian_id: GuardianId,
    /// Under which text.
    pub text_id: ConsentTextId,
    /// As typed.
    pub signed_name: String,
    /// Keys of the ticked clauses as a JSON list.
    pub ticks: String,
    /// SHA-256 in hex of the text as shown.
    pub shown_hash: String,
    /// When, in UTC.
    pub signed_at: NaiveDateTime,
    /// The session's zone, in which the signer read the time.
    pub zone: String,
}

/// Keeps a signature. Who signs the same text again for a place that was over signs it anew.
pub fn add_consent(conn: &mut AnyConn, consent: &NewConsent) -> Result<(), StoreError> {
    let anew = (
        consents::signed_name.eq(&consent.signed_name),
        consents::ticks.eq(&consent.ticks),
        consents::shown_hash.eq(&consent.shown_hash),
        consents::signed_at.eq(consent.signed_at),
        consents::zone.eq(&consent.zone),
        consents::withdrawn_at.eq(None::<NaiveDateTime>),
    );
    both!(conn, |c| diesel::insert_into(consents::table)
        .values(consent)
        .on_conflict((consents::registration_id, consents::guardian_id, consents::text_id))
        .do_update()
        .set(anew)
        .execute(c))?;
    Ok(())
}

/// Takes back what was signed for a registration: its place is over.
pub fn withdraw_consents(
    conn: &mut AnyConn,
    registration: RegistrationId,
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    let standing =
        consents::table.filter(consents::registration_id.eq(registration)).filter(consents::withdrawn_at.is_null());
    diesel::update(standing).set(consents::withdrawn_at.eq(at)).execute(conn)?;
    Ok(())
}

/// Takes back one signature. `false`: it was before.
pub fn withdraw_consent(conn: &mut AnyConn, id: i64, at: NaiveDateTime) -> Result<bool, StoreError> {
    let standing = consents::table.filter(consents::id.eq(id)).filter(consents::withdrawn_at.is_null());
    Ok(diesel::update(standing).set(consents::withdrawn_at.eq(at)).execute(conn)? == 1)
}

/// Who signed a consent to ride for a registration and has not taken it back.
pub fn ride_signers(conn: &mut AnyConn, registration: RegistrationId) -> Result<Vec<GuardianId>, StoreError> {
    Ok(consents::table
        .inner_join(consent_texts::table)
        .filter(consents::registration_id.eq(registration))
        .filter(consents::withdrawn_at.is_null())
        .filter(consent_texts::kind.eq("ride"))
        .order(consents::id)
        .select(consents::guardian_id)
        .load(conn)?)
}

/// A signature with the text that it stands under.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct SignedConsentRow {
    /// The row.
    pub id: i64,
    /// Who signed.
    pub guardian_id: GuardianId,
    /// `ride` or `photo`.
    pub kind: String,
    /// The version of the text.
    pub version: i64,
    /// The text as JSON.
    pub body: String,
    /// As typed.
    pub signed_name: String,
    /// SHA-256 in hex of the text as shown.
    pub shown_hash: String,
    /// When, in UTC.
    pub signed_at: NaiveDateTime,
    /// The zone in which the signer read the time.
    pub zone: String,
    /// When it was taken back, in UTC.
    pub withdrawn_at: Option<NaiveDateTime>,
}

/// What was signed for a registration, the consent to ride first, each with its own version of the text.
pub fn consents_of(conn: &mut AnyConn, registration: RegistrationId) -> Result<Vec<SignedConsentRow>, StoreError> {
    Ok(consents::table
        .inner_join(consent_texts::table)
        .filter(consents::registration_id.eq(registration))
        .order((consent_texts::kind.desc(), consents::id))
        .select((
            consents::id,
            consents::guardian_id,
            consent_texts::kind,
            consent_texts::version,
            consent_texts::body,
            consents::signed_name,
            consents::shown_hash,
            consents::signed_at,
            consents::zone,
            consents::withdrawn_at,
        ))
        .load(conn)?)
}
