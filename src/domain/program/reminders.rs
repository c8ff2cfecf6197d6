//! The settings of reminders: on which days before a session families hear of it again, at what hour; and when staff hear that a paper runs out.

use super::declared::{Declared, number};
use super::holds::{CLOCK, PRACTICE, hour};
use crate::domain::paper_reminder::PaperReminderRule;
use crate::domain::reminder::ReminderRule;
use crate::domain::rule_setting::{RuleUnit, RuleValue};

const REMINDERS: &str = "Reminders before a session";
const DAYS: RuleUnit = RuleUnit::Count("day before", "days before");
const PAPERS: &str = "Letters to staff whose paper runs out";
const NONE: &str = "With 0 this letter does not go out.";

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "week_days",
        group: REMINDERS,
        label: "First reminder",
        hint: NONE,
        unit: DAYS,
        bounds: (0, 30),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(ReminderRule::default().week_days)),
        get: |file| RuleValue::Number(file.settings.reminders.week_days),
        set: |file, value| number(value).map(|days| file.settings.reminders.week_days = days),
    },
    Declared {
        key: "ask_days",
        group: REMINDERS,
        label: "“Still coming?”",
        hint: NONE,
        unit: DAYS,
        bounds: (0, 30),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(ReminderRule::default().ask_days)),
        get: |file| RuleValue::Number(file.settings.reminders.ask_days),
        set: |file, value| number(value).map(|days| file.settings.reminders.ask_days = days),
    },
    Declared {
        key: "ask_again_days",
        group: REMINDERS,
        label: "The same again, for who has not answered",
        hint: NONE,
        unit: DAYS,
        bounds: (0, 30),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(ReminderRule::default().ask_again_days)),
        get: |file| RuleValue::Number(file.settings.reminders.ask_again_days),
        set: |file, value| number(value).map(|days| file.settings.reminders.ask_again_days = days),
    },
    Declared {
        key: "last_days",
        group: REMINDERS,
        label: "Last reminder",
        hint: NONE,
        unit: DAYS,
        bounds: (0, 7),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(ReminderRule::default().last_days)),
        get: |file| RuleValue::Number(file.settings.reminders.last_days),
        set: |file, value| number(value).map(|days| file.settings.reminders.last_days = days),
    },
    Declared {
        key: "reminder_hour",
        group: REMINDERS,
        label: "The hour at which they go out",
        hint: "By the clock of the site. What could not go out then goes out later that day.",
        unit: CLOCK,
        bounds: (0, 0),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Text(ReminderRule::default().hour.to_string())),
        get: |file| RuleValue::Text(file.settings.reminders.hour.to_string()),
        set: |file, value| hour(value).map(|hour| file.settings.reminders.hour = hour),
    },
    Declared {
        key: "paper_first_days",
        group: PAPERS,
        label: "First letter",
        hint: NONE,
        unit: RuleUnit::Count("day before its last day", "days before its last day"),
        bounds: (0, 365),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(PaperReminderRule::default().first_days)),
        get: |file| RuleValue::Number(file.settings.paper_reminders.first_days),
        set: |file, value| number(value).map(|days| file.settings.paper_reminders.first_days = days),
    },
    Declared {
        key: "paper_second_days",
        group: PAPERS,
        label: "Second letter",
        hint: NONE,
        unit: RuleUnit::Count("day before its last day", "days before its last day"),
        bounds: (0, 365),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(PaperReminderRule::default().second_days)),
        get: |file| RuleValue::Number(file.settings.paper_reminders.second_days),
        set: |file, value| number(value).map(|days| file.settings.paper_reminders.second_days = days),
    },
    Declared {
        key: "paper_third_days",
        group: PAPERS,
        label: "Third letter",
        hint: NONE,
        unit: RuleUnit::Count("day before its last day", "days before its last day"),
        bounds: (0, 365),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(PaperReminderRule::default().third_days)),
        get: |file| RuleValue::Number(file.settings.paper_reminders.third_days),
        set: |file, value| number(value).map(|days| file.settings.paper_reminders.third_days = days),
    },
    Declared {
        key: "paper_last_days",
        group: PAPERS,
        label: "Last letter",
        hint: NONE,
        unit: RuleUnit::Count("day before its last day", "days before its last day"),
        bounds: (0, 365),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(PaperReminderRule::default().last_days)),
        get: |file| RuleValue::Number(file.settings.paper_reminders.last_days),
        set: |file, value| number(value).map(|days| file.settings.paper_reminders.last_days = days),
    },
];
