//! Everything that was entered about one rider.

use askama::Template;

use crate::services::field_act::ActIds;
use crate::services::roster::history::{Entry, History, show};
use crate::web::answer::{Answer, shown};
use crate::web::page::Page;

use super::said::in_words;
use super::{Ask, Said};

#[derive(Template)]
#[template(path = "roster/history.html")]
struct Show {
    page: Page,
    view: History,
    ids: ActIds,
}

impl Show {
    fn back(&self) -> String {
        format!("/riders/{}", self.view.line.reference)
    }

    fn said(&self, entry: &Entry) -> String {
        let said = in_words(&entry.body);
        if entry.is_undo { format!("Undo: {said}") } else { said }
    }
}

pub(super) async fn draw(ask: &Ask, rider: String) -> Answer {
    let view = ask.read(move |app, caller, session| show(app, caller, session, &rider)).await?;
    let page = ask.page(format!("History: {}", view.line.name), &view.head, &Said::default());
    shown(&Show { page, view, ids: ActIds::of(&ask.app) })
}
