//! Adding, moving and removing lessons and checks of the curriculum's draft: one button each.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};

use super::draft::Show;
use super::moved_words;
use crate::domain::curriculum::{CheckCode, Step};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::Book;
use crate::services::rules::draft;
use crate::services::rules::lesson::{Arrange, Arranged};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::form::{Answers, Typed};

/// Does what one button says.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let wanted = read(&form).ok_or(Trouble::NotFound)?;
    let (asking, revision) = (caller.clone(), form.revision());
    let done = blocking(&app, move |app| draft::change(app, &asking, Book::Curriculum, revision, wanted)).await;
    match done {
        Ok(Arranged::Lesson(number)) => Ok(go(&format!("/curriculum/draft/lessons/{number}"))),
        Ok(Arranged::Check(code)) => Ok(go(&format!("/curriculum/draft/checks/{code}"))),
        Ok(Arranged::Order) => Ok(go(&back(wanted))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let view = blocking(&app, move |app| draft::find(app, &caller, Book::Curriculum)).await?;
            shown_as(StatusCode::CONFLICT, &Show::new(&request, Book::Curriculum, view, Some(moved_words())))
        }
        Err(other) => Err(other.into()),
    }
}

fn read(form: &Answers) -> Option<Arrange> {
    let lesson = || form.of("lesson").parse::<u16>().ok();
    let check = || CheckCode::parse(form.of("check")).ok();
    Some(match form.of("do") {
        "add_lesson" => Arrange::AddLesson,
        "lesson_earlier" => Arrange::MoveLesson(lesson()?, Step::Earlier),
        "lesson_later" => Arrange::MoveLesson(lesson()?, Step::Later),
        "remove_lesson" => Arrange::RemoveLesson(lesson()?),
        "add_check" => Arrange::AddCheck(lesson()?),
        "check_earlier" => Arrange::MoveCheck(check()?, Step::Earlier),
        "check_later" => Arrange::MoveCheck(check()?, Step::Later),
        "remove_check" => Arrange::RemoveCheck(check()?),
        _ => return None,
    })
}

/// The list that was arranged.
fn back(wanted: Arrange) -> String {
    match wanted {
        Arrange::AddLesson | Arrange::MoveLesson(..) | Arrange::RemoveLesson(_) => {
            "/curriculum/draft#lessons".to_owned()
        }
        Arrange::AddCheck(number) => format!("/curriculum/draft/lessons/{number}#checks"),
        Arrange::MoveCheck(code, _) | Arrange::RemoveCheck(code) => {
            format!("/curriculum/draft/lessons/{}#checks", code.lesson())
        }
    }
}
