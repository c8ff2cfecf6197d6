//! Machines from a spreadsheet file: bringing it, looking at every row, adding all or nothing. The rows travel in the page.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use super::form::{MachineForm, record_errors};
use crate::domain::access::Caller;
use crate::domain::carried_sheet::{Row, SheetColumn, pack, unpack};
use crate::domain::cautions::CautionKey;
use crate::domain::machine::sheet::{Column, category, label, riders};
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::services::fleet::MachineFacts;
use crate::services::fleet::import::{self, Outcome};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::upload::Upload;
use crate::web::{blocking, sheet_words};

#[derive(Template)]
#[template(path = "machines/import.html")]
struct Bring {
    page: Page,
    errors: FieldErrors,
}

impl Bring {
    fn columns(&self) -> &'static [Column] {
        Column::ALL
    }
    fn about(&self, column: &Column) -> &'static str {
        match column {
            Column::Number => "as painted on it",
            Column::MadeFor => "one, or passenger",
            Column::Category => "such as Y-6+",
            Column::Label => "yes, no, or empty",
            Column::Built | Column::LimiterSet => "such as 3/14/2023 or 2023-03-14",
            Column::Weight => "pounds, or with a unit",
            Column::SeatHeight | Column::SeatToRest | Column::GripToLever | Column::RestToPedal => {
                "inches, or with a unit"
            }
            Column::TireFront | Column::TireRear => "psi, cold",
            Column::MakeModel | Column::Serial | Column::Engine | Column::Limiter | Column::LimiterBy => "",
        }
    }
}

/// One row with what will become of it.
struct Looked {
    /// Its number in the file, or its place.
    number: u32,
    /// Number and model as they stand there.
    title: String,
    /// What stands in the way; empty when it is added.
    faults: Vec<String>,
}

#[derive(Template)]
#[template(path = "machines/import_rows.html")]
struct Look {
    page: Page,
    refused: Option<String>,
    rows: Vec<Looked>,
    passed_over: Vec<String>,
    /// The rows as the press carries them.
    sheet: String,
}

impl Look {
    fn faulty(&self) -> usize {
        self.rows.iter().filter(|row| !row.faults.is_empty()).count()
    }
}

fn bring_page(request: &HttpRequest, errors: FieldErrors) -> Bring {
    let page = staff_page(request, "Machines from a file").with_caution(CautionKey::Machine);
    Bring { page: page.with_errors(errors.len()), errors }
}

/// The form that brings a file.
pub async fn index(request: HttpRequest) -> Answer {
    shown(&bring_page(&request, FieldErrors::default()))
}

/// Looks at a file, or says what is wrong with it.
pub async fn create(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, file: Upload) -> Answer {
    let asks = caller.clone();
    let is_there = !(file.bytes.is_empty() && file.name.is_empty());
    let read = match is_there {
        false => Err("Choose a file".to_owned()),
        true => sheet_words::whole(blocking(&app, move |app| import::read(app, &asks, &file.bytes)).await?),
    };
    match read {
        Ok(brought) => shown(&look(&request, &app, caller, brought.rows, brought.passed_over).await?),
        Err(words) => {
            let mut errors = FieldErrors::default();
            errors.add("file", words);
            shown_again(&bring_page(&request, errors))
        }
    }
}

async fn look(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    rows: Vec<(u32, Row<Column>)>,
    passed_over: Vec<String>,
) -> Result<Look, Failure> {
    let read: Vec<Result<MachineFacts, FieldErrors>> = rows.iter().map(|(_, row)| form(row).read()).collect();
    let whole: Vec<MachineFacts> = read.iter().flatten().cloned().collect();
    let outcomes = blocking(app, move |app| import::look(app, &caller, &whole)).await?;
    let numbers: Vec<u32> = rows.iter().zip(&read).filter(|(_, read)| read.is_ok()).map(|((at, _), _)| *at).collect();
    let mut outcomes = outcomes.into_iter();
    let looked = rows.iter().zip(read).map(|((number, row), read)| {
        let faults = match read {
            Err(errors) => of_form(&errors),
            Ok(_) => outcomes.next().map_or_else(Vec::new, |outcome| of_outcome(&outcome, &numbers)),
        };
        let said = [Column::Number, Column::MakeModel].map(|column| row.get(&column).map_or("–", String::as_str));
        Looked { number: *number, title: said.join(", "), faults }
    });
    let looked: Vec<Looked> = looked.collect();
    let sheet = pack(&rows.into_iter().map(|(_, row)| row).collect::<Vec<_>>());
    let page = staff_page(request, "Look at the machines").with_caution(CautionKey::Machine);
    Ok(Look { page, refused: None, rows: looked, passed_over, sheet })
}

