//! The next version of the curriculum as the demonstration's administrator left it: a draft with a few changes, one of them
//! not finished. Publishes nothing.

use super::Builder;
use crate::domain::access::Role;
use crate::domain::curriculum::LocalText;
use crate::domain::rule_setting::RuleValue;
use crate::domain::rulebook::{Book, OpenBook};
use crate::services::Failure;
use crate::services::rules::draft::{self, Change, SetValue};

/// What the administrator has typed so far.
#[derive(Clone)]
struct Unfinished;

impl Change for Unfinished {
    type Made = ();

    fn detail(&self) -> String {
        "lesson added".to_owned()
    }

    fn make(&self, book: &mut OpenBook) -> Result<(), Failure> {
        let OpenBook::Curriculum(curriculum) = book else { return Err(Failure::NotFound) };
        let number = curriculum.add_lesson();
        let lesson = curriculum.lesson_mut(number).ok_or(Failure::NotFound)?;
        let text = |en: &str, es: &str| LocalText { en: en.to_owned(), es: es.to_owned() };
        lesson.title = text("Loading and parking", "Cargar y estacionar");
        lesson.setup =
            text("A trailer on level ground, ramps pinned.", "Un remolque en terreno plano, rampas aseguradas.");
        lesson.caution = text("Adults load. Nobody stands behind a ramp.", "");
        for check in &mut lesson.checks {
            check.title = text("Parks and sets the brake", "Estaciona y pone el freno");
            check.looks_like =
                text("Stops where told, engine off, brake set.", "Para donde se le indica, apaga y pone el freno.");
            check.not_yet = text("Leaves it rolling, or walks off.", "La deja rodar o se aleja.");
        }
        Ok(())
    }
}

/// Starts the draft and makes its changes.
pub(super) fn add_draft(builder: &Builder) -> Result<(), Failure> {
    let administrator = builder.members.first(Role::Administrator).caller(Role::Administrator);
    let (app, book) = (&builder.app, Book::Curriculum);
    draft::start(app, &administrator, book, 1)?;
    let set = |key: &str, number| SetValue { key: key.to_owned(), value: RuleValue::Number(number) };
    draft::change(app, &administrator, book, 1, set("circle_diameter_um", 12_192_000))?.map_err(refused)?;
    draft::change(app, &administrator, book, 2, set("following_gap_seconds", 4))?.map_err(refused)?;
    draft::change(app, &administrator, book, 3, Unfinished)
}

fn refused(fault: crate::domain::rule_setting::SettingFault) -> Failure {
    Failure::broken(format!("a figure of the demonstration is not taken: {fault:?}"))
}
