//! From one season to the next: on which day a session is held again, which season is copied, and when a text wants another look.

use chrono::{Datelike, Days, NaiveDate};

use super::rulebook::Book;
use super::words::Word;

/// Days from a weekday of one year to the same one of the next: 52 weeks.
const A_YEAR_OF_WEEKS: Days = Days::new(364);
/// Days after which rules and texts want another look. Common practice, no source.
const LOOK_AGAIN_DAYS: i64 = 365;

/// The day, or the day and time, on the same weekday 52 weeks later.
pub fn a_year_on<T: std::ops::Add<Days, Output = T>>(on: T) -> T {
    on + A_YEAR_OF_WEEKS
}

/// The season that is copied when nobody says which: last year's until the summer, then this year's.
#[must_use]
pub fn season_to_copy(today: NaiveDate) -> i32 {
    if today.month() < 7 { today.year() - 1 } else { today.year() }
}

/// Whether something that was last looked at on a day, or never, wants another look.
#[must_use]
pub fn wants_a_look(looked: Option<NaiveDate>, today: NaiveDate) -> bool {
    looked.is_none_or(|on| (today - on).num_days() >= LOOK_AGAIN_DAYS)
}

/// What somebody reads anew once a year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Review {
    /// A book of rules or a consent text.
    Book(Book),
    /// The settings of the program: ratio, weather, papers, how long things are kept.
    Settings,
    /// The emergency plans of the sites.
    EmergencyPlans,
}

impl Review {
    /// Everything, books first.
    pub fn all() -> impl Iterator<Item = Self> {
        Book::ALL.iter().copied().map(Self::Book).chain([Self::Settings, Self::EmergencyPlans])
    }

    /// Its word in addresses and tables.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Book(book) => book.as_str(),
            Self::Settings => "settings",
            Self::EmergencyPlans => "emergency_plans",
        }
    }

    /// The one with this word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::all().find(|review| review.as_str() == word)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day")
    }

    #[test]
    fn day_11_52_weeks_keep_the_weekday_and_the_season_is_chosen_by_the_month() {
        for on in [day(2026, 6, 13), day(2027, 12, 31), day(2028, 2, 29)] {
            assert_eq!(a_year_on(on).weekday(), on.weekday());
        }
        for (on, year) in
            [(day(2027, 1, 5), 2026), (day(2027, 6, 30), 2026), (day(2027, 7, 1), 2027), (day(2026, 11, 30), 2026)]
        {
            assert_eq!(season_to_copy(on), year, "{on}");
        }
    }

    #[test]
    fn day_11_every_rule_and_text_that_is_reviewed_has_a_word_of_its_own() {
        let words: Vec<&str> = Review::all().map(Review::as_str).collect();
        assert_eq!(words.len(), Book::ALL.len() + 2);
        assert!(Review::all().all(|review| Review::from_word(review.as_str()) == Some(review)), "{words:?}");
        assert_eq!(Review::from_word("weather"), None);
    }

    #[test]
    fn day_11_a_text_wants_another_look_after_a_year_and_when_nobody_has_looked() {
        let today = day(2027, 6, 13);
        for (looked, wants) in [
            (None, true),
            (Some(day(2026, 6, 12)), true),
            (Some(day(2026, 6, 13)), true),
            (Some(day(2026, 6, 14)), false),
            (Some(today), false),
        ] {
            assert_eq!(wants_a_look(looked, today), wants, "{looked:?}");
        }
    }
}
