//! Papers of staff: on which day a certification counts, when renewal opens, and what blocks a role.
//! Must not know who is planned for what; the caller brings the kinds a role needs.

use super::refusal::Refusal;
use super::words::word_list;
use chrono::{Days, Months, NaiveDate};
use serde::{Deserialize, Serialize};

word_list! {
    /// What a paper shows. Each role lists the kinds that block it.
    CertificationKind {
        /// May teach riding.
        Riding = "riding",
        /// Holds a first-aid card.
        FirstAid = "first_aid",
        /// Passed the background check.
        Background = "background",
        /// Took the child-protection training.
        ChildProtection = "child_protection",
    }
}

word_list! {
    /// How an instructor stands with the program.
    InstructorState {
        /// Teaches and may lead.
        Active = "active",
        /// Teaches beside a lead, does not lead yet.
        Provisional = "provisional",
        /// Stopped for now.
        Suspended = "suspended",
        /// No longer with the program.
        Former = "former",
    }
}

impl InstructorState {
    /// Whether the person counts for the number of riders an instructor may have.
    #[must_use]
    pub fn counts_for_ratio(self) -> bool {
        matches!(self, Self::Active | Self::Provisional)
    }

    /// Whether the person may lead a session.
    #[must_use]
    pub fn may_lead(self) -> bool {
        self == Self::Active
    }
}

/// One paper of one person. Every day is a day of the calendar without a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certification {
    /// What it shows.
    pub kind: CertificationKind,
    /// First day it counts.
    pub issued_on: NaiveDate,
    /// Last day it counts: valid through this day.
    pub valid_through: NaiveDate,
    /// From this day on it is set aside, until the entry is cleared.
    pub suspended_on: Option<NaiveDate>,
    /// From this day on it is gone for good.
    pub revoked_on: Option<NaiveDate>,
}

word_list! {
    /// What the office decides about a paper that was shown.
    PaperStanding {
        /// It counts for the days on it.
        Counts = "counts",
        /// It is set aside from today on, until it counts again.
        SetAside = "set_aside",
        /// It is taken back from today on, for good.
        TakenBack = "taken_back",
    }
}

/// Why a paper does not count on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PaperFault {
    /// It counts only from this day.
    NotYetValid(NaiveDate),
    /// This was its last day.
    Expired(NaiveDate),
    /// Set aside since this day.
    Suspended(NaiveDate),
    /// Taken back on this day.
    Revoked(NaiveDate),
    /// There is no paper of the kind.
    Missing,
}

impl Certification {
    /// Whether the paper counts on `day`.
    #[must_use]
    pub fn valid_on(&self, day: NaiveDate) -> bool {
        self.fault_on(day).is_none()
    }

    /// Why the paper does not count on `day`; the gravest cause first.
    #[must_use]
    pub fn fault_on(&self, day: NaiveDate) -> Option<PaperFault> {
        let reached = |date: Option<NaiveDate>| date.filter(|from| *from <= day);
        if let Some(since) = reached(self.revoked_on) {
            return Some(PaperFault::Revoked(since));
        }
        if let Some(since) = reached(self.suspended_on) {
            return Some(PaperFault::Suspended(since));
        }
        if day < self.issued_on {
            return Some(PaperFault::NotYetValid(self.issued_on));
        }
        (day > self.valid_through).then_some(PaperFault::Expired(self.valid_through))
    }

    /// The paper as the office decides about it on a day.
    ///
    /// # Errors
    /// `PaperTakenBack`: what was taken back for good stays so.
    pub fn decided(self, standing: PaperStanding, today: NaiveDate) -> Result<Self, Refusal> {
        if self.revoked_on.is_some() {
            return Err(Refusal::PaperTakenBack);
        }
        Ok(match standing {
            PaperStanding::Counts => Self { suspended_on: None, ..self },
            PaperStanding::SetAside => Self { suspended_on: self.suspended_on.or(Some(today)), ..self },
            PaperStanding::TakenBack => Self { revoked_on: Some(today), ..self },
        })
    }

    /// The first day on which renewal may be asked for, `days_before` the last day.
    #[must_use]
    pub fn renewal_opens_on(&self, days_before: u64) -> NaiveDate {
        self.valid_through.checked_sub_days(Days::new(days_before)).unwrap_or(NaiveDate::MIN)
    }
}

/// The same day `months` later; a day the month lacks becomes its last day (31 August + 6 = 28 or 29 February).
#[must_use]
pub fn months_after(day: NaiveDate, months: u32) -> NaiveDate {
    day.checked_add_months(Months::new(months)).unwrap_or(NaiveDate::MAX)
}

/// The last valid day of a paper issued for whole years: issued 1 May 2024 for three, through 1 May 2027.
#[must_use]
pub fn valid_through(issued_on: NaiveDate, years: u32) -> NaiveDate {
    months_after(issued_on, years.saturating_mul(12))
}

/// A kind that keeps a person out of a role on a day, and why.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct BlockingPaper {
    /// What is lacking.
    pub kind: CertificationKind,
    /// Why the best paper of the kind does not count.
    pub fault: PaperFault,
}

