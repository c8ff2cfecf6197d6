//! What of the fit rules an administrator may set: everything that rests on memory, practice or second-hand reading, and
//! which criteria are mandatory. A limit that was read in its source (mark R) is fixed and not offered.

use super::reading::number_text;
use super::rules::{Criterion, CriterionKey, FitRules, Kind, Limit, NumberRule, Unit};
use super::soundness::RulesFault;
use crate::domain::curriculum::SourceMark;
use crate::domain::machine::{Category, CategoryRule, NEVER_UNDER};
use crate::domain::rule_setting::{RuleSetting, RuleUnit, RuleValue, SettingFault};
use crate::domain::words::Word;

const WEIGHT: RuleUnit =
    RuleUnit::Choice(&[("mandatory", "Mandatory: must be met"), ("advisory", "Advisory: the lead may decide")]);
const SWITCH: RuleUnit = RuleUnit::Choice(&[("on", "Used"), ("off", "Not used")]);
const MPH: RuleUnit = RuleUnit::MilesPerHour;

/// The end of a limit that a key names.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    Least,
    Most,
}

impl FitRules {
    /// The settings in the order of the page, beside what ships.
    pub fn settings(&self, shipped: &FitRules) -> Vec<RuleSetting> {
        let mut all = self.general(shipped);
        for criterion in &self.criteria {
            let first = shipped.criterion(&criterion.key);
            all.extend(weight_of(criterion, first));
            all.extend([End::Least, End::Most].into_iter().filter_map(|end| limit_of(criterion, first, end)));
        }
        for category in Category::ALL {
            if let (Some(rule), first) = (self.categories.of(*category), shipped.categories.of(*category)) {
                all.extend(category_settings(rule, first));
            }
        }
        all
    }

    fn general(&self, shipped: &FitRules) -> Vec<RuleSetting> {
        let one = |key: &str, label: &str, hint: &str, unit, bounds, now, first, source: &str| RuleSetting {
            key: key.to_owned(),
            group: "All checks".into(),
            label: label.to_owned(),
            hint: hint.to_owned(),
            unit,
            now,
            shipped: Some(first),
            bounds,
            may_be_open: false,
            mark: Some(if key == "engine_rule" { SourceMark::R } else { SourceMark::C }),
            source: source.to_owned(),
        };
        let switch = |on: bool| RuleValue::Text(if on { "on" } else { "off" }.to_owned());
        vec![
            one(
                "measure_again",
                "Measure again within",
                "A length this close to its limit is measured a second time.",
                RuleUnit::BodyLength,
                (0, 50_000),
                RuleValue::Number(self.measure_again_within_um),
                RuleValue::Number(shipped.measure_again_within_um),
                "Common practice",
            ),
            one(
                "stale_after",
                "A fit check is old after",
                "Children grow. After this time the fit is checked anew.",
                RuleUnit::Count("month", "months"),
                (1, 24),
                RuleValue::Number(self.stale_after_months.into()),
                RuleValue::Number(shipped.stale_after_months.into()),
                "Common practice",
            ),
            one(
                "engine_rule",
                "The old engine-size rule",
                "Under 70 cc at 6 to 11 years, 70 to 90 cc at 12 to 15. Some states still use it.",
                SWITCH,
                (0, 0),
                switch(self.use_engine_rule),
                switch(shipped.use_engine_rule),
                "atvsafety.gov; whether it is used is the program's choice",
            ),
        ]
    }

    /// Sets one value. The rules stay as they were when they would not be sound with it.
    ///
    /// # Errors
    /// Why they would not, or that the value is fixed.
    pub fn set(&mut self, key: &str, value: RuleValue) -> Result<(), SettingFault> {
        let mut changed = self.clone();
        changed.put(key, value)?;
        changed.check().map_err(|fault| match fault {
            RulesFault::NothingMandatory => SettingFault::NothingMandatory,
            RulesFault::EmptyBand => SettingFault::EndsCross,
            _ => SettingFault::Unknown,
        })?;
        *self = changed;
        Ok(())
    }

