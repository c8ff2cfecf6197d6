//! Likely fit: body measures against machine dimensions, for planning and for proposing machines.
//! Must not let anybody start; only a fit check with the rider on the machine does.

use super::reason::Finding;
use super::rules::{Criterion, CriterionKey, FitRules, Limit, Unit};
use crate::domain::curriculum::SourceMark;
use crate::domain::machine::Dimensions;
use crate::domain::measures::{Length, Measures};
use serde::{Deserialize, Serialize};

/// How a criterion's number is estimated from rider and machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Estimate {
    /// Inseam less the height of the seat above the footrests.
    InseamLessSeat,
    /// Hand (grip to first finger joint) less the distance from grip to lever.
    HandLessLever,
    /// Foot less the distance from footrest to pedal.
    FootLessPedal,
    /// Rider's weight in thousandths of the machine's dry weight.
    WeightRatio,
}

impl Estimate {
    /// The estimated number in the criterion's unit; nothing unless both sides were measured.
    #[must_use]
    pub fn number(self, rider: &Measures, machine: &Dimensions) -> Option<i64> {
        let less = |ours: Option<Length>, theirs: Option<Length>| Some((ours? - theirs?).um());
        match self {
            Self::InseamLessSeat => less(rider.inseam, machine.seat_to_rest),
            Self::HandLessLever => less(rider.hand, machine.grip_to_lever),
            Self::FootLessPedal => less(rider.foot, machine.rest_to_pedal),
            Self::WeightRatio => rider.weight?.per_mille_of(machine.dry_weight?),
        }
    }

    /// The unit of the number.
    #[must_use]
    pub fn unit(self) -> Unit {
        match self {
            Self::WeightRatio => Unit::PerMille,
            _ => Unit::Micrometre,
        }
    }
}

/// One estimated criterion. Number, limit and margin are in `unit`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LikelyReason {
    /// The criterion.
    pub criterion: CriterionKey,
    /// Met, not met, not measured or shown only; always an estimate.
    pub finding: Finding,
    /// Whether the criterion is mandatory in a fit check.
    pub mandatory: bool,
    /// The estimated number.
    pub number: Option<i64>,
    /// Its unit.
    pub unit: Unit,
    /// The limit.
    pub limit: Option<Limit>,
    /// How far inside; negative outside.
    pub margin: Option<i64>,
    /// A length this close to its limit can turn out either way.
    pub is_close: bool,
    /// Where the limit comes from.
    pub source: String,
    /// How surely it is known.
    pub mark: SourceMark,
}

/// What measures alone let one expect.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LikelyFit {
    /// Each criterion that measures can estimate, in the order of the rules.
    pub reasons: Vec<LikelyReason>,
}

impl LikelyFit {
    /// Whether a mandatory criterion is expected not to be met, clear of doubt or not.
    #[must_use]
    pub fn is_unlikely(&self) -> bool {
        self.reasons.iter().any(|reason| reason.mandatory && reason.finding == Finding::NotMet)
    }

    /// Whether each estimate could be made and each judged one is expected to be met.
    #[must_use]
    pub fn is_likely(&self) -> bool {
        let met = |reason: &LikelyReason| matches!(reason.finding, Finding::Met | Finding::ShownOnly);
        !self.reasons.is_empty() && self.reasons.iter().all(met)
    }
}

/// Estimates the criteria that the measures allow; the rest stay "not measured".
#[must_use]
pub fn likely_fit(rules: &FitRules, rider: &Measures, machine: &Dimensions) -> LikelyFit {
    let reasons = rules
        .criteria
        .iter()
        .filter_map(|criterion| Some(likely_reason(rules, criterion, criterion.estimate?, rider, machine)))
        .collect();
    LikelyFit { reasons }
}

fn likely_reason(
    rules: &FitRules,
    criterion: &Criterion,
    estimate: Estimate,
    rider: &Measures,
    machine: &Dimensions,
) -> LikelyReason {
    let number = estimate.number(rider, machine);
    let rule = criterion.number.as_ref();
    let limit = rule.and_then(|rule| rule.limit);
    let margin = number.zip(limit).map(|(number, limit)| limit.margin(number));
    let finding = match (limit, margin) {
        (None, _) => Finding::ShownOnly,
        (Some(_), None) => Finding::NotMeasured,
        (Some(_), Some(margin)) if margin >= 0 => Finding::Met,
        (Some(_), Some(_)) => Finding::NotMet,
    };
    let unit = estimate.unit();
    LikelyReason {
        criterion: criterion.key.clone(),
        finding,
        mandatory: criterion.mandatory,
        number,
        unit,
        limit,
        margin,
        is_close: unit == Unit::Micrometre
            && margin.is_some_and(|margin| margin.abs() <= rules.measure_again_within_um),
        source: rule.map_or(&criterion.source, |rule| &rule.source).clone(),
        mark: rule.map_or(criterion.mark, |rule| rule.mark),
    }
}
