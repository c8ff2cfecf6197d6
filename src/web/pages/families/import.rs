//! Families from a spreadsheet file: bringing it, looking at every row, taking all or nothing, taking it back.

pub mod columns;
mod words;

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDateTime;
use serde::Deserialize;

use crate::domain::import::plan::{Adult, Outcome};
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Phone};
use crate::language;
use crate::services::imports::{self, ImportRow, Preview, PreviewRow, Taken};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::sheet_words;
use crate::web::upload::Upload;

/// Rows on one page of the preview.
const ROWS: usize = 100;

fn way(reference: &str) -> String {
    format!("/families/import/{reference}")
}

/// One import in the list.
struct Past {
    row: ImportRow,
    can_be_undone: bool,
}

#[derive(Template)]
#[template(path = "families/import/index.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    /// What the last press came to; empty otherwise.
    said: String,
    imports: Vec<Past>,
}

impl Index {
    fn day(&self, at: &NaiveDateTime) -> String {
        language::date_short(Lang::En, at.date())
    }
}

/// What the last press came to, in the address after it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct After {
    gone: String,
    stay: String,
}

impl After {
    fn words(&self) -> String {
        match (self.gone.parse::<u32>(), self.stay.parse::<u32>()) {
            (Ok(gone), Ok(0)) => went(gone),
            (Ok(gone), Ok(1)) => format!("{} One stays, because it is in use by now.", went(gone)),
            (Ok(gone), Ok(stay)) => format!("{} {stay} stay, because they are in use by now.", went(gone)),
            _ => String::new(),
        }
    }
}

fn went(children: u32) -> String {
    match children {
        0 => "Taken back: no child went.".to_owned(),
        1 => "Taken back: 1 child went.".to_owned(),
        more => format!("Taken back: {more} children went."),
    }
}

async fn index_page(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: crate::domain::access::Caller,
    errors: FieldErrors,
    said: String,
) -> Result<Index, Failure> {
    let imports = blocking(app, move |app| {
        let rows = imports::list(app, &caller)?;
        Ok(rows.into_iter().map(|row| Past { can_be_undone: imports::can_be_undone(app, &row), row }).collect())
    })
    .await?;
    let page = staff_page(request, "Families from a file").with_errors(errors.len());
    Ok(Index { page, errors, said, imports })
}

/// The form that brings a file, and the files before it.
pub async fn index(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(after): Asked<After>,
) -> Answer {
    shown(&index_page(&request, &app, caller, FieldErrors::default(), after.words()).await?)
}

/// Keeps the file, or says what is wrong with it.
pub async fn create(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, file: Upload) -> Answer {
    let asks = caller.clone();
    let fault = if file.bytes.is_empty() && file.name.is_empty() {
        "Choose a file".to_owned()
    } else {
        match blocking(&app, move |app| imports::bring(app, &asks, &file.name, &file.bytes)).await? {
            Ok(reference) => return Ok(go(&format!("{}/columns", way(&reference)))),
            Err(fault) => sheet_words::of_file(&fault),
        }
    };
    let mut errors = FieldErrors::default();
    errors.add("file", fault);
    shown_again(&index_page(&request, &app, caller, errors, String::new()).await?)
}

/// Which rows are shown, and from which on.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    show: String,
    from: String,
}

/// How many rows become what.
#[derive(Default)]
struct Counts {
    added: usize,
    adults: usize,
    here: usize,
    again: usize,
    faulty: usize,
    twice: usize,
}

fn counts(rows: &[PreviewRow]) -> Counts {
    let mut counts = Counts::default();
    for row in rows {
        match &row.outcome {
            Outcome::Added { adult, may_be_twice } => {
                counts.added += 1;
                counts.adults += usize::from(*adult == Adult::New);
                counts.twice += usize::from(*may_be_twice);
            }
            Outcome::Here => counts.here += 1,
            Outcome::Again(_) => counts.again += 1,
            Outcome::Faulty(_) => counts.faulty += 1,
        }
    }
    counts
}

#[derive(Template)]
#[template(path = "families/import/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    refused: String,
    of: Preview,
    counts: Counts,
    /// Which rows are shown: `faulty`, `added`, `same`; empty for all.
    show: String,
    /// The first row of this page among those shown, from 0.
    from: usize,
}

