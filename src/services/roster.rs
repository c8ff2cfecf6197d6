//! What the staff of a session see: their sessions, the roster, its riders, lessons, fit checks and health notes.
//! Reads only; everything that is done comes through `field_act`.

pub mod alarms;
pub mod area;
pub mod day_list;
pub mod earlier;
pub mod fit;
pub mod groups;
pub mod health;
pub mod lesson;
pub mod let_through;
mod mine;
pub(in crate::services) mod opened;
pub mod rider;

use std::collections::BTreeMap;

use chrono::NaiveTime;

use super::{App, Failure};
use crate::domain::access::{Action, Caller, Duty};
use crate::domain::acts::{Act, Body, CountMoment, Taking};
use crate::domain::cautions::{CautionKey, Cautions};
use crate::domain::curriculum::{CheckCode, Curriculum, Lesson};
use crate::domain::day::Day;
use crate::domain::meeting::Meeting;
use crate::domain::proof::Proof;
use crate::domain::session::SessionState;
use crate::domain::skill::{Standing, standing};
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, full_name};
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::families::RiderRow;
use crate::store::registrations::RegistrationRow;
use crate::store::rulebooks::find_rulebook;
use crate::store::sessions::{SessionView, meetings_of, staff_of};
use alarms::Alarms;
use earlier::LeftOver;
use opened::{Opened, counted_by_rider, open, zone_of};

pub use mine::{Due, MySession, my_sessions};

fn start_of(conn: &mut AnyConn, view: &SessionView, meeting: i64) -> Result<Option<NaiveTime>, Failure> {
    let zone = zone_of(view);
    let found = meetings_of(conn, view.session.id)?.into_iter().find(|row| row.ordinal == meeting);
    Ok(found.map(|meeting| LocalTime::from_utc(meeting.starts_at, zone).wall.time()))
}

/// What every page of one session says about it.
#[derive(Clone, Debug)]
pub struct Head {
    /// Public reference.
    pub reference: String,
    /// Its course.
    pub course: String,
    /// Its site.
    pub site: String,
    /// The meeting that is shown: that of today, or the latest that has come.
    pub meeting: Meeting,
    /// How many meetings the session has.
    pub meetings: usize,
    /// What the earlier part is called of which the course asks proof; nothing when it asks for none.
    pub earlier_part: Option<String>,
    /// Start of that meeting on the wall at the site.
    pub starts: Option<NaiveTime>,
    /// Who leads.
    pub lead: String,
    /// Where it stands.
    pub state: SessionState,
    /// Whether acts are taken now, late ones too.
    pub takes_acts: bool,
    /// Whether the reader leads.
    pub is_lead: bool,
    /// Whether the reader may read health notes.
    pub reads_health: bool,
    /// Whether the reader may close it.
    pub may_close: bool,
    /// The riding area now; none while the session takes no acts.
    pub area: Option<area::Area>,
    /// Acts that came after closing and wait.
    pub late: usize,
    /// The caution of the page.
    pub caution: String,
    /// What must be seen first.
    pub alarms: Alarms,
}

impl Opened {
    fn head(
        &self,
        conn: &mut AnyConn,
        caller: &Caller,
        acts: &[KeptAct],
        caution: CautionKey,
    ) -> Result<Head, Failure> {
        let session = &self.view.session;
        let lead = staff_of(conn, session.id)?.into_iter().find(|member| member.duty == Duty::Lead);
        let text = find_rulebook(conn, session.cautions_id)?;
        let cautions: Cautions = serde_json::from_str(&text).map_err(Failure::broken)?;
        Ok(Head {
            reference: session.reference.clone(),
            course: self.view.course.title(Lang::En).to_owned(),
            site: self.view.site.name.clone(),
            meeting: self.meeting,
            meetings: self.meetings.count(),
            earlier_part: self.view.course.earlier_part(Lang::En).map(str::to_owned),
            starts: start_of(conn, &self.view, self.meeting.ordinal)?,
            lead: lead.map(|member| full_name(&member.given_name, &member.family_name)).unwrap_or_default(),
            state: session.state,
            takes_acts: self.openness().takes_acts() || session.state == SessionState::Closed,
            is_lead: self.is_led_by_caller(),
            reads_health: self.may(caller, Action::ReadHealth),
            may_close: self.may(caller, Action::CloseSession),
            area: self.area(conn, caller, acts)?,
            late: acts.iter().filter(|kept| kept.taking == Taking::Late).count(),
            caution: cautions.of(caution).in_lang(Lang::En).to_owned(),
            alarms: self.alarms(conn, acts)?,
        })
    }

    /// One line of the roster.
    fn line(
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
            day,
            health,
        })
    }
}

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
}

