//! What a grant asks: which child may get a helmet from it, and what it has spent, given and been matched with. Takes values;
//! must not know where they are kept.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::certification::months_after;
use super::words::word_list;

/// Months between two counts of what a grant paid for: at least every two years (2 CFR 200.313(d)(2)).
const COUNT_MONTHS: u32 = 24;

/// Whether property has to be counted again: nobody did for two years, or nobody knows when.
#[must_use]
pub fn count_is_due(counted_or_came_on: Option<NaiveDate>, today: NaiveDate) -> bool {
    counted_or_came_on.is_none_or(|on| months_after(on, COUNT_MONTHS) < today)
}

/// Which child may get a helmet that a grant paid for. What is not set asks nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GrantRule {
    /// First day of the grant's period.
    pub starts_on: NaiveDate,
    /// Last day.
    pub ends_on: NaiveDate,
    /// Least age on the day.
    pub least_age: Option<i64>,
    /// Greatest age on the day.
    pub most_age: Option<i64>,
    /// Home counties by code; none stands for all.
    pub counties: BTreeSet<String>,
    /// Years after which the same child may get another helmet from the program.
    pub again_after_years: Option<i64>,
}

/// A child as the rule sees it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Child {
    /// Completed years on the day.
    pub age: i64,
    /// The home county's code.
    pub county: String,
    /// When the program last gave the child a helmet.
    pub last_given: Option<NaiveDate>,
}

/// Why a grant pays for no helmet of this child.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GrantNo {
    /// The day lies outside the grant's period.
    OutsidePeriod,
    /// The child is too young for it.
    TooYoung {
        /// Least age.
        least: i64,
    },
    /// The child is too old for it.
    TooOld {
        /// Greatest age.
        most: i64,
    },
    /// The grant is for other counties.
    OtherCounty,
    /// The program gave the child one not long enough ago.
    HadOne {
        /// When.
        on: NaiveDate,
        /// From which day on the child may get another one.
        again: NaiveDate,
    },
}

impl GrantRule {
    /// Whether a child may get a helmet on a day.
    ///
    /// # Errors
    /// The first reason why not.
    pub fn may_give(&self, child: &Child, on: NaiveDate) -> Result<(), GrantNo> {
        if on < self.starts_on || on > self.ends_on {
            return Err(GrantNo::OutsidePeriod);
        }
        if let Some(least) = self.least_age.filter(|least| child.age < *least) {
            return Err(GrantNo::TooYoung { least });
        }
        if let Some(most) = self.most_age.filter(|most| child.age > *most) {
            return Err(GrantNo::TooOld { most });
        }
        if !self.counties.is_empty() && !self.counties.contains(&child.county) {
            return Err(GrantNo::OtherCounty);
        }
        if let (Some(given), Some(years)) = (child.last_given, self.again_after_years) {
            let months = u32::try_from(years.saturating_mul(12)).unwrap_or(u32::MAX);
            let again = months_after(given, months);
            if on < again {
                return Err(GrantNo::HadOne { on: given, again });
            }
        }
        Ok(())
    }
}

word_list! {
    /// What the program brings beside a grant.
    MatchKind {
        /// Hours of volunteers.
        Hours = "hours",
        /// Miles driven.
        Miles = "miles",
        /// Money.
        Money = "money",
    }
}

/// What an hour and a mile count for, where the grant says so: an hour in cents, a mile in tenths of a cent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct MatchRates {
    /// An hour of a volunteer, in cents.
    pub hour_cents: Option<i64>,
    /// A mile, in tenths of a cent.
    pub mile_tenth_cents: Option<i64>,
}

impl MatchRates {
    /// What `tenths` of an hour or a mile count for in cents, half a cent upwards; of money, itself in cents. None when the
    /// grant does not say what it counts.
    #[must_use]
    pub fn worth(self, kind: MatchKind, tenths: i64) -> Option<i64> {
        let rounded = |value: i64, by: i64| (value + by / 2) / by;
        match kind {
            MatchKind::Hours => self.hour_cents.map(|cents| rounded(tenths.saturating_mul(cents), 10)),
            MatchKind::Miles => self.mile_tenth_cents.map(|rate| rounded(tenths.saturating_mul(rate), 100)),
            MatchKind::Money => Some(tenths),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    fn rule() -> GrantRule {
        GrantRule {
            starts_on: day("2026-01-01"),
            ends_on: day("2026-12-31"),
            least_age: Some(6),
            most_age: Some(15),
            counties: BTreeSet::from(["30063".to_owned()]),
            again_after_years: Some(3),
        }
    }

    /// Each rule at its limit. The rules are the funder's own, entered by the office; none ships.
    #[test]
    fn day_4_a_grant_gives_to_the_child_that_its_rules_name_and_says_why_not_to_another() {
        let child = Child { age: 9, county: "30063".into(), last_given: None };
        let given = |on: &str| Child { last_given: Some(day(on)), ..child.clone() };
        for (child, on, expected) in [
            (child.clone(), "2026-01-01", Ok(())),
            (child.clone(), "2026-12-31", Ok(())),
            (child.clone(), "2025-12-31", Err(GrantNo::OutsidePeriod)),
            (child.clone(), "2027-01-01", Err(GrantNo::OutsidePeriod)),
            (Child { age: 6, ..child.clone() }, "2026-06-13", Ok(())),
            (Child { age: 5, ..child.clone() }, "2026-06-13", Err(GrantNo::TooYoung { least: 6 })),
            (Child { age: 15, ..child.clone() }, "2026-06-13", Ok(())),
            (Child { age: 16, ..child.clone() }, "2026-06-13", Err(GrantNo::TooOld { most: 15 })),
            (Child { county: "30049".into(), ..child.clone() }, "2026-06-13", Err(GrantNo::OtherCounty)),
            (given("2023-06-13"), "2026-06-13", Ok(())),
            (
                given("2023-06-14"),
                "2026-06-13",
                Err(GrantNo::HadOne { on: day("2023-06-14"), again: day("2026-06-14") }),
            ),
        ] {
            assert_eq!(rule().may_give(&child, day(on)), expected, "{child:?} on {on}");
        }
        let open =
            GrantRule { least_age: None, most_age: None, counties: BTreeSet::new(), again_after_years: None, ..rule() };
        let anybody = Child { age: 3, county: "30001".into(), last_given: Some(day("2026-06-12")) };
        assert_eq!(open.may_give(&anybody, day("2026-06-13")), Ok(()));
    }

    /// Worked by hand: 7.5 h at $33.49 are $251.175; 112.4 miles at 72.5 cents are $81.49.
    #[test]
    fn day_4_hours_and_miles_are_worth_what_the_grant_says_to_the_cent() {
        let rates = MatchRates { hour_cents: Some(3_349), mile_tenth_cents: Some(725) };
        assert_eq!(rates.worth(MatchKind::Hours, 75), Some(25_118));
        assert_eq!(rates.worth(MatchKind::Miles, 1_124), Some(8_149));
        assert_eq!(rates.worth(MatchKind::Money, 12_345), Some(12_345));
        assert_eq!(rates.worth(MatchKind::Hours, 0), Some(0));
        assert_eq!(MatchRates::default().worth(MatchKind::Hours, 75), None);
        assert_eq!(MatchRates::default().worth(MatchKind::Miles, 75), None);
    }
}
