//! A day list while it is edited: points added, moved and taken out, and their words as settings beside what ships.

use super::{Point, PointKey, PointListDraft, PointText};
use crate::domain::curriculum::{LocalText, SourceMark, Step};
use crate::domain::rule_setting::{RuleSetting, RuleUnit, RuleValue, SettingFault};
use crate::domain::words::Word;

/// The most letters of one text.
const MOST_LETTERS: usize = 300;
/// The most points that one page of the morning holds.
const MOST_POINTS: usize = 40;

impl PointText {
    /// The key of the setting that holds this text of a point.
    pub fn setting(self, point: &PointKey) -> String {
        format!("{}.{}", point.0, self.as_str())
    }
}

impl PointListDraft {
    fn place(&self, key: &PointKey) -> Option<usize> {
        self.points.iter().position(|point| point.key == *key)
    }

    /// An empty point at the end; its key, or nothing when the list is full.
    pub fn add_point(&mut self) -> Option<PointKey> {
        if self.points.len() >= MOST_POINTS {
            return None;
        }
        let own = |number: u32| PointKey(format!("own_{number}"));
        let key = (1..).map(own).find(|key| self.place(key).is_none())?;
        self.points.push(Point { key: key.clone(), title: LocalText::default(), look_for: LocalText::default() });
        Some(key)
    }

    /// A point one place on; at the end of the list it stays. False without such a point.
    pub fn move_point(&mut self, key: &PointKey, step: Step) -> bool {
        let Some(at) = self.place(key) else { return false };
        if let Some(to) = step.neighbour(at, self.points.len()) {
            self.points.swap(at, to);
        }
        true
    }

    /// A point out. False without such a point.
    pub fn remove_point(&mut self, key: &PointKey) -> bool {
        self.place(key).map(|at| self.points.remove(at)).is_some()
    }

    /// The words of every point, in the order of the list.
    pub fn settings(&self, shipped: &PointListDraft) -> Vec<RuleSetting> {
        let mut all = Vec::new();
        for (point, number) in self.points.iter().zip(1..) {
            let first = shipped.points.iter().find(|one| one.key == point.key);
            for which in PointText::ALL {
                let (label, hint) = match which {
                    PointText::Title => ("Name of point", "A few words. The lead taps it right or not right."),
                    PointText::LookFor => {
                        ("What is looked for at point", "One or two short sentences, read in the sun.")
                    }
                };
                all.push(RuleSetting {
                    key: which.setting(&point.key),
                    group: "Words of the points".into(),
                    label: format!("{label} {number}"),
                    hint: hint.into(),
                    unit: RuleUnit::Words(MOST_LETTERS),
                    now: RuleValue::Words(point.text(*which).clone()),
                    shipped: first.map(|one| RuleValue::Words(one.text(*which).clone())),
                    bounds: (0, 0),
                    may_be_open: false,
                    mark: first.map(|_| SourceMark::C),
                    source: first.map(|_| "Common practice".to_owned()).unwrap_or_default(),
                });
            }
        }
        all
    }

    /// Sets one text of one point.
    ///
    /// # Errors
    /// `Unknown` for a point or a text that there is none of.
    pub fn set(&mut self, key: &str, words: LocalText) -> Result<(), SettingFault> {
        let (point, which) = key.rsplit_once('.').ok_or(SettingFault::Unknown)?;
        let which = PointText::from_word(which).ok_or(SettingFault::Unknown)?;
        let found = self.points.iter_mut().find(|one| one.key.0 == point).ok_or(SettingFault::Unknown)?;
        match which {
            PointText::Title => found.title = words,
            PointText::LookFor => found.look_for = words,
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::PointListFault;
    use super::*;

    fn shipped() -> PointListDraft {
        toml::from_str(include_str!("../../../seed/day_list.toml")).expect("a draft")
    }

    fn words(en: &str, es: &str) -> LocalText {
        LocalText { en: en.into(), es: es.into() }
    }

    #[test]
    fn saturday_1_a_point_is_added_written_moved_and_taken_out() {
        let mut list = shipped();
        let key = list.add_point().expect("room for one more");
        let lacks = |which| PointListFault::Words(key.clone(), which);
        assert_eq!(list.faults(), [lacks(PointText::Title), lacks(PointText::LookFor)]);
        list.set(&PointText::Title.setting(&key), words("Bees", "Abejas")).unwrap();
        list.set(&PointText::LookFor.setting(&key), words("No nest by the path.", "Sin nidos.")).unwrap();
        assert_eq!(list.faults(), []);
        assert!(list.move_point(&key, Step::Earlier) && list.move_point(&key, Step::Later));
        assert!(list.move_point(&key, Step::Later), "the last point stays the last");
        assert_eq!(list.points.last().map(|point| point.key.clone()), Some(key.clone()));
        assert!(list.remove_point(&key) && !list.remove_point(&key) && !list.move_point(&key, Step::Later));
        assert_eq!(list, shipped());
    }

    #[test]
    fn saturday_1_a_list_is_full_at_some_length_and_knows_no_other_text() {
        let mut list = shipped();
        let added = std::iter::from_fn(|| list.add_point()).count();
        assert_eq!(added + shipped().points.len(), MOST_POINTS);
        for unknown in ["holes", "holes.colour", "moon.title", "", "."] {
            assert_eq!(list.set(unknown, words("a", "b")), Err(SettingFault::Unknown), "{unknown}");
        }
    }
}
