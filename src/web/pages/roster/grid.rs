//! Marks by keyboard: a table of lists, one key a mark. Enter and arrows move where scripts run; Tab moves everywhere.

use askama::Template;

use crate::domain::curriculum::CheckCode;
use crate::domain::skill::Mark;
use crate::domain::words::Word;
use crate::services::field_act::ActIds;
use crate::services::roster::grid::{Grid, GridRow, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::Page;

use super::{Ask, Fields, Said, answered};

/// What a cell can be set to: the letter to press is the first of the words.
const CHOICES: [(Mark, &str); 4] =
    [(Mark::NotTried, "–"), (Mark::Meets, "M"), (Mark::NeedsPractice, "P"), (Mark::StoppedForSafety, "S")];

#[derive(Template)]
#[template(path = "roster/grid.html")]
struct Show {
    page: Page,
    view: Grid,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

impl Show {
    /// A cell's name says what it showed, so that an untouched cell sends no mark.
    fn name(&self, row: &GridRow, code: &CheckCode, mark: &Mark) -> String {
        format!("m.{}.{code}.{mark}", row.line.reference)
    }
    fn choices(&self) -> [(Mark, &'static str); 4] {
        CHOICES
    }
    /// As typed when the form came back, else as it stands.
    fn chosen(&self, name: &str, mark: &Mark) -> Mark {
        Mark::from_word(self.typed.of(name)).unwrap_or(*mark)
    }
    fn back(&self) -> String {
        self.view.lesson.map_or_else(|| "/grid?lesson=all".to_owned(), |lesson| format!("/grid?lesson={lesson}"))
    }
}

pub(super) async fn draw(ask: &Ask, lesson: Option<u16>, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| show(app, caller, session, lesson)).await?;
    let title =
        view.lesson.map_or_else(|| "Marks of all lessons".to_owned(), |lesson| format!("Marks of lesson {lesson}"));
    let page = ask.page(title, &view.head, &said);
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed })
}
