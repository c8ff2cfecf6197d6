//! What an announced session still lacks on its days: a lead, people with papers that hold, papers of the site. The rules
//! themselves stand in `staffing` and `site_paper`; this puts their answers together. Must not know names beyond those it
//! is given.

use chrono::NaiveDate;

use super::absence::{Absence, away_on};
use super::access::Duty;
use super::certification::{BlockingPaper, Certification};
use super::site_paper::{BlockingSitePaper, SitePaper, SitePaperKind, blocking_site_papers};
use super::staffing::{DutyPapers, TeamLack, team_lacks};

/// One adult of a team, with the papers that were shown.
#[derive(Clone, Copy, Debug)]
pub struct Adult<'a> {
    /// Name in one line.
    pub name: &'a str,
    /// What the adult does there.
    pub duty: Duty,
    /// Every paper of the adult.
    pub papers: &'a [Certification],
    /// Whether the account is shut: then no paper helps.
    pub is_shut: bool,
    /// Days on which the adult is away.
    pub away: &'a [Absence],
    /// Whether the adult counts for the riders that may be taught.
    pub teaches: bool,
    /// Whether the adult teaches only beside a lead, and so leads nothing.
    pub beside_lead: bool,
}

/// What the program asks for: papers of people by duty, and papers of sites.
#[derive(Clone, Copy, Debug)]
pub struct Needed<'a> {
    /// Papers of people.
    pub papers: &'a DutyPapers,
    /// Papers of sites.
    pub site_papers: &'a [SitePaperKind],
    /// Who comes, and what there is for them.
    pub seats: Taken,
}

/// The seats of a session that are taken, and what they ask for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Taken {
    /// Riders with a seat.
    pub riders: i64,
    /// Riders an instructor may teach of the course's youngest.
    pub per_instructor: i64,
    /// Machines that go and are ready; none while nobody has said which go.
    pub machines: Option<i64>,
}

/// One thing that a session lacks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lack {
    /// Nobody leads.
    Lead,
    /// Who leads teaches only beside a lead.
    LeadsBesideLead {
        /// Who.
        name: String,
    },
    /// Somebody does not count on the day.
    Unfit {
        /// Who.
        name: String,
        /// The papers that do not hold, and why; none when the account is shut.
        papers: Vec<BlockingPaper>,
    },
    /// Somebody is away on the day.
    Away {
        /// Who.
        name: String,
        /// The last day away.
        through: NaiveDate,
    },
    /// What those who can do their duty lack together.
    Team(TeamLack),
    /// More riders have a seat than those who can do their duty may teach.
    Ratio {
        /// Riders with a seat.
        riders: i64,
        /// How many may be taught.
        may_teach: i64,
    },
    /// More riders have a seat than machines go.
    Machines {
        /// Riders with a seat.
        riders: i64,
        /// Machines that go and are ready.
        machines: i64,
    },
    /// Papers of the site do not hold on the day.
    Site(Vec<BlockingSitePaper>),
}

