//! The draft of a book: its parts, its faults with the way to each, undoing the last change, throwing it away.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use super::{base, book_of, list, moved_words, name};
use crate::domain::curriculum::{CurriculumFault, Lesson, Place};
use crate::domain::fit::fixed_limits;
use crate::domain::point_list::{Point, PointKey, PointListDraft, PointListFault};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::{Book, BookFault, OpenBook};
use crate::domain::words::Lang;
use crate::language;
use crate::services::rules::draft::{self, Draft};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::rule_words::{self, SettingLine, grouped};

#[derive(Template)]
#[template(path = "rules/draft.html")]
pub(super) struct Show {
    page: Page,
    book: Book,
    base: String,
    name: &'static str,
    notice: Option<String>,
    view: Draft,
    lessons: Vec<Lesson>,
    points: Vec<Point>,
    faults: Vec<FaultLine>,
    groups: Vec<(String, Vec<SettingLine>)>,
    fixed: Vec<(String, String, String)>,
}

#[derive(Template)]
#[template(path = "rules/discard.html")]
struct Discard {
    page: Page,
    base: String,
    notice: Option<String>,
    view: Draft,
}

/// One fault with the way to its field.
pub(super) struct FaultLine {
    pub(super) place: String,
    pub(super) words: String,
    pub(super) href: String,
    lesson: u16,
}

impl FaultLine {
    /// Every fault of a draft. A consent text tells its own on its own page.
    pub(super) fn all(view: &Draft, base: &str) -> Vec<Self> {
        let line = |fault| match (fault, &view.book) {
            (BookFault::Curriculum(fault), _) => Some(Self::of_curriculum(&fault)),
            (BookFault::Points(fault), OpenBook::Points(list)) => Some(Self::of_day_list(&fault, list, base)),
            _ => None,
        };
        view.book.faults().into_iter().filter_map(line).collect()
    }

    fn of_day_list(fault: &PointListFault, list: &PointListDraft, base: &str) -> Self {
        let number = |key: &PointKey| list.points.iter().position(|point| point.key == *key).map_or(0, |at| at + 1);
        let (place, href) = match fault {
            PointListFault::Empty => ("Points".to_owned(), format!("{base}/draft#points")),
            PointListFault::Key(key) => (format!("Point {}", number(key)), format!("{base}/draft#points")),
            PointListFault::Words(key, which) => {
                (format!("Point {}", number(key)), format!("{base}/draft/settings/{}#value_en", which.setting(key)))
            }
        };
        Self { place, words: rule_words::point_list_fault(fault), href, lesson: 0 }
    }

    fn of_curriculum(fault: &CurriculumFault) -> Self {
        let spot = fault.spot();
        let lesson = match &spot.place {
            Place::Lesson(number) => *number,
            Place::Check(code) => code.lesson(),
            Place::Whole | Place::Setting(_) => 0,
        };
        Self {
            place: rule_words::place(&spot.place),
            words: rule_words::curriculum_fault(fault),
            href: rule_words::address(&spot),
            lesson,
        }
    }
}

impl Show {
    pub(super) fn new(request: &HttpRequest, book: Book, view: Draft, notice: Option<String>) -> Self {
        let page = staff_page(request, format!("{}: draft", name(book)));
        let (mut lessons, mut points, mut fixed) = (Vec::new(), Vec::new(), Vec::new());
        match &view.book {
            OpenBook::Curriculum(draft) => lessons.clone_from(&draft.lessons),
            OpenBook::Fit(rules) => fixed = fixed_limits(rules),
            OpenBook::Points(list) => points.clone_from(&list.points),
            OpenBook::Cautions(_) | OpenBook::Consent(_) => {}
        }
        let (base, faults) = (base(book), FaultLine::all(&view, &base(book)));
        let groups = grouped(&view.book.settings(&view.shipped));
        Self { page, book, base, name: name(book), notice, view, lessons, points, faults, groups, fixed }
    }

    fn faults_of(&self, number: &u16) -> usize {
        self.faults.iter().filter(|fault| fault.lesson == *number).count()
    }

    fn saved(&self) -> String {
        language::moment(Lang::En, self.view.head.changed_at)
    }
}

/// The draft.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let book = book_of(&request)?;
    let view = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
    shown(&Show::new(&request, book, view, None))
}

/// Takes the last change back.
pub async fn undo(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let book = book_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    match blocking(&app, move |app| draft::undo(app, &asking, book, revision)).await {
        Ok(()) => Ok(go(&format!("{}/draft", base(book)))),
        // Nothing was typed, so the page as it stands now says all.
        Err(Failure::Refused(Refusal::DraftMoved)) if list(book) != base(book) => {
            Ok(go(&format!("{}/draft", base(book))))
        }
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let view = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
            shown_as(StatusCode::CONFLICT, &Show::new(&request, book, view, Some(moved_words())))
        }
        Err(other) => Err(other.into()),
    }
}

/// What throwing the draft away takes with it.
pub async fn leave(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let book = book_of(&request)?;
    let view = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
    shown(&discard_page(&request, book, view, None))
}

/// Throws the draft away.
pub async fn discard(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let book = book_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    match blocking(&app, move |app| draft::discard(app, &asking, book, revision)).await {
        Ok(()) => Ok(go(&list(book))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let view = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
            shown_as(StatusCode::CONFLICT, &discard_page(&request, book, view, Some(moved_words())))
        }
        Err(other) => Err(other.into()),
    }
}

fn discard_page(request: &HttpRequest, book: Book, view: Draft, notice: Option<String>) -> Discard {
    let page = staff_page(request, format!("{}: throw the draft away", name(book)));
    Discard { page, base: base(book), notice, view }
}

/// The faults of one place, at their fields.
pub(super) fn errors_at(faults: &[CurriculumFault], place: &Place) -> FieldErrors {
    let mut errors = FieldErrors::default();
    for fault in faults {
        let spot = fault.spot();
        if spot.place == *place {
            errors.add(&rule_words::field(&spot), rule_words::curriculum_fault(fault));
        }
    }
    errors
}
