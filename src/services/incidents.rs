//! Reports of what hurt a person or broke a machine: read by the session's teaching staff and the office, written until two people
//! have signed, and only added to afterwards. Each look at one stands in the audit log.

mod added;
mod list;
mod tell;

use chrono::{NaiveDate, NaiveDateTime};

use super::roster::opened::{Opened, open, zone_of};
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Permission, Subject, may};
use crate::domain::ids::{AccountId, SessionId};
use crate::domain::incident::{Report, ReportPart, Standing};
use crate::domain::refusal::{IncidentRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::time::LocalTime;
use crate::domain::words::{Phone, full_name};
use crate::store::accounts::names_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::incidents::{
    IncidentRow, addenda_of, close_incident, find_incident, hold_incident, incidents_of, photos_of, set_insurer_told,
    set_report, sign_incident,
};
use crate::store::registrations::find_registration_by_id;
use crate::store::sessions::{SessionView, find_session_by_id};
use crate::store::{AnyConn, StoreError};

pub use crate::outside::photo::{MEDIA as PHOTO_MEDIA, PhotoFault};
pub use added::{add_addendum, add_photo, photo};
pub(super) use list::due;
pub use list::{Due, Listed, NearMiss, OfSession, Reports, list, of_session};
pub(super) use tell::tell_office;
pub use tell::{ForLetter, LETTER, for_letter};

/// Where the seal of a report belongs.
const SEAL: (&str, &str) = ("incidents", "body");

/// A report as a page tells it. Instants are on the clocks of the site.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Its row.
    pub row: IncidentRow,
    /// At which session.
    pub session: SessionView,
    /// The rider: the registration's reference, the name and the age on the day.
    pub rider: Option<(String, String, i64)>,
    /// What it says.
    pub report: Report,
    /// What must be written before anybody signs.
    pub lacks: Vec<ReportPart>,
    /// What a form is drawn from.
    pub seen: Seen,
    /// When the program learned of it.
    pub learned: NaiveDateTime,
    /// The day by which it is closed.
    pub report_due: NaiveDate,
    /// The instant by which the insurer is told.
    pub insurer_due: NaiveDateTime,
    /// Through which day it is kept.
    pub kept_through: NaiveDate,
    /// Who opened it.
    pub opened_by: String,
    /// Who signed first, and when.
    pub signed: Option<(String, NaiveDateTime)>,
    /// Who closed it, and when.
    pub closed: Option<(String, NaiveDateTime)>,
    /// Who told the insurer, and when.
    pub insurer_told: Option<(String, NaiveDateTime)>,
    /// What was added: when, by whom, what.
    pub addenda: Vec<(NaiveDateTime, String, String)>,
    /// Its photos: number, when, from whom.
    pub photos: Vec<(i64, NaiveDateTime, String)>,
    /// The office's telephone as people read it.
    pub office_phone: String,
    /// Whether the reader signed first.
    pub is_own_signature: bool,
    /// Whether the reader may close it, once somebody else has signed.
    pub may_settle: bool,
    /// Whether the reader may note that the insurer was told.
    pub may_tell_insurer: bool,
}

impl Sheet {
    /// Where it stands.
    #[must_use]
    pub fn standing(&self) -> Standing {
        self.row.standing()
    }
}

/// A report as it lies in the table, opened for somebody who may read it.
struct Read {
    opened: Opened,
    row: IncidentRow,
    report: Report,
}

impl Read {
    fn seen(&self) -> Seen {
        Seen::of(&(&self.report, self.row.ambulance))
    }

    fn lacks(&self) -> Vec<ReportPart> {
        self.report.lacks(self.row.kind, self.row.registration_id.is_some())
    }
}

/// Seals a report for its row.
pub(super) fn sealed(app: &App, row_key: &[u8; 16], report: &Report) -> Result<Vec<u8>, Failure> {
    let plain = serde_json::to_vec(report).map_err(Failure::broken)?;
    Ok(app.cipher.seal(SEAL.0, SEAL.1, row_key, &plain))
}

fn key_of(row_key: &[u8]) -> Result<[u8; 16], Failure> {
    Ok(row_key.try_into().map_err(|_| StoreError::Unreadable("incidents.row_key"))?)
}

