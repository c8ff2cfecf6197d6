//! What is due for a family: the next session of each child with what is still missing, and certificates that are ready.

use chrono::{Days, NaiveDate};

use super::Span;
use crate::domain::access::Caller;
use crate::domain::proof::Proof;
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::words::full_name;
use crate::services::family::{Receipt, receipt};
use crate::services::signed_consents::is_ride_due;
use crate::services::ties::{has_consent, other_adults};
use crate::services::{App, Failure, program, proofs};
use crate::store::AnyConn;
use crate::store::consents::ride_signers;
use crate::store::families::{find_guardian, riders_of};
use crate::store::registrations::{contacts_of, registrations_of_riders};
use crate::store::sessions::find_session_by_id;

/// For how many days after its session a certificate counts as new.
const NEW: u64 = 60;

/// The next session of one child.
#[derive(Clone, Debug)]
pub struct ChildDue {
    /// The registration, with its session.
    pub receipt: Receipt,
    /// The day of its next meeting.
    pub on: NaiveDate,
    /// Whether no consent is signed.
    pub consent_missing: bool,
    /// Whether the reader has signed and another adult has not, whose signature the program wants too.
    pub misses_other: bool,
    /// Whether the text to sign is new since it was signed, or was taken back.
    pub is_text_new: bool,
    /// How the child stands to the earlier part that the course may ask for.
    pub proof: Proof,
    /// Who may take the child home, beside the reader.
    pub pick_up: Vec<String>,
}

impl ChildDue {
    /// Whether the child could not start as things stand.
    pub fn is_missing_something(&self) -> bool {
        self.consent_missing || self.proof.holds_back()
    }
}

/// A certificate of a child.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadyCertificate {
    /// The child's given name.
    pub given: String,
    /// The registration's reference.
    pub registration: String,
    /// Its code.
    pub code: String,
    /// Whether there is a paper of it.
    pub has_paper: bool,
    /// The day of the session.
    pub on: NaiveDate,
}

/// What is due for a family.
#[derive(Clone, Debug, Default)]
pub struct FamilyDue {
    /// One line a child that has a session to come, the nearest first.
    pub children: Vec<ChildDue>,
    /// Places that wait for the family's answer, once a child and session.
    pub asked: Vec<Receipt>,
    /// Sessions to come that were called off, once a child.
    pub called_off: Vec<Receipt>,
    /// New certificates.
    pub certificates: Vec<ReadyCertificate>,
}

pub(super) fn due(app: &App, conn: &mut AnyConn, caller: &Caller, span: Span) -> Result<FamilyDue, Failure> {
    let Some(guardian) = caller.guardian() else { return Ok(FamilyDue::default()) };
    let reader = find_guardian(conn, guardian)?;
    let reader = full_name(&reader.given_name, &reader.family_name);
    let signers = program::load(conn)?.settings.signers;
    let mut due = FamilyDue::default();
    for rider in riders_of(conn, guardian)? {
        let mut next: Option<ChildDue> = None;
        for row in registrations_of_riders(conn, &[rider.id])? {
            let (id, state) = (row.id, row.state);
            let is_text_new = is_ride_due(app, conn, &row, guardian)?;
            let has_consent = has_consent(conn, signers, &row)?;
            let misses_other = !has_consent && ride_signers(conn, id)?.contains(&guardian);
            let receipt = receipt(app, conn, row, &rider)?;
            due.certificates.extend(certificate(&receipt, span));
            let ends = receipt.session.sittings.iter().map(|sitting| sitting.start.date());
            let Some(on) = ends.filter(|on| *on >= span.today).min() else { continue };
            let holds = state.takes_a_seat() || state == RegistrationState::Waitlisted;
            if holds && receipt.session.state == SessionState::Cancelled {
                due.called_off.push(receipt);
                continue;
            }
            if receipt.is_asked_coming || receipt.held_until.is_some() && receipt.can_be_given_up() {
                due.asked.push(receipt);
                continue;
            }
            if !holds || receipt.outcome.is_some() || next.as_ref().is_some_and(|next| next.on <= on) {
                continue;
            }
            let rule = find_session_by_id(conn, receipt.session.id)?.course.proof_rule;
            let mut pick_up = other_adults(conn, rider.id, guardian)?;
            let named = contacts_of(conn, id)?.into_iter().filter(|contact| contact.kind == "pick_up");
            pick_up.extend(named.map(|contact| contact.name).filter(|name| *name != reader));
            pick_up.dedup();
            next = Some(ChildDue {
                consent_missing: !has_consent,
                misses_other,
                is_text_new,
                proof: proofs::standing(conn, rule, id)?,
                pick_up,
                receipt,
                on,
            });
        }
        due.children.extend(next);
    }
    due.children.sort_by_key(|child| child.on);
    Ok(due)
}

fn certificate(receipt: &Receipt, span: Span) -> Option<ReadyCertificate> {
    let (code, has_paper) = receipt.certificate.clone()?;
    let on = receipt.session.held_on;
    (on + Days::new(NEW) >= span.today).then(|| ReadyCertificate {
        given: receipt.given.clone(),
        registration: receipt.reference.clone(),
        code,
        has_paper,
        on,
    })
}
