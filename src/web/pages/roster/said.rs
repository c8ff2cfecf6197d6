//! What an act was, in a few English words: for the undo bar and the history. Health notes are in no act.

use crate::domain::acts::{Body, TurnedAwayFor};
use crate::domain::fit::Outcome as Fit;
use crate::domain::gear::missing;
use crate::domain::skill::Mark;
use crate::domain::weather::{Go, together};
use crate::services::roster::{Counts, JustDone};

use super::words::{came_back, ended, way};

/// What the reader has just done, for the bar that offers to undo it.
pub fn did(done: &JustDone) -> String {
    let said = in_words(&done.body);
    let said = match (done.acts.len(), done.rider.is_empty()) {
        (1, true) => said,
        (1, false) => format!("{}: {}", done.rider, lower_first(&said)),
        (many, _) => match done.body {
            Body::CheckIn { .. } => format!("{many} riders checked in"),
            Body::Mark { .. } | Body::LessonMarks { .. } => format!("{many} marks saved"),
            Body::Assign { .. } => format!("Machines for {many} riders planned"),
            _ => format!("{many} entries saved"),
        },
    };
    if done.is_undo { format!("Undone. {said}") } else { said }
}

/// One act, without the rider's name.
pub fn in_words(body: &Body) -> String {
    match body {
        Body::CheckIn { late: false } => "Checked in".to_owned(),
        Body::CheckIn { late: true } => "Checked in, came late".to_owned(),
        Body::Count { expected, counted, .. } => format!("Head count {counted} of {expected}"),
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

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Whether the last head count was wrong.
pub fn is_loud(counts: &Counts) -> bool {
    counts.heads.is_some_and(|heads| heads.is_wrong())
}

/// What a wrong head count says in the folded bar.
pub fn loud(counts: &Counts) -> Option<String> {
    let heads = counts.heads.filter(|heads| heads.is_wrong())?;
    Some(format!("Counted {} of {}. Stop.", heads.counted, heads.expected))
}