/// What a session lacks on one day, the gravest first; empty when it may go.
#[must_use]
pub fn lacks(team: &[Adult<'_>], site: &[SitePaper], needed: Needed<'_>, on: NaiveDate) -> Vec<Lack> {
    let mut found = Vec::new();
    if team.iter().all(|adult| adult.duty != Duty::Lead) {
        found.push(Lack::Lead);
    }
    let leads = team.iter().filter(|adult| adult.duty == Duty::Lead && adult.beside_lead);
    found.extend(leads.map(|adult| Lack::LeadsBesideLead { name: adult.name.to_owned() }));
    let (mut fit, mut instructors): (Vec<&[Certification]>, i64) = (Vec::new(), 0);
    for adult in team {
        if let Some(away) = away_on(adult.away, on) {
            found.push(Lack::Away { name: adult.name.to_owned(), through: away.through });
            continue;
        }
        let papers = needed.papers.blocked(adult.duty, adult.papers, on);
        match papers.is_empty() && !adult.is_shut {
            true => {
                fit.push(adult.papers);
                instructors += i64::from(adult.teaches);
            }
            false => found.push(Lack::Unfit { name: adult.name.to_owned(), papers }),
        }
    }
    found.extend(team_lacks(&fit, on).map(Lack::Team));
    let Taken { riders, per_instructor, machines } = needed.seats;
    let may_teach = instructors.saturating_mul(per_instructor);
    if riders > may_teach {
        found.push(Lack::Ratio { riders, may_teach });
    }
    found.extend(machines.filter(|machines| riders > *machines).map(|machines| Lack::Machines { riders, machines }));
    let papers = blocking_site_papers(needed.site_papers, site, on);
    if !papers.is_empty() {
        found.push(Lack::Site(papers));
    }
    found
}

/// The first of these days on which anything lacks, with what lacks then.
#[must_use]
pub fn first_lacking(
    team: &[Adult<'_>],
    site: &[SitePaper],
    needed: Needed<'_>,
    days: impl IntoIterator<Item = NaiveDate>,
) -> Option<(NaiveDate, Vec<Lack>)> {
    days.into_iter().map(|on| (on, lacks(team, site, needed, on))).find(|(_, lacks)| !lacks.is_empty())
}

#[cfg(test)]
mod tests {
    use super::super::certification::{CertificationKind, PaperFault};
    use super::super::words::Word;
    use super::*;

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

    fn asked(papers: &DutyPapers) -> Needed<'_> {
        Needed { papers, site_papers: &[], seats: Taken::default() }
    }

    #[test]
    fn saturday_4_a_team_lacks_what_nobody_in_it_can_do_on_the_day() {
        let (papers, shipped) = (all_through(13), DutyPapers::default());
        let adult = |name, duty| Adult {
            name,
            duty,
            papers: &papers,
            is_shut: false,
            away: &[],
            teaches: true,
            beside_lead: false,
        };
        let (rafael, noor) = (adult("Rafael", Duty::Lead), adult("Noor", Duty::FirstAid));
        let shut = Adult { is_shut: true, ..noor };
        let away = [Absence { from: june(13), through: june(14) }];
        let gone = Adult { away: &away, ..noor };
        let second = Lack::Team(TeamLack::SecondAdult);
        let out = Lack::Unfit { name: "Noor".into(), papers: vec![] };
        for (team, lacking) in [
            (vec![], vec![Lack::Lead, second.clone()]),
            (vec![rafael], vec![second.clone()]),
            (vec![rafael, noor], vec![]),
            (vec![rafael, shut], vec![out, second.clone()]),
            (vec![noor, adult("Dewey", Duty::Helper)], vec![Lack::Lead]),
            (vec![rafael, gone], vec![Lack::Away { name: "Noor".into(), through: june(14) }, second]),
        ] {
            assert_eq!(lacks(&team, &[], asked(&shipped), june(13)), lacking, "{} adults", team.len());
        }
    }

    #[test]
    fn saturday_4_papers_that_lapse_before_the_day_are_named_and_take_the_second_adult_away() {
        let (early, late, shipped) = (all_through(12), all_through(30), DutyPapers::default());
        let lead = Adult {
            name: "Rafael",
            duty: Duty::Lead,
            papers: &late,
            is_shut: false,
            away: &[],
            teaches: true,
            beside_lead: false,
        };
        let noor = Adult {
            name: "Noor",
            duty: Duty::FirstAid,
            papers: &early,
            is_shut: false,
            away: &[],
            teaches: true,
            beside_lead: false,
        };
        assert_eq!(lacks(&[lead, noor], &[], asked(&shipped), june(12)), []);
        let found = lacks(&[lead, noor], &[], asked(&shipped), june(13));
        let Lack::Unfit { name, papers } = &found[0] else { panic!("{found:?}") };
        assert_eq!((name.as_str(), papers.len()), ("Noor", 3));
        assert_eq!(found[1], Lack::Team(TeamLack::SecondAdult));
        let both = first_lacking(&[lead, noor], &[], asked(&shipped), [june(12), june(13), june(14)]);
        assert_eq!(both.map(|(on, _)| on), Some(june(13)), "the first meeting on which it lacks anything");
    }

    #[test]
    fn saturday_4_a_site_whose_papers_do_not_hold_lacks_them_on_that_day() {
        let (papers, shipped) = (all_through(30), DutyPapers::default());
        let adult = |duty| Adult {
            name: "Ana",
            duty,
            papers: &papers,
            is_shut: false,
            away: &[],
            teaches: true,
            beside_lead: false,
        };
        let team = [adult(Duty::Lead), adult(Duty::Helper)];
        let kinds = SitePaperKind::ALL;
        let needed = Needed { papers: &shipped, site_papers: &kinds[..1], seats: Taken::default() };
        let missing = BlockingSitePaper { kind: kinds[0], fault: PaperFault::Missing };
        assert_eq!(lacks(&team, &[], needed, june(13)), [Lack::Site(vec![missing])]);
    }

    /// Shipped ratio: 6 riders an instructor from the age of 10 on (common practice, no source; a setting).
    #[test]
    fn day_5_a_session_lacks_instructors_and_machines_for_the_seats_that_are_taken() {
        let (early, late, shipped) = (all_through(12), all_through(30), DutyPapers::default());
        let adult = |name, duty, papers, teaches| Adult {
            name,
            duty,
            papers,
            is_shut: false,
            away: &[],
            teaches,
            beside_lead: false,
        };
        let lead = adult("Rafael", Duty::Lead, late.as_slice(), true);
        let (bea, hal) = (adult("Bea", Duty::Instructor, &late, true), adult("Hal", Duty::Helper, &late, false));
        let lapsed = adult("Bea", Duty::Instructor, &early, true);
        let seats = |riders, machines| Taken { riders, per_instructor: 6, machines };
        let ratio = |riders, may_teach| Lack::Ratio { riders, may_teach };
        for (team, seats, lacking) in [
            (vec![lead, bea], seats(12, None), vec![]),
            (vec![lead, bea], seats(13, None), vec![ratio(13, 12)]),
            (vec![lead, hal], seats(7, None), vec![ratio(7, 6)]),
            (vec![lead, hal], seats(6, Some(6)), vec![]),
            (vec![lead, hal], seats(6, Some(5)), vec![Lack::Machines { riders: 6, machines: 5 }]),
        ] {
            let needed = Needed { papers: &shipped, site_papers: &[], seats };
            assert_eq!(lacks(&team, &[], needed, june(13)), lacking, "{seats:?}");
        }
        let beside = Adult { beside_lead: true, ..lead };
        let needed = Needed { papers: &shipped, site_papers: &[], seats: seats(6, None) };
        let leads = Lack::LeadsBesideLead { name: "Rafael".into() };
        assert_eq!(lacks(&[beside, hal], &[], needed, june(13)), [leads], "a provisional instructor leads nothing");
        let helps = Adult { duty: Duty::Instructor, ..beside };
        assert_eq!(lacks(&[bea, helps], &[], needed, june(13)), [Lack::Lead], "and may teach beside one");
        let needed = Needed { papers: &shipped, site_papers: &[], seats: seats(7, None) };
        let found = lacks(&[lead, hal, lapsed], &[], needed, june(13));
        assert!(found.contains(&ratio(7, 6)), "an instructor whose paper ran out teaches nobody: {found:?}");
    }
}
