//! The draft of a book: started from a version, changed step by step, thrown away. A change made on an older revision is
//! refused and writes nothing.

use super::{DraftHead, head_of, shelf, shipped};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::consent::ConsentKind;
use crate::domain::refusal::Refusal;
use crate::domain::rule_setting::{RuleValue, SettingFault};
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::words::Word;
use crate::services::{App, Failure, ask, consent_texts, program};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::rule_drafts::{RuleDraftRow, add_rule_draft, find_rule_draft, remove_rule_draft, set_rule_draft};

/// The draft with what it was and what ships.
#[derive(Clone, Debug)]
pub struct Draft {
    /// Its head.
    pub head: DraftHead,
    /// The book as it stands.
    pub book: OpenBook,
    /// The version it was started from.
    pub base: OpenBook,
    /// The same book as it ships.
    pub shipped: OpenBook,
}

/// The open draft. `NotFound` when there is none.
pub fn find(app: &App, caller: &Caller, book: Book) -> Result<Draft, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let row = find_rule_draft(conn, book.as_str())?.ok_or(Failure::NotFound)?;
        let base = base_of(conn, book, row.base_version)?;
        let read = |json: &str| OpenBook::read(book, json).map_err(Failure::broken);
        let head = head_of(book, &row, program::load(conn)?.zone)?;
        Ok(Draft { head, book: read(&row.body)?, base, shipped: shipped(book) })
    })
}

/// The version that a draft was started from.
fn base_of(conn: &mut AnyConn, book: Book, version: i64) -> Result<OpenBook, Failure> {
    let consent = ConsentKind::ALL.iter().find(|kind| kind.book() == book);
    if let Some(kind) = consent {
        let pair = consent_texts::pair_of(conn, *kind, version)?.ok_or(Failure::NotFound)?;
        return Ok(OpenBook::Consent(Box::new(pair)));
    }
    let (_, body) = shelf::find(conn, book, version)?.ok_or(Failure::NotFound)?;
    OpenBook::read(book, &body).map_err(Failure::broken)
}

/// Starts a draft from a version. When one is open already it stays as it is: two presses are one draft.
///
/// # Errors
/// `NotFound` for a number that no version has.
pub fn start(app: &App, caller: &Caller, book: Book, version: i64) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("start rule draft", move |conn| {
        if find_rule_draft(conn, book.as_str())?.is_some() {
            return Ok(());
        }
        let (_, body) = shelf::find(conn, book, version)?.ok_or(Failure::NotFound)?;
        let row = RuleDraftRow {
            kind: book.as_str().to_owned(),
            base_version: version,
            body,
            previous: None,
            revision: 1,
            started_at: now,
            changed_at: now,
            changed_by: caller.account().map(crate::domain::ids::AccountId::raw),
        };
        add_rule_draft(conn, &row)?;
        let detail = format!("from version {version}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "rules.draft", format!("{book} draft"), detail))?;
        Ok(())
    })
}

/// Throws the draft away.
///
/// # Errors
/// `NotFound` without one, `Refused(DraftMoved)` when it was changed since the page was opened.
pub fn discard(app: &App, caller: &Caller, book: Book, revision: i64) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("discard rule draft", move |conn| {
        let row = find_rule_draft(conn, book.as_str())?.ok_or(Failure::NotFound)?;
        if row.revision != revision {
            return Err(Refusal::DraftMoved.into());
        }
        remove_rule_draft(conn, book.as_str())?;
        let detail = format!("from version {}", row.base_version);
        add_audit_row(conn, &AuditRow::by(&caller, now, "rules.discard", format!("{book} draft"), detail))?;
        Ok(())
    })
}

/// One change of a draft: what it is called in the audit log, and what it does.
pub trait Change: Clone + Send + 'static {
    /// What comes back to the page.
    type Made: Send + 'static;
    /// Words of the audit log: keys and numbers, never what was typed.
    fn detail(&self) -> String;
    /// Makes the change.
    ///
    /// # Errors
    /// `NotFound` when the part is not there.
    fn make(&self, book: &mut OpenBook) -> Result<Self::Made, Failure>;
}

/// Changes the draft.
///
/// # Errors
/// `NotFound` without a draft or without the part, `Refused(DraftMoved)` when the draft was changed since.
pub fn change<C: Change>(app: &App, caller: &Caller, book: Book, revision: i64, change: C) -> Result<C::Made, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("change rule draft", move |conn| {
        let row = find_rule_draft(conn, book.as_str())?.ok_or(Failure::NotFound)?;
        if row.revision != revision {
            return Err(Refusal::DraftMoved.into());
        }
        let mut open = OpenBook::read(book, &row.body).map_err(Failure::broken)?;
        let made = change.make(&mut open)?;
        let json = open.json();
        if json == row.body {
            return Ok(made);
        }
        if !set_rule_draft(conn, &row, &json, caller.account(), now)? {
            return Err(Refusal::DraftMoved.into());
        }
        let (subject, detail) = (format!("{book} draft"), change.detail());
        add_audit_row(conn, &AuditRow::by(&caller, now, "rules.edit", subject, detail))?;
        Ok(made)
    })
}

/// Puts the draft back to what it was before its last change. Doing it twice brings the change back.
///
/// # Errors
/// `NotFound` without a draft or without a change, `Refused(DraftMoved)` when it was changed since.
pub fn undo(app: &App, caller: &Caller, book: Book, revision: i64) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("undo rule draft", move |conn| {
        let row = find_rule_draft(conn, book.as_str())?.ok_or(Failure::NotFound)?;
        if row.revision != revision {
            return Err(Refusal::DraftMoved.into());
        }
        let previous = row.previous.clone().ok_or(Failure::NotFound)?;
        if !set_rule_draft(conn, &row, &previous, caller.account(), now)? {
            return Err(Refusal::DraftMoved.into());
        }
        add_audit_row(conn, &AuditRow::by(&caller, now, "rules.undo", format!("{book} draft"), ""))?;
        Ok(())
    })
}

/// Sets one value of the book.
#[derive(Clone, Debug)]
pub struct SetValue {
    /// Its key.
    pub key: String,
    /// The value, held to its bounds.
    pub value: RuleValue,
}

impl Change for SetValue {
    type Made = Result<(), SettingFault>;

    fn detail(&self) -> String {
        format!("setting {}", self.key)
    }

    fn make(&self, book: &mut OpenBook) -> Result<Self::Made, Failure> {
        match book.set(&self.key, self.value.clone()) {
            Err(SettingFault::Unknown) => Err(Failure::NotFound),
            other => Ok(other),
        }
    }
}
