//! The lead's overrides: who may let a rider start although an advisory criterion is not met, and why.
//! Must not reach a mandatory criterion, the least age or the machine's state.

use super::rules::{CriterionKey, FitRules};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Who asks for an override.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OverrideBy {
    /// The lead of the session.
    Lead,
    /// Anybody else.
    Other,
}

/// The lead's decision to let a rider start although one advisory criterion is not met.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Override {
    criterion: CriterionKey,
    reason: String,
}

/// Why an override is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum OverrideRefusal {
    /// Only the lead overrides.
    #[error("only the lead overrides")]
    NotTheLead,
    /// A mandatory criterion is never overridden.
    #[error("a mandatory criterion is never overridden")]
    Mandatory,
    /// There is no such criterion; the least age and the machine's state are none.
    #[error("there is no such criterion")]
    NoSuchCriterion,
    /// An override needs its reason in words.
    #[error("an override needs a reason")]
    NoReason,
}

impl Override {
    /// Takes an override of an advisory criterion, by the lead, with a reason.
    ///
    /// # Errors
    /// [`OverrideRefusal`] names the first rule that is broken.
    pub fn of(
        rules: &FitRules,
        criterion: &CriterionKey,
        by: OverrideBy,
        reason: &str,
    ) -> Result<Self, OverrideRefusal> {
        let found = rules.criterion(criterion).ok_or(OverrideRefusal::NoSuchCriterion)?;
        if found.mandatory {
            return Err(OverrideRefusal::Mandatory);
        }
        if by != OverrideBy::Lead {
            return Err(OverrideRefusal::NotTheLead);
        }
        let reason = reason.trim();
        if reason.is_empty() {
            return Err(OverrideRefusal::NoReason);
        }
        Ok(Self { criterion: criterion.clone(), reason: reason.to_owned() })
    }

    /// The criterion it is about.
    #[must_use]
    pub fn criterion(&self) -> &CriterionKey {
        &self.criterion
    }

    /// The lead's reason.
    #[must_use]
    pub fn reason(&self) -> &str {
        &self.reason
    }
}
