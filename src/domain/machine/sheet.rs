//! A sheet of machines: what its columns are called and what its words mean. Knows no file and no record; the form of a record
//! reads what stands in the cells.

use super::Category;
use super::record::{LabelSeen, Riders};
use crate::domain::carried_sheet::SheetColumn;
use crate::domain::name_form::words_of;
use crate::domain::words::{Word, word_list};

word_list! {
    /// A column of the sheet.
    Column {
        /// The number painted on it.
        Number = "number",
        /// Make and model.
        MakeModel = "make_model",
        /// The number on its frame.
        Serial = "serial",
        /// The category.
        Category = "category",
        /// For how many it is made.
        MadeFor = "made_for",
        /// The warning label.
        Label = "label",
        /// The build date.
        Built = "built",
        /// Engine size in cc.
        Engine = "engine",
        /// Dry weight in pounds.
        Weight = "weight",
        /// Ground to seat in inches.
        SeatHeight = "seat_height",
        /// Seat to footrests in inches.
        SeatToRest = "seat_to_rest",
        /// Grip to brake lever in inches.
        GripToLever = "grip_to_lever",
        /// Footrest to brake pedal in inches.
        RestToPedal = "rest_to_pedal",
        /// Speed limiter in miles an hour.
        Limiter = "limiter",
        /// When the limiter was set so.
        LimiterSet = "limiter_set",
        /// By whom.
        LimiterBy = "limiter_by",
        /// Front tires in psi.
        TireFront = "tire_front",
        /// Rear tires in psi.
        TireRear = "tire_rear",
    }
}

impl SheetColumn for Column {
    const MOST_ROWS: usize = 100;
    const OTHER_WORDS: &'static [(&'static [&'static str], Self)] = &[
        (&["vin"], Column::Serial),
        (&["serial"], Column::Serial),
        (&["frame"], Column::Serial),
        (&["limiter", "by"], Column::LimiterBy),
        (&["limiter", "date"], Column::LimiterSet),
        (&["limiter", "on"], Column::LimiterSet),
        (&["limiter"], Column::Limiter),
        (&["front"], Column::TireFront),
        (&["rear"], Column::TireRear),
        (&["lever"], Column::GripToLever),
        (&["pedal"], Column::RestToPedal),
        (&["seat", "ground"], Column::SeatHeight),
        (&["seat", "height"], Column::SeatHeight),
        (&["seat", "rest"], Column::SeatToRest),
        (&["seat", "rests"], Column::SeatToRest),
        (&["seat", "footrest"], Column::SeatToRest),
        (&["weight"], Column::Weight),
        (&["cc"], Column::Engine),
        (&["engine"], Column::Engine),
        (&["built"], Column::Built),
        (&["build"], Column::Built),
        (&["category"], Column::Category),
        (&["label"], Column::Label),
        (&["riders"], Column::MadeFor),
        (&["type"], Column::MadeFor),
        (&["make"], Column::MakeModel),
        (&["model"], Column::MakeModel),
        (&["machine"], Column::Number),
        (&["unit"], Column::Number),
        (&["no"], Column::Number),
    ];

    fn heading(self) -> &'static str {
        match self {
            Self::Number => "Number",
            Self::MakeModel => "Make and model",
            Self::Serial => "Number on the frame",
            Self::Category => "Category",
            Self::MadeFor => "Made for",
            Self::Label => "Warning label",
            Self::Built => "Day it was built",
            Self::Engine => "Engine cc",
            Self::Weight => "Dry weight",
            Self::SeatHeight => "Ground to seat",
            Self::SeatToRest => "Seat to footrests",
            Self::GripToLever => "Grip to lever",
            Self::RestToPedal => "Footrest to pedal",
            Self::Limiter => "Limiter mph",
            Self::LimiterSet => "Limiter set on",
            Self::LimiterBy => "Limiter set by",
            Self::TireFront => "Front tires",
            Self::TireRear => "Rear tires",
        }
    }

    fn is_needed(self) -> bool {
        use Column::{Built, Category, Engine, MakeModel, Number, SeatHeight, SeatToRest, Weight};
        matches!(self, Number | MakeModel | Category | Built | Engine | Weight | SeatHeight | SeatToRest)
    }

    fn is_day(self) -> bool {
        matches!(self, Self::Built | Self::LimiterSet)
    }
}

