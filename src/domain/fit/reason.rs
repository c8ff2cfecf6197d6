//! One reason of a verdict, complete enough to be kept, shown and judged again without anything else.
//! Must not look anything up.

use super::rules::{CriterionKey, Limit, Unit};
use super::verdict::Outcome;
use crate::domain::curriculum::SourceMark;
use crate::domain::machine::{Category, MachineState};
use serde::{Deserialize, Serialize};

/// What a reason is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// The rider's age against the machine's category.
    LeastAge(Category),
    /// The old engine-size rule.
    EngineSize,
    /// The speed limiter against the top speed of the machine's category.
    Limiter(Category),
    /// Whether the machine can be ridden today.
    MachineState(MachineState),
    /// One criterion of the fit rules.
    Criterion(CriterionKey),
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finding {
    /// Met.
    Met,
    /// Met with an adaptation that the note names.
    MetWithAdaptation,
    /// Tapped as met with an adaptation, but nobody wrote which.
    AdaptationNotNamed,
    /// Not met.
    NotMet,
    /// Nobody looked or measured; never a pass.
    NotMeasured,
    /// Shown for the instructor's judgement, never judged here.
    ShownOnly,
}

/// One line of a verdict. Numbers, limit and margin are in `unit`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reason {
    /// What it is about.
    pub about: About,
    /// What was found.
    pub finding: Finding,
    /// Whether it must be met and cannot be overridden.
    pub mandatory: bool,
    /// The number that decided, if one was given.
    pub number: Option<i64>,
    /// Unit of number, limit and margin.
    pub unit: Option<Unit>,
    /// The limit, also shown when no number was given.
    pub limit: Option<Limit>,
    /// How far inside the limit the number lies; negative outside.
    pub margin: Option<i64>,
    /// The number lies close to its limit and was taken only once: measure again.
    pub measure_again: bool,
    /// The tap said otherwise than the number; whichever of the two says "not met" decides.
    pub tap_disagrees: bool,
    /// The adaptation the lead's note names.
    pub adaptation: Option<String>,
    /// The lead's reason for starting although this advisory criterion is not met. Shown for as long as it is kept.
    pub overridden: Option<String>,
    /// Where the rule comes from.
    pub source: String,
    /// How surely it is known.
    pub mark: SourceMark,
}

impl Reason {
    /// Whether this reason alone keeps the rider from starting.
    ///
    /// A mandatory one does unless it is met; an advisory one only when it is not met and the lead gave no reason.
    #[must_use]
    pub fn holds_back(&self) -> bool {
        match self.finding {
            Finding::Met | Finding::MetWithAdaptation | Finding::ShownOnly => false,
            Finding::NotMeasured => self.mandatory,
            Finding::NotMet | Finding::AdaptationNotNamed => self.mandatory || self.overridden.is_none(),
        }
    }
}

/// The outcome that these reasons give, in any order. No reasons at all are never a pass.
#[must_use]
pub fn verdict_from_reasons(reasons: &[Reason]) -> Outcome {
    if reasons.is_empty() || reasons.iter().any(Reason::holds_back) { Outcome::NotYet } else { Outcome::MayStart }
}
