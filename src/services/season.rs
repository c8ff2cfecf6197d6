//! The sessions of a year, and one session with everything the office may know of it. No health notes, ever.

use chrono::NaiveDate;

use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::people::{LeapRule, age_on};
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::session::Limits;
use crate::domain::words::full_name;
use crate::store::registrations::registrations_of;
use crate::store::seat_limits::find_seat_limits;
use crate::store::sessions::{find_session, list_sessions, meetings_of, meetings_of_all, staff_of};

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
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let (id, on) = (view.session.id, view.session.held_on);
        let retention = program::load(conn)?.settings.retention;
        let line = |(registration, rider): (crate::store::registrations::RegistrationRow, _)| {
            let rider: crate::store::families::RiderRow = rider;
            RiderLine {
                name: full_name(&rider.given_name, &rider.family_name),
                age: age_on(rider.birth_date, on, LeapRule::default()),
                state: registration.state,
                place: registration.place,
                outcome: registration.outcome,
                kept_until: retention.consent_until(rider.birth_date, on),
            }
        };
        let mut riders: Vec<RiderLine> = registrations_of(conn, id)?.into_iter().map(line).collect();
        riders.sort_by_key(|rider| (!rider.state.takes_a_seat(), rider.place.is_none(), rider.place));
        Ok(SessionSheet {
            limits: find_seat_limits(conn, id)?,
            meetings: meetings_of(conn, id)?,
            team: staff_of(conn, id)?,
            riders,
            view,
        })
    })
}
