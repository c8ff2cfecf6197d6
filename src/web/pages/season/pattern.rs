//! Patterns: the list, the form, and one pattern with the sessions planned from it.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;

use super::offer::{Offer, english_name};
use super::pattern_form::PatternForm;
use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::language;
use crate::services::patterns::{self, Pattern, PatternMeeting, PatternSheet, Wanted};
use crate::services::plan_session::{self, Choices};
use crate::services::season::SeasonRow;
use crate::services::{App, Failure, season};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::moved::Moved;
use crate::web::page::Page;
use crate::web::refusal_words;

#[derive(Template)]
#[template(path = "pattern/list.html")]
struct ListPage {
    page: Page,
    patterns: Vec<Pattern>,
}

#[derive(Template)]
#[template(path = "pattern/one.html")]
struct OnePage {
    page: Page,
    sheet: PatternSheet,
}

impl OnePage {
    fn reference(&self) -> &str {
        &self.sheet.pattern.row.reference
    }

    /// The series of the eight weeks after the last session planned from this pattern.
    fn next_weeks(&self) -> Option<String> {
        let last = self.sheet.sessions.last()?.view.session.held_on;
        let (from, through) = (last + chrono::Days::new(7), last + chrono::Days::new(56));
        let part = |name: &str, day: NaiveDate| {
            format!("{name}_month={}&{name}_day={}&{name}_year={}", day.month(), day.day(), day.year())
        };
        let days = format!("{}&{}", part("from", from), part("through", through));
        Some(format!("/patterns/{}/series?how=weeks&weeks=1&{days}", self.reference()))
    }
}

#[derive(Template)]
#[template(path = "pattern/new.html")]
struct FormPage {
    page: Page,
    errors: FieldErrors,
    moved: Moved,
    form: PatternForm,
    /// The pattern that is edited; none for a new one.
    edited: Option<String>,
    offer: Offer,
}

/// From which session a new pattern takes its answers.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct From {
    session: String,
}

/// Every pattern.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let patterns = blocking(&app, move |app| patterns::list(app, &caller)).await?;
    shown(&ListPage { page: staff_page(&request, "Patterns"), patterns })
}

/// One pattern.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| patterns::find(app, &caller, &reference)).await?;
    let page = staff_page(&request, sheet.pattern.row.name.clone());
    shown(&OnePage { page, sheet })
}

/// The form of a new pattern, filled from a session when one is named.
pub async fn new(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(from): Asked<From>,
) -> Answer {
    let (held, choices) = blocking(&app, move |app| {
        let choices = plan_session::choices(app, &caller)?;
        let held = (!from.session.is_empty()).then(|| season::find(app, &caller, &from.session)).transpose()?;
        Ok((held, choices))
    })
    .await?;
    let form = match held {
        Some(held) => PatternForm::like(&held, &choices),
        None => PatternForm { language: Lang::En.to_string(), ..PatternForm::default() },
    };
    shown(&form_page(&request, form, FieldErrors::default(), &choices, None))
}

/// The form of a pattern that is there.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let own = reference.clone();
    let (pattern, choices) = blocking(&app, move |app| patterns::with_choices(app, &caller, &own)).await?;
    let form = PatternForm::of(&pattern);
    shown(&form_page(&request, form, FieldErrors::default(), &choices, Some(reference.into_inner())))
}

/// Keeps a new pattern.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<PatternForm>,
) -> Answer {
    let asking = caller.clone();
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => match blocking(&app, move |app| patterns::add(app, &asking, wish)).await {
            Ok(reference) => return Ok(go(&format!("/patterns/{reference}"))),
            Err(Failure::Refused(refusal)) => told(&refusal),
            Err(other) => return Err(other.into()),
        },
    };
    let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
    shown_again(&form_page(&request, form, errors, &choices, None))
}

/// Keeps what was edited.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<PatternForm>,
) -> Answer {
    let (asking, own) = (caller.clone(), reference.clone());
    // A pattern that is not there answers so before its form is judged.
    let (_, choices) = blocking(&app, move |app| patterns::with_choices(app, &asking, &own)).await?;
    let (asking, own, seen) = (caller.clone(), reference.clone(), form.seen.clone());
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => match blocking(&app, move |app| patterns::update(app, &asking, &own, &seen, wish)).await {
            Ok(()) => return Ok(go(&format!("/patterns/{reference}"))),
            Err(Failure::Refused(Refusal::DraftMoved)) => {
                let own = reference.clone();
                let (pattern, choices) = blocking(&app, move |app| patterns::with_choices(app, &caller, &own)).await?;
                let (offer, kept) = (Offer::of(&choices), PatternForm::of(&pattern));
                let moved = Moved::between(&form.told(&offer), kept.told(&offer));
                let form = PatternForm { seen: kept.seen, ..form };
                let page = form_page(&request, form, FieldErrors::default(), &choices, Some(reference.into_inner()));
                return shown_as(StatusCode::CONFLICT, &FormPage { moved, ..page });
            }
            Err(Failure::Refused(refusal)) => told(&refusal),
            Err(other) => return Err(other.into()),
        },
    };
    shown_again(&form_page(&request, form, errors, &choices, Some(reference.into_inner())))
}

/// Forgets a pattern.
pub async fn remove(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    blocking(&app, move |app| patterns::remove(app, &caller, &reference)).await?;
    Ok(go("/patterns"))
}

fn told(refusal: &Refusal) -> FieldErrors {
    let mut errors = FieldErrors::default();
    errors.add("name", refusal_words::words(Lang::En, refusal));
    errors
}

fn form_page(
    request: &HttpRequest,
    form: PatternForm,
    errors: FieldErrors,
    choices: &Choices,
    edited: Option<String>,
) -> FormPage {
    let title = if edited.is_some() { "Edit a pattern" } else { "Make a pattern" };
    let page = staff_page(request, title).with_errors(errors.len());
    FormPage { page, errors, moved: Moved::default(), form, edited, offer: Offer::of(choices) }
}

/// "8:30 AM to 1:00 PM", and for a later meeting how many days after the first.
pub(super) fn meeting_words(meeting: &PatternMeeting) -> String {
    let until = meeting.starts + chrono::TimeDelta::minutes(meeting.minutes);
    let times = language::time_range(Lang::En, meeting.starts, until);
    match meeting.day {
        0 => times,
        1 => format!("{times}, the day after"),
        days => format!("{times}, {days} days after"),
    }
}

/// The times of a pattern's meetings in one line.
pub(super) fn all_meetings(meetings: &[PatternMeeting]) -> String {
    meetings.iter().map(meeting_words).collect::<Vec<_>>().join("; ")
}

/// "Rafael Tso leads, Dewey Blackwater helps".
fn team_words(team: &[Wanted]) -> String {
    let told: Vec<String> = team.iter().map(|one| format!("{} {}", one.name, super::duty(&one.duty))).collect();
    told.join(", ")
}

/// How many sessions of the pattern are to come, are over or were called off.
fn planned(sessions: &[SeasonRow]) -> String {
    match sessions.len() {
        1 => "1 session planned from it".to_owned(),
        many => format!("{many} sessions planned from it"),
    }
}
