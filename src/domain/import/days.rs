//! Days as people write them in a sheet: 2016-04-27, 4/27/2016, 27.4.2016, April 27, 2016, 27 abr 2016. Which of two
//! numbers is the month is asked of the office, never guessed row by row.

use chrono::{Datelike, NaiveDate};

use crate::domain::words::word_list;

word_list! {
    /// What stands first in a day written in numbers.
    DayOrder {
        /// 4/27/2016, as in the United States.
        MonthFirst = "month_first",
        /// 27/4/2016, as elsewhere.
        DayFirst = "day_first",
    }
}

/// Why a day cannot be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DayFault {
    /// Nothing is there.
    Missing,
    /// It is no day: 2/30/2016, "spring 2016".
    NotADay,
    /// It would be a day if month and day changed places.
    OtherOrder,
    /// A number of the spreadsheet's calendar that is not marked as a day.
    Serial,
    /// It lies after today.
    InTheFuture,
    /// It lies too long ago for anybody living.
    TooLongAgo,
}

/// The months by their first letters in English and Spanish, lower case without accents.
const MONTHS: [&[&str]; 12] = [
    &["jan", "ene"],
    &["feb"],
    &["mar"],
    &["apr", "abr"],
    &["may"],
    &["jun"],
    &["jul"],
    &["aug", "ago"],
    &["sep", "set"],
    &["oct"],
    &["nov"],
    &["dec", "dic"],
];

fn month_named(word: &str) -> Option<u32> {
    let word = word.to_lowercase();
    let begins = |names: &&[&str]| names.iter().any(|name| word.starts_with(name));
    let at = MONTHS.iter().position(begins)?;
    u32::try_from(at + 1).ok()
}

/// A year of four digits, or of two: this century unless that would be after today.
fn year_of(text: &str, today: NaiveDate) -> Option<i32> {
    let number: i32 = text.parse().ok()?;
    match text.len() {
        4 => Some(number),
        2 => {
            let here = 2000 + number;
            Some(if here > today.year() { here - 100 } else { here })
        }
        _ => None,
    }
}

/// Reads a day. Dots part day, month and year; a year that comes first is followed by month and day.
///
/// # Errors
/// What is wrong with it.
pub fn day(text: &str, order: DayOrder, today: NaiveDate) -> Result<NaiveDate, DayFault> {
    // A time of day after the date says nothing about a birthday.
    let text = text.split(['T', 't']).next().filter(|head| head.len() == 10).unwrap_or(text);
    let parts: Vec<&str> =
        text.split(['/', '-', '.', ',', ' ']).filter(|part| !part.is_empty() && *part != "de").collect();
    if parts.is_empty() {
        return Err(DayFault::Missing);
    }
    if let [one] = parts.as_slice() {
        return alone(one);
    }
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.contains(':') && !is_half(part)).collect();
    let [a, b, c] = parts.as_slice() else { return Err(DayFault::NotADay) };
    let number = |part: &str| part.trim_end_matches(|c: char| c.is_ascii_alphabetic()).parse::<u32>().ok();
    let made = |year: Option<i32>, month: Option<u32>, day: Option<u32>| NaiveDate::from_ymd_opt(year?, month?, day?);
    if a.len() == 4 && a.bytes().all(|byte| byte.is_ascii_digit()) {
        return made(year_of(a, today), number(b).or_else(|| month_named(b)), number(c)).ok_or(DayFault::NotADay);
    }
    let year = year_of(c, today);
    let is_word = |part: &str| part.chars().next().is_some_and(char::is_alphabetic);
    match (is_word(a), is_word(b)) {
        (true, _) => made(year, month_named(a), number(b)).ok_or(DayFault::NotADay),
        (_, true) => made(year, month_named(b), number(a)).ok_or(DayFault::NotADay),
        _ => {
            let day_first = order == DayOrder::DayFirst || (text.contains('.') && !text.contains('/'));
            let (month, day) = if day_first { (number(b), number(a)) } else { (number(a), number(b)) };
            let other = made(year, day, month).map_or(DayFault::NotADay, |_| DayFault::OtherOrder);
            made(year, month, day).ok_or(other)
        }
    }
}

/// "AM", "p.m." and the like after a time.
fn is_half(part: &str) -> bool {
    matches!(part.to_lowercase().as_str(), "am" | "pm" | "a" | "p" | "m")
}

/// Digits without anything between them: 20160427, or the number of a day in a spreadsheet.
fn alone(text: &str) -> Result<NaiveDate, DayFault> {
    let is_number = text.bytes().all(|byte| byte.is_ascii_digit());
    match text.len() {
        8 if is_number => NaiveDate::parse_from_str(text, "%Y%m%d").map_err(|_| DayFault::NotADay),
        5 if is_number => Err(DayFault::Serial),
        _ => Err(DayFault::NotADay),
    }
}

/// The order in which days of a column are probably written: day first only where some day cannot be month first, and
/// none cannot be day first.
#[must_use]
pub fn order_of<'a>(texts: impl Iterator<Item = &'a str> + Clone, today: NaiveDate) -> DayOrder {
    let wrong = |order| texts.clone().filter(|text| day(text, order, today) == Err(DayFault::OtherOrder)).count();
    if wrong(DayOrder::MonthFirst) > 0 && wrong(DayOrder::DayFirst) == 0 {
        DayOrder::DayFirst
    } else {
        DayOrder::MonthFirst
    }
}
