//! What the program holds about who is signed in: a list with numbers, and all of it as one file.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;

use crate::services::{App, my_data};
use crate::web::answer::{Answer, shown};
use crate::web::caller::Asking;
use crate::web::page::Page;
use crate::web::{blocking, context};

#[derive(Template)]
#[template(path = "account/data.html")]
struct Show {
    page: Page,
    /// What, and how many entries.
    kinds: Vec<(String, usize)>,
}

/// What is held.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let counts = blocking(&app, move |app| my_data::counts(app, &caller)).await?;
    let page = context::page(&request, "data-title");
    let words = |table: String| page.t(&format!("data-of-{}", table.replace('_', "-")));
    let kinds = counts.into_iter().map(|(table, entries)| (words(table), entries)).collect();
    shown(&Show { page, kinds })
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
