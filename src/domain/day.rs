//! One rider's day, worked out from the acts in their one order: here or not, measured, fitted, geared, marked, home.
//! The same acts in any order of arrival give the same day. Coming, gear, outcome and going home belong to one meeting;
//! measures, fit checks, helmets, marks and the proof of an earlier part hold for the whole session.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDateTime;

use super::acts::{Act, Body, TurnedAwayFor};
use super::curriculum::{CheckCode, Curriculum};
use super::fit::{self, Verdict};
use super::gear::{CameBack, GearPiece, HelmetCheck, Way, missing};
use super::registration::Outcome;
use super::skill::{Attempt, Completion, Marked, Marking, Why, completion};
use super::undo::undone;

/// What the acts of one rider come to, at one meeting.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Day {
    /// When the rider came; `None` before check-in.
    pub arrived_at: Option<NaiveDateTime>,
    /// Whether the rider came late.
    pub late: bool,
    /// Measured head circumference in micrometres.
    pub head_um: Option<i64>,
    /// Measured height in micrometres.
    pub height_um: Option<i64>,
    /// Measured weight in grams.
    pub weight_g: Option<i64>,
    /// Measured inseam in micrometres.
    pub inseam_um: Option<i64>,
    /// The machine that the rider has, by its number: by the latest plan, or the latest fit check that let the rider start.
    pub machine: Option<String>,
    /// The latest fit check: the machine's number and the verdict.
    pub fit: Option<(String, Verdict)>,
    /// When the latest fit check was made.
    pub fit_at: Option<NaiveDateTime>,
    /// What the rider wears; `None` before anybody looked.
    pub worn: Option<BTreeSet<GearPiece>>,
    /// Helmets that the rider has from the program: the lot's code and the way.
    pub helmets: Vec<(String, Way)>,
    /// Lent helmets that are back, or will not come: the lot's code and how.
    pub helmets_back: Vec<(String, CameBack)>,
    /// Lots of helmets that an adult signed for, and who did.
    pub receipts: BTreeMap<String, String>,
    /// The latest look at the helmet on the rider's head; `None` before one, and when since then another was lent, that one came
    /// back or the one worn took a blow.
    pub helmet_check: Option<HelmetCheck>,
    /// An outcome that somebody set.
    pub set_outcome: Option<(Outcome, Option<TurnedAwayFor>)>,
    /// Who took the child and when.
    pub left_with: Option<(String, NaiveDateTime)>,
    /// Every attempt at every check, in order.
    pub attempts: Vec<Attempt>,
    /// What was last said on the field about the proof of an earlier part.
    pub proof_seen: Option<bool>,
}

impl Day {
    /// Reads one rider's acts, those of every meeting but not those undone, for the day of one meeting. Whole-lesson marks
    /// become one attempt for each check of the lesson.
    pub fn of(acts: &[Act], curriculum: &Curriculum, meeting: i64) -> Self {
        let undone = undone(acts);
        let mut ordered: Vec<&Act> = acts.iter().filter(|act| !undone.contains(&act.id)).collect();
        ordered.sort_by_key(|act| (act.order(), act.id));
        let mut day = Self::default();
        for act in ordered {
            day.take_for_the_session(act, curriculum);
            if act.meeting == meeting {
                day.take_for_the_meeting(act);
            }
        }
        day
    }

    /// What one meeting alone knows.
    fn take_for_the_meeting(&mut self, act: &Act) {
        match &act.body {
            Body::CheckIn { late } => {
                // The first check-in is the arrival; a second one corrects only whether it was late.
                self.arrived_at.get_or_insert(act.at);
                self.late = *late;
                self.left_with = None;
                // A child who came after all is not absent.
                self.set_outcome.take_if(|(outcome, _)| *outcome == Outcome::Absent);
            }
            Body::Gear { worn } => self.worn = Some(worn.clone()),
            // Another helmet is worn from here on, or none that anybody has looked at since.
            Body::Helmet { way: Way::Lent, .. } | Body::Incident { helmet_hit: true, .. } => self.helmet_check = None,
            Body::HelmetBack { lot, .. } => {
                drop(self.helmet_check.take_if(|check| check.lot.as_ref() == Some(lot)));
            }
            Body::HelmetCheck { lot, size, wrong, comfortable, .. } => {
                let (lot, wrong) = (lot.clone(), wrong.clone());
                self.helmet_check = Some(HelmetCheck { lot, size: *size, wrong, comfortable: *comfortable });
            }
            Body::Outcome { outcome, why } => self.set_outcome = Some((*outcome, *why)),
            Body::CheckOut { adult } => self.left_with = Some((adult.clone(), act.at)),
            _ => {}
        }
    }