/// The words of a sealed report.
pub(super) fn unsealed(app: &App, row: &IncidentRow) -> Result<Report, Failure> {
    let plain = app.cipher.open(SEAL.0, SEAL.1, &key_of(&row.row_key)?, &row.body).map_err(Failure::broken)?;
    serde_json::from_slice(&plain).map_err(Failure::broken)
}

/// Opens a report for somebody who may read it.
///
/// # Errors
/// `NotFound` when there is none, or the caller may not know of it.
fn read(app: &App, conn: &mut AnyConn, caller: &Caller, row: Option<IncidentRow>) -> Result<Read, Failure> {
    let row = row.ok_or(Failure::NotFound)?;
    let view = find_session_by_id(conn, row.session_id)?;
    let opened = open(conn, caller, &view.session.reference, app.clock.now())?;
    ask(caller, Action::ReadIncident, opened.subject())?;
    Ok(Read { report: unsealed(app, &row)?, opened, row })
}

/// One report. The look is noted.
///
/// # Errors
/// `NotFound` when there is none, or the caller may not know of it.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    let (own, caller, reference) = (app.clone(), caller.clone(), reference.to_owned());
    app.store.write("read incident", move |conn| -> Result<Sheet, Failure> {
        let row = find_incident(conn, &reference)?;
        let read = read(&own, conn, &caller, row)?;
        let (subject, now) = (format!("incident {reference}"), own.clock.now());
        add_audit_row(conn, &AuditRow::by(&caller, now, "incident.read", subject, ""))?;
        sheet(&own, conn, &caller, read)
    })
}

/// The reports of a session, the oldest first, for a paper of it.
pub(super) fn sheets_of(
    app: &App,
    conn: &mut AnyConn,
    caller: &Caller,
    session: SessionId,
) -> Result<Vec<Sheet>, Failure> {
    let mut found = Vec::new();
    for row in incidents_of(conn, session)?.into_iter().rev() {
        let read = read(app, conn, caller, Some(row))?;
        found.push(sheet(app, conn, caller, read)?);
    }
    Ok(found)
}

fn sheet(app: &App, conn: &mut AnyConn, caller: &Caller, read: Read) -> Result<Sheet, Failure> {
    let (lacks, seen) = (read.lacks(), read.seen());
    let Read { opened, row, report } = read;
    let program = program::load(conn)?;
    let zone = zone_of(&opened.view);
    let local = |at: NaiveDateTime| LocalTime::from_utc(at, zone).wall;
    let (addenda, photos) = (addenda_of(conn, row.id)?, photos_of(conn, row.id)?);
    let mut people: Vec<AccountId> = vec![row.opened_by];
    people.extend([row.signed_by, row.closed_by, row.insurer_told_by].into_iter().flatten());
    people.extend(addenda.iter().map(|one| one.account_id).chain(photos.iter().map(|one| one.account_id)));
    let names = names_of(conn, &people)?;
    let name = |id: AccountId| names.get(&id).cloned().unwrap_or_default();
    let stamp = |by: Option<AccountId>, at: Option<NaiveDateTime>| by.zip(at).map(|(by, at)| (name(by), local(at)));
    let (mut rider, mut born) = (None, None);
    if let Some(id) = row.registration_id {
        let (registration, child) = find_registration_by_id(conn, id)?;
        let age = opened.age_of(&child);
        rider = Some((registration.reference, full_name(&child.given_name, &child.family_name), age));
        born = Some(child.birth_date);
    }
    let mut told = Vec::new();
    for one in addenda {
        told.push((local(one.at), name(one.account_id), added::words(app, &one)?));
    }
    let learned = local(row.learned_at);
    Ok(Sheet {
        report_due: program.settings.retention.report_due(learned.date()),
        insurer_due: local(program.settings.incidents.insurer_due(row.learned_at, row.ambulance)),
        kept_through: program.settings.retention.report_until(row.happened_on, born),
        opened_by: name(row.opened_by),
        signed: stamp(row.signed_by, row.signed_at),
        closed: stamp(row.closed_by, row.closed_at),
        insurer_told: stamp(row.insurer_told_by, row.insurer_told_at),
        addenda: told,
        photos: photos.iter().map(|one| (one.ordinal, local(one.at), name(one.account_id))).collect(),
        office_phone: Phone::shown(&program.row.office_phone),
        is_own_signature: row.signed_by.is_some() && row.signed_by == caller.account(),
        may_settle: may(caller, Action::SettleIncident, opened.subject()) == Permission::Granted,
        may_tell_insurer: may(caller, Action::SeeOffice, Subject::Program) == Permission::Granted,
        session: opened.view,
        learned,
        rider,
        report,
        lacks,
        seen,
        row,
    })
}

