//! The limits of a session's seats, counted from the site, the team, the fleet and the helmets as they stand now.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::super::Failure;
use super::super::people::Member;
use super::super::program::Program;
use super::{CourseRow, SiteRow};
use crate::domain::access::Duty;
use crate::domain::fit::FitRules;
use crate::domain::ids::{RulebookId, SessionId, StaffId};
use crate::domain::machine::{Category, MachineState};
use crate::domain::meeting::Meetings;
use crate::domain::session::{Limits, SessionState};
use crate::domain::staffing::counts_for_ratio;
use crate::domain::words::Word;
use crate::store::gear::helmets_on_hand;
use crate::store::machines::{MachineRow, list_machines};
use crate::store::rulebooks::find_rulebook;
use crate::store::sessions::{SessionView, list_sessions, meetings_of_all};
use crate::store::{AnyConn, StoreError};

/// What the limits are counted for.
pub(super) struct Place<'a> {
    pub(super) program: &'a Program,
    pub(super) course: &'a CourseRow,
    pub(super) site: &'a SiteRow,
    pub(super) days: &'a Meetings,
    pub(super) today: NaiveDate,
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
    let ready = list_machines(conn)?.into_iter().filter(|machine| usable(machine, &rules, course.least_age)).count();
    let to_come: Vec<SessionView> = list_sessions(conn, place.today, last_day())?
        .into_iter()
        .filter(|other| other.session.state == SessionState::Announced)
        .collect();
    let ids: Vec<SessionId> = to_come.iter().map(|other| other.session.id).collect();
    let met = met_on(conn, &ids, place.days)?;
    let promised = |of: &dyn Fn(&SessionView) -> bool| -> i64 {
        to_come.iter().filter(|other| of(other)).map(|other| other.session.capacity).sum()
    };
    // The fleet is needed on every day of the session: the day on which the others need most of it counts.
    let busiest = met.values().map(|there| promised(&|other| there.contains(&other.session.id))).max().unwrap_or(0);
    let ratio = place.program.settings.ratio.for_youngest(course.least_age);
    Ok(Limits {
        site: place.site.most_riders,
        instructors,
        riders_per_instructor: course.riders_per_instructor.min(ratio),
        machines: (i64::try_from(ready).unwrap_or(i64::MAX) - busiest).max(0),
        helmets: (helmets_on_hand(conn)? - promised(&|_| true)).max(0),
        choice,
    })
}

/// Which of these sessions meet on each of the days.
fn met_on(
    conn: &mut AnyConn,
    others: &[SessionId],
    days: &Meetings,
) -> Result<BTreeMap<NaiveDate, BTreeSet<SessionId>>, StoreError> {
    let mut met: BTreeMap<NaiveDate, BTreeSet<SessionId>> = BTreeMap::new();
    for row in meetings_of_all(conn, others)? {
        let day = row.day()?;
        if days.all().iter().any(|meeting| meeting.on == day) {
            met.entry(day).or_default().insert(row.session_id);
        }
    }
    Ok(met)
}

/// The end of the calendar as both engines write and compare it.
fn last_day() -> NaiveDate {
    NaiveDate::from_ymd_opt(9999, 12, 31).expect("a day of the calendar")
}

/// Whether every age of the course may ride the machine, so that whoever registers can be given it.
fn usable(machine: &MachineRow, rules: &FitRules, least_age: i64) -> bool {
    let ready = MachineState::from_word(&machine.state).is_some_and(MachineState::may_be_ridden);
    let category = Category::from_word(&machine.category);
    ready && category.is_some_and(|category| rules.categories.allowed_by_age(category, least_age).is_ok())
}
