//! Each setting of the program but those of papers and of the growth check: its words, bounds, source and place.

use super::{OpenProgram, shipped_papers_ahead, shipped_staff_window};
use crate::domain::curriculum::SourceMark;
use crate::domain::people::LeapRule;
use crate::domain::retention::RetentionRule;
use crate::domain::rule_setting::{RuleUnit, RuleValue};
use crate::domain::session::RatioRule;

/// One setting: how it is told, held to bounds, read and written.
pub(super) struct Declared {
    pub(super) key: &'static str,
    pub(super) group: &'static str,
    pub(super) label: &'static str,
    pub(super) hint: &'static str,
    pub(super) unit: RuleUnit,
    pub(super) bounds: (i64, i64),
    /// How well the shipped value is founded, and on what; none for what only the program can know.
    pub(super) source: Option<(SourceMark, &'static str)>,
    pub(super) shipped: Option<fn() -> RuleValue>,
    pub(super) get: fn(&OpenProgram) -> RuleValue,
    pub(super) set: fn(&mut OpenProgram, RuleValue) -> Option<()>,
}

const OFFICE: &str = "The office";
const RATIO: &str = "Riders an instructor";
const OTHERS: &str = "Other rules";
const KEEPING: &str = "How long signed texts are kept";
const PRACTICE: &str = "Common practice";
const RIDERS: RuleUnit = RuleUnit::Count("rider", "riders");
const YEARS: RuleUnit = RuleUnit::Count("year", "years");
const LEAP: RuleUnit = RuleUnit::Choice(&[
    ("first_of_march", "1 March in common years"),
    ("last_of_february", "28 February in common years"),
]);

pub(super) fn number(value: RuleValue) -> Option<i64> {
    if let RuleValue::Number(number) = value { Some(number) } else { None }
}

fn years(value: RuleValue) -> Option<u32> {
    number(value).and_then(|years| u32::try_from(years).ok())
}

pub(super) fn text(value: RuleValue) -> Option<String> {
    if let RuleValue::Text(text) = value { Some(text) } else { None }
}

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "name",
        group: OFFICE,
        label: "Name of the program",
        hint: "Stands at the head of every page and on certificates.",
        unit: RuleUnit::Text(120),
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Text(file.name.clone()),
        set: |file, value| text(value).map(|name| file.name = name),
    },
    Declared {
        key: "office_phone",
        group: OFFICE,
        label: "Phone of the office",
        hint: "Stands at the foot of every page.",
        unit: RuleUnit::Phone,
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Text(file.office_phone.clone()),
        set: |file, value| text(value).map(|phone| file.office_phone = phone),
    },
    Declared {
        key: "office_email",
        group: OFFICE,
        label: "E-mail of the office",
        hint: "Stands at the foot of every page.",
        unit: RuleUnit::Mail,
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Text(file.office_email.clone()),
        set: |file, value| text(value).map(|mail| file.office_email = mail),
    },
    Declared {
        key: "office_hours",
        group: OFFICE,
        label: "When the office answers",
        hint: "Families read it in their language.",
        unit: RuleUnit::Words(160),
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Words(file.settings.office_hours.clone()),
        set: |file, value| match value {
            RuleValue::Words(words) => {
                file.settings.office_hours = words;
                Some(())
            }
            _ => None,
        },
    },
    Declared {
        key: "ratio_young",
        group: RATIO,
        label: "Riders an instructor, young riders",
        hint: "Holds for the whole group when its youngest rider is this young. Sessions planned before keep their seats.",
        unit: RIDERS,
        bounds: (1, 12),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(RatioRule::SHIPPED.young)),
        get: |file| RuleValue::Number(file.settings.ratio.young),
        set: |file, value| number(value).map(|riders| file.settings.ratio.young = riders),
    },
    Declared {
        key: "ratio_young_through",
        group: RATIO,
        label: "Last age that counts as young",
        hint: "A group whose youngest rider is older follows the next line.",
        unit: YEARS,
        bounds: (6, 15),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(RatioRule::SHIPPED.young_through)),
        get: |file| RuleValue::Number(file.settings.ratio.young_through),
        set: |file, value| number(value).map(|age| file.settings.ratio.young_through = age),
    },
    Declared {
        key: "ratio_older",
        group: RATIO,
        label: "Riders an instructor, older riders",
        hint: "A course may ask for fewer; the smaller number holds.",
        unit: RIDERS,
        bounds: (1, 12),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(RatioRule::SHIPPED.older)),
        get: |file| RuleValue::Number(file.settings.ratio.older),
        set: |file, value| number(value).map(|riders| file.settings.ratio.older = riders),
    },
    Declared {
        key: "overbooked",
        group: RATIO,
        label: "Riders more than machines and helmets",
        hint: "Because some do not come. Never more than the site takes or the instructors may teach.",
        unit: RIDERS,
        bounds: (0, 6),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(0)),
        get: |file| RuleValue::Number(file.settings.overbooked),
        set: |file, value| number(value).map(|riders| file.settings.overbooked = riders),
    },
    Declared {
        key: "helmet_years",
        group: OTHERS,
        label: "Years that a helmet is used",
        hint: "Counted from the end of the month it was made. A hard knock retires it at once.",
        unit: YEARS,
        bounds: (1, 10),
        source: Some((SourceMark::C, "Common practice; no federal rule")),
        shipped: Some(|| RuleValue::Number(5)),
        get: |file| RuleValue::Number(file.settings.helmet_years.into()),
        set: |file, value| years(value).map(|n| file.settings.helmet_years = n),
    },
    Declared {
        key: "leap_rule",
        group: OTHERS,
        label: "Birthday of those born on 29 February",
        hint: "Decides from which day an age counts, on every page and paper.",
        unit: LEAP,
        bounds: (0, 0),
        source: Some((SourceMark::C, "A state statute reads 1 March; other places use 28 February")),
        shipped: Some(|| RuleValue::Text("first_of_march".to_owned())),
        get: |file| RuleValue::Text(leap_word(file.settings.leap_rule).to_owned()),
        set: |file, value| text(value).map(|word| file.settings.leap_rule = leap_rule(&word)),
    },
    Declared {
        key: "staff_window",
        group: OTHERS,
        label: "Days in which staff see their session",
        hint: "Before and after its first day. Outside them the roster and its children's data stay closed.",
        unit: RuleUnit::Count("day", "days"),
        bounds: (2, 60),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(shipped_staff_window())),
        get: |file| RuleValue::Number(file.settings.staff_window_days),
        set: |file, value| number(value).map(|days| file.settings.staff_window_days = days),
    },
    Declared {
        key: "papers_ahead",
        group: OTHERS,
        label: "Days ahead in which papers that run out are shown",
        hint: "On the first page of the office and of the person whose paper it is.",
        unit: RuleUnit::Count("day", "days"),
        bounds: (7, 365),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(shipped_papers_ahead())),
        get: |file| RuleValue::Number(file.settings.papers_ahead_days),
        set: |file, value| number(value).map(|days| file.settings.papers_ahead_days = days),
    },
    Declared {
        key: "majority_age",
        group: KEEPING,
        label: "Age at which a child is grown up",
        hint: "State law; ask your lawyer.",
        unit: YEARS,
        bounds: (18, 21),
        source: Some((SourceMark::C, "Common practice; state law decides")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().majority_age.into())),
        get: |file| RuleValue::Number(file.settings.retention.majority_age.into()),
        set: |file, value| years(value).map(|n| file.settings.retention.majority_age = n),
    },
    Declared {
        key: "limitation_years",
        group: KEEPING,
        label: "Years in which a claim may still come",
        hint: "Counted from that age. State law; ask your lawyer.",
        unit: YEARS,
        bounds: (1, 20),
        source: Some((SourceMark::C, "Common practice; state law decides")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().limitation_years.into())),
        get: |file| RuleValue::Number(file.settings.retention.limitation_years.into()),
        set: |file, value| years(value).map(|n| file.settings.retention.limitation_years = n),
    },
    Declared {
        key: "margin_years",
        group: KEEPING,
        label: "Years kept beyond that",
        hint: "Signed texts are kept until all three have passed.",
        unit: YEARS,
        bounds: (0, 10),
        source: Some((SourceMark::C, "Common practice")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().margin_years.into())),
        get: |file| RuleValue::Number(file.settings.retention.margin_years.into()),
        set: |file, value| years(value).map(|n| file.settings.retention.margin_years = n),
    },
];

fn leap_word(rule: LeapRule) -> &'static str {
    match rule {
        LeapRule::FirstOfMarch => "first_of_march",
        LeapRule::LastOfFebruary => "last_of_february",
    }
}

fn leap_rule(word: &str) -> LeapRule {
    if word == "last_of_february" { LeapRule::LastOfFebruary } else { LeapRule::FirstOfMarch }
}
