//! Concerns about adults of the program. Whoever is signed in writes one; the two people whom the administrator named read it, but
//! never the one it is about. They are written to without a word of it. What it says is in no log and no letter.

mod read;

use std::collections::BTreeSet;

use chrono::NaiveDateTime;

use super::people::members;
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::concern::{Concern, READERS, Reader, ReportingLine};
use crate::domain::ids::{AccountId, ConcernId, RiderId, SessionId, StaffId};
use crate::domain::program::ProgramSettings;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Phone, full_name};
use crate::outside::mail::message_id;
use crate::store::AnyConn;
use crate::store::accounts::{find_addressee, find_by_reference, names_of, reference_of};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::concerns::{NewConcern, add_concern, concern_readers, find_concern_by_id, set_concern_readers};
use crate::store::families::riders_of;
use crate::store::outbox::{NewLetter, add_letter};
use crate::store::programs::{ProgramChange, set_program};
use crate::store::registrations::registrations_of_riders;
use crate::store::team::team_of;

pub use read::{Listed, Sheet, add, end_access, find, list, settle, unsettled};

/// The kind of letter.
pub const LETTER: &str = "concern_written";

/// Where the seal of a concern belongs.
const SEAL: (&str, &str) = ("concerns", "body");

/// What the form shows.
#[derive(Clone, Debug)]
pub struct Form {
    /// The state's number.
    pub line: ReportingLine,
    /// The names of those who read it; nobody before the administrator named them.
    pub readers: Vec<String>,
    /// People of the program whom the writer can have met: account reference and name.
    pub people: Vec<(String, String)>,
    /// The office's telephone as people read it.
    pub office_phone: String,
}

/// The form for somebody who is signed in.
///
/// # Errors
/// `NotAllowed` for who is not.
pub fn form(app: &App, caller: &Caller) -> Result<Form, Failure> {
    caller.account().ok_or(Failure::NotAllowed)?;
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let readers = concern_readers(conn)?;
        let names = names_of(conn, &readers)?;
        let people = met_by(conn, caller)?;
        Ok(Form {
            line: program.settings.reporting_line,
            readers: readers.iter().filter_map(|id| names.get(id).cloned()).collect(),
            people: people.into_iter().map(|(_, reference, name)| (reference, name)).collect(),
            office_phone: Phone::shown(&program.row.office_phone),
        })
    })
}

/// People of the program whom somebody can have met: staff all of it, a family the teams of its children's sessions.
fn met_by(conn: &mut AnyConn, caller: &Caller) -> Result<Vec<(StaffId, String, String)>, Failure> {
    let all = members(conn)?.into_iter().map(|one| (one.id, one.reference, one.name));
    if caller.staff().is_some() {
        return Ok(all.filter(|(id, ..)| Some(*id) != caller.staff()).collect());
    }
    let Some(guardian) = caller.guardian() else { return Ok(Vec::new()) };
    let children: Vec<RiderId> = riders_of(conn, guardian)?.into_iter().map(|child| child.id).collect();
    let sessions: BTreeSet<SessionId> =
        registrations_of_riders(conn, &children)?.into_iter().map(|one| one.session_id).collect();
    let mut met = BTreeSet::new();
    for session in sessions {
        met.extend(team_of(conn, session)?.into_iter().map(|(id, _)| id));
    }
    Ok(all.filter(|(id, ..)| met.contains(id)).collect())
}

/// Keeps a concern, sealed, and owes those who read it a letter that says nothing of it.
///
/// # Errors
/// `NotAllowed` for who is not signed in; `NotFound` for a person whom the form did not offer.
pub fn write(app: &App, caller: &Caller, about: Option<String>, concern: &Concern) -> Result<(), Failure> {
    let by = caller.account().ok_or(Failure::NotAllowed)?;
    let (row_key, reference, now): ([u8; 16], _, _) = (app.random.bytes(), app.random.reference(), app.clock.now());
    let plain = serde_json::to_vec(concern).map_err(Failure::broken)?;
    let body = app.cipher.seal(SEAL.0, SEAL.1, &row_key, &plain);
    let letter = message_id(app.random.uuid_v7(now), app.settings.server.public_host());
    let caller = caller.clone();
    app.store.write("concern", move |conn| -> Result<(), Failure> {
        let about_staff_id = match &about {
            Some(chosen) => {
                let found = met_by(conn, &caller)?.into_iter().find(|(_, reference, _)| reference == chosen);
                Some(found.ok_or(Failure::NotFound)?.0)
            }
            None => None,
        };
        let id = add_concern(
            conn,
            &NewConcern {
                reference: reference.clone(),
                about_staff_id,
                row_key: row_key.to_vec(),
                body: body.clone(),
                written_at: now,
                written_by: by,
            },
        )?;
        tell_readers(conn, id, about_staff_id, &letter, now)?;
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "concern.write", format!("concern {reference}"), ""))?)
    })
}

