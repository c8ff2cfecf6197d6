//! Everything that can be wrong with a curriculum, found in one pass, each fault with its place. Repairs nothing.

use std::collections::BTreeSet;
use std::fmt;

use super::place::{Part, Place, Spot};
use super::settings::{Braces, braces_in, names_in};
use super::{CheckCode, CurriculumDraft, Lesson, LocalText, SkillCheck, Unit};
use crate::domain::words::Lang;

/// One thing wrong with a curriculum.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CurriculumFault {
    /// Versions count from 1.
    #[error("the version must be 1 or more")]
    VersionBelowOne,
    /// There is nothing to teach.
    #[error("the curriculum has no lessons")]
    NoLessons,
    /// A number is zero, used twice or out of order.
    #[error("lesson {number}: lesson numbers must rise from 1")]
    LessonOutOfOrder { number: u16 },
    /// Two lessons could not be told apart.
    #[error("lesson {number} has the title of lesson {other}")]
    TitleTwice { number: u16, other: u16 },
    /// Two checks share a code.
    #[error("skill check {code} stands twice")]
    DuplicateCode { code: CheckCode },
    /// A check stands in a lesson with another number.
    #[error("skill check {code} stands in lesson {lesson}")]
    CodeOfOtherLesson { code: CheckCode, lesson: u16 },
    /// A lesson could not be missed.
    #[error("lesson {lesson} has no required skill check")]
    NoRequiredCheck { lesson: u16 },
    /// A prerequisite that does not exist.
    #[error("lesson {lesson} needs lesson {needs}, which is not there")]
    UnknownPrerequisite { lesson: u16, needs: u16 },
    /// A prerequisite that comes later, or is the lesson itself.
    #[error("lesson {lesson} needs lesson {needs}, which is not earlier")]
    LaterPrerequisite { lesson: u16, needs: u16 },
    /// Nobody could ever ride: the check needs riding and riding needs the check.
    #[error("skill check {code} is needed before any wheel turns but stands in a riding lesson")]
    BeforeWheelsWhileRiding { code: CheckCode },
    /// A check needed before riding cannot be optional.
    #[error("skill check {code} is needed before any wheel turns and must be required")]
    BeforeWheelsOptional { code: CheckCode },
    /// There is riding, but nothing is asked for before it.
    #[error("no skill check is needed before any wheel turns")]
    NothingBeforeWheels,
    /// A text is missing in one language.
    #[error("{0} has no words")]
    EmptyText(Spot),
    /// A text is longer than the pages hold.
    #[error("{spot} has more than {most} letters")]
    TextTooLong { spot: Spot, most: usize },
    /// A text names a figure that is not there.
    #[error("{spot} names the setting {name}, which is not there")]
    UnknownSetting { spot: Spot, name: String },
    /// A brace opens no setting's name, or is not closed.
    #[error("{0} has a brace that names no setting")]
    LooseBrace(Spot),
    /// The two languages would show different figures.
    #[error("{place}, {}: English and Spanish name different settings", part.as_str())]
    OtherSettingsInSpanish { place: Place, part: Part },
    /// The name's ending tells no unit.
    #[error("the setting {name} ends in no known unit")]
    SettingWithoutUnit { name: String },
    /// Zero or below.
    #[error("the setting {name} must be above zero")]
    SettingNotPositive { name: String },
    /// Larger than anything on a riding area.
    #[error("the setting {name} is over the most that is taken, {most}")]
    SettingTooLarge { name: String, most: i64 },
    /// The fewest are more than the most.
    #[error("the setting {least} is over the setting {most}")]
    LeastOverMost { least: String, most: String },
    /// Nobody can tell where the figure comes from.
    #[error("the setting {name} names no source")]
    SettingWithoutSource { name: String },
}

