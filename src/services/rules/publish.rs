//! Publishing a draft: it becomes the next version with a start day that is not over. The draft is gone afterwards, and
//! the version never changes.

use chrono::NaiveDate;

use super::shelf;
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::words::Word;
use crate::services::{App, Failure, ask, program};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::rule_drafts::{find_rule_draft, remove_rule_draft};

/// What publishing came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is this version now.
    Published(i64),
    /// Faults of the draft stand in the way; nothing was written.
    Faulty,
}

/// Publishes the draft.
///
/// # Errors
/// `NotFound` without a draft, `Refused(DraftMoved)` when it was changed since the page was opened,
/// `Refused(DayIsOver)` for a start day before today.
pub fn publish(
    app: &App,
    caller: &Caller,
    book: Book,
    revision: i64,
    starts_on: NaiveDate,
) -> Result<Outcome, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    if matches!(book, Book::ConsentRide | Book::ConsentPhoto) {
        // Consent texts have no start day; their approval opens them.
        return Err(Failure::NotFound);
    }
    let (now, clock, caller) = (app.clock.now(), app.clock.clone(), caller.clone());
    app.store.write("publish rules", move |conn| {
        let row = find_rule_draft(conn, book.as_str())?.ok_or(Failure::NotFound)?;
        if row.revision != revision {
            return Err(Refusal::DraftMoved.into());
        }
        if starts_on < clock.today(program::load(conn)?.zone) {
            return Err(Refusal::DayIsOver { on: starts_on }.into());
        }
        let version = shelf::versions(conn, book)?.first().map_or(0, |newest| newest.version) + 1;
        let open = OpenBook::read(book, &row.body).map_err(Failure::broken)?;
        let Ok(body) = open.finished(version, starts_on) else { return Ok(Outcome::Faulty) };
        shelf::add(conn, book, version, starts_on, &body, now)?;
        remove_rule_draft(conn, book.as_str())?;
        let (subject, detail) = (format!("{book} version {version}"), format!("starts {starts_on}"));
        add_audit_row(conn, &AuditRow::by(&caller, now, "rules.publish", subject, detail))?;
        Ok(Outcome::Published(version))
    })
}
