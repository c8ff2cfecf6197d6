//! What every page of a session says first: whether anybody may ride, whose heads were counted wrong, who is out on the
//! trail. Works the session's day out from its acts for the pages and for the door.

use chrono::NaiveTime;

use super::super::{Failure, seed};
use super::area::Area;
use super::look_over::Starter;
use super::opened::Opened;
use crate::domain::acts::CountMoment;
use crate::domain::area::Stop;
use crate::domain::machine::today::Parked;
use crate::domain::point_list::{PointList, PointListKind};
use crate::domain::refusal::{Refusal, WeatherRefusal};
use crate::domain::session::SessionState;
use crate::domain::session_day::{Counted, Entry, Scope, SessionDay, Taught};
use crate::domain::words::full_name;
use crate::store::acts::KeptAct;
use crate::store::point_lists::point_list_of;
use crate::store::sessions::staff_of;
use crate::store::staff::{list_references, list_staff};
use crate::store::{AnyConn, StoreError};

/// What must be seen on every page of a session while it is held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alarms {
    /// Why nobody may ride now; none when riding may go on, or when the session's days are over.
    pub no_riding: Option<Refusal>,
    /// Why the weather lets nobody ride now.
    pub weather: Option<WeatherRefusal>,
    /// Why the rule of the riding area lets nobody ride now; empty before anybody of the team was on it.
    pub area: Vec<Stop>,
    /// Whether riding had begun and was stopped again.
    pub had_begun: bool,
    /// Riders who start on a machine that is out of use: its number and the rider's name.
    pub on_parked: Vec<(String, String)>,
    /// Wrong head counts that nobody has put right.
    pub wrong: Vec<HeadsCounted>,
    /// Groups that rode out and were not counted in.
    pub out: Vec<HeadsCounted>,
}

/// A head count as a page tells it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeadsCounted {
    /// The group's instructor; none for everybody.
    pub group: Option<String>,
    /// When in the day.
    pub moment: CountMoment,
    /// How many should have been there.
    pub expected: i64,
    /// How many were.
    pub counted: i64,
    /// On the wall at the site.
    pub at: NaiveTime,
}

/// An instructor of the session, whose group riders may be in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Teacher {
    /// The account's reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Given name.
    pub given: String,
    /// Whether the person teaches at this session now.
    pub is_here: bool,
}

impl HeadsCounted {
    /// Whether somebody is missing, or one too many.
    pub fn is_wrong(&self) -> bool {
        self.expected != self.counted
    }
}

impl Opened {
    /// The list of a kind that the session keeps; for one from before there were lists, the list that ships.
    pub(in crate::services) fn points(&self, conn: &mut AnyConn, kind: PointListKind) -> Result<PointList, Failure> {
        match point_list_of(conn, kind, self.view.session.id, self.view.session.held_on)? {
            Some(text) => serde_json::from_str(&text).map_err(Failure::broken),
            None => Ok(seed::point_list(kind)),
        }
    }

    /// The day of a meeting, worked out from the acts that count, with its day list.
    pub(in crate::services) fn session_day(
        &self,
        conn: &mut AnyConn,
        acts: &[KeptAct],
        meeting: i64,
    ) -> Result<(PointList, SessionDay), Failure> {
        let list = self.points(conn, PointListKind::DayList)?;
        let day = SessionDay::of(&list, &entries(acts, meeting));
        Ok((list, day))
    }

    /// Which lessons were taught at this meeting, and whose heads were counted since.
    pub(super) fn taught(&self, acts: &[KeptAct]) -> Taught {
        Taught::of(&entries(acts, self.meeting.ordinal))
    }

    /// Whether the day of a meeting is over: then nobody can ride any more.
    pub(in crate::services) fn is_over(&self, meeting: i64) -> bool {
        self.meetings.find(meeting).is_none_or(|found| found.on < self.today)
    }

