//! The versions of a book: the list with what uses each, one published version, and starting a draft from one.

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{NaiveDate, NaiveDateTime};

use super::{base, book_of, name};
use crate::domain::curriculum::Lesson;
use crate::domain::fit::fixed_limits;
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::session::SessionState;
use crate::domain::words::Lang;
use crate::language;
use crate::services::App;
use crate::services::rules::{self, Published, Standing, Versions, draft};
use crate::web::answer::{Answer, go, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, Typed};
use crate::web::page::Page;
use crate::web::rule_words::{SettingLine, grouped};

#[derive(Template)]
#[template(path = "rules/versions.html")]
struct List {
    page: Page,
    book: Book,
    base: String,
    name: &'static str,
    view: Versions,
}

#[derive(Template)]
#[template(path = "rules/version.html")]
struct Show {
    page: Page,
    base: String,
    name: &'static str,
    view: Published,
    lessons: Vec<Lesson>,
    groups: Vec<(String, Vec<SettingLine>)>,
    fixed: Vec<(String, String, String)>,
}

/// Words, class and shape of a version's standing.
fn standing(standing: &Standing) -> (&'static str, &'static str, &'static str) {
    match standing {
        Standing::InForce => ("in force", "met", "met"),
        Standing::Coming => ("starts later", "adapted", "adapted"),
        Standing::Past => ("no longer used", "not-measured", "none"),
    }
}

fn required(lesson: &Lesson) -> usize {
    lesson.checks.iter().filter(|check| check.required).count()
}

fn moment(at: &NaiveDateTime) -> String {
    language::moment(Lang::En, *at)
}

fn day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

fn state(state: &SessionState) -> &'static str {
    match state {
        SessionState::Announced => "announced",
        SessionState::Closed => "closed",
        SessionState::Reopened => "open again",
        SessionState::Cancelled => "called off",
    }
}

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let book = book_of(&request)?;
    let view = blocking(&app, move |app| rules::versions(app, &caller, book)).await?;
    let page = staff_page(&request, name(book));
    shown(&List { page, book, base: base(book), name: name(book), view })
}

/// One published version.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let book = book_of(&request)?;
    let number = request.match_info().get("version").and_then(|text| text.parse().ok()).unwrap_or(0);
    let view = blocking(&app, move |app| rules::published(app, &caller, book, number)).await?;
    let page = staff_page(&request, format!("{}, version {number}", name(book)));
    let (lessons, fixed) = match &view.book {
        OpenBook::Curriculum(draft) => (draft.lessons.clone(), Vec::new()),
        OpenBook::Fit(rules) => (Vec::new(), fixed_limits(rules)),
        OpenBook::Points(_) | OpenBook::Cautions(_) | OpenBook::Consent(_) => (Vec::new(), Vec::new()),
    };
    let groups = grouped(&view.book.settings(&view.shipped));
    shown(&Show { page, base: base(book), name: name(book), view, lessons, groups, fixed })
}

/// Starts a draft from a version.
pub async fn start(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let book = book_of(&request)?;
    let version = form.of("version").parse().unwrap_or(0);
    blocking(&app, move |app| draft::start(app, &caller, book, version)).await?;
    Ok(go(&format!("{}/draft", base(book))))
}
