//! Cells: days, numbers and text, against the rules of the form.

use chrono::{Days, NaiveDate};
use proptest::prelude::*;

use super::super::grid::letters;
use super::super::{Cell, DaySystem, Flaw};

fn day(year: i32, month: u32, day: u32) -> Cell {
    Cell::Day(NaiveDate::from_ymd_opt(year, month, day).unwrap())
}

/// The worked rule of the form: day 1 is 1 January 1900, day 61 is 1 March; from 1904 day 0 is 1 January.
#[test]
fn u35_days_are_counted_as_the_form_says() {
    use DaySystem::{From1900, From1904};
    let days = [
        (1.0, From1900, day(1900, 1, 1)),
        (59.0, From1900, day(1900, 2, 28)),
        (60.0, From1900, Cell::Broken(Flaw::NoSuchDay)),
        (60.5, From1900, Cell::Broken(Flaw::NoSuchDay)),
        (61.0, From1900, day(1900, 3, 1)),
        (0.0, From1900, Cell::Broken(Flaw::NoSuchDay)),
        (0.0, From1904, day(1904, 1, 1)),
        (60.0, From1904, day(1904, 3, 1)),
        (45_943.999_999, From1900, day(2025, 10, 13)),
        (f64::NAN, From1900, Cell::Broken(Flaw::NoSuchDay)),
    ];
    for (serial, system, cell) in days {
        assert_eq!(Cell::of_serial(serial, system), cell, "{serial} {system:?}");
    }
    assert_eq!(Cell::of_duration(f64::NAN), Cell::Broken(Flaw::NoSuchDay));
    assert_eq!(Cell::of_duration(-0.5), Cell::Broken(Flaw::NoSuchDay));
}

#[test]
fn u35_columns_have_letters() {
    for (column, name) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA"), (16_383, "XFD")] {
        assert_eq!(letters(column), name);
    }
    assert_eq!(letters(u32::MAX), "MWLQKWV");
}

#[test]
fn u35_a_joiner_inside_a_word_stays() {
    assert_eq!(Cell::of_text("\u{200d}a\u{200d}b\u{200b}c\u{200d}"), Cell::Text("a\u{200d}bc".into()));
    assert_eq!(Cell::of_text("'\u{200b}"), Cell::Text("'".into()));
    assert_eq!(Cell::of_text("=\"\""), Cell::Empty);
}

proptest! {
    /// The two systems are 1462 days apart.
    #[test]
    fn u35_the_systems_differ_by_1462_days(serial in 61u32..2_950_000) {
        let from_1900 = Cell::of_serial(f64::from(serial) + 1462.0, DaySystem::From1900);
        prop_assert_eq!(&from_1900, &Cell::of_serial(f64::from(serial), DaySystem::From1904));
        let first = NaiveDate::from_ymd_opt(1904, 1, 1).unwrap();
        prop_assert_eq!(from_1900, Cell::Day(first + Days::new(u64::from(serial))));
    }

    #[test]
    fn u35_a_whole_number_is_written_in_its_digits(number in -999_999_999_999_999i64..=999_999_999_999_999) {
        prop_assert_eq!(Cell::of_number(number as f64, 0), Cell::Number(number.to_string()));
        prop_assert_eq!(Cell::of_number(number as f64, 7), Cell::Number(
            format!("{}{:07}", if number < 0 { "-" } else { "" }, number.abs())
        ));
    }

    #[test]
    fn u35_cents_are_written_as_cents(cents in 0u32..) {
        let Cell::Number(text) = Cell::of_number(f64::from(cents) / 100.0, 0) else { unreachable!() };
        let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
        prop_assert_eq!(format!("{whole}{rest:0<2}").parse::<u32>(), Ok(cents));
    }

    #[test]
    fn u35_text_is_tidy_or_broken(raw in any::<String>()) {
        if let Cell::Text(text) = Cell::of_text(&raw) {
            prop_assert_eq!(text.trim(), &text);
            prop_assert!(!text.is_empty() && !text.contains('\r'));
        }
    }
}
