//! How adults stand to a child: who speaks for its places, who must not take it home, and what the office decides when
//! custody changes. What is decided here holds from the next press on, on every page, in every letter and on the field.

use chrono::NaiveDateTime;

use super::family::{Receipt, county_name, receipt};
use super::places::Turn;
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Guardianship, Subject};
use crate::domain::consent::Signers;
use crate::domain::guardianship;
use crate::domain::ids::{GuardianId, RiderId};
use crate::domain::place::Ask;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Phone, Word, full_name};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::consents::ride_signers;
use crate::store::families::{
    AdultRow, GuardianRow, RiderRow, active_adults_of, adults_of, find_guardianship, find_rider,
    find_rider_by_reference, set_guardianship,
};
use crate::store::merges::{entries_of, merges_into};
use crate::store::questions::{is_asked, set_all_answered};
use crate::store::registrations::{RegistrationRow, contacts_of, registrations_of_riders};
use crate::store::{AnyConn, StoreError};

/// The adult who is written to and called about a place. Nobody when none may decide for the child.
pub(super) fn speaker(conn: &mut AnyConn, row: &RegistrationRow) -> Result<Option<GuardianRow>, StoreError> {
    Ok(speaker_among(active_adults_of(conn, row.rider_id)?, row.guardian_id))
}

/// The same, of the adults who may decide for the child now.
pub(super) fn speaker_among(deciding: Vec<GuardianRow>, registered_by: GuardianId) -> Option<GuardianRow> {
    let speaks = guardianship::speaker(&ids(&deciding), registered_by)?;
    deciding.into_iter().find(|adult| adult.id == speaks)
}

/// The adult who is called about a child that has no place yet: the first of those who may decide for it.
pub(super) fn speaker_of(conn: &mut AnyConn, rider: RiderId) -> Result<Option<GuardianRow>, StoreError> {
    Ok(active_adults_of(conn, rider)?.into_iter().next())
}

fn ids(adults: &[GuardianRow]) -> Vec<GuardianId> {
    adults.iter().map(|adult| adult.id).collect()
}

/// A child for which the caller may decide, with the caller's own side.
///
/// # Errors
/// `NotFound` for a child that is not there or that the caller does not answer for.
pub(super) fn own_child(
    conn: &mut AnyConn,
    caller: &Caller,
    reference: &str,
) -> Result<(GuardianId, RiderRow), Failure> {
    let guardian = caller.guardian().ok_or(Failure::NotFound)?;
    let rider = find_rider_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
    let tie = find_guardianship(conn, guardian, rider.id)?;
    ask(caller, Action::AnswerForRider, Subject::Rider { tie })?;
    Ok((guardian, rider))
}

/// The names of the adults who may decide for a child, beside one of them.
pub(super) fn other_adults(conn: &mut AnyConn, rider: RiderId, beside: GuardianId) -> Result<Vec<String>, StoreError> {
    let others = active_adults_of(conn, rider)?.into_iter().filter(|adult| adult.id != beside);
    Ok(others.map(|adult| full_name(&adult.given_name, &adult.family_name)).collect())
}

/// Whether a consent to ride stands for a place.
pub(super) fn has_consent(conn: &mut AnyConn, signers: Signers, row: &RegistrationRow) -> Result<bool, StoreError> {
    let deciding = active_adults_of(conn, row.rider_id)?;
    Ok(signers.are_met(&ids(&deciding), &ride_signers(conn, row.id)?))
}

/// The names of adults to whom a child is not released: whom the family named, and whose custody is restricted.
pub(super) fn not_released_to(conn: &mut AnyConn, row: &RegistrationRow) -> Result<Vec<String>, StoreError> {
    let named = contacts_of(conn, row.id)?.into_iter().filter(|contact| contact.kind == "not_release");
    let mut names: Vec<String> = named.map(|contact| contact.name).collect();
    let restricted = adults_of(conn, row.rider_id)?.into_iter().filter(|adult| adult.state == Guardianship::Restricted);
    names.extend(restricted.map(|adult| full_name(&adult.guardian.given_name, &adult.guardian.family_name)));
    Ok(names)
}

/// An adult of a child as the office sees it.
#[derive(Clone, Debug)]
pub struct Adult {
    /// Name in one line.
    pub name: String,
    /// Telephone as people read it.
    pub phone: String,
    /// The same as dialled.
    pub dial: String,
    /// The language the adult reads.
    pub language: Lang,
    /// How the adult stands to the child.
    pub state: Guardianship,
    /// Since when, in UTC.
    pub since: NaiveDateTime,
    /// How it came to stand so.
    pub note: String,
}

/// A child as the office sees it. Health notes are not part of it.
#[derive(Clone, Debug)]
pub struct Child {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Birth date.
    pub birth_date: chrono::NaiveDate,
    /// Every adult who stands or stood to the child.
    pub adults: Vec<Adult>,
    /// The home county's name.
    pub county: String,
    /// Its registrations, the newest first.
    pub registrations: Vec<Receipt>,
    /// Other entries of the child that went into this one, the newest first.
    pub gone: Vec<Gone>,
}

/// An entry that went into a child.
#[derive(Clone, Debug)]
pub struct Gone {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Birth date.
    pub birth_date: chrono::NaiveDate,
    /// When, in UTC.
    pub at: NaiveDateTime,
}

