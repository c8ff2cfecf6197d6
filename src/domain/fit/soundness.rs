//! Whether fit rules can be used: every fault that data can have, named.
//! Must not repair anything; unsound rules are refused whole.

use super::rules::{Criterion, FitRules, Kind};
use std::collections::BTreeSet;
use thiserror::Error;

/// Why fit rules cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RulesFault {
    /// A band whose lower end lies above its upper end.
    #[error("a band starts above its end")]
    EmptyBand,
    /// There is no mandatory criterion, so every rider would start.
    #[error("no criterion is mandatory")]
    NothingMandatory,
    /// A key is not lower-case words joined by `_`.
    #[error("the key {0:?} is not lower-case words joined by _")]
    BadKey(String),
    /// Two criteria share a key or a place.
    #[error("the key or the order of {0:?} is used twice")]
    Twice(String),
    /// A criterion lacks words or a source.
    #[error("{0:?} lacks words in a language or a source")]
    Unexplained(String),
    /// A judged number without a limit, a limit on a shown one, a mandatory one only shown, or an estimate in another unit.
    #[error("{0:?} mixes up judging and showing")]
    Muddled(String),
    /// `number_from` names no criterion with a number in the same unit.
    #[error("{0:?} takes its number from a criterion that has none in its unit")]
    NoSuchNumber(String),
    /// Not every category has exactly one rule with an age of six or more.
    #[error("each category needs one rule, with a least age of six or more")]
    Categories,
    /// The distance for measuring again is negative.
    #[error("the distance for measuring again is negative")]
    NegativeDistance,
}

impl FitRules {
    /// Refuses rules under which a verdict would mislead.
    pub(super) fn check(&self) -> Result<(), RulesFault> {
        if !self.categories.are_whole() {
            return Err(RulesFault::Categories);
        }
        if self.measure_again_within_um < 0 {
            return Err(RulesFault::NegativeDistance);
        }
        if !self.criteria.iter().any(|criterion| criterion.mandatory) {
            return Err(RulesFault::NothingMandatory);
        }
        let (mut keys, mut orders) = (BTreeSet::new(), BTreeSet::new());
        for criterion in &self.criteria {
            if !(keys.insert(&criterion.key) && orders.insert(criterion.order)) {
                return Err(RulesFault::Twice(criterion.key.0.clone()));
            }
            criterion.check()?;
            self.check_number_from(criterion)?;
        }
        Ok(())
    }

    fn check_number_from(&self, criterion: &Criterion) -> Result<(), RulesFault> {
        let Some(from) = &criterion.number_from else {
            return Ok(());
        };
        let unit_of = |criterion: &Criterion| criterion.number.as_ref().map(|number| number.unit);
        let lender = self.criterion(from).filter(|lender| lender.number_from.is_none()).and_then(unit_of);
        if lender.is_some() && lender == unit_of(criterion) {
            Ok(())
        } else {
            Err(RulesFault::NoSuchNumber(criterion.key.0.clone()))
        }
    }
}

impl Criterion {
    fn check(&self) -> Result<(), RulesFault> {
        let key = || self.key.0.clone();
        let is_word = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
        if self.key.0.is_empty() || !self.key.0.chars().all(is_word) {
            return Err(RulesFault::BadKey(key()));
        }
        let number_words = self.number.iter().flat_map(|number| [&number.what.en, &number.what.es, &number.source]);
        let words = [&self.label.en, &self.label.es, &self.look.en, &self.look.es, &self.source];
        if words.into_iter().chain(number_words).any(|text| text.trim().is_empty()) {
            return Err(RulesFault::Unexplained(key()));
        }
        let judges = self.kind == Kind::SeeAndTap;
        let limit_matches = self.number.as_ref().is_none_or(|number| number.limit.is_some() == judges);
        let number_unit = self.number.as_ref().map(|number| number.unit);
        let unit_matches = self.estimate.is_none_or(|estimate| number_unit == Some(estimate.unit()));
        if !limit_matches || !unit_matches || (self.mandatory && !judges) {
            return Err(RulesFault::Muddled(key()));
        }
        Ok(())
    }
}
