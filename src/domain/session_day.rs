//! One day of a whole session, worked out from the acts in their one order: the day list before the first engine, who is
//! here, the groups and the head counts. The same acts in any order of arrival give the same day.

use std::collections::{BTreeMap, BTreeSet};

use super::acts::{Act, Body, CountMoment};
use super::curriculum::Curriculum;
use super::day::marking_of;
use super::ids::RegistrationId;
use super::point_list::PointList;
use super::refusal::Refusal;
use super::skill::{Mark, Marked};

mod counts;
mod lesson_change;
mod signing;

pub use counts::{Counted, Counts, Out, Scope};
pub use lesson_change::Taught;
pub use signing::{Looked, PointStanding, Signed, Signing};

/// One act of a session with the rider that it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// None for acts about the session as a whole.
    pub rider: Option<RegistrationId>,
    /// Whether it belongs to the meeting that is worked out. Groups outlast a meeting; who is here, signatures and counts
    /// do not.
    pub is_today: bool,
    /// The act.
    pub act: Act,
}

/// What the acts of one day come to for the session as a whole.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SessionDay {
    /// The day list.
    pub signing: Signing,
    /// The group of each rider who is in one, by the account reference of its instructor.
    pub groups: BTreeMap<RegistrationId, String>,
    /// Riders on the site now.
    pub here: BTreeSet<RegistrationId>,
    /// Where each group rides, by its instructor, where somebody said it today.
    pub places: BTreeMap<String, String>,
    /// Head counts of the day.
    pub counts: Counts,
}

impl SessionDay {
    /// The kinds of acts that a day is worked out from; every other one leaves it as it is.
    pub const KINDS: &[&str] = &["check_in", "check_out", "group", "group_place", "count", "day_list"];

    /// Reads the acts that count.
    pub fn of(list: &PointList, entries: &[Entry]) -> Self {
        let mut ordered: Vec<&Entry> = entries.iter().collect();
        ordered.sort_by_key(|entry| (entry.act.order(), entry.act.id));
        let mut day = Self::default();
        for entry in &ordered {
            day.take(entry);
        }
        let of_today: Vec<&Act> = ordered.iter().filter(|entry| entry.is_today).map(|entry| &entry.act).collect();
        day.signing = Signing::of(list, &of_today);
        day.counts = Counts::of(&of_today);
        day
    }

    fn take(&mut self, entry: &Entry) {
        if let Body::GroupPlace { with, place } = &entry.act.body
            && entry.is_today
        {
            match place {
                Some(place) => self.places.insert(with.clone(), place.clone()),
                None => self.places.remove(with),
            };
        }
        let Some(rider) = entry.rider else { return };
        match &entry.act.body {
            Body::CheckIn { .. } if entry.is_today => {
                self.here.insert(rider);
            }
            Body::CheckOut { .. } if entry.is_today => {
                self.here.remove(&rider);
            }
            Body::Group { with: Some(instructor) } => {
                self.groups.insert(rider, instructor.clone());
            }
            Body::Group { with: None } => {
                self.groups.remove(&rider);
            }
            _ => {}
        }
    }

    /// Riders on the site who belong to what is counted.
    pub fn expected(&self, scope: &Scope) -> usize {
        match scope {
            Scope::All => self.here.len(),
            Scope::Group(instructor) => {
                self.here.iter().filter(|rider| self.groups.get(rider) == Some(instructor)).count()
            }
        }
    }

    /// Riders on the site who are in no group.
    pub fn without_group(&self) -> usize {
        self.here.iter().filter(|rider| !self.groups.contains_key(rider)).count()
    }

    /// Whether the rules of the whole session let this act be taken.
    ///
    /// # Errors
    /// `DayListNotSigned` and `DayListOpen` before riding; what keeps a signature back; `GroupFull`.
    pub fn may_take(&self, entry: &Entry, list: &PointList, curriculum: &Curriculum) -> Result<(), Refusal> {
        match &entry.act.body {
            Body::Mark { .. } | Body::LessonMarks { .. } if says_rode(&entry.act, curriculum) => {
                self.signing.may_ride(list)
            }
            Body::Count { moment: CountMoment::TrailOut, .. } => self.signing.may_ride(list),
            // Whoever is out is counted in, whatever was found meanwhile.
            Body::Count { moment: CountMoment::TrailIn, .. } if self.counts.out.is_empty() => {
                self.signing.may_ride(list)
            }
            Body::DayList { .. } => self.signing.may_add(list, &entry.act),
            Body::Group { with: Some(instructor) } => self.has_room(entry.rider, instructor, curriculum),
            _ => Ok(()),
        }
    }

    fn has_room(
        &self,
        rider: Option<RegistrationId>,
        instructor: &str,
        curriculum: &Curriculum,
    ) -> Result<(), Refusal> {
        let Some(most) = most_in_group(curriculum) else { return Ok(()) };
        let others = self.groups.iter().filter(|(other, with)| Some(**other) != rider && *with == instructor).count();
        let others = i64::try_from(others).unwrap_or(i64::MAX);
        if others < most { Ok(()) } else { Err(Refusal::GroupFull { most }) }
    }
}

/// Most riders in one group: the curriculum's setting. None when a curriculum sets none.
pub fn most_in_group(curriculum: &Curriculum) -> Option<i64> {
    curriculum.settings().get("group_riders_count").map(|setting| setting.value)
}

/// Whether an act says that somebody rode, or rides out now.
pub fn is_riding(act: &Act, curriculum: &Curriculum) -> bool {
    matches!(act.body, Body::Count { moment: CountMoment::TrailOut, .. }) || says_rode(act, curriculum)
}

/// Whether a mark says that the rider rode. A stop for safety and taking a mark back say no such thing.
fn says_rode(act: &Act, curriculum: &Curriculum) -> bool {
    marking_of(act).is_some_and(|marking| {
        let lesson = match marking.what {
            Marked::Check(code) => code.lesson(),
            Marked::Lesson(number) => number,
        };
        let rode = matches!(marking.mark, Mark::Meets | Mark::NeedsPractice);
        rode && curriculum.lesson(lesson).is_some_and(|lesson| lesson.riding)
    })
}

#[cfg(test)]
mod tests;
