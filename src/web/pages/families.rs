//! Families for the office: finding a child, who answers for it, and what the office decides when custody changes.

pub mod deletions;
pub mod edit;
pub mod import;
pub mod twice;

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Guardianship;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::browse::Announced;
use crate::services::families::{self, Found, MOST};
use crate::services::register::walk_up;
use crate::services::ties::{self, Adult, Child, Decision, Gone};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "families/index.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    wanted: String,
    /// What was found; nothing before anybody searched.
    found: Option<Vec<Found>>,
}

impl Index {
    fn day(&self, day: &chrono::NaiveDate) -> String {
        language::date_short(Lang::En, *day)
    }
    fn most(&self) -> usize {
        MOST
    }
}

/// What was typed.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    who: String,
}

/// The form that finds a child.
pub async fn index(request: HttpRequest) -> Answer {
    let page = staff_page(&request, "Families");
    shown(&Index { page, errors: FieldErrors::default(), wanted: String::new(), found: None })
}

/// Finds children. A name never stands in the address of a page.
pub async fn search(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(wanted): Typed<Wanted>,
) -> Answer {
    let mut read = Reading::default();
    let who = read.line("who", "a name or a telephone", &wanted.who, 120);
    match read.done(who) {
        Ok(who) => {
            let found = blocking(&app, move |app| families::search(app, &caller, &who)).await?;
            let page = staff_page(&request, "Families");
            shown(&Index { page, errors: FieldErrors::default(), wanted: wanted.who, found: Some(found) })
        }
        Err(errors) => {
            let page = staff_page(&request, "Families").with_errors(errors.len());
            shown_again(&Index { page, errors, wanted: wanted.who, found: None })
        }
    }
}

/// How an adult stands, as the office reads it.
fn state_words(state: Guardianship) -> &'static str {
    match state {
        Guardianship::Active => "Answers for the child",
        Guardianship::Restricted => "Restricted",
        Guardianship::Revoked => "Ended",
    }
}

#[derive(Template)]
#[template(path = "families/show.html")]
struct Show {
    page: Page,
    child: Child,
    /// Sessions in which the office can register it.
    open: Vec<Announced>,
}

impl Show {
    fn born(&self) -> String {
        language::date_long(Lang::En, self.child.birth_date)
    }
    fn state(&self, adult: &Adult) -> &'static str {
        state_words(adult.state)
    }
    fn since(&self, adult: &Adult) -> String {
        language::date_short(Lang::En, adult.since.date())
    }
    fn held(&self, session: &Announced) -> String {
        language::date_short(Lang::En, session.held_on)
    }
    fn is_alone(&self) -> bool {
        self.child.adults.iter().all(|adult| adult.state != Guardianship::Active)
    }
    fn day(&self, receipt: &crate::services::family::Receipt) -> String {
        language::date_short(Lang::En, receipt.session.held_on)
    }
    fn born_of(&self, entry: &Gone) -> String {
        language::date_long(Lang::En, entry.birth_date)
    }
    fn went(&self, entry: &Gone) -> String {
        language::date_short(Lang::En, entry.at.date())
    }
}

/// One child.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    let read = move |app: &App| Ok((ties::find(app, &caller, &rider)?, walk_up::open_to(app, &caller, &rider)?));
    let (child, open) = blocking(&app, read).await?;
    shown(&Show { page: staff_page(&request, child.name.clone()), child, open })
}

#[derive(Template)]
#[template(path = "families/adult.html")]
struct Decides {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing; empty otherwise.
    refused: String,
    child: Child,
    number: usize,
    states: Vec<Choice>,
    typed: Decided,
}

/// What the form sends.
#[derive(Debug, Default, Clone, Deserialize)]
#[serde(default)]
pub struct Decided {
    seen: String,
    state: String,
    note: String,
}

fn deciding(
    request: &HttpRequest,
    child: Child,
    number: usize,
    typed: Option<Decided>,
    errors: FieldErrors,
    refused: String,
) -> Result<Decides, Failure> {
    let adult = number.checked_sub(1).and_then(|at| child.adults.get(at)).cloned().ok_or(Failure::NotFound)?;
    let stands = adult.state.as_str();
    let typed =
        typed.unwrap_or(Decided { seen: stands.to_owned(), state: stands.to_owned(), note: adult.note.clone() });
    let hint = |state: Guardianship| match state {
        Guardianship::Active => "Sees everything about the child, registers and signs.",
        Guardianship::Restricted => {
            "Sees nothing, decides nothing, and the child is not released to this adult. For a court order, or while one is looked at."
        }
        Guardianship::Revoked => {
            "No longer responsible. May take the child home only when the family names this adult."
        }
    };
    let choice = |state: &Guardianship| Choice::new(state.as_str(), state_words(*state)).with_hint(hint(*state));
    Ok(Decides {
        page: staff_page(request, format!("{} for {}", adult.name, child.name)).with_errors(errors.len()),
        states: Guardianship::ALL.iter().map(choice).collect(),
        typed,
        errors,
        refused,
        child,
        number,
    })
}

/// The form that decides how an adult stands to a child.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, usize)>,
) -> Answer {
    let (rider, number) = of.into_inner();
    let child = blocking(&app, move |app| ties::find(app, &caller, &rider)).await?;
    shown(&deciding(&request, child, number, None, FieldErrors::default(), String::new())?)
}

/// Decides.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, usize)>,
    Typed(typed): Typed<Decided>,
) -> Answer {
    let (rider, number) = of.into_inner();
    let (asks, asked) = (caller.clone(), rider.clone());
    let child = blocking(&app, move |app| ties::find(app, &asks, &asked)).await?;
    let seen = Guardianship::from_word(&typed.seen).ok_or(Trouble::Malformed)?;
    let mut read = Reading::default();
    let state = read.choice("state", "how the adult stands", &typed.state, Guardianship::Restricted);
    let note = match state {
        // Whatever takes a right away has its reason written down.
        Guardianship::Active => read.lines("note", "why", &typed.note, 500),
        Guardianship::Restricted | Guardianship::Revoked => read.line("note", "why", &typed.note, 500),
    };
    let decision = match read.done((state, note)) {
        Ok((state, note)) => Decision { number, seen, state, note },
        Err(errors) => return shown_again(&deciding(&request, child, number, Some(typed), errors, String::new())?),
    };
    let way = format!("/families/{rider}");
    let asks = caller.clone();
    let asked = rider.clone();
    match blocking(&app, move |app| ties::decide(app, &asks, &asked, &decision)).await {
        Ok(()) => Ok(go(&way)),
        Err(Failure::Refused(refusal)) => {
            let child = blocking(&app, move |app| ties::find(app, &caller, &rider)).await?;
            let words = match refusal {
                Refusal::WorldMoved => "Somebody else decided about this adult meanwhile. Look at it again.".to_owned(),
                other => refusal_words::words(Lang::En, &other),
            };
            let page = deciding(&request, child, number, None, FieldErrors::default(), words)?;
            shown_as(StatusCode::CONFLICT, &page)
        }
        Err(failure) => Err(failure.into()),
    }
}
