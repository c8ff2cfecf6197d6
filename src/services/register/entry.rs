//! The one transaction of a registration: key, account, guardian, rider, place, contacts, notes, consents, audit,
//! letter, and the draft that goes. Runs again when the database says so; touches only the connection.

use super::plan::{Plan, Rides, Who};
use crate::domain::access::{Action, Guardianship, Role, Subject};
use crate::domain::ids::{AccountId, GuardianId, RegistrationId, RiderId};
use crate::domain::people::age_on;
use crate::domain::place::{Ask, PlaceReason};
use crate::domain::refusal::Refusal;
use crate::domain::registration::{Place, RegistrationState, Wish, decide};
use crate::domain::session::Openness;
use crate::domain::words::Word;
use crate::services::kept_health;
use crate::services::places::{confirm_until, not_at_once};
use crate::services::signed_consents::{SignedText, ask_the_others};
use crate::services::{Failure, ask, consent_texts};
use crate::store::accounts::{NewAccount, add_account, add_role, hold_and_see_shown};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::consents::{NewConsent, add_consent, withdraw_consents};
use crate::store::drafts::remove_draft;
use crate::store::families::{
    NewGuardian, add_guardian, add_rider, find_guardian, hold_guardianship, set_guardian_account,
};
use crate::store::places::{add_place_change, line_of, set_line_wishes};
use crate::store::proofs::set_proof_answer;
use crate::store::registrations::{
    MeasuresRow, NewRegistration, add_contact, add_measures, add_registration, find_registration_by_id,
    find_registration_of, renew_registration, set_health,
};
use crate::store::request_keys::add_answer;
use crate::store::sessions::{find_session_by_id, take_place_in_line, take_seat};
use crate::store::voluntary::set_voluntary_answers;
use crate::store::{AnyConn, Key, StoreError, Transient};

/// Why nothing was entered.
#[derive(Debug)]
pub(super) enum Stop {
    /// A twin of this request was quicker.
    AnsweredAlready,
    /// Another tab finished with the same answers.
    DraftGone,
    /// Anything else.
    Failed(Failure),
}

impl From<Failure> for Stop {
    fn from(failure: Failure) -> Self {
        Self::Failed(failure)
    }
}

impl From<Refusal> for Stop {
    fn from(refusal: Refusal) -> Self {
        Self::Failed(Failure::Refused(refusal))
    }
}

impl From<StoreError> for Stop {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Duplicate(Key::RequestKey) => Self::AnsweredAlready,
            StoreError::Duplicate(Key::RegistrationRider) => Refusal::AlreadyRegistered.into(),
            other => Self::Failed(other.into()),
        }
    }
}

impl Transient for Stop {
    fn is_transient(&self) -> bool {
        matches!(self, Self::Failed(failure) if failure.is_transient())
    }
}

/// What was entered.
pub(super) struct Entered {
    pub reference: String,
    /// The account that was made on the way.
    pub new_account: Option<AccountId>,
}

/// Enters a planned registration. The key goes first: a twin waits for it and then finds the answer. Then the draft goes:
/// one set of answers makes one registration, however many tabs show its last page. Staff keep no draft.
pub(super) fn enter(conn: &mut AnyConn, plan: &Plan) -> Result<Entered, Stop> {
    let owner = plan.owners.first().ok_or(Failure::NotAllowed)?;
    add_answer(conn, owner, &plan.key, &plan.digest, &plan.reference, plan.now)?;
    let by_staff = plan.who.is_by_staff();
    if !by_staff {
        take_draft(conn, plan)?;
    }
    still_the_same_texts(conn, plan)?;
    let Family { guardian, account, new_account } = family(conn, plan)?;
    let is_shown = match account {
        Some(account) => new_account.is_none() && hold_and_see_shown(conn, account)?,
        None => false,
    };
    let place = place(conn, plan, guardian)?;
    let rider = match &plan.rides {
        Rides::Known(rider) => *rider,
        Rides::New(new) => add_rider(conn, new, guardian)?,
    };
    // Staff know whom they write down: nobody has to answer a letter for the seat.
    let held_until = if is_shown || by_staff { None } else { confirm_until(conn, plan.session, plan.now)? };
    let (state, line) = seat_or_line(conn, plan, place, held_until.is_some())?;
    let new = NewRegistration { held_until, ..new_registration(plan, rider, guardian, state, line) };
    let id = add_or_renew(conn, &new)?;
    let reason = if by_staff { PlaceReason::StaffRegistered } else { PlaceReason::Registered };
    add_place_change(conn, id, state, reason, plan.now)?;
    if state == RegistrationState::Waitlisted {
        join_the_wish(conn, plan, guardian, id)?;
    }
    add_notes(conn, plan, id, rider)?;
    for text in &plan.signed {
        add_consent(conn, &new_consent(plan, id, guardian, text))?;
    }
    let by = if by_staff { plan.caller.account() } else { account };
    add_audit_rows(conn, plan, by, state)?;
    tell(conn, plan, id, account, is_shown)?;
    Ok(Entered { reference: plan.reference.clone(), new_account })
}