/// A category however it is written: `Y-6+`, `y6`, `Y 6`.
#[must_use]
pub fn category(text: &str) -> Option<Category> {
    let plain = |text: &str| text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_uppercase();
    Category::ALL.iter().find(|category| plain(category.as_str()) == plain(text)).copied()
}

/// For how many a machine is made: by the name of the type, or a number of people.
#[must_use]
pub fn riders(text: &str) -> Option<Riders> {
    match words_of(text).join(" ").as_str() {
        "one" | "1" | "type i" | "i" | "type 1" => Some(Riders::One),
        "passenger" | "two" | "2" | "type ii" | "ii" | "type 2" => Some(Riders::WithPassenger),
        _ => None,
    }
}

/// Whether the label is there; an empty cell says that nobody looked.
#[must_use]
pub fn label(text: &str) -> Option<LabelSeen> {
    match words_of(text).join(" ").as_str() {
        "" | "not looked" | "unknown" => Some(LabelSeen::NotLooked),
        "yes" | "y" | "there" | "x" | "ok" => Some(LabelSeen::There),
        "no" | "n" | "missing" | "gone" => Some(LabelSeen::Missing),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::carried_sheet::{Row, column, columns, pack, unpack};
    use proptest::prelude::*;

    const MOST_ROWS: usize = Column::MOST_ROWS;

    #[test]
    fn day_1_every_column_is_known_by_its_own_heading_and_by_words_that_offices_use() {
        for found in Column::ALL {
            assert_eq!(column(found.heading()), Some(*found), "{}", found.heading());
            assert_eq!(column(&found.heading().to_uppercase()), Some(*found));
        }
        for (heading, found) in [
            ("Machine #", Some(Column::Number)),
            ("No.", Some(Column::Number)),
            ("VIN", Some(Column::Serial)),
            ("Make / Model", Some(Column::MakeModel)),
            ("Seat height (in)", Some(Column::SeatHeight)),
            ("Limiter (mph)", Some(Column::Limiter)),
            ("Limiter date", Some(Column::LimiterSet)),
            ("psi front", Some(Column::TireFront)),
            ("Build date", Some(Column::Built)),
            ("Notes", None),
            ("", None),
        ] {
            assert_eq!(column(heading), found, "{heading}");
        }
        let headings = ["No.", "Number", "Notes"].map(str::to_owned);
        assert_eq!(columns::<Column>(&headings), [Some(Column::Number), None, None], "each column once");
    }

    #[test]
    fn day_1_words_of_a_sheet_mean_what_a_record_knows() {
        for (text, found) in [
            ("Y-6+", Some(Category::Y6)),
            ("y 10", Some(Category::Y10)),
            ("T", Some(Category::T)),
            ("Y", None),
            ("", None),
        ] {
            assert_eq!(category(text), found, "{text}");
        }
        for (text, found) in [("Type I", Some(Riders::One)), ("2", Some(Riders::WithPassenger)), ("many", None)] {
            assert_eq!(riders(text), found, "{text}");
        }
        for (text, found) in [
            ("Yes", Some(LabelSeen::There)),
            ("gone", Some(LabelSeen::Missing)),
            ("", Some(LabelSeen::NotLooked)),
            ("perhaps", None),
        ] {
            assert_eq!(label(text), found, "{text}");
        }
    }

    #[test]
    fn day_1_a_text_that_no_page_of_ours_carries_is_no_sheet() {
        let whole = pack(&[Row::from([(Column::Number, "7".to_owned())])]);
        assert!(unpack::<Column>(&whole).is_some());
        for strange in ["", "7", "\n", &whole[1..whole.len() - 1], &format!("{whole}\n{}", "x".repeat(40))] {
            assert_eq!(unpack::<Column>(strange), None, "{strange:?}");
        }
        assert_eq!(unpack::<Column>(&vec![whole.as_str(); MOST_ROWS + 1].join("\n")), None);
    }

    proptest! {
        #[test]
        fn day_1_rows_come_back_as_they_were_packed(cells in prop::collection::vec("[a-z0-9 /.+-]{1,30}", 18)) {
            let row: Row<Column> = Column::ALL.iter().copied().zip(cells).collect();
            let rows = vec![row.clone(), row];
            prop_assert_eq!(unpack(&pack(&rows)), Some(rows));
        }
    }
}
