//! The first step: who rides. Tells at once, on a page of its own, when this child cannot have a place.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{Around, From, at_desk, onward, path, refused, step_page, visitor};
use crate::domain::registration::Ridden;
use crate::domain::words::Word;
use crate::services::App;
use crate::services::register::answers::{RiderAnswers, Step};
use crate::services::register::{Desk, Saved, open, save_rider};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::blocking;
use crate::web::family_form::told;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::{Choice, Page};

#[derive(Template)]
#[template(path = "register/rider.html")]
struct Form {
    page: Page,
    around: Around,
    errors: FieldErrors,
    typed: RiderAnswers,
    known: Vec<Choice>,
    counties: Vec<Choice>,
    ridden: Vec<Choice>,
}

fn form(page: Page, desk: &Desk, typed: RiderAnswers, errors: FieldErrors, from: &From) -> Form {
    let mut known: Vec<Choice> = desk.known.iter().map(|rider| Choice::new(&rider.reference, &rider.name)).collect();
    if !known.is_empty() {
        known.push(Choice::new("", page.t("rider-another")));
    }
    let ridden = Ridden::ALL.iter().map(|word| Choice::new(word, page.t(&format!("rider-ridden-{word}"))));
    Form {
        around: Around::new(&page, desk, Step::Rider, from.check()),
        ridden: ridden.collect(),
        counties: desk.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
        known,
        errors,
        typed,
        page,
    }
}

/// The way into registering.
pub async fn start(request: HttpRequest, app: web::Data<App>, reference: web::Path<String>) -> Answer {
    let visitor = visitor(&request);
    let desk = blocking(&app, move |app| open(app, &visitor, &reference)).await?;
    Ok(go(&path(&desk.session.reference, Step::Rider)))
}

/// The form, with what was answered before.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Asked(from): Asked<From>,
) -> Answer {
    let visitor = visitor(&request);
    let opened = blocking(&app, move |app| open(app, &visitor, &reference)).await?;
    let page = step_page(&request, &opened, Step::Rider, 0);
    let first = opened.known.first().map(|rider| rider.reference.clone()).unwrap_or_default();
    let county = opened.earlier.county.clone();
    let blank = RiderAnswers { known: first, county, ..RiderAnswers::default() };
    let typed = opened.draft.rider.clone().unwrap_or(blank);
    shown(&form(page, &opened, typed, FieldErrors::default(), &from))
}

/// Keeps the answers and leads on.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(from): Typed<From>,
    Typed(typed): Typed<RiderAnswers>,
) -> Answer {
    let (reference, answers) = (reference.into_inner(), typed.clone());
    let saving =
        at_desk(&request, &app, reference.clone(), Step::Rider, |app, who, desk| save_rider(app, who, desk, answers));
    match saving.await {
        Ok(Ok((desk, Saved::Faulty(faults)))) => {
            let page = step_page(&request, &desk, Step::Rider, faults.list().len());
            let errors = told(&page, &faults);
            shown_again(&form(page, &desk, typed, errors, &from))
        }
        Ok(Ok(_)) => Ok(onward(&reference, Step::Health, &from)),
        Ok(Err(first)) => Ok(first),
        Err(failure) => refused(&request, &reference, failure),
    }
}