    /// What holds from one meeting to the next.
    fn take_for_the_session(&mut self, act: &Act, curriculum: &Curriculum) {
        match &act.body {
            Body::Measures { height_um, weight_g, inseam_um, head_um } => {
                self.height_um = height_um.or(self.height_um);
                self.weight_g = weight_g.or(self.weight_g);
                self.inseam_um = inseam_um.or(self.inseam_um);
                self.head_um = head_um.or(self.head_um);
            }
            Body::Fit { machine, verdict, .. } => {
                match verdict.outcome {
                    fit::Outcome::MayStart => self.machine = Some(machine.clone()),
                    fit::Outcome::NotYet => drop(self.machine.take_if(|has| has == machine)),
                }
                self.fit = Some((machine.clone(), verdict.clone()));
                self.fit_at = Some(act.at);
            }
            Body::Assign { machine } => self.machine.clone_from(machine),
            Body::Helmet { lot, way } => self.helmets.push((lot.clone(), *way)),
            Body::HelmetBack { lot, how } => {
                self.helmets.retain(|(other, way)| (other, *way) != (lot, Way::Lent));
                self.helmets_back.push((lot.clone(), *how));
            }
            Body::Receipt { lot, name, .. } => drop(self.receipts.insert(lot.clone(), name.clone())),
            Body::Mark { .. } | Body::LessonMarks { .. } => self.attempts.extend(attempts_of(act, curriculum)),
            Body::Proof { seen } => self.proof_seen = Some(*seen),
            _ => {}
        }
    }

    /// Whether the child is on the site now.
    pub fn is_here(&self) -> bool {
        self.arrived_at.is_some() && self.left_with.is_none()
    }

    /// Whether a check-in may be entered: for a child who went home only by somebody who knows it.
    pub fn takes_check_in(&self, knows_of_leaving: bool) -> bool {
        self.left_with.is_none() || knows_of_leaving
    }

    /// Pieces of gear that are missing; all six while nobody has looked.
    pub fn gear_missing(&self) -> Vec<GearPiece> {
        self.worn.as_ref().map_or_else(|| missing(&BTreeSet::new()), missing)
    }

    /// Whether the helmet on the rider's head was found right.
    pub fn helmet_is_right(&self) -> bool {
        self.helmet_check.as_ref().is_some_and(HelmetCheck::is_right)
    }

    /// Whether the rider has a helmet of this lot from the program, in this way.
    pub fn has_helmet(&self, lot: &str, way: Way) -> bool {
        self.helmets.iter().any(|(other, how)| other == lot && *how == way)
    }

    /// Whether the rider may start on the machine that the rider has.
    pub fn is_fitted(&self) -> bool {
        self.fit_lets_start() && self.fit.as_ref().map(|(machine, _)| machine) == self.machine.as_ref()
    }

    /// Whether the rider still rides today: not gone home, and not counted out of the day.
    pub fn rides_on(&self) -> bool {
        let ends = |outcome: Outcome| {
            matches!(outcome, Outcome::Absent | Outcome::TurnedAway | Outcome::LeftEarly | Outcome::ChoseToStop)
        };
        self.left_with.is_none() && !self.set_outcome.is_some_and(|(outcome, _)| ends(outcome))
    }

    /// Whether the latest fit check lets the rider start.
    pub fn fit_lets_start(&self) -> bool {
        matches!(&self.fit, Some((_, verdict)) if verdict.outcome == fit::Outcome::MayStart)
    }

    /// Whether the rider is here, in full gear, in a helmet that is right, on a machine that fits.
    pub fn is_ready(&self) -> bool {
        self.is_here() && self.gear_missing().is_empty() && self.helmet_is_right() && self.fit_lets_start()
    }

    /// How the day ended, as far as the acts say: what somebody set, else attended or late for those who came.
    pub fn outcome(&self) -> Option<Outcome> {
        match (self.set_outcome, self.arrived_at) {
            (Some((outcome, _)), _) => Some(outcome),
            (None, Some(_)) => Some(if self.late { Outcome::Late } else { Outcome::Attended }),
            (None, None) => None,
        }
    }

    /// Whether the rider has completed, and if not why: the outcome first, then each missing check.
    pub fn completion(&self, curriculum: &Curriculum) -> Result<(), NotCompleted> {
        match self.outcome() {
            Some(outcome) if outcome.can_complete() => {}
            other => return Err(NotCompleted::Outcome(other)),
        }
        match completion(curriculum, &self.attempts) {
            Completion::Completed => Ok(()),
            Completion::NotYet(missing) => Err(NotCompleted::Checks(missing)),
        }
    }
}

/// Why a rider gets no certificate from this session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotCompleted {
    /// The day's outcome cannot complete; `None` when the rider never came.
    Outcome(Option<Outcome>),
    /// Required checks are missing.
    Checks(Vec<(CheckCode, Why)>),
}

/// The mark that an act makes, when it is one.
pub fn marking_of(act: &Act) -> Option<Marking> {
    let (what, mark, reason, clears) = match &act.body {
        Body::Mark { check, mark, reason, clears } => (Marked::Check(*check), *mark, reason.clone(), *clears),
        Body::LessonMarks { lesson, mark } => (Marked::Lesson(*lesson), *mark, None, None),
        _ => return None,
    };
    Some(Marking { what, mark, by_lead: act.by_lead, reason, clears, order: act.order(), act: act.id })
}

fn attempts_of(act: &Act, curriculum: &Curriculum) -> Vec<Attempt> {
    // A mark that the curriculum does not know was refused at the door; an old one of another version makes no attempt.
    marking_of(act).and_then(|marking| marking.attempts(curriculum).ok()).unwrap_or_default()
}

#[cfg(test)]
mod tests;