impl Show {
    fn way(&self) -> String {
        way(&self.of.row.reference)
    }
    fn fits(&self, row: &PreviewRow) -> bool {
        match (self.show.as_str(), &row.outcome) {
            ("faulty", outcome) => matches!(outcome, Outcome::Faulty(_)),
            ("added", outcome) => matches!(outcome, Outcome::Added { .. }),
            ("same", outcome) => matches!(outcome, Outcome::Here | Outcome::Again(_)),
            _ => true,
        }
    }
    fn fitting(&self) -> usize {
        self.of.rows.iter().filter(|row| self.fits(row)).count()
    }
    fn rows(&self) -> Vec<&PreviewRow> {
        self.of.rows.iter().filter(|row| self.fits(row)).skip(self.from).take(ROWS).collect()
    }
    fn next(&self) -> Option<usize> {
        Some(self.from + ROWS).filter(|next| *next < self.fitting())
    }
    fn before(&self) -> Option<usize> {
        (self.from > 0).then(|| self.from.saturating_sub(ROWS))
    }
    /// What will become of a row, with the class and shape of its mark.
    fn outcome(&self, row: &PreviewRow) -> (Vec<String>, &'static str, &'static str) {
        words::of_outcome(row, &self.of.rows)
    }
    fn born(&self, entry: &crate::domain::import::Entry) -> String {
        language::date_short(Lang::En, entry.born)
    }
    fn phone(&self, entry: &crate::domain::import::Entry) -> String {
        Phone::shown(&entry.phone)
    }
    fn passed(&self) -> Vec<String> {
        self.of.passed_over.iter().map(words::of_passed).collect()
    }
}

fn show_page(request: &HttpRequest, of: Preview, wanted: &Wanted, errors: FieldErrors, refused: String) -> Show {
    let title = format!("Look at {}", of.row.name);
    let page = staff_page(request, title).with_errors(errors.len());
    let from = wanted.from.parse().unwrap_or_default();
    Show { counts: counts(&of.rows), show: wanted.show.clone(), page, errors, refused, of, from }
}

/// Every row and what will become of it.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    let columns = format!("{}/columns", way(&reference));
    match blocking(&app, move |app| imports::preview(app, &caller, &reference)).await {
        Ok(Some(of)) => shown(&show_page(&request, of, &wanted, FieldErrors::default(), String::new())),
        Ok(None) => Ok(go(&columns)),
        // It is done: the list says so.
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go("/families/import")),
        Err(failure) => Err(failure.into()),
    }
}

/// What the press is about.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Press {
    seen: String,
    leave_out: String,
}

/// Takes what the page showed.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(press): Typed<Press>,
) -> Answer {
    let (asks, asked, leave_out) = (caller.clone(), reference.clone(), press.leave_out == "yes");
    let taken = blocking(&app, move |app| imports::run(app, &asks, &asked, &press.seen, leave_out)).await;
    let (mut errors, mut refused) = (FieldErrors::default(), String::new());
    match taken {
        Ok(Taken::Done) | Err(Failure::Refused(Refusal::WorldMoved)) => return Ok(go("/families/import")),
        Ok(Taken::FaultyRows) => errors.add("leave_out", "Say that the rows that cannot be taken stay out"),
        Ok(Taken::Moved) => "Families changed since this page was drawn. Look again.".clone_into(&mut refused),
        Err(failure) => return Err(failure.into()),
    }
    let of = blocking(&app, move |app| imports::preview(app, &caller, &reference)).await?;
    let page = show_page(&request, of.ok_or(Trouble::NotFound)?, &Wanted::default(), errors, refused);
    if page.errors.is_empty() { shown_as(StatusCode::CONFLICT, &page) } else { shown_again(&page) }
}

/// Throws a file away.
pub async fn leave(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    blocking(&app, move |app| imports::leave(app, &caller, &reference)).await?;
    Ok(go("/families/import"))
}

/// Takes an import back.
pub async fn undo(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    let (gone, stay) = blocking(&app, move |app| imports::undo(app, &caller, &reference)).await?;
    Ok(go(&format!("/families/import?gone={gone}&stay={stay}")))
}
