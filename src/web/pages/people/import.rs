//! Papers of the staff from a spreadsheet file: bringing it, looking at every row, adding all or nothing. The rows travel in the
//! page.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::carried_sheet::{Row, SheetColumn, pack, unpack};
use crate::domain::certification_sheet::PaperColumn;
use crate::domain::refusal::Refusal;
use crate::services::people::import::{self, Outcome};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::upload::Upload;
use crate::web::{blocking, sheet_words};

#[derive(Template)]
#[template(path = "people/import.html")]
struct Bring {
    page: Page,
    errors: FieldErrors,
}

/// One row with what will become of it.
struct Looked {
    /// Its number in the file, or its place.
    number: u32,
    /// Address, paper and days as they stand there.
    title: String,
    /// What becomes of it.
    outcome: Outcome,
}

#[derive(Template)]
#[template(path = "people/import_rows.html")]
struct Look {
    page: Page,
    refused: Option<String>,
    rows: Vec<Looked>,
    passed_over: Vec<String>,
    /// The rows that can be added, as the press carries them.
    sheet: String,
}

impl Look {
    fn adds(&self) -> usize {
        self.rows.iter().filter(|row| matches!(row.outcome, Outcome::Added(_))).count()
    }
    fn faulty(&self) -> usize {
        self.rows.iter().filter(|row| matches!(row.outcome, Outcome::Nobody | Outcome::Kind | Outcome::Days)).count()
    }
    /// What becomes of a row: class, shape and words.
    fn outcome(&self, row: &Looked) -> (&'static str, &'static str, String) {
        match &row.outcome {
            Outcome::Added(name) => ("met", "met", format!("added to {name}")),
            Outcome::Here(name) => ("not-measured", "none", format!("{name} has it already")),
            Outcome::Again(at) => {
                let number = self.rows.get(*at).map_or(0, |row| row.number);
                ("not-measured", "none", format!("the same as row {number}"))
            }
            Outcome::Nobody => ("not-met", "notmet", "nobody of the staff signs in with this address".to_owned()),
            Outcome::Kind => {
                let words = "write riding, first aid, background or child protection";
                ("not-met", "notmet", words.to_owned())
            }
            Outcome::Days => ("not-met", "notmet", "look at its days, such as 4/26/2027".to_owned()),
        }
    }
}

fn bring_page(request: &HttpRequest, errors: FieldErrors) -> Bring {
    Bring { page: staff_page(request, "Papers from a file").with_errors(errors.len()), errors }
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
        Ok(brought) => shown(&look(&request, &app, caller, brought.rows, (brought.passed_over, None)).await?),
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
    rows: Vec<(u32, Row<PaperColumn>)>,
    (passed_over, refused): (Vec<String>, Option<String>),
) -> Result<Look, Failure> {
    let asked: Vec<Row<PaperColumn>> = rows.iter().map(|(_, row)| row.clone()).collect();
    let outcomes = blocking(app, move |app| import::look(app, &caller, &asked)).await?;
    let adds = rows.iter().zip(&outcomes).filter(|(_, outcome)| matches!(outcome, Outcome::Added(_)));
    let sheet = pack(&adds.map(|((_, row), _)| row.clone()).collect::<Vec<_>>());
    let title = |row: &Row<PaperColumn>| {
        let cells: Vec<&str> = row.values().map(String::as_str).collect();
        cells.join(", ")
    };
    let rows = rows.iter().zip(outcomes);
    let rows = rows.map(|((number, row), outcome)| Looked { number: *number, title: title(row), outcome }).collect();
    Ok(Look { page: staff_page(request, "Look at each paper"), refused, rows, passed_over, sheet })
}

/// What the press carries.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    sheet: String,
}

/// Adds every paper that the page showed.
pub async fn take(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(sent): Typed<Sent>,
) -> Answer {
    let rows = unpack(&sent.sheet).ok_or(Trouble::Malformed)?;
    let (asks, asked) = (caller.clone(), rows.clone());
    match blocking(&app, move |app| import::take(app, &asks, asked)).await {
        Ok(()) => Ok(go("/people")),
        Err(Failure::Refused(Refusal::WorldMoved)) => {
            let words = "Papers changed since this page was drawn. Look again.".to_owned();
            let rows = (1..).zip(rows).collect();
            shown_as(StatusCode::CONFLICT, &look(&request, &app, caller, rows, (Vec::new(), Some(words))).await?)
        }
        Err(other) => Err(other.into()),
    }
}

/// The columns of the sheet.
fn columns() -> &'static [PaperColumn] {
    <PaperColumn as crate::domain::words::Word>::ALL
}
