//! Who reads concerns, and the state's number for reports about children. For the administrator.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::concern::ReportingLine;
use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::services::concerns;
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;
use crate::web::{blocking, refusal_words};

#[derive(Template)]
#[template(path = "concern/readers.html")]
struct Readers {
    page: Page,
    errors: FieldErrors,
    refused: Option<String>,
    people: Vec<Choice>,
    typed: Named,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Named {
    first: String,
    second: String,
    agency: String,
    phone: String,
    revision: String,
}

async fn drawn(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    typed: Option<Named>,
    (errors, refused): (FieldErrors, Option<String>),
) -> Result<Readers, Failure> {
    let found = blocking(app, move |app| concerns::named(app, &caller)).await?;
    let people = found.people.iter().map(|(reference, name)| Choice::new(reference, name)).collect();
    let reader = |nth: usize| found.readers.get(nth).cloned().unwrap_or_default();
    let typed = typed.unwrap_or_else(|| Named {
        first: reader(0),
        second: reader(1),
        agency: found.line.agency.clone(),
        phone: found.line.phone.clone(),
        revision: String::new(),
    });
    let typed = Named { revision: found.revision.to_string(), ..typed };
    let page = staff_page(request, "Who reads concerns").with_errors(errors.len());
    Ok(Readers { page, errors, refused, people, typed })
}

/// The form.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    shown(&drawn(&request, &app, caller, None, (FieldErrors::default(), None)).await?)
}

/// Names them.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(typed): Typed<Named>,
) -> Answer {
    let mut reading = Reading::default();
    let first = reading.chosen("first", "who reads concerns", &typed.first);
    let second = reading.chosen("second", "the second person who reads them", &typed.second);
    if !first.is_empty() && first == second {
        reading.fault("second", "Choose two different people");
    }
    let line = ReportingLine {
        agency: reading.line("agency", "whose number it is", &typed.agency, 120),
        phone: reading.line("phone", "the number", &typed.phone, 40),
    };
    if let Err(errors) = reading.done(()) {
        return shown_again(&drawn(&request, &app, caller, Some(typed), (errors, None)).await?);
    }
    let (asks, revision) = (caller.clone(), typed.revision.parse().unwrap_or(-1));
    match blocking(&app, move |app| concerns::name(app, &asks, revision, [first, second], line)).await {
        Ok(()) => Ok(go("/program/concerns")),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let told = (FieldErrors::default(), Some(refusal_words::words(Lang::En, &Refusal::DraftMoved)));
            shown_as(StatusCode::CONFLICT, &drawn(&request, &app, caller, Some(typed), told).await?)
        }
        Err(other) => Err(other.into()),
    }
}
