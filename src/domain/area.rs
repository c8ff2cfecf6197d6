//! The riding area now: which adults count, how many riders they may teach, and when riding stops.
//! Values in, decisions out. One more instructor never breaks the rule, one more rider never mends it, and a younger
//! rider never loosens it.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use super::access::Duty;
use super::acts::{Act, Body, CountMoment};
use super::certification::{Certification, InstructorState};
use super::curriculum::Curriculum;
use super::session::RatioRule;
use super::skill::Mark;
use super::staffing::{DutyPapers, LEAST_ADULTS, counts_for_ratio, gives_first_aid};

/// What an adult on the riding area counts for. Whoever's papers do not hold counts for nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Worth {
    /// Counts for the riders that instructors may teach.
    pub teaches: bool,
    /// Has a first-aid card that holds.
    pub gives_first_aid: bool,
}

impl Worth {
    /// What somebody with this duty counts for on a day; `None` when the person must not be counted at all.
    pub fn of(
        duty: Duty,
        state: InstructorState,
        papers: &[Certification],
        needed: &DutyPapers,
        on: NaiveDate,
    ) -> Option<Self> {
        let at_work = matches!(state, InstructorState::Active | InstructorState::Provisional);
        if !at_work || !needed.blocked(duty, papers, on).is_empty() {
            return None;
        }
        Some(Self { teaches: counts_for_ratio(duty, state), gives_first_aid: gives_first_aid(papers, on) })
    }
}

/// Who is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Count {
    /// Riders who came and did not go home.
    pub riders: i64,
    /// The age of the youngest of them.
    pub youngest: Option<i64>,
    /// Adults on the riding area whose papers hold.
    pub adults: i64,
    /// Those of them who count for the ratio.
    pub instructors: i64,
    /// Those of them whose first-aid card holds.
    pub first_aiders: i64,
}

impl Count {
    /// Adds a rider.
    pub fn rider(&mut self, age: i64) {
        self.riders += 1;
        self.youngest = Some(self.youngest.map_or(age, |youngest| youngest.min(age)));
    }

    /// Adds an adult.
    pub fn adult(&mut self, worth: Worth) {
        self.adults += 1;
        self.instructors += i64::from(worth.teaches);
        self.first_aiders += i64::from(worth.gives_first_aid);
    }

    /// Whether nothing is worse than it was: no more riders, none younger, no adult fewer in any part.
    pub fn is_no_worse_than(&self, then: &Self) -> bool {
        let younger = match (self.youngest, then.youngest) {
            (Some(now), Some(then)) => now < then,
            (Some(_), None) => true,
            (None, _) => false,
        };
        self.riders <= then.riders
            && !younger
            && self.adults >= then.adults
            && self.instructors >= then.instructors
            && self.first_aiders >= then.first_aiders
    }
}

/// How many riders an instructor may teach: the program's rule and the course's own number, whichever is smaller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// The program's rule by the youngest rider's age.
    pub ratio: RatioRule,
    /// The course's own number.
    pub course: i64,
    /// The course's least age, for a group in which nobody is there yet.
    pub least_age: i64,
}

impl Limit {
    /// Riders an instructor for a group whose youngest has this age.
    pub fn per_instructor(&self, youngest: Option<i64>) -> i64 {
        self.ratio.for_youngest(youngest.unwrap_or(self.least_age)).min(self.course).max(0)
    }
}

/// Why nobody rides now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// More riders than the instructors on the area may teach.
    TooManyRiders {
        /// Riders here.
        riders: i64,
        /// Instructors counted.
        instructors: i64,
        /// How many riders these may teach.
        may_teach: i64,
        /// The youngest rider's age.
        youngest: i64,
    },
    /// Fewer than two adults on the area.
    AdultAlone {
        /// Riders here.
        riders: i64,
        /// Adults counted.
        adults: i64,
    },
    /// Nobody on the area has a first-aid card that holds.
    NoFirstAider {
        /// Riders here.
        riders: i64,
    },
}

