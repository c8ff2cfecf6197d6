//! A sheet of papers of the staff: what its columns are called, what its words mean, and the rows as a page carries them from the
//! look to the press. Knows no file and no person.

use std::collections::BTreeMap;

use super::certification::CertificationKind;
use super::name_form::words_of;
use super::words::{Word, word_list};

word_list! {
    /// A column of the sheet.
    PaperColumn {
        /// The address with which the person signs in.
        Email = "email",
        /// What the paper shows.
        Paper = "paper",
        /// The first day it counts.
        First = "first",
        /// The last day it counts.
        Last = "last",
    }
}

impl PaperColumn {
    /// What the column is called.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Self::Email => "E-mail",
            Self::Paper => "Paper",
            Self::First => "First day",
            Self::Last => "Last day",
        }
    }

    /// Whether its cells are days.
    #[must_use]
    pub fn is_day(self) -> bool {
        matches!(self, Self::First | Self::Last)
    }
}

/// One row: the text of each cell that has any.
pub type PaperRow = BTreeMap<PaperColumn, String>;

/// The most papers of one sheet: a page carries them from the look to the press.
pub const MOST_ROWS: usize = 200;
/// The most characters of a cell.
const LONGEST: usize = 120;

/// Words of headings that offices use; the first that fits counts. Common practice, no source.
const OTHER_WORDS: &[(&str, PaperColumn)] = &[
    ("mail", PaperColumn::Email),
    ("email", PaperColumn::Email),
    ("address", PaperColumn::Email),
    ("paper", PaperColumn::Paper),
    ("certification", PaperColumn::Paper),
    ("kind", PaperColumn::Paper),
    ("type", PaperColumn::Paper),
    ("issued", PaperColumn::First),
    ("first", PaperColumn::First),
    ("from", PaperColumn::First),
    ("last", PaperColumn::Last),
    ("expires", PaperColumn::Last),
    ("expiry", PaperColumn::Last),
    ("through", PaperColumn::Last),
    ("until", PaperColumn::Last),
];

/// The column of each heading, each once: the first that has it.
#[must_use]
pub fn columns(headings: &[String]) -> Vec<Option<PaperColumn>> {
    let mut taken = Vec::new();
    let mut one = |heading: &String| {
        let words = words_of(heading);
        let own = PaperColumn::ALL.iter().find(|column| words_of(column.heading()) == words).copied();
        let other = || OTHER_WORDS.iter().find(|(word, _)| words.iter().any(|said| said == word)).map(|(_, one)| *one);
        let found = own.or_else(other).filter(|column| !taken.contains(column))?;
        taken.push(found);
        Some(found)
    };
    headings.iter().map(&mut one).collect()
}

/// What a paper shows, by its words.
#[must_use]
pub fn kind(text: &str) -> Option<CertificationKind> {
    let words = words_of(text);
    let has = |wanted: &str| words.iter().any(|word| word == wanted);
    match () {
        () if has("first") && has("aid") || has("cpr") => Some(CertificationKind::FirstAid),
        () if has("background") => Some(CertificationKind::Background),
        () if has("child") || has("protection") => Some(CertificationKind::ChildProtection),
        () if has("riding") || has("instructor") || has("teaching") => Some(CertificationKind::Riding),
        () => None,
    }
}

/// The rows as one text: a line each, cells parted by tabs in the order of the columns.
#[must_use]
pub fn pack(rows: &[PaperRow]) -> String {
    let plain = |text: &str| text.replace(char::is_control, " ").chars().take(LONGEST).collect::<String>();
    let cell = |row: &PaperRow, column: &PaperColumn| row.get(column).map(|text| plain(text)).unwrap_or_default();
    let line = |row: &PaperRow| PaperColumn::ALL.iter().map(|column| cell(row, column)).collect::<Vec<_>>().join("\t");
    rows.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// The rows of such a text; `None` when it is none.
#[must_use]
pub fn unpack(text: &str) -> Option<Vec<PaperRow>> {
    let row = |line: &str| {
        let cells: Vec<&str> = line.split('\t').collect();
        if cells.len() != PaperColumn::ALL.len() || cells.iter().any(|cell| cell.chars().count() > LONGEST) {
            return None;
        }
        let filled = PaperColumn::ALL.iter().zip(cells).filter(|(_, cell)| !cell.is_empty());
        Some(filled.map(|(column, cell)| (*column, cell.to_owned())).collect())
    };
    let text = text.replace("\r\n", "\n");
    let rows: Option<Vec<PaperRow>> = text.split('\n').map(row).collect();
    rows.filter(|rows| rows.len() <= MOST_ROWS)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn day_5_columns_and_kinds_of_papers_are_known_by_the_words_that_offices_use() {
        use PaperColumn::{Email, First, Last, Paper};
        let of = |headings: &[&str]| columns(&headings.iter().map(|text| (*text).to_owned()).collect::<Vec<_>>());
        assert_eq!(
            of(&["E-mail", "Paper", "First day", "Last day"]),
            [Some(Email), Some(Paper), Some(First), Some(Last)]
        );
        assert_eq!(
            of(&["Expires", "Certification type", "Mail address", "Issued"]),
            [Some(Last), Some(Paper), Some(Email), Some(First)]
        );
        assert_eq!(of(&["Note", "Email", "E-mail"]), [None, Some(Email), None]);
        for (text, found) in [
            ("First aid / CPR", Some(CertificationKind::FirstAid)),
            ("CPR", Some(CertificationKind::FirstAid)),
            ("background check", Some(CertificationKind::Background)),
            ("Child protection training", Some(CertificationKind::ChildProtection)),
            ("Riding instructor", Some(CertificationKind::Riding)),
            ("first", None),
            ("driver", None),
            ("", None),
        ] {
            assert_eq!(kind(text), found, "{text}");
        }
    }

    proptest! {
        #[test]
        fn day_5_rows_come_back_from_the_page_as_they_went(rows in prop::collection::vec(
            prop::collection::vec("[a-zA-Z0-9@. -]{0,20}", 4), 1..20,
        )) {
            let rows: Vec<PaperRow> = rows
                .into_iter()
                .map(|cells| PaperColumn::ALL.iter().copied().zip(cells).filter(|(_, cell)| !cell.is_empty()).collect())
                .collect();
            prop_assert_eq!(unpack(&pack(&rows)), Some(rows));
        }

        #[test]
        fn day_5_no_text_breaks_the_reader(text in "\\PC{0,200}") {
            let _ = unpack(&text);
            let _ = kind(&text);
        }
    }
}
