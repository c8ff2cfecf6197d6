//! The form that announces a session.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::access::Duty;
use crate::domain::refusal::Refusal;
use crate::domain::session::Limit;
use crate::domain::words::Lang;
use crate::services::change_session::{self, Pressed, Sheet};
use crate::services::patterns::{self, Pattern};
use crate::services::people::Member;
use crate::services::plan_session::{self, Choices, Wish};
use crate::services::season::{self, SessionSheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

use super::offer::{Offer, field_of, read_team};
use super::sittings::{self, Row};

#[derive(Template)]
#[template(path = "season/new.html")]
struct NewSessionPage {
    page: Page,
    errors: FieldErrors,
    form: SessionForm,
    /// The session that is edited; none for a new one.
    edited: Option<String>,
    offer: Offer,
}

/// What the form sends. The rows of meetings and the duties of the team come as fields of their own.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct SessionForm {
    course: String,
    site: String,
    language: String,
    lead: String,
    most: String,
    key: String,
    seen: String,
    #[serde(flatten)]
    rest: BTreeMap<String, String>,
}

/// What a new session begins with.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Start {
    pattern: String,
    day: String,
}

/// The empty form, or one filled from a pattern.
pub async fn new(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(start): Asked<Start>,
) -> Answer {
    let named = start.pattern.clone();
    let (pattern, choices) = blocking(&app, move |app| match named.is_empty() {
        true => Ok((None, plan_session::choices(app, &caller)?)),
        false => patterns::with_choices(app, &caller, &named).map(|(pattern, choices)| (Some(pattern), choices)),
    })
    .await?;
    let form = match &pattern {
        Some(pattern) => SessionForm::like(pattern, start.day.parse().ok()),
        None => SessionForm { language: Lang::En.to_string(), ..SessionForm::default() },
    };
    let form = SessionForm { key: app.random.reference(), ..form };
    shown(&form_page(&request, form, FieldErrors::default(), &choices))
}

/// The form of a session that is there, filled with what holds.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let own = reference.clone();
    let (sheet, held, choices) = blocking(&app, move |app| {
        let sheet = change_session::show(app, &caller, &own)?;
        Ok((sheet, season::find(app, &caller, &own)?, plan_session::choices(app, &caller)?))
    })
    .await?;
    let mut errors = FieldErrors::default();
    if let Some(refusal) = &sheet.refused {
        errors.add("course", refusal_words::words(Lang::En, refusal));
    }
    let form = SessionForm::of(&sheet, &held, &choices.members);
    shown(&edit_page(&request, form, errors, &choices, reference.into_inner()))
}

/// Keeps what was edited.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<SessionForm>,
) -> Answer {
    let (asking, own) = (caller.clone(), reference.clone());
    let pressed = Pressed { key: form.key.clone(), seen: form.seen.parse().unwrap_or(-1) };
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => match blocking(&app, move |app| change_session::edit(app, &asking, &own, wish, &pressed)).await {
            Ok(()) => return Ok(go(&format!("/season/{reference}"))),
            Err(Failure::Refused(refusal)) => {
                let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
                let errors = told(&refusal, &form, &choices.members);
                let page = edit_page(&request, form, errors, &choices, reference.into_inner());
                return shown_as(refusal_words::status(&refusal), &page);
            }
            Err(other) => return Err(other.into()),
        },
    };
    let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
    shown_again(&edit_page(&request, form, errors, &choices, reference.into_inner()))
}

fn edit_page(
    request: &HttpRequest,
    form: SessionForm,
    errors: FieldErrors,
    choices: &Choices,
    reference: String,
) -> NewSessionPage {
    let page = form_page(request, form, errors, choices);
    NewSessionPage { page: page.page.clone().with_title("Edit a session"), edited: Some(reference), ..page }
}

/// Announces what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<SessionForm>,
) -> Answer {
    let (asking, key) = (caller.clone(), form.key.clone());
    let announced = match form.read() {
        Err(faults) => Err(faults),
        Ok(wish) => match blocking(&app, move |app| plan_session::announce_once(app, &asking, wish, &key)).await {
            Ok(reference) => return Ok(go(&format!("/season/{reference}"))),
            Err(Failure::Refused(refusal)) => Ok(refusal),
            Err(other) => return Err(other.into()),
        },
    };
    let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
    let errors = announced.map_or_else(|faults| faults, |refusal| told(&refusal, &form, &choices.members));
    let form = SessionForm { key: app.random.reference(), ..form };
    shown_again(&form_page(&request, form, errors, &choices))
}