/// A letter to everybody who may read it.
fn tell_readers(
    conn: &mut AnyConn,
    id: ConcernId,
    about: Option<StaffId>,
    letter: &str,
    at: NaiveDateTime,
) -> Result<(), Failure> {
    let named = concern_readers(conn)?;
    let people = members(conn)?;
    for (nth, account_id) in named.iter().copied().enumerate() {
        let staff = people.iter().find(|one| one.account == account_id).map(|one| one.id);
        if !(Reader { account: account_id, staff, named: &named }).may_read(about) {
            continue;
        }
        let Some(addressee) = find_addressee(conn, account_id)? else { continue };
        let (message_id, language, subject_id) = (format!("{nth}.{letter}"), addressee.language, id.raw());
        add_letter(conn, &NewLetter { message_id, kind: LETTER, subject_id, account_id, language, at })?;
    }
    Ok(())
}

/// What a letter tells: to whom, and where.
#[derive(Clone, Debug)]
pub struct ForLetter {
    /// The reader's name.
    pub to_name: String,
    /// The reader's address.
    pub to_address: String,
    /// The concern's reference.
    pub reference: String,
}

/// A letter by the concern's row; `None` when it is settled, or the reader reads it no more.
///
/// # Errors
/// When the database does not answer.
pub fn for_letter(app: &App, id: i64, account: AccountId) -> Result<Option<ForLetter>, Failure> {
    app.store.read(|conn| {
        let Some(row) = find_concern_by_id(conn, ConcernId::new(id))? else { return Ok(None) };
        let Some(reader) = find_addressee(conn, account)? else { return Ok(None) };
        let named = concern_readers(conn)?.contains(&account);
        if !named || row.settled_at.is_some() || reader.disabled_at.is_some() {
            return Ok(None);
        }
        let to_name = full_name(&reader.given_name, &reader.family_name);
        Ok(Some(ForLetter { to_name, to_address: reader.email, reference: row.reference }))
    })
}

/// Who reads concerns, and the state's number, as the administrator sees them.
#[derive(Clone, Debug)]
pub struct Named {
    /// The state's number.
    pub line: ReportingLine,
    /// The account references of those who read.
    pub readers: Vec<String>,
    /// Everybody of the staff: account reference and name.
    pub people: Vec<(String, String)>,
    /// Rises with each change of the program.
    pub revision: i64,
}

/// Who reads concerns.
pub fn named(app: &App, caller: &Caller) -> Result<Named, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let mut readers = Vec::new();
        for account in concern_readers(conn)? {
            readers.push(reference_of(conn, account)?);
        }
        let people = members(conn)?.into_iter().map(|one| (one.reference, one.name)).collect();
        Ok(Named { line: program.settings.reporting_line, readers, people, revision: program.row.revision })
    })
}

/// Names two people who read concerns, and enters the state's number.
///
/// # Errors
/// `NotFound` for somebody who is not of the staff; `DraftMoved` when the program was changed since it was seen.
pub fn name(
    app: &App,
    caller: &Caller,
    revision: i64,
    readers: [String; READERS],
    line: ReportingLine,
) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("name readers", move |conn| -> Result<(), Failure> {
        let program = program::load(conn)?;
        let settings = ProgramSettings { reporting_line: line.clone(), ..program.settings };
        let change = ProgramChange {
            name: program.row.name,
            office_phone: program.row.office_phone,
            office_email: program.row.office_email,
            settings: serde_json::to_string(&settings).map_err(Failure::broken)?,
            revision: revision + 1,
        };
        if !set_program(conn, revision, &change)? {
            return Err(Refusal::DraftMoved.into());
        }
        let people = members(conn)?;
        let mut accounts = Vec::new();
        for reference in &readers {
            let account = find_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
            if people.iter().all(|one| one.account != account) {
                return Err(Failure::NotFound);
            }
            accounts.push(account);
        }
        set_concern_readers(conn, &accounts, now)?;
        let detail = format!("accounts {}", readers.join(" "));
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "concern.readers", "program", detail))?)
    })
}
