//! Calling the names of a group. Nobody counts as here before somebody says so: child by child, or all in one press that
//! names how many.

use askama::Template;

use crate::services::field_act::ActIds;
use crate::services::roster::Line;
use crate::services::roster::roll_call::{RollCall, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::Page;

use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/roll_call.html")]
struct Show {
    page: Page,
    view: RollCall,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

impl Show {
    fn expected(&self) -> usize {
        self.view.expected.len()
    }
    /// Nothing is said of a child before somebody says it; after a form that came back, as it was sent.
    fn said(&self, line: &Line, answer: &str) -> bool {
        self.typed.of(&format!("answer_{}", line.reference)) == answer
    }
    fn missing(&self) -> usize {
        self.view.expected.iter().filter(|line| self.said(line, "not_here")).count()
    }
    /// Who is checked in by the one press for all.
    fn left(&self) -> usize {
        self.expected() - self.missing()
    }
    fn all_words(&self) -> String {
        match self.missing() {
            0 => format!("All {} are here", self.left()),
            missing => format!("All but {missing} are here: check in {}", self.left()),
        }
    }
}

pub(super) async fn draw(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(show).await?;
    let page = ask.page("Roll call", &view.head, &said);
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed })
}
