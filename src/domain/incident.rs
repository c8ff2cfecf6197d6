//! What hurts a person or breaks a machine, and what nearly did: the parts of a report, when it is whole, who signs it and by when
//! somebody outside must know. The parts of the report follow OSHA Form 301 (29 CFR 1904), with those of riding added; facts only,
//! no cause and no blame.

mod report;
#[cfg(test)]
mod tests;

use chrono::{NaiveDateTime, TimeDelta};
use serde::{Deserialize, Serialize};

use super::ids::AccountId;
use super::refusal::IncidentRefusal;
use super::words::word_list;

pub use report::{Circumstances, MachineThen, Report, ReportPart};

word_list! {
    /// What kind of thing a report is about.
    IncidentKind {
        /// A person was hurt, or may have been.
        Hurt = "hurt",
        /// A machine or something else broke, and nobody was hurt.
        Damage = "damage",
    }
}

word_list! {
    /// What nearly happened, as one press says it. The words are ours: common practice, no source.
    NearMissKind {
        /// A machine tipped, or two wheels lifted.
        Tipped = "tipped",
        /// A rider came off and is unhurt.
        CameOff = "came_off",
        /// Two riders nearly met.
        NearlyMet = "nearly_met",
        /// A machine ran on, or its throttle stuck.
        RanOn = "ran_on",
        /// A rider left the riding area.
        LeftArea = "left_area",
        /// Somebody walked onto the riding area.
        WalkedOn = "walked_on",
        /// Something else.
        Other = "other",
    }
}

word_list! {
    /// The helmet after it.
    HelmetAfter {
        /// No mark on it.
        NoMark = "no_mark",
        /// Scratched or marked.
        Marked = "marked",
        /// Cracked, dented or torn.
        Broken = "broken",
        /// Nobody has looked.
        NotLooked = "not_looked",
    }
}

/// By when somebody outside the program must know. Hours are settings: what an insurer asks stands in its policy (common
/// practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct IncidentRule {
    /// Hours within which the insurer is told.
    pub insurer_hours: i64,
    /// The same when an ambulance came: at once.
    pub ambulance_hours: i64,
}

impl Default for IncidentRule {
    fn default() -> Self {
        Self { insurer_hours: 24, ambulance_hours: 0 }
    }
}

impl IncidentRule {
    /// The instant by which the insurer is told, counted from when the program learned of it.
    #[must_use]
    pub fn insurer_due(&self, learned_at: NaiveDateTime, ambulance: bool) -> NaiveDateTime {
        let hours = if ambulance { self.ambulance_hours } else { self.insurer_hours };
        learned_at + TimeDelta::hours(hours)
    }
}

/// Where a report stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It is being written.
    Open,
    /// One person has signed what it says now.
    Signed {
        /// Who.
        by: AccountId,
    },
    /// Two people have signed. It never changes again; addenda may follow.
    Closed,
}

impl Standing {
    /// Whether its words may still change.
    ///
    /// # Errors
    /// `Closed`.
    pub fn may_change(self) -> Result<(), IncidentRefusal> {
        if self == Self::Closed { Err(IncidentRefusal::Closed) } else { Ok(()) }
    }

    /// Whether somebody may sign what it says: once it is whole.
    ///
    /// # Errors
    /// `Closed`, or the parts that are missing.
    pub fn may_sign(self, lacks: &[ReportPart]) -> Result<(), IncidentRefusal> {
        self.may_change()?;
        if lacks.is_empty() { Ok(()) } else { Err(IncidentRefusal::Lacks { parts: lacks.to_vec() }) }
    }

    /// Whether the second signature may close it: another person than the one who signed first.
    ///
    /// # Errors
    /// `Closed`, the parts that are missing, `NotSigned`, `SamePerson`.
    pub fn may_close(self, second: AccountId, lacks: &[ReportPart]) -> Result<(), IncidentRefusal> {
        self.may_sign(lacks)?;
        match self {
            Self::Signed { by } if by != second => Ok(()),
            Self::Signed { .. } => Err(IncidentRefusal::SamePerson),
            Self::Open | Self::Closed => Err(IncidentRefusal::NotSigned),
        }
    }
}
