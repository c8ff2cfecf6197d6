//! Who may do what at a session: the papers that each duty needs, and who counts for the ratio.
//! Must not know names or sessions; the caller brings the papers and the day.

use chrono::NaiveDate;

use super::access::Duty;
use super::certification::{
    BlockingPaper, Certification, CertificationKind, InstructorState, PaperFault, blocking_papers,
};

/// The kinds of papers without which nobody does a duty. Every adult is checked and trained to protect children;
/// who teaches or leads also needs a riding certification and a first-aid card.
#[must_use]
pub fn papers_for(duty: Duty) -> &'static [CertificationKind] {
    use CertificationKind::{Background, ChildProtection, FirstAid, Riding};
    match duty {
        Duty::Lead | Duty::Instructor => &[Riding, FirstAid, Background, ChildProtection],
        Duty::FirstAid => &[FirstAid, Background, ChildProtection],
        Duty::Helper => &[Background, ChildProtection],
    }
}

/// The papers that keep a person out of a duty on a day; empty when the person may do it.
#[must_use]
pub fn blocked(duty: Duty, papers: &[Certification], on: NaiveDate) -> Vec<BlockingPaper> {
    blocking_papers(papers_for(duty), papers, on)
}

/// Through which day somebody's papers of a kind hold, as seen on `on`.
///
/// # Errors
/// Why none of them holds on that day.
pub fn holds_through(
    kind: CertificationKind,
    papers: &[Certification],
    on: NaiveDate,
) -> Result<NaiveDate, PaperFault> {
    if let Some(blocking) = blocking_papers(&[kind], papers, on).first() {
        return Err(blocking.fault);
    }
    let valid = papers.iter().filter(|paper| paper.kind == kind && paper.valid_on(on));
    valid.map(|paper| paper.valid_through).max().ok_or(PaperFault::Missing)
}

/// Whether a person with this duty counts for the riders that an instructor may teach. Helpers never do.
#[must_use]
pub fn counts_for_ratio(duty: Duty, state: InstructorState) -> bool {
    matches!(duty, Duty::Lead | Duty::Instructor) && state.counts_for_ratio()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::words::Word;

    fn june(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 6, day).expect("a day of June")
    }

    fn all_through(day: u32) -> Vec<Certification> {
        let paper = |kind: &CertificationKind| Certification {
            kind: *kind,
            issued_on: june(1),
            valid_through: june(day),
            suspended_on: None,
            revoked_on: None,
        };
        CertificationKind::ALL.iter().map(paper).collect()
    }

    #[test]
    fn house_3_papers_hold_through_their_last_day_for_every_duty() {
        for duty in Duty::ALL {
            assert!(blocked(*duty, &all_through(13), june(13)).is_empty(), "{duty}");
            assert_eq!(blocked(*duty, &all_through(13), june(14)).len(), papers_for(*duty).len(), "{duty}");
            assert_eq!(blocked(*duty, &[], june(13)).len(), papers_for(*duty).len(), "{duty}");
        }
    }

    #[test]
    fn house_3_only_those_who_teach_count_for_the_ratio() {
        let counted: Vec<_> =
            Duty::ALL.iter().filter(|duty| counts_for_ratio(**duty, InstructorState::Provisional)).collect();
        assert_eq!(counted, [&Duty::Lead, &Duty::Instructor]);
        assert!(!counts_for_ratio(Duty::Lead, InstructorState::Suspended));
    }
}
