//! Changing a draft: lessons and checks added, removed and moved. Numbers, codes and prerequisites follow, so that nothing
//! points to another lesson than before. Judges nothing; `faults` does.

use std::collections::BTreeMap;

use super::{CheckCode, CurriculumDraft, Lesson, LocalText, SkillCheck};

/// Which way something moves in its list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// One place towards the beginning.
    Earlier,
    /// One place towards the end.
    Later,
}

impl Step {
    /// The neighbour to change places with; nothing at the end of the list.
    pub(in crate::domain) fn neighbour(self, at: usize, length: usize) -> Option<usize> {
        match self {
            Step::Earlier => at.checked_sub(1),
            Step::Later => Some(at + 1).filter(|next| *next < length),
        }
    }
}

impl CurriculumDraft {
    /// The lesson with this number.
    pub fn lesson(&self, number: u16) -> Option<&Lesson> {
        self.lessons.iter().find(|lesson| lesson.number == number)
    }

    /// The lesson with this number, to be changed.
    pub fn lesson_mut(&mut self, number: u16) -> Option<&mut Lesson> {
        self.lessons.iter_mut().find(|lesson| lesson.number == number)
    }

    /// The check with this code.
    pub fn check(&self, code: CheckCode) -> Option<&SkillCheck> {
        self.lesson(code.lesson())?.checks.iter().find(|check| check.code == code)
    }

    /// The check with this code, to be changed.
    pub fn check_mut(&mut self, code: CheckCode) -> Option<&mut SkillCheck> {
        self.lesson_mut(code.lesson())?.checks.iter_mut().find(|check| check.code == code)
    }

    /// Adds an empty lesson with one empty, required check at the end; gives its number.
    pub fn add_lesson(&mut self) -> u16 {
        let number = u16::try_from(self.lessons.len() + 1).unwrap_or(u16::MAX);
        self.renumber();
        self.lessons.push(Lesson {
            number,
            title: LocalText::default(),
            riding: false,
            needs: Vec::new(),
            needs_all_before: false,
            whole_lesson_marks: false,
            setup: LocalText::default(),
            caution: LocalText::default(),
            checks: vec![empty_check(CheckCode { lesson: number, check: 1 })],
        });
        number
    }

    /// Takes a lesson out. Lessons that needed it no longer do.
    pub fn remove_lesson(&mut self, number: u16) -> bool {
        let before = self.lessons.len();
        self.lessons.retain(|lesson| lesson.number != number);
        for lesson in &mut self.lessons {
            lesson.needs.retain(|needs| *needs != number);
        }
        self.renumber();
        self.lessons.len() < before
    }

    /// Moves a lesson one place. What other lessons need moves with it, even where that becomes a fault to be seen to.
    pub fn move_lesson(&mut self, number: u16, step: Step) -> bool {
        let at = self.lessons.iter().position(|lesson| lesson.number == number);
        let Some((at, to)) = at.and_then(|at| Some((at, step.neighbour(at, self.lessons.len())?))) else {
            return false;
        };
        self.lessons.swap(at, to);
        self.renumber();
        true
    }

    /// Adds an empty, optional check at the end of a lesson; gives its code.
    pub fn add_check(&mut self, lesson: u16) -> Option<CheckCode> {
        self.renumber();
        let lesson = self.lesson_mut(lesson)?;
        let check = u16::try_from(lesson.checks.len() + 1).ok()?;
        let code = CheckCode { lesson: lesson.number, check };
        lesson.checks.push(SkillCheck { required: false, ..empty_check(code) });
        Some(code)
    }

    /// Takes a check out.
    pub fn remove_check(&mut self, code: CheckCode) -> bool {
        let Some(lesson) = self.lesson_mut(code.lesson()) else { return false };
        let before = lesson.checks.len();
        lesson.checks.retain(|check| check.code != code);
        let is_gone = lesson.checks.len() < before;
        self.renumber();
        is_gone
    }

    /// Moves a check one place within its lesson.
    pub fn move_check(&mut self, code: CheckCode, step: Step) -> bool {
        let Some(lesson) = self.lesson_mut(code.lesson()) else { return false };
        let at = lesson.checks.iter().position(|check| check.code == code);
        let Some((at, to)) = at.and_then(|at| Some((at, step.neighbour(at, lesson.checks.len())?))) else {
            return false;
        };
        lesson.checks.swap(at, to);
        self.renumber();
        true
    }

