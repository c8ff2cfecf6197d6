//! The settings of families: whose signature a child needs, and whether somebody stays with it.

use super::declared::Declared;
use super::holds::PRACTICE;
use crate::domain::consent::Signers;
use crate::domain::curriculum::SourceMark;
use crate::domain::registration::DayAdult;
use crate::domain::rule_setting::{RuleUnit, RuleValue};
use crate::domain::words::Word;

const FAMILIES: &str = "Families";

fn word<W: Word>(value: RuleValue) -> Option<W> {
    if let RuleValue::Text(text) = value { W::from_word(&text) } else { None }
}

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "signers",
        group: FAMILIES,
        label: "Who signs the consent to ride",
        hint: "Counts for every child at once. A child whose second adult has not signed does not start.",
        unit: RuleUnit::Choice(&[
            ("one", "One adult who answers for the child"),
            ("all", "Every adult who answers for the child here"),
        ]),
        bounds: (0, 0),
        source: Some((SourceMark::C, "Common practice; your lawyer decides")),
        shipped: Some(|| RuleValue::Text(Signers::default().as_str().to_owned())),
        get: |file| RuleValue::Text(file.settings.signers.as_str().to_owned()),
        set: |file, value| word(value).map(|signers| file.settings.signers = signers),
    },
    Declared {
        key: "day_adult",
        group: FAMILIES,
        label: "The adult who is there on the day",
        hint: "Families name the adult who comes with the child and stays.",
        unit: RuleUnit::Choice(&[
            ("unasked", "Is not asked for"),
            ("asked", "May be named"),
            ("needed", "Must be named"),
        ]),
        bounds: (0, 0),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Text(DayAdult::default().as_str().to_owned())),
        get: |file| RuleValue::Text(file.settings.day_adult.as_str().to_owned()),
        set: |file, value| word(value).map(|asked| file.settings.day_adult = asked),
    },
];
