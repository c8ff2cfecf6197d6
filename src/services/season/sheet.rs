//! One session with everything the office may know of it. No health notes, ever.

use chrono::NaiveDate;

use super::{Lacking, Lookout, MeetingRow, SessionStaffRow, SessionView};
use crate::domain::access::{Action, Caller, Duty, Subject};
use crate::domain::ids::StaffId;
use crate::domain::people::age_on;
use crate::domain::proof::Proof;
use crate::domain::registration::RegistrationState::{Confirmed, Waitlisted};
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::session::{Limits, SessionState};
use crate::domain::words::full_name;
use crate::services::roster::area::{Event, decisions};
use crate::services::roster::assignment::{Foreseen, foreseen};
use crate::services::roster::opened::open;
use crate::services::{App, Failure, ask, program, proofs};
use crate::store::registrations::registrations_of;
use crate::store::retention::find_hold;
use crate::store::seat_limits::find_seat_limits;
use crate::store::sessions::{find_session, meetings_of, staff_of};

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
    /// Whether the family said that the child comes.
    pub comes: bool,
    /// Whether the family is asked by now and has not said whether the child comes.
    pub is_silent: bool,
    /// Whether the child can come at short notice, while waitlisted.
    pub standby: bool,
    /// How the rider stands to the earlier part that the course may ask for.
    pub proof: Proof,
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
    /// Whether a legal hold keeps everything of it.
    pub is_on_hold: bool,
    /// Whether a child can still be registered for it.
    pub takes_registrations: bool,
    /// What it lacks on a day to come, while it is announced.
    pub lacking: Option<Lacking>,
    /// How many of the riders can have one of its machines at once by their measures, while it is to come.
    pub foreseen: Option<Foreseen>,
    /// The lead's decisions on the day, the newest first.
    pub decisions: Vec<Event>,
    /// Its riders: seats first, then the line in order.
    pub riders: Vec<RiderLine>,
}

/// One session by its reference.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<SessionSheet, Failure> {
    ask(caller, Action::SeeSeason, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let opened = open(conn, caller, reference, now)?;
        let lookout = Lookout::take(conn, opened.today)?;
        let decisions = decisions(conn, &opened, &lookout.people)?;
        let is_to_come = view.session.state == SessionState::Announced && !opened.is_over(opened.meeting.ordinal);
        let foreseen = if is_to_come { Some(foreseen(conn, &opened)?) } else { None };
        let (id, on) = (view.session.id, view.session.held_on);
        let settings = program::load(conn)?.settings;
        let (leap_rule, retention) = (settings.leap_rule, settings.retention);
        let asks_now = view.session.state == SessionState::Announced
            && settings.reminders.has_asked((on - opened.today).num_days());
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
                comes: registration.comes_at.is_some(),
                is_silent: asks_now && registration.comes_at.is_none() && registration.state == Confirmed,
                standby: registration.standby && registration.state == Waitlisted,
                registration: registration.reference,
            });
        }
        riders.sort_by_key(|rider| (!rider.state.takes_a_seat(), rider.place.is_none(), rider.place));
        let (meetings, team) = (meetings_of(conn, id)?, staff_of(conn, id)?);
        let duties: Vec<(StaffId, Duty)> = team.iter().map(|row| (row.staff_id, row.duty)).collect();
        Ok(SessionSheet {
            limits: find_seat_limits(conn, id)?,
            is_on_hold: find_hold(conn, id)?.is_some(),
            takes_registrations: opened.openness().takes_registrations(),
            lacking: lookout.lacking(&view, &meetings, &duties)?,
            foreseen: foreseen.filter(|foreseen| foreseen.riders > 0),
            meetings,
            team,
            decisions,
            riders,
            view,
        })
    })
}
