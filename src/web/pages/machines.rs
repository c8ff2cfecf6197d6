//! The fleet: the list, the form that adds a machine, and where machines are kept. One machine stands in `sheet`.

mod form;
pub mod import;
pub mod sheet;
pub mod tags;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::cautions::CautionKey;
use crate::domain::machine::MachineState;
use crate::domain::machine::record::PlaceKind;
use crate::domain::measures::{Length, Mass};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::fleet::{self, Kept, Listed, StoragePlaceRow};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;
use crate::web::{blocking, refusal_words, routes};

use form::{Choices, MachineForm};

#[derive(Template)]
#[template(path = "machines/list.html")]
struct ListPage {
    page: Page,
    machines: Vec<Listed>,
    may_plan: bool,
}

#[derive(Template)]
#[template(path = "machines/new.html")]
struct NewPage {
    page: Page,
    errors: FieldErrors,
    form: MachineForm,
    choices: Choices,
}

#[derive(Template)]
#[template(path = "machines/places.html")]
struct PlacesPage {
    page: Page,
    errors: FieldErrors,
    form: PlaceForm,
    places: Vec<StoragePlaceRow>,
    kinds: Vec<Choice>,
}

/// What the form of a place sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PlaceForm {
    name: String,
    kind: String,
}

/// A day in words.
fn day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

/// A length in inches.
fn inches(um: &i64) -> String {
    Length::from_um(*um).inches_text()
}

/// A mass in pounds.
fn pounds(g: &i64) -> String {
    Mass::from_g(*g).pounds_text()
}

/// A number kept in tenths, as people write it: 495 is 49.5, 500 is 50.
fn tenths(number: &i64) -> String {
    if number % 10 == 0 { (number / 10).to_string() } else { format!("{}.{}", number / 10, number % 10) }
}

/// Words, class and shape of a state.
fn state_words(word: &str) -> (&'static str, &'static str, &'static str) {
    match MachineState::from_word(word) {
        Some(MachineState::Ready) => ("ready", "met", "met"),
        Some(MachineState::OutOfUse) => ("out of use", "not-met", "notmet"),
        Some(MachineState::Retired) | None => ("retired", "not-measured", "none"),
    }
}

fn kind_words(kind: &PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Store => "Store",
        PlaceKind::Trailer => "Trailer",
    }
}

/// Whether the reader may change the fleet.
fn may_plan(caller: &crate::domain::access::Caller) -> bool {
    routes::OFFICE.meets(caller.roles())
}

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let may_plan = may_plan(&caller);
    let machines = blocking(&app, move |app| fleet::list(app, &caller)).await?;
    let page = staff_page(&request, "Machines").with_caution(CautionKey::Machine);
    shown(&ListPage { page, machines, may_plan })
}

fn new_page(request: &HttpRequest, form: MachineForm, errors: FieldErrors) -> NewPage {
    let page = staff_page(request, "Add a machine").with_caution(CautionKey::Machine).with_errors(errors.len());
    NewPage { page, errors, form, choices: Choices::new() }
}

/// The empty form.
pub async fn new(request: HttpRequest) -> Answer {
    shown(&new_page(&request, MachineForm::default(), FieldErrors::default()))
}

/// Adds what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<MachineForm>,
) -> Answer {
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(facts) => match blocking(&app, move |app| fleet::add(app, &caller, facts)).await {
            Ok(Kept::Done(reference)) => return Ok(go(&sheet::way(&reference))),
            Ok(Kept::Faulty(faults)) => form::record_errors(&faults),
            Err(Failure::Refused(refusal)) => {
                let mut errors = FieldErrors::default();
                errors.add("number", refusal_words::words(Lang::En, &refusal));
                errors
            }
            Err(other) => return Err(other.into()),
        },
    };
    shown_again(&new_page(&request, form, errors))
}

fn places_page(
    request: &HttpRequest,
    places: Vec<StoragePlaceRow>,
    form: PlaceForm,
    errors: FieldErrors,
) -> PlacesPage {
    let page =
        staff_page(request, "Where machines are kept").with_caution(CautionKey::Machine).with_errors(errors.len());
    let kinds = PlaceKind::ALL.iter().map(|kind| Choice::new(kind, kind_words(kind))).collect();
    PlacesPage { page, errors, form, places, kinds }
}

/// Stores and trailers, with the form that adds one.
pub async fn places(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let places = blocking(&app, move |app| fleet::places(app, &caller)).await?;
    shown(&places_page(&request, places, PlaceForm::default(), FieldErrors::default()))
}

/// Adds a store or a trailer.
pub async fn add_place(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<PlaceForm>,
) -> Answer {
    let mut reading = Reading::default();
    let name = reading.checked_line("name", "its name", &form.name, 60);
    let kind = reading.choice("kind", "what it is", &form.kind, PlaceKind::Store);
    let asking = caller.clone();
    let mut errors = FieldErrors::default();
    match reading.done((name, kind)) {
        Err(faults) => errors = faults,
        Ok((Some(name), kind)) => match blocking(&app, move |app| fleet::add_place(app, &asking, name, kind)).await {
            Ok(()) => return Ok(go("/machines/places")),
            Err(Failure::Refused(refusal)) => errors.add("name", refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        },
        Ok((None, _)) => {}
    }
    let places = blocking(&app, move |app| fleet::places(app, &caller)).await?;
    shown_again(&places_page(&request, places, form, errors))
}
