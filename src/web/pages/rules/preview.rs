//! A lesson as its instructor will see it, in both languages with every figure filled in: of the draft or of a version.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::curriculum;
use crate::domain::curriculum::{CurriculumDraft, LessonShown};
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::words::Lang;
use crate::services::App;
use crate::services::rules::{self, draft};
use crate::web::answer::{Answer, Trouble, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "rules/preview.html")]
struct Show {
    page: Page,
    base: String,
    of: String,
    back: String,
    number: u16,
    edits: bool,
    takes_whole: bool,
    riding: bool,
    languages: [(&'static str, &'static str, LessonShown); 2],
    before: Option<u16>,
    after: Option<u16>,
}

/// A lesson of the draft.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let found = blocking(&app, move |app| draft::find(app, &caller, Book::Curriculum)).await?;
    let draft = curriculum(found)?;
    draw(&request, &draft, "/curriculum/draft", "the draft".to_owned())
}

/// A lesson of a published version.
pub async fn published(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let version = request.match_info().get("version").and_then(|text| text.parse().ok()).unwrap_or(0);
    let found = blocking(&app, move |app| rules::published(app, &caller, Book::Curriculum, version)).await?;
    let OpenBook::Curriculum(draft) = found.book else { return Err(Trouble::NotFound) };
    draw(&request, &draft, &format!("/curriculum/versions/{version}"), format!("version {version}"))
}

fn draw(request: &HttpRequest, draft: &CurriculumDraft, back: &str, of: String) -> Answer {
    let number: u16 = request.match_info().get("number").and_then(|text| text.parse().ok()).unwrap_or(0);
    let lesson = draft.lesson(number).ok_or(Trouble::NotFound)?;
    let in_lang = |lang| draft.lesson_shown(lesson, lang);
    let numbers = || draft.lessons.iter().map(|lesson| lesson.number);
    let page = staff_page(request, format!("{number}. {}", lesson.title.en));
    shown(&Show {
        page,
        base: format!("{back}/lessons"),
        edits: of == "the draft",
        of,
        back: back.to_owned(),
        number,
        takes_whole: lesson.whole_lesson_marks,
        riding: lesson.riding,
        languages: [("en", "English", in_lang(Lang::En)), ("es", "Español", in_lang(Lang::Es))],
        before: numbers().rfind(|other| *other < number),
        after: numbers().find(|other| *other > number),
    })
}