    /// Numbers lessons and checks from 1 in their order, and follows the prerequisites.
    fn renumber(&mut self) {
        let numbers = || 1u16..=u16::MAX;
        let new: BTreeMap<u16, u16> = self.lessons.iter().map(|lesson| lesson.number).zip(numbers()).collect();
        for (lesson, number) in self.lessons.iter_mut().zip(numbers()) {
            lesson.number = number;
            for needs in &mut lesson.needs {
                *needs = new.get(needs).copied().unwrap_or(*needs);
            }
            lesson.needs.sort_unstable();
            for (check, place) in lesson.checks.iter_mut().zip(numbers()) {
                check.code = CheckCode { lesson: number, check: place };
            }
        }
    }
}

fn empty_check(code: CheckCode) -> SkillCheck {
    SkillCheck {
        code,
        title: LocalText::default(),
        looks_like: LocalText::default(),
        not_yet: LocalText::default(),
        required: true,
        before_wheels: false,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::domain::curriculum::Curriculum;

    fn draft() -> CurriculumDraft {
        let shipped: Curriculum = toml::from_str(include_str!("../../../seed/curriculum.toml")).unwrap();
        shipped.into()
    }

    fn needs_by_title(draft: &CurriculumDraft, title: &str) -> Vec<String> {
        let lesson = draft.lessons.iter().find(|lesson| lesson.title.en == title).unwrap();
        let name = |number: &u16| draft.lesson(*number).unwrap().title.en.clone();
        let mut names: Vec<String> = lesson.needs.iter().map(name).collect();
        names.sort();
        names
    }

    #[test]
    fn saturday_2_a_moved_lesson_keeps_its_checks_and_what_it_needs() {
        let mut draft = draft();
        let (title, before) = (draft.lessons[8].title.en.clone(), needs_by_title(&draft, &draft.lessons[8].title.en));
        assert!(draft.move_lesson(6, Step::Later));
        assert_eq!(draft.lessons[6].title.en, "Braking to a mark");
        assert_eq!(draft.lessons[6].checks[0].code.to_string(), "7.1");
        assert_eq!(needs_by_title(&draft, &title), before);
        assert!(draft.faults().is_empty());
        assert!(!draft.move_lesson(1, Step::Earlier) && !draft.move_lesson(99, Step::Later));
    }

    #[test]
    fn saturday_2_a_removed_lesson_is_needed_by_nobody_and_numbers_close_up() {
        let mut draft = draft();
        let count = draft.lessons.len();
        assert!(draft.remove_lesson(6));
        assert_eq!(draft.lessons.len(), count - 1);
        assert!(draft.lessons.iter().zip(1..).all(|(lesson, number)| lesson.number == number));
        assert!(draft.faults().is_empty(), "{:?}", draft.faults());
    }

    #[test]
    fn saturday_2_a_new_lesson_is_empty_and_says_what_it_lacks() {
        let mut draft = draft();
        let number = draft.add_lesson();
        assert_eq!(usize::from(number), draft.lessons.len());
        let spots: Vec<String> = draft.faults().iter().map(|fault| fault.spot().to_string()).collect();
        assert!(spots.contains(&format!("lesson {number}, title in es")), "{spots:?}");
        assert_eq!(spots.len(), 12, "three texts of the lesson and three of its check, in two languages: {spots:?}");
        assert_eq!(draft.add_check(number).unwrap().to_string(), format!("{number}.2"));
        assert!(draft.remove_check(CheckCode { lesson: number, check: 1 }));
        assert_eq!(draft.lessons.last().unwrap().checks[0].code.to_string(), format!("{number}.1"));
    }

    proptest! {
        /// Whatever is moved, no lesson loses a prerequisite or gains one: they are the same lessons by title.
        #[test]
        fn saturday_2_moving_never_changes_what_a_lesson_needs(moves in prop::collection::vec((1u16..12, any::<bool>()), 0..30)) {
            let mut draft = draft();
            let titles: Vec<String> = draft.lessons.iter().map(|lesson| lesson.title.en.clone()).collect();
            let before: Vec<_> = titles.iter().map(|title| needs_by_title(&draft, title)).collect();
            for (number, is_later) in moves {
                draft.move_lesson(number, if is_later { Step::Later } else { Step::Earlier });
            }
            let after: Vec<_> = titles.iter().map(|title| needs_by_title(&draft, title)).collect();
            prop_assert_eq!(before, after);
            for lesson in &draft.lessons {
                prop_assert!(lesson.checks.iter().all(|check| check.code.lesson() == lesson.number));
            }
        }
    }
}
