//! The books of rules that a program keeps in versions: curriculum, fit rules, lists of points, cautions, consents. One book while
//! it is edited, with its settings and its faults. Must not know where drafts are kept or who edits.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::cautions::{Caution, CautionKey, Cautions, MissingCautions};
use super::consent::{ConsentFault, ConsentKind, ConsentPair};
use super::curriculum::{CurriculumDraft, CurriculumFault, LocalText, Setting, SourceMark, Unit};
use super::fit::FitRules;
use super::point_list::{PointListDraft, PointListFault};
use super::rule_setting::{RuleSetting, RuleUnit, RuleValue, SettingFault};
use super::words::{Lang, word_list};

word_list! {
    /// A book of rules.
    Book {
        /// Lessons, skill checks and the figures of the area.
        Curriculum = "curriculum",
        /// Criteria, limits and categories of machines.
        Fit = "fit",
        /// What is looked at on the riding area before the first engine starts.
        DayList = "day_list",
        /// What is looked at on each machine before it is ridden.
        LookOver = "look_over",
        /// What is looked at on the helmet on a rider's head.
        HelmetCheck = "helmet_check",
        /// What each kind of page always says.
        Cautions = "cautions",
        /// The consent to ride, in both languages.
        ConsentRide = "consent_ride",
        /// The consent to pictures, in both languages.
        ConsentPhoto = "consent_photo",
    }
}

impl ConsentKind {
    /// The book that holds this consent.
    pub fn book(self) -> Book {
        match self {
            ConsentKind::Ride => Book::ConsentRide,
            ConsentKind::Photo => Book::ConsentPhoto,
        }
    }
}

/// A book open for editing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OpenBook {
    /// The curriculum; may have faults while it is a draft.
    Curriculum(CurriculumDraft),
    /// The fit rules; sound at every step.
    Fit(FitRules),
    /// A list of points, such as the day list; may have faults while it is a draft.
    Points(PointListDraft),
    /// The cautions; none is ever missing.
    Cautions(Cautions),
    /// A consent text; a clause may lack its words while it is a draft.
    Consent(Box<ConsentPair>),
}

/// One thing that keeps a book from being published.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BookFault {
    /// Of a curriculum.
    Curriculum(CurriculumFault),
    /// Of a list of points.
    Points(PointListFault),
    /// Of a consent text.
    Consent(ConsentFault),
}

/// The text is no book of that kind.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a {book} that cannot be read: {why}")]
pub struct UnreadableBook {
    book: Book,
    why: String,
}

impl OpenBook {
    /// Reads the JSON of a version or a draft.
    ///
    /// # Errors
    /// It is no book of that kind.
    pub fn read(book: Book, json: &str) -> Result<OpenBook, UnreadableBook> {
        let read = match book {
            Book::Curriculum => serde_json::from_str(json).map(OpenBook::Curriculum),
            Book::Fit => serde_json::from_str(json).map(OpenBook::Fit),
            Book::DayList | Book::LookOver | Book::HelmetCheck => serde_json::from_str(json).map(OpenBook::Points),
            Book::Cautions => serde_json::from_str(json).map(OpenBook::Cautions),
            Book::ConsentRide | Book::ConsentPhoto => serde_json::from_str(json).map(OpenBook::Consent),
        };
        read.map_err(|why| UnreadableBook { book, why: why.to_string() })
    }

    /// The book as JSON.
    pub fn json(&self) -> String {
        let json = match self {
            OpenBook::Curriculum(draft) => serde_json::to_string(draft),
            OpenBook::Fit(rules) => serde_json::to_string(rules),
            OpenBook::Points(list) => serde_json::to_string(list),
            OpenBook::Cautions(cautions) => serde_json::to_string(cautions),
            OpenBook::Consent(pair) => serde_json::to_string(pair),
        };
        json.expect("rules are plain values")
    }

    /// The book as a version that starts on a day.
    ///
    /// # Errors
    /// What stands in the way.
    pub fn finished(mut self, version: i64, starts_on: NaiveDate) -> Result<String, Vec<BookFault>> {
        match &mut self {
            OpenBook::Curriculum(draft) => (draft.version, draft.starts_on) = (version, starts_on),
            OpenBook::Points(list) => (list.version, list.starts_on) = (version, starts_on),
            OpenBook::Fit(rules) => rules.version = u32::try_from(version).unwrap_or(u32::MAX),
            // A consent text has no start day; its approval opens it.
            OpenBook::Cautions(_) | OpenBook::Consent(_) => {}
        }
        match self.faults() {
            faults if faults.is_empty() => Ok(self.json()),
            faults => Err(faults),
        }
    }

