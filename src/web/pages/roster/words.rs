//! English words of the field pages for what the domain knows by name. Staff pages are in English.

use chrono::{NaiveDate, NaiveTime};

use crate::domain::access::Duty;
use crate::domain::acts::CountMoment;
use crate::domain::day::Day;
use crate::domain::fit::{Finding, LikelyFit, Reason};
use crate::domain::machine::today::Parked;
use crate::domain::proof::ProofAnswer;
use crate::domain::refusal::Refusal;
use crate::domain::registration::Outcome;
use crate::domain::skill::Mark;
use crate::domain::words::Lang;
use crate::language;
use crate::services::roster::Line;
pub use crate::web::act_words::{came_back, ended, way};
use crate::web::refusal_words;

/// "8:30 AM".
pub fn clock(at: &NaiveTime) -> String {
    language::time(Lang::En, *at)
}

/// "Saturday, June 13".
pub fn day(date: &NaiveDate) -> String {
    language::date_in_year(Lang::En, *date)
}

/// What the reader does at a session, after "You are".
pub fn duty(duty: &Duty) -> &'static str {
    match duty {
        Duty::Lead => "the lead",
        Duty::Instructor => "an instructor",
        Duty::Helper => "a helper",
        Duty::FirstAid => "the first-aider",
    }
}

/// What somebody of the team does.
pub fn duty_of(duty: &Duty) -> &'static str {
    match duty {
        Duty::Lead => "leads",
        Duty::Instructor => "teaches",
        Duty::Helper => "helps",
        Duty::FirstAid => "first aid",
    }
}

/// When heads are counted.
pub fn moment(moment: CountMoment) -> &'static str {
    match moment {
        CountMoment::Lesson => "Lesson change",
        CountMoment::TrailOut => "Out on the trail",
        CountMoment::TrailIn => "In from the trail",
        CountMoment::Other => "Another time",
    }
}

/// A state word with its class and shape.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct State {
    /// The class that gives the color.
    pub kind: &'static str,
    /// A symbol.
    pub shape: &'static str,
    /// The words.
    pub words: String,
}

/// Where a rider stands in the day.
pub fn place_of(line: &Line) -> State {
    let state = |kind, shape, words: &str| State { kind, shape, words: words.to_owned() };
    match &line.day {
        day if day.arrived_at.is_none() => state("not-tried", "none", "Not checked in"),
        day if day.left_with.is_some() => state("off", "note", "Home"),
        _ if line.proof.holds_back() => state("not-met", "notmet", "Here. Proof not seen"),
        day if day.worn.is_none() => state("practice", "practice", "Here. Gear not looked over"),
        day if !day.gear_missing().is_empty() => state("not-met", "notmet", "Here. Gear is missing"),
        day if day.helmet_check.is_none() => state("practice", "practice", "Here. Helmet not checked"),
        day if !day.helmet_is_right() => state("not-met", "notmet", "Here. Helmet not right"),
        day if day.fit.is_none() => state("practice", "practice", "Here. No fit check yet"),
        day if !day.fit_lets_start() => state("not-met", "notmet", "Here. Does not start yet"),
        _ => match line.parked {
            Some(Parked::OutOfUse) => state("not-met", "notmet", "Here. Machine out of use"),
            Some(Parked::NotLookedOver) => state("practice", "practice", "Here. Machine not looked over"),
            None => state("met", "met", "Riding-ready"),
        },
    }
}

/// A mark button: what it looks like and what a press sends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Button {
    /// The class that gives the color.
    pub kind: &'static str,
    /// What a press sends; a pressed button takes its mark back.
    pub sends: &'static str,
    /// The words.
    pub words: &'static str,
    /// Whether it stands.
    pub pressed: bool,
}

/// The three mark buttons for what stands now.
pub fn buttons(now: &Mark) -> [Button; 3] {
    let button = |mark: Mark, kind, sends, words| Button {
        kind,
        sends: if mark == *now && mark != Mark::StoppedForSafety { "not_tried" } else { sends },
        words,
        pressed: mark == *now,
    };
    [
        button(Mark::Meets, "meets", "meets", "Meets"),
        button(Mark::NeedsPractice, "practice", "practice", "Needs practice"),
        button(Mark::StoppedForSafety, "stopped", "stopped", "Stopped"),
    ]
}

/// Why a rule says no.
pub fn no(refusal: &Refusal) -> String {
    refusal_words::words(Lang::En, refusal)
}

/// Degrees with a true minus sign.
pub fn degrees(degrees: &i64) -> String {
    degrees.to_string().replace('-', "\u{2212}")
}

/// How the day ended so far, in one sentence.
pub fn outcome(day: &Day) -> &'static str {
    match day.outcome() {
        None => "Not checked in, and nothing set.",
        Some(outcome) => ended(outcome),
    }
}

/// What the family answered about the earlier part.
pub fn proof_answer(answer: &Option<ProofAnswer>) -> &'static str {
    match answer {
        Some(ProofAnswer::Done) => "The family says it is done.",
        Some(ProofAnswer::NotYet) => "The family says it is not done yet.",
        Some(ProofAnswer::WillBring) => "The family brings the paper.",
        None => "The family has not answered.",
    }
}

/// How a day ended, or that nothing is known.
pub fn ended_words(outcome: &Option<Outcome>) -> &'static str {
    outcome.map_or("Nobody checked this rider in.", ended)
}

/// What measures alone let one expect of a machine.
pub fn expected(likely: &LikelyFit) -> String {
    let close = likely.reasons.iter().any(|reason| reason.is_close);
    let said = if likely.is_unlikely() {
        "Measures say: not likely to fit."
    } else if likely.is_likely() {
        "Measures say: likely to fit."
    } else {
        "Measures do not say enough. Try it."
    };
    if close { format!("{said} Close to a limit.") } else { said.to_owned() }
}

/// The state class of a finding.
pub fn finding(reason: &Reason) -> &'static str {
    match reason.finding {
        Finding::Met => "met",
        Finding::MetWithAdaptation => "adapted",
        Finding::NotMet | Finding::AdaptationNotNamed => "not-met",
        Finding::NotMeasured | Finding::ShownOnly => "not-measured",
    }
}
