//! The good workbooks of the corpus, read by another program: PyPI openpyxl.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use waymark::outside::sheet::{Cell, ReadAs, read};

use super::{LIMITS, Outcome, corpus};
use crate::exchange::read_by;
use crate::house::database::scratch;

/// Takes files, each with a worksheet and numbers of rows, and prints the texts of each row's cells, as a table has
/// them, without the empty ones.
const CELL_READER: &str = r#"
import datetime, decimal, json, sys
import openpyxl
from openpyxl.utils.escape import unescape

PADDING = " \t\r\n\u00a0\u2003\u200b\ufeff\u202a\u202c"

def as_clock(seconds):
    hours, minutes, rest = seconds // 3600, seconds // 60 % 60, seconds % 60
    return f"{hours}:{minutes:02}" + (f":{rest:02}" if rest else "")

def as_text(cell):
    value = cell.value
    if value is None:
        return None
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, datetime.timedelta):
        return as_clock(round(value.total_seconds()))
    if isinstance(value, datetime.time):
        return as_clock(value.hour * 3600 + value.minute * 60 + value.second)
    if isinstance(value, (int, float)):
        text = format(decimal.Decimal(f"{value:.15g}"), "f")
        text = text.rstrip("0").rstrip(".") if "." in text else text
        form = cell.number_format
        if set(form) == {"0"} and "." not in text:
            text = text.zfill(len(form))
        return "0" if text == "-0" else text
    return unescape(value).strip(PADDING).replace("\r\n", "\n").replace("\u00a0", " ") or None

def rows_of(file, worksheet, numbers):
    sheet = openpyxl.load_workbook(file, data_only=True)[worksheet]
    return [[text for text in map(as_text, sheet[number]) if text is not None] for number in numbers]

print(json.dumps([rows_of(*asked) for asked in json.load(sys.stdin)]))
"#;

/// It refuses the whole file for one cell: a day in text form that is none, a number that is none.
const REFUSED: [&str; 2] = ["days as text of the form", "numbers without end"];
/// Counting from 1904 it takes day 0 for midnight; the form says 1 January 1904 (ECMA-376 part 1, 18.17.4.1).
const ON_PURPOSE: [(&str, u32); 1] = [("days counted from 1904", 2)];

/// A workbook and what was read of it.
struct Book {
    name: &'static str,
    file: PathBuf,
    worksheet: String,
    rows: Vec<Row>,
}

/// The number of a row, and its cells that hold anything: their texts, none for a flaw, of which the other program
/// makes some day, time or text.
type Row = (u32, Vec<Option<String>>);

/// Writes the workbooks to a folder and reads them.
fn books(folder: &Path) -> Vec<Book> {
    let mut books = Vec::new();
    for (place, case) in corpus().into_iter().enumerate().filter(|(_, case)| !REFUSED.contains(&case.name)) {
        let (Outcome::Lines(_), Ok(sheet)) = (&case.outcome, read(&case.bytes, &LIMITS)) else { continue };
        let ReadAs::Xlsx { worksheet, .. } = sheet.read_as else { continue };
        let file = folder.join(format!("{place}.xlsx"));
        std::fs::write(&file, &case.bytes).expect("the folder takes a file");
        let text = |cell: &Cell| Some(cell.to_text().into_owned()).filter(|text| !text.is_empty());
        let texts = |cells: &[Cell]| cells.iter().filter(|cell| **cell != Cell::Empty).map(text).collect();
        let rows = sheet.rows.iter().map(|row| (row.number, texts(&row.cells))).collect();
        books.push(Book { name: case.name, file, worksheet, rows });
    }
    books
}

/// Rows of which the other program reads something else.
fn differences(books: &[Book], theirs: &Value) -> Vec<String> {
    let mut found = Vec::new();
    for (place, book) in books.iter().enumerate() {
        for (line, (number, ours)) in book.rows.iter().enumerate() {
            let read = theirs[place][line].as_array().expect("a row");
            let is_same = |(our, their): (&Option<String>, &Value)| our.as_ref().is_none_or(|text| their == text);
            let same = ours.len() == read.len() && ours.iter().zip(read).all(is_same);
            if !same && !ON_PURPOSE.contains(&(book.name, *number)) {
                found.push(format!("{}, row {number}: {ours:?} here, {read:?} there", book.name));
            }
        }
    }
    found
}

/// Independent reader: openpyxl. A difference is planted first, so that the comparison is known to see one.
#[test]
fn u35_a_second_program_reads_the_same_cells() {
    let folder = scratch("sheets");
    let mut books = books(&folder);
    let numbers = |book: &Book| book.rows.iter().map(|(number, _)| *number).collect::<Vec<_>>();
    let asked: Vec<Value> = books.iter().map(|book| json!([book.file, book.worksheet, numbers(book)])).collect();
    let theirs = read_by(CELL_READER, &serde_json::to_vec(&asked).expect("JSON"));
    std::fs::remove_dir_all(&folder).expect("the folder goes");
    let compared: usize = books.iter().flat_map(|book| &book.rows).map(|(_, texts)| texts.len()).sum();
    assert!(books.len() > 10 && compared > 80, "{} workbooks, {compared} cells", books.len());

    let book = books.iter_mut().find(|book| book.name == "a whole workbook of families").expect("the workbook");
    let whole = book.rows[0].1[1].replace("2014-06-05".into());
    assert_eq!(whole.as_deref(), Some("2014-06-06"));
    let [planted] = differences(&books, &theirs).try_into().expect("the planted difference alone");
    assert!(planted.starts_with("a whole workbook of families, row 2") && planted.contains("2014-06-05"), "{planted}");

    let book = books.iter_mut().find(|book| book.name == "a whole workbook of families").expect("the workbook");
    book.rows[0].1[1] = whole;
    assert_eq!(differences(&books, &theirs), [""; 0]);
}
