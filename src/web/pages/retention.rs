//! What is removed because it is old, and legal holds of sessions, of which nothing goes. Staff pages, in English.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::refusal::Refusal;
use crate::domain::retention::RetentionRule;
use crate::domain::words::Lang;
use crate::language;
use crate::services::retention::{self, Held, Kind, Tonight};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "program/retention.html")]
struct Show {
    page: Page,
    rule: RetentionRule,
    lines: Vec<Tonight>,
}

impl Show {
    fn what(&self, line: &Tonight) -> &'static str {
        match line.what {
            Kind::Health => "Health answers",
            Kind::Lines => "Registrations that came to no seat",
            Kind::Contacts => "People to call and measures",
            Kind::Signed => "Signed texts",
            Kind::KeptHealth => "Health answers kept for the next time",
            Kind::Texts => "Text messages",
            Kind::Incidents => "Reports of what happened",
        }
    }
    fn kept_for(&self, line: &Tonight) -> String {
        let rule = &self.rule;
        match line.what {
            Kind::Health => format!("{} days after the session", rule.health_days),
            Kind::Lines => format!("{} days after the session", rule.line_days),
            Kind::Contacts | Kind::Texts => format!("{} days after the session", rule.contact_days),
            Kind::Signed => {
                let years = rule.limitation_years + rule.margin_years;
                format!("until {years} years after the child is {}", rule.majority_age)
            }
            Kind::Incidents => {
                format!("{} years after the year, and as long as the signed text of the child", rule.report_years)
            }
            Kind::KeptHealth => format!("{} days", rule.kept_health_days),
        }
    }
}

/// What would be removed tonight. Looking removes nothing.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let (rule, lines) = blocking(&app, move |app| retention::tonight(app, &caller)).await?;
    shown(&Show { page: staff_page(&request, "What is removed"), rule, lines })
}

#[derive(Template)]
#[template(path = "season/hold.html")]
struct Hold {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing; empty otherwise.
    refused: String,
    session: String,
    held: Held,
    note: String,
}

impl Hold {
    fn since(&self, hold: &retention::HoldRow) -> String {
        language::date_short(Lang::En, hold.at.date())
    }
}

fn holding(request: &HttpRequest, held: Held, note: String, errors: FieldErrors, refused: String) -> Hold {
    let day = language::date_short(Lang::En, held.view.session.held_on);
    let session = format!("{}, {day}", held.view.site.name);
    let page = staff_page(request, "Legal hold").with_errors(errors.len());
    Hold { page, errors, refused, session, held, note }
}

/// The form of a session's legal hold.
pub async fn hold(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    session: web::Path<String>,
) -> Answer {
    let held = blocking(&app, move |app| retention::hold_of(app, &caller, &session)).await?;
    shown(&holding(&request, held, String::new(), FieldErrors::default(), String::new()))
}

/// What the form sends.
#[derive(Debug, Default, Clone, Deserialize)]
#[serde(default)]
pub struct Sent {
    holds: String,
    note: String,
}

/// Begins or ends a legal hold.
pub async fn set_hold(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    session: web::Path<String>,
    Typed(typed): Typed<Sent>,
) -> Answer {
    let session = session.into_inner();
    let (asks, asked) = (caller.clone(), session.clone());
    let held = blocking(&app, move |app| retention::hold_of(app, &asks, &asked)).await?;
    let holds = match typed.holds.as_str() {
        "yes" => true,
        "no" => false,
        _ => return Err(Trouble::Malformed),
    };
    let mut read = Reading::default();
    let note = read.line("note", "why", &typed.note, 500);
    let note = match read.done(note) {
        Ok(note) => note,
        Err(errors) => return shown_again(&holding(&request, held, typed.note, errors, String::new())),
    };
    let (asks, asked) = (caller.clone(), session.clone());
    match blocking(&app, move |app| retention::set_hold(app, &asks, &asked, holds, &note)).await {
        Ok(()) => Ok(go(&format!("/season/{session}/hold"))),
        Err(Failure::Refused(Refusal::WorldMoved)) => {
            let held = blocking(&app, move |app| retention::hold_of(app, &caller, &session)).await?;
            let words = "Somebody else changed the hold meanwhile. Look at it again.".to_owned();
            shown_as(StatusCode::CONFLICT, &holding(&request, held, typed.note, FieldErrors::default(), words))
        }
        Err(failure) => Err(failure.into()),
    }
}
