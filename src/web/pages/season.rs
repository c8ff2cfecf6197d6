//! The sessions of a year, and one session with its seats, its team and its riders.

pub mod calendar;
pub mod change;
pub mod file;
pub mod gear;
pub mod list;
pub mod machines;
mod offer;
pub mod pattern;
mod pattern_form;
pub mod plan;
pub mod rider;
pub mod series;
mod sittings;
pub mod turn;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use serde::Deserialize;

use crate::domain::access::Duty;
use crate::domain::registration::RegistrationState;
use crate::domain::session::{Limit, Limits, SessionState};
use crate::domain::words::{Lang, full_name};
use crate::language;
use crate::services::App;
use crate::services::browse::is_morning;
use crate::services::plan_session::WALL;
use crate::services::proofs;
use crate::services::season::{self, MeetingRow, SessionSheet};
use crate::web::answer::{Answer, go, shown};
use crate::web::area_words::{event, when};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::Typed;
use crate::web::page::Page;
use crate::web::readiness_words::{lack_in_full, lacks_in_line};

#[derive(Template)]
#[template(path = "season/one.html")]
struct SessionPage {
    page: Page,
    sheet: SessionSheet,
}

impl SessionPage {
    /// What the earlier part is called, when the course asks for proof of one.
    fn earlier_part(&self) -> Option<&str> {
        self.sheet.view.course.earlier_part(Lang::En)
    }
}

/// One session.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| season::find(app, &caller, &reference)).await?;
    let title = format!("{}, {}", sheet.view.site.name, language::date_short(Lang::En, sheet.view.session.held_on));
    shown(&SessionPage { page: staff_page(&request, title), sheet })
}

/// The answer of a button at one rider's proof.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Seen {
    seen: String,
}

/// Marks the proof of an earlier part as seen by the office, or takes that back.
pub async fn see_proof(
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, String)>,
    Typed(form): Typed<Seen>,
) -> Answer {
    let (session, registration) = path.into_inner();
    let back = format!("/season/{session}#r-{registration}");
    let seen = form.seen == "yes";
    blocking(&app, move |app| proofs::mark_seen(app, &caller, &session, &registration, seen)).await?;
    Ok(go(&back))
}

/// "Sat June 13", for a table whose year is said above it.
fn short_day(day: &NaiveDate) -> String {
    let month = language::month_short(Lang::En, chrono::Datelike::month(day));
    format!("{} {month} {}", language::weekday_short(Lang::En, *day), chrono::Datelike::day(day))
}

/// A state as a page shows it: words, class and shape.
type Shown = (&'static str, &'static str, &'static str);

/// A day far ahead, with its year.
fn whole_day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

fn session_state(state: &SessionState) -> Shown {
    match state {
        SessionState::Announced => ("announced", "free", "free"),
        SessionState::Closed => ("closed", "met", "met"),
        SessionState::Reopened => ("open again", "adapted", "adapted"),
        SessionState::Cancelled => ("called off", "off", "notmet"),
    }
}

fn registration_state(state: &RegistrationState) -> Shown {
    match state {
        RegistrationState::Held => ("seat held", "unsent", "unsent"),
        RegistrationState::Confirmed => ("seat", "met", "met"),
        RegistrationState::Waitlisted => ("waits", "waitlist", "adapted"),
        RegistrationState::Offered => ("seat offered", "free", "free"),
        RegistrationState::Lapsed => ("ran out", "not-measured", "none"),
        RegistrationState::Cancelled => ("given up", "off", "notmet"),
    }
}

fn duty(duty: &Duty) -> &'static str {
    match duty {
        Duty::Lead => "leads",
        Duty::Instructor => "teaches",
        Duty::Helper => "helps",
        Duty::FirstAid => "first aid",
    }
}

