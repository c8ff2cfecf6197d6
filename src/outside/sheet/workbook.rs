//! Workbooks of the form XLSX: which worksheet holds the table, and its cells. Must not unpack anything (see
//! `package`), nor decide which row is the heading.

use std::io::Cursor;

use calamine::{CellErrorType, DataRef, Dimensions, Reader, SheetType, SheetVisible, Style, Xlsx};

use super::arrange::{self, Table};
use super::grid::{Grid, Merge};
use super::{Cell, DaySystem, Flaw, Limits, ReadAs, Sheet, SheetFault, package};

/// Worksheets that are looked through. An office's workbook has one a group or a week.
const MOST_WORKSHEETS: usize = 100;

type Workbook = Xlsx<Cursor<Vec<u8>>>;

/// A worksheet, arranged as a table or not.
struct Found {
    name: String,
    filled: usize,
    table: Result<Table, SheetFault>,
}

/// Reads the table of the worksheet that looks most like one.
pub(super) fn read(bytes: &[u8], limits: &Limits) -> Result<Sheet, SheetFault> {
    let (archive, has_merges) = package::repacked(bytes, limits)?;
    let mut workbook: Workbook = Xlsx::new(Cursor::new(archive)).map_err(|_| NOT_A_WORKBOOK)?;
    let sheets: Vec<_> =
        workbook.sheets_metadata().iter().filter(|sheet| sheet.typ == SheetType::WorkSheet).cloned().collect();
    if sheets.len() > MOST_WORKSHEETS {
        return Err(SheetFault::TooManyWorksheets { most: MOST_WORKSHEETS });
    }
    let mut best: Option<(usize, Found)> = None;
    let mut other_sheets = Vec::new();
    for (place, sheet) in sheets.into_iter().enumerate() {
        if sheet.visible != SheetVisible::Visible {
            if holds_anything(&mut workbook, &sheet.name)? {
                other_sheets.push((place, sheet.name));
            }
            continue;
        }
        let Some(found) = look_through(&mut workbook, sheet.name, has_merges, limits)? else { continue };
        let passed = match &best {
            Some((_, so_far)) if found.worth() <= so_far.worth() => Some((place, found)),
            _ => best.replace((place, found)),
        };
        other_sheets.extend(passed.map(|(place, found)| (place, found.name)));
    }
    let nothing = if other_sheets.is_empty() { SheetFault::Empty } else { SheetFault::OnlyHidden };
    let (_, found) = best.ok_or(nothing)?;
    other_sheets.sort_unstable();
    let other_sheets = other_sheets.into_iter().map(|(_, name)| name).collect();
    let read_as = ReadAs::Xlsx { worksheet: found.name, days: day_system(&workbook) };
    Ok(found.table?.into_sheet(other_sheets, read_as))
}

const NOT_A_WORKBOOK: SheetFault = SheetFault::Damaged("the workbook's parts do not fit together");
const BROKEN_SHEET: SheetFault = SheetFault::Damaged("a worksheet cannot be read");

impl Found {
    /// A table of several columns comes before a list, and that before what is no table; then the rows count.
    fn worth(&self) -> (usize, usize) {
        match &self.table {
            Ok(table) if table.headings.len() > 1 => (2, table.rows.len()),
            Ok(table) => (1, table.rows.len()),
            Err(_) => (0, self.filled),
        }
    }
}

fn day_system(workbook: &Workbook) -> DaySystem {
    if workbook.has_1904_epoch() { DaySystem::From1904 } else { DaySystem::From1900 }
}

/// Whether a worksheet holds anything: read only up to its first filled cell.
fn holds_anything(workbook: &mut Workbook, name: &str) -> Result<bool, SheetFault> {
    let mut cells = workbook.worksheet_cells_reader(name).map_err(|_| BROKEN_SHEET)?;
    while let Some(cell) = cells.next_cell().map_err(|_| BROKEN_SHEET)? {
        if !matches!(cell.get_value(), DataRef::Empty) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Reads a worksheet; none where it holds nothing. A limit that it passes is an error of the whole file.
fn look_through(
    workbook: &mut Workbook,
    name: String,
    has_merges: bool,
    limits: &Limits,
) -> Result<Option<Found>, SheetFault> {
    let mut grid = cells(workbook, &name, limits)?;
    if has_merges {
        let merges = workbook.merge_cells_by_sheet_name(&name).map_err(|_| BROKEN_SHEET)?;
        let merge =
            |area: Dimensions| Merge { rows: (area.start.0 + 1, area.end.0 + 1), columns: (area.start.1, area.end.1) };
        grid.merge(merges.into_iter().map(merge).collect(), limits)?;
    }
    let filled = grid.rows.len();
    if filled == 0 {
        return Ok(None);
    }
    let table = arrange::arranged(grid, limits);
    if let Err(fault @ SheetFault::TooManyColumns { .. }) = table {
        return Err(fault);
    }
    Ok(Some(Found { name, filled, table }))
}

/// The cells of a worksheet, one after another: the area they span is never laid out.
fn cells(workbook: &mut Workbook, name: &str, limits: &Limits) -> Result<Grid, SheetFault> {
    let days = day_system(workbook);
    let mut grid = Grid::default();
    let mut cells = workbook.worksheet_cells_reader(name).map_err(|_| BROKEN_SHEET)?;
    while let Some((cell, style)) = cells.next_cell_with_style_id().map_err(|_| BROKEN_SHEET)? {
        let (row, column) = cell.get_position();
        let value = match cell.get_value() {
            DataRef::Float(number) => Cell::of_number(*number, least_digits(cells.styles().get(style))),
            value => read_value(value, days),
        };
        grid.add(row + 1, column, value, limits)?;
    }
    Ok(grid)
}

/// How many digits a format of zeros alone asks for, such as "00000" for a postal code.
fn least_digits(style: Option<&Style>) -> usize {
    let format = style.and_then(|style| style.number_format.as_ref());
    let code = format.map_or("", |format| format.format_code.as_str());
    if code.len() <= 15 && code.bytes().all(|byte| byte == b'0') { code.len() } else { 0 }
}

fn read_value(value: &DataRef<'_>, days: DaySystem) -> Cell {
    match value {
        DataRef::Empty => Cell::Empty,
        DataRef::String(text) => Cell::of_text(text),
        DataRef::SharedString(text) => Cell::of_text(text),
        DataRef::Bool(yes) => Cell::Text(if *yes { "TRUE" } else { "FALSE" }.to_owned()),
        DataRef::Int(number) => Cell::Number(number.to_string()),
        DataRef::Float(number) => Cell::of_number(*number, 0),
        DataRef::DateTime(time) if time.is_duration() => Cell::of_duration(time.as_f64()),
        DataRef::DateTime(time) => Cell::of_serial(time.as_f64(), days),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => Cell::of_iso(text),
        DataRef::Error(error) => Cell::Broken(Flaw::Formula(error_text(error))),
    }
}

fn error_text(error: &CellErrorType) -> &'static str {
    match error {
        CellErrorType::Div0 => "#DIV/0!",
        CellErrorType::NA => "#N/A",
        CellErrorType::Name => "#NAME?",
        CellErrorType::Null => "#NULL!",
        CellErrorType::Num => "#NUM!",
        CellErrorType::Ref => "#REF!",
        CellErrorType::Value => "#VALUE!",
        CellErrorType::GettingData => "#DATA!",
    }
}
