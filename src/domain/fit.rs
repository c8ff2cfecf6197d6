//! Fit: criteria as data, what was seen and measured, and the verdict with every reason.
//! A verdict says "may start" or "does not start yet", never more; a missing measurement is never a pass.

mod observation;
mod overrides;
mod planning;
mod reading;
mod reason;
mod rules;
mod settings;
mod soundness;
mod verdict;

pub use observation::{Observation, Seen};
pub use overrides::{Override, OverrideBy, OverrideRefusal};
pub use planning::{Estimate, LikelyFit, LikelyReason, likely_fit};
pub use reading::{number_text, read_number};
pub use reason::{About, Finding, Reason, verdict_from_reasons};
pub use rules::{Criterion, CriterionKey, FitRules, Kind, Limit, NumberRule, Unit};
pub use settings::fixed_limits;
pub use soundness::RulesFault;
pub use verdict::{FitCheck, Outcome, Verdict, is_stale, verdict};

/// The rules as shipped, for tests of this floor.
#[cfg(test)]
pub(crate) fn shipped_rules() -> FitRules {
    toml::from_str(include_str!("../../seed/fit.toml")).expect("the shipped fit rules are sound")
}

#[cfg(test)]
mod tests;
