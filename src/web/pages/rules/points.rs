//! Adding, moving and taking out points of the day list's draft: one button each.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};

use super::draft::Show;
use super::{base, book_of, moved_words};
use crate::domain::curriculum::Step;
use crate::domain::point_list::{PointKey, PointText};
use crate::domain::refusal::Refusal;
use crate::services::rules::draft;
use crate::services::rules::point::Points;
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
    let book = book_of(&request)?;
    let wanted = read(&form).ok_or(Trouble::NotFound)?;
    let (asking, revision) = (caller.clone(), form.revision());
    match blocking(&app, move |app| draft::change(app, &asking, book, revision, wanted)).await {
        Ok(Some(key)) => Ok(go(&format!("{}/draft/settings/{}", base(book), PointText::Title.setting(&key)))),
        Ok(None) => Ok(go(&format!("{}/draft#points", base(book)))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let view = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
            shown_as(StatusCode::CONFLICT, &Show::new(&request, book, view, Some(moved_words())))
        }
        Err(other) => Err(other.into()),
    }
}

fn read(form: &Answers) -> Option<Points> {
    let point = PointKey(form.of("point").to_owned());
    Some(match form.of("do") {
        "add_point" => Points::Add,
        "point_earlier" => Points::Move(point, Step::Earlier),
        "point_later" => Points::Move(point, Step::Later),
        "remove_point" => Points::Remove(point),
        _ => return None,
    })
}
