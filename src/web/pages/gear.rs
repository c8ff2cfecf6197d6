//! Helmets: the list of lots and the form that receives one. One lot stands in `lot`, who pays in `grants`, what is called back in
//! `recalls`, what will be needed in `needs`, what funders ask to see in `property`.

pub mod grants;
pub mod lot;
pub mod needs;
pub mod property;
pub mod recalls;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::gear::{HelmetFault, Way};
use crate::domain::machine::record::PlaceKind;
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::words::Lang;
use crate::language;
use crate::services::gear::{self, Gear, Listed, NewHelmets};
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
#[template(path = "gear/list.html")]
struct ListPage {
    page: Page,
    gear: Gear,
}

#[derive(Template)]
#[template(path = "gear/receive.html")]
struct ReceivePage {
    page: Page,
    errors: FieldErrors,
    lot: LotForm,
    grants: Vec<Choice>,
    places: Vec<Choice>,
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
    lot_place: String,
}

/// A day in words.
fn day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

/// The heads of a lot in centimetres and in inches, as makers' tables have it.
fn heads(lot: &gear::LotRow) -> [String; 2] {
    let range = lot.heads();
    [range.cm_text(), format!("{} to {}", range.least.inches_text().trim_end_matches(" in"), range.most.inches_text())]
}

/// Cents as dollars: $1,250.00.
fn dollars(cents: &i64) -> String {
    let whole = (cents / 100).to_string();
    let groups: Vec<&str> =
        whole.as_bytes().rchunks(3).rev().filter_map(|part| std::str::from_utf8(part).ok()).collect();
    format!("${}.{:02}", groups.join(","), cents % 100)
}

/// "March 2026".
fn month_of(day: &NaiveDate) -> String {
    format!("{} {}", language::month_name(Lang::En, day.month()), day.year())
}

/// Where helmets of a lot are, in a line.
fn where_words(lot: &Listed) -> String {
    let said = lot.spots();
    if said.is_empty() { "None on hand".to_owned() } else { said.join(", ") }
}

/// How a rider has one.
fn handed(way: &Way) -> &'static str {
    match way {
        Way::Lent => "lent",
        Way::Given => "given",
    }
}

/// Why none of a lot is handed out.
fn fault_words(fault: &HelmetFault) -> String {
    match fault {
        HelmetFault::Damaged => "Damaged".to_owned(),
        HelmetFault::Recalled => "Called back".to_owned(),
        HelmetFault::AgeUnknown => "Nobody knows when it was made".to_owned(),
        HelmetFault::PastItsLife(last) => format!("Past its use since {}", day(last)),
    }
}

/// Helmets on hand in all lots.
fn on_hand(gear: &Gear) -> i64 {
    gear.lots.iter().map(Listed::on_hand).sum()
}

/// Helmets that came in all lots.
fn came(gear: &Gear) -> i64 {
    gear.lots.iter().map(|lot| lot.row.received).sum()
}

async fn read(app: &web::Data<App>, caller: Caller) -> Result<Gear, Trouble> {
    Ok(blocking(app, move |app| gear::list(app, &caller)).await?)
}

fn receive_page(request: &HttpRequest, gear: Gear, lot: LotForm, errors: FieldErrors) -> ReceivePage {
    let page = staff_page(request, "Receive helmets").with_errors(errors.len());
    let grant = |grant: &gear::GrantRow| Choice::new(&grant.code, format!("{}, {}", grant.name, grant.code));
    let place = |place: &gear::StoragePlaceRow| Choice::new(place.id.raw(), &place.name);
    let store = gear.places.iter().find(|place| place.kind == PlaceKind::Store).or(gear.places.first());
    let first = store.map(|place| place.id.raw().to_string()).unwrap_or_default();
    let lot = if lot.lot_place.is_empty() { LotForm { lot_place: first, ..lot } } else { lot };
    let (grants, places) = (gear.grants.iter().map(grant).collect(), gear.places.iter().map(place).collect());
    ReceivePage { page, errors, lot, grants, places }
}

/// The lots.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let gear = read(&app, caller).await?;
    shown(&ListPage { page: staff_page(&request, "Gear"), gear })
}

/// The form that receives helmets, empty.
pub async fn receive(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let gear = read(&app, caller).await?;
    shown(&receive_page(&request, gear, LotForm::default(), FieldErrors::default()))
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
            Ok(reference) => return Ok(go(&lot::way(&reference))),
            Err(Failure::Refused(refusal)) => {
                let field = match refusal {
                    Refusal::Gear(GearRefusal::MadeToCome) => "made",
                    _ => "lot_code",
                };
                errors.add(field, refusal_words::words(Lang::En, &refusal));
            }
            Err(other) => return Err(other.into()),
        },
    }
    shown_again(&receive_page(&request, read(&app, caller).await?, form, errors))
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
            place: reading.chosen("lot_place", "where they are kept", &self.lot_place).parse().unwrap_or(0),
        };
        if lot.most_head < lot.least_head && lot.most_head.um() > 1 {
            reading.fault("most_head", "The largest head is smaller than the smallest. Look at both");
        }
        reading.done(lot)
    }
}