    fn put(&mut self, key: &str, value: RuleValue) -> Result<(), SettingFault> {
        match (key, value) {
            ("measure_again", RuleValue::Number(um)) => self.measure_again_within_um = um,
            ("stale_after", RuleValue::Number(months)) => {
                self.stale_after_months = u32::try_from(months).map_err(|_| SettingFault::NotANumber)?;
            }
            ("engine_rule", RuleValue::Text(word)) => self.use_engine_rule = word == "on",
            (key, value) => {
                let (name, part) = key.rsplit_once('.').ok_or(SettingFault::Unknown)?;
                match Category::from_word(name) {
                    Some(category) => {
                        let rule = self.categories.of_mut(category).ok_or(SettingFault::Unknown)?;
                        put_category(rule, part, value)?;
                    }
                    None => {
                        let found = self.criteria.iter_mut().find(|one| one.key == CriterionKey(name.to_owned()));
                        put_criterion(found.ok_or(SettingFault::Unknown)?, part, value)?;
                    }
                }
            }
        }
        Ok(())
    }
}

fn weight_of(criterion: &Criterion, shipped: Option<&Criterion>) -> Option<RuleSetting> {
    let weight = |one: &Criterion| RuleValue::Text(if one.mandatory { "mandatory" } else { "advisory" }.to_owned());
    (criterion.kind == Kind::SeeAndTap).then(|| RuleSetting {
        key: format!("{}.weight", criterion.key.as_str()),
        group: criterion.label.en.clone(),
        label: format!("{}: mandatory or advisory", criterion.label.en),
        hint: criterion.look.en.clone(),
        unit: WEIGHT,
        now: weight(criterion),
        shipped: shipped.map(weight),
        bounds: (0, 0),
        may_be_open: false,
        mark: Some(criterion.mark),
        source: criterion.source.clone(),
    })
}

fn end_of(number: &NumberRule, end: End) -> Option<i64> {
    match (number.limit?, end) {
        (Limit::AtLeast(least) | Limit::Band(least, _), End::Least) => Some(least),
        (Limit::AtMost(most) | Limit::Band(_, most), End::Most) => Some(most),
        _ => None,
    }
}

fn limit_of(criterion: &Criterion, shipped: Option<&Criterion>, end: End) -> Option<RuleSetting> {
    let number = criterion.number.as_ref().filter(|number| number.mark != SourceMark::R)?;
    let now = end_of(number, end)?;
    let first = shipped.and_then(|one| one.number.as_ref()).and_then(|number| end_of(number, end));
    let (unit, bounds) = match number.unit {
        Unit::Micrometre => (RuleUnit::BodyLength, (-500_000, 1_000_000)),
        Unit::TenthDegree => (RuleUnit::TenthDegrees, (-900, 1_800)),
        Unit::PerMille => (RuleUnit::Permille, (0, 9_000)),
        Unit::Year | Unit::TenthCc | Unit::TenthMph => (RuleUnit::Count("", ""), (0, 9_000)),
    };
    let (part, words) = if end == End::Least { ("at_least", "at least") } else { ("at_most", "at most") };
    Some(RuleSetting {
        key: format!("{}.{part}", criterion.key.as_str()),
        group: criterion.label.en.clone(),
        label: format!("{}: {words}", criterion.label.en),
        hint: number.what.en.clone(),
        unit,
        now: RuleValue::Number(now),
        shipped: first.map(RuleValue::Number),
        bounds,
        may_be_open: false,
        mark: Some(number.mark),
        source: number.source.clone(),
    })
}