impl CurriculumFault {
    /// Where it stands, so that a page can tell it at its field.
    pub fn spot(&self) -> Spot {
        use CurriculumFault::*;
        match self {
            VersionBelowOne | NoLessons | NothingBeforeWheels => Spot::of(Place::Whole, Part::Checks),
            LessonOutOfOrder { number } | TitleTwice { number, .. } => {
                Spot::text(Place::Lesson(*number), Part::Title, Lang::En)
            }
            NoRequiredCheck { lesson } => Spot::of(Place::Lesson(*lesson), Part::Checks),
            UnknownPrerequisite { lesson, .. } | LaterPrerequisite { lesson, .. } => {
                Spot::of(Place::Lesson(*lesson), Part::Needs)
            }
            DuplicateCode { code } | CodeOfOtherLesson { code, .. } => {
                Spot::text(Place::Check(*code), Part::Title, Lang::En)
            }
            BeforeWheelsWhileRiding { code } => Spot::of(Place::Check(*code), Part::BeforeWheels),
            BeforeWheelsOptional { code } => Spot::of(Place::Check(*code), Part::Required),
            EmptyText(spot) | LooseBrace(spot) | TextTooLong { spot, .. } | UnknownSetting { spot, .. } => spot.clone(),
            OtherSettingsInSpanish { place, part } => Spot::text(place.clone(), *part, Lang::Es),
            SettingWithoutUnit { name } | SettingNotPositive { name } | SettingTooLarge { name, .. } => {
                Spot::of(Place::Setting(name.clone()), Part::Value)
            }
            LeastOverMost { least, .. } => Spot::of(Place::Setting(least.clone()), Part::Value),
            SettingWithoutSource { name } => Spot::of(Place::Setting(name.clone()), Part::Source),
        }
    }
}

/// All faults of one curriculum, one a line when shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CurriculumFaults(pub Vec<CurriculumFault>);

