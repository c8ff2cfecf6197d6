//! Planning a session: when and where, who leads, and how many seats the smallest limit leaves.

mod plan;
mod seats;

use chrono::NaiveDateTime;

use super::once::{Press, once};
use super::people::{Member, members};
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Duty, Role, Subject};
use crate::domain::ids::SessionId;
use crate::domain::session::SessionState;
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::courses::list_courses;
use crate::store::point_lists::keep_point_lists;
use crate::store::seat_limits::set_seat_limits;
use crate::store::sessions::{NewSession, add_session};
use crate::store::sites::list_sites;

pub(super) use plan::{Around, Beside, Plan, booking, fit_for, others, plan};
pub(super) use seats::usable;

pub use crate::store::courses::CourseRow;
pub use crate::store::sites::SiteRow;

/// How a wall time is written in tables: `2026-06-13T08:30`.
pub const WALL: &str = "%Y-%m-%dT%H:%M";

/// One meeting as the coordinator wants it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WishedMeeting {
    /// Date and time on the clocks of the site.
    pub wall: NaiveDateTime,
    /// Length in minutes.
    pub minutes: i64,
}

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
    app.store.read(offered)
}

/// The same, on an open connection.
pub(super) fn offered(conn: &mut AnyConn) -> Result<Choices, Failure> {
    Ok(Choices { courses: list_courses(conn)?, sites: list_sites(conn)?, members: members(conn)? })
}

/// Whether somebody may be chosen as a lead at all; papers are looked at once the day is known.
pub fn may_be_asked_to_lead(member: &Member) -> bool {
    member.roles.contains(&Role::Instructor) && member.state.may_lead()
}

/// Announces a session and gives its reference.
///
/// # Errors
/// `NoSuchTime`, `DayIsOver`, `MeetingsNotInOrder`, `NotYetALead`, `LeadNotValid`, `StaffNotValid`, `SecondAdultNeeded`,
/// `FirstAiderNeeded`, `SiteNotReady`, `SiteTaken`, `PersonPlannedTwice`, `NoSeats`; `NotFound` for a course, a site or a
/// person that is not there.
pub fn announce(app: &App, caller: &Caller, wish: Wish) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (app.random.reference(), app.clock.now(), caller.clone());
    app.store.write("announce session", move |conn| {
        let program = program::load(conn)?;
        let plan = plan(conn, &program, &wish, now, &Around::default())?;
        add_planned(conn, &plan, &reference, &caller, now)?;
        Ok(reference.clone())
    })
}

/// The same from a form, whose one-time key makes a double press one session. A press without a key counts for itself.
///
/// # Errors
/// As `announce`, and `KeyReused`.
pub fn announce_once(app: &App, caller: &Caller, wish: Wish, key: &str) -> Result<String, Failure> {
    if key.is_empty() {
        return announce(app, caller, wish);
    }
    ask(caller, Action::Plan, Subject::Program)?;
    let press = Press::of(caller, key, &("announce", format!("{wish:?}")))?;
    let (reference, now, caller) = (app.random.reference(), app.clock.now(), caller.clone());
    once(app, "announce session", press, reference.clone(), move |conn| {
        let program = program::load(conn)?;
        let plan = plan(conn, &program, &wish, now, &Around::default())?;
        add_planned(conn, &plan, &reference, &caller, now).map(|_| ())
    })
}

/// Keeps what holds for a planned session from now on: its limits and the day list of its day.
pub(super) fn add_limits(conn: &mut AnyConn, id: SessionId, plan: &Plan) -> Result<(), Failure> {
    set_seat_limits(conn, id, &plan.limits)?;
    keep_point_lists(conn, id, plan.on)?;
    Ok(())
}

/// Adds a planned session with its limits and its audit row, on an open connection.
pub(super) fn add_planned(
    conn: &mut AnyConn,
    plan: &Plan,
    reference: &str,
    caller: &Caller,
    now: NaiveDateTime,
) -> Result<SessionId, Failure> {
    let seats = plan.limits.seats();
    let session = NewSession {
        reference: reference.to_owned(),
        course_id: plan.course.id,
        site_id: plan.site.id,
        language: plan.language,
        state: SessionState::Announced,
        capacity: seats.count,
        binding_limit: seats.binding,
        seats_taken: 0,
        waiting: 0,
        last_place: 0,
        last_counter: 0,
        curriculum_id: plan.curriculum,
        fit_id: plan.fit,
        cautions_id: plan.cautions,
        held_on: plan.on,
        created_at: now,
    };
    let id = add_session(conn, &session, &plan.meetings, &plan.team)?;
    add_limits(conn, id, plan)?;
    let detail = format!("{} seats by {}", seats.count, seats.binding);
    add_audit_row(conn, &AuditRow::by(caller, now, "session.announce", format!("session {reference}"), detail))?;
    Ok(id)
}
