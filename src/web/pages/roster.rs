//! The field pages of one session: roster, lessons, riders, fit, and the emergency page. One form door takes all acts.
//! Decides no rule; what a page shows was worked out below.

mod acts;
mod area;
mod ask;
mod assignment;
mod day_list;
mod first_aid;
mod fit;
mod grid;
mod groups;
mod helmet;
mod history;
mod incidents;
mod lesson;
mod look_over;
mod many;
mod packet;
mod paper;
mod place;
mod rider;
mod roll_call;
mod said;
mod weather;
mod words;

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::services::field_act::ActIds;
use crate::services::roster::{self, MySession};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors, WordsIn};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context};

pub use crate::web::due_words::field_due as due;
pub use acts::create;
pub use area::{event, place_of as adult_place, ratio, riders as riders_here, room, when, why_not_counted};
pub use said::{did, is_loud, loud};
pub use words::{
    buttons, came_back, clock, day, degrees, duty, duty_of, ended_words, expected, finding, no, outcome, place_of,
    proof_answer, way,
};

use ask::Ask;
use place::Place;

/// What was said about a form that came back, and what was typed in it.
#[derive(Clone, Debug, Default)]
struct Said {
    errors: FieldErrors,
    typed: Fields,
}

/// Answers as typed, by the names of their fields.
#[derive(Clone, Debug, Default)]
struct Fields(BTreeMap<String, String>);

impl Fields {
    /// What was typed; empty when nothing was.
    fn of(&self, name: &str) -> &str {
        self.0.get(name).map_or("", String::as_str)
    }
    /// What was typed, else what is kept.
    fn or(&self, name: &str, kept: &str) -> String {
        self.0.get(name).map_or(kept, String::as_str).to_owned()
    }
}

fn answered(errors: &FieldErrors, template: &impl Template) -> Answer {
    if errors.is_empty() { shown(template) } else { shown_again(template) }
}

#[derive(Template)]
#[template(path = "roster/index.html")]
struct Index {
    page: Page,
    sessions: Vec<MySession>,
    days: i64,
}

#[derive(Template)]
#[template(path = "roster/show.html")]
struct Show {
    page: Page,
    view: roster::Roster,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
    moments: Vec<Choice>,
}

impl Show {
    /// The way back to one rider's line.
    fn back(&self, rider: &str) -> String {
        format!("#r-{rider}")
    }
}

/// The sessions of the reader, today's first.
///
/// # Errors
/// What the service gives.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let (sessions, days) = blocking(&app, move |app| roster::my_sessions(app, &caller)).await?;
    shown(&Index { page: context::staff_page(&request, "My sessions").for_field(), sessions, days })
}

/// The roster of one session.
///
/// # Errors
/// `NotFound` when the reader may not know of it.
pub async fn show(ask: Ask) -> Answer {
    ask.draw(&Place::Roster, Said::default()).await
}

/// The rider and the machine, or the helmet's lot, that somebody wants to see together.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct WantedPair {
    rider: String,
    machine: String,
    helmet: String,
}

/// Who rides which machine.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn assignment(ask: Ask, Asked(wanted): Asked<WantedPair>) -> Answer {
    assignment::draw(&ask, Some(wanted), Said::default()).await
}

/// The machines of one session today.
///
/// # Errors
/// `NotFound` when the reader may not know of it.
pub async fn look_overs(ask: Ask) -> Answer {
    ask.draw(&Place::LookOvers, Said::default()).await
}

/// One machine, looked over before the ride.
///
/// # Errors
/// `NotFound` for a machine that there is not.
pub async fn look_over(ask: Ask) -> Answer {
    let machine = ask.about.machine.clone();
    ask.draw(&Place::LookOver { machine }, Said::default()).await
}

/// The weather of one session's day.
///
/// # Errors
/// `NotFound` when the reader may not know of it.
pub async fn weather(ask: Ask) -> Answer {
    ask.draw(&Place::Weather, Said::default()).await
}

