//! Reads a small sheet into rows that a page carries from the look to the press. The file is not kept.

use chrono::{Months, NaiveDate};

use super::{App, Failure, program};
use crate::domain::carried_sheet::{Row, SheetColumn, columns};
use crate::domain::import::{DayOrder, day};
use crate::outside::sheet::{self, Cell, Limits};

pub use crate::outside::sheet::SheetFault;

/// A file as rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brought<C> {
    /// The rows, each with its number in the file.
    pub rows: Vec<(u32, Row<C>)>,
    /// Columns that are needed and that the file does not have.
    pub missing: Vec<C>,
    /// Headings that say nothing that is asked.
    pub passed_over: Vec<String>,
}

/// Reads a file. Days come out as 2023-03-14 where they are days. Whoever calls has asked who may bring it.
///
/// # Errors
/// What is wrong with the file.
pub(super) fn read<C: SheetColumn>(app: &App, bytes: &[u8]) -> Result<Result<Brought<C>, SheetFault>, Failure> {
    let most = C::MOST_ROWS;
    // The heading, and lines that are none of the table, come on top.
    let limits = Limits { rows: most + 20, ..Limits::default() };
    let sheet = match sheet::read(bytes, &limits) {
        Ok(sheet) if sheet.rows.len() > most => return Ok(Err(SheetFault::TooManyRows { most })),
        Ok(sheet) => sheet,
        Err(SheetFault::TooManyRows { .. }) => return Ok(Err(SheetFault::TooManyRows { most })),
        Err(fault) => return Ok(Err(fault)),
    };
    let today = app.clock.today(app.store.read(|conn| Ok::<_, Failure>(program::load(conn)?.zone))?);
    let latest = today.checked_add_months(Months::new(C::MONTHS_AHEAD)).unwrap_or(today);
    let columns: Vec<Option<C>> = columns(&sheet.headings);
    let cells = |cells: &[Cell]| -> Row<C> {
        let filled = columns.iter().zip(cells).filter_map(|(column, cell)| Some(((*column)?, cell)));
        filled.map(|(column, cell)| (column, text(column, cell, latest))).filter(|(_, text)| !text.is_empty()).collect()
    };
    let unread = sheet.headings.iter().zip(&columns).filter(|(_, column)| column.is_none());
    Ok(Ok(Brought {
        rows: sheet.rows.iter().map(|row| (row.number, cells(&row.cells))).collect(),
        missing: C::ALL.iter().filter(|one| one.is_needed() && !columns.contains(&Some(**one))).copied().collect(),
        passed_over: unread.map(|(heading, _)| heading.clone()).collect(),
    }))
}

/// The text of a cell; the century of a year of two digits is the last that ends by `latest`.
fn text<C: SheetColumn>(column: C, cell: &Cell, latest: NaiveDate) -> String {
    let text = cell.to_text().trim().to_owned();
    match cell {
        Cell::Day(day) => day.to_string(),
        _ if column.is_day() => day(&text, DayOrder::MonthFirst, latest).map_or(text.clone(), |day| day.to_string()),
        _ => text,
    }
}
