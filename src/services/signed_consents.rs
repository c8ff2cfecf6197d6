//! What a guardian signed for one registration, exactly as it was shown then, whatever the texts say now; signing a text
//! that is new or was taken back; and taking back.

mod signature;
mod signer;

use std::collections::BTreeSet;

use chrono::NaiveDateTime;

pub(super) use signature::{SignedText, Wanted, signatures};
pub use signer::Signer;

use signer::own;

use super::consent_texts::{Shown, shown};
use super::family::{Addressed, receipt};
use super::places::Turn;
use super::register::faults::Faults;
use super::{App, Failure, program};
use crate::domain::access::Caller;
use crate::domain::consent::{ConsentKind, ConsentText, Signers};
use crate::domain::ids::{AccountId, GuardianId, RegistrationId};
use crate::domain::refusal::Refusal;
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, Word, full_name};
use crate::store::accounts::is_shown;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::consents::{NewConsent, SignedConsentRow, add_consent, consents_of, ride_signers, withdraw_consent};
use crate::store::families::{active_adults_of, find_guardian};
use crate::store::registrations::{RegistrationRow, find_registration, find_registration_by_id};
use crate::store::sessions::{find_session_by_id, meetings_of};
use crate::store::{AnyConn, StoreError};

/// The copies of one registration.
#[derive(Clone, Debug)]
pub struct Copies {
    /// Public reference of the registration.
    pub reference: String,
    /// The rider's name in one line.
    pub rider: String,
    /// Each text that was signed, the consent to ride first.
    pub signed: Vec<Copy>,
    /// The kinds that can be signed now: their text is new, was taken back, or was never signed.
    pub open: Vec<ConsentKind>,
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
    /// When it was taken back, as the clock at the site showed it.
    pub withdrawn_at: Option<NaiveDateTime>,
    /// Whether the reader signed it, and may take it back.
    pub is_own: bool,
}

/// The copies of a registration of the caller's family.
///
/// # Errors
/// `NotFound` for a registration that is not there or another family's.
pub fn show(app: &App, caller: &Caller, reference: &str, lang: Lang) -> Result<Copies, Failure> {
    app.store.read(|conn| {
        let (guardian, row, rider) = own(conn, caller, reference)?;
        let rows = consents_of(conn, row.id)?;
        let signed: Result<Vec<Copy>, Failure> = rows.into_iter().map(|one| copy(one, guardian)).collect();
        let missing = if is_open(app, conn, &row)? { missing(app, conn, &row, lang, guardian)? } else { Vec::new() };
        let open = missing.into_iter().map(|(kind, _)| kind).collect();
        let rider = full_name(&rider.given_name, &rider.family_name);
        Ok(Copies { reference: row.reference, rider, signed: signed?, open })
    })
}

fn copy(row: SignedConsentRow, reader: GuardianId) -> Result<Copy, Failure> {
    let zone = row.zone.parse().unwrap_or(chrono_tz::UTC);
    let wall = |at| LocalTime::from_utc(at, zone).wall;
    Ok(Copy {
        text: serde_json::from_str(&row.body).map_err(Failure::broken)?,
        signed_name: row.signed_name,
        signed_at: wall(row.signed_at),
        fingerprint: row.shown_hash,
        withdrawn_at: row.withdrawn_at.map(wall),
        is_own: row.guardian_id == reader,
    })
}

/// Whether a signature still matters: there is a place, in a session that is not over.
fn is_open(app: &App, conn: &mut AnyConn, row: &RegistrationRow) -> Result<bool, Failure> {
    let view = find_session_by_id(conn, row.session_id)?;
    let last = meetings_of(conn, row.session_id)?.into_iter().next_back();
    let is_over = last.is_none_or(|last| last.starts_at + chrono::TimeDelta::minutes(last.minutes) <= app.clock.now());
    Ok(row.now(view.session.state).stands(is_over))
}

/// The kinds whose text of now misses this adult's signature: nobody's stands under it who may decide for the child, or
/// the program wants that of every adult.
fn missing(
    app: &App,
    conn: &mut AnyConn,
    row: &RegistrationRow,
    lang: Lang,
    reader: GuardianId,
) -> Result<Vec<(ConsentKind, Shown)>, Failure> {
    let signers = program::load(conn)?.settings.signers;
    let deciding: Vec<GuardianId> = active_adults_of(conn, row.rider_id)?.iter().map(|adult| adult.id).collect();
    let standing: Vec<SignedConsentRow> =
        consents_of(conn, row.id)?.into_iter().filter(|one| one.withdrawn_at.is_none()).collect();
    let mut found = Vec::new();
    for kind in ConsentKind::ALL {
        let Some(now) = shown(app, conn, *kind, lang)? else { continue };
        let covers = |one: &&SignedConsentRow| one.kind == kind.as_str() && one.version >= now.text.version;
        let signed: Vec<GuardianId> = standing.iter().filter(covers).map(|one| one.guardian_id).collect();
        // Pictures are agreed to by one adult, or by nobody.
        let needs_reader = *kind == ConsentKind::Ride && signers == Signers::All && !signed.contains(&reader);
        if needs_reader || !Signers::One.are_met(&deciding, &signed) {
            found.push((*kind, now));
        }
    }
    Ok(found)
}

