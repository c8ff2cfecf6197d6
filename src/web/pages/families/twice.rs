//! Children who may be entered twice: which, the two side by side, one entry made of them, and parted again.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use super::state_words;
use crate::domain::access::Guardianship;
use crate::domain::refusal::Refusal;
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::same_child::{Born, Likeness, Names};
use crate::domain::words::{Lang, Word, word_list};
use crate::language;
use crate::services::family::Receipt;
use crate::services::merges::{self, Afterwards, Comparison, Pair, Twice};
use crate::services::ties::Child;
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

/// Why two entries may be one child, in words.
fn reasons(likeness: Likeness) -> String {
    let names = match likeness.names {
        Names::Same => "the same names",
        Names::Alike => "names that are alike",
    };
    let born = match likeness.born {
        Born::Same => "the same birth date",
        Born::Swapped => "a birth date with day and month swapped",
        Born::Near => "a birth date that is near",
    };
    match likeness.is_one_family {
        true => format!("{names}, {born}, and an adult, telephone or address in common"),
        false => format!("{names} and {born}"),
    }
}

fn day(day: NaiveDate) -> String {
    language::date_short(Lang::En, day)
}

#[derive(Template)]
#[template(path = "families/twice.html")]
struct Index {
    page: Page,
    twice: Twice,
}

impl Index {
    fn day(&self, date: &NaiveDate) -> String {
        day(*date)
    }
    fn why(&self, pair: &Pair) -> String {
        reasons(pair.likeness)
    }
}

/// Who may be entered twice.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let twice = blocking(&app, move |app| merges::list(app, &caller)).await?;
    shown(&Index { page: staff_page(&request, "Entered twice?"), twice })
}

word_list! {
    /// What the office says about two entries.
    Verdict {
        /// One child, and the first entry stays.
        First = "first",
        /// One child, and the second entry stays.
        Second = "second",
        /// Two children.
        Two = "two",
    }
}

/// What the form sends.
#[derive(Debug, Default, Clone, Deserialize)]
#[serde(default)]
pub struct Said {
    verdict: String,
    spoken: String,
}

#[derive(Template)]
#[template(path = "families/compare.html")]
struct Compare {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing; empty otherwise.
    refused: String,
    of: Comparison,
    choices: Vec<Choice>,
    typed: Said,
}

impl Compare {
    fn day(&self, date: &NaiveDate) -> String {
        day(*date)
    }
    fn entries(&self) -> [&Child; 2] {
        [&self.of.one, &self.of.other]
    }
    fn why(&self) -> String {
        self.of.likeness.map(reasons).unwrap_or_default()
    }
    fn state(&self, state: &Guardianship) -> &'static str {
        state_words(*state)
    }
    fn place(&self, receipt: &Receipt) -> &'static str {
        place_words(receipt.state, receipt.outcome)
    }
    fn somebody_gains(&self) -> bool {
        self.of.afterwards.iter().any(|adult: &Afterwards| adult.gains)
    }
    fn nobody_decides(&self) -> bool {
        self.of.afterwards.iter().all(|adult| adult.state != Guardianship::Active)
    }
}

fn place_words(state: RegistrationState, outcome: Option<Outcome>) -> &'static str {
    match (outcome, state) {
        (Some(outcome), _) if outcome.participated() => "took part",
        (Some(_), _) => "did not take part",
        (None, RegistrationState::Held | RegistrationState::Confirmed | RegistrationState::Offered) => "has a seat",
        (None, RegistrationState::Waitlisted) => "in line",
        (None, RegistrationState::Lapsed | RegistrationState::Cancelled) => "given up",
    }
}

fn comparing(request: &HttpRequest, of: Comparison, typed: Said, errors: FieldErrors, refused: String) -> Compare {
    let stays = |verdict: Verdict, child: &Child, which: &str| {
        let words = format!("One child. The {which} entry stays");
        Choice::new(verdict.as_str(), words).with_hint(format!("{}, born {}", child.name, day(child.birth_date)))
    };
    let choices = vec![
        stays(Verdict::First, &of.one, "first"),
        stays(Verdict::Second, &of.other, "second"),
        Choice::new(Verdict::Two.as_str(), "Two children").with_hint("Waymark does not ask about them again."),
    ];
    let page = staff_page(request, "One child or two?").with_errors(errors.len());
    Compare { page, errors, refused, of, choices, typed }
}

/// Two entries side by side. Once they are one, the child itself.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, String)>,
) -> Answer {
    let (one, other) = of.into_inner();
    let way = format!("/families/{one}");
    match blocking(&app, move |app| merges::compare(app, &caller, &one, &other)).await {
        Ok(of) => shown(&comparing(&request, of, Said::default(), FieldErrors::default(), String::new())),
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&way)),
        Err(failure) => Err(failure.into()),
    }
}

/// Makes one entry of two, or says that they are two children.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, String)>,
    Typed(typed): Typed<Said>,
) -> Answer {
    let (one, other) = of.into_inner();
    let (asks, first, second) = (caller.clone(), one.clone(), other.clone());
    let compared = match blocking(&app, move |app| merges::compare(app, &asks, &first, &second)).await {
        Ok(compared) => compared,
        Err(Failure::Refused(Refusal::WorldMoved)) => return Ok(go(&format!("/families/{one}"))),
        Err(failure) => return Err(failure.into()),
    };
    let mut read = Reading::default();
    let verdict = read.choice("verdict", "what they are", &typed.verdict, Verdict::Two);
    let gains = compared.afterwards.iter().any(|adult| adult.gains);
    if gains && verdict != Verdict::Two && typed.spoken != "yes" {
        read.fault("spoken", "Speak with the adults first, and tick that you did");
    }
    let verdict = match read.done(verdict) {
        Ok(verdict) => verdict,
        Err(errors) => return shown_again(&comparing(&request, compared, typed, errors, String::new())),
    };
    let (asks, first, second) = (caller.clone(), one.clone(), other.clone());
    let done = blocking(&app, move |app| match verdict {
        Verdict::First => merges::merge(app, &asks, &first, &second).map(|child| format!("/families/{child}")),
        Verdict::Second => merges::merge(app, &asks, &second, &first).map(|child| format!("/families/{child}")),
        Verdict::Two => merges::set_two(app, &asks, &first, &second).map(|()| "/families/twice".to_owned()),
    });
    match done.await {
        Ok(way) => Ok(go(&way)),
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&format!("/families/{one}"))),
        Err(Failure::Refused(refusal)) => {
            let words = refusal_words::words(Lang::En, &refusal);
            shown_as(StatusCode::CONFLICT, &comparing(&request, compared, typed, FieldErrors::default(), words))
        }
        Err(failure) => Err(failure.into()),
    }
}

/// Which entry is to be parted.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Parted {
    entry: String,
}

/// Parts the entry that went into a child last.
pub async fn part(
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
    Typed(typed): Typed<Parted>,
) -> Answer {
    let rider = rider.into_inner();
    let asked = rider.clone();
    match blocking(&app, move |app| merges::part(app, &caller, &asked, &typed.entry)).await {
        // Pressed twice, or another entry went in since: the child's page says how it stands.
        Ok(()) | Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&format!("/families/{rider}"))),
        Err(failure) => Err(failure.into()),
    }
}
