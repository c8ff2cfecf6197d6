//! English words of what a session lacks, short for tables and in full for its own page. Decides nothing about it.

use chrono::NaiveDate;

use crate::domain::readiness::Lack;
use crate::domain::refusal::Refusal;
use crate::domain::staffing::TeamLack;
use crate::domain::words::Lang;
use crate::language;
use crate::services::season::Lacking;

use super::area_words::papers;
use super::{paper_words, refusal_words};

/// What a session lacks, in a word or two for tables.
fn lack_in_short(lack: &Lack) -> String {
    match lack {
        Lack::Lead => "no lead".into(),
        Lack::LeadsBesideLead { name } => format!("{name} may not lead"),
        Lack::Unfit { name, .. } => format!("papers of {name}"),
        Lack::Away { name, .. } => format!("{name} is away"),
        Lack::Team(TeamLack::SecondAdult) => "no second adult".into(),
        Lack::Team(TeamLack::FirstAider) => "no first-aider".into(),
        Lack::Ratio { .. } => "too few instructors".into(),
        Lack::Machines { .. } => "too few machines".into(),
        Lack::Site(_) => "papers of the site".into(),
    }
}

/// The same in full: what is wrong, and what helps.
pub fn lack_in_full(lack: &Lack, on: &NaiveDate) -> (String, String) {
    let refusal = |refusal: Refusal| refusal_words::words(Lang::En, &refusal);
    match lack {
        Lack::Lead => ("Nobody leads.".into(), "Choose a lead before the day.".into()),
        Lack::LeadsBesideLead { name } => {
            (format!("{name} may not lead."), "Teaches only beside a lead. Choose another lead before the day.".into())
        }
        Lack::Unfit { name, papers: lacking } => {
            let why = if lacking.is_empty() { "The account is shut".into() } else { papers(lacking) };
            (format!("{name} does not count on the day."), format!("{why}. Renew the paper, or change the team."))
        }
        Lack::Away { name, through } => {
            let through = language::date_short(Lang::En, *through);
            (format!("{name} is away on the day."), format!("Through {through}. Ask them, or change the team."))
        }
        Lack::Team(TeamLack::SecondAdult) => ("One adult alone.".into(), refusal(Refusal::SecondAdultNeeded)),
        Lack::Team(TeamLack::FirstAider) => ("No first-aider.".into(), refusal(Refusal::FirstAiderNeeded { on: *on })),
        Lack::Ratio { riders, may_teach } => (
            "Too few instructors for the seats that are taken.".into(),
            format!(
                "{}, and those who can teach on the day may teach {may_teach}. Add an instructor, or move seats.",
                seats_taken(*riders)
            ),
        ),
        Lack::Machines { riders, machines } => (
            "Too few machines for the seats that are taken.".into(),
            format!(
                "{}, and {} and can be ridden. Send more, or somebody waits a turn.",
                seats_taken(*riders),
                if *machines == 1 { "1 machine goes".to_owned() } else { format!("{machines} machines go") }
            ),
        ),
        Lack::Site(lacking) => {
            let why: Vec<String> = lacking.iter().map(|paper| paper_words::blocking_site(Lang::En, *paper)).collect();
            ("The site is not ready.".into(), format!("{}. Renew the paper, or move the session.", why.join(", ")))
        }
    }
}

/// "1 seat is taken", "7 seats are taken".
fn seats_taken(riders: i64) -> String {
    if riders == 1 { "1 seat is taken".to_owned() } else { format!("{riders} seats are taken") }
}

/// Everything that a session lacks, in one line.
pub fn lacks_in_line(lacking: Option<&Lacking>) -> String {
    let lacks = lacking.map_or(&[][..], |found| found.lacks.as_slice());
    lacks.iter().map(lack_in_short).collect::<Vec<_>>().join(", ")
}
