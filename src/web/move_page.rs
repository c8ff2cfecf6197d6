//! The page on which a place moves to another session, for a family in its language and for the office in English.

use askama::Template;
use serde::Deserialize;

use crate::services::browse::Announced;
use crate::services::family::Receipt;
use crate::web::answer::{Answer, shown, shown_as};

use super::form::FieldErrors;
use super::page::{Choice, Page};
use super::{entry, refusal_words};
use crate::domain::refusal::Refusal;

/// The session that was chosen.
#[derive(Debug, Clone, Default, Deserialize)]
pub struct Chosen {
    /// Its reference.
    #[serde(default)]
    pub session: String,
}

#[derive(Template)]
#[template(path = "place/move.html")]
struct Moving {
    page: Page,
    errors: FieldErrors,
    /// The page of the place, to which the form's own address belongs.
    back: String,
    receipt: Receipt,
    when: Vec<String>,
    options: Vec<Choice>,
    chosen: String,
}

/// Why a choice is not taken.
#[derive(Debug)]
pub enum Wrong {
    /// Nothing is chosen.
    Nothing,
    /// A rule says no.
    Refused(Refusal),
}

/// One session to choose: its day, with where it is and how many seats it has.
fn option(page: &Page, one: &Announced) -> Choice {
    let place = format!("{}, {}, {}", one.site, one.city, page.t1("session-county", "county", &one.county));
    let seats = page.n("session-seats-free", one.seats_left);
    Choice::new(&one.reference, entry::when(page, one).join("; "))
        .with_hint(format!("{place}. {}. {seats}.", entry::taught(page, one.language)))
}

/// The page. `page` is made anew with its title.
pub fn draw(
    page: Page,
    back: String,
    (receipt, others): (Receipt, Vec<Announced>),
    chosen: Chosen,
    wrong: Option<&Wrong>,
) -> Answer {
    let title = page.t1("move-title", "name", &receipt.given);
    let mut errors = FieldErrors::default();
    match wrong {
        Some(Wrong::Nothing) => errors.add("session", page.t("move-nothing")),
        Some(Wrong::Refused(refusal)) => errors.add("session", refusal_words::words(page.lang, refusal)),
        None => {}
    }
    let page = page.with_title(title).with_errors(errors.len());
    let moving = Moving {
        when: entry::when(&page, &receipt.session),
        options: others.iter().map(|one| option(&page, one)).collect(),
        chosen: chosen.session,
        errors,
        back,
        receipt,
        page,
    };
    match wrong {
        None => shown(&moving),
        Some(Wrong::Nothing) => shown_as(actix_web::http::StatusCode::UNPROCESSABLE_ENTITY, &moving),
        Some(Wrong::Refused(refusal)) => shown_as(refusal_words::status(refusal), &moving),
    }
}
