//! One rider on a list of the roster: name, age, the day so far, and the health flag for readers who may. Reads only.

use super::super::{App, Failure};
use super::health;
use super::opened::Opened;
use crate::domain::day::Day;
use crate::domain::machine::today::Parked;
use crate::domain::proof::Proof;
use crate::domain::words::full_name;
use crate::store::AnyConn;
use crate::store::families::RiderRow;
use crate::store::registrations::RegistrationRow;

/// One rider on a list.
#[derive(Clone, Debug)]
pub struct Line {
    /// Reference of the registration.
    pub reference: String,
    /// Whole name.
    pub name: String,
    /// Given name.
    pub given: String,
    /// Completed years on the session's first day.
    pub age: i64,
    /// The rider's day so far.
    pub day: Day,
    /// What to know about the child's health, in one line; only for readers who may.
    pub health: Option<String>,
    /// How the rider stands to the earlier part that the course may ask for.
    pub proof: Proof,
    /// Why the machine of the rider's fit check stays parked.
    pub parked: Option<Parked>,
}

impl Line {
    /// Whether the rider is here, in full gear, on a machine that fits and may be ridden, with the proof that the course
    /// needs.
    pub fn is_ready(&self) -> bool {
        self.day.is_ready() && self.parked.is_none() && !self.proof.holds_back()
    }

    /// Machine and helmet in a few words.
    pub fn kit(&self) -> String {
        let tried = self.day.fit.as_ref().map(|(number, _)| number);
        let machine = match (tried, self.day.machine.as_ref()) {
            (tried, Some(number)) if tried != Some(number) => Some(format!("for machine {number}")),
            (tried, _) => tried.map(|number| format!("machine {number}")),
        };
        let helmet = self.day.helmets.last().map(|(lot, way)| format!("helmet {lot}, {way}"));
        [machine, helmet].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

impl Opened {
    /// One line of the roster.
    pub(super) fn line(
        &self,
        app: &App,
        conn: &mut AnyConn,
        row: &(RegistrationRow, RiderRow),
        day: Day,
        reads_health: bool,
    ) -> Result<Line, Failure> {
        let (registration, rider) = row;
        let health = match reads_health {
            true => health::flag(app, conn, registration.id)?,
            false => None,
        };
        Ok(Line {
            reference: registration.reference.clone(),
            name: full_name(&rider.given_name, &rider.family_name),
            given: rider.given_name.clone(),
            age: self.age_of(rider),
            proof: self.proof(conn, registration.id, &day)?,
            parked: self.parked_now(conn, &day)?,
            day,
            health,
        })
    }
}