    /// What still stands in the way of publishing.
    pub fn faults(&self) -> Vec<BookFault> {
        match self {
            OpenBook::Curriculum(draft) => draft.faults().into_iter().map(BookFault::Curriculum).collect(),
            OpenBook::Points(list) => list.faults().into_iter().map(BookFault::Points).collect(),
            OpenBook::Consent(pair) => pair.faults().into_iter().map(BookFault::Consent).collect(),
            OpenBook::Fit(_) | OpenBook::Cautions(_) => Vec::new(),
        }
    }

    /// What an administrator may set, in the order of the page. `shipped` is the same book as it ships.
    pub fn settings(&self, shipped: &OpenBook) -> Vec<RuleSetting> {
        match (self, shipped) {
            (OpenBook::Curriculum(draft), OpenBook::Curriculum(shipped)) => area_settings(draft, shipped),
            (OpenBook::Fit(rules), OpenBook::Fit(shipped)) => rules.settings(shipped),
            (OpenBook::Points(now), OpenBook::Points(shipped)) => now.settings(shipped),
            (OpenBook::Cautions(now), OpenBook::Cautions(shipped)) => caution_settings(now, shipped),
            (OpenBook::Consent(now), OpenBook::Consent(shipped)) => now.settings(shipped),
            _ => Vec::new(),
        }
    }

    /// Sets one value, already held to its bounds.
    ///
    /// # Errors
    /// Why the book would not stand with it.
    pub fn set(&mut self, key: &str, value: RuleValue) -> Result<(), SettingFault> {
        match (self, value) {
            (OpenBook::Curriculum(draft), RuleValue::Number(number)) => set_figure(draft, key, number),
            (OpenBook::Fit(rules), value) => rules.set(key, value),
            (OpenBook::Points(list), RuleValue::Words(text)) => list.set(key, text),
            (OpenBook::Cautions(cautions), RuleValue::Words(text)) => set_caution(cautions, key, text),
            (OpenBook::Consent(pair), RuleValue::Words(text)) => pair.set(key, text),
            _ => Err(SettingFault::Unknown),
        }
    }
}

fn area_settings(draft: &CurriculumDraft, shipped: &CurriculumDraft) -> Vec<RuleSetting> {
    let one = |(name, setting): (&String, &Setting)| {
        let (unit, bounds) = figure_unit(Unit::of_name(name)?);
        Some(RuleSetting {
            key: name.clone(),
            group: "Figures of the riding area".into(),
            label: setting.title.en.clone(),
            hint: format!("Lesson texts name it as {{{name}}}."),
            unit,
            now: RuleValue::Number(setting.value),
            shipped: shipped.settings.get(name).map(|first| RuleValue::Number(first.value)),
            bounds,
            may_be_open: false,
            mark: Some(setting.mark),
            source: setting.source.clone(),
        })
    };
    draft.settings.iter().filter_map(one).collect()
}

fn figure_unit(unit: Unit) -> (RuleUnit, (i64, i64)) {
    let rule = match unit {
        Unit::Micrometres => RuleUnit::GroundLength,
        Unit::MilesPerHour => RuleUnit::MilesPerHour,
        Unit::TenthDegrees => RuleUnit::TenthDegrees,
        Unit::Permille => RuleUnit::Permille,
        Unit::Seconds => RuleUnit::Count("second", "seconds"),
        Unit::Count => RuleUnit::Count("", ""),
    };
    (rule, (if unit == Unit::Micrometres { 10_000 } else { 1 }, unit.most()))
}

/// A figure that the program chose itself is common practice of its own, whatever the shipped one rested on.
fn set_figure(draft: &mut CurriculumDraft, key: &str, number: i64) -> Result<(), SettingFault> {
    let setting = draft.settings.get_mut(key).ok_or(SettingFault::Unknown)?;
    if setting.value != number {
        *setting = Setting {
            value: number,
            title: setting.title.clone(),
            source: "Set by the program".to_owned(),
            mark: SourceMark::C,
        };
    }
    Ok(())
}

/// The most letters of a caution.
const MOST_CAUTION: usize = 400;

fn caution_settings(now: &Cautions, shipped: &Cautions) -> Vec<RuleSetting> {
    let words = |caution: &Caution| RuleValue::Words(LocalText { en: caution.en.clone(), es: caution.es.clone() });
    let one = |key: CautionKey| RuleSetting {
        key: key.as_str().to_owned(),
        group: "What pages always say".into(),
        label: key.label().to_owned(),
        hint: "It may be worded anew. It cannot be left out.".into(),
        unit: RuleUnit::Words(MOST_CAUTION),
        now: words(now.of(key)),
        shipped: Some(words(shipped.of(key))),
        bounds: (0, 0),
        may_be_open: false,
        mark: None,
        source: now.of(key).source.clone().unwrap_or_default(),
    };
    CautionKey::ALL.into_iter().map(one).collect()
}