/// Takes the draft away under each of its browser's cookies.
fn take_draft(conn: &mut AnyConn, plan: &Plan) -> Result<(), Stop> {
    let mut is_there = false;
    for owner in &plan.owners {
        is_there |= remove_draft(conn, owner, plan.session)?;
    }
    if is_there { Ok(()) } else { Err(Stop::DraftGone) }
}

/// A text that changed while the guardian was signing must be read anew.
fn still_the_same_texts(conn: &mut AnyConn, plan: &Plan) -> Result<(), Stop> {
    for signed in &plan.signed {
        let now = consent_texts::in_force(conn, plan.demo, signed.kind, plan.language)?;
        if now.is_none_or(|text| text.id != signed.text) {
            return Err(Refusal::ConsentChanged.into());
        }
    }
    Ok(())
}

/// Who answers for the child, by rows.
struct Family {
    guardian: GuardianId,
    /// None when no letter reaches them.
    account: Option<AccountId>,
    /// The account, when it was made just now.
    new_account: Option<AccountId>,
}

fn family(conn: &mut AnyConn, plan: &Plan) -> Result<Family, Stop> {
    let with_account = |new: &NewGuardian, account| NewGuardian { account_id: Some(account), ..new.clone() };
    let made = |conn: &mut AnyConn, account: &NewAccount, new: &NewGuardian| -> Result<Family, Stop> {
        let account = add_account(conn, account, &[Role::Guardian])?;
        let guardian = add_guardian(conn, &with_account(new, account))?;
        Ok(Family { guardian, account: Some(account), new_account: Some(account) })
    };
    match &plan.who {
        Who::Known(guardian, account) => Ok(Family { guardian: *guardian, account: Some(*account), new_account: None }),
        Who::Joins(account, new) => {
            add_role(conn, *account, Role::Guardian)?;
            let guardian = add_guardian(conn, &with_account(new, *account))?;
            Ok(Family { guardian, account: Some(*account), new_account: None })
        }
        Who::New(account, new) | Who::WrittenDown(Some(account), new) => made(conn, account, new),
        Who::WrittenDown(None, new) => {
            Ok(Family { guardian: add_guardian(conn, new)?, account: None, new_account: None })
        }
        Who::Spoken(guardian, reference) => spoken(conn, plan, *guardian, reference),
    }
}

/// The adult of a known child. One who came with an import may have an address and no account yet: it is made now.
fn spoken(conn: &mut AnyConn, plan: &Plan, guardian: GuardianId, reference: &str) -> Result<Family, Stop> {
    let adult = find_guardian(conn, guardian)?;
    let (None, Some(email)) = (adult.account_id, adult.email) else {
        return Ok(Family { guardian, account: adult.account_id, new_account: None });
    };
    let new = NewAccount {
        reference: reference.to_owned(),
        email,
        is_shown: false,
        password_hash: None,
        given_name: adult.given_name,
        family_name: adult.family_name,
        language: adult.language,
        created_at: plan.now,
    };
    let account = add_account(conn, &new, &[Role::Guardian])?;
    set_guardian_account(conn, guardian, account)?;
    Ok(Family { guardian, account: Some(account), new_account: Some(account) })
}

/// Which place to try for, by the session and the family as they stand in this moment.
fn place(conn: &mut AnyConn, plan: &Plan, guardian: GuardianId) -> Result<Place, Stop> {
    let view = find_session_by_id(conn, plan.session)?;
    let existing = match plan.rides {
        Rides::Known(rider) => {
            let tie = hold_guardianship(conn, guardian, rider)?;
            match plan.who {
                // The adult whom staff spoke with may decide no more: the page is looked at again.
                Who::Spoken(..) if tie != Some(Guardianship::Active) => return Err(Refusal::WorldMoved.into()),
                Who::Spoken(..) => {}
                _ => ask(&plan.caller, Action::AnswerForRider, Subject::Rider { tie })?,
            }
            not_at_once(conn, rider, plan.session, None)?;
            find_registration_of(conn, plan.session, rider)?.map(|found| found.state)
        }
        Rides::New(_) => None,
    };
    let held_on = view.session.held_on;
    let wish = Wish {
        openness: Openness { state: view.session.state, held_on, today: plan.today },
        least_age: view.course.least_age,
        most_age: view.course.most_age,
        age_on_the_day: age_on(plan.birth_date, held_on, plan.leap_rule),
        existing,
        waiting: view.session.waiting,
    };
    Ok(decide(&wish)?)
}

/// A seat, held when somebody must answer first, or the end of the line.
fn seat_or_line(
    conn: &mut AnyConn,
    plan: &Plan,
    place: Place,
    waits: bool,
) -> Result<(RegistrationState, Option<i64>), StoreError> {
    if place == Place::SeatIfFree && take_seat(conn, plan.session)? {
        return Ok((if waits { RegistrationState::Held } else { RegistrationState::Confirmed }, None));
    }
    Ok((RegistrationState::Waitlisted, Some(take_place_in_line(conn, plan.session)?)))
}

