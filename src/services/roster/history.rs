//! Everything that was entered about one rider, newest first, with time and name; what was undone stays, marked so.
//! Reads only, and shows no health note.

use chrono::NaiveTime;

use super::super::{App, Failure};
use super::opened::{counted_by_rider, open};
use super::{Head, Line};
use crate::domain::access::Caller;
use crate::domain::acts::{Body, Taking};
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::store::accounts::names_of;
use crate::store::acts::KeptAct;

/// The history of one rider at one session.
#[derive(Clone, Debug)]
pub struct History {
    /// The session.
    pub head: Head,
    /// The rider.
    pub line: Line,
    /// Every act, newest first.
    pub entries: Vec<Entry>,
}

/// One act of the history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// What was done; of an undo, what it took back.
    pub body: Body,
    /// Whether it is an undo.
    pub is_undo: bool,
    /// Whether it was undone.
    pub undone: bool,
    /// Whether it waits for a reopening or for a person.
    pub waits: bool,
    /// On the wall at the site.
    pub at: NaiveTime,
    /// Who did it.
    pub who: String,
    /// Whether as the lead.
    pub by_lead: bool,
}

/// The history of one rider.
///
/// # Errors
/// `NotFound` for a rider of another session, or when the caller may not know of this one.
pub fn show(app: &App, caller: &Caller, reference: &str, rider: &str) -> Result<History, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let row = opened.rider(conn, rider)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
        let curriculum = opened.curriculum(conn)?;
        let own = counted_by_rider(&acts).remove(&row.0.id).unwrap_or_default();
        let line = opened.line(app, conn, &row, Day::of(&own, curriculum, opened.meeting.ordinal), false)?;
        let about: Vec<&KeptAct> = acts.iter().filter(|kept| kept.registration == Some(row.0.id)).collect();
        let names = names_of(conn, &about.iter().map(|kept| kept.account).collect::<Vec<_>>())?;
        let mut entries = Vec::new();
        for kept in about.iter().rev() {
            let taken_back = match kept.act.body {
                Body::Undo { of } => about.iter().find(|other| other.act.id == of),
                _ => None,
            };
            entries.push(Entry {
                body: taken_back.unwrap_or(kept).act.body.clone(),
                is_undo: taken_back.is_some(),
                undone: kept.undone,
                waits: matches!(kept.taking, Taking::Late | Taking::Quarantine),
                at: opened.clock(kept.act.at),
                who: names.get(&kept.account).cloned().unwrap_or_default(),
                by_lead: kept.act.by_lead,
            });
        }
        Ok(History { head, line, entries })
    })
}