/// What is wrong with the cells of a row; a day stands in one cell, whatever the form has.
fn of_form(errors: &FieldErrors) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for (field, words) in errors.list() {
        let words = match field.rsplit_once('_') {
            Some(("built", _)) => "Write the day it was built, such as 3/14/2023".to_owned(),
            Some(("limiter_set", _)) => "Write the day the limiter was set, such as 3/14/2023".to_owned(),
            _ => words.clone(),
        };
        if !said.contains(&words) {
            said.push(words);
        }
    }
    said
}

fn of_outcome(outcome: &Outcome, numbers: &[u32]) -> Vec<String> {
    match outcome {
        Outcome::Added => Vec::new(),
        Outcome::Here => vec!["A machine of the fleet has this number already".to_owned()],
        Outcome::Again(place) => {
            vec![format!("Row {} has this number already", numbers.get(*place).copied().unwrap_or_default())]
        }
        Outcome::Faulty(faults) => of_form(&record_errors(faults)),
    }
}

/// A row as the form of a record would have it typed.
fn form(row: &Row<Column>) -> MachineForm {
    let cell = |column: Column| row.get(&column).cloned().unwrap_or_default();
    // A word that means nothing stays as it is, so that the form says what is wrong with it.
    let or_as_it_is = |column: Column, known: Option<&str>| known.map_or_else(|| cell(column), str::to_owned);
    let parts = |column: Column| -> [String; 3] {
        let text = cell(column);
        match chrono::NaiveDate::parse_from_str(&text, "%Y-%m-%d") {
            Ok(day) => super::form::parts(Some(day)),
            Err(_) => [text, String::new(), String::new()],
        }
    };
    let [built_month, built_day, built_year] = parts(Column::Built);
    let [limiter_set_month, limiter_set_day, limiter_set_year] = parts(Column::LimiterSet);
    MachineForm {
        seen: Default::default(),
        number: cell(Column::Number),
        make_model: cell(Column::MakeModel),
        serial: cell(Column::Serial),
        category: or_as_it_is(Column::Category, category(&cell(Column::Category)).map(Word::as_str)),
        seats: or_as_it_is(Column::MadeFor, riders(&cell(Column::MadeFor)).map(Word::as_str)),
        label: or_as_it_is(Column::Label, label(&cell(Column::Label)).map(Word::as_str)),
        built_month,
        built_day,
        built_year,
        engine_cc: cell(Column::Engine),
        dry_weight: cell(Column::Weight),
        seat_height: cell(Column::SeatHeight),
        seat_to_rest: cell(Column::SeatToRest),
        grip_to_lever: cell(Column::GripToLever),
        rest_to_pedal: cell(Column::RestToPedal),
        limiter: cell(Column::Limiter),
        limiter_set_month,
        limiter_set_day,
        limiter_set_year,
        limiter_by: cell(Column::LimiterBy),
        tire_front: cell(Column::TireFront),
        tire_rear: cell(Column::TireRear),
    }
}

/// The rows that the page of the look carries.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Press {
    sheet: String,
}

/// Adds every machine, or shows again what stands in the way by now.
pub async fn take(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(press): Typed<Press>,
) -> Answer {
    let rows = unpack(&press.sheet).ok_or(Trouble::Malformed)?;
    let read: Result<Vec<MachineFacts>, FieldErrors> = rows.iter().map(|row| form(row).read()).collect();
    let asks = caller.clone();
    let done = match read {
        Ok(facts) => blocking(&app, move |app| import::take(app, &asks, facts)).await,
        Err(_) => Err(Refusal::WorldMoved.into()),
    };
    match done {
        Ok(()) => Ok(go("/machines")),
        Err(Failure::Refused(Refusal::WorldMoved)) => {
            let numbered = (1..).zip(rows).collect();
            let page = look(&request, &app, caller, numbered, Vec::new()).await?;
            let refused = Some("Nothing was added. Look at the rows below.".to_owned());
            shown_as(StatusCode::CONFLICT, &Look { refused, ..page })
        }
        Err(other) => Err(other.into()),
    }
}
