//! The next versions as the demonstration's administrator left them: a draft of the curriculum with a few changes, one of
//! them not finished, one of the fit rules and one of the consent to pictures. Publishes nothing.

use super::Builder;
use crate::domain::access::Role;
use crate::domain::consent::ConsentKind;
use crate::domain::curriculum::LocalText;
use crate::domain::rule_setting::RuleValue;
use crate::domain::rulebook::{Book, OpenBook};
use crate::services::rules::draft::{self, Change, SetValue};
use crate::services::{Failure, consent_texts};

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

/// Starts the drafts and makes their changes.
pub(super) fn add_drafts(builder: &Builder) -> Result<(), Failure> {
    let administrator = builder.members.first(Role::Administrator).caller(Role::Administrator);
    let app = &builder.app;
    let set = |book: Book, revision: i64, key: &str, value: RuleValue| {
        draft::change(app, &administrator, book, revision, SetValue { key: key.to_owned(), value })?.map_err(refused)
    };
    draft::start(app, &administrator, Book::Curriculum, 1)?;
    set(Book::Curriculum, 1, "circle_diameter_um", RuleValue::Number(12_192_000))?;
    set(Book::Curriculum, 2, "following_gap_seconds", RuleValue::Number(4))?;
    draft::change(app, &administrator, Book::Curriculum, 3, Unfinished)?;
    draft::start(app, &administrator, Book::Fit, 1)?;
    set(Book::Fit, 1, "thigh_level.at_most", RuleValue::Number(80))?;
    consent_texts::start(app, &administrator, ConsentKind::Photo)?;
    let clause = LocalText {
        en: "I may take this back at any time, by phone or by mail. The program then stops using the pictures.".to_owned(),
        es: "Puedo retirar este permiso en cualquier momento, por teléfono o por correo. El programa deja entonces de usar las imágenes."
            .to_owned(),
    };
    set(Book::ConsentPhoto, 1, "clause.withdrawal", RuleValue::Words(clause))
}

fn refused(fault: crate::domain::rule_setting::SettingFault) -> Failure {
    Failure::broken(format!("a figure of the demonstration is not taken: {fault:?}"))
}
