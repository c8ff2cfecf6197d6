//! Machines: categories with their least ages and speeds, editions of the standard, states and dimensions.
//! Must not judge fit; a machine allowed by age may still not fit its rider.

pub mod record;
pub mod sheet;
pub mod today;

use super::curriculum::SourceMark;
use super::measures::{Length, Mass};
use super::words::{Word, word_list};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use thiserror::Error;

word_list! {
    /// Category of a machine, in the words of the ANSI/SVIA 1 label.
    Category {
        /// Youth, age 6 and over.
        Y6 = "Y-6+",
        /// Youth, age 10 and over.
        Y10 = "Y-10+",
        /// Youth, age 12 and over; older machines.
        Y12 = "Y-12+",
        /// Transition.
        T = "T",
        /// General use.
        G = "G",
        /// Sport.
        S = "S",
        /// Utility.
        U = "U",
    }
}

/// What the program holds about one category. Speeds in miles an hour, for display.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CategoryRule {
    /// The category.
    pub category: Category,
    /// Least age in completed years, with an adult supervising as on every course.
    pub least_age: i64,
    /// Top speed with the limiter as delivered, if the category has one and sources agree.
    pub limited_mph: Option<i64>,
    /// Top speed with the limiter removed, if the category has one.
    pub unlimited_mph: Option<i64>,
    /// Where the figures come from.
    pub source: String,
    /// How surely they are known.
    pub mark: SourceMark,
}

/// The rules of all categories; editable data.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct CategoryRules(Vec<CategoryRule>);

/// Nobody below this age rides any machine (federal consumer-safety advice, atvsafety.gov). Not a setting.
pub const NEVER_UNDER: i64 = 6;

/// Why an age may not ride a category.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error, Serialize, Deserialize)]
#[error("age {age} is under {least}, the least age for {}", category.as_str())]
pub struct AgeRefusal {
    /// The category asked about.
    pub category: Category,
    /// The rider's completed years on the day.
    pub age: i64,
    /// The least age that may ride it.
    pub least: i64,
}

impl CategoryRules {
    /// The rule of a category.
    #[must_use]
    pub fn of(&self, category: Category) -> Option<&CategoryRule> {
        self.0.iter().find(|rule| rule.category == category)
    }

    /// The rule of a category, to be changed.
    pub fn of_mut(&mut self, category: Category) -> Option<&mut CategoryRule> {
        self.0.iter_mut().find(|rule| rule.category == category)
    }

    /// Whether each category has exactly one rule, none with a least age under [`NEVER_UNDER`].
    #[must_use]
    pub fn are_whole(&self) -> bool {
        self.0.len() == Category::ALL.len()
            && Category::ALL.iter().all(|category| self.of(*category).is_some_and(|rule| rule.least_age >= NEVER_UNDER))
    }

    /// Whether a rider of `age` completed years may ride `category` under supervision.
    ///
    /// # Errors
    /// [`AgeRefusal`] names the least age. A category without a rule counts as for adults.
    pub fn allowed_by_age(&self, category: Category, age: i64) -> Result<(), AgeRefusal> {
        let least = self.of(category).map_or(16, |rule| rule.least_age).max(NEVER_UNDER);
        if age >= least { Ok(()) } else { Err(AgeRefusal { category, age, least }) }
    }
}

/// A speed in kilometres an hour from tenths of a mile an hour: 1 mile is 1.609344 km by definition.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a speed in tenths of a mile an hour is far below 2^52")]
pub fn kilometres_an_hour(tenths_mph: i64) -> f64 {
    tenths_mph as f64 * 0.160_934_4
}

/// A speed for people, in both systems: `10 mph (16 km/h)`.
#[must_use]
pub fn speed_text(tenths_mph: i64) -> String {
    let miles = format!("{}.{}", tenths_mph / 10, tenths_mph % 10);
    let miles = miles.strip_suffix(".0").unwrap_or(&miles);
    format!("{miles} mph ({:.0} km/h)", kilometres_an_hour(tenths_mph))
}

/// The old engine-size rule of thumb (atvsafety.gov), off unless the program turns it on. Sizes in tenths of a cc.
pub mod engine_rule {
    /// The largest engine for an age: none (0) under 6, under 70 cc from 6, to 90 cc from 12, any size (`None`) from 16.
    #[must_use]
    pub fn largest_tenth_cc(age: i64) -> Option<i64> {
        match age {
            ..=5 => Some(0),
            6..=11 => Some(699),
            12..=15 => Some(900),
            _ => None,
        }
    }

    /// Whether an engine of this size is allowed at this age.
    #[must_use]
    pub fn allows(age: i64, tenth_cc: i64) -> bool {
        largest_tenth_cc(age).is_none_or(|largest| tenth_cc <= largest)
    }
}

word_list! {
    /// Whether a machine can be ridden today.
    MachineState {
        /// Looked over and ready.
        Ready = "ready",
        /// A defect or an incident keeps it standing.
        OutOfUse = "out_of_use",
        /// No longer part of the fleet.
        Retired = "retired",
    }
}

impl MachineState {
    /// Whether a rider may start on it.
    #[must_use]
    pub fn may_be_ridden(self) -> bool {
        self == Self::Ready
    }
}

word_list! {
    /// Edition of ANSI/SVIA 1 that 16 CFR part 1420 applied when a machine was made.
    Edition {
        /// ANSI/SVIA 1-2007.
        V2007 = "ANSI/SVIA 1-2007",
        /// ANSI/SVIA 1-2010.
        V2010 = "ANSI/SVIA 1-2010",
        /// ANSI/SVIA 1-2017.
        V2017 = "ANSI/SVIA 1-2017",
        /// ANSI/SVIA 1-2023.
        V2023 = "ANSI/SVIA 1-2023",
    }
}

/// First day of manufacture of each edition: 73 FR 67385 (its publication), 77 FR 12197, 83 FR 8336, 89 FR 4188.
const EDITIONS: [(Edition, (i32, u32, u32)); 4] = [
    (Edition::V2023, (2025, 1, 1)),
    (Edition::V2017, (2019, 1, 1)),
    (Edition::V2010, (2012, 4, 30)),
    (Edition::V2007, (2008, 11, 14)),
];

/// The edition for a machine made on a day; nothing for machines older than the first federal rule.
#[must_use]
pub fn edition(built_on: NaiveDate) -> Option<Edition> {
    EDITIONS
        .into_iter()
        .find(|(_, (year, month, day))| {
            NaiveDate::from_ymd_opt(*year, *month, *day).is_some_and(|from| built_on >= from)
        })
        .map(|(edition, _)| edition)
}

/// What was measured on a machine, for planning. What was not measured is absent, never zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Dimensions {
    /// Top of the seat above the footrests.
    pub seat_to_rest: Option<Length>,
    /// From the back of the grip to the front of the brake lever.
    pub grip_to_lever: Option<Length>,
    /// From the heel's place on the footrest to the foot-brake pedal.
    pub rest_to_pedal: Option<Length>,
    /// Mass without fuel.
    pub dry_weight: Option<Mass>,
}

#[cfg(test)]
mod tests;
