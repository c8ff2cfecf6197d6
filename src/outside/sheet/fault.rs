//! Why a file could not be read as a table.

use super::Kind;

/// Why there is no table. The words name the cause and what to do, for the log and for people who know the code.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetFault {
    /// The file, or every worksheet in it, holds nothing.
    #[error("the file is empty")]
    Empty,
    /// More bytes than the limit.
    #[error("the file has more than {most} bytes")]
    TooManyBytes {
        /// The limit, in bytes.
        most: usize,
    },
    /// More rows that hold anything than the limit.
    #[error("the table has more than {most} rows")]
    TooManyRows {
        /// The limit.
        most: usize,
    },
    /// More columns that hold anything than the limit.
    #[error("the table has more than {most} columns")]
    TooManyColumns {
        /// The limit.
        most: usize,
    },
    /// More worksheets than are looked through.
    #[error("the workbook has more than {most} worksheets")]
    TooManyWorksheets {
        /// The limit.
        most: usize,
    },
    /// A cell with more characters than the limit.
    #[error("the cell in row {row}, column {column} has more than {most} characters")]
    CellTooLong {
        /// Number of the row in the file, from 1.
        row: u32,
        /// Letters of the column, "A" for the first.
        column: String,
        /// The limit, in characters.
        most: usize,
    },
    /// A workbook that grows past the limit while it is unpacked, or by repeating a long text.
    #[error("the workbook holds more than {most} bytes once unpacked")]
    TooMuchUnpacked {
        /// The limit, in bytes.
        most: usize,
    },
    /// Another kind of file.
    #[error("this is {0}; {advice}", advice = .0.advice())]
    Foreign(Kind),
    /// A workbook that breaks the rules of its form.
    #[error("the workbook is damaged ({0}); open it and save it anew as .xlsx")]
    Damaged(&'static str),
    /// A CSV file in which a quotation mark opens a cell and none closes it.
    #[error("a quotation mark in line {row} is never closed")]
    QuoteNeverClosed {
        /// The line on which the record starts, from 1.
        row: u32,
    },
    /// Every worksheet that holds anything is hidden.
    #[error("every worksheet with content is hidden")]
    OnlyHidden,
    /// The first rows hold values and no names of columns.
    #[error("no row of column headings was found; row {row} already holds values")]
    NoHeading {
        /// The first row with more than one cell, from 1.
        row: u32,
    },
    /// A heading and nothing below it.
    #[error("there is nothing below the heading in row {heading}")]
    NoRows {
        /// The last row of the heading, from 1.
        heading: u32,
    },
}
