//! The program itself: what every page and many rules need to know of it.

use std::sync::Arc;

use chrono::NaiveDate;

use super::{App, Failure};
use crate::domain::cautions::{Caution, CautionKey, Cautions};
use crate::domain::ids::RulebookId;
use crate::domain::program::ProgramSettings;
use crate::domain::words::Lang;
use crate::store::programs::{ProgramRow, find_program};
use crate::store::rulebooks::{find_rulebook, list_rulebook_bodies};
use crate::store::{AnyConn, StoreError};

/// The program, with its settings read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Program {
    /// Its row.
    pub row: ProgramRow,
    /// Its own rules.
    pub settings: ProgramSettings,
    /// Its home time zone.
    pub zone: chrono_tz::Tz,
}

/// The program, on an open connection.
pub(super) fn load(conn: &mut AnyConn) -> Result<Program, StoreError> {
    let row = find_program(conn)?.ok_or(StoreError::Missing)?;
    let settings = serde_json::from_str(&row.settings).map_err(|_| StoreError::Unreadable("programs.settings"))?;
    let zone = row.time_zone.parse().map_err(|_| StoreError::Unreadable("programs.time_zone"))?;
    Ok(Program { row, settings, zone })
}

/// The program. `NotFound` before it is seeded.
pub fn find(app: &App) -> Result<Program, Failure> {
    app.store.read(|conn| load(conn).map_err(Failure::from))
}

/// Every version of the cautions with the day from which it holds, the newest first.
pub fn cautions(app: &App) -> Result<Vec<(NaiveDate, Arc<Cautions>)>, Failure> {
    let read = |(from, body): (NaiveDate, String)| {
        let cautions: Cautions = serde_json::from_str(&body).map_err(Failure::broken)?;
        Ok((from, Arc::new(cautions)))
    };
    app.store
        .read(|conn| list_rulebook_bodies(conn, "cautions").map_err(Failure::from))?
        .into_iter()
        .map(read)
        .collect()
}

/// A caution of a session's own version.
pub(in crate::services) fn caution(conn: &mut AnyConn, book: RulebookId, key: CautionKey) -> Result<Caution, Failure> {
    let body = find_rulebook(conn, book)?;
    let cautions: Cautions = serde_json::from_str(&body).map_err(Failure::broken)?;
    Ok(cautions.of(key).clone())
}

impl Program {
    /// Days before and after a session in which its staff see it.
    pub fn staff_window(&self) -> i64 {
        self.settings.staff_window_days
    }

    /// When the office answers.
    pub fn office_hours(&self, language: Lang) -> &str {
        self.settings.office_hours.in_lang(language)
    }
}
