//! What one rider may practise next, for the letter after a session. Reads the acts as they stand when it is sent.

use super::ends::Ends;
use crate::domain::day::NotCompleted;
use crate::domain::ids::RegistrationId;
use crate::domain::words::Lang;
use crate::services::certificates::letter::{Addressed, addressed};
use crate::services::{App, Failure};
use crate::store::registrations::find_registration_by_id;
use crate::store::sessions::find_session_by_id;

/// A rider's sheet.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Whom it goes to.
    pub addressed: Addressed,
    /// The required skills that are not met: title, and what is looked for. Empty when the rider left early.
    pub skills: Vec<(String, String)>,
}

/// The sheet of a rider who took part; nothing for one who has completed or did not take part.
///
/// # Errors
/// Those of the store.
pub fn of(app: &App, id: RegistrationId, lang: Lang) -> Result<Option<Sheet>, Failure> {
    app.store.read(|conn| {
        let (registration, _) = find_registration_by_id(conn, id)?;
        let view = find_session_by_id(conn, registration.session_id)?;
        let ends = Ends::of(conn, &view.session)?;
        let Some(end) = ends.riders.iter().find(|end| end.registration.id == id) else { return Ok(None) };
        let checks = match &end.completion {
            Err(NotCompleted::Checks(checks)) => checks.as_slice(),
            Err(NotCompleted::Outcome(_)) if end.outcome.participated() => &[],
            _ => return Ok(None),
        };
        let words = |check: &crate::domain::curriculum::SkillCheck| {
            let title = ends.curriculum.words(&check.title, lang);
            (title, ends.curriculum.words(&check.looks_like, lang))
        };
        let skills = checks.iter().filter_map(|(code, _)| ends.curriculum.check(code)).map(words).collect();
        Ok(addressed(conn, id, lang)?.map(|addressed| Sheet { addressed, skills }))
    })
}
