//! Words in English and Spanish: messages, plurals, dates and times.
//! Reads only the locales built into the program; decides nothing and formats no markup.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime, Timelike};
use fluent_templates::{LanguageIdentifier, langid};

use crate::domain::words::{Lang, Word};

/// A value set into a message: text, or a number that also chooses the plural form.
pub use fluent_templates::fluent_bundle::FluentValue as Value;

fluent_templates::static_loader! {
    static LOCALES = {
        locales: "./templates/locales",
        fallback_language: "en",
        // Without this, each value is wrapped in invisible direction marks.
        customise: |bundle| bundle.set_use_isolating(false),
    };
}

const ENGLISH: LanguageIdentifier = langid!("en");
const SPANISH: LanguageIdentifier = langid!("es");

/// Set once by test programs: a message that is missing then stops the test.
static STRICT: AtomicBool = AtomicBool::new(cfg!(test));

/// Makes every missing message a panic. For test programs only.
pub fn refuse_missing_words() {
    STRICT.store(true, Ordering::Relaxed);
}

/// The message `key` in `lang`, with `values` set in by name.
///
/// A message that `lang` lacks is logged and told in English; one that no language has is shown as
/// `[key]`, so that the hole is seen. Under test both panic.
pub fn say(lang: Lang, key: &str, values: &[(&str, Value<'_>)]) -> String {
    let values: HashMap<Cow<'static, str>, Value<'_>> =
        values.iter().map(|(name, value)| (Cow::Owned((*name).to_owned()), value.clone())).collect();
    let wanted = identifier(lang);
    match LOCALES.lookup_single_language(&wanted, key, Some(&values)) {
        Ok(words) => words,
        Err(fault) => {
            assert!(!STRICT.load(Ordering::Relaxed), "no message `{key}` in {}: {fault}", lang.as_str());
            tracing::error!(key, lang = lang.as_str(), %fault, "a message is missing");
            LOCALES.lookup_single_language(&ENGLISH, key, Some(&values)).unwrap_or_else(|_| format!("[{key}]"))
        }
    }
}

/// The language's own name, in that language.
pub fn own_name(lang: Lang) -> &'static str {
    match lang {
        Lang::En => "English",
        Lang::Es => "Español",
    }
}

fn identifier(lang: Lang) -> LanguageIdentifier {
    match lang {
        Lang::En => ENGLISH,
        Lang::Es => SPANISH,
    }
}

/// "Saturday, June 13, 2026"; "sábado, 13 de junio de 2026".
pub fn date_long(lang: Lang, date: NaiveDate) -> String {
    dated(lang, "date-long", date)
}

/// "June 13, 2026"; "13 de junio de 2026".
pub fn date_short(lang: Lang, date: NaiveDate) -> String {
    dated(lang, "date-short", date)
}

/// "Saturday, June 13", for a list whose year is said above it.
pub fn date_in_year(lang: Lang, date: NaiveDate) -> String {
    dated(lang, "date-in-year", date)
}

/// "8:30 AM"; "8:30 a. m.".
pub fn time(lang: Lang, time: NaiveTime) -> String {
    let (afternoon, hour) = time.hour12();
    let clock = format!("{hour}:{:02}", time.minute());
    say(lang, if afternoon { "time-pm" } else { "time-am" }, &[("clock", clock.into())])
}

/// "8:30 AM to 1:00 PM"; "de 8:30 a. m. a 1:00 p. m.".
pub fn time_range(lang: Lang, from: NaiveTime, to: NaiveTime) -> String {
    say(lang, "time-range", &[("from", time(lang, from).into()), ("to", time(lang, to).into())])
}

/// "June 13, 2026, 8:30 AM". The caller has already turned the instant into the place's own time.
pub fn moment(lang: Lang, at: NaiveDateTime) -> String {
    say(lang, "moment", &[("date", date_short(lang, at.date()).into()), ("time", time(lang, at.time()).into())])
}

/// Several names in one line: "Ana, Ben and Zoë"; "Ana, Ben y Zoë".
pub fn list(lang: Lang, names: &[String]) -> String {
    let Some((last, others)) = names.split_last() else { return String::new() };
    if others.is_empty() {
        return last.clone();
    }
    // Spanish says "e" before the sound of i: "Ana e Inés", but "Ana y Hielo".
    let lower = last.to_lowercase();
    let sounds_i = ["i", "í", "hi", "hí"].iter().any(|head| lower.starts_with(head)) && !lower.starts_with("hie");
    let word = match lang {
        Lang::En => "and",
        Lang::Es if sounds_i => "e",
        Lang::Es => "y",
    };
    format!("{} {word} {last}", others.join(", "))
}

/// The name of month 1 to 12; "" for any other number.
pub fn month_name(lang: Lang, month: u32) -> String {
    name_of(lang, "month", month, 12)
}

/// The name of a month as narrow columns show it: "Sept."; "sept.".
pub fn month_short(lang: Lang, month: u32) -> String {
    name_of(lang, "month-short", month, 12)
}

/// The name of the weekday of `date`.
pub fn weekday_name(lang: Lang, date: NaiveDate) -> String {
    name_of(lang, "weekday", date.weekday().number_from_monday(), 7)
}

/// The weekday as narrow columns show it: "Sat"; "sáb.".
pub fn weekday_short(lang: Lang, date: NaiveDate) -> String {
    name_of(lang, "weekday-short", date.weekday().number_from_monday(), 7)
}

fn name_of(lang: Lang, stem: &str, number: u32, most: u32) -> String {
    if (1..=most).contains(&number) { say(lang, &format!("{stem}-{number}"), &[]) } else { String::new() }
}

fn dated(lang: Lang, key: &str, date: NaiveDate) -> String {
    // Text, not numbers: a year must never be grouped as 2,026.
    say(
        lang,
        key,
        &[
            ("weekday", weekday_name(lang, date).into()),
            ("month", month_name(lang, date.month()).into()),
            ("day", date.day().to_string().into()),
            ("year", date.year().to_string().into()),
        ],
    )
}

#[cfg(test)]
mod tests;