    /// What every page of the session says first.
    pub(in crate::services) fn alarms(
        &self,
        conn: &mut AnyConn,
        acts: &[KeptAct],
        area: Option<&Area>,
    ) -> Result<Alarms, Failure> {
        let (list, day) = self.session_day(conn, acts, self.meeting.ordinal)?;
        let is_held = self.openness().takes_acts() && !self.is_over(self.meeting.ordinal);
        let no_riding = if is_held { day.signing.may_ride(&list).err() } else { None };
        let on_parked = if is_held { self.on_parked(conn, acts)? } else { Vec::new() };
        let teachers = self.teachers(conn)?;
        let told = |counted: &Counted| self.heads(counted, &teachers);
        let is_open = self.view.session.state != SessionState::Closed;
        let wrong: Vec<HeadsCounted> = day.counts.wrong.values().filter(|_| is_open).map(told).collect();
        let out = day.counts.out.values().filter(|_| is_open).map(|out| HeadsCounted {
            group: group_name(&out.scope, &teachers),
            moment: CountMoment::TrailOut,
            expected: out.counted,
            counted: out.counted,
            at: self.clock(out.since),
        });
        let weather = if is_held { self.weather_stop(conn, acts, self.meeting.ordinal)? } else { None };
        let stopped = area.filter(|area| is_held && area.has_begun && area.is_stopped());
        Ok(Alarms {
            no_riding,
            weather,
            area: stopped.map_or_else(Vec::new, |area| area.stops.clone()),
            had_begun: day.signing.was_signed,
            on_parked,
            wrong,
            out: out.collect(),
        })
    }

    fn on_parked(&self, conn: &mut AnyConn, acts: &[KeptAct]) -> Result<Vec<(String, String)>, Failure> {
        let machines = self.machines_today(conn, acts, self.meeting.ordinal)?;
        let stops = |starter: &Starter| machines.parked(&starter.machine) == Some(Parked::OutOfUse);
        let stopped = self.starters(conn, acts)?.into_iter().filter(stops);
        Ok(stopped.map(|starter| (starter.machine, starter.name)).collect())
    }

    pub(super) fn heads(&self, counted: &Counted, teachers: &[Teacher]) -> HeadsCounted {
        HeadsCounted {
            group: group_name(&counted.scope, teachers),
            moment: counted.moment,
            expected: counted.expected,
            counted: counted.counted,
            at: self.clock(counted.at),
        }
    }

    /// Everybody of the staff, by name; those who teach here are marked.
    pub(in crate::services) fn teachers(&self, conn: &mut AnyConn) -> Result<Vec<Teacher>, Failure> {
        let here: Vec<_> = staff_of(conn, self.view.session.id)?.into_iter().filter(|row| row.duty.teaches()).collect();
        let references = list_references(conn)?;
        let mut all = Vec::new();
        for row in list_staff(conn)? {
            let reference = references.iter().find(|(id, _)| *id == row.id).map(|(_, reference)| reference.clone());
            all.push(Teacher {
                reference: reference.ok_or(StoreError::Missing)?,
                name: full_name(&row.given_name, &row.family_name),
                given: row.given_name,
                is_here: here.iter().any(|member| member.staff_id == row.id),
            });
        }
        Ok(all)
    }

    /// Somebody who teaches at this session.
    ///
    /// # Errors
    /// `NotFound` for anybody else.
    pub(in crate::services) fn must_teach(&self, conn: &mut AnyConn, reference: &str) -> Result<(), Failure> {
        let teaches = |teacher: &Teacher| teacher.is_here && teacher.reference == reference;
        if self.teachers(conn)?.iter().any(teaches) { Ok(()) } else { Err(Failure::NotFound) }
    }

    /// Somebody whose group heads can be counted: who teaches here, or whose riders have not been moved yet.
    ///
    /// # Errors
    /// `NotFound` for anybody else.
    pub(in crate::services) fn must_be_group(&self, conn: &mut AnyConn, reference: &str) -> Result<(), Failure> {
        let acts = self.acts(conn)?;
        let (_, day) = self.session_day(conn, &acts, self.meeting.ordinal)?;
        if day.groups.values().any(|with| with == reference) { Ok(()) } else { self.must_teach(conn, reference) }
    }
}

/// The acts that count, as the day of a meeting is worked out from them.
fn entries(acts: &[KeptAct], meeting: i64) -> Vec<Entry> {
    let entry = |kept: &KeptAct| Entry {
        rider: kept.registration,
        is_today: kept.act.meeting == meeting,
        act: kept.act.clone(),
    };
    acts.iter().filter(|kept| kept.counts()).map(entry).collect()
}

fn group_name(scope: &Scope, teachers: &[Teacher]) -> Option<String> {
    match scope {
        Scope::All => None,
        Scope::Group(reference) => Some(
            teachers.iter().find(|one| one.reference == *reference).map_or_else(String::new, |one| one.name.clone()),
        ),
    }
}
