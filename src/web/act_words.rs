//! What an act was, in a few English words: for the undo bar, the history and the file of a session. Health notes are in no act.

use crate::domain::acts::{Body, CountMoment, TurnedAwayFor};
use crate::domain::fit::Outcome as Fit;
use crate::domain::gear::{CameBack, Way, missing};
use crate::domain::registration::Outcome;
use crate::domain::skill::Mark;
use crate::domain::weather::{Go, together};

use super::incident_words::near_miss;

/// One act, without the rider's name.
pub fn in_words(body: &Body) -> String {
    match body {
        Body::CheckIn { late: false } => "Checked in".to_owned(),
        Body::CheckIn { late: true } => "Checked in, came late".to_owned(),
        Body::Count { moment: CountMoment::Other, expected, counted, .. } => {
            format!("Head count {counted} of {expected}")
        }
        Body::Count { moment, expected, counted, .. } => {
            format!("Head count {counted} of {expected}, {}", at_moment(*moment))
        }
        Body::Measures { .. } => "Measures saved".to_owned(),
        Body::Fit { machine, verdict, .. } if verdict.outcome == Fit::MayStart => {
            format!("Fit check on machine {machine}, may start")
        }
        Body::Fit { machine, .. } => format!("Fit check on machine {machine}, does not start yet"),
        Body::Gear { worn } => match missing(worn).len() {
            0 => "All six pieces of gear are on".to_owned(),
            1 => "Gear looked over, 1 piece missing".to_owned(),
            many => format!("Gear looked over, {many} pieces missing"),
        },
        Body::Helmet { lot, way: how } => format!("{}, lot {lot}", way(how)),
        Body::HelmetCheck { size: true, comfortable: true, wrong, .. } if wrong.is_empty() => {
            "Helmet checked, right".to_owned()
        }
        Body::HelmetCheck { .. } => "Helmet checked, not right".to_owned(),
        Body::HelmetBack { lot, how } => format!("{}, lot {lot}", came_back(how)),
        Body::Receipt { lot, name, .. } => format!("{name} signed for the helmet of lot {lot}"),
        Body::Mark { check, mark: Mark::NotTried, .. } => format!("Check {check} set back to not tried"),
        Body::Mark { check, mark, clears: Some(_), .. } => {
            format!("Check {check} {}, the stop is cleared", mark.words())
        }
        Body::Mark { check, mark, .. } => format!("Check {check} {}", mark.words()),
        Body::LessonMarks { lesson, mark } => format!("Whole lesson {lesson} {}", mark.words()),
        Body::Outcome { outcome, why } => format!("{}{}", ended(*outcome).trim_end_matches('.'), turned_away(*why)),
        Body::CheckOut { adult } => format!("Left with {adult}"),
        Body::Proof { seen: true } => "Proof of the earlier part seen".to_owned(),
        Body::Proof { seen: false } => "Proof of the earlier part not seen".to_owned(),
        Body::Area { on: true, .. } => "Came onto the riding area".to_owned(),
        Body::Area { on: false, .. } => "Left the riding area".to_owned(),
        Body::GoOn { .. } => "Riding goes on by the lead's decision".to_owned(),
        Body::Weather { findings, .. } => match together(findings) {
            Some(Go::NoGo) => "Weather read, nobody rides".to_owned(),
            Some(Go::Care) => "Weather read, riding with care".to_owned(),
            Some(Go::Go) => "Weather read, within every limit".to_owned(),
            None => "Weather read, nothing to hold against a limit".to_owned(),
        },
        Body::Thunder => "Thunder or lightning".to_owned(),
        Body::WeatherCall { stop: true, why } => format!("Riding stopped for the weather: {why}"),
        Body::WeatherCall { stop: false, .. } => "The lead’s stop for the weather is lifted".to_owned(),
        Body::NearMiss { what, .. } => format!("Nearly happened: {}", lower_first(near_miss(*what))),
        Body::Incident { case, .. } => format!("Report {case} opened"),
        Body::HandOver { .. } => "The lead is handed over".to_owned(),
        Body::DayList { signed: Some(_), .. } => "Day list signed".to_owned(),
        Body::DayList { signed: None, .. } => "Day list looked at".to_owned(),
        Body::Assign { machine: Some(machine) } => format!("To ride machine {machine}"),
        Body::Assign { machine: None } => "To ride no machine yet".to_owned(),
        Body::LookOver { machine, wrong, .. } => match wrong.len() {
            0 => format!("Machine {machine} looked over, all right"),
            1 => format!("Machine {machine} looked over, 1 point not right"),
            many => format!("Machine {machine} looked over, {many} points not right"),
        },
        Body::Fault { machine, .. } => format!("Machine {machine} out of use"),
        Body::GroupPlace { place: Some(place), .. } => format!("A group rides here: {place}"),
        Body::GroupPlace { place: None, .. } => "The place of a group is taken back".to_owned(),
        Body::Group { with: Some(_) } => "Put into a group".to_owned(),
        Body::Group { with: None } => "Taken out of the group".to_owned(),
        Body::Undo { .. } => "Undo".to_owned(),
    }
}

fn turned_away(why: Option<TurnedAwayFor>) -> &'static str {
    match why {
        None => "",
        Some(TurnedAwayFor::Gear) => ": gear is missing",
        Some(TurnedAwayFor::Consent) => ": no consent",
        Some(TurnedAwayFor::Fit) => ": no machine fits",
        Some(TurnedAwayFor::Behaviour) => ": behavior",
    }
}

/// The same words within a sentence.
pub fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// When heads were counted.
pub fn at_moment(moment: CountMoment) -> &'static str {
    match moment {
        CountMoment::Lesson => "at the lesson change",
        CountMoment::TrailOut => "going out on the trail",
        CountMoment::TrailIn => "coming in from the trail",
        CountMoment::Other => "counted",
    }
}

/// How a piece of gear went.
pub fn way(way: &Way) -> &'static str {
    match way {
        Way::Given => "Helmet given",
        Way::Lent => "Helmet lent",
    }
}

/// How a lent helmet came back.
pub fn came_back(how: &CameBack) -> &'static str {
    match how {
        CameBack::InOrder => "Helmet back, in order",
        CameBack::Damaged => "Helmet back, damaged",
        CameBack::Lost => "Helmet not brought back",
    }
}

/// How a day ended.
pub fn ended(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Attended => "Attended.",
        Outcome::Late => "Attended, came late.",
        Outcome::LeftEarly => "Left early.",
        Outcome::TurnedAway => "Turned away.",
        Outcome::ChoseToStop => "The child chose to stop.",
        Outcome::Absent => "Absent.",
    }
}
