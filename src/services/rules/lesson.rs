//! The lessons of a curriculum draft: what is typed into them, and their places in the list.

use super::draft::Change;
use crate::domain::curriculum::{CheckCode, CurriculumDraft, LocalText, Step};
use crate::domain::rulebook::OpenBook;
use crate::services::Failure;

/// What an administrator types into one lesson.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LessonText {
    /// Which lesson.
    pub number: u16,
    /// Its name.
    pub title: LocalText,
    /// How the area is laid out.
    pub setup: LocalText,
    /// What the instructor is warned of.
    pub caution: LocalText,
    /// Whether machines move in it.
    pub riding: bool,
    /// Lessons that come first.
    pub needs: Vec<u16>,
    /// Whether every earlier lesson comes first.
    pub needs_all_before: bool,
    /// Whether one tap may mark the whole lesson.
    pub whole_lesson_marks: bool,
}

/// What an administrator types into one skill check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckText {
    /// Which check.
    pub code: CheckCode,
    /// A few words.
    pub title: LocalText,
    /// What is seen when it is met.
    pub looks_like: LocalText,
    /// What is seen when more practice is needed.
    pub not_yet: LocalText,
    /// Whether it must be met.
    pub required: bool,
    /// Whether it comes before any wheel turns.
    pub before_wheels: bool,
}

/// A change of the list of lessons or of a lesson's checks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrange {
    /// An empty lesson at the end.
    AddLesson,
    /// A lesson one place on.
    MoveLesson(u16, Step),
    /// A lesson out.
    RemoveLesson(u16),
    /// An empty check at the end of a lesson.
    AddCheck(u16),
    /// A check one place on.
    MoveCheck(CheckCode, Step),
    /// A check out.
    RemoveCheck(CheckCode),
}

/// What arranging made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arranged {
    /// A new lesson to be written.
    Lesson(u16),
    /// A new check to be written.
    Check(CheckCode),
    /// Another order, or one fewer.
    Order,
}

/// The most lessons of a curriculum and the most checks of a lesson that pages hold.
const MOST: usize = 40;

fn curriculum(book: &mut OpenBook) -> Result<&mut CurriculumDraft, Failure> {
    match book {
        OpenBook::Curriculum(draft) => Ok(draft),
        _ => Err(Failure::NotFound),
    }
}

impl Change for LessonText {
    type Made = ();

    fn detail(&self) -> String {
        format!("lesson {}", self.number)
    }

    fn make(&self, book: &mut OpenBook) -> Result<(), Failure> {
        let lesson = curriculum(book)?.lesson_mut(self.number).ok_or(Failure::NotFound)?;
        lesson.title = self.title.clone();
        lesson.setup = self.setup.clone();
        lesson.caution = self.caution.clone();
        lesson.riding = self.riding;
        lesson.needs = self.needs.clone();
        lesson.needs_all_before = self.needs_all_before;
        lesson.whole_lesson_marks = self.whole_lesson_marks;
        Ok(())
    }
}

impl Change for CheckText {
    type Made = ();

    fn detail(&self) -> String {
        format!("skill check {}", self.code)
    }

    fn make(&self, book: &mut OpenBook) -> Result<(), Failure> {
        let check = curriculum(book)?.check_mut(self.code).ok_or(Failure::NotFound)?;
        check.title = self.title.clone();
        check.looks_like = self.looks_like.clone();
        check.not_yet = self.not_yet.clone();
        check.required = self.required;
        check.before_wheels = self.before_wheels;
        Ok(())
    }
}

impl Change for Arrange {
    type Made = Arranged;

    fn detail(&self) -> String {
        match self {
            Arrange::AddLesson => "lesson added".to_owned(),
            Arrange::MoveLesson(number, _) => format!("lesson {number} moved"),
            Arrange::RemoveLesson(number) => format!("lesson {number} removed"),
            Arrange::AddCheck(lesson) => format!("check added to lesson {lesson}"),
            Arrange::MoveCheck(code, _) => format!("skill check {code} moved"),
            Arrange::RemoveCheck(code) => format!("skill check {code} removed"),
        }
    }

    fn make(&self, book: &mut OpenBook) -> Result<Arranged, Failure> {
        let draft = curriculum(book)?;
        let order = |is_done: bool| if is_done { Ok(Arranged::Order) } else { Err(Failure::NotFound) };
        match *self {
            Arrange::AddLesson if draft.lessons.len() >= MOST => Err(Failure::NotFound),
            Arrange::AddLesson => Ok(Arranged::Lesson(draft.add_lesson())),
            Arrange::MoveLesson(number, step) => {
                let is_there = draft.lesson(number).is_some();
                draft.move_lesson(number, step);
                order(is_there)
            }
            Arrange::RemoveLesson(number) => order(draft.remove_lesson(number)),
            Arrange::AddCheck(lesson) if draft.lesson(lesson).is_some_and(|one| one.checks.len() >= MOST) => {
                Err(Failure::NotFound)
            }
            Arrange::AddCheck(lesson) => draft.add_check(lesson).map(Arranged::Check).ok_or(Failure::NotFound),
            Arrange::MoveCheck(code, step) => {
                let is_there = draft.check(code).is_some();
                draft.move_check(code, step);
                order(is_there)
            }
            Arrange::RemoveCheck(code) => order(draft.remove_check(code)),
        }
    }
}