/// The kinds of `role_kinds` for which no paper counts on `day`; empty when the person may serve.
///
/// Of several papers of one kind a single valid one is enough. If none is, the mildest fault is told.
#[must_use]
pub fn blocking_papers(
    role_kinds: &[CertificationKind],
    certifications: &[Certification],
    day: NaiveDate,
) -> Vec<BlockingPaper> {
    role_kinds
        .iter()
        .filter_map(|kind| {
            let of_kind = || certifications.iter().filter(|paper| paper.kind == *kind);
            if of_kind().any(|paper| paper.valid_on(day)) {
                return None;
            }
            let fault = of_kind().filter_map(|paper| paper.fault_on(day)).min().unwrap_or(PaperFault::Missing);
            Some(BlockingPaper { kind: *kind, fault })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::words::Word;
    use super::*;

    #[test]
    fn day_5_a_paper_set_aside_keeps_its_first_day_and_one_taken_back_stays_so() {
        let paper = Certification {
            kind: CertificationKind::Riding,
            issued_on: day(2026, 1, 1),
            valid_through: day(2027, 1, 1),
            suspended_on: None,
            revoked_on: None,
        };
        let (today, later) = (day(2026, 6, 13), day(2026, 6, 20));
        let aside = paper.decided(PaperStanding::SetAside, today).expect("a decision");
        assert_eq!((aside.valid_on(day(2026, 6, 12)), aside.valid_on(today)), (true, false));
        assert_eq!(aside.decided(PaperStanding::SetAside, later), Ok(aside), "the first day stays");
        assert_eq!(aside.decided(PaperStanding::Counts, later), Ok(paper));
        let gone = aside.decided(PaperStanding::TakenBack, later).expect("a decision");
        assert_eq!((gone.suspended_on, gone.revoked_on), (Some(today), Some(later)));
        for standing in PaperStanding::ALL {
            assert_eq!(gone.decided(*standing, later), Err(Refusal::PaperTakenBack));
        }
    }

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
    }

    fn riding(issued_on: NaiveDate, years: u32) -> Certification {
        Certification {
            kind: CertificationKind::Riding,
            issued_on,
            valid_through: valid_through(issued_on, years),
            suspended_on: None,
            revoked_on: None,
        }
    }

    /// 18.15.3.10 NMAC: valid three years from issue, renewal applied for 30 days before expiry.
    #[test]
    fn house_4_three_years_from_issue_run_through_the_same_day() {
        let paper = riding(day(2024, 5, 1), 3);
        assert_eq!(paper.valid_through, day(2027, 5, 1));
        assert_eq!(paper.renewal_opens_on(30), day(2027, 4, 1));
        for (on, valid) in
            [(day(2024, 4, 30), false), (day(2024, 5, 1), true), (day(2027, 5, 1), true), (day(2027, 5, 2), false)]
        {
            assert_eq!(paper.valid_on(on), valid, "{on}");
        }
    }

    /// Calendar arithmetic: a day that the month lacks becomes its last day.
    #[test]
    fn house_4_months_end_on_the_last_day_the_month_has() {
        assert_eq!(months_after(day(2025, 8, 31), 6), day(2026, 2, 28));
        assert_eq!(months_after(day(2027, 8, 31), 6), day(2028, 2, 29));
        assert_eq!(months_after(day(2026, 1, 15), 6), day(2026, 7, 15));
        assert_eq!(valid_through(day(2024, 2, 29), 3), day(2027, 2, 28));
    }

    /// 18.15.3.10 NMAC: valid "unless suspended or revoked".
    #[test]
    fn house_4_a_suspended_or_revoked_paper_does_not_count() {
        let on = day(2026, 6, 1);
        let suspended = Certification { suspended_on: Some(on), ..riding(day(2024, 5, 1), 3) };
        assert!(suspended.valid_on(day(2026, 5, 31)));
        assert_eq!(suspended.fault_on(on), Some(PaperFault::Suspended(on)));
        let revoked = Certification { revoked_on: Some(on), ..suspended };
        assert_eq!(revoked.fault_on(on), Some(PaperFault::Revoked(on)));
    }

    #[test]
    fn house_3_each_missing_paper_of_a_role_is_named() {
        use CertificationKind::{Background, FirstAid, Riding};
        let on = day(2026, 7, 4);
        let old = riding(day(2020, 5, 1), 3);
        let renewed = riding(day(2024, 5, 1), 3);
        let first_aid = Certification { kind: FirstAid, suspended_on: Some(on), ..renewed };
        let role = [Riding, FirstAid, Background];
        assert_eq!(
            blocking_papers(&role, &[old, renewed, first_aid], on),
            vec![
                BlockingPaper { kind: FirstAid, fault: PaperFault::Suspended(on) },
                BlockingPaper { kind: Background, fault: PaperFault::Missing },
            ]
        );
        assert_eq!(
            blocking_papers(&[Riding], &[old], on),
            vec![BlockingPaper { kind: Riding, fault: PaperFault::Expired(day(2023, 5, 1)) }]
        );
        assert!(blocking_papers(&[Riding], &[renewed], on).is_empty());
        assert!(blocking_papers(&[], &[], on).is_empty());
    }

    #[test]
    fn house_3_only_teaching_states_count_for_the_ratio() {
        use InstructorState::{Active, Former, Provisional, Suspended};
        assert!(Active.counts_for_ratio() && Provisional.counts_for_ratio());
        assert!(!Suspended.counts_for_ratio() && !Former.counts_for_ratio());
        assert!(Active.may_lead() && !Provisional.may_lead());
    }
}
