//! What the program holds about who is signed in: a list with numbers, all of it as one file, and the wish to have it
//! deleted.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::language;
use crate::services::{App, Failure, deletions, my_data};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context};

const WAY: &str = "/account/data";

#[derive(Template)]
#[template(path = "account/data.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    /// What, and how many entries.
    kinds: Vec<(String, usize)>,
    /// Whether a family's data can be deleted here.
    is_family: bool,
    /// Since when a wish stands, in words.
    asked: Option<String>,
}

async fn page_of(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    errors: FieldErrors,
) -> Result<Show, Failure> {
    let is_family = caller.guardian().is_some();
    let (counts, asked) =
        blocking(app, move |app| Ok::<_, Failure>((my_data::counts(app, &caller)?, deletions::asked(app, &caller)?)))
            .await?;
    let page = context::page(request, "data-title").with_errors(errors.len());
    let words = |table: String| page.t(&format!("data-of-{}", table.replace('_', "-")));
    let kinds = counts.into_iter().map(|(table, entries)| (words(table), entries)).collect();
    let asked = asked.map(|at| page.t1("data-asked", "day", language::date_long(page.lang, at.date())));
    Ok(Show { page, errors, kinds, is_family, asked })
}

/// What is held.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    shown(&page_of(&request, &app, caller, FieldErrors::default()).await?)
}

/// All of it.
pub async fn file(app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let text = blocking(&app, move |app| my_data::file(app, &caller)).await?;
    Ok(HttpResponse::Ok()
        .content_type("application/json; charset=utf-8")
        .insert_header((header::CONTENT_DISPOSITION, "attachment; filename=\"waymark-data.json\""))
        .insert_header((header::CONTENT_SECURITY_POLICY, "sandbox; default-src 'none'"))
        .body(text))
}

/// What the form sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Wish {
    wants: String,
    sure: String,
}

/// Asks for deletion, or takes the wish back.
pub async fn ask_deletion(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(wish): Typed<Wish>,
) -> Answer {
    let wants = wish.wants != "no";
    if wants && wish.sure != "yes" {
        let mut errors = FieldErrors::default();
        errors.add("sure", context::page(&request, "data-title").t("data-sure-missing"));
        return shown_again(&page_of(&request, &app, caller, errors).await?);
    }
    blocking(&app, move |app| deletions::set_asked(app, &caller, wants)).await?;
    Ok(go(WAY))
}
