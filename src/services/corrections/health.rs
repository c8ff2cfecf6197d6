//! A child's health answers for one session. A family reads back what it wrote; the office writes and never reads.

use crate::domain::access::Caller;
use crate::domain::health_note::HealthNote;
use crate::domain::words::{Lang, Word};
use crate::services::kept_health::{self, Keeping};
use crate::services::places::Side;
use crate::services::register::answers::HealthAnswers;
use crate::services::register::reading;
use crate::services::roster::health::note;
use crate::services::{App, Failure};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::kept_health::find_kept_health;
use crate::store::registrations::set_health;

use super::{Changed, place};

/// The health answers of a registration.
#[derive(Clone, Debug)]
pub struct HealthNow {
    /// The child's given name.
    pub given: String,
    /// As the form asks for them; blank for the office.
    pub answers: HealthAnswers,
}

/// The health answers of a registration.
///
/// # Errors
/// `NotFound` for a registration that this side may not change; `WorldMoved` when there is no place any more.
pub fn find_health_answers(app: &App, caller: &Caller, side: Side, reference: &str) -> Result<HealthNow, Failure> {
    app.store.read(|conn| {
        let (row, rider) = place(conn, caller, side, reference)?;
        let mut answers = HealthAnswers::default();
        if side == Side::Family {
            answers = note(app, conn, row.id)?.map(|note| as_asked(&note, row.language)).unwrap_or_default();
            answers.keep = if find_kept_health(conn, rider.id)?.is_some() { "yes" } else { "" }.to_owned();
        }
        Ok(HealthNow { given: rider.given_name, answers })
    })
}

/// Puts other answers in their place. `lang` is the language of the page on which they were written.
///
/// # Errors
/// As [`find_health_answers`].
pub fn set_health_answers(
    app: &App,
    caller: &Caller,
    side: Side,
    reference: &str,
    lang: Lang,
    mut answers: HealthAnswers,
) -> Result<Changed, Failure> {
    let before = find_health_answers(app, caller, side, reference)?.answers;
    // Words that stay as they were stay in their language, whatever the page's is.
    let stays = !before.language.is_empty() && before.says_the_same(&answers);
    answers.language = if stays { before.language } else { lang.as_str().to_owned() };
    let note = match reading::health(&answers) {
        Ok(note) => note,
        Err(faults) => return Ok(Changed::Faulty(faults)),
    };
    let key: [u8; 16] = app.random.bytes();
    let plain = zeroize::Zeroizing::new(serde_json::to_vec(&note).map_err(Failure::broken)?);
    let body = app.cipher.seal("health_notes", "body", &key, &plain);
    let keeping = match (side, answers.keep.as_str()) {
        (Side::Office, _) => Keeping::Leave,
        (Side::Family, "yes") => Keeping::Keep(kept_health::seal(app, &answers)?),
        (Side::Family, _) => Keeping::Forget,
    };
    let (caller, reference, at) = (caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("change health", move |conn| -> Result<Changed, Failure> {
        let (row, rider) = place(conn, &caller, side, &reference)?;
        set_health(conn, row.id, &key, &body, at)?;
        kept_health::set(conn, rider.id, &keeping, at)?;
        let subject = format!("registration {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, at, "health.change", subject, ""))?;
        Ok(Changed::Kept)
    })
}

/// A note as the form asks for it.
fn as_asked(note: &HealthNote, of_the_family: Lang) -> HealthAnswers {
    let mut answers = HealthAnswers {
        any: note.any.to_string(),
        allergy_what: note.allergy.clone(),
        injector: note.injector.to_string(),
        injector_where: note.injector_where.clone(),
        medicine: note.medicine.to_string(),
        medicine_what: note.medicine_what.clone(),
        needs: note.needs.clone(),
        more: note.more.clone(),
        language: note.language.unwrap_or(of_the_family).as_str().to_owned(),
        ..HealthAnswers::default()
    };
    for condition in &note.conditions {
        "yes".clone_into(answers.tick(*condition));
    }
    answers
}
