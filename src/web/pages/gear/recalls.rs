//! Helmets that are called back: the list with the form that starts a recall, and one recall with everybody who has one.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use super::{day, handed};
use crate::domain::access::Caller;
use crate::domain::gear::RecallAnswer;
use crate::domain::words::{Lang, Word};
use crate::services::gear::recalls::{self, Holder, Listed, Sheet, Wanted};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

fn way(reference: &str) -> String {
    format!("/gear/recalls/{reference}")
}

#[derive(Template)]
#[template(path = "gear/recalls.html")]
struct List {
    page: Page,
    errors: FieldErrors,
    refused: Option<String>,
    recalls: Vec<Listed>,
    lots: Vec<Choice>,
    typed: Said,
}

#[derive(Template)]
#[template(path = "gear/recall.html")]
struct Show {
    page: Page,
    refused: Option<String>,
    sheet: Sheet,
}

/// What the forms send.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Said {
    what: String,
    why: String,
    source: String,
    answer: String,
}

impl Show {
    fn started(&self) -> String {
        day(&self.sheet.started.date())
    }
    /// When and by whom it was said.
    fn said_by(&self, holder: &Holder) -> String {
        let said = holder.answered.as_ref().map(|(at, by)| format!(", {}, {by}", day(&at.date())));
        said.unwrap_or_default()
    }
    fn answer_words(&self, answer: &RecallAnswer) -> &'static str {
        words(*answer)
    }
    fn answers(&self) -> Vec<(RecallAnswer, &'static str)> {
        RecallAnswer::ALL.iter().map(|answer| (*answer, words(*answer))).collect()
    }
}

fn words(answer: RecallAnswer) -> &'static str {
    match answer {
        RecallAnswer::Stopped => "Nobody wears it",
        RecallAnswer::HandedIn => "It came back",
        RecallAnswer::Gone => "They no longer have it",
        RecallAnswer::NotReached => "Nobody was reached",
    }
}

async fn list_page(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    typed: Said,
    (errors, refused): (FieldErrors, Option<String>),
) -> Result<List, Failure> {
    let found = blocking(app, move |app| recalls::list(app, &caller)).await?;
    let model = |model: &String| Choice::new(format!("model:{model}"), format!("{model}, every lot"));
    let lot = |(reference, words): &(String, String)| Choice::new(format!("lot:{reference}"), words);
    let lots = found.models.iter().map(model).chain(found.lots.iter().map(lot)).collect();
    let page = staff_page(request, "Helmets called back").with_errors(errors.len());
    Ok(List { page, errors, refused, recalls: found.all, lots, typed })
}

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    shown(&list_page(&request, &app, caller, Said::default(), (FieldErrors::default(), None)).await?)
}

/// Starts a recall.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(said): Typed<Said>,
) -> Answer {
    let mut reading = Reading::default();
    let chosen = reading.chosen("what", "which helmets", &said.what);
    let why = reading.checked_line("why", "what is wrong", &said.why, 200);
    let source = reading.checked_line("source", "who says so", &said.source, 200);
    let wanted = match chosen.split_once(':') {
        Some(("model", model)) => Some(Wanted::Model(model.to_owned())),
        Some(("lot", lot)) => Some(Wanted::Lot(lot.to_owned())),
        _ => None,
    };
    match (reading.done(()), wanted, why, source) {
        (Ok(()), Some(wanted), Some(why), Some(source)) => {
            let asks = caller.clone();
            match blocking(&app, move |app| recalls::start(app, &asks, wanted, why, source)).await {
                Ok(reference) => Ok(go(&way(&reference))),
                Err(Failure::Refused(refusal)) => {
                    let told = (FieldErrors::default(), Some(refusal_words::words(Lang::En, &refusal)));
                    shown_as(StatusCode::CONFLICT, &list_page(&request, &app, caller, said, told).await?)
                }
                Err(other) => Err(other.into()),
            }
        }
        (Ok(()), ..) => Err(Failure::NotFound.into()),
        (Err(errors), ..) => shown_again(&list_page(&request, &app, caller, said, (errors, None)).await?),
    }
}

fn page_of(request: &HttpRequest, sheet: Sheet, refused: Option<String>) -> Show {
    Show { page: staff_page(request, format!("Called back: {}", sheet.what)), refused, sheet }
}

/// One recall.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| recalls::find(app, &caller, &reference)).await?;
    shown(&page_of(&request, sheet, None))
}

/// Notes what became of a helmet.
pub async fn answer(
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, i64)>,
    Typed(said): Typed<Said>,
) -> Answer {
    let (reference, number) = path.into_inner();
    let answer = RecallAnswer::from_word(&said.answer).ok_or(Failure::NotFound)?;
    let back = format!("{}#h-{number}", way(&reference));
    blocking(&app, move |app| recalls::answer(app, &caller, &reference, number, answer)).await?;
    Ok(go(&back))
}

/// Ends a recall.
pub async fn end(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    match blocking(&app, move |app| recalls::end(app, &asks, &asked)).await {
        Ok(()) => Ok(go(&way(&reference))),
        Err(Failure::Refused(refusal)) => {
            let sheet = blocking(&app, move |app| recalls::find(app, &caller, &reference)).await?;
            let refused = Some(refusal_words::words(Lang::En, &refusal));
            shown_as(StatusCode::CONFLICT, &page_of(&request, sheet, refused))
        }
        Err(other) => Err(other.into()),
    }
}