fn adult(row: AdultRow) -> Adult {
    Adult {
        name: full_name(&row.guardian.given_name, &row.guardian.family_name),
        phone: Phone::shown(&row.guardian.phone),
        dial: row.guardian.phone,
        language: row.guardian.language,
        state: row.state,
        since: row.since,
        note: row.note,
    }
}

/// One child, for the office.
///
/// # Errors
/// `NotFound` when there is none with this reference.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Child, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| {
        let rider = find_rider_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
        child(app, conn, rider)
    })
}

/// One child with what every entry of it brought.
pub(super) fn child(app: &App, conn: &mut AnyConn, rider: RiderRow) -> Result<Child, Failure> {
    let mut gone = Vec::new();
    for merge in merges_into(conn, rider.id)? {
        let entry = find_rider(conn, merge.goes_id)?;
        let name = full_name(&entry.given_name, &entry.family_name);
        gone.push(Gone { reference: entry.reference, name, birth_date: entry.birth_date, at: merge.at });
    }
    let mut registrations = Vec::new();
    let entries = entries_of(conn, rider.id)?;
    for row in registrations_of_riders(conn, &entries)? {
        registrations.push(receipt(app, conn, row, &rider)?);
    }
    Ok(Child {
        name: full_name(&rider.given_name, &rider.family_name),
        birth_date: rider.birth_date,
        county: county_name(conn, &rider)?,
        adults: adults_of(conn, rider.id)?.into_iter().map(adult).collect(),
        registrations,
        gone,
        reference: rider.reference,
    })
}

/// How an adult is to stand to a child, in the office's decision.
#[derive(Clone, Debug)]
pub struct Decision {
    /// The adult's number in the list of [`Child::adults`], from 1.
    pub number: usize,
    /// How the adult stood when the page was drawn.
    pub seen: Guardianship,
    /// How the adult stands from now on.
    pub state: Guardianship,
    /// How it came to stand so.
    pub note: String,
}

/// Decides how an adult stands to a child.
///
/// # Errors
/// `WorldMoved` when somebody decided otherwise meanwhile.
pub fn decide(app: &App, caller: &Caller, reference: &str, decision: &Decision) -> Result<(), Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (turn, caller) = (Turn::of(app, caller), caller.clone());
    let (reference, decision) = (reference.to_owned(), decision.clone());
    app.store.write("decide tie", move |conn| -> Result<(), Failure> {
        let rider = find_rider_by_reference(conn, &reference)?.ok_or(Failure::NotFound)?;
        let adults = adults_of(conn, rider.id)?;
        let adult = decision.number.checked_sub(1).and_then(|at| adults.get(at)).ok_or(Failure::NotFound)?;
        if adult.state != decision.seen {
            return Err(Refusal::WorldMoved.into());
        }
        set(conn, &mut turn.clone(), &caller, &rider, adult, (decision.state, &decision.note))
    })
}

/// Lets the caller stand back: another adult answers for the child already, and goes on.
///
/// # Errors
/// `OnlyAdult` when nobody else may decide for the child.
pub fn stand_back(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("stand back", move |conn| -> Result<(), Failure> {
        let (guardian, rider) = own_child(conn, &caller, &reference)?;
        if other_adults(conn, rider.id, guardian)?.is_empty() {
            return Err(Refusal::OnlyAdult.into());
        }
        let adults = adults_of(conn, rider.id)?;
        let own = adults.iter().find(|adult| adult.guardian.id == guardian).ok_or(Failure::NotFound)?;
        set(conn, &mut turn.clone(), &caller, &rider, own, (Guardianship::Revoked, "Stood back"))
    })
}

/// Writes a decision down, of the office or of the adult. Questions that went to an adult who may decide no more are asked of who speaks now.
pub(super) fn set(
    conn: &mut AnyConn,
    turn: &mut Turn,
    caller: &Caller,
    rider: &RiderRow,
    adult: &AdultRow,
    (state, note): (Guardianship, &str),
) -> Result<(), Failure> {
    if !set_guardianship(conn, adult.guardian.id, rider.id, (state, note), turn.now())? {
        return Ok(());
    }
    if state != Guardianship::Active {
        ask_who_speaks_now(conn, turn, rider.id)?;
    }
    let (subject, detail) = (
        format!("rider {}", rider.reference),
        format!("guardian {} {} to {}", adult.guardian.id.raw(), adult.state.as_str(), state.as_str()),
    );
    add_audit_row(conn, &AuditRow::by(caller, turn.now(), "guardian.decide", subject, detail))?;
    Ok(())
}

/// Ends the links of letters that went out about a child's places, and asks anew what still waits for an answer.
pub(super) fn ask_who_speaks_now(conn: &mut AnyConn, turn: &mut Turn, rider: RiderId) -> Result<(), Failure> {
    for row in registrations_of_riders(conn, &[rider])? {
        let has_speaker = speaker(conn, &row)?.is_some();
        for kind in Ask::ALL {
            if !is_asked(conn, row.id, *kind)? {
                continue;
            }
            set_all_answered(conn, row.id, *kind, turn.now())?;
            // An address is asked of the one whose it is, and of nobody else.
            if has_speaker && row.state.is_open() && *kind != Ask::Address {
                turn.put(conn, &row, *kind)?;
            }
        }
    }
    Ok(())
}
