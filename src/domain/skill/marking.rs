//! Taking a mark: what an instructor tapped, whether it may stand, and the attempts it makes. Does not add attempts up.

use std::collections::BTreeMap;

use super::{ActId, Attempt, Mark, OrderKey, Standing, has_words, standing};
use crate::domain::curriculum::{CheckCode, Curriculum, Lesson};
use crate::domain::refusal::{self, Refusal};

/// What was marked: one skill check, or a whole lesson with one tap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Marked {
    /// One skill check.
    Check(CheckCode),
    /// Every check of the lesson with this number; stored as such.
    Lesson(u16),
}

/// One tap of an instructor for one rider.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marking {
    /// What was marked.
    pub what: Marked,
    /// How.
    pub mark: Mark,
    /// Whether the lead instructor tapped.
    pub by_lead: bool,
    /// Why, in the instructor's words.
    pub reason: Option<String>,
    /// The act whose stop this mark clears.
    pub clears: Option<ActId>,
    /// When it counts.
    pub order: OrderKey,
    /// Its act.
    pub act: ActId,
}

/// Why a mark is not taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MarkRefusal {
    /// The curriculum has no such check.
    #[error("there is no skill check {code}")]
    UnknownCheck { code: CheckCode },
    /// The curriculum has no such lesson.
    #[error("there is no lesson {lesson}")]
    UnknownLesson { lesson: u16 },
    /// Each check of this lesson is marked by itself.
    #[error("lesson {lesson} takes no mark for the whole lesson")]
    WholeLessonNotTaken { lesson: u16 },
    /// Required checks of earlier lessons are not met.
    #[error("lesson {lesson} needs skill checks of earlier lessons first")]
    PrerequisiteLesson { lesson: u16, missing: Vec<CheckCode> },
    /// No wheel turns before these are met.
    #[error("no wheel turns before every one of these skill checks is met")]
    BeforeWheels { missing: Vec<CheckCode> },
    /// The check is stopped for safety and the person is not the lead.
    #[error("only the lead clears a stop for safety")]
    OnlyLeadClears { code: CheckCode },
    /// The lead gave no reason for clearing.
    #[error("clearing a stop for safety needs a reason")]
    ReasonNeeded { code: CheckCode },
    /// The lead named no open stop; these are open.
    #[error("the mark must name the stop it clears")]
    MustNameStop { code: CheckCode, open: Vec<ActId> },
}

impl From<MarkRefusal> for Refusal {
    /// The sentence names the first thing to do, so the first of several missing checks is enough.
    fn from(refusal: MarkRefusal) -> Refusal {
        use refusal::MarkRefusal as Told;
        Refusal::Mark(match refusal {
            MarkRefusal::UnknownCheck { .. } | MarkRefusal::UnknownLesson { .. } => Told::UnknownCheck,
            MarkRefusal::WholeLessonNotTaken { .. } => Told::WholeLessonNotTaken,
            MarkRefusal::PrerequisiteLesson { lesson, missing } => {
                let first = missing.first().map_or(lesson, |check| check.lesson());
                Told::LessonFirst { lesson: first.into() }
            }
            MarkRefusal::BeforeWheels { missing } => {
                let first = missing.first().map(CheckCode::to_string);
                Told::BeforeWheels { check: first.unwrap_or_default() }
            }
            MarkRefusal::OnlyLeadClears { .. } => Told::OnlyLeadClears,
            MarkRefusal::ReasonNeeded { .. } => Told::ReasonNeeded,
            MarkRefusal::MustNameStop { .. } => Told::MustNameStop,
        })
    }
}

impl Marking {
    /// The attempts this mark makes, one for each check it covers.
    pub fn attempts(&self, curriculum: &Curriculum) -> Result<Vec<Attempt>, MarkRefusal> {
        let lesson = self.lesson(curriculum)?;
        let codes = match self.what {
            Marked::Check(code) => vec![code],
            Marked::Lesson(number) if !lesson.whole_lesson_marks => {
                return Err(MarkRefusal::WholeLessonNotTaken { lesson: number });
            }
            Marked::Lesson(_) => lesson.checks.iter().map(|check| check.code).collect(),
        };
        Ok(codes.into_iter().map(|code| self.attempt_at(code)).collect())
    }

    fn lesson<'c>(&self, curriculum: &'c Curriculum) -> Result<&'c Lesson, MarkRefusal> {
        match self.what {
            Marked::Check(code) => curriculum.lesson_of(&code).ok_or(MarkRefusal::UnknownCheck { code }),
            Marked::Lesson(lesson) => curriculum.lesson(lesson).ok_or(MarkRefusal::UnknownLesson { lesson }),
        }
    }

    fn attempt_at(&self, check: CheckCode) -> Attempt {
        Attempt {
            order: self.order.clone(),
            act: self.act,
            check,
            mark: self.mark,
            by_lead: self.by_lead,
            reason: self.reason.clone(),
            clears: self.clears,
        }
    }

    /// "Not tried" says that nothing moved, and a stop is always taken: a rule that loses a warning protects nobody.
    fn says_the_rider_rode(&self) -> bool {
        matches!(self.mark, Mark::Meets | Mark::NeedsPractice)
    }
}

/// Whether the mark may stand after the rider's attempts so far, and the attempts it makes.
/// Only attempts ordered before the mark are looked at, so a later arrival never changes the answer backwards.
pub fn may_mark(curriculum: &Curriculum, attempts: &[Attempt], marking: &Marking) -> Result<Vec<Attempt>, MarkRefusal> {
    let made = marking.attempts(curriculum)?;
    let lesson = marking.lesson(curriculum)?;
    let before = (&marking.order, marking.act);
    let earlier: Vec<Attempt> = attempts.iter().filter(|a| (&a.order, a.act) < before).cloned().collect();
    let standing = standing(&earlier);
    if marking.says_the_rider_rode() {
        gate(curriculum, lesson, &standing)?;
    }
    if marking.mark == Mark::Meets {
        for attempt in &made {
            clears_its_stop(attempt, standing.get(&attempt.check))?;
        }
    }
    Ok(made)
}

/// Whether a rider with this standing may start the lesson.
fn gate(curriculum: &Curriculum, lesson: &Lesson, standing: &BTreeMap<CheckCode, Standing>) -> Result<(), MarkRefusal> {
    let is_missing = |code: &CheckCode| standing.get(code) != Some(&Standing::Meets);
    if lesson.riding {
        let missing: Vec<CheckCode> = curriculum.before_wheels().map(|check| check.code).filter(is_missing).collect();
        if !missing.is_empty() {
            return Err(MarkRefusal::BeforeWheels { missing });
        }
    }
    let needed = curriculum.prerequisites(lesson);
    let missing: Vec<CheckCode> = curriculum
        .required_checks()
        .map(|check| check.code)
        .filter(|code| needed.contains(&code.lesson()) && is_missing(code))
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    Err(MarkRefusal::PrerequisiteLesson { lesson: lesson.number, missing })
}

fn clears_its_stop(attempt: &Attempt, standing: Option<&Standing>) -> Result<(), MarkRefusal> {
    let Some(Standing::Stopped { open }) = standing else { return Ok(()) };
    let code = attempt.check;
    if !attempt.by_lead {
        return Err(MarkRefusal::OnlyLeadClears { code });
    }
    if !attempt.clears.is_some_and(|act| open.contains(&act)) {
        return Err(MarkRefusal::MustNameStop { code, open: open.clone() });
    }
    if !has_words(&attempt.reason) {
        return Err(MarkRefusal::ReasonNeeded { code });
    }
    Ok(())
}
