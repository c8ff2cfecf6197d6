//! The verdict on one rider on one machine: each criterion judged, each reason kept.
//! Must not soften: numbers decide exactly, a tapped "not met" always holds back, and a mandatory criterion or the
//! least age is never overridden.

use super::observation::{Observation, Seen};
use super::overrides::Override;
use super::reason::{About, Finding, Reason, verdict_from_reasons};
use super::rules::{Criterion, CriterionKey, FitRules, Kind, Limit, NumberRule, Unit};
use crate::domain::certification::months_after;
use crate::domain::curriculum::SourceMark;
use crate::domain::machine::{Category, MachineState, NEVER_UNDER, engine_rule};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a fit check says. There is no third answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// The rider may start on this machine.
    MayStart,
    /// The rider does not start on this machine yet.
    NotYet,
}

/// The outcome and every reason for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Verdict {
    /// What it says.
    pub outcome: Outcome,
    /// Age, machine, then the criteria in their order.
    pub reasons: Vec<Reason>,
    /// Version of the rules that gave it.
    pub rules_version: u32,
}

impl Verdict {
    /// The reasons that keep the rider from starting.
    pub fn holding_back(&self) -> impl Iterator<Item = &Reason> {
        self.reasons.iter().filter(|reason| reason.holds_back())
    }

    /// What keeps anybody of the rider's age off the machine, whatever the body measures; none when it may be tried.
    #[must_use]
    pub fn may_be_tried(&self) -> Option<&Reason> {
        self.holding_back().find(|reason| !matches!(reason.about, About::Criterion(_)))
    }

    /// Whether a number should be taken a second time.
    #[must_use]
    pub fn measure_again(&self) -> bool {
        self.reasons.iter().any(|reason| reason.measure_again)
    }
}

/// One rider on one machine, as everything stands on the field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FitCheck {
    /// What was seen and measured, by criterion.
    pub observations: BTreeMap<CriterionKey, Observation>,
    /// The rider's completed years on the day.
    pub age: i64,
    /// The machine's category.
    pub category: Category,
    /// The machine's state.
    pub machine_state: MachineState,
    /// The machine's engine in tenths of a cubic centimetre, if known; used only by the old engine rule.
    pub engine_tenth_cc: Option<i64>,
    /// The machine's speed limiter as set now, in tenths of a mile an hour, if it is known.
    pub limiter_tenth_mph: Option<i64>,
    /// The lead's overrides.
    pub overrides: Vec<Override>,
}

/// Judges a fit check by the rules.
#[must_use]
pub fn verdict(rules: &FitRules, check: &FitCheck) -> Verdict {
    let mut reasons = vec![age_reason(rules, check)];
    if rules.use_engine_rule {
        reasons.push(engine_reason(check));
    }
    reasons.extend(limiter_reason(rules, check));
    reasons.push(machine_reason(check.machine_state));
    reasons.extend(rules.criteria.iter().map(|criterion| criterion_reason(rules, criterion, check)));
    Verdict { outcome: verdict_from_reasons(&reasons), reasons, rules_version: rules.version }
}

/// Whether a fit check of an earlier day must be made again on `day`; children grow.
#[must_use]
pub fn is_stale(rules: &FitRules, checked_on: NaiveDate, day: NaiveDate) -> bool {
    day > months_after(checked_on, rules.stale_after_months)
}

fn age_reason(rules: &FitRules, check: &FitCheck) -> Reason {
    let rule = rules.categories.of(check.category);
    let least = match rules.categories.allowed_by_age(check.category, check.age) {
        Err(refusal) => refusal.least,
        Ok(()) => rule.map_or(NEVER_UNDER, |rule| rule.least_age),
    };
    let blank = blank(About::LeastAge(check.category), true);
    let reason = Reason {
        source: rule.map_or_else(String::new, |rule| rule.source.clone()),
        mark: rule.map_or(SourceMark::C, |rule| rule.mark),
        ..blank
    };
    compared(reason, Unit::Year, Limit::AtLeast(least), Some(check.age))
}

fn engine_reason(check: &FitCheck) -> Reason {
    let reason = Reason {
        source: "Federal consumer-safety advice (atvsafety.gov), engine size by age".to_owned(),
        mark: SourceMark::R,
        ..blank(About::EngineSize, true)
    };
    match engine_rule::largest_tenth_cc(check.age) {
        Some(largest) => compared(reason, Unit::TenthCc, Limit::AtMost(largest), check.engine_tenth_cc),
        None => Reason { finding: Finding::Met, ..reason },
    }
}

/// A machine that goes faster than its category may is no machine of that category, whatever its label says. Nothing for a
/// category without a top speed.
fn limiter_reason(rules: &FitRules, check: &FitCheck) -> Option<Reason> {
    let rule = rules.categories.of(check.category)?;
    let top = rule.unlimited_mph? * 10;
    let reason = Reason { source: rule.source.clone(), mark: rule.mark, ..blank(About::Limiter(check.category), true) };
    Some(compared(reason, Unit::TenthMph, Limit::AtMost(top), check.limiter_tenth_mph))
}

