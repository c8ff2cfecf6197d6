//! Everything that can be wrong with a curriculum, found in one pass. Repairs nothing.

use std::collections::BTreeSet;
use std::fmt;

use super::settings::names_in;
use super::{CheckCode, CurriculumDraft, Lesson, LocalText, SkillCheck, Unit};
use crate::domain::words::{Lang, Word};

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
    #[error("{place} has no words in {}", lang.as_str())]
    EmptyText { place: String, lang: Lang },
    /// A text names a figure that is not there.
    #[error("{place} names the setting {name}, which is not there")]
    UnknownSetting { place: String, name: String },
    /// The name's ending tells no unit.
    #[error("the setting {name} ends in no known unit")]
    SettingWithoutUnit { name: String },
    /// Zero or below.
    #[error("the setting {name} must be above zero")]
    SettingNotPositive { name: String },
    /// Nobody can tell where the figure comes from.
    #[error("the setting {name} names no source")]
    SettingWithoutSource { name: String },
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

/// Every fault of the draft; empty when it may be used.
pub(super) fn faults_of(draft: &CurriculumDraft) -> Vec<CurriculumFault> {
    let mut faults = Vec::new();
    if draft.version < 1 {
        faults.push(CurriculumFault::VersionBelowOne);
    }
    if draft.lessons.is_empty() {
        faults.push(CurriculumFault::NoLessons);
    }
    order_faults(draft, &mut faults);
    for lesson in &draft.lessons {
        prerequisite_faults(draft, lesson, &mut faults);
        check_faults(lesson, &mut faults);
        text_faults(draft, lesson, &mut faults);
    }
    let rides = draft.lessons.iter().any(|lesson| lesson.riding);
    if rides && !draft.lessons.iter().flat_map(|l| &l.checks).any(|check| check.before_wheels) {
        faults.push(CurriculumFault::NothingBeforeWheels);
    }
    setting_faults(draft, &mut faults);
    faults
}

fn order_faults(draft: &CurriculumDraft, faults: &mut Vec<CurriculumFault>) {
    let mut last = 0;
    for lesson in &draft.lessons {
        if lesson.number <= last {
            faults.push(CurriculumFault::LessonOutOfOrder { number: lesson.number });
        }
        last = last.max(lesson.number);
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

fn text_faults(draft: &CurriculumDraft, lesson: &Lesson, faults: &mut Vec<CurriculumFault>) {
    let place = format!("lesson {}", lesson.number);
    let mut texts = vec![(place.clone(), &lesson.title), (place.clone(), &lesson.setup), (place, &lesson.caution)];
    for check in &lesson.checks {
        let place = format!("skill check {}", check.code);
        texts.extend([&check.title, &check.looks_like, &check.not_yet].map(|text| (place.clone(), text)));
    }
    for (place, text) in texts {
        empty_faults(&place, text, faults);
        for name in [&text.en, &text.es].into_iter().flat_map(|words| names_in(words)) {
            if !draft.settings.contains_key(name) {
                faults.push(CurriculumFault::UnknownSetting { place: place.clone(), name: name.to_string() });
            }
        }
    }
}

fn empty_faults(place: &str, text: &LocalText, faults: &mut Vec<CurriculumFault>) {
    for lang in [Lang::En, Lang::Es] {
        if text.in_lang(lang).trim().is_empty() {
            faults.push(CurriculumFault::EmptyText { place: place.to_string(), lang });
        }
    }
}

fn setting_faults(draft: &CurriculumDraft, faults: &mut Vec<CurriculumFault>) {
    for (name, setting) in &draft.settings {
        if Unit::of_name(name).is_none() {
            faults.push(CurriculumFault::SettingWithoutUnit { name: name.clone() });
        }
        if setting.value <= 0 {
            faults.push(CurriculumFault::SettingNotPositive { name: name.clone() });
        }
        if setting.source.trim().is_empty() {
            faults.push(CurriculumFault::SettingWithoutSource { name: name.clone() });
        }
        empty_faults(&format!("the setting {name}"), &setting.title, faults);
    }
}
