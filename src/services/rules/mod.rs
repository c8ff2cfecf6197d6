//! The program's books of rules: their versions, the one draft of each, and publishing. A published version never changes;
//! a session keeps the versions that it was planned under.

pub mod draft;
pub mod lesson;
pub mod point;
pub mod publish;
mod shelf;

use chrono::NaiveDate;

use super::{App, Failure, ask, consent_texts, program, seed};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::consent::ConsentKind;
use crate::domain::curriculum::Curriculum;
use crate::domain::point_list::PointListKind;
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::session::SessionState;
use crate::domain::words::Word;
use crate::store::rule_drafts::{RuleDraftRow, find_rule_draft};
use crate::store::rulebooks::{SessionUnder, list_sessions_under};
use crate::store::{AnyConn, StoreError};

/// When a version holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// New sessions of today use it.
    InForce,
    /// It starts later.
    Coming,
    /// Another one took its place.
    Past,
}

/// One version as the page lists it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// Its number.
    pub version: i64,
    /// First day on which new sessions use it.
    pub starts_on: NaiveDate,
    /// When it holds.
    pub standing: Standing,
    /// Sessions planned under it that are still to come, today's among them.
    pub coming: usize,
    /// Sessions held under it.
    pub held: usize,
}

/// The draft as the page names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DraftHead {
    /// The version it was started from.
    pub base_version: i64,
    /// The revision that a form carries.
    pub revision: i64,
    /// When it was changed last, in the program's zone.
    pub changed_at: chrono::NaiveDateTime,
    /// What still stands in the way of publishing.
    pub faults: usize,
    /// Whether there is a change to undo.
    pub can_undo: bool,
}

/// All versions of a book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Versions {
    /// Newest first.
    pub versions: Vec<Version>,
    /// The draft, if one is open.
    pub draft: Option<DraftHead>,
}

/// One published version with its sessions.
#[derive(Clone, Debug)]
pub struct Published {
    /// The version.
    pub head: Version,
    /// The book.
    pub book: OpenBook,
    /// The same book as it ships.
    pub shipped: OpenBook,
    /// The sessions planned under it, newest day first.
    pub sessions: Vec<SessionUnder>,
}

/// The book as it ships.
pub(super) fn shipped(book: Book) -> OpenBook {
    match book {
        Book::Curriculum => {
            let read: Curriculum = toml::from_str(seed::CURRICULUM).expect("the shipped curriculum is sound");
            OpenBook::Curriculum(read.into())
        }
        Book::Fit => OpenBook::Fit(toml::from_str(seed::FIT).expect("the shipped fit rules are sound")),
        Book::DayList => OpenBook::Points(seed::point_list(PointListKind::DayList).into()),
        Book::LookOver => OpenBook::Points(seed::point_list(PointListKind::LookOver).into()),
        Book::HelmetCheck => OpenBook::Points(seed::point_list(PointListKind::HelmetCheck).into()),
        Book::ConsentRide => OpenBook::Consent(Box::new(consent_texts::shipped_pair(ConsentKind::Ride))),
        Book::ConsentPhoto => OpenBook::Consent(Box::new(consent_texts::shipped_pair(ConsentKind::Photo))),
        Book::Cautions => OpenBook::Cautions(toml::from_str(seed::CAUTIONS).expect("the shipped cautions are sound")),
    }
}

/// The versions of a book and its draft.
pub fn versions(app: &App, caller: &Caller, book: Book) -> Result<Versions, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let today = app.clock.today(program.zone);
        let sessions = list_sessions_under(conn)?;
        let draft = match find_rule_draft(conn, book.as_str())? {
            Some(row) => Some(head_of(book, &row, program.zone)?),
            None => None,
        };
        Ok(Versions { versions: heads(conn, book, &sessions, today)?, draft })
    })
}

/// One published version. `NotFound` for a number that no version has.
pub fn published(app: &App, caller: &Caller, book: Book, version: i64) -> Result<Published, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let (row, body) = shelf::find(conn, book, version)?.ok_or(Failure::NotFound)?;
        let today = app.clock.today(program::load(conn)?.zone);
        let sessions = list_sessions_under(conn)?;
        let all = heads(conn, book, &sessions, today)?;
        let head = all.into_iter().find(|head| head.version == version).ok_or(Failure::NotFound)?;
        let open = OpenBook::read(book, &body).map_err(Failure::broken)?;
        let sessions = sessions.into_iter().filter(|session| shelf::under(book, session) == Some(row.id)).collect();
        Ok(Published { head, book: open, shipped: shipped(book), sessions })
    })
}

fn heads(
    conn: &mut AnyConn,
    book: Book,
    sessions: &[SessionUnder],
    today: NaiveDate,
) -> Result<Vec<Version>, StoreError> {
    let rows = shelf::versions(conn, book)?;
    let in_force = shelf::in_force(conn, book, today)?;
    Ok(rows
        .into_iter()
        .map(|row| {
            let of_it = sessions.iter().filter(|one| shelf::under(book, one) == Some(row.id));
            let own = of_it.filter(|one| one.state != SessionState::Cancelled);
            let (held, coming): (Vec<_>, Vec<_>) = own.partition(|session| session.held_on < today);
            let standing = match row.starts_on {
                _ if in_force == Some(row.id) => Standing::InForce,
                starts_on if starts_on > today => Standing::Coming,
                _ => Standing::Past,
            };
            let (version, starts_on) = (row.version, row.starts_on);
            Version { version, starts_on, standing, coming: coming.len(), held: held.len() }
        })
        .collect())
}

fn head_of(book: Book, row: &RuleDraftRow, zone: chrono_tz::Tz) -> Result<DraftHead, Failure> {
    let faults = OpenBook::read(book, &row.body).map_err(Failure::broken)?.faults().len();
    let changed_at = crate::domain::time::LocalTime::from_utc(row.changed_at, zone).wall;
    Ok(DraftHead {
        base_version: row.base_version,
        revision: row.revision,
        changed_at,
        faults,
        can_undo: row.previous.is_some(),
    })
}
