//! The limits of a session's seats, counted from the site, the team, the fleet and the helmets as they stand now.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::plan::Beside;
use super::{Around, CourseRow, SiteRow};
use crate::domain::access::Duty;
use crate::domain::fit::FitRules;
use crate::domain::ids::{MachineId, RulebookId, SessionId, StaffId};
use crate::domain::session::{Limits, SessionState};
use crate::domain::staffing::counts_for_ratio;
use crate::domain::timetable::{Booking, both_need};
use crate::services::Failure;
use crate::services::gear::usable_on;
use crate::services::people::Member;
use crate::services::program::Program;
use crate::services::roster::fit::blank;
use crate::store::machines::{MachineRow, list_machines};
use crate::store::rulebooks::find_rulebook;
use crate::store::session_machines::machines_of_sessions;
use crate::store::sessions::{SessionView, list_sessions};
use crate::store::{AnyConn, StoreError};

/// What the limits are counted for.
pub(super) struct Place<'a> {
    pub(super) program: &'a Program,
    pub(super) course: &'a CourseRow,
    pub(super) site: &'a SiteRow,
    pub(super) booking: &'a Booking,
    pub(super) today: NaiveDate,
    pub(super) around: &'a Around,
    /// Sessions near its days, those of the same series among them.
    pub(super) others: &'a [Beside],
}

/// How many of the team count for the ratio.
pub(super) fn teachers(people: &[Member], team: &[(StaffId, Duty)]) -> i64 {
    let counts = |(id, duty): &&(StaffId, Duty)| {
        people.iter().any(|member| member.id == *id && counts_for_ratio(*duty, member.state))
    };
    i64::try_from(team.iter().filter(counts).count()).unwrap_or(i64::MAX)
}

/// Each limit. Machines and helmets that other announced sessions need are not counted twice.
pub(super) fn limits(
    conn: &mut AnyConn,
    place: &Place<'_>,
    instructors: i64,
    fit: RulebookId,
    choice: Option<i64>,
) -> Result<Limits, Failure> {
    let course = place.course;
    let rules: FitRules =
        serde_json::from_str(&find_rulebook(conn, fit)?).map_err(|_| StoreError::Unreadable("rulebooks.body"))?;
    let machines = machines(conn, place, &rules)?;
    let to_come: Vec<SessionView> = list_sessions(conn, place.today, last_day())?
        .into_iter()
        .filter(|other| other.session.state == SessionState::Announced)
        .filter(|other| Some(other.session.id) != place.around.except)
        .collect();
    let helmets_promised: i64 = to_come.iter().map(|other| other.session.capacity).sum::<i64>()
        + place.around.before.iter().map(|before| before.seats).sum::<i64>();
    let ratio = place.program.settings.ratio.for_youngest(course.least_age);
    Ok(Limits {
        site: place.site.most_riders,
        instructors,
        riders_per_instructor: course.riders_per_instructor.min(ratio),
        machines,
        helmets: (usable_on(conn, first_day(place.booking))? - helmets_promised).max(0),
        choice,
        overbooked: place.program.settings.overbooked.max(0),
    })
}

/// Machines for the session: those that go there, once somebody has said which; before that, those that nobody else needs.
fn machines(conn: &mut AnyConn, place: &Place<'_>, rules: &FitRules) -> Result<i64, Failure> {
    let session: Vec<SessionId> = place.around.except.into_iter().collect();
    let going: BTreeSet<MachineId> =
        machines_of_sessions(conn, &session)?.into_iter().map(|(_, machine)| machine).collect();
    let elsewhere = going_elsewhere(place.booking, place.others);
    let mut ready: Vec<MachineId> = Vec::new();
    for machine in list_machines(conn)?.into_iter().filter(|machine| !elsewhere.contains(&machine.id)) {
        if usable(&machine, rules, place.course.least_age)? {
            ready.push(machine.id);
        }
    }
    let count = |found: usize| i64::try_from(found).unwrap_or(i64::MAX);
    let own = count(ready.iter().filter(|machine| going.contains(machine)).count());
    let free = count(ready.len()) - machines_promised(place);
    Ok(if going.is_empty() { free.max(0) } else { own })
}

/// Machines that go to other sessions when this one would need them.
fn going_elsewhere(booking: &Booking, others: &[Beside]) -> BTreeSet<MachineId> {
    let needs = |other: &&Beside| both_need(booking, &other.booking).is_some();
    others.iter().filter(needs).flat_map(|other| other.machines.iter().copied()).collect()
}

/// Machines that sessions need of which nobody has said which go there, on the fullest of the days.
fn machines_promised(place: &Place<'_>) -> i64 {
    let on = |day: NaiveDate| -> i64 {
        let meets = |other: &&Beside| other.booking.spans.iter().any(|span| span.on == day);
        place.others.iter().filter(|other| other.machines.is_empty()).filter(meets).map(|other| other.seats).sum()
    };
    place.booking.spans.iter().map(|span| on(span.on)).max().unwrap_or(0)
}

fn first_day(booking: &Booking) -> NaiveDate {
    booking.spans.iter().map(|span| span.on).min().unwrap_or(NaiveDate::MIN)
}

/// The end of the calendar as both engines write and compare it.
fn last_day() -> NaiveDate {
    NaiveDate::from_ymd_opt(9999, 12, 31).expect("a day of the calendar")
}

/// Whether every age of the course may ride the machine by its age, its limiter and its state, and the engine rule where the
/// program asks for it, so that whoever registers can be tried on it.
pub(in crate::services) fn usable(machine: &MachineRow, rules: &FitRules, least_age: i64) -> Result<bool, Failure> {
    Ok(blank(rules, machine, least_age)?.may_be_tried().is_none())
}
