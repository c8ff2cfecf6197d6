//! Marks: what one rider's attempts at the skill checks add up to. The latest attempt decides; a stop for safety stays until cleared.
//! Knows no screen and no storage, and never depends on the order in which attempts arrive.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::domain::curriculum::{CheckCode, Curriculum};
use crate::domain::words::word_list;

mod marking;
#[cfg(test)]
mod tests;

pub use marking::{MarkRefusal, Marked, Marking, may_mark};

/// The 16 bytes of the id that the device gave to an act.
pub type ActId = [u8; 16];

word_list! {
    /// What the instructor saw in one attempt.
    Mark {
        /// The rider does it as described.
        Meets = "meets",
        /// Not there yet.
        NeedsPractice = "practice",
        /// Not tried today.
        NotTried = "not_tried",
        /// The instructor stopped the rider.
        StoppedForSafety = "stopped",
    }
}

impl Mark {
    /// The English words of staff pages.
    pub fn words(self) -> &'static str {
        match self {
            Mark::Meets => "meets",
            Mark::NeedsPractice => "needs practice",
            Mark::NotTried => "not tried",
            Mark::StoppedForSafety => "stopped for safety",
        }
    }
}

/// Where an act stands among the acts of its session. Compared counter first, then device, then seq; clock times play no part.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct OrderKey {
    /// Counts within the session.
    pub counter: i64,
    /// The phone or browser.
    pub device: String,
    /// Counts within device and session.
    pub seq: i64,
}

/// One rider's one try at one skill check.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Attempt {
    /// When it counts, among the others.
    pub order: OrderKey,
    /// The act that recorded it; a whole-lesson mark gives several attempts the same act.
    pub act: ActId,
    /// What was tried.
    pub check: CheckCode,
    /// What was seen.
    pub mark: Mark,
    /// Whether the lead instructor gave the mark.
    pub by_lead: bool,
    /// Why, in the instructor's words.
    pub reason: Option<String>,
    /// The act whose stop this mark clears.
    pub clears: Option<ActId>,
}

impl Attempt {
    /// Only the lead's later "meets", with a reason and naming the stop, clears it.
    fn is_cleared_by(&self, later: &Attempt) -> bool {
        later.clears == Some(self.act)
            && later.mark == Mark::Meets
            && later.by_lead
            && has_words(&later.reason)
            && (&later.order, later.act) > (&self.order, self.act)
    }
}

fn has_words(reason: &Option<String>) -> bool {
    reason.as_deref().is_some_and(|words| !words.trim().is_empty())
}

/// What all attempts at one skill check come to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// No attempt, or the latest says so.
    NotTried,
    /// The latest attempt meets it.
    Meets,
    /// The latest attempt does not.
    NeedsPractice,
    /// Stopped and not cleared. Each act listed must be named by a clearing mark of its own, so that no phone's stop is lost.
    Stopped { open: Vec<ActId> },
}

/// The standing of every skill check that has an attempt. Attempts may come in any order and more than once.
pub fn standing(attempts: &[Attempt]) -> BTreeMap<CheckCode, Standing> {
    let mut by_check: BTreeMap<CheckCode, Vec<&Attempt>> = BTreeMap::new();
    for attempt in attempts {
        by_check.entry(attempt.check).or_default().push(attempt);
    }
    by_check.into_iter().map(|(check, tries)| (check, standing_of(tries))).collect()
}

fn standing_of(mut tries: Vec<&Attempt>) -> Standing {
    tries.sort();
    tries.dedup();
    let stops = tries.iter().filter(|attempt| attempt.mark == Mark::StoppedForSafety);
    let open: Vec<ActId> =
        stops.filter(|stop| !tries.iter().any(|later| stop.is_cleared_by(later))).map(|stop| stop.act).collect();
    if !open.is_empty() {
        return Standing::Stopped { open };
    }
    match tries.last().map(|latest| latest.mark) {
        Some(Mark::Meets) => Standing::Meets,
        Some(Mark::NeedsPractice) => Standing::NeedsPractice,
        // A stop that is the latest attempt is open, so it was answered above.
        Some(Mark::NotTried | Mark::StoppedForSafety) | None => Standing::NotTried,
    }
}

/// Whether a rider met every required skill check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Completion {
    /// Every one.
    Completed,
    /// These are missing, in order of lesson.
    NotYet(Vec<(CheckCode, Why)>),
}

/// Why a required skill check does not count yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// No attempt counts.
    NotTried,
    /// The latest attempt needs practice.
    NeedsPractice,
    /// A stop for safety is not cleared.
    Stopped,
}

/// Holds the attempts against the required checks. Whether the rider attended is decided elsewhere.
pub fn completion(curriculum: &Curriculum, attempts: &[Attempt]) -> Completion {
    let standing = standing(attempts);
    let missing: Vec<(CheckCode, Why)> = curriculum
        .required_checks()
        .filter_map(|check| Some((check.code, why_missing(standing.get(&check.code))?)))
        .collect();
    if missing.is_empty() { Completion::Completed } else { Completion::NotYet(missing) }
}

fn why_missing(standing: Option<&Standing>) -> Option<Why> {
    match standing {
        Some(Standing::Meets) => None,
        Some(Standing::NeedsPractice) => Some(Why::NeedsPractice),
        Some(Standing::Stopped { .. }) => Some(Why::Stopped),
        Some(Standing::NotTried) | None => Some(Why::NotTried),
    }
}
