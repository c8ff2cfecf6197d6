//! The third step: who answers for the child, whom to call, who takes the child home. A password is never shown again.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{Around, From, at_desk, desk_for, onward, step_page};
use crate::domain::registration::DayAdult;
use crate::services::App;
use crate::services::register::answers::{AdultsAnswers, Step};
use crate::services::register::desk::KnownGuardian;
use crate::services::register::{Desk, Saved, save_adults};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::family_form::told;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "register/adults.html")]
struct Form {
    page: Page,
    around: Around,
    errors: FieldErrors,
    typed: AdultsAnswers,
    /// The guardian who is signed in.
    guardian: Option<KnownGuardian>,
    asks_password: bool,
    /// Whether the answers of the last registration stand in the fields.
    filled: bool,
    password_hint: String,
    day_adult: DayAdult,
}

fn form(page: Page, desk: &Desk, typed: AdultsAnswers, errors: FieldErrors, from: &From) -> Form {
    let around = Around::new(&page, desk, Step::Adults, from.check());
    Form {
        guardian: desk.guardian.clone(),
        asks_password: desk.guardian.is_none() && page.signed_in().is_none(),
        password_hint: page.t(match desk.draft.password_hash {
            Some(_) => "adults-password-kept",
            None => "adults-password-hint",
        }),
        filled: false,
        day_adult: desk.day_adult,
        around,
        errors,
        typed,
        page,
    }
}

/// The form, with what was answered before.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Asked(from): Asked<From>,
) -> Answer {
    let desk = match desk_for(&request, &app, reference.into_inner(), Step::Adults).await? {
        Ok(desk) => desk,
        Err(first) => return Ok(first),
    };
    let page = step_page(&request, &desk, Step::Adults, 0);
    let earlier = desk.earlier.adults.as_ref().filter(|_| desk.draft.adults.is_none());
    let typed = earlier.or(desk.draft.adults.as_ref()).cloned().unwrap_or_default();
    let filled = earlier.is_some();
    shown(&Form { filled, ..form(page, &desk, typed, FieldErrors::default(), &from) })
}

/// Keeps the answers and leads on.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(from): Typed<From>,
    Typed(typed): Typed<AdultsAnswers>,
) -> Answer {
    let answers = typed.clone();
    let saving = at_desk(&request, &app, reference.into_inner(), Step::Adults, |app, who, desk| {
        save_adults(app, who, desk, answers)
    });
    let (desk, saved) = match saving.await? {
        Ok(done) => done,
        Err(first) => return Ok(first),
    };
    match saved {
        Saved::Faulty(faults) => {
            let page = step_page(&request, &desk, Step::Adults, faults.list().len());
            let errors = told(&page, &faults);
            shown_again(&form(page, &desk, typed, errors, &from))
        }
        _ => Ok(onward(&desk.session.reference, desk.after(Step::Adults), &from)),
    }
}
