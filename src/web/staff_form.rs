//! Reads what staff type in the office's forms: each answer that cannot be used gets a sentence at its field.
//!
//! A reader goes on after a fault and puts a harmless value in its place; `done` says whether any was found.

use std::ops::RangeInclusive;

use chrono::{NaiveDate, NaiveTime};

use crate::domain::measures::{Length, Mass, UnitSystem, read_length, read_mass};
use crate::domain::words::{Lang, Line, Word, WordFault};
use crate::language::{self, Value};

use super::form::FieldErrors;

/// The answers of one form, being read.
#[derive(Debug, Default)]
pub struct Reading {
    errors: FieldErrors,
}

/// A day as three fields carry it: month, day, year.
pub type Day<'a> = [&'a str; 3];

fn say(key: &str, values: &[(&str, Value<'_>)]) -> String {
    language::say(Lang::En, key, values)
}

impl Reading {
    /// What was read, or what is wrong with it.
    ///
    /// # Errors
    /// The sentences, by field.
    pub fn done<T>(self, read: T) -> Result<T, FieldErrors> {
        if self.errors.is_empty() { Ok(read) } else { Err(self.errors) }
    }

    /// Notes a fault that only this form knows.
    pub fn fault(&mut self, field: &str, words: impl Into<String>) {
        self.errors.add(field, words);
    }

    /// One line that must be there, of at most `most` characters. `what` names the answer, as in "the name".
    pub fn line(&mut self, field: &str, what: &str, typed: &str, most: usize) -> String {
        match Line::parse(typed, most) {
            Ok(line) => line.into_string(),
            Err(fault) => self.word(field, what, fault),
        }
    }

    /// The same, as the checked line that services take; none with a fault.
    pub fn checked_line(&mut self, field: &str, what: &str, typed: &str, most: usize) -> Option<Line> {
        Line::parse(typed, most).map_err(|fault| self.word(field, what, fault)).ok()
    }

    /// One line that may be empty.
    pub fn line_if_any(&mut self, field: &str, what: &str, typed: &str, most: usize) -> String {
        if typed.trim().is_empty() { String::new() } else { self.line(field, what, typed, most) }
    }

    fn word(&mut self, field: &str, what: &str, fault: WordFault) -> String {
        let most = |most: usize| Value::from(i64::try_from(most).unwrap_or(i64::MAX));
        match fault {
            WordFault::Empty => self.missing(field, what),
            WordFault::TooLong { most: limit } => self.wrong(field, what, "form-too-long", &[("most", most(limit))]),
            WordFault::Malformed => self.wrong(field, what, "form-wrong-characters", &[]),
        }
        String::new()
    }

    fn missing(&mut self, field: &str, what: &str) {
        self.fault(field, format!("Write {what}"));
    }

    /// A general sentence with the answer that it is about, so that the summary's lines differ.
    fn wrong(&mut self, field: &str, what: &str, key: &str, values: &[(&str, Value<'_>)]) {
        self.fault(field, format!("{} ({what})", say(key, values)));
    }

    /// Several lines that may be empty, of at most `most` characters. Line ends come as one kind.
    pub fn lines(&mut self, field: &str, what: &str, typed: &str, most: usize) -> String {
        let text = typed.replace("\r\n", "\n").trim().to_owned();
        if text.chars().count() > most {
            return self.word(field, what, WordFault::TooLong { most });
        }
        if text.chars().any(|letter| letter.is_control() && letter != '\n') {
            return self.word(field, what, WordFault::Malformed);
        }
        text
    }

    /// A whole number in a range.
    pub fn whole(&mut self, field: &str, what: &str, typed: &str, range: RangeInclusive<i64>) -> i64 {
        let (least, most) = (*range.start(), *range.end());
        let bound = |bound: i64| Value::from(bound.to_string());
        match typed.trim().replace(',', "").parse::<i64>() {
            Ok(number) if range.contains(&number) => return number,
            Ok(number) if number < least => self.wrong(field, what, "form-too-small", &[("least", bound(least))]),
            Ok(_) => self.wrong(field, what, "form-too-big", &[("most", bound(most))]),
            Err(_) if typed.trim().is_empty() => self.missing(field, what),
            Err(_) => self.wrong(field, what, "form-not-a-number", &[("example", bound(least.max(8)))]),
        }
        least
    }

    /// A whole number that may be missing.
    pub fn whole_if_any(&mut self, field: &str, what: &str, typed: &str, range: RangeInclusive<i64>) -> Option<i64> {
        (!typed.trim().is_empty()).then(|| self.whole(field, what, typed, range))
    }

    /// A number with at most `places` decimals, as a whole number of its smallest part: 42.5 with 2 is 4250.
    pub fn decimal(&mut self, field: &str, what: &str, typed: &str, places: u32, most: i64) -> i64 {
        let number = typed.trim().trim_start_matches('$').replace(',', "");
        match decimal(&number, places) {
            Some(parts) if parts <= most => return parts,
            _ if number.is_empty() => self.missing(field, what),
            _ => self.wrong(field, what, "form-not-a-number", &[("example", Value::from("42.5"))]),
        }
        0
    }

    /// A number that may be missing.
    pub fn decimal_if_any(&mut self, field: &str, what: &str, typed: &str, places: u32, most: i64) -> Option<i64> {
        (!typed.trim().is_empty()).then(|| self.decimal(field, what, typed, places, most))
    }

    /// A day between the years 2000 and 2100.
    pub fn day(&mut self, field: &str, [month, day, year]: Day<'_>) -> NaiveDate {
        let parts = [("month", month), ("day", day), ("year", year)];
        if parts.iter().all(|(_, part)| part.trim().is_empty()) {
            self.fault(field, say("form-date-missing", &[]));
            return NaiveDate::MIN;
        }
        let mut whole = true;
        for (part, _) in parts.iter().filter(|(_, typed)| typed.trim().is_empty()) {
            self.fault(&format!("{field}_{part}"), say(&format!("form-{part}-missing"), &[]));
            whole = false;
        }
        if !year.trim().is_empty() && year.trim().len() != 4 {
            self.fault(&format!("{field}_year"), say("form-year-four-digits", &[]));
            whole = false;
        }
        if !whole {
            return NaiveDate::MIN;
        }
        let numbers = (year.trim().parse().ok(), month.trim().parse().ok(), day.trim().parse().ok());
        let found = match numbers {
            (Some(year @ 2000..=2100), Some(month), Some(day)) => NaiveDate::from_ymd_opt(year, month, day),
            _ => None,
        };
        found.unwrap_or_else(|| {
            self.fault(field, say("form-not-a-date", &[]));
            NaiveDate::MIN
        })
    }

    /// Days between the years 2000 and 2100, one a line, as `6/13/2026`, `June 13, 2026` or `2026-06-13`; at most `most`.
    pub fn days(&mut self, field: &str, typed: &str, most: usize) -> Vec<NaiveDate> {
        let lines: Vec<&str> = typed.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
        if lines.is_empty() {
            self.fault(field, say("form-date-missing", &[]));
        }
        if lines.len() > most {
            self.fault(field, format!("Write at most {most} days"));
            return Vec::new();
        }
        let mut days = Vec::new();
        for line in lines {
            let tidy = line.replace(',', " ");
            let read = |form: &&str| NaiveDate::parse_from_str(&tidy, form).ok();
            let found = ["%m/%d/%Y", "%Y-%m-%d", "%B %d %Y"].iter().find_map(read);
            match found.filter(|day| (2000..=2100).contains(&chrono::Datelike::year(day))) {
                Some(day) => days.push(day),
                None => {
                    let shown: String = line.chars().take(40).collect();
                    self.fault(field, format!("\u{201c}{shown}\u{201d} is no day. Write it as 6/13/2026"));
                    break;
                }
            }
        }
        days
    }

    /// A month between the years 2000 and 2100, as its first day. Its fields are `{field}_month` and `{field}_year`.
    pub fn month(&mut self, field: &str, month: &str, year: &str) -> NaiveDate {
        if month.trim().is_empty() {
            self.fault(&format!("{field}_month"), say("form-month-missing", &[]));
        }
        if year.trim().len() != 4 {
            self.fault(&format!("{field}_year"), say("form-year-four-digits", &[]));
        }
        if month.trim().is_empty() || year.trim().len() != 4 {
            return NaiveDate::MIN;
        }
        let first = year.trim().parse().ok().filter(|year| (2000..=2100).contains(year));
        let first =
            first.zip(month.trim().parse().ok()).and_then(|(year, month)| NaiveDate::from_ymd_opt(year, month, 1));
        first.unwrap_or_else(|| {
            self.fault(&format!("{field}_year"), say("form-not-a-date", &[]));
            NaiveDate::MIN
        })
    }

    /// A time of day, as `8:30 AM`, `8:30` or `13:30`.
    pub fn time(&mut self, field: &str, what: &str, typed: &str) -> NaiveTime {
        let tidy = typed.trim().to_uppercase().replace('.', "");
        let read = |form: &str| NaiveTime::parse_from_str(&tidy, form).ok();
        let found = ["%I:%M %p", "%I:%M%p", "%H:%M"].into_iter().find_map(read);
        found.unwrap_or_else(|| {
            match tidy.is_empty() {
                true => self.missing(field, what),
                false => self.fault(field, say("form-not-a-time", &[])),
            }
            NaiveTime::MIN
        })
    }

    /// One word of a closed list.
    pub fn choice<W: Word>(&mut self, field: &str, what: &str, typed: &str, instead: W) -> W {
        W::from_word(typed).unwrap_or_else(|| {
            self.chosen(field, what, "");
            instead
        })
    }

    /// One answer of an open list: a reference or a code that must be there.
    pub fn chosen(&mut self, field: &str, what: &str, typed: &str) -> String {
        if typed.is_empty() {
            self.fault(field, format!("Choose {what}"));
        }
        typed.to_owned()
    }

    /// A length; a bare number is in inches.
    pub fn length(&mut self, field: &str, what: &str, typed: &str) -> Length {
        read_length(typed, UnitSystem::Us).unwrap_or_else(|_| {
            match typed.trim().is_empty() {
                true => self.missing(field, what),
                false => self.wrong(field, what, "form-not-a-length", &[]),
            }
            Length::from_um(1)
        })
    }

    /// A length that may be missing.
    pub fn length_if_any(&mut self, field: &str, what: &str, typed: &str) -> Option<Length> {
        (!typed.trim().is_empty()).then(|| self.length(field, what, typed))
    }

    /// A mass; a bare number is in pounds.
    pub fn mass(&mut self, field: &str, what: &str, typed: &str) -> Mass {
        read_mass(typed, UnitSystem::Us).unwrap_or_else(|_| {
            match typed.trim().is_empty() {
                true => self.missing(field, what),
                false => self.wrong(field, what, "form-not-a-number", &[("example", Value::from("350 lb"))]),
            }
            Mass::from_g(1)
        })
    }
}

fn decimal(number: &str, places: u32) -> Option<i64> {
    let (whole, part) = number.split_once('.').unwrap_or((number, ""));
    let digits = |text: &str| text.chars().all(|letter| letter.is_ascii_digit());
    let places = usize::try_from(places).ok()?;
    if whole.is_empty() || whole.len() > 12 || part.len() > places || !digits(whole) || !digits(part) {
        return None;
    }
    format!("{whole}{part:0<places$}").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_3_times_are_read_as_people_write_them() {
        for (typed, hour, minute) in
            [("8:30 AM", 8, 30), ("8:30am", 8, 30), ("1:05 p.m.", 13, 5), ("13:30", 13, 30), ("08:00", 8, 0)]
        {
            let mut reading = Reading::default();
            assert_eq!(
                reading.time("t", "the start", typed),
                NaiveTime::from_hms_opt(hour, minute, 0).unwrap(),
                "{typed}"
            );
            assert!(reading.done(()).is_ok(), "{typed}");
        }
        for typed in ["", "8", "25:00", "half past eight"] {
            let mut reading = Reading::default();
            reading.time("t", "the start", typed);
            assert!(reading.done(()).is_err(), "{typed}");
        }
    }

    #[test]
    fn house_3_a_decimal_is_a_whole_number_of_its_smallest_part() {
        for (typed, places, parts) in [("42.5", 2, Some(4250)), ("42", 2, Some(4200)), ("49.5", 1, Some(495))] {
            assert_eq!(decimal(typed, places), parts, "{typed}");
        }
        for typed in ["", ".5", "-1", "1.234", "1e3", "4,2", "99999999999999"] {
            assert_eq!(decimal(typed, 2), None, "{typed}");
        }
    }

    #[test]
    fn house_3_each_missing_part_of_a_day_is_named_at_its_field() {
        let mut reading = Reading::default();
        reading.day("held", ["6", "", "26"]);
        reading.day("bad", ["2", "30", "2026"]);
        reading.day("none", ["", "", ""]);
        let errors = reading.done(()).unwrap_err();
        let fields: Vec<_> = errors.list().iter().map(|(field, _)| field.as_str()).collect();
        assert_eq!(fields, ["held_day", "held_year", "bad", "none"]);
    }
}
