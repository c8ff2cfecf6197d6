//! The second step: the child's health. The answers are shown back to this browser alone.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{Around, From, desk_for, known_choices, onward, step_page, told, visitor};
use crate::services::App;
use crate::services::register::answers::{HealthAnswers, Step};
use crate::services::register::{Desk, Saved, save_health};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::blocking;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::{Choice, Page};

#[derive(Template)]
#[template(path = "register/health.html")]
struct Form {
    page: Page,
    around: Around,
    errors: FieldErrors,
    typed: HealthAnswers,
    known: Vec<Choice>,
}

fn form(page: Page, desk: &Desk, typed: HealthAnswers, errors: FieldErrors, from: &From) -> Form {
    let around = Around::new(&page, desk, Step::Health, from.check());
    Form { known: known_choices(&page), around, errors, typed, page }
}

/// The form, with what was answered before.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Asked(from): Asked<From>,
) -> Answer {
    let desk = match desk_for(&request, &app, reference.into_inner(), Step::Health).await? {
        Ok(desk) => desk,
        Err(first) => return Ok(first),
    };
    let page = step_page(&request, &desk, Step::Health, 0);
    let typed = desk.draft.health.clone().unwrap_or_default();
    shown(&form(page, &desk, typed, FieldErrors::default(), &from))
}

/// Keeps the answers and leads on.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(from): Typed<From>,
    Typed(typed): Typed<HealthAnswers>,
) -> Answer {
    let desk = match desk_for(&request, &app, reference.clone(), Step::Health).await? {
        Ok(desk) => desk,
        Err(first) => return Ok(first),
    };
    let (who, asked, answers) = (visitor(&request), reference.clone(), typed.clone());
    match blocking(&app, move |app| save_health(app, &who, &asked, answers)).await? {
        Saved::Faulty(faults) => {
            let page = step_page(&request, &desk, Step::Health, faults.list().len());
            let errors = told(&page, &faults);
            shown_again(&form(page, &desk, typed, errors, &from))
        }
        _ => Ok(onward(&reference, Step::Health, &from)),
    }
}
