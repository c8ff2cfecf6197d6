//! A sheet of papers of the staff: what its columns are called and what its words mean. Knows no file and no person.

use super::carried_sheet::SheetColumn;
use super::certification::CertificationKind;
use super::name_form::words_of;
use super::words::word_list;

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

impl SheetColumn for PaperColumn {
    const MOST_ROWS: usize = 200;
    const OTHER_WORDS: &'static [(&'static [&'static str], Self)] = &[
        (&["mail"], PaperColumn::Email),
        (&["email"], PaperColumn::Email),
        (&["address"], PaperColumn::Email),
        (&["paper"], PaperColumn::Paper),
        (&["certification"], PaperColumn::Paper),
        (&["kind"], PaperColumn::Paper),
        (&["type"], PaperColumn::Paper),
        (&["issued"], PaperColumn::First),
        (&["first"], PaperColumn::First),
        (&["from"], PaperColumn::First),
        (&["last"], PaperColumn::Last),
        (&["expires"], PaperColumn::Last),
        (&["expiry"], PaperColumn::Last),
        (&["through"], PaperColumn::Last),
        (&["until"], PaperColumn::Last),
    ];
    // The last day of a paper lies ahead.
    const MONTHS_AHEAD: u32 = 600;

    fn heading(self) -> &'static str {
        match self {
            Self::Email => "E-mail",
            Self::Paper => "Paper",
            Self::First => "First day",
            Self::Last => "Last day",
        }
    }

    fn is_needed(self) -> bool {
        true
    }

    fn is_day(self) -> bool {
        matches!(self, Self::First | Self::Last)
    }
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::domain::carried_sheet::{Row, columns, pack, unpack};
    use crate::domain::words::Word;

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
            let rows: Vec<Row<PaperColumn>> = rows
                .into_iter()
                .map(|cells| PaperColumn::ALL.iter().copied().zip(cells).filter(|(_, cell)| !cell.is_empty()).collect())
                .collect();
            prop_assert_eq!(unpack(&pack(&rows)), Some(rows));
        }

        #[test]
        fn day_5_no_text_breaks_the_reader(text in "\\PC{0,200}") {
            let _ = unpack::<PaperColumn>(&text);
            let _ = kind(&text);
        }
    }
}
