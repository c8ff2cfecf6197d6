//! The one question that the demonstration's families need not answer.

use chrono::NaiveDateTime;

use crate::domain::curriculum::LocalText;
use crate::domain::voluntary::Choices;
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::registrations::find_registration;
use crate::store::voluntary::{VoluntaryQuestion, add_voluntary_question, set_voluntary_answers};

/// Asks it.
pub(super) fn ask(conn: &mut AnyConn, reference: &str, now: NaiveDateTime) -> Result<(), Failure> {
    let words = LocalText { en: "How did you hear of the program?".into(), es: "¿Cómo supo del programa?".into() };
    let (en, es) = ("At school\nFrom a neighbor\nOn the radio", "En la escuela\nPor un vecino\nEn la radio");
    let choices = Choices::read(en, es).map_err(Failure::broken)?;
    Ok(add_voluntary_question(conn, reference, &words, &choices, now)?)
}

/// Answers for a registration; every fourth family had rather not say.
pub(super) fn answer(conn: &mut AnyConn, reference: &str, asked: &[VoluntaryQuestion]) -> Result<(), Failure> {
    let (row, _) = find_registration(conn, reference)?.ok_or(Failure::NotFound)?;
    let choice = |question: &VoluntaryQuestion| {
        let choices = i64::try_from(question.choices.list().len()).unwrap_or(i64::MAX);
        let said = (row.id.raw() % 4 != 0).then_some(1 + row.id.raw() % choices);
        (question.id, said)
    };
    Ok(set_voluntary_answers(conn, row.id, &asked.iter().map(choice).collect::<Vec<_>>())?)
}
