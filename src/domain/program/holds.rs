//! The settings of holds: how long a seat waits for an answer, and when the night is.

use super::declared::{Declared, number};
use crate::domain::curriculum::SourceMark;
use crate::domain::hold::HoldRule;
use crate::domain::rule_setting::{RuleUnit, RuleValue};

const HOLDS: &str = "How long a seat waits for an answer";
pub(super) const PRACTICE: Option<(SourceMark, &str)> = Some((SourceMark::C, "Common practice"));
const HOURS: RuleUnit = RuleUnit::Count("hour", "hours");
pub(super) const CLOCK: RuleUnit = RuleUnit::Choice(&[
    ("0", "midnight"),
    ("1", "1 AM"),
    ("2", "2 AM"),
    ("3", "3 AM"),
    ("4", "4 AM"),
    ("5", "5 AM"),
    ("6", "6 AM"),
    ("7", "7 AM"),
    ("8", "8 AM"),
    ("9", "9 AM"),
    ("10", "10 AM"),
    ("11", "11 AM"),
    ("12", "noon"),
    ("13", "1 PM"),
    ("14", "2 PM"),
    ("15", "3 PM"),
    ("16", "4 PM"),
    ("17", "5 PM"),
    ("18", "6 PM"),
    ("19", "7 PM"),
    ("20", "8 PM"),
    ("21", "9 PM"),
    ("22", "10 PM"),
    ("23", "11 PM"),
]);

pub(super) fn hour(value: RuleValue) -> Option<i64> {
    if let RuleValue::Text(word) = value { word.parse().ok() } else { None }
}

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "confirm_hours",
        group: HOLDS,
        label: "For a new family to confirm its address",
        hint: "Nights do not count. After that the seat goes to the next family.",
        unit: HOURS,
        bounds: (1, 48),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(HoldRule::default().confirm_hours)),
        get: |file| RuleValue::Number(file.settings.holds.confirm_hours),
        set: |file, value| number(value).map(|hours| file.settings.holds.confirm_hours = hours),
    },
    Declared {
        key: "offer_hours",
        group: HOLDS,
        label: "For a freed seat that is offered",
        hint: "To the first family in line. Nights do not count.",
        unit: HOURS,
        bounds: (1, 72),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(HoldRule::default().offer_hours)),
        get: |file| RuleValue::Number(file.settings.holds.offer_hours),
        set: |file, value| number(value).map(|hours| file.settings.holds.offer_hours = hours),
    },
    Declared {
        key: "last_day_hours",
        group: HOLDS,
        label: "The same on the last day before the start",
        hint: "Nothing is offered in the two hours before the start.",
        unit: HOURS,
        bounds: (1, 24),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(HoldRule::default().last_day_hours)),
        get: |file| RuleValue::Number(file.settings.holds.last_day_hours),
        set: |file, value| number(value).map(|hours| file.settings.holds.last_day_hours = hours),
    },
    Declared {
        key: "night_from",
        group: HOLDS,
        label: "The night begins",
        hint: "From then on no time to answer runs, by the clock of the site.",
        unit: CLOCK,
        bounds: (0, 0),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Text(HoldRule::default().night_from.to_string())),
        get: |file| RuleValue::Text(file.settings.holds.night_from.to_string()),
        set: |file, value| hour(value).map(|hour| file.settings.holds.night_from = hour),
    },
    Declared {
        key: "night_until",
        group: HOLDS,
        label: "The night ends",
        hint: "The hour at which it begins, once more: no night.",
        unit: CLOCK,
        bounds: (0, 0),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Text(HoldRule::default().night_until.to_string())),
        get: |file| RuleValue::Text(file.settings.holds.night_until.to_string()),
        set: |file, value| hour(value).map(|hour| file.settings.holds.night_until = hour),
    },
];