/// A new row, or the one of a place that this child had in this session and that is over.
fn add_or_renew(conn: &mut AnyConn, new: &NewRegistration) -> Result<RegistrationId, Stop> {
    match find_registration_of(conn, new.session_id, new.rider_id)? {
        None => Ok(add_registration(conn, new)?),
        Some(over) if renew_registration(conn, over.id, new)? => {
            withdraw_consents(conn, over.id, new.created_at)?;
            Ok(over.id)
        }
        Some(_) => Err(Refusal::AlreadyRegistered.into()),
    }
}

/// A family that wants seats together for its children in this line wants it for one more.
fn join_the_wish(conn: &mut AnyConn, plan: &Plan, of: GuardianId, id: RegistrationId) -> Result<(), StoreError> {
    if line_of(conn, plan.session)?.iter().any(|row| row.guardian_id == of && row.together) {
        set_line_wishes(conn, id, false, true)?;
    }
    Ok(())
}

fn new_registration(
    plan: &Plan,
    rider_id: RiderId,
    guardian_id: GuardianId,
    state: RegistrationState,
    place: Option<i64>,
) -> NewRegistration {
    NewRegistration {
        reference: plan.reference.clone(),
        session_id: plan.session,
        rider_id,
        guardian_id,
        state,
        place,
        held_until: None,
        language: plan.language,
        ridden: plan.ridden,
        created_at: plan.now,
    }
}

/// Contacts, the sealed health note and the measures.
fn add_notes(conn: &mut AnyConn, plan: &Plan, id: RegistrationId, rider: RiderId) -> Result<(), StoreError> {
    for contact in &plan.contacts {
        add_contact(conn, id, contact.kind, contact.ordinal, &contact.name, &contact.phone)?;
    }
    set_health(conn, id, &plan.health_key, &plan.health, plan.now)?;
    kept_health::set(conn, rider, &plan.keeping, plan.now)?;
    set_voluntary_answers(conn, id, &plan.voluntary)?;
    if let Some(answer) = plan.proof {
        set_proof_answer(conn, id, answer)?;
    }
    let Some(measures) = &plan.measures else { return Ok(()) };
    add_measures(
        conn,
        &MeasuresRow {
            rider_id: rider,
            registration_id: Some(id),
            measured_by: "guardian".to_owned(),
            taken_on: measures.taken_on,
            height_um: measures.height.map(|length| length.um()),
            weight_g: measures.weight.map(|mass| mass.g()),
            inseam_um: measures.inseam.map(|length| length.um()),
            reach_um: None,
            hand_um: None,
            foot_um: None,
            head_um: measures.head.map(|length| length.um()),
        },
    )
}

fn new_consent(plan: &Plan, id: RegistrationId, guardian_id: GuardianId, signed: &SignedText) -> NewConsent {
    NewConsent {
        registration_id: id,
        guardian_id,
        text_id: signed.text,
        signed_name: signed.name.clone(),
        ticks: signed.ticks.clone(),
        shown_hash: signed.hash.clone(),
        signed_at: plan.now,
        zone: plan.zone.clone(),
    }
}

fn add_audit_rows(
    conn: &mut AnyConn,
    plan: &Plan,
    account: Option<AccountId>,
    state: RegistrationState,
) -> Result<(), StoreError> {
    let row = |action, detail: String| AuditRow {
        at: plan.now,
        account,
        action,
        subject: format!("registration {}", plan.reference),
        request: plan.caller.request.clone(),
        detail,
    };
    if matches!(plan.who, Who::New(..) | Who::WrittenDown(Some(_), _)) {
        add_audit_row(conn, &row("account.open", String::new()))?;
    }
    if let Who::WrittenDown(_, NewGuardian { texts_agreed_at: Some(_), .. }) = &plan.who {
        add_audit_row(conn, &row("texts.on", String::new()))?;
    }
    let detail = format!("session {} {}", plan.session_reference, state.as_str());
    add_audit_row(conn, &row("registration.make", detail))?;
    for signed in &plan.signed {
        add_audit_row(conn, &row("consent.sign", format!("{} {}", signed.kind, signed.hash)))?;
    }
    Ok(())
}

/// A letter says what the place is, or asks first whether the address is the family's own. Without an address there is none.
fn tell(
    conn: &mut AnyConn,
    plan: &Plan,
    id: RegistrationId,
    account: Option<AccountId>,
    is_shown: bool,
) -> Result<(), Failure> {
    let (row, _) = find_registration_by_id(conn, id)?;
    let mut turn = plan.turn.clone();
    ask_the_others(conn, &mut turn, &row)?;
    match account {
        None => {}
        Some(_) if is_shown => turn.tell(conn, &row, row.state)?,
        Some(_) => turn.put(conn, &row, Ask::Address)?,
    }
    Ok(())
}
