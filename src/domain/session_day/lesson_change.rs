//! Heads are counted at each lesson change: which lessons riders were marked in since their heads were last counted right.

use std::collections::{BTreeMap, BTreeSet};

use super::{Entry, Scope};
use crate::domain::acts::Body;
use crate::domain::day::marking_of;
use crate::domain::ids::RegistrationId;
use crate::domain::skill::{Mark, Marked};

/// What was taught, and whose heads were counted since.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Taught {
    /// For each rider here the lessons of its marks since its heads were counted.
    uncounted: BTreeMap<RegistrationId, BTreeSet<u16>>,
    /// The group of each rider who is in one.
    groups: BTreeMap<RegistrationId, String>,
    /// The lesson of each rider's latest mark today.
    latest: BTreeMap<RegistrationId, u16>,
}

impl Taught {
    /// Reads the acts of a session in whatever order they came; of counts and marks those of today.
    pub fn of(entries: &[Entry]) -> Self {
        let mut ordered: Vec<&Entry> = entries.iter().collect();
        ordered.sort_by_key(|entry| (entry.act.order(), entry.act.id));
        let mut taught = Self::default();
        for entry in ordered {
            taught.take(entry);
        }
        taught
    }

    fn take(&mut self, entry: &Entry) {
        match (&entry.act.body, entry.rider) {
            (Body::Group { with: Some(instructor) }, Some(rider)) => {
                self.groups.insert(rider, instructor.clone());
            }
            (Body::Group { with: None }, Some(rider)) => {
                self.groups.remove(&rider);
            }
            _ if !entry.is_today => {}
            // A wrong count is loud by itself, and counts nobody.
            (Body::Count { expected, counted, group, .. }, _) if expected == counted => {
                let scope = Scope::of(group.as_ref());
                let groups = &self.groups;
                self.uncounted.retain(|rider, _| !is_in(groups.get(rider), &scope));
            }
            (Body::CheckOut { .. }, Some(rider)) => {
                self.uncounted.remove(&rider);
                self.latest.remove(&rider);
            }
            (_, Some(rider)) => {
                let Some(marking) = marking_of(&entry.act).filter(|marking| marking.mark != Mark::NotTried) else {
                    return;
                };
                let lesson = match marking.what {
                    Marked::Check(code) => code.lesson(),
                    Marked::Lesson(number) => number,
                };
                self.uncounted.entry(rider).or_default().insert(lesson);
                self.latest.insert(rider, lesson);
            }
            _ => {}
        }
    }

    /// The latest other lesson in which riders of a scope were marked and after which their heads were not counted: before
    /// `next` begins they are.
    pub fn uncounted_before(&self, next: u16, scope: &Scope) -> Option<u16> {
        let own = self.uncounted.iter().filter(|(rider, _)| is_in(self.groups.get(rider), scope));
        own.flat_map(|(_, lessons)| lessons.iter().copied()).filter(|lesson| *lesson != next).max()
    }

    /// The lesson that most lately had a mark of a rider of the scope.
    pub fn latest(&self, scope: &Scope) -> Option<u16> {
        self.latest.iter().filter(|(rider, _)| is_in(self.groups.get(rider), scope)).map(|(_, lesson)| *lesson).max()
    }

    /// The scope of somebody's own riders: the group, when anybody is in it, else everybody.
    pub fn scope_of(&self, member: Option<&str>) -> Scope {
        let has_group = |reference: &&str| self.groups.values().any(|with| with == reference);
        member.filter(has_group).map_or(Scope::All, |reference| Scope::Group(reference.to_owned()))
    }
}

fn is_in(group: Option<&String>, scope: &Scope) -> bool {
    match scope {
        Scope::All => true,
        Scope::Group(reference) => group == Some(reference),
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::entry;
    use super::*;
    use crate::domain::acts::CountMoment;
    use crate::domain::curriculum::CheckCode;

    fn mark(check: &str) -> Body {
        let check = CheckCode::parse(check).expect("a check");
        Body::Mark { check, mark: Mark::Meets, reason: None, clears: None }
    }

    fn with(group: &str) -> Body {
        Body::Group { with: Some(group.to_owned()) }
    }

    fn count(counted: i64, group: Option<&str>) -> Body {
        Body::Count { moment: CountMoment::Lesson, expected: 2, counted, group: group.map(str::to_owned) }
    }

    fn uncounted(bodies: &[(Option<i64>, Body)], next: u16, scope: &Scope) -> Option<u16> {
        let entries: Vec<Entry> =
            (1..).zip(bodies).map(|(counter, (rider, body))| entry(counter, *rider, body.clone())).collect();
        Taught::of(&entries).uncounted_before(next, scope)
    }

    #[test]
    fn day_6_heads_are_asked_for_at_each_lesson_change_until_the_same_riders_were_counted_right() {
        let (all, ana) = (Scope::All, Scope::Group("ana".into()));
        for (bodies, next, scope, expected) in [
            (vec![], 1, &all, None),
            (vec![(Some(1), mark("1.1"))], 1, &all, None),
            (vec![(Some(1), mark("1.1"))], 2, &all, Some(1)),
            (vec![(Some(1), mark("1.1")), (None, count(2, None))], 2, &all, None),
            (vec![(Some(1), mark("1.1")), (None, count(1, None))], 2, &all, Some(1)),
            (vec![(Some(1), mark("1.1")), (None, count(2, None)), (Some(1), mark("2.1"))], 3, &all, Some(2)),
            // Back to a lesson that was taught before is a change too.
            (vec![(Some(1), mark("5.1"))], 4, &all, Some(5)),
            // One group's count counts that group alone.
            (vec![(Some(1), with("ana")), (Some(1), mark("1.1")), (None, count(2, Some("ana")))], 2, &all, None),
            (vec![(Some(1), with("ana")), (Some(2), mark("1.1")), (None, count(2, Some("ana")))], 2, &all, Some(1)),
            (vec![(Some(1), with("ana")), (Some(2), mark("1.1"))], 2, &ana, None),
            // Who went home is counted no more.
            (vec![(Some(1), mark("1.1")), (Some(1), Body::CheckOut { adult: "Ingrid".into() })], 2, &all, None),
        ] {
            assert_eq!(uncounted(&bodies, next, scope), expected, "{bodies:?}, then lesson {next}");
        }
    }
}