/// Whether an adult is asked to sign the consent to ride as it is now, in the family's language.
pub(super) fn is_ride_due(
    app: &App,
    conn: &mut AnyConn,
    row: &RegistrationRow,
    reader: GuardianId,
) -> Result<bool, Failure> {
    let due = is_open(app, conn, row)?
        && missing(app, conn, row, row.language, reader)?.iter().any(|(kind, _)| *kind == ConsentKind::Ride);
    Ok(due)
}

/// What can be signed for a registration.
#[derive(Clone, Debug)]
pub struct ToSign {
    /// Public reference of the registration.
    pub reference: String,
    /// The rider's given name.
    pub given: String,
    /// The name that is to be typed.
    pub signer: String,
    /// The consent to ride, when it is to be signed.
    pub ride: Option<Shown>,
    /// The consent to pictures, when the family has not agreed to it; always optional.
    pub photo: Option<Shown>,
}

impl ToSign {
    /// The texts, by the stems of their fields.
    #[must_use]
    pub fn texts(&self) -> [(&'static str, Option<&ConsentText>); 2] {
        [("ride", self.ride.as_ref().map(|ride| &ride.text)), ("photo", self.photo.as_ref().map(|photo| &photo.text))]
    }
}

/// The texts that the caller can sign for a registration now, in the language of the page.
///
/// # Errors
/// `NotFound` for another family's; `WorldMoved` when there is nothing to sign.
pub fn to_sign(app: &App, caller: &Caller, signer: &Signer, lang: Lang) -> Result<ToSign, Failure> {
    app.store.read(|conn| wanted(app, conn, caller, signer, lang))
}

fn wanted(app: &App, conn: &mut AnyConn, caller: &Caller, signer: &Signer, lang: Lang) -> Result<ToSign, Failure> {
    let (guardian, row, rider) = signer.find(app, conn, caller)?;
    let found = if is_open(app, conn, &row)? { missing(app, conn, &row, lang, guardian)? } else { Vec::new() };
    if found.is_empty() {
        return Err(Refusal::WorldMoved.into());
    }
    let of = |kind| found.iter().find(|(found, _)| *found == kind).map(|(_, shown)| shown.clone());
    let adult = find_guardian(conn, guardian)?;
    Ok(ToSign {
        reference: row.reference,
        given: rider.given_name,
        signer: full_name(&adult.given_name, &adult.family_name),
        ride: of(ConsentKind::Ride),
        photo: of(ConsentKind::Photo),
    })
}

/// What the page of a signature sends.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Signature {
    /// The hash of the consent to ride that was on the page.
    pub ride_hash: String,
    /// The hash of the consent to pictures that was on the page.
    pub photo_hash: String,
    /// Clauses ticked.
    pub ticks: BTreeSet<String>,
    /// Clauses of the consent to pictures that are ticked.
    pub photo_ticks: BTreeSet<String>,
    /// The name as typed.
    pub name: String,
}

/// Signs, and owes the family a copy.
///
/// # Errors
/// The faults of a signature that does not count; `ConsentChanged` when the text is another by now; `WorldMoved` when
/// there is nothing to sign.
pub fn sign(
    app: &App,
    caller: &Caller,
    signer: &Signer,
    lang: Lang,
    signature: &Signature,
) -> Result<Result<(), Faults>, Failure> {
    let (turn, caller, signer) = (Turn::of(app, caller), caller.clone(), signer.clone());
    let (signature, reader) = (signature.clone(), app.clone());
    app.store.write("sign consent", move |conn| -> Result<_, Failure> {
        let to_sign = wanted(&reader, conn, &caller, &signer, lang)?;
        let mut asked = Vec::new();
        if let Some(shown) = &to_sign.ride {
            asked.push(Wanted { kind: "ride", shown, hash: &signature.ride_hash, ticks: &signature.ticks });
        }
        if let Some(shown) = to_sign.photo.as_ref().filter(|_| !signature.photo_ticks.is_empty()) {
            asked.push(Wanted { kind: "photo", shown, hash: &signature.photo_hash, ticks: &signature.photo_ticks });
        }
        let mut faults = Faults::default();
        if asked.is_empty() && !signature.ride_hash.is_empty() {
            // A second press: the first one signed.
            return Ok(Ok(()));
        }
        if asked.is_empty() {
            // Only pictures could be agreed to, and nothing is ticked.
            let first = to_sign.photo.iter().flat_map(|photo| photo.text.clauses.first());
            first.for_each(|clause| faults.add(format!("photo-{}", clause.key), "check-tick-missing"));
        }
        let signed = match signatures(&asked, &signature.name, &to_sign.signer, faults)? {
            Ok(signed) => signed,
            Err(faults) => return Ok(Err(faults)),
        };
        let (guardian, row, _) = signer.find(&reader, conn, &caller)?;
        let zone = meetings_of(conn, row.session_id)?.into_iter().next().ok_or(StoreError::Missing)?.zone;
        for text in signed {
            add_consent(
                conn,
                &NewConsent {
                    registration_id: row.id,
                    guardian_id: guardian,
                    text_id: text.text,
                    signed_name: text.name,
                    ticks: text.ticks,
                    shown_hash: text.hash.clone(),
                    signed_at: turn.now(),
                    zone: zone.clone(),
                },
            )?;
            let (subject, detail) = (format!("registration {}", row.reference), format!("{} {}", text.kind, text.hash));
            add_audit_row(conn, &AuditRow::by(&caller, turn.now(), "consent.sign", subject, detail))?;
        }
        tell(conn, &turn, &row, "consent_signed")?;
        Ok(Ok(()))
    })
}

