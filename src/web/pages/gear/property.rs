//! The property list, as a page and as a table file.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;

use super::{day, dollars, month_of, where_words};
use crate::services::App;
use crate::services::gear::property::{self, Line, TABLE_MEDIA};
use crate::web::answer::{Answer, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "gear/property.html")]
struct Show {
    page: Page,
    lines: Vec<Line>,
}

impl Show {
    fn cost(&self, line: &Line) -> String {
        dollars(&(line.lot.row.unit_cost_cents * line.lot.row.received))
    }
    fn share(&self, line: &Line) -> String {
        line.grant.federal_permille.map_or_else(|| "–".to_owned(), |share| format!("{}.{} %", share / 10, share % 10))
    }
}

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let lines = blocking(&app, move |app| property::list(app, &caller)).await?;
    shown(&Show { page: staff_page(&request, "Property list"), lines })
}

/// The same as a file.
pub async fn file(app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let lines = blocking(&app, move |app| property::list(app, &caller)).await?;
    Ok(HttpResponse::Ok()
        .content_type(TABLE_MEDIA)
        .insert_header((header::CONTENT_DISPOSITION, "attachment; filename=\"property.csv\""))
        .insert_header((header::CONTENT_SECURITY_POLICY, "sandbox; default-src 'none'"))
        .body(property::file(&lines)))
}
