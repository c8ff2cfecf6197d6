//! Families that ask for their data to be deleted.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::language;
use crate::services::deletions::{self, Obstacle, Wish};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "families/deletions.html")]
struct Index {
    page: Page,
    /// Why the last press did nothing; empty otherwise.
    refused: String,
    wishes: Vec<Wish>,
}

impl Index {
    fn day(&self, wish: &Wish) -> String {
        language::date_short(Lang::En, wish.asked_at.date())
    }
}

async fn page_of(request: &HttpRequest, app: &web::Data<App>, caller: Caller, refused: &str) -> Result<Index, Failure> {
    let wishes = blocking(app, move |app| deletions::list(app, &caller)).await?;
    Ok(Index { page: staff_page(request, "Asked to be deleted"), refused: refused.to_owned(), wishes })
}

/// Who asks.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    shown(&page_of(&request, &app, caller, "").await?)
}

/// Deletes what may go of one family.
pub async fn delete(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    wish: web::Path<String>,
) -> Answer {
    let asks = caller.clone();
    match blocking(&app, move |app| deletions::delete(app, &asks, &wish)).await {
        Ok(()) => Ok(go("/families/deletions")),
        Err(Failure::Refused(Refusal::WorldMoved)) => {
            let words = "Something stands in the way now. Look at it again.";
            shown_as(StatusCode::CONFLICT, &page_of(&request, &app, caller, words).await?)
        }
        Err(failure) => Err(failure.into()),
    }
}