/// Takes back what the caller signed. Without a consent to ride no child starts; the place stays until it is given up.
///
/// # Errors
/// `NotFound` when the caller signed no such text for this registration; `WorldMoved` when it is taken back already.
pub fn withdraw(app: &App, caller: &Caller, reference: &str, fingerprint: &str) -> Result<(), Failure> {
    let (turn, caller) = (Turn::of(app, caller), caller.clone());
    let (reference, fingerprint) = (reference.to_owned(), fingerprint.to_owned());
    app.store.write("withdraw consent", move |conn| -> Result<(), Failure> {
        let (guardian, row, _) = own(conn, &caller, &reference)?;
        let all = consents_of(conn, row.id)?;
        let found = all.iter().find(|one| one.guardian_id == guardian && one.shown_hash == fingerprint);
        let found = found.ok_or(Failure::NotFound)?;
        if !withdraw_consent(conn, found.id, turn.now())? {
            return Err(Refusal::WorldMoved.into());
        }
        let subject = format!("registration {}", row.reference);
        let detail = format!("{} {fingerprint}", found.kind);
        add_audit_row(conn, &AuditRow::by(&caller, turn.now(), "consent.withdraw", subject, detail))?;
        tell(conn, &turn, &row, "consent_withdrawn")?;
        Ok(())
    })
}

/// Owes the family a letter, once its address is shown: nobody makes us write to somebody else's.
fn tell(conn: &mut AnyConn, turn: &Turn, row: &RegistrationRow, kind: &'static str) -> Result<(), Failure> {
    match find_guardian(conn, row.guardian_id)?.account_id {
        Some(account) if is_shown(conn, account)? => Ok(turn.clone().owe(conn, row, kind, row.id.raw())?),
        _ => Ok(()),
    }
}

/// Owes a letter to every adult whose signature a place still misses. Nobody is written to whose address is not shown.
pub(super) fn ask_the_others(conn: &mut AnyConn, turn: &mut Turn, row: &RegistrationRow) -> Result<(), Failure> {
    if program::load(conn)?.settings.signers == Signers::One {
        return Ok(());
    }
    let signed = ride_signers(conn, row.id)?;
    for adult in active_adults_of(conn, row.rider_id)?.into_iter().filter(|one| !signed.contains(&one.id)) {
        match adult.account_id {
            Some(account) if is_shown(conn, account)? => turn.owe_to(conn, &adult, "sign_too", row.id.raw())?,
            _ => {}
        }
    }
    Ok(())
}

/// What the letter needs that asks another adult to sign; nothing once it is signed or the place is over.
pub fn for_other_adult(app: &App, id: RegistrationId, account: AccountId) -> Result<Option<Addressed>, Failure> {
    app.store.read(|conn| {
        let (row, rider) = find_registration_by_id(conn, id)?;
        let mut adults = active_adults_of(conn, rider.id)?.into_iter();
        let Some(adult) = adults.find(|one| one.account_id == Some(account)) else { return Ok(None) };
        let Some(to_address) = adult.email else { return Ok(None) };
        if !is_ride_due(app, conn, &row, adult.id)? {
            return Ok(None);
        }
        let to_name = full_name(&adult.given_name, &adult.family_name);
        Ok(Some(Addressed { receipt: receipt(app, conn, row, &rider)?, to_account: account, to_name, to_address }))
    })
}

/// What a letter encloses: the texts that stand for a registration, each with its signature.
pub fn for_letter(app: &App, reference: &str) -> Result<Vec<Copy>, Failure> {
    app.store.read(|conn| {
        let (row, _) = find_registration(conn, reference)?.ok_or(Failure::NotFound)?;
        let standing = consents_of(conn, row.id)?.into_iter().filter(|one| one.withdrawn_at.is_none());
        standing.map(|one| copy(one, row.guardian_id)).collect()
    })
}