fn set_caution(cautions: &mut Cautions, key: &str, text: LocalText) -> Result<(), SettingFault> {
    let key = CautionKey::ALL.into_iter().find(|one| one.as_str() == key).ok_or(SettingFault::Unknown)?;
    let mut map: BTreeMap<CautionKey, Caution> = cautions.clone().into();
    let source = cautions.of(key).source.clone();
    map.insert(key, Caution { en: text.en, es: text.es, source });
    *cautions = Cautions::try_from(map).map_err(|MissingCautions(_)| SettingFault::MissingIn(Lang::Es))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::curriculum::Curriculum;
    use crate::domain::words::Word;

    fn shipped(book: Book) -> OpenBook {
        match book {
            Book::Curriculum => {
                let read: Curriculum = toml::from_str(include_str!("../../seed/curriculum.toml")).unwrap();
                OpenBook::Curriculum(read.into())
            }
            Book::Fit => OpenBook::Fit(toml::from_str(include_str!("../../seed/fit.toml")).unwrap()),
            Book::DayList => OpenBook::Points(toml::from_str(include_str!("../../seed/day_list.toml")).unwrap()),
            Book::LookOver => OpenBook::Points(toml::from_str(include_str!("../../seed/look_over.toml")).unwrap()),
            Book::HelmetCheck => {
                OpenBook::Points(toml::from_str(include_str!("../../seed/helmet_check.toml")).unwrap())
            }
            Book::Cautions => OpenBook::Cautions(toml::from_str(include_str!("../../seed/cautions.toml")).unwrap()),
            Book::ConsentRide | Book::ConsentPhoto => OpenBook::Consent(Box::new(ConsentPair {
                en: toml::from_str(include_str!("../../seed/consents/ride.en.toml")).unwrap(),
                es: toml::from_str(include_str!("../../seed/consents/ride.es.toml")).unwrap(),
            })),
        }
    }

    /// The marks of the fact sheet: M, C and R2 are settings, what was read (R) is fixed.
    #[test]
    fn saturday_2_every_number_marked_memory_practice_or_second_hand_is_a_setting_and_none_that_was_read() {
        let OpenBook::Fit(rules) = shipped(Book::Fit) else { panic!() };
        let keys: Vec<String> = rules.settings(&rules).into_iter().map(|setting| setting.key).collect();
        for criterion in &rules.criteria {
            let Some(number) = criterion.number.as_ref().filter(|number| number.limit.is_some()) else { continue };
            let offered = keys.iter().any(|key| key.starts_with(&format!("{}.at_", criterion.key.as_str())));
            assert_eq!(offered, number.mark != SourceMark::R, "{}", criterion.key.as_str());
        }
        for category in ["Y-6+", "T", "U"] {
            assert!(keys.contains(&format!("{category}.least_age")), "{category}: {keys:?}");
        }
        assert!(keys.contains(&"T.limited_mph".into()));
        let OpenBook::Curriculum(draft) = shipped(Book::Curriculum) else { panic!() };
        let offered = OpenBook::Curriculum(draft.clone()).settings(&OpenBook::Curriculum(draft.clone()));
        assert_eq!(offered.len(), draft.settings.len());
    }

    #[test]
    fn saturday_2_every_setting_of_every_book_says_its_source_and_saving_it_unchanged_changes_nothing() {
        for book in Book::ALL {
            let (before, mut open) = (shipped(*book), shipped(*book));
            for setting in before.settings(&before) {
                assert!(setting.is_as_shipped(), "{}", setting.key);
                assert!(setting.mark.is_none() || !setting.source.is_empty(), "{} names no source", setting.key);
                let value = match &setting.now {
                    RuleValue::Words(text) => setting.read(&text.en, &text.es),
                    other => setting.read(&setting.typed(other), ""),
                };
                assert_eq!(value.as_ref(), Ok(&setting.now), "{}", setting.key);
                open.set(&setting.key, setting.now.clone())
                    .unwrap_or_else(|fault| panic!("{}: {fault:?}", setting.key));
            }
            assert_eq!(open, before);
            assert_eq!(OpenBook::read(*book, &open.json()), Ok(before));
        }
    }

    #[test]
    fn saturday_2_a_figure_that_is_changed_no_longer_carries_the_shipped_source() {
        let mut open = shipped(Book::Curriculum);
        open.set("following_gap_seconds", RuleValue::Number(4)).unwrap();
        let OpenBook::Curriculum(draft) = open else { panic!() };
        let setting = &draft.settings["following_gap_seconds"];
        assert_eq!((setting.mark, setting.source.as_str()), (SourceMark::C, "Set by the program"));
    }

    #[test]
    fn saturday_2_no_caution_can_be_left_without_words() {
        let mut open = shipped(Book::Cautions);
        let before = open.clone();
        let text = LocalText { en: "Riding can kill.".into(), es: " ".into() };
        assert_eq!(open.set("riding", RuleValue::Words(text)), Err(SettingFault::MissingIn(Lang::Es)));
        assert_eq!(open.set("moon", RuleValue::Words(LocalText::default())), Err(SettingFault::Unknown));
        assert_eq!(open, before);
    }
}
