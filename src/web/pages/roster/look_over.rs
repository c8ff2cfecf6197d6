//! The machines of the day, and one machine looked over before the ride: whatever is not tapped as wrong was right.

use std::collections::BTreeMap;

use askama::Template;

use crate::domain::machine::today::Parked;
use crate::domain::point_list::PointKey;
use crate::services::field_act::{ActIds, Wish};
use crate::services::roster::look_over::{LookOverPage, MachinesPage, Standing, list, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::Page;

use super::acts::words;
use super::{Ask, Fields, Said, answered, clock};

#[derive(Template)]
#[template(path = "roster/look_overs.html")]
struct List {
    page: Page,
    view: MachinesPage,
    ids: ActIds,
    errors: FieldErrors,
}

impl List {
    fn count(&self, wanted: Option<Parked>) -> usize {
        self.view.machines.iter().filter(|machine| machine.parked == wanted).count()
    }
    fn ready(&self) -> usize {
        self.count(None)
    }
    fn waiting(&self) -> usize {
        self.count(Some(Parked::NotLookedOver))
    }
    fn parked(&self) -> usize {
        self.count(Some(Parked::OutOfUse))
    }
}

#[derive(Template)]
#[template(path = "roster/look_over.html")]
struct Show {
    page: Page,
    view: LookOverPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

impl Show {
    fn back(&self) -> String {
        format!("/machines/{}", self.view.machine.row.reference)
    }
    fn is_wrong(&self, key: &str) -> bool {
        self.typed.of(&format!("wrong_{key}")) == "yes"
    }
    fn tires(&self) -> String {
        let row = &self.view.machine.row;
        let psi = |tenths: Option<i64>| tenths.map(|tenths| format!("{}.{} psi", tenths / 10, tenths % 10));
        match (psi(row.tire_front_tenths_psi), psi(row.tire_rear_tenths_psi)) {
            (Some(front), Some(rear)) if front == rear => format!("{front} front and rear"),
            (front, rear) => {
                let named = [front.map(|psi| format!("{psi} front")), rear.map(|psi| format!("{psi} rear"))];
                let named: Vec<String> = named.into_iter().flatten().collect();
                if named.is_empty() { "as on the label".to_owned() } else { named.join(", ") }
            }
        }
    }
}

/// How a machine stands: kind and shape of the mark, and words.
fn state(machine: &Standing) -> (&'static str, &'static str, String) {
    match (machine.parked, machine.looked_over_at) {
        (Some(Parked::OutOfUse), _) => ("not-met", "notmet", "Out of use".to_owned()),
        (None, Some(at)) => ("met", "met", format!("Looked over at {}", clock(&at))),
        _ => ("not-measured", "none", "Not looked over yet".to_owned()),
    }
}

pub(super) async fn draw_list(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(list).await?;
    let page = ask.page("Machines today", &view.head, &said);
    answered(&said.errors.clone(), &List { page, view, ids: ActIds::of(&ask.app), errors: said.errors })
}

pub(super) async fn draw(ask: &Ask, machine: String, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| show(app, caller, session, &machine)).await?;
    let page = ask.page(format!("Look over machine {}", view.machine.row.number), &view.head, &said);
    let Said { errors, typed } = said;
    answered(&errors.clone(), &Show { page, view, ids: ActIds::of(&ask.app), errors, typed })
}

/// The points that were tapped as wrong, each with its words.
pub(super) fn wish(typed: &Fields, errors: &mut FieldErrors) -> Wish {
    let mut wrong = BTreeMap::new();
    for (name, _) in typed.0.iter().filter(|(_, value)| *value == "yes") {
        let Some(key) = name.strip_prefix("wrong_") else { continue };
        let field = format!("words_{key}");
        match words(typed.of(&field)) {
            Some(words) => drop(wrong.insert(PointKey(key.to_owned()), words)),
            None => errors.add(&field, "Write what is not right, such as: left rear tire has a cut."),
        }
    }
    Wish::LookOver { machine: typed.of("machine").to_owned(), wrong }
}