/// The rule of the riding area, held against who is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Guard {
    /// Who is there.
    pub count: Count,
    /// Riders an instructor for this group.
    pub per_instructor: i64,
}

impl Guard {
    /// The rule for those who are there.
    pub fn of(count: Count, limit: &Limit) -> Self {
        Self { count, per_instructor: limit.per_instructor(count.youngest) }
    }

    /// Riders that the instructors there may teach.
    pub fn may_teach(&self) -> i64 {
        self.count.instructors.saturating_mul(self.per_instructor)
    }

    /// Riders that they may teach beside those who are here; below nought when there are too many.
    pub fn room(&self) -> i64 {
        self.may_teach() - self.count.riders
    }

    /// Why nobody rides now, the gravest first; empty while the rule is kept or no rider is here.
    pub fn stops(&self) -> Vec<Stop> {
        let Count { riders, youngest, adults, instructors, first_aiders } = self.count;
        let Some(youngest) = youngest.filter(|_| riders > 0) else { return Vec::new() };
        let crowd = Stop::TooManyRiders { riders, instructors, may_teach: self.may_teach(), youngest };
        let least = i64::try_from(LEAST_ADULTS).unwrap_or(i64::MAX);
        [
            (self.room() < 0, crowd),
            (adults < least, Stop::AdultAlone { riders, adults }),
            (first_aiders < 1, Stop::NoFirstAider { riders }),
        ]
        .into_iter()
        .filter_map(|(is_broken, stop)| is_broken.then_some(stop))
        .collect()
    }
}

/// Whether an act waits while riding is stopped: going out on the trail, and marks that say a rider rode. A stop for
/// safety is always taken, and so is a mark that is taken back.
pub fn waits_while_stopped(body: &Body, curriculum: &Curriculum) -> bool {
    let rides = |number: u16| curriculum.lesson(number).is_some_and(|lesson| lesson.riding);
    let rode = |mark: Mark| matches!(mark, Mark::Meets | Mark::NeedsPractice);
    match body {
        Body::Count { moment, .. } => *moment == CountMoment::TrailOut,
        Body::Mark { check, mark, .. } => rode(*mark) && rides(check.lesson()),
        Body::LessonMarks { lesson, mark } => rode(*mark) && rides(*lesson),
        _ => false,
    }
}

/// Where somebody of the team is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Presence {
    /// On the riding area, else gone from it.
    pub on: bool,
    /// Since when.
    pub since: NaiveDateTime,
}

/// Where everybody is who said so, by account reference. The acts are those of one day, in any order.
pub fn presence(acts: &[&Act]) -> BTreeMap<String, Presence> {
    let mut there = BTreeMap::new();
    for act in in_order(acts) {
        if let Body::Area { member, on } = &act.body {
            match there.get(member) {
                // Saying the same again changes nothing.
                Some(Presence { on: before, .. }) if before == on => {}
                _ => drop(there.insert(member.clone(), Presence { on: *on, since: act.at })),
            }
        }
    }
    there
}

/// The lead's decision to go on that holds now. It ends as soon as anything is worse than it was, anybody leaves the
/// area, or the lead is handed over. The acts are those of one day, in any order.
pub fn going_on<'a>(acts: &[&'a Act], now: &Count) -> Option<&'a Act> {
    let mut holds = None;
    for act in in_order(acts) {
        match &act.body {
            Body::GoOn { .. } => holds = Some(act),
            Body::Area { on: false, .. } | Body::HandOver { .. } => holds = None,
            _ => {}
        }
    }
    holds.filter(|act| matches!(&act.body, Body::GoOn { count, .. } if now.is_no_worse_than(count)))
}

fn in_order<'a>(acts: &[&'a Act]) -> Vec<&'a Act> {
    let mut ordered = acts.to_vec();
    ordered.sort_by_key(|act| (act.order(), act.id));
    ordered
}

#[cfg(test)]
mod tests;
