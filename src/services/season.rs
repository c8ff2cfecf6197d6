//! The sessions of a year, and one session with everything the office may know of it. No health notes, ever.

use chrono::NaiveDate;

use super::people::{Member, members};
use super::roster::area::{Event, decisions};
use super::roster::opened::{Opened, open};
use super::{App, Failure, ask, program, proofs};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::certification::{BlockingPaper, InstructorState};
use crate::domain::people::age_on;
use crate::domain::proof::Proof;
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::session::{Limits, SessionState};
use crate::domain::staffing::{TeamLack, team_lacks};
use crate::domain::words::full_name;
use crate::store::AnyConn;
use crate::store::registrations::registrations_of;
use crate::store::seat_limits::find_seat_limits;
use crate::store::sessions::{find_session, list_sessions, meetings_of, meetings_of_all, staff_of};
use crate::store::team::team_of;

pub use crate::store::sessions::{MeetingRow, SessionStaffRow, SessionView};

/// One session of the list.
#[derive(Clone, Debug)]
pub struct SeasonRow {
    /// The session with its course, site and county.
    pub view: SessionView,
    /// Its meetings in order.
    pub meetings: Vec<MeetingRow>,
    /// The lead's name.
    pub lead: String,
}

/// A rider in a session's list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RiderLine {
    /// Name in one line.
    pub name: String,
    /// Completed years on the session's first day.
    pub age: i64,
    /// Where the registration stands.
    pub state: RegistrationState,
    /// Place in line, while waitlisted.
    pub place: Option<i64>,
    /// How the day ended.
    pub outcome: Option<Outcome>,
    /// The last day for which the signed text is kept.
    pub kept_until: NaiveDate,
    /// Public reference of the registration.
    pub registration: String,
    /// How the rider stands to the earlier part that the course may ask for.
    pub proof: Proof,
}

/// Somebody of the team who may not do their duty on the day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfit {
    /// Who.
    pub name: String,
    /// The papers that do not hold, and why; none when the account is shut.
    pub lacks: Vec<BlockingPaper>,
}

/// One session as the office sees it.
#[derive(Clone, Debug)]
pub struct SessionSheet {
    /// The session with its course, site and county.
    pub view: SessionView,
    /// The limits that stood when it was planned.
    pub limits: Option<Limits>,
    /// Its meetings in order.
    pub meetings: Vec<MeetingRow>,
    /// Its team, lead first.
    pub team: Vec<SessionStaffRow>,
    /// Those of the team whose papers do not hold on the day, while it has not passed.
    pub unfit: Vec<Unfit>,
    /// What those who can do their duty lack together.
    pub lack: Option<TeamLack>,
    /// The lead's decisions on the day, the newest first.
    pub decisions: Vec<Event>,
    /// Its riders: seats first, then the line in order.
    pub riders: Vec<RiderLine>,
}

/// The year in which today lies, in the program's zone.
pub fn this_year(app: &App) -> Result<i32, Failure> {
    let program = program::find(app)?;
    Ok(chrono::Datelike::year(&app.clock.today(program.zone)))
}

/// The sessions of a span of days, both ends counted.
pub fn list(app: &App, caller: &Caller, from: NaiveDate, through: NaiveDate) -> Result<Vec<SeasonRow>, Failure> {
    ask(caller, Action::SeeSeason, Subject::Program)?;
    app.store.read(|conn| {
        let views = list_sessions(conn, from, through)?;
        let ids: Vec<_> = views.iter().map(|view| view.session.id).collect();
        let meetings = meetings_of_all(conn, &ids)?;
        let mut rows = Vec::with_capacity(views.len());
        for view in views {
            let own = meetings.iter().filter(|meeting| meeting.session_id == view.session.id).cloned().collect();
            let team = staff_of(conn, view.session.id)?;
            let lead = team.first().map(|row| full_name(&row.given_name, &row.family_name)).unwrap_or_default();
            rows.push(SeasonRow { view, meetings: own, lead });
        }
        Ok(rows)
    })
}

/// One session by its reference.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<SessionSheet, Failure> {
    ask(caller, Action::SeeSeason, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let opened = open(conn, caller, reference, now)?;
        let people = members(conn)?;
        let (unfit, lack) = staffing(conn, &opened, &people)?;
        let decisions = decisions(conn, &opened, &people)?;
        let (id, on) = (view.session.id, view.session.held_on);
        let settings = program::load(conn)?.settings;
        let (leap_rule, retention) = (settings.leap_rule, settings.retention);
        let mut riders: Vec<RiderLine> = Vec::new();
        for (registration, rider) in registrations_of(conn, id)? {
            riders.push(RiderLine {
                name: full_name(&rider.given_name, &rider.family_name),
                age: age_on(rider.birth_date, on, leap_rule),
                state: registration.state,
                place: registration.place,
                outcome: registration.outcome,
                kept_until: retention.consent_until(rider.birth_date, on),
                proof: proofs::standing(conn, view.course.proof_rule, registration.id)?,
                registration: registration.reference,
            });
        }
        riders.sort_by_key(|rider| (!rider.state.takes_a_seat(), rider.place.is_none(), rider.place));
        Ok(SessionSheet {
            limits: find_seat_limits(conn, id)?,
            meetings: meetings_of(conn, id)?,
            team: staff_of(conn, id)?,
            unfit,
            lack,
            decisions,
            riders,
            view,
        })
    })
}

/// The team held against its papers for the days to come. Days that have passed and a session that is off have nothing
/// to check.
fn staffing(conn: &mut AnyConn, opened: &Opened, people: &[Member]) -> Result<(Vec<Unfit>, Option<TeamLack>), Failure> {
    let session = &opened.view.session;
    let needed = program::load(conn)?.settings.papers;
    let team = team_of(conn, session.id)?;
    let days = opened.meetings.all().iter().map(|meeting| meeting.on);
    for on in days.filter(|on| session.state == SessionState::Announced && *on >= opened.today) {
        let (mut unfit, mut fit) = (Vec::new(), Vec::new());
        for (id, duty) in &team {
            let Some(member) = people.iter().find(|member| member.id == *id) else { continue };
            let lacks = needed.blocked(*duty, &member.papers, on);
            match lacks.is_empty() && member.state != InstructorState::Suspended {
                true => fit.push(member.papers.as_slice()),
                false => unfit.push(Unfit { name: member.name.clone(), lacks }),
            }
        }
        let lack = team_lacks(&fit, on);
        if lack.is_some() || !unfit.is_empty() {
            return Ok((unfit, lack));
        }
    }
    Ok((Vec::new(), None))
}