/// Does something to a report that nobody else changes meanwhile, with a row in the audit log whose words the work gives.
fn write(
    app: &App,
    caller: &Caller,
    reference: &str,
    what: &'static str,
    work: impl Fn(&mut AnyConn, &Read, AccountId, NaiveDateTime) -> Result<Option<String>, Failure> + Send + 'static,
) -> Result<(), Failure> {
    let by = caller.account().ok_or(Failure::NotAllowed)?;
    let (own, caller, reference, now) = (app.clone(), caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write(what, move |conn| -> Result<(), Failure> {
        let row = hold_incident(conn, &reference)?;
        let read = read(&own, conn, &caller, row)?;
        if let Some(detail) = work(conn, &read, by, now)? {
            add_audit_row(conn, &AuditRow::by(&caller, now, what, format!("incident {reference}"), detail))?;
        }
        Ok(())
    })
}

fn no(refusal: IncidentRefusal) -> Failure {
    Refusal::Incident(refusal).into()
}

/// Writes what a report says. A signature on what it said before does not count any more.
///
/// # Errors
/// `NotFound`; `Closed`; `DraftMoved` when somebody wrote it since it was seen.
pub fn change(
    app: &App,
    caller: &Caller,
    reference: &str,
    seen: &Seen,
    (report, ambulance): (Report, bool),
) -> Result<(), Failure> {
    let (own, seen) = (app.clone(), seen.clone());
    write(app, caller, reference, "incident.change", move |conn, read, _, _| {
        read.row.standing().may_change().map_err(no)?;
        if read.seen() != seen {
            return Err(Refusal::DraftMoved.into());
        }
        // What the program knew by itself is nobody's to write.
        let after = Report { circumstances: read.report.circumstances.clone(), ..report.clone() };
        let parts: Vec<String> = read.report.changed(&after).iter().map(ToString::to_string).collect();
        if parts.is_empty() && ambulance == read.row.ambulance {
            return Ok(None);
        }
        set_report(conn, read.row.id, &sealed(&own, &key_of(&read.row.row_key)?, &after)?, ambulance)?;
        Ok(Some(parts.join(" ")))
    })
}

/// Signs what a report says now, as the first of two people.
///
/// # Errors
/// `NotFound`; `Closed`; `Lacks`; `DraftMoved` when it says something else by now.
pub fn sign(app: &App, caller: &Caller, reference: &str, seen: &Seen) -> Result<(), Failure> {
    let seen = seen.clone();
    write(app, caller, reference, "incident.sign", move |conn, read, by, now| {
        read.row.standing().may_sign(&read.lacks()).map_err(no)?;
        if read.seen() != seen {
            return Err(Refusal::DraftMoved.into());
        }
        if matches!(read.row.standing(), Standing::Signed { .. }) {
            return Ok(None);
        }
        sign_incident(conn, read.row.id, by, now)?;
        Ok(Some(String::new()))
    })
}

/// Signs as the second of two people, which closes the report for good.
///
/// # Errors
/// `NotFound`; `NotAllowed` for who neither leads nor is of the office; what `Standing::may_close` says; `DraftMoved`.
pub fn close(app: &App, caller: &Caller, reference: &str, seen: &Seen) -> Result<(), Failure> {
    let (who, seen) = (caller.clone(), seen.clone());
    write(app, caller, reference, "incident.close", move |conn, read, by, now| {
        ask(&who, Action::SettleIncident, read.opened.subject())?;
        read.row.standing().may_close(by, &read.lacks()).map_err(no)?;
        if read.seen() != seen {
            return Err(Refusal::DraftMoved.into());
        }
        close_incident(conn, read.row.id, by, now)?;
        Ok(Some(String::new()))
    })
}

/// Notes that the insurer was told.
///
/// # Errors
/// `NotFound`; `NotAllowed` for who is not of the office; `ToldAlready`.
pub fn tell_insurer(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    write(app, caller, reference, "incident.insurer_told", move |conn, read, by, now| {
        match set_insurer_told(conn, read.row.id, by, now)? {
            true => Ok(Some(String::new())),
            false => Err(no(IncidentRefusal::ToldAlready)),
        }
    })
}
