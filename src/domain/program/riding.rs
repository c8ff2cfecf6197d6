//! The settings of the teaching numbers: how the ground grips, and how long a novice takes to begin to brake.

use super::declared::{Declared, number};
use super::holds::PRACTICE;
use crate::domain::curriculum::SourceMark;
use crate::domain::riding::RidingRule;
use crate::domain::rule_setting::{RuleUnit, RuleValue};

const GROUND: &str = "Teaching numbers";
const THOUSANDTHS: RuleUnit = RuleUnit::Count("thousandth", "thousandths");
const TENTHS: RuleUnit = RuleUnit::Count("tenth of a second", "tenths of a second");
const HANDBOOK: Option<(SourceMark, &str)> =
    Some((SourceMark::M, "From memory of accident handbooks: packed dirt 0.50 to 0.70, dry grass 0.35 to 0.5"));
const WET: Option<(SourceMark, &str)> =
    Some((SourceMark::R2, "Noon, Engineering Analysis of Vehicular Accidents, 1994, as a review quotes it"));

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "riding_packed_dirt",
        group: GROUND,
        label: "Grip of packed dirt",
        hint: "500 is a coefficient of friction of 0.5.",
        unit: THOUSANDTHS,
        bounds: (100, 1000),
        source: HANDBOOK,
        shipped: Some(|| RuleValue::Number(RidingRule::default().packed_dirt_permille)),
        get: |file| RuleValue::Number(file.settings.riding.packed_dirt_permille),
        set: |file, value| number(value).map(|grip| file.settings.riding.packed_dirt_permille = grip),
    },
    Declared {
        key: "riding_dry_grass",
        group: GROUND,
        label: "Grip of dry grass",
        hint: "",
        unit: THOUSANDTHS,
        bounds: (100, 1000),
        source: HANDBOOK,
        shipped: Some(|| RuleValue::Number(RidingRule::default().dry_grass_permille)),
        get: |file| RuleValue::Number(file.settings.riding.dry_grass_permille),
        set: |file, value| number(value).map(|grip| file.settings.riding.dry_grass_permille = grip),
    },
    Declared {
        key: "riding_wet_grass",
        group: GROUND,
        label: "Grip of wet grass",
        hint: "",
        unit: THOUSANDTHS,
        bounds: (100, 1000),
        source: WET,
        shipped: Some(|| RuleValue::Number(RidingRule::default().wet_grass_permille)),
        get: |file| RuleValue::Number(file.settings.riding.wet_grass_permille),
        set: |file, value| number(value).map(|grip| file.settings.riding.wet_grass_permille = grip),
    },
    Declared {
        key: "riding_reaction",
        group: GROUND,
        label: "From seeing to braking",
        hint: "15 is one second and a half.",
        unit: TENTHS,
        bounds: (5, 40),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(RidingRule::default().reaction_tenths)),
        get: |file| RuleValue::Number(file.settings.riding.reaction_tenths),
        set: |file, value| number(value).map(|tenths| file.settings.riding.reaction_tenths = tenths),
    },
];
