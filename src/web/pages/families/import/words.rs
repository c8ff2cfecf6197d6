//! What the pages of an import say about files, columns and rows.

use crate::domain::import::plan::{Adult, Outcome};
use crate::domain::import::{ColumnFault, DayFault, Meaning, NameFault, RowFault};
use crate::services::imports::{PassedOver, PassedRows, PreviewRow};

/// What a column can mean, as the office reads it.
pub fn of_meaning(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::ChildName => "Child's name, whole",
        Meaning::ChildGiven => "Child's given name",
        Meaning::ChildFamily => "Child's family name",
        Meaning::BirthDate => "Birth date",
        Meaning::County => "Home county",
        Meaning::AdultName => "Adult's name, whole",
        Meaning::AdultGiven => "Adult's given name",
        Meaning::AdultFamily => "Adult's family name",
        Meaning::Phone => "Adult's phone",
        Meaning::Email => "Adult's e-mail address",
        Meaning::Language => "Language",
    }
}

/// What is wrong with the columns.
pub fn of_column(fault: ColumnFault) -> String {
    match fault {
        ColumnFault::Twice(meaning) => format!("Two columns are said to be: {}", of_meaning(meaning)),
        ColumnFault::NoChild => "Say which column has the child's name".to_owned(),
        ColumnFault::NoBirthDate => "Say which column has the birth date".to_owned(),
        ColumnFault::NoAdult => "Say which column has the adult's name".to_owned(),
        ColumnFault::NoPhone => "Say which column has the adult's phone".to_owned(),
        ColumnFault::NoCounty => "Say which column has the home county, or choose one for all rows".to_owned(),
    }
}

fn of_row(fault: RowFault) -> String {
    let name = |column: Meaning| if column == Meaning::ChildName { "the child's name" } else { "the adult's name" };
    match fault {
        RowFault::Name(column, NameFault::Missing) => format!("{} is missing", name(column)),
        RowFault::Name(column, NameFault::Unclear) => {
            format!("{} cannot be parted into given and family name", name(column))
        }
        RowFault::Name(column, NameFault::Malformed) => format!("{} has characters that no name has", name(column)),
        RowFault::Born(DayFault::Missing) => "the birth date is missing".to_owned(),
        RowFault::Born(DayFault::NotADay) => "the birth date is no date".to_owned(),
        RowFault::Born(DayFault::OtherOrder) => "the birth date has day and month the other way round".to_owned(),
        RowFault::Born(DayFault::Serial) => "the birth date is a bare number; format its column as a date".to_owned(),
        RowFault::Born(DayFault::InTheFuture) => "the birth date lies in the future".to_owned(),
        RowFault::Born(DayFault::TooLongAgo) => "the birth date lies too long ago".to_owned(),
        RowFault::County => "no county of the state has this name or code".to_owned(),
        RowFault::Phone => "the phone is missing, or no number with its area code".to_owned(),
        RowFault::Email => "the e-mail address is none".to_owned(),
        RowFault::Language => "the language is neither English nor Spanish".to_owned(),
        RowFault::Unreadable(meaning) => format!("{} holds an error", of_meaning(meaning).to_lowercase()),
        RowFault::TooMany => "the row is longer than the heading; a comma may be missing its quotes".to_owned(),
    }
}

/// What will become of a row, with the class and shape of its mark.
pub fn of_outcome(row: &PreviewRow, all: &[PreviewRow]) -> (Vec<String>, &'static str, &'static str) {
    let number = |place: &usize| all.get(*place).map_or(0, |row| row.number);
    match &row.outcome {
        Outcome::Added { adult, may_be_twice } => {
            let whose = match adult {
                Adult::New => "Added, with a new family".to_owned(),
                Adult::OfRow(place) => format!("Added to the family of row {}", number(place)),
                Adult::Here(_) => "Added to a family that is here".to_owned(),
            };
            let twice = may_be_twice.then(|| {
                "A child of this name and birth date is here with other adults: look at Entered twice".to_owned()
            });
            (std::iter::once(whose).chain(twice).collect(), "met", "met")
        }
        Outcome::Here => (vec!["Here already: nothing changes".to_owned()], "not-tried", "none"),
        Outcome::Again(place) => (vec![format!("The same as row {}", number(place))], "not-tried", "none"),
        Outcome::Faulty(faults) => {
            let words = faults.iter().map(|fault| of_row(*fault)).collect::<Vec<_>>().join("; ");
            (vec![format!("Cannot be taken: {words}")], "not-met", "notmet")
        }
    }
}

/// Rows that are none of the table.
pub fn of_passed(rows: &PassedRows) -> String {
    let which = match rows.first == rows.last {
        true => format!("Row {}", rows.first),
        false => format!("Rows {} to {}", rows.first, rows.last),
    };
    let why = match rows.why {
        PassedOver::SeparatorLine => "names the separator",
        PassedOver::BeforeHeading => "above the headings",
        PassedOver::Blank => "blank",
        PassedOver::HeadingAgain => "the headings again",
        PassedOver::Totals => "totals",
        PassedOver::Note => "a remark",
    };
    format!("{which}: {why}")
}
