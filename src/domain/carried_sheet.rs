//! A small sheet whose rows a page carries from the look to the press: which column a heading names, and the rows as one text. What
//! the columns are, each kind of sheet says. Knows no file.

use std::collections::BTreeMap;

use super::name_form::words_of;
use super::words::Word;

/// The most characters of a cell.
const LONGEST: usize = 120;

/// A column of such a sheet.
pub trait SheetColumn: Word + Ord {
    /// The most rows of a sheet: a page carries them.
    const MOST_ROWS: usize;
    /// Words of other headings that offices use, each with its column; the first that fits counts. Common practice, no source.
    const OTHER_WORDS: &'static [(&'static [&'static str], Self)];
    /// How many months from today a day of the sheet may lie ahead, for years of two digits.
    const MONTHS_AHEAD: u32 = 0;

    /// What the column is called.
    fn heading(self) -> &'static str;
    /// Whether a sheet cannot be without it.
    fn is_needed(self) -> bool;
    /// Whether its cells are days.
    fn is_day(self) -> bool;
}

/// One row: the text of each cell that has any.
pub type Row<C> = BTreeMap<C, String>;

/// What a column of this heading says; nothing when no word tells.
#[must_use]
pub fn column<C: SheetColumn>(heading: &str) -> Option<C> {
    let words = words_of(heading);
    let own = C::ALL.iter().find(|column| words_of(column.heading()) == words);
    let has = |wanted: &[&str]| wanted.iter().all(|word| words.iter().any(|said| said == word));
    own.or_else(|| C::OTHER_WORDS.iter().find(|(wanted, _)| has(wanted)).map(|(_, column)| column)).copied()
}

/// The column of each heading, each once: the first that has it.
#[must_use]
pub fn columns<C: SheetColumn>(headings: &[String]) -> Vec<Option<C>> {
    let mut taken: Vec<C> = Vec::new();
    let one = |heading: &String| {
        let found = column(heading).filter(|column| !taken.contains(column))?;
        taken.push(found);
        Some(found)
    };
    headings.iter().map(one).collect()
}

/// The rows as one text: a line each, cells parted by tabs in the order of the columns.
#[must_use]
pub fn pack<C: SheetColumn>(rows: &[Row<C>]) -> String {
    let plain = |text: &str| text.replace(char::is_control, " ").chars().take(LONGEST).collect::<String>();
    let cell = |row: &Row<C>, column: &C| row.get(column).map(|text| plain(text)).unwrap_or_default();
    let line = |row: &Row<C>| C::ALL.iter().map(|column| cell(row, column)).collect::<Vec<_>>().join("\t");
    rows.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// The rows of such a text; `None` when it is none.
#[must_use]
pub fn unpack<C: SheetColumn>(text: &str) -> Option<Vec<Row<C>>> {
    let line = |line: &str| {
        let cells: Vec<&str> = line.split('\t').collect();
        let filled = |(column, cell): (&C, &&str)| (!cell.is_empty()).then(|| (*column, (*cell).to_owned()));
        let fits = cells.len() == C::ALL.len() && cells.iter().all(|cell| cell.chars().count() <= LONGEST);
        fits.then(|| C::ALL.iter().zip(&cells).filter_map(filled).collect())
    };
    let rows: Vec<Row<C>> = text.lines().map(line).collect::<Option<_>>()?;
    (1..=C::MOST_ROWS).contains(&rows.len()).then_some(rows)
}
