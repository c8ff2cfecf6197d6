//! Where something stands in a curriculum: which lesson, check or figure, and which part of it. Knows no page.

use std::fmt;

use super::CheckCode;
use crate::domain::words::{Lang, Word};

/// What a fault or a sentence belongs to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The curriculum as a whole.
    Whole,
    /// A lesson, by its number.
    Lesson(u16),
    /// A skill check.
    Check(CheckCode),
    /// A named figure.
    Setting(String),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Whole => f.write_str("the curriculum"),
            Place::Lesson(number) => write!(f, "lesson {number}"),
            Place::Check(code) => write!(f, "skill check {code}"),
            Place::Setting(name) => write!(f, "the setting {name}"),
        }
    }
}

/// A part of a lesson, a check or a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Its name.
    Title,
    /// How a lesson's area is laid out.
    Setup,
    /// What a lesson warns of.
    Caution,
    /// What is seen when a check is met.
    LooksLike,
    /// What is seen when more practice is needed.
    NotYet,
    /// What must come before a lesson.
    Needs,
    /// Whether machines move in a lesson.
    Riding,
    /// Whether a check must be met.
    Required,
    /// Whether a check comes before any wheel turns.
    BeforeWheels,
    /// The checks of a lesson, as a list.
    Checks,
    /// A figure's value.
    Value,
    /// Where a figure comes from.
    Source,
}

impl Part {
    /// The most characters that a text of this part holds.
    pub fn most_letters(self) -> usize {
        if self == Part::Title { 80 } else { 600 }
    }

    /// The part as people call it.
    pub fn as_str(self) -> &'static str {
        match self {
            Part::Title => "title",
            Part::Setup => "setup",
            Part::Caution => "caution",
            Part::LooksLike => "looks-like text",
            Part::NotYet => "not-yet text",
            Part::Needs => "list of lessons that come first",
            Part::Riding => "riding",
            Part::Required => "required",
            Part::BeforeWheels => "before any wheel turns",
            Part::Checks => "list of checks",
            Part::Value => "figure",
            Part::Source => "source",
        }
    }
}

/// One part of one place, in a language when it is a text.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// The lesson, check or figure.
    pub place: Place,
    /// Its part.
    pub part: Part,
    /// The language of a text.
    pub lang: Option<Lang>,
}

impl Spot {
    /// A part that is no text.
    pub fn of(place: Place, part: Part) -> Spot {
        Spot { place, part, lang: None }
    }

    /// A text in a language.
    pub fn text(place: Place, part: Part, lang: Lang) -> Spot {
        Spot { place, part, lang: Some(lang) }
    }
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.place, self.part.as_str())?;
        match self.lang {
            Some(lang) => write!(f, " in {}", lang.as_str()),
            None => Ok(()),
        }
    }
}
