//! Papers of a site: on which day the owner's permission, the insurance or a permit counts, and what blocks a session.
//! Must not know which kinds a program asks for; that is a setting.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::certification::PaperFault;
use super::words::word_list;

word_list! {
    /// What a paper of a site shows.
    SitePaperKind {
        /// The owner lets the program ride there.
        OwnerPermission = "owner_permission",
        /// The insurance covers riding there.
        Insurance = "insurance",
        /// An office that looks after the land permits it.
        UsePermit = "use_permit",
    }
}

/// The kinds that block as shipped. Common practice, no source; a setting of the program.
pub fn shipped_blocking_kinds() -> Vec<SitePaperKind> {
    vec![SitePaperKind::OwnerPermission, SitePaperKind::Insurance]
}

/// One paper of one site. Every day is a day of the calendar without a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SitePaper {
    /// What it shows.
    pub kind: SitePaperKind,
    /// First day it counts.
    pub valid_from: NaiveDate,
    /// Last day it counts: valid through this day.
    pub valid_through: NaiveDate,
    /// From this day on it counts no more, whatever its dates.
    pub taken_back_on: Option<NaiveDate>,
}

impl SitePaper {
    /// Why the paper does not count on a day; the gravest cause first.
    pub fn fault_on(&self, day: NaiveDate) -> Option<PaperFault> {
        if let Some(since) = self.taken_back_on.filter(|since| *since <= day) {
            return Some(PaperFault::Revoked(since));
        }
        if day < self.valid_from {
            return Some(PaperFault::NotYetValid(self.valid_from));
        }
        (day > self.valid_through).then_some(PaperFault::Expired(self.valid_through))
    }
}

/// A kind for which no paper of the site counts on a day, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BlockingSitePaper {
    /// What is lacking.
    pub kind: SitePaperKind,
    /// Why the best paper of the kind does not count.
    pub fault: PaperFault,
}

/// Through which day a site's papers of a kind count, as seen on `on`.
///
/// # Errors
/// Why none of them counts on that day; the mildest cause is told.
pub fn counts_through(kind: SitePaperKind, papers: &[SitePaper], on: NaiveDate) -> Result<NaiveDate, PaperFault> {
    let of_kind = || papers.iter().filter(|paper| paper.kind == kind);
    let valid = of_kind().filter(|paper| paper.fault_on(on).is_none()).map(|paper| paper.valid_through).max();
    let mildest = || of_kind().filter_map(|paper| paper.fault_on(on)).min().unwrap_or(PaperFault::Missing);
    valid.ok_or_else(mildest)
}

/// The kinds that keep a session from being held at a site on a day; empty when it may be.
pub fn blocking_site_papers(kinds: &[SitePaperKind], papers: &[SitePaper], on: NaiveDate) -> Vec<BlockingSitePaper> {
    let lacks = |kind: &SitePaperKind| {
        let fault = counts_through(*kind, papers, on).err()?;
        Some(BlockingSitePaper { kind: *kind, fault })
    };
    kinds.iter().filter_map(lacks).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use SitePaperKind::{Insurance, OwnerPermission, UsePermit};

    fn june(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 6, day).expect("a day of June")
    }

    fn paper(kind: SitePaperKind, from: u32, through: u32) -> SitePaper {
        SitePaper { kind, valid_from: june(from), valid_through: june(through), taken_back_on: None }
    }

    #[test]
    fn saturday_1_a_paper_of_a_site_counts_from_its_first_day_through_its_last() {
        let held = [paper(Insurance, 10, 20)];
        for (on, expected) in [
            (9, Err(PaperFault::NotYetValid(june(10)))),
            (10, Ok(june(20))),
            (20, Ok(june(20))),
            (21, Err(PaperFault::Expired(june(20)))),
        ] {
            assert_eq!(counts_through(Insurance, &held, june(on)), expected, "{on}");
        }
        let taken_back = [SitePaper { taken_back_on: Some(june(15)), ..held[0] }];
        assert_eq!(counts_through(Insurance, &taken_back, june(14)), Ok(june(20)));
        assert_eq!(counts_through(Insurance, &taken_back, june(15)), Err(PaperFault::Revoked(june(15))));
    }

    #[test]
    fn saturday_1_one_paper_that_counts_is_enough_and_each_kind_that_lacks_one_is_named() {
        let held = [paper(Insurance, 1, 5), paper(Insurance, 6, 30), paper(OwnerPermission, 1, 12)];
        let kinds = [OwnerPermission, Insurance];
        assert!(blocking_site_papers(&kinds, &held, june(12)).is_empty());
        let expired = BlockingSitePaper { kind: OwnerPermission, fault: PaperFault::Expired(june(12)) };
        assert_eq!(blocking_site_papers(&kinds, &held, june(13)), [expired]);
        let missing = BlockingSitePaper { kind: UsePermit, fault: PaperFault::Missing };
        assert_eq!(blocking_site_papers(&[UsePermit], &held, june(12)), [missing]);
        // Which kinds block is the program's setting: none asked for, none blocks.
        assert!(blocking_site_papers(&[], &[], june(12)).is_empty());
    }
}
