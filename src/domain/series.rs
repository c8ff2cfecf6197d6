//! The days of a series: every so many weeks between two days, or days that were given. Must not know what happens on
//! them.

use chrono::{NaiveDate, TimeDelta};

/// The most sessions that one series makes: more than a season has weeks.
pub const MOST: usize = 60;

/// A day and every so many weeks after it, through a last day; at most one more than a series may have, so that the
/// caller sees that there are too many.
#[must_use]
pub fn every(first: NaiveDate, weeks: u8, through: NaiveDate) -> Vec<NaiveDate> {
    let step = TimeDelta::weeks(i64::from(weeks.max(1)));
    std::iter::successors(Some(first), |day| day.checked_add_signed(step))
        .take_while(|day| *day <= through)
        .take(MOST + 1)
        .collect()
}

/// Given days in order, each once.
#[must_use]
pub fn given(mut days: Vec<NaiveDate>) -> Vec<NaiveDate> {
    days.sort_unstable();
    days.dedup();
    days
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Datelike, Weekday};

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).expect("a day")
    }

    /// The Saturdays after 13 June 2026, by any printed calendar.
    #[test]
    fn saturday_4_every_saturday_from_june_into_july() {
        let found = every(day(6, 13), 1, day(7, 18));
        assert_eq!(found, [day(6, 13), day(6, 20), day(6, 27), day(7, 4), day(7, 11), day(7, 18)]);
        assert!(found.iter().all(|on| on.weekday() == Weekday::Sat));
        assert_eq!(every(day(6, 13), 2, day(7, 18)), [day(6, 13), day(6, 27), day(7, 11)]);
        assert_eq!(every(day(6, 13), 1, day(6, 19)), [day(6, 13)]);
        assert_eq!(every(day(6, 13), 1, day(6, 12)), []);
    }

    #[test]
    fn saturday_4_a_series_ends_with_the_calendar_and_shows_when_it_is_too_long() {
        assert_eq!(every(NaiveDate::MAX, 1, NaiveDate::MAX), [NaiveDate::MAX]);
        assert_eq!(every(day(1, 3), 1, NaiveDate::MAX).len(), MOST + 1);
        assert_eq!(every(day(1, 3), 0, day(1, 17)).len(), 3, "nothing repeats without a week between");
    }

    #[test]
    fn saturday_4_given_days_come_in_order_and_once() {
        assert_eq!(given(vec![day(7, 4), day(6, 13), day(7, 4)]), [day(6, 13), day(7, 4)]);
    }
}
