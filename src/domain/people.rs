//! People and their ages: completed years and months on a day, and birth dates that cannot be right.
//! Must not ask for today's date; the caller brings every day with it.

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// On which day a birthday falls when the month has no such day (29 February in a common year).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LeapRule {
    /// The first day of the next month: 1 March. The shipped default.
    #[default]
    FirstOfMarch,
    /// The last day of the month itself: 28 February.
    LastOfFebruary,
}

/// Completed years on `day`. A day before birth gives 0, which every age rule refuses.
#[must_use]
pub fn age_on(birth: NaiveDate, day: NaiveDate, rule: LeapRule) -> i64 {
    months_on(birth, day, rule) / 12
}

/// Completed months on `day`. Twelve of them make a year of [`age_on`]. A day before birth gives 0.
#[must_use]
pub fn months_on(birth: NaiveDate, day: NaiveDate, rule: LeapRule) -> i64 {
    let month_number = |date: NaiveDate| i64::from(date.year()) * 12 + i64::from(date.month0());
    let not_yet = i64::from(!has_come_round(birth, day, rule));
    (month_number(day) - month_number(birth) - not_yet).max(0)
}

/// The first day on which somebody has completed so many years.
#[must_use]
pub fn reaches_age(birth: NaiveDate, age: i64, rule: LeapRule) -> NaiveDate {
    let year = i32::try_from(i64::from(birth.year()) + age.max(0)).unwrap_or(i32::MAX);
    let day = |month, day| NaiveDate::from_ymd_opt(year, month, day);
    let without_leap_day = match rule {
        LeapRule::FirstOfMarch => day(3, 1),
        LeapRule::LastOfFebruary => day(2, 28),
    };
    day(birth.month(), birth.day()).or(without_leap_day).unwrap_or(NaiveDate::MAX)
}

/// Whether the birth day has come round in the month of `day`.
fn has_come_round(birth: NaiveDate, day: NaiveDate, rule: LeapRule) -> bool {
    match rule {
        LeapRule::FirstOfMarch => day.day() >= birth.day(),
        LeapRule::LastOfFebruary => day.day() >= birth.day().min(last_day_of_month(day)),
    }
}

fn last_day_of_month(day: NaiveDate) -> u32 {
    u32::from(day.num_days_in_month())
}

/// Why a birth date cannot be taken as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum BirthDateFault {
    /// The day lies after the day of entry.
    #[error("the birth date lies in the future")]
    InTheFuture,
    /// The date makes a person older than [`OLDEST_AGE`]; often a two-digit year.
    #[error("the birth date lies too long ago")]
    TooLongAgo,
}

/// Nobody above this age is taken. A typing check, not a rule about people.
pub const OLDEST_AGE: i64 = 120;

/// Refuses a birth date that no living person can have on `today`.
///
/// # Errors
/// [`BirthDateFault`] names what is wrong.
pub fn check_birth_date(birth: NaiveDate, today: NaiveDate) -> Result<(), BirthDateFault> {
    if birth > today {
        return Err(BirthDateFault::InTheFuture);
    }
    if age_on(birth, today, LeapRule::FirstOfMarch) > OLDEST_AGE {
        return Err(BirthDateFault::TooLongAgo);
    }
    Ok(())
}

/// The ages a youth program usually meets. Outside them the form asks once more and then accepts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct UsualAges {
    /// The least usual age in completed years.
    pub least: i64,
    /// The greatest usual age in completed years.
    pub most: i64,
}

impl Default for UsualAges {
    /// Common practice, no source found: 5 to 18. A setting.
    fn default() -> Self {
        Self { least: 5, most: 18 }
    }
}

impl UsualAges {
    /// Whether a rider of this age deserves the question "is this birth date right?".
    #[must_use]
    pub fn doubts(self, age: i64) -> bool {
        !(self.least..=self.most).contains(&age)
    }
}

/// What tells one child of a family from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Child<'a> {
    /// Given name.
    pub given: &'a str,
    /// Family name, empty for people with one name.
    pub family: &'a str,
    /// Birth date.
    pub born: NaiveDate,
}

