//! The office looks at the proof of an earlier part: who saw it and when is kept and audited. On the field an act does.

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::acts::Body;
use crate::domain::ids::RegistrationId;
use crate::domain::proof::{Proof, ProofRule};
use crate::domain::refusal::Refusal;
use crate::store::acts::acts_about;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::proofs::{proof_of, set_proof_seen};
use crate::store::registrations::find_registration;
use crate::store::sessions::find_session;
use crate::store::{AnyConn, StoreError};

/// Marks the proof of one registration as seen by the office, or takes that back.
///
/// # Errors
/// `NotFound` for a registration of another session, `Refused(NoProofAsked)`.
pub fn mark_seen(app: &App, caller: &Caller, session: &str, registration: &str, seen: bool) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let account = caller.account().ok_or(Failure::NotAllowed)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    let (session, registration) = (session.to_owned(), registration.to_owned());
    app.store.write("see proof", move |conn| {
        let view = find_session(conn, &session)?.ok_or(Failure::NotFound)?;
        let found = find_registration(conn, &registration)?.filter(|(row, _)| row.session_id == view.session.id);
        let (row, _) = found.ok_or(Failure::NotFound)?;
        if view.course.proof_rule == ProofRule::None {
            return Err(Refusal::NoProofAsked.into());
        }
        set_proof_seen(conn, row.id, seen.then_some((now, account)))?;
        let detail = if seen { "seen" } else { "not seen" }.to_owned();
        let subject = format!("registration {registration}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "proof.see", subject, detail))?;
        Ok(())
    })
}

/// How a registration stands to the earlier part; the latest act of the field stands above the office's word.
pub(super) fn standing(conn: &mut AnyConn, rule: ProofRule, registration: RegistrationId) -> Result<Proof, StoreError> {
    if rule == ProofRule::None {
        return Ok(Proof::NOT_ASKED);
    }
    let kept = proof_of(conn, registration)?;
    let acts = acts_about(conn, registration)?;
    let seen_on_field = acts.iter().filter(|kept| kept.counts()).rev().find_map(|kept| match kept.act.body {
        Body::Proof { seen } => Some(seen),
        _ => None,
    });
    Ok(Proof { rule, answer: kept.answer, seen_by_office: kept.seen_at.is_some(), seen_on_field })
}
