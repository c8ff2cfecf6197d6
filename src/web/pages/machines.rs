//! The fleet: the list and the form that adds a machine.

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::cautions::CautionKey;
use crate::domain::machine::{Category, MachineState};
use crate::domain::measures::{Length, Mass};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::fleet::{self, MachineRow, NewMachine};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "machines.html")]
struct MachinesPage {
    page: Page,
    errors: FieldErrors,
    form: MachineForm,
    machines: Vec<MachineRow>,
    categories: Vec<Choice>,
    states: Vec<Choice>,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct MachineForm {
    number: String,
    make_model: String,
    category: String,
    built_month: String,
    built_day: String,
    built_year: String,
    engine_cc: String,
    dry_weight: String,
    seat_height: String,
    seat_to_rest: String,
    limiter: String,
    state: String,
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

/// The list with the empty form.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let machines = blocking(&app, move |app| fleet::list(app, &caller)).await?;
    shown(&page_of(&request, machines, MachineForm::default(), FieldErrors::default()))
}

/// Adds what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<MachineForm>,
) -> Answer {
    let asking = caller.clone();
    let mut errors = FieldErrors::default();
    match form.read() {
        Err(faults) => errors = faults,
        Ok(new) => match blocking(&app, move |app| fleet::add(app, &asking, new)).await {
            Ok(()) => return Ok(go("/machines")),
            Err(Failure::Refused(refusal)) => errors.add("number", refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        },
    }
    let machines = blocking(&app, move |app| fleet::list(app, &caller)).await?;
    shown_again(&page_of(&request, machines, form, errors))
}

fn page_of(request: &HttpRequest, machines: Vec<MachineRow>, form: MachineForm, errors: FieldErrors) -> MachinesPage {
    let page = staff_page(request, "Machines").with_caution(CautionKey::Machine).with_errors(errors.len());
    let categories = Category::ALL.iter().map(|category| Choice::new(category, category.as_str())).collect();
    let state = |state: &MachineState| Choice::new(state, state_words(state.as_str()).0);
    let states = MachineState::ALL.iter().map(state).collect();
    MachinesPage { page, errors, form, machines, categories, states }
}

impl MachineForm {
    fn read(&self) -> Result<NewMachine, FieldErrors> {
        let mut reading = Reading::default();
        let limiter = self.limiter.trim();
        let machine = NewMachine {
            number: reading.line("number", "the number", &self.number, 20),
            make_model: reading.line("make_model", "the make and model", &self.make_model, 120),
            category: reading.choice("category", "the category", &self.category, Category::Y6).as_str().to_owned(),
            built_on: reading.day("built", [&self.built_month, &self.built_day, &self.built_year]),
            engine_cc_tenths: reading.decimal("engine_cc", "the engine size", &self.engine_cc, 1, 20_000),
            dry_weight_g: reading.mass("dry_weight", "the dry weight", &self.dry_weight).g(),
            seat_height_um: reading.length("seat_height", "the height of the seat", &self.seat_height).um(),
            seat_to_rest_um: reading.length("seat_to_rest", "the seat above the footrests", &self.seat_to_rest).um(),
            limiter_tenths_mph: (!limiter.is_empty())
                .then(|| reading.decimal("limiter", "the speed limiter", limiter, 1, 990)),
            state: reading.choice("state", "the state", &self.state, MachineState::Ready).as_str().to_owned(),
        };
        reading.done(machine)
    }
}
