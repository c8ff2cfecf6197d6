//! The field pages of one session: roster, lessons, riders, fit, and the emergency page. One form door takes all acts.
//! Decides no rule; what a page shows was worked out below.

mod acts;
mod area;
mod day_list;
mod fit;
mod grid;
mod groups;
mod history;
mod lesson;
mod many;
mod paper;
mod place;
mod rider;
mod roll_call;
mod said;
mod words;

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::acts::CountMoment;
use crate::domain::words::Word;
use crate::services::field_act::ActIds;
use crate::services::roster::{self, Head, MySession};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors};
use crate::web::page::{Choice, Page};
use crate::web::{alarm_words, blocking, context, field_ways};

pub use crate::web::due_words::field_due as due;
pub use acts::create;
pub use area::{
    event, place_of as adult_place, riders as riders_here, room, show as area, stop, when, why_not_counted,
};
pub use said::{did, is_loud, loud};
pub use words::{
    buttons, clock, conditions, day, duty, duty_of, ended_words, expected, finding, known, no, outcome, place_of,
    proof_answer, way,
};

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

/// Who asks for which page of which session.
struct Ask<'a> {
    app: &'a web::Data<App>,
    request: &'a HttpRequest,
    caller: Caller,
    reference: String,
}

impl Ask<'_> {
    /// Reads on a blocking thread, as this caller, from this session.
    async fn read<T: Send + 'static>(
        &self,
        work: impl FnOnce(&App, &Caller, &str) -> Result<T, Failure> + Send + 'static,
    ) -> Result<T, Failure> {
        let (caller, reference) = (self.caller.clone(), self.reference.clone());
        blocking(self.app, move |app| work(app, &caller, &reference)).await
    }

    fn page(&self, title: impl Into<String>, head: &Head, said: &Said) -> Page {
        let mut page = context::staff_page(self.request, title).for_field().with_errors(said.errors.len());
        page.caution = head.caution.clone();
        page.alarms = alarm_words::of(&head.reference, &head.alarms);
        page.with_nav(field_ways::of(self.request.path(), &head.reference, head.may_close))
    }

    /// The page of a place, drawn anew: after a form that could not be taken with what was said about it.
    async fn draw(&self, place: &Place, said: Said) -> Answer {
        match place {
            Place::Roster => self.roster(said).await,
            Place::Area => area::draw(self, said).await,
            Place::RollCall => roll_call::draw(self, said).await,
            Place::Grid { lesson } => grid::draw(self, *lesson, said).await,
            Place::Lesson { number, check } => lesson::draw(self, *number, check.clone(), said).await,
            Place::Rider { rider } => rider::draw(self, rider.clone(), said).await,
            Place::Machines { rider } => fit::draw_machines(self, rider.clone(), said).await,
            Place::Fit { rider, machine } => fit::draw(self, rider.clone(), machine.clone(), said).await,
            Place::DayList => day_list::draw(self, said).await,
            Place::Groups => groups::draw(self, said).await,
            Place::Counts => groups::draw_counts(self, said).await,
        }
    }

    async fn roster(&self, said: Said) -> Answer {
        let view = self.read(roster::show).await?;
        let title = format!("{}, {}", view.head.site, day(&view.head.meeting.on));
        let page = self.page(title, &view.head, &said);
        let moments = CountMoment::ALL.iter().map(|moment| Choice::new(moment, words::moment(*moment))).collect();
        let ids = ActIds::of(self.app);
        let Said { errors, typed } = said;
        answered(&errors.clone(), &Show { page, view, ids, errors, typed, moments })
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
    let sessions = blocking(&app, move |app| roster::my_sessions(app, &caller)).await?;
    shown(&Index { page: context::staff_page(&request, "My sessions").for_field(), sessions })
}

/// The roster of one session.
///
/// # Errors
/// `NotFound` when the reader may not know of it.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    ask.draw(&Place::Roster, Said::default()).await
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
pub async fn lesson(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, u16)>,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    let (reference, number) = path.into_inner();
    let ask = Ask { app: &app, request: &request, caller, reference };
    ask.draw(&Place::Lesson { number, check: wanted.check }, Said::default()).await
}

/// One rider's day.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn rider(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, String)>,
) -> Answer {
    let (reference, rider) = path.into_inner();
    let ask = Ask { app: &app, request: &request, caller, reference };
    ask.draw(&Place::Rider { rider }, Said::default()).await
}

/// The machines that one rider may be tried on.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn machines(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, String)>,
) -> Answer {
    let (reference, rider) = path.into_inner();
    let ask = Ask { app: &app, request: &request, caller, reference };
    ask.draw(&Place::Machines { rider }, Said::default()).await
}

/// One rider on one machine.
///
/// # Errors
/// `NotFound` for a rider of another session or a machine that is not there.
pub async fn fit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, String, String)>,
) -> Answer {
    let (reference, rider, machine) = path.into_inner();
    let ask = Ask { app: &app, request: &request, caller, reference };
    ask.draw(&Place::Fit { rider, machine }, Said::default()).await
}

/// Everything that was entered about one rider.
///
/// # Errors
/// `NotFound` for a rider of another session.
pub async fn history(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, String)>,
) -> Answer {
    let (reference, rider) = path.into_inner();
    let ask = Ask { app: &app, request: &request, caller, reference };
    history::draw(&ask, rider).await
}

/// The session on Letter paper.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn paper(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    paper::draw(&Ask { app: &app, request: &request, caller, reference: path.into_inner() }).await
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
pub async fn grid(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
    Asked(wanted): Asked<WantedLesson>,
) -> Answer {
    let lesson = match wanted.lesson.as_deref() {
        None => Some(1),
        Some("all") => None,
        Some(number) => Some(number.parse().map_err(|_| Failure::NotFound)?),
    };
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    ask.draw(&Place::Grid { lesson }, Said::default()).await
}

/// The names to call, for checking in a group.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn roll_call(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    ask.draw(&Place::RollCall, Said::default()).await
}

/// The emergency page of one child.
///
/// # Errors
/// `NotFound` for everybody but the session's own teaching and first-aid staff.
pub async fn health(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, String)>,
) -> Answer {
    let (reference, rider) = path.into_inner();
    let ask = Ask { app: &app, request: &request, caller, reference };
    rider::draw_health(&ask, rider).await
}

/// What is looked at and signed before the first engine.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn day_list(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    ask.draw(&Place::DayList, Said::default()).await
}

/// The emergency plan of the site.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn emergency(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    day_list::draw_emergency(&ask).await
}

/// Who rides with whom.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn groups(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    ask.draw(&Place::Groups, Said::default()).await
}

/// Head counts, of all and by group.
///
/// # Errors
/// `NotFound` when the reader may not know of the session.
pub async fn counts(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<String>,
) -> Answer {
    let ask = Ask { app: &app, request: &request, caller, reference: path.into_inner() };
    ask.draw(&Place::Counts, Said::default()).await
}
