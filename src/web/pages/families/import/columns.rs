//! What the columns of a file mean: guessed, remembered from the last time, and for the office to say.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{way, words};
use crate::domain::import::{ColumnFault, DayOrder, Meaning};
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::services::imports::{self, Columns, DaySystem, Encoding, ReadAs};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::{Choice, Page};

#[derive(Template)]
#[template(path = "families/import/columns.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    of: Columns,
    /// What is chosen for each column, by its place.
    chosen: Vec<String>,
    order: String,
    county: String,
    meanings: Vec<Choice>,
    orders: Vec<Choice>,
    counties: Vec<Choice>,
}

impl Edit {
    fn way(&self) -> String {
        way(&self.of.row.reference)
    }
    fn field(&self, at: &usize) -> String {
        format!("column_{at}")
    }
    fn chosen(&self, at: &usize) -> &str {
        self.chosen.get(*at).map_or("", String::as_str)
    }
    fn read_as(&self) -> String {
        match &self.of.read_as {
            ReadAs::Csv { encoding, separator } => {
                let encoding = match encoding {
                    Encoding::Utf8 => "UTF-8",
                    Encoding::Utf16Le | Encoding::Utf16Be => "UTF-16",
                    Encoding::Windows1252 => "Windows-1252",
                };
                let separator = match separator {
                    Some(',') => "commas",
                    Some(';') => "semicolons",
                    Some('\t') => "tabs",
                    Some('|') => "upright strokes",
                    Some(_) => "the separator that its first line names",
                    None => "no separator",
                };
                format!("Text in {encoding} with {separator}")
            }
            ReadAs::Xlsx { worksheet, days } => {
                let days = match days {
                    DaySystem::From1900 => "",
                    DaySystem::From1904 => ", days counted from 1904",
                };
                format!("Workbook, sheet “{worksheet}”{days}")
            }
        }
    }
}

fn edit_page(
    request: &HttpRequest,
    of: Columns,
    (chosen, order, county): (Vec<String>, String, String),
    errors: FieldErrors,
) -> Edit {
    let meaning = |one: &Meaning| Choice::new(one, words::of_meaning(*one));
    let order_words = |one: &DayOrder| {
        Choice::new(
            one,
            match one {
                DayOrder::MonthFirst => "Month first: 4/27/2016 is April 27",
                DayOrder::DayFirst => "Day first: 27/4/2016 is April 27",
            },
        )
    };
    Edit {
        page: staff_page(request, format!("Columns of {}", of.row.name)).with_errors(errors.len()),
        meanings: Meaning::ALL.iter().map(meaning).collect(),
        orders: DayOrder::ALL.iter().map(order_words).collect(),
        counties: of.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
        errors,
        chosen,
        order,
        county,
        of,
    }
}

/// The columns with what they probably mean.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    match blocking(&app, move |app| imports::columns(app, &caller, &reference)).await {
        Ok(of) => {
            let chosen = of.columns.iter().map(|(_, one, _)| one.map_or_else(String::new, |one| one.to_string()));
            let typed = (chosen.collect(), of.row.day_order.to_string(), of.row.county.clone().unwrap_or_default());
            shown(&edit_page(&request, of, typed, FieldErrors::default()))
        }
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go("/families/import")),
        Err(failure) => Err(failure.into()),
    }
}

/// Keeps what the columns mean, and leads to the rows.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(typed): Typed<Answers>,
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    let of = match blocking(&app, move |app| imports::columns(app, &asks, &asked)).await {
        Ok(of) => of,
        Err(Failure::Refused(Refusal::WorldMoved)) => return Ok(go("/families/import")),
        Err(failure) => return Err(failure.into()),
    };
    let chosen: Vec<String> = (0..of.columns.len()).map(|at| typed.of(&format!("column_{at}")).to_owned()).collect();
    let (order, county) = (typed.of("order").to_owned(), typed.of("county").to_owned());
    let mut errors = FieldErrors::default();
    for (at, word) in chosen.iter().enumerate().filter(|(_, word)| !word.is_empty()) {
        if Meaning::from_word(word).is_none() {
            errors.add(&format!("column_{at}"), "Choose what this column is");
        }
    }
    let read_order = DayOrder::from_word(&order);
    if read_order.is_none() {
        errors.add("order", "Choose how dates are written");
    }
    if !county.is_empty() && of.counties.iter().all(|(code, _)| *code != county) {
        errors.add("county", "Choose a county of the list");
    }
    if let (true, Some(read_order)) = (errors.is_empty(), read_order) {
        let meanings: Vec<Option<Meaning>> = chosen.iter().map(|word| Meaning::from_word(word)).collect();
        let for_all = Some(county.clone()).filter(|county| !county.is_empty());
        let (asked, told) = (reference.clone(), meanings.clone());
        let faults = blocking(&app, move |app| {
            imports::set_columns(app, &caller, &asked, &told, (read_order, for_all.as_deref()))
        })
        .await
        .map_err(Trouble::from)?;
        if faults.is_empty() {
            return Ok(go(&way(&reference)));
        }
        faults.into_iter().for_each(|fault| errors.add(&field_of(fault, &meanings), words::of_column(fault)));
    }
    shown_again(&edit_page(&request, of, (chosen, order, county), errors))
}

/// The field at which a fault of the columns is told.
fn field_of(fault: ColumnFault, meanings: &[Option<Meaning>]) -> String {
    match fault {
        ColumnFault::Twice(meaning) => {
            let last = meanings.iter().rposition(|one| *one == Some(meaning)).unwrap_or_default();
            format!("column_{last}")
        }
        ColumnFault::NoCounty => "county".to_owned(),
        // Each of these is told at a column of its own, so that every sentence stands in the summary.
        ColumnFault::NoChild | ColumnFault::NoBirthDate | ColumnFault::NoAdult | ColumnFault::NoPhone => {
            let place = [ColumnFault::NoChild, ColumnFault::NoBirthDate, ColumnFault::NoAdult, ColumnFault::NoPhone];
            let at = place.iter().position(|one| *one == fault).unwrap_or_default();
            let free: Vec<usize> = (0..meanings.len()).filter(|at| meanings[*at].is_none()).collect();
            format!("column_{}", free.get(at).or(free.last()).copied().unwrap_or_default())
        }
    }
}