/// Where a proof stands, in a few words.
fn proof_words(proof: &crate::domain::proof::Proof) -> &'static str {
    use crate::domain::proof::ProofAnswer::{Done, NotYet, WillBring};
    match (proof.seen_on_field, proof.is_seen(), proof.answer) {
        (Some(true), ..) => "Seen on the field",
        (Some(false), ..) => "Not seen on the field",
        (None, true, _) => "Seen by the office",
        (None, false, Some(Done)) => "Not seen. The family says: done",
        (None, false, Some(NotYet)) => "Not seen. The family says: not yet",
        (None, false, Some(WillBring)) => "Not seen. The family brings it",
        (None, false, None) => "Not seen. The family has not answered",
    }
}

/// "6 to 9".
fn ages(course: &crate::services::plan_session::CourseRow) -> String {
    format!("{} to {}", course.least_age, course.most_age)
}

/// The limit that binds, as the end of a sentence.
fn binding(limit: &Limit) -> &'static str {
    match limit {
        Limit::Site => "The site takes no more riders.",
        Limit::Staff => "The instructors may teach no more riders.",
        Limit::Machines => "There are no more machines that these riders may ride.",
        Limit::Helmets => "There are no more helmets on hand.",
        Limit::Choice => "You wanted no more.",
    }
}

/// How many riders more the program plans with, because some do not come.
fn overbooked(limits: &Limits) -> String {
    if limits.overbooked == 0 { String::new() } else { format!(", and {} more by setting", limits.overbooked) }
}

/// Each limit with its number and how it comes about.
fn explained(limits: &Limits) -> Vec<(Limit, i64, String)> {
    let why = |limit: Limit| match limit {
        Limit::Site => "the most that the site takes".to_owned(),
        Limit::Staff => format!(
            "{} {} with {} riders each",
            limits.instructors,
            if limits.instructors == 1 { "instructor" } else { "instructors" },
            limits.riders_per_instructor
        ),
        Limit::Machines => {
            format!(
                "machines ready that day on which somebody of the least age of the course may be tried{}",
                overbooked(limits)
            )
        }
        Limit::Helmets => format!("helmets on hand that no other session needs{}", overbooked(limits)),
        Limit::Choice => "the most that was wanted".to_owned(),
    };
    limits.each().into_iter().map(|(limit, riders)| (limit, riders, why(limit))).collect()
}

fn limit_name(limit: &Limit) -> &'static str {
    match limit {
        Limit::Site => "Site",
        Limit::Staff => "Instructors",
        Limit::Machines => "Machines",
        Limit::Helmets => "Helmets",
        Limit::Choice => "Wanted",
    }
}

fn wall_of(meeting: &MeetingRow) -> Option<NaiveDateTime> {
    NaiveDateTime::parse_from_str(&meeting.local_start, WALL).ok()
}

/// "8:30 AM to 1:00 PM", on the clocks of the site.
fn times(meeting: &MeetingRow) -> String {
    wall_of(meeting).map_or_else(
        || meeting.local_start.clone(),
        |from| language::time_range(Lang::En, from.time(), (from + TimeDelta::minutes(meeting.minutes)).time()),
    )
}

/// "2 mornings, through Sat June 20"; nothing for a single meeting.
fn several(meetings: &[MeetingRow]) -> String {
    let (Some(last), true) = (meetings.last(), meetings.len() > 1) else { return String::new() };
    let span = |meeting: &MeetingRow| {
        let start = NaiveDateTime::parse_from_str(&meeting.local_start, WALL).ok()?;
        Some((start, start + TimeDelta::minutes(meeting.minutes)))
    };
    let are_mornings = meetings.iter().all(|meeting| span(meeting).is_some_and(|(start, end)| is_morning(start, end)));
    let kind = if are_mornings { "mornings" } else { "days" };
    let through = span(last).map(|(start, _)| short_day(&start.date())).unwrap_or_default();
    format!("{} {kind}, through {through}", meetings.len())
}

/// The day of a meeting in words.
fn meeting_day(meeting: &MeetingRow) -> String {
    wall_of(meeting).map_or_else(String::new, |from| language::date_long(Lang::En, from.date()))
}