/// A rule's no as a sentence at the field that can change it.
fn told(refusal: &Refusal, form: &SessionForm, members: &[Member]) -> FieldErrors {
    let field = match refusal {
        Refusal::NoSuchTime { on } => form.last_row_on(*on).field("starts"),
        Refusal::DayIsOver { on } | Refusal::MeetingsNotInOrder { on } => form.last_row_on(*on).field("held"),
        Refusal::SiteTaken { .. } => "site".to_owned(),
        Refusal::StaffNotValid { name, .. } | Refusal::PersonPlannedTwice { name, .. } => members
            .iter()
            .find(|member| member.name == *name && member.reference != form.lead)
            .map_or_else(|| "lead".to_owned(), |member| field_of(&member.reference)),
        Refusal::SiteNotReady { .. } | Refusal::NoSeats { limit: Limit::Site } => "site".to_owned(),
        Refusal::NoSeats { limit: Limit::Machines | Limit::Helmets } => "course".to_owned(),
        Refusal::NoSeats { limit: Limit::Choice } | Refusal::SeatsTaken { .. } => "most".to_owned(),
        Refusal::SessionNotOpen | Refusal::SessionHasBegun | Refusal::SessionChanged | Refusal::RidersAreRegistered => {
            "course".to_owned()
        }
        _ => "lead".to_owned(),
    };
    let mut errors = FieldErrors::default();
    errors.add(&field, refusal_words::words(Lang::En, refusal));
    errors
}

fn form_page(request: &HttpRequest, form: SessionForm, errors: FieldErrors, choices: &Choices) -> NewSessionPage {
    let page = staff_page(request, "Plan a session").with_errors(errors.len());
    NewSessionPage { page, errors, form, edited: None, offer: Offer::of(choices) }
}

impl SessionForm {
    /// What a pattern holds, on a day when one is given.
    fn like(pattern: &Pattern, on: Option<NaiveDate>) -> Self {
        let row = &pattern.row;
        let mut form = Self {
            course: row.course.clone(),
            site: row.site.clone(),
            language: row.language.to_string(),
            lead: pattern.lead().to_owned(),
            most: row.choice.map_or_else(String::new, |most| most.to_string()),
            ..Self::default()
        };
        for (ordinal, meeting) in (1..).zip(&pattern.meetings) {
            let on = on.and_then(|on| on.checked_add_days(chrono::Days::new(meeting.day)));
            form.put(&Row::new(ordinal, on, meeting.starts, meeting.minutes));
        }
        let others = pattern.team.iter().filter(|one| one.duty != Duty::Lead);
        form.rest.extend(others.map(|one| (field_of(&one.reference), one.duty.to_string())));
        form
    }

    /// Puts a row into the form's fields.
    fn put(&mut self, row: &Row) {
        for (stem, value) in [
            ("held_month", &row.month),
            ("held_day", &row.day),
            ("held_year", &row.year),
            ("starts", &row.starts),
            ("minutes", &row.minutes),
        ] {
            self.rest.insert(row.field(stem), value.clone());
        }
    }

    /// What holds for a session, as the form shows it.
    fn of(sheet: &Sheet, held: &SessionSheet, members: &[Member]) -> Self {
        let mut form = Self::default();
        sittings::rows_of(&held.meetings).iter().for_each(|row| form.put(row));
        let mut rest = form.rest;
        let of = |id| members.iter().find(|member| member.id == id).map(|member| member.reference.clone());
        for person in held.team.iter().filter(|person| person.duty != Duty::Lead) {
            rest.extend(of(person.staff_id).map(|reference| (field_of(&reference), person.duty.to_string())));
        }
        let lead = held.team.iter().find(|person| person.duty == Duty::Lead);
        let most = held.limits.and_then(|limits| limits.choice);
        Self {
            course: held.view.course.code.clone(),
            site: held.view.site.reference.clone(),
            language: held.view.session.language.to_string(),
            lead: lead.and_then(|person| of(person.staff_id)).unwrap_or_default(),
            most: most.map_or_else(String::new, |most| most.to_string()),
            key: sheet.pressed.key.clone(),
            seen: sheet.pressed.seen.to_string(),
            rest,
        }
    }

    /// The rows of meetings.
    fn rows(&self) -> Vec<Row> {
        (1..=sittings::MOST).map(|ordinal| Row::of(ordinal, &self.rest)).collect()
    }

    /// The first row.
    fn first(&self) -> Row {
        Row::of(1, &self.rest)
    }

    /// The rows after the first.
    fn more(&self) -> Vec<Row> {
        self.rows().split_off(1)
    }

    /// Whether anything is typed in the rows after the first.
    fn has_more(&self) -> bool {
        self.more().iter().any(|row| !row.is_empty())
    }

    /// The last row that gives this day; of two on one day it is the later that does not fit.
    fn last_row_on(&self, on: NaiveDate) -> Row {
        self.rows().into_iter().rfind(|row| row.on() == Some(on)).unwrap_or_else(|| self.first())
    }

    /// The duty typed for a person's field.
    fn duty(&self, field: &str) -> &str {
        self.rest.get(field).map_or("", String::as_str)
    }

    fn read(&self) -> Result<Wish, FieldErrors> {
        let mut reading = Reading::default();
        let course = reading.chosen("course", "the course", &self.course);
        let site = reading.chosen("site", "the site", &self.site);
        let wish = Wish {
            course,
            site,
            meetings: sittings::read(&mut reading, &self.rows()),
            language: reading.choice("language", "the language", &self.language, Lang::En),
            lead: reading.chosen("lead", "the lead", &self.lead),
            others: read_team(&mut reading, &self.rest),
            choice: reading.whole_if_any("most", "the most seats wanted", &self.most, 1..=500),
        };
        reading.done(wish)
    }
}
