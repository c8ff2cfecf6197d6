//! Whose signature stands under a text: of an adult at home, or of one who stands before the session's staff.

use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::GuardianId;
use crate::domain::refusal::Refusal;
use crate::services::roster::opened;
use crate::services::ties::speaker;
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::families::{RiderRow, find_guardianship};
use crate::store::registrations::{RegistrationRow, find_registration};

/// Whose signature it is, and how it comes to be there.
#[derive(Clone, Debug)]
pub enum Signer {
    /// The caller signs for the own child, whose registration is named.
    Own(String),
    /// The adult who speaks for a place signs on the screen of somebody of the session's staff.
    BesideStaff {
        /// The session.
        session: String,
        /// The registration.
        registration: String,
    },
}

impl Signer {
    /// The adult, with the place and the child.
    ///
    /// # Errors
    /// `NotFound` when the caller may not know of the registration; `NobodyDecides` when no adult speaks for it.
    pub(super) fn find(
        &self,
        app: &App,
        conn: &mut AnyConn,
        caller: &Caller,
    ) -> Result<(GuardianId, RegistrationRow, RiderRow), Failure> {
        match self {
            Self::Own(reference) => own(conn, caller, reference),
            Self::BesideStaff { session, registration } => {
                let opened = opened::open(conn, caller, session, app.clock.now())?;
                ask(caller, Action::RegisterWalkUp, opened.subject())?;
                let (row, rider) = opened.rider(conn, registration)?;
                let adult = speaker(conn, &row)?.ok_or(Refusal::NobodyDecides)?;
                Ok((adult.id, row, rider))
            }
        }
    }
}

/// A registration that the caller answers for.
pub(super) fn own(
    conn: &mut AnyConn,
    caller: &Caller,
    reference: &str,
) -> Result<(GuardianId, RegistrationRow, RiderRow), Failure> {
    let guardian = caller.guardian().ok_or(Failure::NotFound)?;
    let (row, rider) = find_registration(conn, reference)?.ok_or(Failure::NotFound)?;
    let tie = find_guardianship(conn, guardian, rider.id)?;
    ask(caller, Action::AnswerForRider, Subject::Rider { tie })?;
    Ok((guardian, row, rider))
}