impl Line {
    /// Whether the rider is here, in full gear, on a machine that fits.
    pub fn is_ready(&self) -> bool {
        let is_equipped = self.day.gear_missing().is_empty() && self.day.fit_lets_start();
        self.day.is_here() && is_equipped && !self.proof.holds_back()
    }

    /// Machine and helmet in a few words.
    pub fn kit(&self) -> String {
        let machine = self.day.fit.as_ref().map(|(number, _)| format!("machine {number}"));
        let helmet = self.day.helmets.last().map(|(lot, way)| format!("helmet {lot}, {way}"));
        [machine, helmet].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

/// A count of heads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeadCount {
    /// When heads are counted.
    pub moment: CountMoment,
    /// How many should have been there.
    pub expected: i64,
    /// How many were.
    pub counted: i64,
    /// On the wall at the site.
    pub at: NaiveTime,
}

impl HeadCount {
    /// Whether somebody is missing, or one too many.
    pub fn is_wrong(&self) -> bool {
        self.expected != self.counted
    }
}

fn last_count(opened: &Opened, acts: &[KeptAct]) -> Option<HeadCount> {
    let of_meeting = |kept: &&KeptAct| kept.counts() && kept.act.meeting == opened.meeting.ordinal;
    let mut counted: Vec<&Act> = acts.iter().filter(of_meeting).map(|kept| &kept.act).collect();
    counted.sort_by_key(|act| (act.order(), act.id));
    counted.iter().rev().find_map(|act| match act.body {
        Body::Count { moment, expected, counted, .. } => {
            Some(HeadCount { moment, expected, counted, at: opened.clock(act.at) })
        }
        _ => None,
    })
}

/// How far a lesson has come: riders who met all its required checks, of those here or gone home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LessonCount {
    /// Its number.
    pub number: u16,
    /// Its name.
    pub title: String,
    /// Marks that meet.
    pub met: usize,
    /// Marks to give.
    pub of: usize,
}

fn lesson_counts(curriculum: &Curriculum, lines: &[Line]) -> Vec<LessonCount> {
    let came: Vec<_> =
        lines.iter().filter(|line| line.day.arrived_at.is_some()).map(|line| standing(&line.day.attempts)).collect();
    let count = |lesson: &Lesson| {
        let codes: Vec<_> = lesson.checks.iter().filter(|check| check.required).map(|check| check.code).collect();
        let met = came.iter().map(|standing| met_of(standing, &codes)).sum();
        let title = lesson.title.in_lang(Lang::En).to_owned();
        LessonCount { number: lesson.number, title, met, of: came.len() * codes.len() }
    };
    curriculum.lessons().iter().map(count).collect()
}

fn met_of(standing: &BTreeMap<CheckCode, Standing>, codes: &[CheckCode]) -> usize {
    codes.iter().filter(|code| standing.get(code) == Some(&Standing::Meets)).count()
}

/// The roster of a session.
#[derive(Clone, Debug)]
pub struct Roster {
    /// The session.
    pub head: Head,
    /// Every rider with a seat.
    pub lines: Vec<Line>,
    /// How far each lesson has come.
    pub lessons: Vec<LessonCount>,
    /// The last head count.
    pub count: Option<HeadCount>,
    /// Children who are not checked out of an earlier meeting.
    pub left_over: Vec<LeftOver>,
}

impl Roster {
    /// Riders who came.
    pub fn came(&self) -> usize {
        self.lines.iter().filter(|line| line.day.arrived_at.is_some()).count()
    }
    /// Riders who are here in full gear on a machine that fits.
    pub fn ready(&self) -> usize {
        self.lines.iter().filter(|line| line.is_ready()).count()
    }
    /// Riders who are here, so not home.
    pub fn here(&self) -> usize {
        self.lines.iter().filter(|line| line.day.is_here()).count()
    }
}

/// The roster of one session.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Roster, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        roster(app, conn, caller, &opened)
    })
}

fn roster(app: &App, conn: &mut AnyConn, caller: &Caller, opened: &Opened) -> Result<Roster, Failure> {
    let acts = opened.acts(conn)?;
    let curriculum = opened.curriculum(conn)?;
    let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
    let mut by_rider = counted_by_rider(&acts);
    let (mut lines, mut left_over) = (Vec::new(), Vec::new());
    for row in opened.riders(conn, &by_rider)? {
        let own = by_rider.remove(&row.0.id).unwrap_or_default();
        let day = Day::of(&own, &curriculum, opened.meeting.ordinal);
        let line = opened.line(app, conn, &row, day, head.reads_health)?;
        left_over.extend(earlier::left_over(&earlier::of_rider(opened, &own, &curriculum), &line));
        lines.push(line);
    }
    let lessons = lesson_counts(&curriculum, &lines);
    Ok(Roster { head, lines, lessons, count: last_count(opened, &acts), left_over })
}
