//! Reads the spreadsheet file that an office uploads, CSV or XLSX, into a plain table of cells.
//! Must not decide what a column means, nor read dates out of text: text stays text.

mod arrange;
mod cell;
mod fault;
mod grid;
mod guard;
mod heading;
mod kind;
mod limits;
mod package;
mod text;
mod workbook;

#[cfg(test)]
mod tests;

pub use cell::{Cell, Flaw};
pub use fault::SheetFault;
pub use kind::Kind;
pub use limits::Limits;

/// A table as it stood in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// Column headings, each once: a repeated heading gets " (2)", one that is missing is "Column C" after its letter.
    /// A column with neither heading nor content is left out.
    pub headings: Vec<String>,
    /// The rows below the heading that hold anything, in the order of the file. There is at least one.
    pub rows: Vec<SheetRow>,
    /// What was passed over, in the order of the file.
    pub passed_over: Vec<PassedRows>,
    /// Names of other worksheets that hold anything and were not read; hidden ones too.
    pub other_sheets: Vec<String>,
    /// How the file was read.
    pub read_as: ReadAs,
}

/// A row of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetRow {
    /// Its number in the file, from 1: the spreadsheet's own, or the line on which a CSV record starts.
    pub number: u32,
    /// As many cells as there are headings.
    pub cells: Vec<Cell>,
    /// It holds something to the right of the last heading. In a CSV file this is mostly a separator that was not
    /// quoted, and the cells after it stand one column too far right.
    pub overhangs: bool,
}

/// Neighbouring rows that are not part of the table, for one reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PassedRows {
    /// Number of the first row, counted like [`SheetRow::number`].
    pub first: u32,
    /// Number of the last row; the first again where it is one row.
    pub last: u32,
    /// The reason.
    pub why: PassedOver,
}

/// Why a row is not part of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PassedOver {
    /// The first line of a CSV file names the separator.
    SeparatorLine,
    /// It stands before the heading: a title, a printing date, a banner that names no columns.
    BeforeHeading,
    /// It holds nothing.
    Blank,
    /// The heading again, as after a page break.
    HeadingAgain,
    /// Sums at the end: "Total", "Count", "N = 34", or a number alone.
    Totals,
    /// A remark at the end: one long text alone.
    Note,
}

/// How a file was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadAs {
    /// Text with separators.
    Csv {
        /// The encoding of the text.
        encoding: Encoding,
        /// What stands between the cells: comma, semicolon, tab, pipe, or what a "sep=" line names.
        /// None where there is one column.
        separator: Option<char>,
    },
    /// A workbook.
    Xlsx {
        /// The worksheet that was read.
        worksheet: String,
        /// How the workbook counts days.
        days: DaySystem,
    },
}

/// The encoding of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, with or without a byte order mark.
    Utf8,
    /// UTF-16, the low byte first.
    Utf16Le,
    /// UTF-16, the high byte first.
    Utf16Be,
    /// Windows-1252: what is not valid in another.
    Windows1252,
}

/// How a workbook counts days (ECMA-376 part 1, 18.17.4.1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DaySystem {
    /// Day 1 is 1 January 1900, and day 60 is a 29 February that never was.
    From1900,
    /// Day 0 is 1 January 1904.
    From1904,
}

/// Reads a table from the bytes of a file. What it is comes from the bytes alone, never from a name.
///
/// Hidden rows are ordinary rows. A hidden worksheet is never chosen. Of the others the one with the most rows below
/// a heading is, the first of several. A row longer than the heading keeps its cells, in columns named after their
/// letters, and says so in [`SheetRow::overhangs`].
///
/// # Errors
/// A [`SheetFault`] where there is no table to be read: another kind of file, a damaged one, a limit passed, no
/// heading, or nothing below it. What is wrong with one cell alone is a [`Flaw`] in that cell.
pub fn read(bytes: &[u8], limits: &Limits) -> Result<Sheet, SheetFault> {
    if bytes.len() > limits.bytes {
        return Err(SheetFault::TooManyBytes { most: limits.bytes });
    }
    match kind::of(bytes) {
        Some(Kind::Zip) => workbook::read(bytes, limits),
        Some(foreign) => Err(SheetFault::Foreign(foreign)),
        None => text::read(bytes, limits),
    }
}
