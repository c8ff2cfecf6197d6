//! From cells as they stood to a table: names for the columns, rows of one length, and what is passed over.

use std::collections::{BTreeSet, HashSet};

use super::grid::{Grid, GridRow, letters};
use super::heading::{self, Heading, one_line};
use super::{Cell, Limits, PassedOver, PassedRows, ReadAs, Sheet, SheetFault, SheetRow};

/// First words of a row of sums.
const TOTALS: &[&str] = &[
    "total",
    "totals",
    "grand total",
    "subtotal",
    "count",
    "total count",
    "sum",
    "n",
    "average",
    "totales",
    "suma",
    "cuenta",
];
/// A text alone in a row is a remark from so many words or characters on. Shorter, it may be a name.
const WORDS_OF_A_NOTE: usize = 4;
const CHARACTERS_OF_A_NOTE: usize = 25;

/// A table without word of where it comes from.
#[derive(Debug)]
pub(super) struct Table {
    pub headings: Vec<String>,
    pub rows: Vec<SheetRow>,
    pub passed_over: Vec<PassedRows>,
}

impl Table {
    pub(super) fn into_sheet(self, other_sheets: Vec<String>, read_as: ReadAs) -> Sheet {
        let Self { headings, rows, passed_over } = self;
        Sheet { headings, rows, passed_over, other_sheets, read_as }
    }
}

/// Finds the heading, passes over what is no row of the table, and sets the rest in columns.
///
/// # Errors
/// No heading, nothing below it, or more columns than the limit.
pub(super) fn arranged(mut grid: Grid, limits: &Limits) -> Result<Table, SheetFault> {
    let heading = heading::find(&grid)?;
    let mut passed_over = blanks(&grid);
    let pass = |row: &GridRow, why| PassedRows { first: row.number, last: row.last, why };
    let body = grid.rows.split_off(heading.rows.end() + 1);
    passed_over.extend(grid.rows[..*heading.rows.start()].iter().map(|row| pass(row, PassedOver::BeforeHeading)));

    let heading_rows = &grid.rows[heading.rows.clone()];
    let is_again = |row: &GridRow| heading_rows.iter().any(|heading| is_same(heading, row));
    let (again, mut body): (Vec<GridRow>, Vec<GridRow>) = body.into_iter().partition(is_again);
    passed_over.extend(again.iter().map(|row| pass(row, PassedOver::HeadingAgain)));

    let is_one_column = heading.names.len() == 1 && body.iter().all(|row| row.cells.len() == 1);
    while let Some(why) = body.last().filter(|_| !is_one_column).and_then(tail) {
        passed_over.extend(body.pop().map(|row| pass(&row, why)));
    }
    passed_over.sort_by_key(|passed| passed.first);
    if body.is_empty() {
        return Err(SheetFault::NoRows { heading: grid.rows[*heading.rows.end()].number });
    }
    let columns = columns(&heading, &body);
    if columns.len() > limits.columns {
        return Err(SheetFault::TooManyColumns { most: limits.columns });
    }
    let last = heading.names.last_key_value().map_or(0, |(&column, _)| column);
    let rows = body.into_iter().map(|row| in_columns(row, &columns, last)).collect();
    Ok(Table { headings: names(&heading, &columns), rows, passed_over })
}

/// Rows without content before and between those with some.
fn blanks(grid: &Grid) -> Vec<PassedRows> {
    let ends = std::iter::once(grid.taken).chain(grid.rows.iter().map(|row| row.last));
    let gaps = ends.zip(&grid.rows).filter(|(end, row)| row.number > end + 1);
    gaps.map(|(end, row)| PassedRows { first: end + 1, last: row.number - 1, why: PassedOver::Blank }).collect()
}

/// A row that says the same as a row of the heading, whatever the case of its letters.
fn is_same(heading: &GridRow, row: &GridRow) -> bool {
    let folded = |cell: &Cell| one_line(cell).to_lowercase();
    let mut pairs = heading.cells.iter().zip(&row.cells);
    heading.cells.len() == row.cells.len()
        && pairs.all(|((here, name), (there, cell))| here == there && folded(name) == folded(cell))
}

/// Why a last row is no row of the table; none where it is one.
fn tail(row: &GridRow) -> Option<PassedOver> {
    let ((_, first), rest) = row.cells.split_first()?;
    if is_total(first) && rest.iter().all(|(_, cell)| is_number(cell)) {
        return Some(PassedOver::Totals);
    }
    if !rest.is_empty() {
        return None;
    }
    if is_number(first) {
        return Some(PassedOver::Totals);
    }
    let Cell::Text(text) = first else { return None };
    let is_long = text.chars().count() >= CHARACTERS_OF_A_NOTE && text.contains(char::is_whitespace);
    (is_long || text.split_whitespace().count() >= WORDS_OF_A_NOTE).then_some(PassedOver::Note)
}

/// "Total", "Totals:", "N = 34", "Count: 34".
fn is_total(cell: &Cell) -> bool {
    let text = one_line(cell).to_lowercase();
    let (word, number) = text.split_once([':', '=']).unwrap_or((&text, ""));
    TOTALS.contains(&word.trim()) && (number.trim().is_empty() || is_figure(number.trim()))
}

fn is_number(cell: &Cell) -> bool {
    match cell {
        Cell::Number(_) => true,
        Cell::Text(text) => is_figure(text),
        Cell::Broken(flaw) => matches!(flaw, super::Flaw::Formula(_)),
        Cell::Empty | Cell::Day(_) => false,
    }
}

/// A number as a sum is written: digits, with separators, a sign, a currency or a percent sign.
fn is_figure(text: &str) -> bool {
    text.contains(|c: char| c.is_ascii_digit())
        && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '$' | '€' | '£' | '%' | ' '))
}

/// The columns that have a name or hold anything, in order.
fn columns(heading: &Heading, body: &[GridRow]) -> Vec<u32> {
    let filled = body.iter().flat_map(|row| row.cells.iter().map(|&(column, _)| column));
    heading.names.keys().copied().chain(filled).collect::<BTreeSet<u32>>().into_iter().collect()
}

/// The names of the columns, each once.
fn names(heading: &Heading, columns: &[u32]) -> Vec<String> {
    let mut taken = HashSet::new();
    let name = |column: &u32| {
        let name = heading.names.get(column).filter(|name| !name.is_empty());
        let name = name.cloned().unwrap_or_else(|| format!("Column {}", letters(*column)));
        let mut once = name.clone();
        let mut count = 1;
        while !taken.insert(once.to_lowercase()) {
            count += 1;
            once = format!("{name} ({count})");
        }
        once
    };
    columns.iter().map(name).collect()
}

fn in_columns(row: GridRow, columns: &[u32], last: u32) -> SheetRow {
    let overhangs = row.last_column() > last;
    let mut cells = vec![Cell::Empty; columns.len()];
    for (column, cell) in row.cells {
        if let Ok(place) = columns.binary_search(&column) {
            cells[place] = cell;
        }
    }
    SheetRow { number: row.number, cells, overhangs }
}
