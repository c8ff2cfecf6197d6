//! Families that ask for their data to be deleted.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::language;
use crate::services::deletions::{self, Obstacle, Wish};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "families/deletions.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing; empty otherwise.
    refused: &'static str,
    wishes: Vec<Wish>,
}

impl Index {
    fn day(&self, wish: &Wish) -> String {
        language::date_short(Lang::En, wish.asked_at.date())
    }
    fn spoken(&self, wish: &Wish) -> String {
        spoken(&wish.reference)
    }
}

fn page_of(request: &HttpRequest, wishes: Vec<Wish>, errors: FieldErrors, refused: &'static str) -> Index {
    let page = staff_page(request, "Asked to be deleted").with_errors(errors.len());
    Index { page, errors, refused, wishes }
}

/// The field by which the office says that it spoke with a family: one on the page for each.
fn spoken(reference: &str) -> String {
    format!("spoken-{reference}")
}

/// Who asks.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let wishes = blocking(&app, move |app| deletions::list(app, &caller)).await?;
    shown(&page_of(&request, wishes, FieldErrors::default(), ""))
}

/// Deletes what may go of one family, once the office says that it spoke with it.
pub async fn delete(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(typed): Typed<Answers>,
) -> Answer {
    let reference = reference.into_inner();
    let (asks, field) = (caller.clone(), spoken(&reference));
    let wishes = blocking(&app, move |app| deletions::list(app, &asks)).await?;
    let wish = wishes.iter().find(|wish| wish.reference == reference).ok_or(Failure::NotFound)?;
    if wish.obstacles.is_empty() && !typed.ticked(&field) {
        let mut errors = FieldErrors::default();
        errors.add(&field, "Speak with the family first, and tick that you did");
        return shown_again(&page_of(&request, wishes, errors, ""));
    }
    let asks = caller.clone();
    match blocking(&app, move |app| deletions::delete(app, &asks, &reference)).await {
        Ok(()) => Ok(go("/families/deletions")),
        Err(Failure::Refused(Refusal::WorldMoved)) => {
            let wishes = blocking(&app, move |app| deletions::list(app, &caller)).await?;
            let words = "Something stands in the way now. Look at it again.";
            shown_as(StatusCode::CONFLICT, &page_of(&request, wishes, FieldErrors::default(), words))
        }
        Err(failure) => Err(failure.into()),
    }
}
