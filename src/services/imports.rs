//! Families that come in a spreadsheet file: the office brings the file, says what its columns mean, looks at every row
//! and what will become of it, and takes all of it or nothing. For thirty days it can be taken back. Nobody is written to.

mod deed;
mod look;

use chrono::TimeDelta;

pub use deed::{Taken, run, undo};
pub use look::{Columns, Preview, PreviewRow, columns, preview, set_columns};

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::import::{DayOrder, Meaning, Said, columns as columns_of, order_of};
use crate::domain::refusal::Refusal;
use crate::domain::words::Line;
use crate::outside::sheet::{self, Cell, Limits, Sheet};
pub use crate::outside::sheet::{DaySystem, Encoding, PassedOver, PassedRows, ReadAs, SheetFault};
use crate::store::audit::{AuditRow, add_audit_row};
pub use crate::store::imports::ImportRow;
use crate::store::imports::{NewImport, add_import, body_of, find_import, headings, list_imports, remove_import};
use crate::store::{AnyConn, StoreError};

/// For how long an import can be taken back.
pub const UNDO: TimeDelta = TimeDelta::days(30);
/// For how long a file is kept of which nothing was made.
pub const UNTOUCHED: TimeDelta = TimeDelta::days(1);

/// Where the seal belongs.
const SEAL: (&str, &str) = ("imports", "body");

/// Every import, the newest first.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<ImportRow>, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    Ok(app.store.read(list_imports)?)
}

/// Whether an import can be taken back now.
#[must_use]
pub fn can_be_undone(app: &App, row: &ImportRow) -> bool {
    let until = row.done_at.map(|done| done + UNDO);
    row.undone_at.is_none() && until.is_some_and(|until| app.clock.now() < until)
}

/// Keeps a file, sealed, once it can be read as a table. Gives the import's reference.
///
/// # Errors
/// What is wrong with the file.
pub fn bring(app: &App, caller: &Caller, name: &str, bytes: &[u8]) -> Result<Result<String, SheetFault>, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let account_id = caller.account().ok_or(Failure::NotAllowed)?;
    let read = match sheet::read(bytes, &Limits::default()) {
        Ok(read) => read,
        Err(fault) => return Ok(Err(fault)),
    };
    let (row_key, reference, now): ([u8; 16], _, _) = (app.random.bytes(), app.random.reference(), app.clock.now());
    let short: String = name.chars().filter(|c| !c.is_control()).take(120).collect();
    let name = Line::parse(&short, 120).map_or_else(|_| "file".to_owned(), Line::into_string);
    let day_order = app.store.read(|conn| guessed_order(app, conn, &read))?;
    let new = NewImport {
        reference: reference.clone(),
        account_id,
        name,
        row_key: row_key.to_vec(),
        body: app.cipher.seal(SEAL.0, SEAL.1, &row_key, bytes),
        day_order,
        made_at: now,
    };
    let caller = caller.clone();
    app.store.write("bring import", move |conn| -> Result<(), Failure> {
        add_import(conn, &new)?;
        let subject = format!("import {}", new.reference);
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "import.bring", subject, String::new()))?)
    })?;
    Ok(Ok(reference))
}

/// How the days of the column are written that probably holds birth dates.
fn guessed_order(app: &App, conn: &mut AnyConn, sheet: &Sheet) -> Result<DayOrder, Failure> {
    let columns = columns_of(&sheet.headings, &headings(conn)?);
    let at = columns.iter().position(|one| *one == Some(Meaning::BirthDate));
    let texts: Vec<String> =
        at.into_iter().flat_map(|at| sheet.rows.iter().map(move |row| row.cells[at].to_text().into_owned())).collect();
    let zone = super::program::load(conn)?.zone;
    Ok(order_of(texts.iter().map(String::as_str), app.clock.today(zone)))
}

/// Throws a file away of which nothing was made.
///
/// # Errors
/// `NotFound`; `WorldMoved` when families were made of it.
pub fn leave(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (caller, reference, now) = (caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("leave import", move |conn| -> Result<(), Failure> {
        let row = find_import(conn, &reference)?.ok_or(Failure::NotFound)?;
        if !remove_import(conn, row.id)? {
            return Err(Refusal::WorldMoved.into());
        }
        let subject = format!("import {reference}");
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "import.leave", subject, String::new()))?)
    })
}

/// An import with its table.
///
/// # Errors
/// `NotFound` when there is none; `WorldMoved` when it is done and the file is gone.
fn opened(app: &App, conn: &mut AnyConn, reference: &str) -> Result<(ImportRow, Sheet), Failure> {
    let row = find_import(conn, reference)?.ok_or(Failure::NotFound)?;
    let body = body_of(conn, row.id)?.ok_or(Refusal::WorldMoved)?;
    let key: [u8; 16] = row.row_key.clone().try_into().map_err(|_| StoreError::Unreadable("imports.row_key"))?;
    let plain = app.cipher.open(SEAL.0, SEAL.1, &key, &body).map_err(Failure::broken)?;
    let sheet = sheet::read(&plain, &Limits::default()).map_err(Failure::broken)?;
    Ok((row, sheet))
}

/// What a cell says.
fn said(cell: &Cell) -> Said {
    match cell {
        Cell::Empty => Said::Text(String::new()),
        Cell::Text(text) | Cell::Number(text) => Said::Text(text.replace('\n', " ")),
        Cell::Day(day) => Said::Day(*day),
        Cell::Broken(_) => Said::Unreadable,
    }
}