fn put_criterion(criterion: &mut Criterion, part: &str, value: RuleValue) -> Result<(), SettingFault> {
    if let ("weight", RuleValue::Text(word)) = (part, &value) {
        criterion.mandatory = word == "mandatory";
        return Ok(());
    }
    let (end, RuleValue::Number(to)) = (if part == "at_least" { End::Least } else { End::Most }, value) else {
        return Err(SettingFault::Unknown);
    };
    let number = criterion.number.as_mut().ok_or(SettingFault::Unknown)?;
    if number.mark == SourceMark::R {
        return Err(SettingFault::Fixed);
    }
    let limit = match (number.limit.ok_or(SettingFault::Unknown)?, end) {
        (Limit::AtLeast(_), End::Least) => Limit::AtLeast(to),
        (Limit::AtMost(_), End::Most) => Limit::AtMost(to),
        (Limit::Band(_, most), End::Least) => Limit::Band(to, most),
        (Limit::Band(least, _), End::Most) => Limit::Band(least, to),
        _ => return Err(SettingFault::Unknown),
    };
    if matches!(limit, Limit::Band(least, most) if least > most) {
        return Err(SettingFault::EndsCross);
    }
    if number.limit != Some(limit) {
        number.limit = Some(limit);
        (number.mark, number.source) = (SourceMark::C, "Set by the program".to_owned());
    }
    Ok(())
}

fn category_settings(rule: &CategoryRule, shipped: Option<&CategoryRule>) -> Vec<RuleSetting> {
    let name = rule.category.as_str();
    let speed = |mph: Option<i64>| mph.map_or(RuleValue::Open, RuleValue::Number);
    let one = |part: &str, label: &str, hint: &str, unit, bounds, open, now, first| RuleSetting {
        key: format!("{name}.{part}"),
        group: format!("Category {name}"),
        label: format!("{name}: {label}"),
        hint: hint.to_owned(),
        unit,
        now,
        shipped: first,
        bounds,
        may_be_open: open,
        mark: Some(rule.mark),
        source: rule.source.clone(),
    };
    let age = |rule: &CategoryRule| RuleValue::Number(rule.least_age);
    let ages = RuleUnit::Count("year", "years");
    let mut all = vec![one(
        "least_age",
        "least age",
        "Nobody under 6 rides any machine. The machine's own label comes first.",
        ages,
        (NEVER_UNDER, 18),
        false,
        age(rule),
        shipped.map(age),
    )];
    let speeds = shipped.map(|first| (first.limited_mph, first.unlimited_mph));
    if rule.unlimited_mph.is_some() || speeds.is_some_and(|(_, most)| most.is_some()) {
        let hint = "Shown beside the machine. Leave it empty where sources disagree, and go by the manual.";
        let (limited, unlimited) = (speed(rule.limited_mph), speed(rule.unlimited_mph));
        let first = |pick: fn(&CategoryRule) -> Option<i64>| shipped.map(|rule| speed(pick(rule)));
        all.push(one(
            "limited_mph",
            "speed with the limiter",
            hint,
            MPH,
            (1, 60),
            true,
            limited,
            first(|r| r.limited_mph),
        ));
        let most =
            one("unlimited_mph", "speed without it", hint, MPH, (1, 60), true, unlimited, first(|r| r.unlimited_mph));
        all.push(most);
    }
    all
}

fn put_category(rule: &mut CategoryRule, part: &str, value: RuleValue) -> Result<(), SettingFault> {
    let before = rule.clone();
    match (part, value) {
        ("least_age", RuleValue::Number(age)) => rule.least_age = age,
        ("limited_mph", RuleValue::Number(mph)) => rule.limited_mph = Some(mph),
        ("limited_mph", RuleValue::Open) => rule.limited_mph = None,
        ("unlimited_mph", RuleValue::Number(mph)) => rule.unlimited_mph = Some(mph),
        ("unlimited_mph", RuleValue::Open) => rule.unlimited_mph = None,
        _ => return Err(SettingFault::Unknown),
    }
    if let (Some(limited), Some(unlimited)) = (rule.limited_mph, rule.unlimited_mph)
        && limited > unlimited
    {
        return Err(SettingFault::EndsCross);
    }
    if *rule != before && !rule.source.ends_with(OWN) {
        (rule.mark, rule.source) = (SourceMark::C, format!("{}{OWN}", rule.source));
    }
    Ok(())
}