/// What happened at one session, and what nearly did.
///
/// # Errors
/// `NotFound` when the reader may not know of it.
pub async fn incidents(ask: Ask) -> Answer {
    ask.draw(&Place::Incidents, Said::default()).await
}

/// The riding area of one session.
///
/// # Errors
/// `NotFound` when the reader may not know of it.
pub async fn area(ask: Ask) -> Answer {
    ask.draw(&Place::Area, Said::default()).await
}

/// Which check of a lesson is marked.
#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    check: Option<String>,
}

/// One lesson of a session.
///
/// # Errors
/// `NotFound` for a lesson or check that the session does not have.
pub async fn lesson(ask: Ask, Asked(wanted): Asked<Wanted>) -> Answer {
    let number = ask.about.number.parse().map_err(|_| Failure::NotFound)?;
    ask.draw(&Place::Lesson { number, check: wanted.check }, Said::default()).await
}

/// One rider's day.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn rider(ask: Ask) -> Answer {
    ask.draw(&Place::Rider { rider: ask.about.rider.clone() }, Said::default()).await
}

/// The machines that one rider may be tried on.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn machines(ask: Ask) -> Answer {
    ask.draw(&Place::Machines { rider: ask.about.rider.clone() }, Said::default()).await
}

/// One rider on one machine.
///
/// # Errors
/// `NotFound` for a rider of another session or a machine that is not there.
pub async fn fit(ask: Ask) -> Answer {
    let place = Place::Fit { rider: ask.about.rider.clone(), machine: ask.about.machine.clone() };
    ask.draw(&place, Said::default()).await
}

/// The helmet of one rider.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn helmet(ask: Ask) -> Answer {
    ask.draw(&Place::Helmet { rider: ask.about.rider.clone() }, Said::default()).await
}

pub use helmet::{create_receipt, receipt};

/// Everything that was entered about one rider.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn history(ask: Ask) -> Answer {
    history::draw(&ask, ask.about.rider.clone()).await
}

/// The session on Letter paper.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn paper(ask: Ask) -> Answer {
    paper::draw(&ask).await
}

/// The forms of the session, for a day that is run on paper.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn packet(ask: Ask) -> Answer {
    packet::draw(&ask).await
}

/// Which lesson a table of marks shows; `all` for every one.
#[derive(Debug, Default, Deserialize)]
pub struct WantedLesson {
    lesson: Option<String>,
}

/// Marks by keyboard.
///
/// # Errors
/// `NotFound` for a lesson that the session does not have.
pub async fn grid(ask: Ask, Asked(wanted): Asked<WantedLesson>) -> Answer {
    let lesson = match wanted.lesson.as_deref() {
        None => Some(1),
        Some("all") => None,
        Some(number) => Some(number.parse().map_err(|_| Failure::NotFound)?),
    };
    ask.draw(&Place::Grid { lesson }, Said::default()).await
}

/// The names to call, for checking in a group.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn roll_call(ask: Ask) -> Answer {
    ask.draw(&Place::RollCall, Said::default()).await
}

/// The emergency page of one child.
///
/// # Errors
/// `NotFound` for everybody but the session's own teaching and first-aid staff.
pub async fn health(ask: Ask, Asked(wanted): Asked<WordsIn>) -> Answer {
    first_aid::draw(&ask, ask.about.rider.clone(), wanted).await
}

/// What is looked at and signed before the first engine.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn day_list(ask: Ask) -> Answer {
    ask.draw(&Place::DayList, Said::default()).await
}

/// The emergency plan of the site.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn emergency(ask: Ask) -> Answer {
    day_list::draw_emergency(&ask).await
}

/// Who rides with whom.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn groups(ask: Ask) -> Answer {
    ask.draw(&Place::Groups, Said::default()).await
}

/// Head counts, of all and by group.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn counts(ask: Ask) -> Answer {
    ask.draw(&Place::Counts, Said::default()).await
}
