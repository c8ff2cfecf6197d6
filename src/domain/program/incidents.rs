//! The settings of incidents: by when the insurer is told, and by when a report is whole and signed.

use super::declared::{Declared, number};
use super::holds::PRACTICE;
use super::keeping::days;
use crate::domain::curriculum::SourceMark;
use crate::domain::incident::IncidentRule;
use crate::domain::retention::RetentionRule;
use crate::domain::rule_setting::{RuleUnit, RuleValue};

const INCIDENTS: &str = "Incidents";
const HOURS: RuleUnit = RuleUnit::Count("hour", "hours");

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "incident_insurer_hours",
        group: INCIDENTS,
        label: "The insurer is told within",
        hint: "Your policy says how long. From when the report was opened.",
        unit: HOURS,
        bounds: (0, 720),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(IncidentRule::default().insurer_hours)),
        get: |file| RuleValue::Number(file.settings.incidents.insurer_hours),
        set: |file, value| number(value).map(|hours| file.settings.incidents.insurer_hours = hours),
    },
    Declared {
        key: "incident_ambulance_hours",
        group: INCIDENTS,
        label: "The same when an ambulance came",
        hint: "0 is at once.",
        unit: HOURS,
        bounds: (0, 720),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(IncidentRule::default().ambulance_hours)),
        get: |file| RuleValue::Number(file.settings.incidents.ambulance_hours),
        set: |file, value| number(value).map(|hours| file.settings.incidents.ambulance_hours = hours),
    },
    Declared {
        key: "incident_report_days",
        group: INCIDENTS,
        label: "Two people sign the report within",
        hint: "From when the report was opened.",
        unit: RuleUnit::Count("day", "days"),
        bounds: (1, 60),
        source: Some((SourceMark::R, "29 CFR 1904.29, the recording of injuries at work: seven days")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().report_days.into())),
        get: |file| RuleValue::Number(file.settings.retention.report_days.into()),
        set: |file, value| days(value).map(|days| file.settings.retention.report_days = days),
    },
];
