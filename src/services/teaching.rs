//! What instructors teach from: the lessons of a version of the curriculum with their figures, the talks, and the numbers of
//! stopping and slopes. Reads only.

use super::{App, Failure, ask, program, seed};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::curriculum::CurriculumDraft;
use crate::domain::riding::RidingRule;
use crate::domain::talk::Talk;
use crate::store::rulebooks::{find_rulebook, find_rulebook_on, list_rulebooks};

const KIND: &str = "curriculum";

/// A version of the curriculum, to teach from.
#[derive(Clone, Debug)]
pub struct Teaching {
    /// Its lessons and figures.
    pub curriculum: CurriculumDraft,
    /// The talks.
    pub talks: Vec<Talk>,
    /// How the ground grips.
    pub riding: RidingRule,
}

/// A version of the curriculum; the one that holds today when none is named.
///
/// # Errors
/// `NotFound` when there is no such version.
pub fn find(app: &App, caller: &Caller, version: Option<i64>) -> Result<Teaching, Failure> {
    ask(caller, Action::SeeLessons, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let id = match version {
            None => find_rulebook_on(conn, KIND, clock.today(program.zone))?,
            Some(version) => {
                list_rulebooks(conn, KIND)?.into_iter().find(|row| row.version == version).map(|row| row.id)
            }
        };
        let text = find_rulebook(conn, id.ok_or(Failure::NotFound)?)?;
        let curriculum = serde_json::from_str(&text).map_err(Failure::broken)?;
        Ok(Teaching { curriculum, talks: seed::talks(), riding: program.settings.riding })
    })
}
