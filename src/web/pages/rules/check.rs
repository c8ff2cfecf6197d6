//! One skill check of the curriculum's draft: what it looks like and what is not yet enough, in both languages.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use super::draft::errors_at;
use super::lesson::figures;
use super::{curriculum, differing, moved_words, read_texts, with_texts};
use crate::domain::curriculum::{CheckCode, CurriculumDraft, Part, Place, SkillCheck};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::Book;
use crate::services::rules::draft;
use crate::services::rules::lesson::CheckText;
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "rules/check.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    form: Answers,
    code: CheckCode,
    is_there: bool,
    lesson: String,
    figures: Vec<(String, String)>,
    revision: i64,
    notice: Option<String>,
    now: Vec<(String, String)>,
}

const TEXTS: [(&str, &str); 3] = [("title", "Title"), ("looks_like", "Looks like"), ("not_yet", "Not yet")];

/// The check as it stands, each fault at its field.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let code = code_of(&request)?;
    let found = blocking(&app, move |app| draft::find(app, &caller, Book::Curriculum)).await?;
    let (revision, draft) = (found.head.revision, curriculum(found)?);
    let check = draft.check(code).ok_or(Trouble::NotFound)?;
    let errors = errors_at(&draft.faults(), &Place::Check(code));
    shown(&page_of(&request, &draft, code, filled(check), errors, revision))
}

/// Keeps what was typed. Words that lack are kept as lacking; the draft tells them.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let code = code_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    let found = blocking(&app, move |app| draft::find(app, &asking, Book::Curriculum)).await?;
    let (stands_at, draft) = (found.head.revision, curriculum(found)?);
    let text = match read(&form, code) {
        Ok(text) => text,
        Err(errors) => return shown_again(&page_of(&request, &draft, code, form, errors, revision)),
    };
    let kept = blocking(&app, move |app| draft::change(app, &caller, Book::Curriculum, revision, text)).await;
    match kept {
        Ok(()) => Ok(go(&format!("/curriculum/draft/lessons/{}#checks", code.lesson()))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let stored = draft.check(code).map(filled).unwrap_or_default();
            let now = differing(&form, &stored, &TEXTS);
            let page = page_of(&request, &draft, code, form, FieldErrors::default(), stands_at);
            shown_as(StatusCode::CONFLICT, &Edit { notice: Some(moved_words()), now, ..page })
        }
        Err(other) => Err(other.into()),
    }
}

fn code_of(request: &HttpRequest) -> Result<CheckCode, Trouble> {
    let text = request.match_info().get("code").unwrap_or_default();
    CheckCode::parse(text).map_err(|_| Trouble::NotFound)
}

fn filled(check: &SkillCheck) -> Answers {
    let mut form = Answers::default();
    for (name, text) in [("title", &check.title), ("looks_like", &check.looks_like), ("not_yet", &check.not_yet)] {
        form = with_texts(form, name, text);
    }
    form.with_tick("required", check.required).with_tick("before_wheels", check.before_wheels)
}

fn read(form: &Answers, code: CheckCode) -> Result<CheckText, FieldErrors> {
    let mut errors = FieldErrors::default();
    let mut text = |name, part: Part| read_texts(form, &mut errors, name, part.most_letters());
    let title = text("title", Part::Title);
    let (looks_like, not_yet) = (text("looks_like", Part::LooksLike), text("not_yet", Part::NotYet));
    if !errors.is_empty() {
        return Err(errors);
    }
    let (required, before_wheels) = (form.ticked("required"), form.ticked("before_wheels"));
    Ok(CheckText { code, title, looks_like, not_yet, required, before_wheels })
}

fn page_of(
    request: &HttpRequest,
    draft: &CurriculumDraft,
    code: CheckCode,
    form: Answers,
    errors: FieldErrors,
    revision: i64,
) -> Edit {
    let page = staff_page(request, format!("Check {code}")).with_errors(errors.len());
    let lesson = draft.lesson(code.lesson());
    Edit {
        page,
        errors,
        form,
        code,
        is_there: draft.check(code).is_some(),
        lesson: lesson.map(|lesson| format!("{}. {}", lesson.number, lesson.title.en)).unwrap_or_default(),
        figures: figures(draft),
        revision,
        notice: None,
        now: Vec::new(),
    }
}
