//! How the day of each rider of a session ended, worked out from the acts that count. Reads; changes nothing.

use std::collections::BTreeMap;

use crate::domain::acts::Act;
use crate::domain::curriculum::Curriculum;
use crate::domain::day::{Day, NotCompleted};
use crate::domain::ids::RegistrationId;
use crate::domain::meeting::{Meeting, Meetings};
use crate::domain::registration::Outcome;
use crate::domain::words::full_name;
use crate::store::acts::{KeptAct, acts_of};
use crate::store::families::RiderRow;
use crate::store::registrations::{RegistrationRow, registrations_of};
use crate::store::rulebooks::find_rulebook;
use crate::store::sessions::{SessionRow, meeting_days_of};
use crate::store::{AnyConn, StoreError};

/// One rider's end of the day.
pub(super) struct End {
    pub registration: RegistrationRow,
    pub rider: RiderRow,
    /// Meetings of which the child is not checked out.
    pub not_out: Vec<Meeting>,
    /// How each meeting ended: what somebody set or the acts say; absent for those who never came.
    pub each: Vec<(Meeting, Outcome)>,
    /// That of the last meeting, which decides.
    pub outcome: Outcome,
    pub completion: Result<(), NotCompleted>,
}

impl End {
    pub(super) fn name(&self) -> String {
        full_name(&self.rider.given_name, &self.rider.family_name)
    }

    /// The name on the certificate.
    pub(super) fn paper_name(&self) -> String {
        match self.rider.paper_name.as_str() {
            "" => self.name(),
            chosen => chosen.to_owned(),
        }
    }

    pub(super) fn completes(&self) -> bool {
        self.completion.is_ok()
    }
}

/// Everybody who holds a seat, by name.
pub(super) struct Ends {
    pub curriculum: Curriculum,
    pub meetings: Meetings,
    pub riders: Vec<End>,
    /// Acts that came after closing and wait for a reopening.
    pub late_acts: usize,
}

impl Ends {
    /// Reads the session's acts and works each day out.
    pub(super) fn of(conn: &mut AnyConn, session: &SessionRow) -> Result<Self, StoreError> {
        let curriculum = find_rulebook(conn, session.curriculum_id)?;
        let curriculum: Curriculum =
            serde_json::from_str(&curriculum).map_err(|_| StoreError::Unreadable("rulebooks.body"))?;
        let acts = acts_of(conn, session.id)?;
        let late_acts = acts.iter().filter(|kept| kept.waits()).count();
        let mut by_rider = grouped(acts);
        let with_seat = registrations_of(conn, session.id)?;
        let meetings = meeting_days_of(conn, session.id)?;
        let riders = with_seat
            .into_iter()
            .filter(|(registration, _)| registration.state.takes_a_seat())
            .map(|(registration, rider)| {
                let acts = by_rider.remove(&registration.id).unwrap_or_default();
                end(registration, rider, &acts, &curriculum, &meetings)
            })
            .collect();
        Ok(Self { curriculum, meetings, riders, late_acts })
    }

    /// Names of children who are not checked out of a meeting.
    pub(super) fn not_home(&self) -> Vec<String> {
        self.riders.iter().filter(|end| !end.not_out.is_empty()).map(End::name).collect()
    }

    /// How many completed.
    pub(super) fn completed(&self) -> usize {
        self.riders.iter().filter(|end| end.completes()).count()
    }
}

/// How the meetings of one rider ended; the last one decides.
fn end(
    registration: RegistrationRow,
    rider: RiderRow,
    acts: &[Act],
    curriculum: &Curriculum,
    meetings: &Meetings,
) -> End {
    let day = |meeting: &Meeting| (*meeting, Day::of(acts, curriculum, meeting.ordinal));
    let days: Vec<(Meeting, Day)> = meetings.all().iter().map(day).collect();
    let outcome_of = |day: &Day| day.outcome().unwrap_or(Outcome::Absent);
    let (_, last) = days.last().expect("a session has a meeting");
    End {
        not_out: days.iter().filter(|(_, day)| day.is_here()).map(|(meeting, _)| *meeting).collect(),
        each: days.iter().map(|(meeting, day)| (*meeting, outcome_of(day))).collect(),
        outcome: outcome_of(last),
        completion: last.completion(curriculum),
        registration,
        rider,
    }
}

/// The acts that count, by rider. Late, quarantined and undone ones are kept and do not count.
fn grouped(acts: Vec<KeptAct>) -> BTreeMap<RegistrationId, Vec<Act>> {
    let mut by_rider: BTreeMap<RegistrationId, Vec<Act>> = BTreeMap::new();
    for kept in acts.into_iter().filter(KeptAct::counts) {
        if let Some(registration) = kept.registration {
            by_rider.entry(registration).or_default().push(kept.act);
        }
    }
    by_rider
}
