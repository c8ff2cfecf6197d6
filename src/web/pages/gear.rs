//! Grants and the helmets that they paid: the lists, and the forms that add a grant and receive a lot.

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::measures::Length;
use crate::domain::words::Lang;
use crate::language;
use crate::services::gear::{self, Gear, NewGrant, NewHelmets};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "gear.html")]
struct GearPage {
    page: Page,
    errors: FieldErrors,
    grant: GrantForm,
    lot: LotForm,
    gear: Gear,
    grants: Vec<Choice>,
}

/// What the form of a grant sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct GrantForm {
    grant_code: String,
    grant_name: String,
    starts_month: String,
    starts_day: String,
    starts_year: String,
    ends_month: String,
    ends_day: String,
    ends_year: String,
    helmets_target: String,
}

/// What the form of a lot sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct LotForm {
    lot_code: String,
    lot_grant: String,
    model: String,
    size_label: String,
    least_head: String,
    most_head: String,
    standard: String,
    made_month: String,
    made_year: String,
    unit_cost: String,
    received: String,
}

/// A day in words.
fn day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

/// A length in inches.
fn inches(um: &i64) -> String {
    Length::from_um(*um).inches_text()
}

/// Cents as dollars.
fn dollars(cents: &i64) -> String {
    format!("${}.{:02}", cents / 100, cents % 100)
}

/// "March 2026".
fn month_of(day: &NaiveDate) -> String {
    format!("{} {}", language::month_name(Lang::En, chrono::Datelike::month(day)), chrono::Datelike::year(day))
}

/// The code of the grant that paid for a lot.
fn payer(gear: &Gear, lot: &gear::LotRow) -> String {
    gear.grants.iter().find(|grant| grant.id == lot.grant_id).map(|grant| grant.code.clone()).unwrap_or_default()
}

/// Helmets on hand in all lots.
fn on_hand(gear: &Gear) -> i64 {
    gear.lots.iter().map(|lot| lot.on_hand).sum()
}

/// Helmets that came in all lots.
fn came(gear: &Gear) -> i64 {
    gear.lots.iter().map(|lot| lot.received).sum()
}

/// The lists with both forms empty.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let drawn = page_of(&request, &app, caller, GrantForm::default(), LotForm::default(), FieldErrors::default());
    shown(&drawn.await?)
}

/// Adds a grant.
pub async fn add_grant(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<GrantForm>,
) -> Answer {
    let asking = caller.clone();
    let mut errors = FieldErrors::default();
    match form.read() {
        Err(faults) => errors = faults,
        Ok(new) => match blocking(&app, move |app| gear::add_grant(app, &asking, new)).await {
            Ok(()) => return Ok(go("/gear")),
            Err(Failure::Refused(refusal)) => errors.add("grant_code", refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        },
    }
    shown_again(&page_of(&request, &app, caller, form, LotForm::default(), errors).await?)
}

/// Receives a lot of helmets.
pub async fn add_lot(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<LotForm>,
) -> Answer {
    let asking = caller.clone();
    let mut errors = FieldErrors::default();
    match form.read() {
        Err(faults) => errors = faults,
        Ok(new) => match blocking(&app, move |app| gear::add_lot(app, &asking, new)).await {
            Ok(()) => return Ok(go("/gear")),
            Err(Failure::Refused(refusal)) => errors.add("lot_code", refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        },
    }
    shown_again(&page_of(&request, &app, caller, GrantForm::default(), form, errors).await?)
}

async fn page_of(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    grant: GrantForm,
    lot: LotForm,
    errors: FieldErrors,
) -> Result<GearPage, Trouble> {
    let gear = blocking(app, move |app| gear::list(app, &caller)).await?;
    let page = staff_page(request, "Gear").with_errors(errors.len());
    let choice = |grant: &gear::GrantRow| Choice::new(&grant.code, format!("{}, {}", grant.name, grant.code));
    let grants = gear.grants.iter().map(choice).collect();
    Ok(GearPage { page, errors, grant, lot, gear, grants })
}

impl GrantForm {
    fn read(&self) -> Result<NewGrant, FieldErrors> {
        let mut reading = Reading::default();
        let grant = NewGrant {
            code: reading.line("grant_code", "the grant code", &self.grant_code, 40),
            name: reading.line("grant_name", "the grant's name", &self.grant_name, 160),
            starts_on: reading.day("starts", [&self.starts_month, &self.starts_day, &self.starts_year]),
            ends_on: reading.day("ends", [&self.ends_month, &self.ends_day, &self.ends_year]),
            helmets_target: reading.whole("helmets_target", "the helmets to give", &self.helmets_target, 0..=100_000),
        };
        if grant.ends_on < grant.starts_on && grant.ends_on != NaiveDate::MIN {
            reading.fault("ends", "The last day comes before the first. Look at both");
        }
        reading.done(grant)
    }
}

impl LotForm {
    fn read(&self) -> Result<NewHelmets, FieldErrors> {
        let mut reading = Reading::default();
        let lot = NewHelmets {
            code: reading.line("lot_code", "the lot code", &self.lot_code, 40),
            grant: reading.chosen("lot_grant", "who paid", &self.lot_grant),
            model: reading.line("model", "the make and model", &self.model, 120),
            size_label: reading.line("size_label", "the size word", &self.size_label, 40),
            least_head: reading.length("least_head", "the smallest head", &self.least_head),
            most_head: reading.length("most_head", "the largest head", &self.most_head),
            standard: reading.line("standard", "the standard", &self.standard, 80),
            made_month: reading.month("made", &self.made_month, &self.made_year),
            unit_cost_cents: reading.decimal("unit_cost", "the price of one", &self.unit_cost, 2, 1_000_000),
            received: reading.whole("received", "how many came", &self.received, 1..=100_000),
        };
        if lot.most_head < lot.least_head && lot.most_head.um() > 1 {
            reading.fault("most_head", "The largest head is smaller than the smallest. Look at both");
        }
        reading.done(lot)
    }
}
