//! Calling the names of a group: who answers is checked in with one press.

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
    /// Ticked when the page is new; after a form that came back, as it was sent.
    fn is_ticked(&self, line: &Line) -> bool {
        self.errors.is_empty() || !self.typed.of(&format!("here_{}", line.reference)).is_empty()
    }
}

pub(super) async fn draw(ask: &Ask<'_>, said: Said) -> Answer {
    let view = ask.read(show).await?;
    let page = ask.page("Roll call", &view.head, &said);
    let ids = ActIds::of(ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed })
}
