//! The page on which a place moves to another session, for a family in its language and for the office in English.

use actix_web::web;
use askama::Template;
use serde::Deserialize;

use super::answer::{Answer, go, shown, shown_as};
use super::form::FieldErrors;
use super::page::{Choice, Page};
use super::{blocking, entry, refusal_words};
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::services::browse::Announced;
use crate::services::family::Receipt;
use crate::services::places::{self, Side};
use crate::services::{App, Failure};

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
enum Wrong {
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

/// One request to move a place, by its family or by the office.
pub struct Mover {
    /// The page to be drawn; it gets its own title.
    pub page: Page,
    /// What the services need.
    pub app: web::Data<App>,
    /// Who asks.
    pub caller: Caller,
    /// On whose side.
    pub side: Side,
    /// The registration's reference.
    pub reference: String,
    /// The page of the place, below which the form stands.
    pub back: String,
}

impl Mover {
    /// The sessions to choose from. A place that cannot be moved leads to its own page, which says so.
    ///
    /// # Errors
    /// What the service fails with otherwise.
    pub async fn show(self) -> Answer {
        let Self { page, app, caller, side, reference, back } = self;
        match blocking(&app, move |app| places::choices(app, &caller, side, &reference)).await {
            Ok(found) => draw(page, back, found, Chosen::default(), None),
            Err(Failure::Refused(_)) => Ok(go(&back)),
            Err(failure) => Err(failure.into()),
        }
    }

    /// Moves the place and leads onward, or shows the page again with what is wrong.
    ///
    /// # Errors
    /// As [`Mover::show`].
    pub async fn update(self, chosen: Chosen, onward: &str) -> Answer {
        let Self { page, app, caller, side, reference, back } = self;
        let wrong = if chosen.session.is_empty() {
            Wrong::Nothing
        } else {
            let (asks, asked, to) = (caller.clone(), reference.clone(), chosen.session.clone());
            match blocking(&app, move |app| places::move_to(app, &asks, side, &asked, &to)).await {
                Ok(()) => return Ok(go(onward)),
                Err(Failure::Refused(refusal)) => Wrong::Refused(refusal),
                Err(failure) => return Err(failure.into()),
            }
        };
        let found = blocking(&app, move |app| places::choices(app, &caller, side, &reference)).await?;
        draw(page, back, found, chosen, Some(&wrong))
    }
}

/// The page, with its title made of the child's name.
fn draw(
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
