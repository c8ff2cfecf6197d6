//! The program's own questions, where it has any. Nobody has to answer one.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{Around, From, at_desk, desk_for, onward, step_page};
use crate::domain::voluntary::NO_ANSWER;
use crate::services::App;
use crate::services::register::answers::Step;
use crate::services::register::{Desk, Saved, save_questions};
use crate::services::voluntary::VoluntaryQuestion;
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::family_form::told;
use crate::web::form::{Answers, Asked, FieldErrors, Typed};
use crate::web::page::{Choice, Page};

/// A question as the page shows it.
struct Shown {
    field: String,
    words: String,
    choices: Vec<Choice>,
    typed: String,
}

#[derive(Template)]
#[template(path = "register/questions.html")]
struct Form {
    page: Page,
    around: Around,
    errors: FieldErrors,
    questions: Vec<Shown>,
}

fn form(page: Page, desk: &Desk, typed: &BTreeMap<String, String>, errors: FieldErrors, from: &From) -> Form {
    let one = |question: &VoluntaryQuestion| {
        let words = question.choices.list().iter().map(|choice| choice.in_lang(page.lang).to_owned());
        let mut choices: Vec<Choice> = words.zip(1..).map(|(words, number)| Choice::new(number, words)).collect();
        choices.push(Choice::new(NO_ANSWER, page.t("questions-none")));
        Shown {
            field: question.reference.clone(),
            words: question.words.in_lang(page.lang).to_owned(),
            choices,
            typed: typed.get(&question.reference).cloned().unwrap_or_default(),
        }
    };
    let questions = desk.questions.iter().map(one).collect();
    Form { around: Around::new(&page, desk, Step::Questions, from.check()), questions, errors, page }
}

/// The form, with what was answered before. Where nothing is asked, the step after it.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Asked(from): Asked<From>,
) -> Answer {
    let desk = match desk_for(&request, &app, reference.into_inner(), Step::Questions).await? {
        Ok(desk) => desk,
        Err(first) => return Ok(first),
    };
    if desk.questions.is_empty() {
        return Ok(go(&super::path(&desk.session.reference, Step::Check)));
    }
    let page = step_page(&request, &desk, Step::Questions, 0);
    let typed = desk.draft.questions.clone().unwrap_or_default();
    shown(&form(page, &desk, &typed, FieldErrors::default(), &from))
}

/// Keeps the answers and leads on.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(from): Typed<From>,
    Typed(typed): Typed<Answers>,
) -> Answer {
    let saving = at_desk(&request, &app, reference.into_inner(), Step::Questions, move |app, who, desk| {
        let answered =
            |question: &VoluntaryQuestion| (question.reference.clone(), typed.of(&question.reference).to_owned());
        let answers: BTreeMap<String, String> = desk.questions.iter().map(answered).collect();
        Ok((save_questions(app, who, desk, &answers)?, answers))
    });
    let (desk, (saved, answers)) = match saving.await? {
        Ok(done) => done,
        Err(first) => return Ok(first),
    };
    match saved {
        Saved::Faulty(faults) => {
            let page = step_page(&request, &desk, Step::Questions, faults.list().len());
            let errors = told(&page, &faults);
            shown_again(&form(page, &desk, &answers, errors, &from))
        }
        _ => Ok(onward(&desk.session.reference, desk.after(Step::Questions), &from)),
    }
}