/// Beside the shipped source of a category once a figure of it was changed.
const OWN: &str = "; changed by the program";

/// The limits that are fixed, with their source: shown beside the settings so that nobody looks for them.
pub fn fixed_limits(rules: &FitRules) -> Vec<(String, String, String)> {
    let fixed = |criterion: &Criterion| {
        let number = criterion.number.as_ref().filter(|number| number.mark == SourceMark::R)?;
        let limit = match number.limit? {
            Limit::AtLeast(least) => format!("at least {}", number_text(least, number.unit)),
            Limit::AtMost(most) => format!("at most {}", number_text(most, number.unit)),
            Limit::Band(..) => number.limit?.text(number.unit),
        };
        Some((criterion.label.en.clone(), limit, number.source.clone()))
    };
    rules.criteria.iter().filter_map(fixed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::shipped_rules;

    #[test]
    fn saturday_2_the_last_mandatory_criterion_stays_mandatory() {
        let mut rules = shipped_rules();
        let advisory = || RuleValue::Text("advisory".into());
        let keys: Vec<String> =
            rules.criteria.iter().filter(|one| one.mandatory).map(|one| one.key.as_str().to_owned()).collect();
        let (last, others) = keys.split_last().unwrap();
        for key in others {
            rules.set(&format!("{key}.weight"), advisory()).unwrap();
        }
        let before = rules.clone();
        assert_eq!(rules.set(&format!("{last}.weight"), advisory()), Err(SettingFault::NothingMandatory));
        assert_eq!(rules, before);
    }

    /// Minnesota DNR: standing clearance of 3 inches or more was read in its source, so it is no setting.
    #[test]
    fn saturday_2_a_limit_that_was_read_in_its_source_is_fixed() {
        let mut rules = shipped_rules();
        let asked = rules.set("standing_clearance.at_least", RuleValue::Number(50_000));
        assert_eq!(asked, Err(SettingFault::Fixed));
        let fixed = fixed_limits(&rules);
        assert!(fixed.iter().any(|(_, limit, _)| limit == "at least 3 in (76.2 mm)"), "{fixed:?}");
        assert_eq!(rules.set("elbow_bend.at_least", RuleValue::Number(1_400)), Err(SettingFault::EndsCross));
        assert_eq!(rules.set("elbow_bend.at_least", RuleValue::Number(950)), Ok(()));
        let elbow = rules.criterion(&CriterionKey("elbow_bend".into())).unwrap().number.clone().unwrap();
        assert_eq!((elbow.limit, elbow.mark), (Some(Limit::Band(950, 1_350)), SourceMark::C));
    }

    /// Sources disagree on the limited speed of category T (20 and 30 mph), so it ships open.
    #[test]
    fn saturday_2_the_limited_speed_of_category_t_ships_open_and_may_be_set() {
        let mut rules = shipped_rules();
        let open = rules.settings(&rules).into_iter().find(|one| one.key == "T.limited_mph").unwrap();
        assert_eq!((open.now.clone(), open.read("", "")), (RuleValue::Open, Ok(RuleValue::Open)));
        rules.set("T.limited_mph", RuleValue::Number(20)).unwrap();
        assert_eq!(rules.set("T.limited_mph", RuleValue::Number(39)), Err(SettingFault::EndsCross));
        assert_eq!(rules.categories.of(Category::T).unwrap().limited_mph, Some(20));
        let age = rules.settings(&shipped_rules()).into_iter().find(|one| one.key == "Y-6+.least_age").unwrap();
        assert_eq!(age.read("5", ""), Err(SettingFault::TooSmall("6 years".into())));
    }
}
