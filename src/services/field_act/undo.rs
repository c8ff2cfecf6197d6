//! The undo of an act, taken at the same door: it names the act, is about the same rider, a helmet goes back to its lot, and
//! a fault that was written down by mistake is gone.

use super::{Answer, Hand, Wished, hex};
use crate::domain::acts::{Body, Taking};
use crate::domain::skill::ActId;
use crate::domain::undo::{Asked, may_undo};
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::acts::{KeptAct, add_act};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::registrations::find_registration_by_id;

impl Hand {
    /// Takes an act back, or says why not.
    pub(super) fn undo(
        &self,
        conn: &mut AnyConn,
        wished: &Wished,
        of: &ActId,
        counter: i64,
        taking: Taking,
    ) -> Result<Answer, Failure> {
        let acts = self.opened.acts(conn)?;
        let target = acts.iter().find(|kept| kept.act.id == *of).ok_or(Failure::NotFound)?;
        if target.undone {
            return Ok(Answer::Already);
        }
        may_undo(&Asked {
            act: &target.act,
            received_at: target.received_at,
            taking: target.taking,
            is_own: target.account == self.person.account,
            has_newer: acts.iter().any(|other| stands_on(other, target)),
            session: self.opened.view.session.state,
            now: self.now,
        })?;
        let act = self.act(conn, wished, (target.act.meeting, counter), Body::Undo { of: *of })?;
        let (registration, account, received_at) = (target.registration, self.person.account, self.now);
        let kept = KeptAct { act, registration, account, received_at, taking, undone: false };
        add_act(conn, self.opened.view.session.id, &kept)?;
        self.take_back_helmet(conn, &target.act)?;
        self.forget_faults(conn, &target.act)?;
        self.note_undo(conn, target)?;
        Ok(Answer::Taken(taking))
    }

    fn note_undo(&self, conn: &mut AnyConn, target: &KeptAct) -> Result<(), Failure> {
        let subject = match target.registration {
            Some(id) => format!("registration {}", find_registration_by_id(conn, id)?.0.reference),
            None => format!("session {}", self.opened.view.session.reference),
        };
        let detail = format!("{} {}", target.act.body.kind(), hex(&target.act.id));
        let (at, account, request) = (self.now, Some(self.person.account), self.request.clone());
        Ok(add_audit_row(conn, &AuditRow { at, account, action: "act.undo", subject, request, detail })?)
    }
}

/// Whether a newer act that stands is about the same rider, or the same thing of the whole session.
fn stands_on(other: &KeptAct, target: &KeptAct) -> bool {
    let same = other.registration == target.registration
        && (target.registration.is_some() || other.act.body.kind() == target.act.body.kind());
    // What nearly happened, or happened, stands beside everything else and on nothing.
    let is_apart = matches!(other.act.body, Body::Undo { .. } | Body::NearMiss { .. } | Body::Incident { .. });
    same && !is_apart && !other.undone && other.act.order() > target.act.order()
}
