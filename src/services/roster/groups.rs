//! Groups and head counts of a session: who rides with whom, and how many heads there should be.

use std::collections::BTreeSet;

use super::super::{App, Failure};
use super::Head;
use super::alarms::{HeadsCounted, Teacher};
use super::area::Area;
use super::opened::{counted_by_rider, open};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::session_day::{Scope, SessionDay, most_in_group};
use crate::domain::words::full_name;

/// The groups of a session.
#[derive(Clone, Debug)]
pub struct GroupsPage {
    /// The session.
    pub head: Head,
    /// Everybody, then each group.
    pub all: HeadsToCount,
    /// Each group: those of the people who teach here, and any other that still has riders.
    pub groups: Vec<HeadsToCount>,
    /// Every rider with a seat, by name.
    pub riders: Vec<GroupLine>,
    /// Riders on the site who are in no group.
    pub without_group: usize,
    /// Most riders in one group, where the curriculum sets it.
    pub most: Option<i64>,
    /// The lesson after the one that the reader's riders were marked in last.
    pub next_lesson: Option<u16>,
}

/// Riders whose heads are counted together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeadsToCount {
    /// The account reference of the group's instructor; empty for everybody.
    pub reference: String,
    /// The instructor's name; empty for everybody.
    pub name: String,
    /// The instructor's given name.
    pub given: String,
    /// Whether the instructor teaches here now.
    pub is_here: bool,
    /// In which part of the riding area it rides; empty when nobody said it today.
    pub place: String,
    /// Riders in it, here or not.
    pub members: usize,
    /// How many heads there should be now.
    pub expected: usize,
    /// The last count.
    pub last: Option<HeadsCounted>,
    /// When they rode out, if they are out.
    pub out: Option<chrono::NaiveTime>,
}

/// One rider of the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GroupLine {
    /// Reference of the registration.
    pub reference: String,
    /// Whole name.
    pub name: String,
    /// Completed years on the day.
    pub age: i64,
    /// Whether the rider is on the site.
    pub is_here: bool,
    /// The account reference of the group's instructor, if the rider is in one.
    pub with: Option<String>,
}

/// Groups and counts.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<GroupsPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let (_, day) = opened.session_day(conn, &acts, opened.meeting.ordinal)?;
        let teachers = opened.teachers(conn)?;
        let heads = |scope: Scope, teacher: Option<&Teacher>| HeadsToCount {
            reference: teacher.map_or_else(String::new, |one| one.reference.clone()),
            name: teacher.map_or_else(String::new, |one| one.name.clone()),
            given: teacher.map_or_else(String::new, |one| one.given.clone()),
            is_here: teacher.is_none_or(|one| one.is_here),
            place: teacher.and_then(|one| day.places.get(&one.reference)).cloned().unwrap_or_default(),
            members: members(&day, &scope),
            expected: day.expected(&scope),
            last: day.counts.last.get(&scope).map(|counted| opened.heads(counted, &teachers)),
            out: day.counts.out.get(&scope).map(|out| opened.clock(out.since)),
        };
        let used: BTreeSet<&String> = day.groups.values().collect();
        let shown = teachers.iter().filter(|one| one.is_here || used.contains(&one.reference));
        let groups = shown.map(|one| heads(Scope::Group(one.reference.clone()), Some(one))).collect();
        let by_rider = counted_by_rider(&acts);
        let line = |(registration, rider): (crate::store::registrations::RegistrationRow, _)| {
            let rider: crate::store::families::RiderRow = rider;
            GroupLine {
                name: full_name(&rider.given_name, &rider.family_name),
                age: opened.age_of(&rider),
                is_here: day.here.contains(&registration.id),
                with: day.groups.get(&registration.id).cloned(),
                reference: registration.reference,
            }
        };
        let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
        let taught = opened.taught(&acts);
        let own = taught.scope_of(head.area.as_ref().and_then(Area::me).map(|me| me.reference.as_str()));
        let curriculum = opened.curriculum(conn)?;
        let next_lesson = taught.latest(&own).and_then(|lesson| curriculum.next(lesson)).map(|next| next.number);
        let most = most_in_group(curriculum);
        Ok(GroupsPage {
            head,
            all: heads(Scope::All, None),
            groups,
            riders: opened.riders(conn, &by_rider)?.into_iter().map(line).collect(),
            without_group: day.without_group(),
            most,
            next_lesson,
        })
    })
}

fn members(day: &SessionDay, scope: &Scope) -> usize {
    match scope {
        Scope::All => day.here.len(),
        Scope::Group(reference) => day.groups.values().filter(|with| *with == reference).count(),
    }
}
