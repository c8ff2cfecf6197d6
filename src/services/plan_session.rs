//! Planning a session: when and where, who leads, and how many seats the smallest limit leaves.

mod seats;

use chrono::{NaiveDate, NaiveDateTime};

use super::people::{Member, members};
use super::program::Program;
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Duty, Role, Subject};
use crate::domain::certification::Certification;
use crate::domain::ids::{RulebookId, StaffId};
use crate::domain::meeting::{Meetings, NoMeetings};
use crate::domain::refusal::Refusal;
use crate::domain::session::{Limits, SessionState};
use crate::domain::site_paper::blocking_site_papers;
use crate::domain::staffing::{DutyPapers, TeamLack, team_lacks};
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::courses::{find_course, list_courses};
use crate::store::day_lists::keep_day_list;
use crate::store::rulebooks::find_rulebook_on;
use crate::store::seat_limits::add_seat_limits;
use crate::store::sessions::{NewMeeting, NewSession, add_session};
use crate::store::site_papers::papers_of_site;
use crate::store::sites::{find_site, list_sites};
use crate::store::{AnyConn, StoreError};

pub use crate::store::courses::CourseRow;
pub use crate::store::sites::SiteRow;

/// How a wall time is written in tables: `2026-06-13T08:30`.
const WALL: &str = "%Y-%m-%dT%H:%M";

/// A session as the coordinator wants it.
#[derive(Clone, Debug)]
pub struct Wish {
    /// The course's code.
    pub course: String,
    /// The site's reference.
    pub site: String,
    /// Its meetings in order, each on a day of its own.
    pub meetings: Vec<WishedMeeting>,
    /// Language it is taught in.
    pub language: Lang,
    /// The account reference of who leads.
    pub lead: String,
    /// Account references and duties of the others.
    pub others: Vec<(String, Duty)>,
    /// The most seats wanted.
    pub choice: Option<i64>,
}

/// One meeting as the coordinator wants it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WishedMeeting {
    /// Date and time on the clocks of the site.
    pub wall: NaiveDateTime,
    /// Length in minutes.
    pub minutes: i64,
}

/// What the form offers.
#[derive(Clone, Debug)]
pub struct Choices {
    /// Courses, youngest first.
    pub courses: Vec<CourseRow>,
    /// Sites with county names.
    pub sites: Vec<(SiteRow, String)>,
    /// The staff by name.
    pub members: Vec<Member>,
}

/// The courses, sites and staff that a session may be made of.
pub fn choices(app: &App, caller: &Caller) -> Result<Choices, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store
        .read(|conn| Ok(Choices { courses: list_courses(conn)?, sites: list_sites(conn)?, members: members(conn)? }))
}

/// Whether somebody may be chosen as a lead at all; papers are looked at once the day is known.
pub fn may_be_asked_to_lead(member: &Member) -> bool {
    member.roles.contains(&Role::Instructor) && member.state.may_lead()
}

/// Announces a session and gives its reference.
///
/// # Errors
/// `NoSuchTime`, `DayIsOver`, `MeetingsNotInOrder`, `NotYetALead`, `LeadNotValid`, `StaffNotValid`, `SecondAdultNeeded`,
/// `FirstAiderNeeded`, `SiteNotReady`,
/// `NoSeats`; `NotFound` for a course, a
/// site or a person that is not there.
pub fn announce(app: &App, caller: &Caller, wish: Wish) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (app.random.reference(), app.clock.now(), caller.clone());
    app.store.write("announce session", move |conn| {
        let program = program::load(conn)?;
        let (plan, team) = plan(conn, &program, &wish, now)?;
        let seats = plan.limits.seats();
        let session = plan.row(&reference, &wish, now);
        let id = add_session(conn, &session, &plan.meetings, &team)?;
        add_seat_limits(conn, id, &plan.limits)?;
        keep_day_list(conn, id, plan.days.first().on)?;
        let detail = format!("{} seats by {}", seats.count, seats.binding);
        add_audit_row(conn, &AuditRow::by(&caller, now, "session.announce", format!("session {reference}"), detail))?;
        Ok(reference.clone())
    })
}

/// A wish that has been looked at from every side.
struct Plan {
    course: CourseRow,
    site: SiteRow,
    days: Meetings,
    meetings: Vec<NewMeeting>,
    limits: Limits,
    curriculum: RulebookId,
    fit: RulebookId,
    cautions: RulebookId,
}

fn plan(
    conn: &mut AnyConn,
    program: &Program,
    wish: &Wish,
    now: NaiveDateTime,
) -> Result<(Plan, Vec<(StaffId, Duty)>), Failure> {
    let course = find_course(conn, &wish.course)?.ok_or(Failure::NotFound)?;
    let site = find_site(conn, &wish.site)?.ok_or(Failure::NotFound)?;
    let days = days(&wish.meetings)?;
    let meetings: Result<Vec<_>, Failure> = wish.meetings.iter().map(|wished| meeting(&site, wished, now)).collect();
    let meetings = meetings?;
    let people = members(conn)?;
    let team = team(&people, wish, &program.settings.papers, &days)?;
    for meeting in days.all() {
        ready_site(conn, program, &site, meeting.on)?;
    }
    // The rules of the first day hold for every meeting of the session.
    let on = days.first().on;
    let rulebook = |conn: &mut AnyConn, kind| -> Result<RulebookId, Failure> {
        find_rulebook_on(conn, kind, on)?.ok_or_else(|| Failure::broken(format!("no {kind} holds on {on}")))
    };
    let (curriculum, fit) = (rulebook(conn, "curriculum")?, rulebook(conn, "fit")?);
    let cautions = rulebook(conn, "cautions")?;
    let place = seats::Place { program, course: &course, site: &site, days: &days, today: today_at(&site, now)? };
    let teachers = seats::teachers(&people, &team);
    let limits = seats::limits(conn, &place, teachers, fit, wish.choice)?;
    let seats = limits.seats();
    if seats.count == 0 {
        return Err(Refusal::NoSeats { limit: seats.binding }.into());
    }
    Ok((Plan { course, site, days, meetings, limits, curriculum, fit, cautions }, team))
}

