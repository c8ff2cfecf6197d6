//! The second step: the child's health. The answers are shown back to this browser alone.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use super::{Around, From, at_desk, desk_for, onward, step_page};
use crate::language;
use crate::services::App;
use crate::services::register::answers::{HealthAnswers, Step};
use crate::services::register::{Desk, Saved, keep_health, save_health};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::family_form::{known_choices, told};
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
    /// The child's given name and the day on which its answers were kept, while they stand unchanged in the form.
    kept: Option<(String, String)>,
}

fn form(page: Page, desk: &Desk, typed: HealthAnswers, errors: FieldErrors, from: &From) -> Form {
    let around = Around::new(&page, desk, Step::Health, from.check());
    Form { known: known_choices(&page), around, errors, typed, kept: None, page }
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
    let kept = desk.kept_health.as_ref().filter(|_| desk.draft.health.is_none());
    let typed = match kept {
        Some(kept) => HealthAnswers { keep: "yes".into(), ..kept.answers.clone() },
        None => desk.draft.health.clone().unwrap_or_default(),
    };
    let kept = kept.map(|kept| language::date_short(page.lang, kept.at.date()));
    let kept = desk.chosen_given().map(str::to_owned).zip(kept);
    shown(&Form { kept, ..form(page, &desk, typed, FieldErrors::default(), &from) })
}

/// Whether the answers of the last time still hold.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Pressed {
    unchanged: String,
}

/// Keeps the answers and leads on.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(from): Typed<From>,
    Typed(pressed): Typed<Pressed>,
    Typed(typed): Typed<HealthAnswers>,
) -> Answer {
    let (answers, unchanged) = (typed.clone(), pressed.unchanged == "yes");
    let saving = at_desk(&request, &app, reference.into_inner(), Step::Health, move |app, who, desk| {
        if unchanged && desk.kept_health.is_some() {
            return keep_health(app, who, desk);
        }
        save_health(app, who, desk, answers)
    });
    let (desk, saved) = match saving.await? {
        Ok(done) => done,
        Err(first) => return Ok(first),
    };
    match saved {
        Saved::Faulty(faults) => {
            let page = step_page(&request, &desk, Step::Health, faults.list().len());
            let errors = told(&page, &faults);
            shown_again(&form(page, &desk, typed, errors, &from))
        }
        _ => Ok(onward(&desk.session.reference, desk.after(Step::Health), &from)),
    }
}
