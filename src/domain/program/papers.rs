//! The settings of papers, of people and of sites, and of the growth check.

use super::OpenProgram;
use super::declared::{Declared, number};
use crate::domain::certification::CertificationKind;
use crate::domain::curriculum::SourceMark;
use crate::domain::measures::growth::GrowthLimits;
use crate::domain::rule_setting::{RuleUnit, RuleValue};
use crate::domain::site_paper::{SitePaperKind, shipped_blocking_kinds};
use crate::domain::staffing::DutyPapers;
use crate::domain::words::Word;

const PEOPLE: &str = "Papers that a duty needs";
const SITES: &str = "Papers that a site needs";
const GROWTH: &str = "When a height or weight is asked about again";
const PRACTICE: Option<(SourceMark, &str)> = Some((SourceMark::C, "Common practice"));
const NOTES: Option<(SourceMark, &str)> =
    Some((SourceMark::M, "Notes of the federal growth-chart program, United States, charts of the year 2000"));
const DUTY_HINT: &str = "Nobody does this duty on a day on which one of them does not count.";
const KINDS: RuleUnit = RuleUnit::Several(&[
    ("riding", "certification to teach riding"),
    ("first_aid", "first-aid card"),
    ("background", "background check"),
    ("child_protection", "child-protection training"),
]);
const SITE_KINDS: RuleUnit = RuleUnit::Several(&[
    ("owner_permission", "the owner's permission"),
    ("insurance", "insurance"),
    ("use_permit", "a permit of the office that looks after the land"),
]);

fn chosen<W: Word>(kinds: &[W]) -> RuleValue {
    RuleValue::Chosen(kinds.iter().map(|kind| kind.as_str().to_owned()).collect())
}

fn kinds<W: Word>(value: RuleValue) -> Option<Vec<W>> {
    let RuleValue::Chosen(words) = value else { return None };
    words.iter().map(|word| W::from_word(word)).collect()
}

const fn duty(
    key: &'static str,
    label: &'static str,
    shipped: fn() -> RuleValue,
    get: fn(&OpenProgram) -> RuleValue,
    set: fn(&mut OpenProgram, RuleValue) -> Option<()>,
) -> Declared {
    let (group, bounds, shipped) = (PEOPLE, (0, 0), Some(shipped));
    Declared { key, group, label, hint: DUTY_HINT, unit: KINDS, bounds, source: PRACTICE, shipped, get, set }
}

const fn score(
    key: &'static str,
    label: &'static str,
    bounds: (i64, i64),
    shipped: fn() -> RuleValue,
    get: fn(&OpenProgram) -> RuleValue,
    set: fn(&mut OpenProgram, RuleValue) -> Option<()>,
) -> Declared {
    let hint = "In deviations from the median of the child's age and sex. Asked about again, never refused.";
    Declared {
        key,
        group: GROWTH,
        label,
        hint,
        unit: RuleUnit::Hundredths,
        bounds,
        source: NOTES,
        shipped: Some(shipped),
        get,
        set,
    }
}

/// These settings, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    duty(
        "papers_lead",
        "Papers of the lead",
        || chosen(&DutyPapers::default().lead),
        |file| chosen(&file.settings.papers.lead),
        |file, value| kinds::<CertificationKind>(value).map(|kinds| file.settings.papers.lead = kinds),
    ),
    duty(
        "papers_instructor",
        "Papers of an instructor",
        || chosen(&DutyPapers::default().instructor),
        |file| chosen(&file.settings.papers.instructor),
        |file, value| kinds::<CertificationKind>(value).map(|kinds| file.settings.papers.instructor = kinds),
    ),
    duty(
        "papers_helper",
        "Papers of a helper",
        || chosen(&DutyPapers::default().helper),
        |file| chosen(&file.settings.papers.helper),
        |file, value| kinds::<CertificationKind>(value).map(|kinds| file.settings.papers.helper = kinds),
    ),
    duty(
        "papers_first_aid",
        "Papers of the first-aider",
        || chosen(&DutyPapers::default().first_aid),
        |file| chosen(&file.settings.papers.first_aid),
        |file, value| kinds::<CertificationKind>(value).map(|kinds| file.settings.papers.first_aid = kinds),
    ),
    Declared {
        key: "site_papers",
        group: SITES,
        label: "Papers of a site",
        hint: "No session is announced at a site on a day on which one of them does not count.",
        unit: SITE_KINDS,
        bounds: (0, 0),
        source: PRACTICE,
        shipped: Some(|| chosen(&shipped_blocking_kinds())),
        get: |file| chosen(&file.settings.site_papers),
        set: |file, value| kinds::<SitePaperKind>(value).map(|kinds| file.settings.site_papers = kinds),
    },
    score(
        "growth_height_least",
        "Height, lowest score",
        (-1000, -100),
        || RuleValue::Number(GrowthLimits::default().height_least),
        |file| RuleValue::Number(file.settings.growth.height_least),
        |file, value| number(value).map(|score| file.settings.growth.height_least = score),
    ),
    score(
        "growth_height_most",
        "Height, highest score",
        (100, 1000),
        || RuleValue::Number(GrowthLimits::default().height_most),
        |file| RuleValue::Number(file.settings.growth.height_most),
        |file, value| number(value).map(|score| file.settings.growth.height_most = score),
    ),
    score(
        "growth_weight_least",
        "Weight, lowest score",
        (-1000, -100),
        || RuleValue::Number(GrowthLimits::default().weight_least),
        |file| RuleValue::Number(file.settings.growth.weight_least),
        |file, value| number(value).map(|score| file.settings.growth.weight_least = score),
    ),
    score(
        "growth_weight_most",
        "Weight, highest score",
        (100, 2000),
        || RuleValue::Number(GrowthLimits::default().weight_most),
        |file| RuleValue::Number(file.settings.growth.weight_most),
        |file, value| number(value).map(|score| file.settings.growth.weight_most = score),
    ),
    Declared {
        key: "growth_slip",
        group: GROWTH,
        label: "Weight that may be in the other unit",
        hint: "Farther from the median than this, and nearer to it read in pounds or in kilograms instead: the family is asked.",
        unit: RuleUnit::Hundredths,
        bounds: (100, 500),
        source: Some((SourceMark::C, "Our own choice: about one child in a hundred lies outside on each side")),
        shipped: Some(|| RuleValue::Number(GrowthLimits::default().slip)),
        get: |file| RuleValue::Number(file.settings.growth.slip),
        set: |file, value| number(value).map(|score| file.settings.growth.slip = score),
    },
];