impl fmt::Display for CurriculumFaults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(CurriculumFault::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

impl std::error::Error for CurriculumFaults {}

impl CurriculumDraft {
    /// Every fault of the draft, in the order of the lessons; empty when it may be used.
    pub fn faults(&self) -> Vec<CurriculumFault> {
        let mut faults = Vec::new();
        if self.version < 1 {
            faults.push(CurriculumFault::VersionBelowOne);
        }
        if self.lessons.is_empty() {
            faults.push(CurriculumFault::NoLessons);
        }
        let rides = self.lessons.iter().any(|lesson| lesson.riding);
        if rides && !self.lessons.iter().flat_map(|l| &l.checks).any(|check| check.before_wheels) {
            faults.push(CurriculumFault::NothingBeforeWheels);
        }
        order_faults(self, &mut faults);
        for lesson in &self.lessons {
            prerequisite_faults(self, lesson, &mut faults);
            check_faults(lesson, &mut faults);
            for (place, part, text) in lesson.texts() {
                text_faults(self, &place, part, text, &mut faults);
            }
        }
        setting_faults(self, &mut faults);
        faults
    }
}

impl Lesson {
    /// Every text of the lesson and of its checks, with its place.
    pub fn texts(&self) -> Vec<(Place, Part, &LocalText)> {
        let place = Place::Lesson(self.number);
        let parts = [(Part::Title, &self.title), (Part::Setup, &self.setup), (Part::Caution, &self.caution)];
        let mut texts: Vec<_> = parts.into_iter().map(|(part, text)| (place.clone(), part, text)).collect();
        for check in &self.checks {
            let parts =
                [(Part::Title, &check.title), (Part::LooksLike, &check.looks_like), (Part::NotYet, &check.not_yet)];
            texts.extend(parts.into_iter().map(|(part, text)| (Place::Check(check.code), part, text)));
        }
        texts
    }
}

fn order_faults(draft: &CurriculumDraft, faults: &mut Vec<CurriculumFault>) {
    let mut last = 0;
    for (at, lesson) in draft.lessons.iter().enumerate() {
        if lesson.number <= last {
            faults.push(CurriculumFault::LessonOutOfOrder { number: lesson.number });
        }
        last = last.max(lesson.number);
        let same = |other: &&Lesson| !lesson.title.en.trim().is_empty() && other.title.en == lesson.title.en;
        if let Some(other) = draft.lessons[..at].iter().find(same) {
            faults.push(CurriculumFault::TitleTwice { number: lesson.number, other: other.number });
        }
    }
    let mut seen = BTreeSet::new();
    for check in draft.lessons.iter().flat_map(|lesson| &lesson.checks) {
        if !seen.insert(check.code) {
            faults.push(CurriculumFault::DuplicateCode { code: check.code });
        }
    }
}

fn prerequisite_faults(draft: &CurriculumDraft, lesson: &Lesson, faults: &mut Vec<CurriculumFault>) {
    for needs in lesson.needs.iter().copied() {
        if !draft.lessons.iter().any(|other| other.number == needs) {
            faults.push(CurriculumFault::UnknownPrerequisite { lesson: lesson.number, needs });
        } else if needs >= lesson.number {
            faults.push(CurriculumFault::LaterPrerequisite { lesson: lesson.number, needs });
        }
    }
}

fn check_faults(lesson: &Lesson, faults: &mut Vec<CurriculumFault>) {
    if !lesson.checks.iter().any(|check| check.required) {
        faults.push(CurriculumFault::NoRequiredCheck { lesson: lesson.number });
    }
    for SkillCheck { code, required, before_wheels, .. } in &lesson.checks {
        if code.lesson() != lesson.number {
            faults.push(CurriculumFault::CodeOfOtherLesson { code: *code, lesson: lesson.number });
        }
        if *before_wheels && lesson.riding {
            faults.push(CurriculumFault::BeforeWheelsWhileRiding { code: *code });
        }
        if *before_wheels && !required {
            faults.push(CurriculumFault::BeforeWheelsOptional { code: *code });
        }
    }
}

fn text_faults(
    draft: &CurriculumDraft,
    place: &Place,
    part: Part,
    text: &LocalText,
    faults: &mut Vec<CurriculumFault>,
) {
    let most = part.most_letters();
    for lang in [Lang::En, Lang::Es] {
        let (words, spot) = (text.in_lang(lang), Spot::text(place.clone(), part, lang));
        if words.trim().is_empty() {
            faults.push(CurriculumFault::EmptyText(spot.clone()));
        }
        if words.chars().count() > most {
            faults.push(CurriculumFault::TextTooLong { spot: spot.clone(), most });
        }
        if braces_in(words) == Braces::Loose {
            faults.push(CurriculumFault::LooseBrace(spot.clone()));
        }
        for name in names_in(words) {
            if !draft.settings.contains_key(name) {
                faults.push(CurriculumFault::UnknownSetting { spot: spot.clone(), name: name.to_string() });
            }
        }
    }
    let named = |words: &'_ str| names_in(words).into_iter().map(str::to_string).collect::<BTreeSet<_>>();
    let both_written = !text.en.trim().is_empty() && !text.es.trim().is_empty();
    if both_written && named(&text.en) != named(&text.es) {
        faults.push(CurriculumFault::OtherSettingsInSpanish { place: place.clone(), part });
    }
}

fn setting_faults(draft: &CurriculumDraft, faults: &mut Vec<CurriculumFault>) {
    for (name, setting) in &draft.settings {
        let unit = Unit::of_name(name);
        if unit.is_none() {
            faults.push(CurriculumFault::SettingWithoutUnit { name: name.clone() });
        }
        if setting.value <= 0 {
            faults.push(CurriculumFault::SettingNotPositive { name: name.clone() });
        }
        if let Some(most) = unit.map(Unit::most).filter(|most| setting.value > *most) {
            faults.push(CurriculumFault::SettingTooLarge { name: name.clone(), most });
        }
        if setting.source.trim().is_empty() {
            faults.push(CurriculumFault::SettingWithoutSource { name: name.clone() });
        }
        let place = Place::Setting(name.clone());
        for lang in [Lang::En, Lang::Es] {
            if setting.title.in_lang(lang).trim().is_empty() {
                faults.push(CurriculumFault::EmptyText(Spot::text(place.clone(), Part::Title, lang)));
            }
        }
        let partner = name.replace("_least_", "_most_");
        if draft.settings.get(&partner).is_some_and(|most| most.value < setting.value) {
            faults.push(CurriculumFault::LeastOverMost { least: name.clone(), most: partner });
        }
    }
}
