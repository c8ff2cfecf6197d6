//! One cell: its text tidied, its number as a person writes it, its day. Must not know where it stands.

use std::borrow::Cow;

use chrono::{Days, NaiveDate};

use super::DaySystem;

/// What a cell holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// Text without blanks and invisible characters at its ends. It may have line breaks, as `\n`.
    /// In a CSV file every cell is text. A yes-or-no cell of a workbook is "TRUE" or "FALSE"; a time of day or a
    /// length of time is "9:30" or "9:30:05".
    Text(String),
    /// A day, where the workbook formats a number as one. A time of day is dropped.
    Day(NaiveDate),
    /// A number as a person would write it: 5551234567, not 5.551234567e9; at most 15 digits that count. Leading
    /// zeros stand where the format asks for a number of digits.
    Number(String),
    /// Something that cannot be taken as it is.
    Broken(Flaw),
}

/// What is wrong with a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Flaw {
    /// A formula that failed, with its error, such as "#REF!".
    Formula(&'static str),
    /// A control character or a NUL.
    ControlCharacter,
    /// A character that was lost when the file was saved: U+FFFD stands for it.
    LostCharacter,
    /// A day that never was: day 60 of 1900, day 0, one before the first or after the year 9999.
    NoSuchDay,
}

/// The errors that a formula leaves in its cell.
const ERRORS: &[&str] = &[
    "#REF!",
    "#N/A",
    "#VALUE!",
    "#DIV/0!",
    "#NAME?",
    "#NUM!",
    "#NULL!",
    "#SPILL!",
    "#CALC!",
    "#DATA!",
    "#GETTING_DATA",
];

impl Cell {
    /// The cell as one line of text: a day as 2014-05-31, a failed formula as its error, another flaw as nothing.
    pub fn to_text(&self) -> Cow<'_, str> {
        match self {
            Self::Text(text) | Self::Number(text) => Cow::Borrowed(text),
            Self::Day(day) => Cow::Owned(day.to_string()),
            Self::Broken(Flaw::Formula(error)) => Cow::Borrowed(error),
            Self::Empty | Self::Broken(_) => Cow::Borrowed(""),
        }
    }

    /// Reads text as it stands in a file.
    pub(super) fn of_text(raw: &str) -> Self {
        let text = raw.trim_matches(is_padding);
        let text = unwrapped(text).trim_matches(is_padding);
        if text.is_empty() {
            return Self::Empty;
        }
        if let Some(error) = ERRORS.iter().find(|&&error| error == text) {
            return Self::Broken(Flaw::Formula(error));
        }
        if text.contains('\u{FFFD}') {
            return Self::Broken(Flaw::LostCharacter);
        }
        if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
            return Self::Broken(Flaw::ControlCharacter);
        }
        Self::Text(tidied(text))
    }

    /// A number with up to 15 digits that count, which is what a spreadsheet shows, and no exponent.
    /// `digits` is the least number of digits before the point.
    pub(super) fn of_number(number: f64, digits: usize) -> Self {
        if !number.is_finite() {
            return Self::Broken(Flaw::Formula("#NUM!"));
        }
        let rounded: f64 = format!("{number:.14e}").parse().expect("a number that was just written is read back");
        let text = format!("{}", rounded.abs());
        let sign = if rounded < 0.0 { "-" } else { "" };
        Self::Number(if text.contains('.') { format!("{sign}{text}") } else { format!("{sign}{text:0>digits$}") })
    }

    /// The day or time of day that a workbook counts as `serial` days.
    pub(super) fn of_serial(serial: f64, days: DaySystem) -> Self {
        let Some(number) = Some(serial.floor()).filter(|whole| (0.0..=2_958_465.0).contains(whole)) else {
            return Self::Broken(Flaw::NoSuchDay);
        };
        if number == 0.0 && serial > 0.0 {
            return Self::of_duration(serial);
        }
        // The year 1900 is counted as if it had a 29 February, so the days before it are one off.
        let first = match (days, number as u32) {
            (DaySystem::From1904, _) => (1904, 1, 1),
            (DaySystem::From1900, 0 | 60) => return Self::Broken(Flaw::NoSuchDay),
            (DaySystem::From1900, 1..60) => (1899, 12, 31),
            (DaySystem::From1900, _) => (1899, 12, 30),
        };
        NaiveDate::from_ymd_opt(first.0, first.1, first.2)
            .and_then(|first| first.checked_add_days(Days::new(number as u64)))
            .filter(|day| *day <= LAST_DAY)
            .map_or(Self::Broken(Flaw::NoSuchDay), Self::Day)
    }

    /// A length of time in days, to the second, as "26:30".
    pub(super) fn of_duration(days: f64) -> Self {
        let seconds = (days * 86_400.0).round();
        if !(0.0..1e12).contains(&seconds) {
            return Self::Broken(Flaw::NoSuchDay);
        }
        let seconds = seconds as u64;
        let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        Self::Text(if seconds == 0 {
            format!("{hours}:{minutes:02}")
        } else {
            format!("{hours}:{minutes:02}:{seconds:02}")
        })
    }

    /// A day in ISO 8601 form, with or without a time.
    pub(super) fn of_iso(text: &str) -> Self {
        let day = text.get(..10).and_then(|day| day.parse().ok());
        day.map_or_else(|| Self::of_text(text), Self::Day)
    }

    pub(super) fn is_empty(&self) -> bool {
        matches!(self, Self::Empty)
    }
}

/// The last day that a spreadsheet counts.
const LAST_DAY: NaiveDate = NaiveDate::from_ymd_opt(9999, 12, 31).expect("the day is in the calendar");

/// Blanks of every width, and characters without any: they come along when text is copied out of other programs.
fn is_padding(c: char) -> bool {
    c.is_whitespace()
        || is_invisible(c)
        || matches!(c, '\u{200C}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

/// Characters without width that no script needs inside a word. The joiners U+200C and U+200D are not among them.
fn is_invisible(c: char) -> bool {
    matches!(c, '\u{200B}' | '\u{2060}' | '\u{FEFF}')
}

/// Takes off what forces a spreadsheet to see text: an apostrophe before a digit or a sign, or `="0123"`.
fn unwrapped(text: &str) -> &str {
    if let Some(inner) = text.strip_prefix("=\"").and_then(|rest| rest.strip_suffix('"')) {
        return inner;
    }
    text.strip_prefix('\'')
        .filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '=' | '+' | '-' | '@')))
        .unwrap_or(text)
}

/// Line breaks as `\n`, blanks that do not break as ordinary ones, and nothing invisible.
fn tidied(text: &str) -> String {
    let text =
        if text.contains('\r') { Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n")) } else { text.into() };
    text.chars()
        .filter(|&c| !is_invisible(c))
        .map(|c| if matches!(c, '\u{A0}' | '\u{2007}' | '\u{202F}') { ' ' } else { c })
        .collect()
}