fn machine_reason(state: MachineState) -> Reason {
    let finding = if state.may_be_ridden() { Finding::Met } else { Finding::NotMet };
    Reason { finding, source: "The program's machine check".to_owned(), ..blank(About::MachineState(state), true) }
}

fn criterion_reason(rules: &FitRules, criterion: &Criterion, check: &FitCheck) -> Reason {
    let observation = observed(criterion, check);
    let reason = Reason {
        source: criterion.source.clone(),
        mark: criterion.mark,
        ..blank(About::Criterion(criterion.key.clone()), criterion.mandatory)
    };
    let reason = match &criterion.number {
        Some(number) => numbered(reason, number, &observation, rules.measure_again_within_um),
        None => reason,
    };
    let reason = match criterion.kind {
        Kind::ShownOnly => Reason { finding: Finding::ShownOnly, ..reason },
        Kind::SeeAndTap => tapped(reason, &observation.seen),
    };
    with_override(reason, &criterion.key, check)
}

/// The criterion's own observation; without a number of its own, with that of the criterion it shares one with.
fn observed(criterion: &Criterion, check: &FitCheck) -> Observation {
    let own = check.observations.get(&criterion.key).cloned().unwrap_or_default();
    let lender = criterion.number_from.as_ref().and_then(|key| check.observations.get(key));
    match lender {
        Some(lender) if own.deciding_number().is_none() => Observation { seen: own.seen, ..lender.clone() },
        _ => own,
    }
}

/// Adds the number, its limit and its source; the comparison decides.
fn numbered(reason: Reason, rule: &NumberRule, observation: &Observation, again_within_um: i64) -> Reason {
    let number = observation.deciding_number();
    let Some(limit) = rule.limit else {
        return Reason { number, unit: Some(rule.unit), ..reason };
    };
    let compared = compared(reason, rule.unit, limit, number);
    let is_close = compared.margin.is_some_and(|margin| margin.abs() <= again_within_um);
    let measure_again = rule.unit == Unit::Micrometre && is_close && observation.second_number.is_none();
    if number.is_some() {
        Reason { measure_again, source: rule.source.clone(), mark: rule.mark, ..compared }
    } else {
        compared
    }
}

/// Adds the tap. A failing number stands against any tap, and a tapped "not met" against any number: the instructor may
/// always say no. A tap that disagrees with the number is shown beside it.
fn tapped(reason: Reason, seen: &Seen) -> Reason {
    let by_tap = match seen {
        Seen::Met => Finding::Met,
        Seen::NotMet => Finding::NotMet,
        Seen::NotMeasured => Finding::NotMeasured,
        Seen::MetWithAdaptation { note } if note.trim().is_empty() => Finding::AdaptationNotNamed,
        Seen::MetWithAdaptation { .. } => Finding::MetWithAdaptation,
    };
    let adaptation = match seen {
        Seen::MetWithAdaptation { note } if !note.trim().is_empty() => Some(note.trim().to_owned()),
        _ => None,
    };
    let by_number = reason.number.map(|_| reason.finding);
    let finding = match (by_number, by_tap) {
        (None, by_tap) => by_tap,
        (Some(Finding::Met), Finding::NotMet | Finding::MetWithAdaptation | Finding::AdaptationNotNamed) => by_tap,
        (Some(by_number), _) => by_number,
    };
    let says_met = matches!(by_tap, Finding::Met | Finding::MetWithAdaptation);
    let tap_disagrees = match by_number {
        Some(Finding::Met) => by_tap == Finding::NotMet,
        Some(_) => says_met,
        None => false,
    };
    Reason { finding, adaptation, tap_disagrees, ..reason }
}

/// Attaches the lead's reason where an advisory criterion would hold back without it.
fn with_override(reason: Reason, key: &CriterionKey, check: &FitCheck) -> Reason {
    if reason.mandatory || !reason.holds_back() {
        return reason;
    }
    let given = check.overrides.iter().find(|given| given.criterion() == key);
    Reason { overridden: given.map(|given| given.reason().to_owned()), ..reason }
}

fn compared(reason: Reason, unit: Unit, limit: Limit, number: Option<i64>) -> Reason {
    let finding = match number {
        Some(number) if limit.allows(number) => Finding::Met,
        Some(_) => Finding::NotMet,
        None => Finding::NotMeasured,
    };
    let margin = number.map(|number| limit.margin(number));
    Reason { finding, number, unit: Some(unit), limit: Some(limit), margin, ..reason }
}

fn blank(about: About, mandatory: bool) -> Reason {
    Reason {
        about,
        finding: Finding::NotMeasured,
        mandatory,
        number: None,
        unit: None,
        limit: None,
        margin: None,
        measure_again: false,
        tap_disagrees: false,
        adaptation: None,
        overridden: None,
        source: String::new(),
        mark: SourceMark::C,
    }
}
