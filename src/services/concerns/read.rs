//! What the two people who read concerns see and do. For everybody else there is no such page.

use chrono::NaiveDateTime;

use super::SEAL;
use crate::domain::access::{Caller, Role};
use crate::domain::concern::{Concern, Reader, ReportingLine};
use crate::domain::refusal::Refusal;
use crate::domain::time::LocalTime;
use crate::services::people::{Member, members};
use crate::services::{App, Failure, program};
use crate::store::accounts::{count_open_with_role, find_addressee, name_of, names_of, set_disabled};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::concerns::{
    ConcernRow, NoteRow, add_note, concern_readers, find_concern, list_concerns, notes_of, settle_concern,
};
use crate::store::sign_ins::end_sign_ins;
use crate::store::{AnyConn, StoreError};

/// Where the seal of what a reader added belongs.
const NOTE_SEAL: (&str, &str) = ("concern_notes", "body");

/// A concern in the list: nothing of what it says.
#[derive(Clone, Debug)]
pub struct Listed {
    /// Its reference.
    pub reference: String,
    /// When it was written, on the clocks of the program.
    pub written: NaiveDateTime,
    /// Whether it is settled.
    pub is_settled: bool,
}

/// A concern as its readers see it. Instants are on the clocks of the program.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Its reference.
    pub reference: String,
    /// What was written.
    pub concern: Concern,
    /// About whom of the staff: name, and whether the access has ended.
    pub about: Option<(String, bool)>,
    /// Who wrote it.
    pub by: String,
    /// When.
    pub written: NaiveDateTime,
    /// When it was settled, and by whom.
    pub settled: Option<(String, NaiveDateTime)>,
    /// What was added: when, by whom, what.
    pub notes: Vec<(NaiveDateTime, String, String)>,
    /// The state's number.
    pub line: ReportingLine,
}

/// Those who may read this concern for the caller; `NotFound` for everybody else, who learns not even that it exists.
fn may_read(conn: &mut AnyConn, caller: &Caller, row: Option<&ConcernRow>) -> Result<(), Failure> {
    let named = concern_readers(conn)?;
    let account = caller.account().ok_or(Failure::NotFound)?;
    let reader = Reader { account, staff: caller.staff(), named: &named };
    let may = row.map_or(reader.is_named(), |row| reader.may_read(row.about_staff_id));
    if may { Ok(()) } else { Err(Failure::NotFound) }
}

/// Every concern that the caller may read.
///
/// # Errors
/// `NotFound` for everybody but the two who were named.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Listed>, Failure> {
    app.store.read(|conn| {
        may_read(conn, caller, None)?;
        listed(conn, caller)
    })
}

fn listed(conn: &mut AnyConn, caller: &Caller) -> Result<Vec<Listed>, Failure> {
    let zone = program::load(conn)?.zone;
    let mut found = Vec::new();
    for row in list_concerns(conn)? {
        if may_read(conn, caller, Some(&row)).is_ok() {
            let written = LocalTime::from_utc(row.written_at, zone).wall;
            found.push(Listed { reference: row.reference, written, is_settled: row.settled_at.is_some() });
        }
    }
    Ok(found)
}

/// Concerns that wait for the caller; none for everybody who does not read them.
pub fn unsettled(conn: &mut AnyConn, caller: &Caller) -> Result<Vec<Listed>, Failure> {
    if may_read(conn, caller, None).is_err() {
        return Ok(Vec::new());
    }
    Ok(listed(conn, caller)?.into_iter().filter(|one| !one.is_settled).collect())
}

fn key_of(row_key: &[u8], column: &'static str) -> Result<[u8; 16], Failure> {
    Ok(row_key.try_into().map_err(|_| StoreError::Unreadable(column))?)
}

