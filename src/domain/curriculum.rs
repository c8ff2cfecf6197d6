//! The curriculum: lessons, what is looked for in each, and what must come before what.
//! Knows no lesson by number or name and not how many there are: that is data, versioned by `version` and `starts_on`.
//! Reads no file; the text is parsed above (`toml::from_str::<Curriculum>`) and kept in the database as JSON.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::domain::words::Lang;

mod editing;
mod faults;
mod place;
mod settings;
mod setups;
mod shown;
#[cfg(test)]
mod tests;

pub use editing::Step;
pub use faults::{CurriculumFault, CurriculumFaults};
pub use place::{Part, Place, Spot};
pub use settings::{Setting, SourceMark, Unit};
pub use setups::Setup;
pub use shown::{CheckShown, LessonShown};

/// One text in every language the program speaks.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LocalText {
    /// English words.
    pub en: String,
    /// Spanish words.
    pub es: String,
}

impl LocalText {
    /// The words in one language.
    pub fn in_lang(&self, lang: Lang) -> &str {
        match lang {
            Lang::En => &self.en,
            Lang::Es => &self.es,
        }
    }
}

/// The code of a skill check, "6.2": the number of its lesson and its own number within it. Ordered by number, so 4.10 follows 4.9.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct CheckCode {
    lesson: u16,
    check: u16,
}

impl CheckCode {
    /// Reads "6.2". Signs, spaces, zeros in front and anything but two whole numbers from 1 are refused, so one check has one spelling.
    pub fn parse(text: &str) -> Result<CheckCode, BadCheckCode> {
        let bad = || BadCheckCode(text.chars().take(20).collect());
        let (lesson, check) = text.split_once('.').ok_or_else(bad)?;
        let number = |part: &str| match part.parse::<u16>() {
            Ok(n) if n > 0 && n.to_string() == part => Ok(n),
            _ => Err(bad()),
        };
        Ok(CheckCode { lesson: number(lesson)?, check: number(check)? })
    }

    /// The number of the lesson this check belongs to.
    pub fn lesson(self) -> u16 {
        self.lesson
    }
}

impl fmt::Display for CheckCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", self.lesson, self.check)
    }
}

impl TryFrom<String> for CheckCode {
    type Error = BadCheckCode;
    fn try_from(text: String) -> Result<CheckCode, BadCheckCode> {
        CheckCode::parse(&text)
    }
}

impl From<CheckCode> for String {
    fn from(code: CheckCode) -> String {
        code.to_string()
    }
}

/// A text that is no code of a skill check; holds its first 20 characters.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no skill check code such as 6.2")]
pub struct BadCheckCode(pub String);

/// One thing the instructor looks for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkillCheck {
    /// Its code, unique within the curriculum.
    pub code: CheckCode,
    /// A few words, as on the roster.
    pub title: LocalText,
    /// What is seen when the rider meets it.
    pub looks_like: LocalText,
    /// What is seen when more practice is needed.
    pub not_yet: LocalText,
    /// Must be met to complete the course.
    pub required: bool,
    /// Must be met before any wheel turns.
    #[serde(default)]
    pub before_wheels: bool,
}

/// One lesson with its skill checks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lesson {
    /// Its number; numbers rise through the curriculum.
    pub number: u16,
    /// Its name.
    pub title: LocalText,
    /// Whether machines move in it.
    pub riding: bool,
    /// Numbers of earlier lessons whose required checks must be met first. Their own needs are needed too.
    #[serde(default)]
    pub needs: Vec<u16>,
    /// Whether the required checks of every earlier lesson must be met first.
    #[serde(default)]
    pub needs_all_before: bool,
    /// Whether one tap may mark the whole lesson.
    pub whole_lesson_marks: bool,
    /// How the area is laid out. `{name}` stands for a setting; `Curriculum::words` fills it in.
    pub setup: LocalText,
    /// What the instructor is warned of.
    pub caution: LocalText,
    /// What is looked for, in order.
    pub checks: Vec<SkillCheck>,
}

/// A curriculum as written in a file, not yet looked over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CurriculumDraft {
    /// Rises with each edition.
    pub version: i64,
    /// First day on which new sessions use this version.
    pub starts_on: NaiveDate,
    /// Lessons in order.
    pub lessons: Vec<Lesson>,
    /// Named figures that the texts show; the name's ending tells the unit.
    pub settings: BTreeMap<String, Setting>,
}

