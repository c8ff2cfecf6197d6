//! Who is still to be checked in, for calling the names of a whole group. Reads only.

use super::super::{App, Failure};
use super::opened::{counted_by_rider, open};
use super::{Head, Line};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;

/// The names to call.
#[derive(Clone, Debug)]
pub struct RollCall {
    /// The session.
    pub head: Head,
    /// Riders who may be checked in and have not come yet.
    pub expected: Vec<Line>,
    /// Riders who have not come and may not be checked in now, with the reason.
    pub held_back: Vec<(Line, Refusal)>,
}

/// The names to call at one session.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<RollCall, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
        let curriculum = opened.curriculum(conn)?;
        let by_rider = counted_by_rider(&acts);
        let (mut expected, mut held_back) = (Vec::new(), Vec::new());
        for row in opened.riders(conn, &by_rider)? {
            let day =
                Day::of(by_rider.get(&row.0.id).map_or(&[][..], Vec::as_slice), curriculum, opened.meeting.ordinal);
            if day.arrived_at.is_some() {
                continue;
            }
            let line = opened.line(app, conn, &row, day, false)?;
            match (row.0.state == RegistrationState::Confirmed, opened.has_consent(conn, &row.0)?) {
                (true, true) => expected.push(line),
                (true, false) => held_back.push((line, Refusal::NoConsent)),
                (false, _) => held_back.push((line, Refusal::NoSeat)),
            }
        }
        Ok(RollCall { head, expected, held_back })
    })
}
