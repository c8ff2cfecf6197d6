//! What the closing page shows: who is not home, how each day ended, and what became of it. Changes nothing.

use crate::services::ties::speaker;
use chrono::{NaiveDate, NaiveDateTime};

use super::ends::{End, Ends};
use super::{found, openness, zone_of};
use crate::domain::access::{Action, Caller, Permission, Subject, may};
use crate::domain::certificate::CertificateCode;
use crate::domain::curriculum::{CheckCode, Curriculum};
use crate::domain::day::NotCompleted;
use crate::domain::meeting::Meetings;
use crate::domain::registration::Outcome;
use crate::domain::session::SessionState;
use crate::domain::skill::Why;
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, full_name};
use crate::services::roster::alarms::Alarms;
use crate::services::roster::opened::open;
use crate::services::{App, Failure};
use crate::store::AnyConn;
use crate::store::certificates::{CertificateRow, certificates_of};
use crate::store::devices::{DeviceRow, devices_of};
use crate::store::sessions::SessionView;

/// A session about to be closed, or closed.
#[derive(Clone, Debug)]
pub struct Closing {
    /// Public reference.
    pub reference: String,
    /// Title of the course.
    pub course: String,
    /// Name of the site.
    pub site: String,
    /// Its meetings.
    pub meetings: Meetings,
    /// Whether it has begun and its last meeting is still to come.
    pub goes_on: bool,
    /// When it was closed, as the clock at the site showed it.
    pub closed_at: Option<NaiveDateTime>,
    /// Where it stands.
    pub state: SessionState,
    /// Whether it takes acts, so that it can be closed.
    pub is_open: bool,
    /// Whether the reader may reopen it.
    pub may_reopen: bool,
    /// Children who are not checked out: name, registration, and of which meetings.
    pub not_home: Vec<NotOut>,
    /// Everybody who holds a seat, by name.
    pub riders: Vec<RiderEnd>,
    /// Devices that sent acts.
    pub devices: Vec<Device>,
    /// Acts that came after closing.
    pub late_acts: usize,
    /// What must be seen first.
    pub alarms: Alarms,
}

/// A child who is not checked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotOut {
    /// Name.
    pub name: String,
    /// Public reference of the registration.
    pub registration: String,
    /// Days of the meetings.
    pub of: Vec<NaiveDate>,
}

/// How one rider's day ended.
#[derive(Clone, Debug)]
pub struct RiderEnd {
    /// Name.
    pub name: String,
    /// Public reference of the registration.
    pub registration: String,
    /// How; with several meetings that of the last.
    pub outcome: Outcome,
    /// How each meeting ended, when there are several.
    pub each: Vec<(NaiveDate, Outcome)>,
    /// Whether every required check is met by its latest attempt.
    pub completes: bool,
    /// The required checks that are not.
    pub missing: Vec<MissingCheck>,
    /// The certificate, once there is one.
    pub certificate: Option<Given>,
    /// Whether the guardian has an address for letters.
    pub has_mail: bool,
}

/// A required check that is not met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingCheck {
    /// Its code.
    pub code: CheckCode,
    /// Its title in English.
    pub title: String,
    /// Why it does not count.
    pub why: Why,
}

/// A certificate as staff see it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Given {
    /// Its code, for addresses.
    pub code: String,
    /// Its code in groups, for people.
    pub grouped: String,
    /// First day on which it counts.
    pub valid_from: NaiveDate,
    /// Whether its paper could be set.
    pub has_paper: bool,
    /// Whether it was taken back.
    pub is_revoked: bool,
}

/// A device that sent acts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Device {
    /// Whether it is the web form; nothing else sends acts yet.
    pub is_web: bool,
    /// Who used it last.
    pub person: String,
    /// How many acts.
    pub acts: usize,
    /// The last one, as the clock at the site showed it.
    pub last_at: NaiveDateTime,
}

/// The closing page of a session.
///
/// # Errors
/// `NotFound` for those who may not know it, `NotAllowed` for its staff who do not lead.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Closing, Failure> {
    app.store.read(|conn| {
        let view = found(app, caller, conn, reference)?;
        let ends = Ends::of(conn, &view.session)?;
        let certificates = certificates_of(conn, view.session.id)?;
        let opened = open(conn, caller, reference, app.clock.now())?;
        let acts = opened.acts(conn)?;
        let zone = zone_of(&view);
        let local = |at| LocalTime::from_utc(at, zone).wall;
        let devices = devices_of(conn, view.session.id)?;
        let openness = openness(app, &view);
        let goes_on = openness.takes_acts() && openness.today < view.session.last_on;
        Ok(Closing {
            reference: view.session.reference.clone(),
            course: view.course.title(Lang::En).to_owned(),
            site: view.site.name.clone(),
            meetings: ends.meetings.clone(),
            goes_on,
            closed_at: view.session.closed_at.map(local),
            state: view.session.state,
            is_open: openness.takes_acts() && !goes_on,
            may_reopen: may(caller, Action::Plan, Subject::Program) == Permission::Granted,
            not_home: ends.riders.iter().filter(|end| !end.not_out.is_empty()).map(not_out).collect(),
            late_acts: ends.late_acts,
            alarms: opened.alarms(conn, &acts, None)?,
            devices: devices.into_iter().map(|row| device(row, &view)).collect(),
            riders: rider_ends(conn, &ends, &certificates)?,
        })
    })
}

fn not_out(end: &End) -> NotOut {
    let of = end.not_out.iter().map(|meeting| meeting.on).collect();
    NotOut { name: end.name(), registration: end.registration.reference.clone(), of }
}

fn rider_ends(conn: &mut AnyConn, ends: &Ends, certificates: &[CertificateRow]) -> Result<Vec<RiderEnd>, Failure> {
    let shown = |end: &End| {
        let adult = speaker(conn, &end.registration)?;
        Ok(RiderEnd {
            name: end.name(),
            registration: end.registration.reference.clone(),
            outcome: end.outcome,
            each: match end.each.as_slice() {
                [_] => Vec::new(),
                several => several.iter().map(|(meeting, outcome)| (meeting.on, *outcome)).collect(),
            },
            completes: end.completes(),
            missing: missing(end, &ends.curriculum),
            certificate: certificates.iter().rfind(|row| row.registration_id == end.registration.id).map(given),
            has_mail: adult.is_some_and(|adult| adult.account_id.is_some()),
        })
    };
    ends.riders.iter().map(shown).collect()
}

fn missing(end: &End, curriculum: &Curriculum) -> Vec<MissingCheck> {
    let Err(NotCompleted::Checks(checks)) = &end.completion else { return Vec::new() };
    let title = |code| curriculum.check(code).map(|check| check.title.in_lang(Lang::En).to_owned()).unwrap_or_default();
    checks.iter().map(|(code, why)| MissingCheck { code: *code, title: title(code), why: *why }).collect()
}

fn given(row: &CertificateRow) -> Given {
    Given {
        code: row.code.clone(),
        grouped: CertificateCode::parse(&row.code).map_or_else(|_| row.code.clone(), |code| code.grouped()),
        valid_from: row.valid_from,
        has_paper: row.file_id.is_some(),
        is_revoked: row.revoked_at.is_some(),
    }
}

fn device(row: DeviceRow, view: &SessionView) -> Device {
    Device {
        is_web: row.device.starts_with("web:"),
        person: full_name(&row.given_name, &row.family_name),
        acts: row.acts,
        last_at: LocalTime::from_utc(row.last_at, zone_of(view)).wall,
    }
}