/// A curriculum without faults. Made only from a draft, by `try_from` or by serde, which tell every fault at once.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "CurriculumDraft", into = "CurriculumDraft")]
pub struct Curriculum(CurriculumDraft);

impl TryFrom<CurriculumDraft> for Curriculum {
    type Error = CurriculumFaults;
    fn try_from(draft: CurriculumDraft) -> Result<Curriculum, CurriculumFaults> {
        let faults = draft.faults();
        if faults.is_empty() { Ok(Curriculum(draft)) } else { Err(CurriculumFaults(faults)) }
    }
}

impl From<Curriculum> for CurriculumDraft {
    fn from(curriculum: Curriculum) -> CurriculumDraft {
        curriculum.0
    }
}

impl Curriculum {
    /// The edition.
    pub fn version(&self) -> i64 {
        self.0.version
    }

    /// First day on which new sessions use this version.
    pub fn starts_on(&self) -> NaiveDate {
        self.0.starts_on
    }

    /// All lessons in order.
    pub fn lessons(&self) -> &[Lesson] {
        &self.0.lessons
    }

    /// The named figures.
    pub fn settings(&self) -> &BTreeMap<String, Setting> {
        &self.0.settings
    }

    /// The lesson with this number.
    pub fn lesson(&self, number: u16) -> Option<&Lesson> {
        self.0.lessons.iter().find(|lesson| lesson.number == number)
    }

    /// The skill check with this code.
    pub fn check(&self, code: &CheckCode) -> Option<&SkillCheck> {
        self.lesson_of(code)?.checks.iter().find(|check| check.code == *code)
    }

    /// The lesson that holds this check; `None` when the curriculum has no such check.
    pub fn lesson_of(&self, code: &CheckCode) -> Option<&Lesson> {
        self.lesson(code.lesson()).filter(|lesson| lesson.checks.iter().any(|check| check.code == *code))
    }

    /// Every skill check in order of lesson.
    pub fn checks(&self) -> impl Iterator<Item = &SkillCheck> {
        self.0.lessons.iter().flat_map(|lesson| &lesson.checks)
    }

    /// The checks that must be met to complete the course.
    pub fn required_checks(&self) -> impl Iterator<Item = &SkillCheck> {
        self.checks().filter(|check| check.required)
    }

    /// The checks that must be met before any wheel turns.
    pub fn before_wheels(&self) -> impl Iterator<Item = &SkillCheck> {
        self.checks().filter(|check| check.before_wheels)
    }

    /// The lesson after this one.
    pub fn next(&self, number: u16) -> Option<&Lesson> {
        self.0.lessons.iter().find(|lesson| lesson.number > number)
    }

    /// The lesson before this one.
    pub fn previous(&self, number: u16) -> Option<&Lesson> {
        self.0.lessons.iter().rev().find(|lesson| lesson.number < number)
    }

    /// Numbers of all lessons that must be met before this one, through however many steps.
    pub fn prerequisites(&self, lesson: &Lesson) -> BTreeSet<u16> {
        self.0.prerequisites(lesson)
    }

    /// A check as pages show it.
    pub fn check_shown(&self, check: &SkillCheck, lang: Lang) -> CheckShown {
        self.0.check_shown(check, lang)
    }

    /// A text of this curriculum in one language, with each `{setting}` as a figure with its unit, US units first.
    pub fn words(&self, text: &LocalText, lang: Lang) -> String {
        self.0.words(text, lang)
    }
}

impl CurriculumDraft {
    /// Numbers of all earlier lessons that must be met before this one. A draft may also need later ones; those are faults.
    pub fn prerequisites(&self, lesson: &Lesson) -> BTreeSet<u16> {
        let earlier = |number: &u16| *number < lesson.number;
        if lesson.needs_all_before {
            return self.lessons.iter().map(|l| l.number).filter(earlier).collect();
        }
        let mut all = BTreeSet::new();
        for needed in lesson.needs.iter().filter(|number| earlier(number)).filter_map(|number| self.lesson(*number)) {
            all.insert(needed.number);
            all.extend(self.prerequisites(needed));
        }
        all
    }

    /// A text in one language, with each `{setting}` as a figure with its unit, US units first.
    pub fn words(&self, text: &LocalText, lang: Lang) -> String {
        settings::fill(text.in_lang(lang), &self.settings, lang)
    }
}
