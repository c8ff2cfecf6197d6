//! What a letter asks, answered without signing in. Looking at a question answers nothing: programs that look at letters
//! open links too. Shows the child's first name and no more of the family.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::place::Ask;
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::language;
use crate::services::family::Receipt;
use crate::services::places::{self, Answer as Said, Asked};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_as};
use crate::web::form::Typed;
use crate::web::page::Page;
use crate::web::{blocking, context, entry, links, refusal_words};

#[derive(Template)]
#[template(path = "place/question.html")]
struct Question {
    page: Page,
    /// The form leads here.
    action: String,
    yes: String,
    no: String,
    lead: String,
    course: String,
    receipt: Receipt,
    when: Vec<String>,
    notes: Vec<String>,
}

fn question(request: &HttpRequest, token: &str, asked: Asked) -> Question {
    let Asked { kind, receipt, joins } = asked;
    let page = context::page(request, &format!("question-{kind}-title"));
    let until = receipt.held_until.map(|until| language::moment(page.lang, receipt.wall(until)));
    let lead = match (kind, &until) {
        (_, Some(until)) => page.t2(&format!("question-{kind}-lead"), "name", &receipt.given, "until", until),
        (_, None) => page.t1(&format!("question-{kind}-lead-open"), "name", &receipt.given),
    };
    let mut notes = vec![page.t(&format!("question-{kind}-note"))];
    if joins {
        notes.push(page.t("question-address-joins"));
    }
    Question {
        action: format!("/answers/{}", links::encoded(token)),
        yes: page.t(&format!("question-{kind}-yes")),
        no: page.t(&format!("question-{kind}-no")),
        lead,
        course: receipt.session.title(page.lang).to_owned(),
        when: entry::when(&page, &receipt.session),
        receipt,
        notes,
        page,
    }
}

/// What a letter asks, with the buttons that answer.
pub async fn show(request: HttpRequest, app: web::Data<App>, token: web::Path<String>) -> Answer {
    let asked = token.clone();
    match blocking(&app, move |app| places::look(app, &asked)).await {
        Ok(asked) => shown(&question(&request, &token, asked)),
        Err(failure) => too_late(&request, failure),
    }
}

/// The button that was pressed.
#[derive(Debug, Default, Deserialize)]
pub struct Pressed {
    #[serde(default)]
    answer: String,
}

/// Answers.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    token: web::Path<String>,
    Typed(pressed): Typed<Pressed>,
) -> Answer {
    // No button was pressed: the page with its buttons once more.
    let Some(said) = Said::from_word(&pressed.answer) else { return show(request, app, token).await };
    let id = context::request_id(&request);
    match blocking(&app, move |app| places::answer(app, &token, said, &id)).await {
        Ok(kind) => {
            let said = if said == Said::Yes { "yes" } else { "no" };
            Ok(go(&format!("/answers/done/{kind}-{said}")))
        }
        Err(failure) => too_late(&request, failure),
    }
}

#[derive(Template)]
#[template(path = "place/answered.html")]
struct Answered {
    page: Page,
    lead: String,
    way: String,
    way_href: &'static str,
}

/// Nobody waits for the answer any more.
fn too_late(request: &HttpRequest, failure: Failure) -> Answer {
    let Failure::Refused(refusal @ (Refusal::AnswerTooLate | Refusal::LinkOver)) = failure else {
        return Err(failure.into());
    };
    let page = context::page(request, "question-over-title");
    let lead = refusal_words::words(page.lang, &refusal);
    let shown = Answered { lead, way: page.t("nav-registrations"), way_href: "/registrations", page };
    shown_as(refusal_words::status(&refusal), &shown)
}

/// What the answer came to.
pub async fn done(request: HttpRequest, what: web::Path<String>) -> Answer {
    let known = Ask::ALL.iter().flat_map(|kind| [format!("{kind}-yes"), format!("{kind}-no")]);
    let what = known.into_iter().find(|known| *known == *what).ok_or(Trouble::from(Failure::NotFound))?;
    let page = context::page(&request, &format!("answered-{what}-title"));
    let (way, way_href) = match what.ends_with("yes") {
        true => (page.t("nav-registrations"), "/registrations"),
        false => (page.t("session-other-way"), "/sessions"),
    };
    shown(&Answered { lead: page.t(&format!("answered-{what}-lead")), way, way_href, page })
}
