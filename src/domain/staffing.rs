//! Who may do what at a session: the papers that each duty needs, and who counts for the ratio.
//! Must not know names or sessions; the caller brings the papers and the day.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::access::{Duty, Role};
use super::certification::{
    BlockingPaper, Certification, CertificationKind, InstructorState, PaperFault, blocking_papers,
};

/// The kinds of papers without which nobody does a duty: a setting of the program. As shipped every adult is checked and
/// trained to protect children; who teaches or leads also needs a riding certification and a first-aid card (common
/// practice, no source).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct DutyPapers {
    /// What who leads needs.
    pub lead: Vec<CertificationKind>,
    /// What who teaches needs.
    pub instructor: Vec<CertificationKind>,
    /// What who helps needs.
    pub helper: Vec<CertificationKind>,
    /// What the first-aider needs.
    pub first_aid: Vec<CertificationKind>,
}

impl Default for DutyPapers {
    fn default() -> Self {
        use CertificationKind::{Background, ChildProtection, FirstAid, Riding};
        Self {
            lead: vec![Riding, FirstAid, Background, ChildProtection],
            instructor: vec![Riding, FirstAid, Background, ChildProtection],
            helper: vec![Background, ChildProtection],
            first_aid: vec![FirstAid, Background, ChildProtection],
        }
    }
}

impl DutyPapers {
    /// The kinds that a duty needs.
    #[must_use]
    pub fn of(&self, duty: Duty) -> &[CertificationKind] {
        match duty {
            Duty::Lead => &self.lead,
            Duty::Instructor => &self.instructor,
            Duty::Helper => &self.helper,
            Duty::FirstAid => &self.first_aid,
        }
    }

    /// The kinds that the roles of a person ask for, each once: of an instructor those of a lead.
    #[must_use]
    pub fn of_roles(&self, roles: &[Role]) -> Vec<CertificationKind> {
        let duties = [(Role::Instructor, Duty::Lead), (Role::FirstAid, Duty::FirstAid), (Role::Helper, Duty::Helper)];
        let mut kinds = Vec::new();
        for (_, duty) in duties.iter().filter(|(role, _)| roles.contains(role)) {
            for kind in self.of(*duty) {
                if !kinds.contains(kind) {
                    kinds.push(*kind);
                }
            }
        }
        kinds
    }

    /// The papers that keep a person out of a duty on a day; empty when the person may do it.
    #[must_use]
    pub fn blocked(&self, duty: Duty, papers: &[Certification], on: NaiveDate) -> Vec<BlockingPaper> {
        blocking_papers(self.of(duty), papers, on)
    }
}

/// The fewest adults at a session and on the riding area: never one adult alone with children.
pub const LEAST_ADULTS: usize = 2;

/// What a whole team lacks although each person's own papers hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TeamLack {
    /// One adult would be alone with children.
    SecondAdult,
    /// Nobody's first-aid card holds on the day.
    FirstAider,
}

/// What a team of people who may each do their duty lacks on a day.
#[must_use]
pub fn team_lacks(team: &[&[Certification]], on: NaiveDate) -> Option<TeamLack> {
    if team.len() < LEAST_ADULTS {
        return Some(TeamLack::SecondAdult);
    }
    let none = !team.iter().any(|papers| gives_first_aid(papers, on));
    none.then_some(TeamLack::FirstAider)
}

/// Whether a first-aid card of these papers holds on a day.
#[must_use]
pub fn gives_first_aid(papers: &[Certification], on: NaiveDate) -> bool {
    blocking_papers(&[CertificationKind::FirstAid], papers, on).is_empty()
}

/// Through which day somebody's papers of a kind hold, as seen on `on`. A paper that begins on the day after another's last
/// one, or earlier, goes on from it.
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
    let last = |day: NaiveDate| {
        let valid = papers.iter().filter(|paper| paper.kind == kind && paper.valid_on(day));
        valid.map(|paper| paper.valid_through).max()
    };
    let mut through = last(on).ok_or(PaperFault::Missing)?;
    while let Some(later) = through.succ_opt().and_then(last) {
        through = later;
    }
    Ok(through)
}

/// Whether a person with this duty counts for the riders that an instructor may teach. Helpers never do.
#[must_use]
pub fn counts_for_ratio(duty: Duty, state: InstructorState) -> bool {
    duty.teaches() && state.counts_for_ratio()
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
        let needed = DutyPapers::default();
        for duty in Duty::ALL {
            assert!(needed.blocked(*duty, &all_through(13), june(13)).is_empty(), "{duty}");
            assert_eq!(needed.blocked(*duty, &all_through(13), june(14)).len(), needed.of(*duty).len(), "{duty}");
            assert_eq!(needed.blocked(*duty, &[], june(13)).len(), needed.of(*duty).len(), "{duty}");
        }
    }

    #[test]
    fn saturday_1_the_papers_of_each_duty_are_a_setting_with_shipped_defaults() {
        use CertificationKind::{Background, Riding};
        let shipped: DutyPapers = toml::from_str("").expect("nothing set");
        assert_eq!(shipped, DutyPapers::default());
        let own: DutyPapers = toml::from_str("helper = [\"background\", \"riding\"]").expect("one duty set");
        assert_eq!(own.of(Duty::Helper), [Background, Riding]);
        assert_eq!(own.of(Duty::Lead), shipped.of(Duty::Lead));
        assert!(toml::from_str::<DutyPapers>("helper = [\"luck\"]").is_err());
        assert!(toml::from_str::<DutyPapers>("cook = []").is_err());
    }

    #[test]
    fn saturday_1_a_team_is_two_adults_and_a_first_aid_card_that_holds_on_the_day() {
        let (all, none) = (all_through(13), Vec::new());
        for (team, day, lacks) in [
            (vec![], 13, Some(TeamLack::SecondAdult)),
            (vec![&all], 13, Some(TeamLack::SecondAdult)),
            (vec![&all, &none], 13, None),
            (vec![&none, &all], 13, None),
            (vec![&all, &all], 14, Some(TeamLack::FirstAider)),
            (vec![&none, &none], 13, Some(TeamLack::FirstAider)),
        ] {
            let team: Vec<&[Certification]> = team.into_iter().map(Vec::as_slice).collect();
            assert_eq!(team_lacks(&team, june(day)), lacks, "{} on {day}", team.len());
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
