//! A wish looked at from every side: times that exist, papers that hold, a free site, people in one place, seats. Reads
//! only; whoever asks writes the outcome.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

use super::seats;
use super::{CourseRow, SiteRow, WALL, Wish, WishedMeeting, may_be_asked_to_lead};
use crate::domain::absence::away_on;
use crate::domain::access::Duty;
use crate::domain::certification::Certification;
use crate::domain::ids::{MachineId, RulebookId, SessionId, StaffId};
use crate::domain::meeting::{Meetings, NoMeetings};
use crate::domain::refusal::{AbsenceRefusal, Refusal};
use crate::domain::session::{Limits, Seats, SessionState};
use crate::domain::site_paper::blocking_site_papers;
use crate::domain::staffing::{DutyPapers, TeamLack, team_lacks};
use crate::domain::time::LocalTime;
use crate::domain::timetable::{Booking, Span, beside};
use crate::domain::words::Lang;
use crate::services::Failure;
use crate::services::people::{Member, members};
use crate::services::program::Program;
use crate::store::courses::find_course;
use crate::store::rulebooks::find_rulebook_on;
use crate::store::session_machines::machines_of_sessions;
use crate::store::sessions::{MeetingRow, NewMeeting, SessionView, list_sessions, meetings_of_all, staff_of_all};
use crate::store::site_papers::papers_of_site;
use crate::store::sites::find_site;
use crate::store::{AnyConn, StoreError};

/// What stands round a wish.
#[derive(Clone, Debug, Default)]
pub(in crate::services) struct Around {
    /// The session that is being planned anew, which is not in its own way.
    pub except: Option<SessionId>,
    /// Sessions of the same series that come first.
    pub before: Vec<Beside>,
}

impl Around {
    /// Takes one more plan into what stands round the next: its seats, or why it cannot be.
    pub fn take(&mut self, planned: Result<Plan, Failure>) -> Result<Result<Seats, Refusal>, Failure> {
        match planned {
            Ok(plan) => {
                let seats = plan.limits.seats();
                self.before.push(Beside { booking: plan.booking, seats: seats.count, machines: BTreeSet::new() });
                Ok(Ok(seats))
            }
            Err(Failure::Refused(refusal)) => Ok(Err(refusal)),
            Err(other) => Err(other),
        }
    }
}

/// A session near the wanted one.
#[derive(Clone, Debug)]
pub(in crate::services) struct Beside {
    /// Where and when, and with whom.
    pub booking: Booking,
    /// Its seats.
    pub seats: i64,
    /// The machines that go there; empty while nobody has said which.
    pub machines: BTreeSet<MachineId>,
}

/// A wish that has been looked at from every side.
#[derive(Clone, Debug)]
pub(in crate::services) struct Plan {
    pub course: CourseRow,
    pub site: SiteRow,
    pub language: Lang,
    /// First day.
    pub on: NaiveDate,
    pub meetings: Vec<NewMeeting>,
    /// Where and when it takes place, and with whom.
    pub booking: Booking,
    pub team: Vec<(StaffId, Duty)>,
    pub limits: Limits,
    pub curriculum: RulebookId,
    pub fit: RulebookId,
    pub cautions: RulebookId,
}

