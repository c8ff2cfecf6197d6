//! The tables of a report as files for spreadsheets: what the page shows, in its order.

use actix_web::http::header;
use actix_web::{HttpResponse, web};

use super::wish::Wish;
use crate::domain::report::Period;
use crate::services::App;
use crate::services::report::{self, file};
use crate::web::answer::{Answer, Trouble};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::form::Asked;

fn sent(name: &str, period: Period, bytes: Vec<u8>) -> HttpResponse {
    let name = format!("{name}_{}_{}.csv", period.from.format("%Y-%m-%d"), period.to.format("%Y-%m-%d"));
    HttpResponse::Ok()
        .content_type(file::MEDIA)
        .insert_header((header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")))
        .insert_header((header::CONTENT_SECURITY_POLICY, "sandbox; default-src 'none'"))
        .body(bytes)
}

/// The county table.
pub async fn counties(app: web::Data<App>, Asking(caller): Asking, Asked(wish): Asked<Wish>) -> Answer {
    let made = blocking(&app, move |app| {
        let (choices, year) = report::choices(app, &caller)?;
        let Ok((scope, order)) = wish.scope(&choices, year) else { return Ok(None) };
        let bytes = file::counties(app, &caller, &scope, order)?;
        Ok(Some((scope.period, bytes)))
    });
    let (period, bytes) = made.await?.ok_or(Trouble::Malformed)?;
    Ok(sent("counties", period, bytes))
}

/// Every row behind a figure.
pub async fn rows(app: web::Data<App>, Asking(caller): Asking, Asked(wish): Asked<Wish>) -> Answer {
    let question = wish.question()?;
    let (name, period) = (question.figure.to_string(), question.scope.period);
    let bytes = blocking(&app, move |app| file::rows(app, &caller, &question)).await?;
    Ok(sent(&name, period, bytes))
}
