//! The settings of incidents: by when the insurer is told.

use super::declared::{Declared, number};
use super::holds::PRACTICE;
use crate::domain::incident::IncidentRule;
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
];