impl Child<'_> {
    /// Whether two of one family are the same child: the same names, whatever their case, and the same birth date.
    #[must_use]
    pub fn is_same(&self, other: &Child<'_>) -> bool {
        let names = |child: &Child<'_>| (child.given.to_lowercase(), child.family.to_lowercase());
        self.born == other.born && names(self) == names(other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
    }

    /// Calendar arithmetic; the 1 March convention follows a state statute, the other is in use elsewhere.
    #[test]
    fn r36_a_leap_day_birthday_follows_the_setting() {
        use LeapRule::{FirstOfMarch, LastOfFebruary};
        let born = day(2016, 2, 29);
        for (on, by_march, by_february) in [
            (day(2026, 2, 27), 9, 9),
            (day(2026, 2, 28), 9, 10),
            (day(2026, 3, 1), 10, 10),
            (day(2028, 2, 28), 11, 11),
            (day(2028, 2, 29), 12, 12),
            (day(2028, 3, 1), 12, 12),
        ] {
            assert_eq!(age_on(born, on, FirstOfMarch), by_march, "1 March, {on}");
            assert_eq!(age_on(born, on, LastOfFebruary), by_february, "28 February, {on}");
        }
    }

    /// Calendar arithmetic.
    #[test]
    fn house_4_a_birthday_counts_on_its_own_day() {
        let rule = LeapRule::default();
        for (birth, on, age) in [
            (day(2016, 7, 5), day(2026, 7, 4), 9),
            (day(2016, 7, 5), day(2026, 7, 5), 10),
            (day(2020, 7, 5), day(2026, 7, 4), 5),
            (day(2016, 12, 31), day(2017, 1, 1), 0),
            (day(2026, 7, 5), day(2026, 7, 4), 0),
            (day(2026, 7, 5), day(2016, 7, 5), 0),
        ] {
            assert_eq!(age_on(birth, on, rule), age, "born {birth}, on {on}");
        }
    }

    /// Calendar arithmetic; 120 completed months at ten years to the day, as the growth tables count.
    #[test]
    fn house_4_completed_months_count_from_day_to_day() {
        use LeapRule::{FirstOfMarch, LastOfFebruary};
        for (birth, on, by_march, by_february) in [
            (day(2016, 7, 5), day(2026, 7, 5), 120, 120),
            (day(2016, 7, 5), day(2026, 7, 4), 119, 119),
            (day(2016, 1, 31), day(2016, 2, 29), 0, 1),
            (day(2016, 1, 31), day(2016, 3, 1), 1, 1),
            (day(2016, 2, 29), day(2017, 2, 28), 11, 12),
            (day(2016, 2, 29), day(2017, 3, 1), 12, 12),
        ] {
            assert_eq!(months_on(birth, on, FirstOfMarch), by_march, "{birth} to {on}");
            assert_eq!(months_on(birth, on, LastOfFebruary), by_february, "{birth} to {on}");
        }
    }

    #[test]
    fn house_3_an_impossible_birth_date_is_refused() {
        let today = day(2026, 7, 4);
        assert_eq!(check_birth_date(today, today), Ok(()));
        assert_eq!(check_birth_date(day(2026, 7, 5), today), Err(BirthDateFault::InTheFuture));
        assert_eq!(check_birth_date(day(16, 7, 5), today), Err(BirthDateFault::TooLongAgo));
        assert_eq!(check_birth_date(day(1906, 7, 4), today), Ok(()));
        assert_eq!(check_birth_date(day(1905, 7, 4), today), Err(BirthDateFault::TooLongAgo));
        let usual = UsualAges::default();
        assert!(usual.doubts(4) && !usual.doubts(5) && !usual.doubts(18) && usual.doubts(19));
    }

    proptest! {
        #[test]
        fn r36_the_day_of_an_age_is_the_first_one_that_counts_it(days in 0i64..40_000, age in 1i64..20) {
            let birth = day(1980, 1, 1) + chrono::TimeDelta::days(days);
            for rule in [LeapRule::FirstOfMarch, LeapRule::LastOfFebruary] {
                let reached = reaches_age(birth, age, rule);
                prop_assert_eq!(age_on(birth, reached, rule), age);
                prop_assert_eq!(age_on(birth, reached.pred_opt().unwrap(), rule), age - 1);
            }
        }

        /// Time only adds: a later day never makes a person younger, and the two rules differ by a day at most.
        #[test]
        fn house_4_age_never_falls(start in 0_i64..20_000, lived in 0_i64..9_000) {
            let birth = day(1990, 1, 1) + chrono::Days::new(start.unsigned_abs());
            let on = birth + chrono::Days::new(lived.unsigned_abs());
            for rule in [LeapRule::FirstOfMarch, LeapRule::LastOfFebruary] {
                let next = on.succ_opt().expect("well inside the calendar");
                prop_assert!(months_on(birth, next, rule) >= months_on(birth, on, rule));
                prop_assert!(months_on(birth, next, rule) - months_on(birth, on, rule) <= 1);
            }
            prop_assert!(age_on(birth, on, LeapRule::LastOfFebruary) >= age_on(birth, on, LeapRule::FirstOfMarch));
        }
    }

    #[test]
    fn family_3_two_of_a_family_are_one_child_by_names_of_any_case_and_birth_date() {
        let born = |day| NaiveDate::from_ymd_opt(2016, 9, day).expect("a day");
        let zoe = Child { given: "Zoë Marisol", family: "Okafor", born: born(21) };
        for (other, same) in [
            (zoe, true),
            (Child { given: "ZOË marisol", family: "okafor", ..zoe }, true),
            (Child { born: born(22), ..zoe }, false),
            (Child { given: "Zoe Marisol", ..zoe }, false),
            (Child { family: "", ..zoe }, false),
        ] {
            assert_eq!(zoe.is_same(&other), same, "{other:?}");
        }
    }
}
