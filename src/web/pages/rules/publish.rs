//! Publishing a draft: what changes, from which day, and what stands in the way.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::Datelike;

use super::draft::FaultLine;
use super::{base, book_of, moved_words, name};
use crate::domain::point_list::{Point, PointListDraft};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::words::Lang;
use crate::services::rules::draft::{self, Draft};
use crate::services::rules::publish::{self, Outcome};
use crate::services::{App, Failure, program};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::{Face, staff_page};
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "rules/publish.html")]
struct Publish {
    page: Page,
    errors: FieldErrors,
    form: Answers,
    base: String,
    view: Draft,
    changes: Vec<(String, String, String)>,
    faults: Vec<FaultLine>,
    notice: Option<String>,
}

/// The page with today filled in.
pub async fn new(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let book = book_of(&request)?;
    let (view, today) = blocking(&app, move |app| {
        let zone = program::find(app)?.zone;
        Ok((draft::find(app, &caller, book)?, app.clock.today(zone)))
    })
    .await?;
    let form = Answers::default()
        .with("starts_month", today.month().to_string())
        .with("starts_day", today.day().to_string())
        .with("starts_year", today.year().to_string());
    shown(&page_of(&request, book, view, form, FieldErrors::default()))
}

/// Publishes from the day that was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    face: web::Data<Face>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let book = book_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    let publish = move |app: &App, day| {
        let outcome = publish::publish(app, &asking, book, revision, day)?;
        face.renew(app);
        Ok(outcome)
    };
    let mut reading = Reading::default();
    let day = reading.day("starts", [form.of("starts_month"), form.of("starts_day"), form.of("starts_year")]);
    let mut errors = FieldErrors::default();
    let mut notice = None;
    match reading.done(day) {
        Err(faults) => errors = faults,
        Ok(day) => match blocking(&app, move |app| publish(app, day)).await {
            Ok(Outcome::Published(version)) => return Ok(go(&format!("{}/versions/{version}", base(book)))),
            // The page lists them: it reads the draft anew.
            Ok(Outcome::Faulty) => {}
            Err(Failure::Refused(Refusal::DraftMoved)) => notice = Some(moved_words()),
            Err(Failure::Refused(refusal)) => errors.add("starts", refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        },
    }
    let view = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
    let page = page_of(&request, book, view, form, errors);
    match notice {
        Some(_) => shown_as(StatusCode::CONFLICT, &Publish { notice, ..page }),
        None => shown_again(&page),
    }
}

fn page_of(request: &HttpRequest, book: Book, view: Draft, form: Answers, errors: FieldErrors) -> Publish {
    let page = staff_page(request, format!("{}: publish", name(book))).with_errors(errors.len());
    let faults = FaultLine::all(&view, &base(book));
    let changes = changes(&view);
    Publish { page, errors, form, base: base(book), view, changes, faults, notice: None }
}

/// What differs from the version that the draft was started from: what, before, now.
fn changes(view: &Draft) -> Vec<(String, String, String)> {
    let mut found = Vec::new();
    if let (OpenBook::Curriculum(base), OpenBook::Curriculum(now)) = (&view.base, &view.book) {
        for lesson in &now.lessons {
            let title = format!("{}. {}", lesson.number, lesson.title.en);
            match base.lessons.iter().find(|other| other.title.en == lesson.title.en) {
                None => found.push((title, "not there".to_owned(), "new lesson, or a new title".to_owned())),
                Some(before) if before == lesson => {}
                Some(before) => {
                    let count = |checks: usize| format!("lesson {}, {checks} checks", before.number);
                    let now = format!("lesson {}, {} checks, changed", lesson.number, lesson.checks.len());
                    found.push((title, count(before.checks.len()), now));
                }
            }
        }
        for lesson in base.lessons.iter().filter(|old| now.lessons.iter().all(|new| new.title.en != old.title.en)) {
            let title = format!("{}. {}", lesson.number, lesson.title.en);
            found.push((title, "there".to_owned(), "taken out, or has a new title".to_owned()));
        }
    }
    if let (OpenBook::Points(base), OpenBook::Points(now)) = (&view.base, &view.book) {
        let stays = |one: &&Point, list: &PointListDraft| list.points.iter().any(|other| other.key == one.key);
        for point in base.points.iter().filter(|point| !stays(point, now)) {
            found.push((point.title.en.clone(), "there".to_owned(), "taken out".to_owned()));
        }
        let order = |list: &PointListDraft, other: &PointListDraft| -> Vec<String> {
            list.points.iter().filter(|point| stays(point, other)).map(|point| point.key.0.clone()).collect()
        };
        if order(base, now) != order(now, base) {
            let titles = |list: &PointListDraft| {
                let named = list.points.iter().map(|point| point.title.en.as_str());
                named.collect::<Vec<_>>().join(", ")
            };
            found.push(("Order of the points".to_owned(), titles(base), titles(now)));
        }
    }
    let before = view.base.settings(&view.shipped);
    for setting in view.book.settings(&view.shipped) {
        let old = before.iter().find(|one| one.key == setting.key).map(|one| &one.now);
        if old != Some(&setting.now) {
            let was = old.map(|value| setting.told(value, Lang::En)).unwrap_or_default();
            found.push((setting.label.clone(), was, setting.told(&setting.now, Lang::En)));
        }
    }
    found
}
