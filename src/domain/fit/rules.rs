//! The fit rules as the program holds them: criteria, limits, sources; parsed from data and checked once.
//! Must not judge a rider; that is `verdict`.

use super::planning::Estimate;
use super::soundness::RulesFault;
use crate::domain::curriculum::{LocalText, SourceMark};
use crate::domain::machine::CategoryRules;
use serde::{Deserialize, Serialize};

/// Name of a criterion in data and stored acts: lower-case words joined by `_`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct CriterionKey(pub String);

impl CriterionKey {
    /// The key as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Unit in which a number and its limit are held, as whole numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Micrometres.
    Micrometre,
    /// Tenths of a degree.
    TenthDegree,
    /// Thousandths of another number.
    PerMille,
    /// Completed years of age.
    Year,
    /// Tenths of a cubic centimetre.
    TenthCc,
    /// Tenths of a mile an hour.
    TenthMph,
}

/// Which numbers pass; the ends are included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// This number or more.
    AtLeast(i64),
    /// This number or less.
    AtMost(i64),
    /// From the first to the second.
    Band(i64, i64),
}

impl Limit {
    /// How far inside the limit a number lies; negative outside, 0 exactly at it.
    #[must_use]
    pub fn margin(self, number: i64) -> i64 {
        match self {
            Self::AtLeast(least) => number.saturating_sub(least),
            Self::AtMost(most) => most.saturating_sub(number),
            Self::Band(least, most) => number.saturating_sub(least).min(most.saturating_sub(number)),
        }
    }

    /// Whether the number passes. Exact: nothing is rounded.
    #[must_use]
    pub fn allows(self, number: i64) -> bool {
        self.margin(number) >= 0
    }
}

/// Whether a criterion is judged at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// The instructor looks and taps; a number may be given and then decides.
    SeeAndTap,
    /// A number is shown for the instructor's own judgement; it never holds back.
    ShownOnly,
}

/// The number that may be given for a criterion.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "NumberRow", into = "NumberRow")]
pub struct NumberRule {
    /// Unit of number and limit.
    pub unit: Unit,
    /// What passes; absent for a criterion that is only shown.
    pub limit: Option<Limit>,
    /// What exactly is measured.
    pub what: LocalText,
    /// Where the limit comes from.
    pub source: String,
    /// How surely the limit is known.
    pub mark: SourceMark,
}

#[derive(Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct NumberRow {
    unit: Unit,
    at_least: Option<i64>,
    at_most: Option<i64>,
    what: LocalText,
    source: String,
    mark: SourceMark,
}

impl TryFrom<NumberRow> for NumberRule {
    type Error = RulesFault;

    fn try_from(row: NumberRow) -> Result<Self, RulesFault> {
        let limit = match (row.at_least, row.at_most) {
            (None, None) => None,
            (Some(least), None) => Some(Limit::AtLeast(least)),
            (None, Some(most)) => Some(Limit::AtMost(most)),
            (Some(least), Some(most)) if least <= most => Some(Limit::Band(least, most)),
            (Some(_), Some(_)) => return Err(RulesFault::EmptyBand),
        };
        Ok(Self { unit: row.unit, limit, what: row.what, source: row.source, mark: row.mark })
    }
}

impl From<NumberRule> for NumberRow {
    fn from(rule: NumberRule) -> Self {
        let (at_least, at_most) = match rule.limit {
            None => (None, None),
            Some(Limit::AtLeast(least)) => (Some(least), None),
            Some(Limit::AtMost(most)) => (None, Some(most)),
            Some(Limit::Band(least, most)) => (Some(least), Some(most)),
        };
        Self { unit: rule.unit, at_least, at_most, what: rule.what, source: rule.source, mark: rule.mark }
    }
}

/// One thing looked at with the rider on the machine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Criterion {
    /// Its name in data.
    pub key: CriterionKey,
    /// Place in the list, small first.
    pub order: u32,
    /// Whether it is judged.
    pub kind: Kind,
    /// A mandatory criterion must be met and is never overridden.
    pub mandatory: bool,
    /// Short name.
    pub label: LocalText,
    /// How to look.
    pub look: LocalText,
    /// Where the criterion comes from.
    pub source: String,
    /// How surely it is known.
    pub mark: SourceMark,
    /// The number that may be given.
    pub number: Option<NumberRule>,
    /// Another criterion whose number is judged here too when this one has no observation of its own.
    pub number_from: Option<CriterionKey>,
    /// How body measures and machine dimensions estimate the number when planning.
    pub estimate: Option<Estimate>,
}

/// Everything a verdict needs to know, in one version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "RulesRow")]
pub struct FitRules {
    /// Version, raised with each change.
    pub version: u32,
    /// A length this close to its limit is measured again, in micrometres.
    pub measure_again_within_um: i64,
    /// A fit check is stale after this many months.
    pub stale_after_months: u32,
    /// Whether the old engine-size rule is applied too.
    pub use_engine_rule: bool,
    /// Least ages and speeds of the machine categories.
    #[serde(rename = "category")]
    pub categories: CategoryRules,
    /// The criteria in their order.
    #[serde(rename = "criterion")]
    pub criteria: Vec<Criterion>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RulesRow {
    version: u32,
    measure_again_within_um: i64,
    stale_after_months: u32,
    use_engine_rule: bool,
    category: CategoryRules,
    criterion: Vec<Criterion>,
}

impl TryFrom<RulesRow> for FitRules {
    type Error = RulesFault;

    fn try_from(row: RulesRow) -> Result<Self, RulesFault> {
        let mut rules = Self {
            version: row.version,
            measure_again_within_um: row.measure_again_within_um,
            stale_after_months: row.stale_after_months,
            use_engine_rule: row.use_engine_rule,
            categories: row.category,
            criteria: row.criterion,
        };
        rules.criteria.sort_by_key(|criterion| criterion.order);
        rules.check()?;
        Ok(rules)
    }
}

impl FitRules {
    /// The criterion of a key.
    #[must_use]
    pub fn criterion(&self, key: &CriterionKey) -> Option<&Criterion> {
        self.criteria.iter().find(|criterion| criterion.key == *key)
    }
}
