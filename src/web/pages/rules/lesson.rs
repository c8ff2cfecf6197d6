//! One lesson of the curriculum's draft: its words in both languages, what comes first, whether machines move.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use super::draft::errors_at;
use super::{curriculum, differing, moved_words, read_texts, with_texts};
use crate::domain::curriculum::{CurriculumDraft, Lesson, Part, Place};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::Book;
use crate::services::rules::draft;
use crate::services::rules::lesson::LessonText;
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "rules/lesson.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    form: Answers,
    number: u16,
    lesson: Option<Lesson>,
    others: Vec<(u16, String)>,
    figures: Vec<(String, String)>,
    revision: i64,
    notice: Option<String>,
    now: Vec<(String, String)>,
}

/// The texts of the form with the words for what another window changed.
const TEXTS: [(&str, &str); 3] = [("title", "Title"), ("setup", "Setup"), ("caution", "Caution")];

/// The lesson as it stands, each fault at its field.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let number = number_of(&request)?;
    let found = blocking(&app, move |app| draft::find(app, &caller, Book::Curriculum)).await?;
    let (revision, draft) = (found.head.revision, curriculum(found)?);
    let lesson = draft.lesson(number).ok_or(Trouble::NotFound)?;
    let errors = errors_at(&draft.faults(), &Place::Lesson(number));
    shown(&page_of(&request, &draft, number, filled(lesson), errors, revision))
}

/// Keeps what was typed. Words that lack are kept as lacking; the draft tells them.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let number = number_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    let found = blocking(&app, move |app| draft::find(app, &asking, Book::Curriculum)).await?;
    let (stands_at, draft) = (found.head.revision, curriculum(found)?);
    let text = match read(&form, number, &draft) {
        Ok(text) => text,
        Err(errors) => return shown_again(&page_of(&request, &draft, number, form, errors, revision)),
    };
    let kept = blocking(&app, move |app| draft::change(app, &caller, Book::Curriculum, revision, text)).await;
    match kept {
        Ok(()) => Ok(go(&format!("/curriculum/draft#lesson-{number}"))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let stored = draft.lesson(number).map(filled).unwrap_or_default();
            let now = differing(&form, &stored, &TEXTS);
            let page = page_of(&request, &draft, number, form, FieldErrors::default(), stands_at);
            shown_as(StatusCode::CONFLICT, &Edit { notice: Some(moved_words()), now, ..page })
        }
        Err(other) => Err(other.into()),
    }
}

fn number_of(request: &HttpRequest) -> Result<u16, Trouble> {
    request.match_info().get("number").and_then(|text| text.parse().ok()).ok_or(Trouble::NotFound)
}

fn filled(lesson: &Lesson) -> Answers {
    let mut form = Answers::default();
    for (name, text) in [("title", &lesson.title), ("setup", &lesson.setup), ("caution", &lesson.caution)] {
        form = with_texts(form, name, text);
    }
    for needs in &lesson.needs {
        form = form.with_tick(format!("needs_{needs}"), true);
    }
    form.with_tick("riding", lesson.riding)
        .with_tick("needs_all_before", lesson.needs_all_before)
        .with_tick("whole_lesson_marks", lesson.whole_lesson_marks)
}

fn read(form: &Answers, number: u16, draft: &CurriculumDraft) -> Result<LessonText, FieldErrors> {
    let mut errors = FieldErrors::default();
    let mut text = |name, part: Part| read_texts(form, &mut errors, name, part.most_letters());
    let (title, setup, caution) =
        (text("title", Part::Title), text("setup", Part::Setup), text("caution", Part::Caution));
    let ticked = |other: &u16| form.ticked(&format!("needs_{other}"));
    let needs = draft.lessons.iter().map(|lesson| lesson.number).filter(ticked).collect();
    if !errors.is_empty() {
        return Err(errors);
    }
    Ok(LessonText {
        number,
        title,
        setup,
        caution,
        riding: form.ticked("riding"),
        needs,
        needs_all_before: form.ticked("needs_all_before"),
        whole_lesson_marks: form.ticked("whole_lesson_marks"),
    })
}

fn page_of(
    request: &HttpRequest,
    draft: &CurriculumDraft,
    number: u16,
    form: Answers,
    errors: FieldErrors,
    revision: i64,
) -> Edit {
    let page = staff_page(request, format!("Lesson {number}")).with_errors(errors.len());
    // Earlier lessons, and later ones only where a tick must be taken out.
    let offered = |lesson: &&Lesson| lesson.number < number || form.ticked(&format!("needs_{}", lesson.number));
    let named = |lesson: &Lesson| (lesson.number, format!("{}. {}", lesson.number, lesson.title.en));
    let others = draft.lessons.iter().filter(offered).map(named).collect();
    Edit {
        page,
        errors,
        number,
        lesson: draft.lesson(number).cloned(),
        others,
        figures: figures(draft),
        form,
        revision,
        notice: None,
        now: Vec::new(),
    }
}

/// The figures that a text may name, with what they read as now.
pub(super) fn figures(draft: &CurriculumDraft) -> Vec<(String, String)> {
    let one = |name: &String| {
        let text = crate::domain::curriculum::LocalText { en: format!("{{{name}}}"), es: String::new() };
        (format!("{{{name}}}"), draft.words(&text, crate::domain::words::Lang::En))
    };
    draft.settings.keys().map(one).collect()
}
