//! A list of points that are looked at: data, by version, without faults. One list is for the area before the first engine
//! starts, one for each machine before it is ridden, one for each helmet on a head. Knows no point by name and not how many there are; what was looked at
//! on a day is worked out in `session_day`.

mod editing;

use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::curriculum::LocalText;
use super::words::{Lang, Word, word_list};

word_list! {
    /// What a list of points is for.
    PointListKind {
        /// The riding area, before the first engine starts.
        DayList = "day_list",
        /// A machine, before it is ridden.
        LookOver = "look_over",
        /// The helmet on a rider's head, before riding.
        HelmetCheck = "helmet_check",
    }
}

/// The name of a point within its list, as a form carries it: small letters, digits and underscores.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PointKey(pub String);

impl PointKey {
    fn is_plain(&self) -> bool {
        let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_';
        !self.0.is_empty() && self.0.len() <= 40 && self.0.bytes().all(plain)
    }
}

/// One point of the list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Its name within the list.
    pub key: PointKey,
    /// A few words.
    pub title: LocalText,
    /// What is looked for.
    pub look_for: LocalText,
}

/// A list as written in a file, not yet looked over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PointListDraft {
    /// Rises with each edition.
    pub version: i64,
    /// First day on which new sessions use this version.
    pub starts_on: NaiveDate,
    /// The points in order.
    pub points: Vec<Point>,
}

/// A list without faults.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "PointListDraft", into = "PointListDraft")]
pub struct PointList(PointListDraft);

/// What is wrong with a list.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PointListFault {
    /// A list that asks for nothing would let riding begin on a signature alone.
    #[error("the list has no point")]
    Empty,
    /// Not a plain name, or the same name twice.
    #[error("`{}` is no plain name of a point, or stands twice", .0.0)]
    Key(PointKey),
    /// A text is missing in a language: the point and which of its texts.
    #[error("point `{}` lacks words: {}", .0.0, .1.as_str())]
    Words(PointKey, PointText),
}

word_list! {
    /// One of the two texts of a point.
    PointText {
        /// A few words.
        Title = "title",
        /// What is looked for.
        LookFor = "look_for",
    }
}

impl Point {
    /// One of its texts.
    pub fn text(&self, which: PointText) -> &LocalText {
        match which {
            PointText::Title => &self.title,
            PointText::LookFor => &self.look_for,
        }
    }
}

impl PointListDraft {
    /// Everything that keeps it from being a list.
    pub fn faults(&self) -> Vec<PointListFault> {
        let mut faults = Vec::new();
        if self.points.is_empty() {
            faults.push(PointListFault::Empty);
        }
        let mut seen = BTreeSet::new();
        for point in &self.points {
            if !point.key.is_plain() || !seen.insert(&point.key) {
                faults.push(PointListFault::Key(point.key.clone()));
            }
            for which in PointText::ALL {
                let text = point.text(*which);
                if text.en.trim().is_empty() || text.es.trim().is_empty() {
                    faults.push(PointListFault::Words(point.key.clone(), *which));
                }
            }
        }
        faults
    }
}

impl TryFrom<PointListDraft> for PointList {
    type Error = PointListFault;
    fn try_from(draft: PointListDraft) -> Result<Self, PointListFault> {
        match draft.faults().into_iter().next() {
            Some(fault) => Err(fault),
            None => Ok(Self(draft)),
        }
    }
}

impl From<PointList> for PointListDraft {
    fn from(list: PointList) -> Self {
        list.0
    }
}

impl PointList {
    /// The edition.
    pub fn version(&self) -> i64 {
        self.0.version
    }

    /// First day on which new sessions use it.
    pub fn starts_on(&self) -> NaiveDate {
        self.0.starts_on
    }

    /// The points in order.
    pub fn points(&self) -> &[Point] {
        &self.0.points
    }

    /// The point of this name.
    pub fn point(&self, key: &PointKey) -> Option<&Point> {
        self.0.points.iter().find(|point| point.key == *key)
    }

    /// Whether the list has a point of this name.
    pub fn has(&self, key: &PointKey) -> bool {
        self.point(key).is_some()
    }

    /// The titles of some points in the order of the list, as staff pages write them.
    pub fn titles(&self, keys: &BTreeSet<PointKey>) -> Vec<String> {
        let named = self.0.points.iter().filter(|point| keys.contains(&point.key));
        named.map(|point| point.title.in_lang(Lang::En).to_owned()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHIPPED: &str = include_str!("../../seed/day_list.toml");

    /// The points that the program decided on: holes, wires, water, barrier, fire rule, first-aid kit, extinguisher,
    /// fuel away. Common practice, no source.
    #[test]
    fn saturday_1_the_list_that_ships_has_every_point_that_the_program_decided_on() {
        let list: PointList = toml::from_str(SHIPPED).expect("the shipped list is sound");
        let decided = ["holes", "wires", "water", "barrier", "fire_rule", "first_aid_kit", "extinguisher", "fuel_away"];
        for key in decided {
            assert!(list.has(&PointKey(key.into())), "{key}");
        }
        let stored = serde_json::to_string(&list).expect("plain values");
        assert_eq!(serde_json::from_str::<PointList>(&stored).expect("it reads back"), list);
    }

    #[test]
    fn saturday_1_a_list_with_a_fault_is_no_list() {
        let draft: PointListDraft = toml::from_str(SHIPPED).expect("a draft");
        let key = |name: &str| PointKey(name.into());
        let with = |change: &dyn Fn(&mut PointListDraft)| {
            let mut changed = draft.clone();
            change(&mut changed);
            PointList::try_from(changed)
        };
        assert_eq!(with(&|list| list.points.clear()), Err(PointListFault::Empty));
        assert_eq!(
            with(&|list| list.points[1].key = list.points[0].key.clone()),
            Err(PointListFault::Key(key("holes")))
        );
        assert_eq!(with(&|list| list.points[0].key.0 = "<b>".into()), Err(PointListFault::Key(key("<b>"))));
        assert_eq!(
            with(&|list| list.points[0].look_for.es = " ".into()),
            Err(PointListFault::Words(key("holes"), PointText::LookFor))
        );
    }
}
