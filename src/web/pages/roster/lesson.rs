//! One lesson: a mark for each rider by thumb.

use askama::Template;

use crate::services::field_act::ActIds;
use crate::services::roster::lesson::{CheckShown, LessonPage, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::Page;

use super::{Ask, Said, answered};

#[derive(Template)]
#[template(path = "roster/lesson.html")]
struct Show {
    page: Page,
    view: LessonPage,
    ids: ActIds,
    errors: FieldErrors,
}

impl Show {
    fn came(&self) -> usize {
        self.view.lines.iter().filter(|one| one.line.day.arrived_at.is_some()).count()
    }
    fn marked(&self) -> usize {
        self.view.lines.iter().filter(|one| one.mark != crate::domain::skill::Mark::NotTried).count()
    }
    fn is_open(&self, check: &CheckShown) -> bool {
        self.view.check.as_ref().is_some_and(|open| open.code == check.code)
    }
    /// The next check of the lesson, else a count of heads, else the next lesson: the step at the thumb.
    fn next(&self) -> Option<(String, String)> {
        let (view, below) = (&self.view, format!("/roster/{}/lessons", self.view.head.reference));
        let mut checks = view.checks.iter().map(|count| count.check.code);
        let following =
            view.check.as_ref().and_then(|open| checks.by_ref().skip_while(|code| *code != open.code).nth(1));
        match (following, view.after) {
            (Some(code), _) => Some((format!("{below}/{}?check={code}", view.number), format!("Next: {code}"))),
            (None, Some(_)) if view.counts_next => {
                Some((format!("/roster/{}/counts", view.head.reference), "Count heads".to_owned()))
            }
            (None, Some(lesson)) => Some((format!("{below}/{lesson}"), format!("Lesson {lesson}"))),
            (None, None) => None,
        }
    }
    /// The way back to this check, at this rider.
    fn back(&self, rider: &str) -> String {
        if rider.is_empty() { self.back_to("") } else { self.back_to(&format!("#r-{rider}")) }
    }
    fn back_to_guard(&self) -> String {
        self.back_to("#guard")
    }
    fn back_to(&self, anchor: &str) -> String {
        let check = self.view.check.as_ref().map_or_else(|| "all".to_owned(), |check| check.code.to_string());
        format!("/lessons/{}?check={check}{anchor}", self.view.number)
    }
}

pub(super) async fn draw(ask: &Ask, number: u16, check: Option<String>, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| show(app, caller, session, number, check.as_deref())).await?;
    let page = ask.page(format!("{}. {}", view.number, view.title), &view.head, &said);
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors })
}
