//! The settings of keeping: how long what families tell is kept before the nightly removal.

use super::declared::{Declared, number};
use crate::domain::curriculum::SourceMark;
use crate::domain::retention::RetentionRule;
use crate::domain::rule_setting::{RuleUnit, RuleValue};

const GROUP: &str = "How long what families tell is kept";
const PRACTICE: Option<(SourceMark, &str)> = Some((SourceMark::C, "Common practice"));
const DAYS: RuleUnit = RuleUnit::Count("day", "days");

pub(super) fn days(value: RuleValue) -> Option<u32> {
    number(value).and_then(|days| u32::try_from(days).ok())
}

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "keep_health",
        group: GROUP,
        label: "Health answers, after the session",
        hint: "Of a session without an open question. A session under a legal hold keeps them.",
        unit: DAYS,
        bounds: (1, 365),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(RetentionRule::default().health_days.into())),
        get: |file| RuleValue::Number(file.settings.retention.health_days.into()),
        set: |file, value| days(value).map(|days| file.settings.retention.health_days = days),
    },
    Declared {
        key: "keep_line",
        group: GROUP,
        label: "Registrations that came to no seat, after the session",
        hint: "The whole registration goes, with what was signed for it.",
        unit: DAYS,
        bounds: (30, 730),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(RetentionRule::default().line_days.into())),
        get: |file| RuleValue::Number(file.settings.retention.line_days.into()),
        set: |file, value| days(value).map(|days| file.settings.retention.line_days = days),
    },
    Declared {
        key: "keep_contacts",
        group: GROUP,
        label: "People to call and measures, after the session",
        hint: "Next season's registration fills them in, so a little more than a year serves families.",
        unit: DAYS,
        bounds: (30, 1095),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(RetentionRule::default().contact_days.into())),
        get: |file| RuleValue::Number(file.settings.retention.contact_days.into()),
        set: |file, value| days(value).map(|days| file.settings.retention.contact_days = days),
    },
    Declared {
        key: "keep_kept_health",
        group: GROUP,
        label: "Health answers that a family keeps for the next time",
        hint: "From the day they were kept last.",
        unit: DAYS,
        bounds: (30, 1095),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(RetentionRule::default().kept_health_days.into())),
        get: |file| RuleValue::Number(file.settings.retention.kept_health_days.into()),
        set: |file, value| days(value).map(|days| file.settings.retention.kept_health_days = days),
    },
];