/// One concern. The look is noted.
///
/// # Errors
/// `NotFound` for everybody who may not read it.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    let (own, caller, reference, now) = (app.clone(), caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("read concern", move |conn| -> Result<Sheet, Failure> {
        let row = find_concern(conn, &reference)?.ok_or(Failure::NotFound)?;
        may_read(conn, &caller, Some(&row))?;
        add_audit_row(conn, &AuditRow::by(&caller, now, "concern.read", format!("concern {reference}"), ""))?;
        let program = program::load(conn)?;
        let local = |at: NaiveDateTime| LocalTime::from_utc(at, program.zone).wall;
        let key = key_of(&row.row_key, "concerns.row_key")?;
        let plain = own.cipher.open(SEAL.0, SEAL.1, &key, &row.body).map_err(Failure::broken)?;
        let rows = notes_of(conn, row.id)?;
        let names = names_of(conn, &rows.iter().map(|note| note.account_id).collect::<Vec<_>>())?;
        let mut notes = Vec::new();
        for note in rows {
            let key = key_of(&note.row_key, "concern_notes.row_key")?;
            let plain = own.cipher.open(NOTE_SEAL.0, NOTE_SEAL.1, &key, &note.body).map_err(Failure::broken)?;
            let words = String::from_utf8(plain.to_vec()).map_err(Failure::broken)?;
            notes.push((local(note.at), names.get(&note.account_id).cloned().unwrap_or_default(), words));
        }
        let about = match about(conn, &row)? {
            Some(member) => {
                let shut = find_addressee(conn, member.account)?.is_some_and(|one| one.disabled_at.is_some());
                Some((member.name, shut))
            }
            None => None,
        };
        let settled = match row.settled_by.zip(row.settled_at) {
            Some((by, at)) => Some((name_of(conn, by)?, local(at))),
            None => None,
        };
        Ok(Sheet {
            concern: serde_json::from_slice(&plain).map_err(Failure::broken)?,
            by: name_of(conn, row.written_by)?,
            written: local(row.written_at),
            line: program.settings.reporting_line,
            reference: row.reference,
            about,
            settled,
            notes,
        })
    })
}

fn about(conn: &mut AnyConn, row: &ConcernRow) -> Result<Option<Member>, Failure> {
    Ok(members(conn)?.into_iter().find(|member| Some(member.id) == row.about_staff_id))
}

/// Does something to a concern for one of its readers, with a row in the audit log that names no words.
fn act(
    app: &App,
    caller: &Caller,
    reference: &str,
    action: &'static str,
    work: impl Fn(&mut AnyConn, &ConcernRow) -> Result<(), Failure> + Send + 'static,
) -> Result<(), Failure> {
    let (caller, reference, now) = (caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write(action, move |conn| -> Result<(), Failure> {
        let row = find_concern(conn, &reference)?.ok_or(Failure::NotFound)?;
        may_read(conn, &caller, Some(&row))?;
        work(conn, &row)?;
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, action, format!("concern {reference}"), ""))?)
    })
}

/// Adds words to a concern.
///
/// # Errors
/// `NotFound` for everybody who may not read it.
pub fn add(app: &App, caller: &Caller, reference: &str, words: &str) -> Result<(), Failure> {
    let (row_key, now): ([u8; 16], _) = (app.random.bytes(), app.clock.now());
    let body = app.cipher.seal(NOTE_SEAL.0, NOTE_SEAL.1, &row_key, words.as_bytes());
    let by = caller.account().ok_or(Failure::NotFound)?;
    act(app, caller, reference, "concern.add", move |conn, row| {
        let note = NoteRow { row_key: row_key.to_vec(), body: body.clone(), at: now, account_id: by };
        Ok(add_note(conn, row.id, &note)?)
    })
}

/// Ends at once what the person can do: the account is shut and every sign-in of it ends.
///
/// # Errors
/// `NotFound` for everybody who may not read it, or when it names nobody of the staff; `LastAdministrator`.
pub fn end_access(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let now = app.clock.now();
    act(app, caller, reference, "concern.end_access", move |conn, row| {
        let member = about(conn, row)?.ok_or(Failure::NotFound)?;
        set_disabled(conn, member.account, Some(now))?;
        if count_open_with_role(conn, Role::Administrator)? == 0 {
            return Err(Refusal::LastAdministrator.into());
        }
        end_sign_ins(conn, member.account, None, now)?;
        Ok(())
    })
}

/// Notes that a concern is settled.
///
/// # Errors
/// `NotFound` for everybody who may not read it; `WorldMoved` when somebody had settled it.
pub fn settle(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let now = app.clock.now();
    let by = caller.account().ok_or(Failure::NotFound)?;
    act(app, caller, reference, "concern.settle", move |conn, row| match settle_concern(conn, row.id, by, now)? {
        true => Ok(()),
        false => Err(Refusal::WorldMoved.into()),
    })
}