/// Looks at a wish. A session without a seat is refused.
pub(in crate::services) fn plan(
    conn: &mut AnyConn,
    program: &Program,
    wish: &Wish,
    now: NaiveDateTime,
    around: &Around,
) -> Result<Plan, Failure> {
    let course = find_course(conn, &wish.course)?.ok_or(Failure::NotFound)?;
    let site = find_site(conn, &wish.site)?.ok_or(Failure::NotFound)?;
    let days = days(&wish.meetings)?;
    // The rules of the first day hold for every meeting of the session.
    let on = days.first().on;
    let meetings = wish.meetings.iter().map(|wished| meeting(&site, wished, now)).collect::<Result<Vec<_>, _>>()?;
    let people = members(conn)?;
    let team = team(&people, wish, &program.settings.papers, &days)?;
    for meeting in days.all() {
        ready_site(conn, program, &site, meeting.on)?;
    }
    let spans =
        meetings.iter().map(|new| span(&new.local_start, new.starts_at, new.minutes)).collect::<Result<_, _>>()?;
    let booking =
        Booking { site: site.id, site_name: site.name.clone(), spans, team: team.iter().map(|(id, _)| *id).collect() };
    let others = others(conn, (on, days.last().on), around)?;
    let bookings: Vec<Booking> = others.iter().map(|other| other.booking.clone()).collect();
    beside(&booking, &names(&people, &team), &bookings)?;
    let rulebook = |conn: &mut AnyConn, kind| -> Result<RulebookId, Failure> {
        find_rulebook_on(conn, kind, on)?.ok_or_else(|| Failure::broken(format!("no {kind} holds on {on}")))
    };
    let (curriculum, fit) = (rulebook(conn, "curriculum")?, rulebook(conn, "fit")?);
    let cautions = rulebook(conn, "cautions")?;
    let today = today_at(&site, now)?;
    let place =
        seats::Place { program, course: &course, site: &site, booking: &booking, today, around, others: &others };
    let limits = seats::limits(conn, &place, seats::teachers(&people, &team), fit, wish.choice)?;
    let seats = limits.seats();
    if seats.count == 0 {
        return Err(Refusal::NoSeats { limit: seats.binding }.into());
    }
    let language = wish.language;
    Ok(Plan { course, site, language, on, meetings, booking, team, limits, curriculum, fit, cautions })
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

fn span(local_start: &str, starts_at: NaiveDateTime, minutes: i64) -> Result<Span, StoreError> {
    let wall = NaiveDateTime::parse_from_str(local_start, WALL);
    let on = wall.map_err(|_| StoreError::Unreadable("meetings.local_start"))?.date();
    Ok(Span { from: starts_at, until: starts_at + TimeDelta::minutes(minutes), on })
}

/// Where and when an announced session takes place, and with whom.
pub(in crate::services) fn booking(conn: &mut AnyConn, view: &SessionView) -> Result<Booking, Failure> {
    let (id, team) = (view.session.id, staff_of_all(conn, &[view.session.id])?);
    let meetings = meetings_of_all(conn, &[id])?;
    Ok(booking_of(view, &meetings, team.into_iter().map(|(_, id, _)| id).collect())?)
}

fn booking_of(view: &SessionView, meetings: &[MeetingRow], team: Vec<StaffId>) -> Result<Booking, StoreError> {
    let own = meetings.iter().filter(|meeting| meeting.session_id == view.session.id);
    let spans = own.map(|row| span(&row.local_start, row.starts_at, row.minutes)).collect::<Result<_, _>>()?;
    Ok(Booking { site: view.site.id, site_name: view.site.name.clone(), spans, team })
}

/// The announced sessions near these days, a day more at each end for other zones, and those of the series that come first.
pub(in crate::services) fn others(
    conn: &mut AnyConn,
    (first, last): (NaiveDate, NaiveDate),
    around: &Around,
) -> Result<Vec<Beside>, Failure> {
    let mut views = list_sessions(conn, first - TimeDelta::days(1), last + TimeDelta::days(1))?;
    views.retain(|view| view.session.state == SessionState::Announced && Some(view.session.id) != around.except);
    let ids: Vec<SessionId> = views.iter().map(|view| view.session.id).collect();
    let (meetings, teams) = (meetings_of_all(conn, &ids)?, staff_of_all(conn, &ids)?);
    let machines = machines_of_sessions(conn, &ids)?;
    let mut found = around.before.clone();
    for view in &views {
        let own = teams.iter().filter(|(session, ..)| *session == view.session.id);
        let booking = booking_of(view, &meetings, own.map(|(_, id, _)| *id).collect())?;
        let going = machines.iter().filter(|(session, _)| *session == view.session.id);
        let machines = going.map(|(_, machine)| *machine).collect();
        found.push(Beside { booking, seats: view.session.capacity, machines });
    }
    Ok(found)
}

fn names(people: &[Member], team: &[(StaffId, Duty)]) -> Vec<(StaffId, String)> {
    let name = |id| people.iter().find(|member| member.id == id).map(|member| member.name.clone());
    team.iter().filter_map(|(id, _)| Some((*id, name(*id)?))).collect()
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
/// `Absence`, `NotYetALead`, `LeadNotValid`, `StaffNotValid`.
pub(in crate::services) fn fit_for(
    member: &Member,
    duty: Duty,
    needed: &DutyPapers,
    on: NaiveDate,
) -> Result<(), Refusal> {
    let name = member.name.clone();
    if duty == Duty::Lead && !may_be_asked_to_lead(member) {
        return Err(Refusal::NotYetALead { name });
    }
    if let Some(away) = away_on(&member.away, on) {
        return Err(Refusal::Absence(AbsenceRefusal::Away { name, through: away.through }));
    }
    match (needed.blocked(duty, &member.papers, on), duty) {
        (papers, _) if papers.is_empty() => Ok(()),
        (papers, Duty::Lead) => Err(Refusal::LeadNotValid { name, papers, on }),
        (papers, _) => Err(Refusal::StaffNotValid { name, papers, on }),
    }
}