impl Plan {
    fn row(&self, reference: &str, wish: &Wish, now: NaiveDateTime) -> NewSession {
        let seats = self.limits.seats();
        NewSession {
            reference: reference.to_owned(),
            course_id: self.course.id,
            site_id: self.site.id,
            language: wish.language,
            state: SessionState::Announced,
            capacity: seats.count,
            binding_limit: seats.binding,
            seats_taken: 0,
            waiting: 0,
            last_place: 0,
            last_counter: 0,
            curriculum_id: self.curriculum,
            fit_id: self.fit,
            cautions_id: self.cautions,
            held_on: self.days.first().on,
            created_at: now,
        }
    }
}

/// The papers that the program asks for count at the site on the day.
fn ready_site(conn: &mut AnyConn, program: &Program, site: &SiteRow, on: NaiveDate) -> Result<(), Failure> {
    let papers = blocking_site_papers(&program.settings.site_papers, &papers_of_site(conn, site.id)?, on);
    if papers.is_empty() { Ok(()) } else { Err(Refusal::SiteNotReady { site: site.name.clone(), papers, on }.into()) }
}

fn zone_of(site: &SiteRow) -> Result<chrono_tz::Tz, StoreError> {
    site.time_zone.parse().map_err(|_| StoreError::Unreadable("sites.time_zone"))
}

fn today_at(site: &SiteRow, now: NaiveDateTime) -> Result<NaiveDate, StoreError> {
    Ok(LocalTime::from_utc(now, zone_of(site)?).wall.date())
}

/// The days of the meetings, each its own and after the one before.
fn days(wished: &[WishedMeeting]) -> Result<Meetings, Failure> {
    let days: Vec<NaiveDate> = wished.iter().map(|meeting| meeting.wall.date()).collect();
    Meetings::on_days(&days).map_err(|fault| match fault {
        NoMeetings::Empty => Failure::broken("a session without a meeting"),
        NoMeetings::NotInOrder(on) => Refusal::MeetingsNotInOrder { on }.into(),
    })
}

/// The meeting as an instant. A time that the clocks skip is refused; of one that comes twice it is the first.
fn meeting(site: &SiteRow, wished: &WishedMeeting, now: NaiveDateTime) -> Result<NewMeeting, Failure> {
    let (zone, wall) = (zone_of(site)?, wished.wall);
    let starts_at = LocalTime { wall, zone }.to_utc().map_err(|_| Refusal::NoSuchTime { on: wall.date() })?;
    if starts_at < now {
        return Err(Refusal::DayIsOver { on: wall.date() }.into());
    }
    let local_start = wall.format(WALL).to_string();
    Ok(NewMeeting { local_start, zone: zone.name().to_owned(), minutes: wished.minutes, starts_at })
}

/// The team with its duties: on the day of every meeting each person's papers hold, and two adults are there, a
/// first-aider among them.
fn team(people: &[Member], wish: &Wish, needed: &DutyPapers, days: &Meetings) -> Result<Vec<(StaffId, Duty)>, Failure> {
    let lead = (wish.lead.clone(), Duty::Lead);
    let (mut team, mut papers): (Vec<(StaffId, Duty)>, Vec<&[Certification]>) = (Vec::new(), Vec::new());
    for (reference, duty) in std::iter::once(&lead).chain(&wish.others) {
        let member = people.iter().find(|member| member.reference == *reference).ok_or(Failure::NotFound)?;
        // Somebody with two duties keeps the first: the lead's row stands on top of the form.
        if team.iter().all(|(id, _)| *id != member.id) {
            days.all().iter().try_for_each(|meeting| fit_for(member, *duty, needed, meeting.on))?;
            team.push((member.id, *duty));
            papers.push(&member.papers);
        }
    }
    for day in days.all() {
        match team_lacks(&papers, day.on) {
            None => {}
            Some(TeamLack::SecondAdult) => return Err(Refusal::SecondAdultNeeded.into()),
            Some(TeamLack::FirstAider) => return Err(Refusal::FirstAiderNeeded { on: day.on }.into()),
        }
    }
    Ok(team)
}

/// Whether somebody may do a duty on a day.
///
/// # Errors
/// `NotYetALead`, `LeadNotValid`, `StaffNotValid`.
pub(super) fn fit_for(member: &Member, duty: Duty, needed: &DutyPapers, on: NaiveDate) -> Result<(), Refusal> {
    let name = member.name.clone();
    if duty == Duty::Lead && !may_be_asked_to_lead(member) {
        return Err(Refusal::NotYetALead { name });
    }
    match (needed.blocked(duty, &member.papers, on), duty) {
        (papers, _) if papers.is_empty() => Ok(()),
        (papers, Duty::Lead) => Err(Refusal::LeadNotValid { name, papers, on }),
        (papers, _) => Err(Refusal::StaffNotValid { name, papers, on }),
    }
}
