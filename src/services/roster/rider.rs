//! One rider's day: here or not, measured, geared, fitted, marked, who may take the child home.

use crate::domain::release::may_release;
use crate::services::ties::not_released_to;
use crate::store::families::active_adults_of;
use chrono::{NaiveDateTime, NaiveTime};

use super::super::{App, Failure};
use super::earlier::{self, Earlier};
use super::helmet::{HelmetChoice, choices};
use super::opened::{counted_by_rider, open};
use super::{Head, LessonCount, Line, lesson_counts};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::domain::measures::{Length, Mass, Measures};
use crate::domain::point_list::PointListKind;
use crate::domain::registration::RegistrationState;
use crate::domain::words::full_name;
use crate::store::AnyConn;
use crate::store::families::RiderRow;
use crate::store::registrations::{RegistrationRow, contacts_of, find_newest_measures};

/// One rider's day.
#[derive(Clone, Debug)]
pub struct RiderDay {
    /// The session.
    pub head: Head,
    /// The rider.
    pub line: Line,
    /// Whether the rider has a confirmed seat.
    pub has_seat: bool,
    /// Whether a consent to ride stands.
    pub has_consent: bool,
    /// When the rider came, on the wall at the site.
    pub arrived_at: Option<NaiveTime>,
    /// Who took the child, and when on the wall.
    pub left_with: Option<(String, NaiveTime)>,
    /// Measured today, else as the guardian said.
    pub measures: Measures,
    /// Helmets that can go to this rider.
    pub helmets: Vec<HelmetChoice>,
    /// How many points the check of a helmet has.
    pub helmet_points: usize,
    /// Adults who may take the child.
    pub may_take: Vec<String>,
    /// Adults who must not.
    pub not_release: Vec<String>,
    /// How the meetings before this one ended.
    pub earlier: Vec<Earlier>,
    /// How far each lesson has come for this rider.
    pub lessons: Vec<LessonCount>,
}

/// One rider's day.
///
/// # Errors
/// `NotFound` for a rider of another session, or when the caller may not know of this one.
pub fn show(app: &App, caller: &Caller, reference: &str, rider: &str) -> Result<RiderDay, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let row = opened.rider(conn, rider)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
        let curriculum = opened.curriculum(conn)?;
        let own = counted_by_rider(&acts).remove(&row.0.id).unwrap_or_default();
        let day = Day::of(&own, curriculum, opened.meeting.ordinal);
        let line = opened.line(app, conn, &row, day, head.reads_health)?;
        let (may_take, not_release) = adults(conn, &row.0)?;
        Ok(RiderDay {
            has_seat: row.0.state == RegistrationState::Confirmed,
            has_consent: opened.has_consent(conn, &row.0)?,
            arrived_at: line.day.arrived_at.map(|at| opened.clock(at)),
            left_with: line.day.left_with.clone().map(|(who, at)| (who, opened.clock(at))),
            measures: measures(conn, &row.1, &line.day, now)?,
            helmet_points: opened.points(conn, PointListKind::HelmetCheck)?.points().len(),
            helmets: choices(conn, &opened, line.day.head_um)?,
            may_take,
            not_release,
            earlier: earlier::of_rider(&opened, &own, curriculum),
            lessons: lesson_counts(curriculum, std::slice::from_ref(&line)),
            head,
            line,
        })
    })
}

/// What was measured today, and for the rest what the family said.
pub(in crate::services) fn measures(
    conn: &mut AnyConn,
    rider: &RiderRow,
    day: &Day,
    now: NaiveDateTime,
) -> Result<Measures, Failure> {
    let told = find_newest_measures(conn, rider.id)?;
    let told = told.as_ref();
    let length = |today: Option<i64>, told: Option<i64>| today.or(told).map(Length::from_um);
    Ok(Measures {
        height: length(day.height_um, told.and_then(|row| row.height_um)),
        weight: day.weight_g.or(told.and_then(|row| row.weight_g)).map(Mass::from_g),
        inseam: length(day.inseam_um, told.and_then(|row| row.inseam_um)),
        reach: length(None, told.and_then(|row| row.reach_um)),
        hand: length(None, told.and_then(|row| row.hand_um)),
        foot: length(None, told.and_then(|row| row.foot_um)),
        head: length(day.head_um, told.and_then(|row| row.head_um)),
        taken_on: now.date(),
    })
}

/// Adults who may take the child, its guardians first, and adults who must not.
pub(super) fn adults(
    conn: &mut AnyConn,
    registration: &RegistrationRow,
) -> Result<(Vec<String>, Vec<String>), Failure> {
    let not_release = not_released_to(conn, registration)?;
    let active = active_adults_of(conn, registration.rider_id)?;
    let guardians = active.iter().map(|adult| full_name(&adult.given_name, &adult.family_name));
    let named = contacts_of(conn, registration.id)?.into_iter().filter(|contact| contact.kind == "pick_up");
    let mut may_take: Vec<String> = Vec::new();
    for name in guardians.chain(named.map(|contact| contact.name)) {
        // Whoever is also on the other list is not offered: the press would be refused.
        if !may_take.contains(&name) && may_release(&not_release, &name).is_ok() {
            may_take.push(name);
        }
    }
    Ok((may_take, not_release))
}
