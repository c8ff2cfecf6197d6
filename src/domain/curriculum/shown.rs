//! A lesson as its pages show it: the words of one language with every figure filled in. Changes nothing.

use super::{CheckCode, CurriculumDraft, Lesson, SkillCheck};
use crate::domain::words::Lang;

/// What is looked for in a check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckShown {
    /// Its code.
    pub code: CheckCode,
    /// A few words.
    pub title: String,
    /// What is seen when it is met.
    pub looks_like: String,
    /// What is seen when more practice is needed.
    pub not_yet: String,
    /// Whether it must be met to complete.
    pub required: bool,
}

/// A lesson in one language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LessonShown {
    /// Its number.
    pub number: u16,
    /// Its name.
    pub title: String,
    /// How the area is laid out.
    pub setup: String,
    /// What the instructor is warned of.
    pub warning: String,
    /// Names of the lessons that come first.
    pub needs: Vec<String>,
    /// What is looked for.
    pub checks: Vec<CheckShown>,
}

impl CurriculumDraft {
    /// A check in one language.
    pub fn check_shown(&self, check: &SkillCheck, lang: Lang) -> CheckShown {
        CheckShown {
            code: check.code,
            title: self.words(&check.title, lang),
            looks_like: self.words(&check.looks_like, lang),
            not_yet: self.words(&check.not_yet, lang),
            required: check.required,
        }
    }

    /// A lesson in one language.
    pub fn lesson_shown(&self, lesson: &Lesson, lang: Lang) -> LessonShown {
        let name = |number: u16| {
            let needed = self.lesson(number)?;
            Some(format!("{}. {}", needed.number, needed.title.in_lang(lang)))
        };
        LessonShown {
            number: lesson.number,
            title: self.words(&lesson.title, lang),
            setup: self.words(&lesson.setup, lang),
            warning: self.words(&lesson.caution, lang),
            needs: self.prerequisites(lesson).into_iter().filter_map(name).collect(),
            checks: lesson.checks.iter().map(|check| self.check_shown(check, lang)).collect(),
        }
    }
}
