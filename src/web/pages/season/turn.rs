//! The turn of a season: last year's sessions as plans for the next, what is left open, what wants another look.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use super::binding;
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::domain::season_turn::Review;
use crate::domain::words::Lang;
use crate::language;
use crate::services::turn::{self, Copied, Ending, Looked, Turn};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{due_words, refusal_words, rule_words};

/// Which season is copied.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    year: String,
}

#[derive(Template)]
#[template(path = "season/turn.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    turn: Turn,
    /// What was ticked; none before anybody ticked: then everything that can be planned is.
    ticked: Option<BTreeMap<String, String>>,
}

impl Show {
    fn is_ticked(&self, one: &Copied) -> bool {
        let name = format!("copy_{}", one.view.session.reference);
        self.ticked.as_ref().map_or(one.outcome.is_ok(), |ticked| ticked.contains_key(&name))
    }
    fn plannable(&self) -> usize {
        self.turn.plans.iter().filter(|one| one.outcome.is_ok()).count()
    }
    fn why_not(&self, refusal: &Refusal) -> String {
        refusal_words::words(Lang::En, refusal)
    }
    fn name(&self, one: &Looked) -> &'static str {
        rule_words::review_name(one.review)
    }
    fn way(&self, one: &Looked) -> String {
        rule_words::review_way(one.review)
    }
    /// Whose papers end, where they are mended, and how each stands on the first day of the season.
    fn ends(&self) -> Vec<(String, String, Vec<String>)> {
        let mut found: Vec<(String, String, Vec<String>)> = Vec::new();
        for one in &self.turn.ending {
            let (who, href, what) = ends(one);
            match found.iter_mut().find(|(_, way, _)| *way == href) {
                Some((_, _, all)) => all.push(what),
                None => found.push((who, href, vec![what])),
            }
        }
        found
    }
    fn looked(&self, one: &Looked) -> String {
        match one.on {
            Some(on) => language::date_short(Lang::En, on),
            None => "nobody has looked".to_owned(),
        }
    }
}

/// Who or what it is, where it is mended, and how it stands.
fn ends(one: &Ending) -> (String, String, String) {
    match one {
        Ending::Person(paper) => {
            (paper.name.clone(), format!("/people/{}", paper.reference), due_words::paper(paper.kind, paper.holds).3)
        }
        Ending::Site(paper) => (
            paper.site.clone(),
            format!("/sites/{}", paper.reference),
            due_words::site_paper(paper.kind, paper.holds).3,
        ),
        Ending::Grant(reference, name, on) => {
            let through = language::date_short(Lang::En, *on);
            (name.clone(), format!("/gear/grants/{reference}"), format!("It paid through {through}"))
        }
    }
}

fn day(on: &NaiveDate) -> String {
    language::date_long(Lang::En, *on)
}

async fn drawn(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    year: Option<i32>,
    (errors, ticked): (FieldErrors, Option<BTreeMap<String, String>>),
) -> Result<Show, Failure> {
    let turn = blocking(app, move |app| turn::look(app, &caller, year)).await?;
    let title = format!("From season {} to {}", turn.year, turn.year + 1);
    let page = staff_page(request, title).with_errors(errors.len());
    Ok(Show { page, errors, turn, ticked })
}

/// A year that a season can have.
fn year_of(text: &str) -> Option<i32> {
    text.parse().ok().filter(|year| (2000..=2100).contains(year))
}

/// The plans, what is left open, what wants another look.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    let year = match wanted.year.as_str() {
        "" => None,
        year => Some(year_of(year).ok_or(Trouble::NotFound)?),
    };
    shown(&drawn(&request, &app, caller, year, (FieldErrors::default(), None)).await?)
}

/// Plans what was ticked.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(typed): Typed<BTreeMap<String, String>>,
) -> Answer {
    let of = |name: &str| typed.get(name).cloned().unwrap_or_default();
    let year = year_of(&of("year")).ok_or(Trouble::Malformed)?;
    let chosen: Vec<String> = typed.keys().filter_map(|name| name.strip_prefix("copy_")).map(str::to_owned).collect();
    let mut errors = FieldErrors::default();
    if chosen.is_empty() {
        errors.add("plans", "Tick at least one session");
        return shown_again(&drawn(&request, &app, caller, Some(year), (errors, Some(typed))).await?);
    }
    let (asks, key) = (caller.clone(), of("key"));
    match blocking(&app, move |app| turn::announce(app, &asks, year, &chosen, &key)).await {
        Ok(()) => Ok(go(&format!("/season?year={}", year + 1))),
        Err(Failure::Refused(refusal)) => {
            errors.add("plans", refusal_words::words(Lang::En, &refusal));
            let status = refusal_words::status(&refusal);
            shown_as(status, &drawn(&request, &app, caller, Some(year), (errors, Some(typed))).await?)
        }
        Err(other) => Err(other.into()),
    }
}

/// Notes that a book was looked over.
pub async fn look_over(app: web::Data<App>, Asking(caller): Asking, book: web::Path<String>) -> Answer {
    let review = Review::from_word(&book).ok_or(Trouble::NotFound)?;
    blocking(&app, move |app| turn::look_over(app, &caller, review)).await?;
    Ok(go("/season/turn#books"))
}

/// The year of today, for a way back.
fn next_year(turn: &Turn) -> i32 {
    turn.year + 1
}
