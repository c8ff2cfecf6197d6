//! Certificates after they were given: anybody may check a code, the family and the office may fetch the paper, the
//! office may take one back. Giving them is part of closing a session.

pub mod letter;
pub(super) mod paper;

use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Duty, Permission, Subject, may};
use crate::domain::certificate::{CertificateCode, CertificateRecord, CertificateState, initials};
use crate::domain::refusal::Refusal;
use crate::domain::session::SessionState;
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, Line};
use crate::outside::pdf::CannotSet;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::certificates::{CertificateRow, find_certificate, revoke_certificate};
use crate::store::families::find_guardianship;
use crate::store::files::find_file;
use crate::store::programs::find_program;
use crate::store::registrations::{RegistrationRow, find_registration_by_id};
use crate::store::sessions::{SessionView, duty_of, find_session_by_id};
use crate::store::{AnyConn, StoreError};

/// The answer to "is this certificate real?".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// The code that was asked about.
    pub code: CertificateCode,
    /// How it stands today.
    pub state: CertificateState,
    /// What a stranger is told; nothing for unknown and unconfirmed ones.
    pub told: Option<Told>,
    /// Whether the asker may take it back.
    pub may_revoke: bool,
}

/// What a stranger is told: no name, no birth date, no place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The course's title in the asker's language.
    pub course: String,
    /// The day of completion.
    pub completed_on: chrono::NaiveDate,
    /// The rider's initials.
    pub initials: String,
}

/// A file to take away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Download {
    /// A name made of fixed letters and the code.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Checks a code, for anybody. Days are counted in the program's time zone.
///
/// # Errors
/// Those of the store.
pub fn check(app: &App, caller: &Caller, code: CertificateCode, lang: Lang) -> Result<Checked, Failure> {
    app.store.read(|conn| {
        let Some(row) = find_certificate(conn, code.as_str())? else {
            let state = CertificateState::on(app.clock.now().date(), None);
            return Ok(Checked { code, state, told: None, may_revoke: false });
        };
        let (_, view) = place_of(conn, &row)?;
        let zone = find_program(conn)?.and_then(|program| program.time_zone.parse().ok()).unwrap_or(chrono_tz::UTC);
        let day_of = |at| LocalTime::from_utc(at, zone).wall.date();
        let record = CertificateRecord {
            valid_from: row.valid_from,
            confirmed: view.session.state == SessionState::Closed,
            revoked_on: row.revoked_at.map(day_of),
        };
        let state = CertificateState::on(app.clock.today(zone), Some(&record));
        let told = (state != CertificateState::NotYetConfirmed).then(|| Told {
            course: view.course.title(lang).to_owned(),
            completed_on: row.completed_on,
            initials: initials(&row.rider_name),
        });
        let may_revoke = row.revoked_at.is_none() && granted(caller, Action::Revoke, Subject::Program);
        Ok(Checked { code, state, told, may_revoke })
    })
}

fn place_of(conn: &mut AnyConn, row: &CertificateRow) -> Result<(RegistrationRow, SessionView), StoreError> {
    let (registration, _) = find_registration_by_id(conn, row.registration_id)?;
    let view = find_session_by_id(conn, registration.session_id)?;
    Ok((registration, view))
}

/// The paper of a certificate, for the rider's active guardian, the office and the session's lead. For everybody else
/// there is no such certificate. A guardian does not get the paper of a revoked one.
///
/// # Errors
/// `NotFound`; `Refused(NameCannotBeSet)` when a letter of the sheet is not in its font.
pub fn paper(app: &App, caller: &Caller, code: &str) -> Result<Download, Failure> {
    let code = CertificateCode::parse(code).map_err(|_| Failure::NotFound)?;
    let name = format!("certificate-{code}.pdf");
    let frozen = app.store.read(|conn| {
        let row = find_certificate(conn, code.as_str())?.ok_or(Failure::NotFound)?;
        let (registration, view) = place_of(conn, &row)?;
        if !may_have_paper(app, caller, conn, &row, &registration, &view)? {
            return Err(Failure::NotFound);
        }
        match row.file_id {
            Some(id) => Ok(Ok(find_file(conn, id)?)),
            None => Ok(Err((paper::About::of(app, conn, &view)?, row))),
        }
    })?;
    let bytes = match frozen {
        Ok(file) => paper::open(app, &file)?,
        Err((about, row)) => {
            paper::set(&about, &paper::Words::from(&row)).map_err(|no| refused(&row.rider_name, no))?
        }
    };
    Ok(Download { name, bytes })
}

fn refused(name: &str, fault: CannotSet) -> Failure {
    match fault {
        CannotSet::Characters { characters } => {
            let characters = characters.iter().map(char::to_string).collect::<Vec<_>>().join(" ");
            Refusal::NameCannotBeSet { name: name.to_owned(), characters }.into()
        }
        other => Failure::broken(other),
    }
}

fn granted(caller: &Caller, action: Action, subject: Subject) -> bool {
    may(caller, action, subject) == Permission::Granted
}

fn may_have_paper(
    app: &App,
    caller: &Caller,
    conn: &mut AnyConn,
    row: &CertificateRow,
    registration: &RegistrationRow,
    view: &SessionView,
) -> Result<bool, StoreError> {
    if granted(caller, Action::SeeSeason, Subject::Program) {
        return Ok(true);
    }
    let tie = match caller.guardian() {
        Some(guardian) => find_guardianship(conn, guardian, registration.rider_id)?,
        None => None,
    };
    if row.revoked_at.is_none() && granted(caller, Action::AnswerForRider, Subject::Rider { tie }) {
        return Ok(true);
    }
    let duty = match caller.staff() {
        Some(member) => duty_of(conn, view.session.id, member)?,
        None => None,
    };
    let today = app.clock.today(view.site.time_zone.parse().unwrap_or(chrono_tz::UTC));
    let (held_on, last_on) = (view.session.held_on, view.session.last_on);
    let window = program::load(conn)?.staff_window();
    let subject = Subject::Session { duty, held_on, last_on, today, window };
    Ok(duty == Some(Duty::Lead) && granted(caller, Action::RunSession, subject))
}

/// Takes a certificate back for a reason.
///
/// # Errors
/// `NotFound` for an unknown code, `Refused(AlreadyRevoked)`.
pub fn revoke(app: &App, caller: &Caller, code: &str, reason: &Line) -> Result<CertificateCode, Failure> {
    ask(caller, Action::Revoke, Subject::Program)?;
    let code = CertificateCode::parse(code).map_err(|_| Failure::NotFound)?;
    let (at, account, request) = (app.clock.now(), caller.account(), caller.request.clone());
    let why = reason.as_str().to_owned();
    app.store.write("revoke certificate", move |conn| {
        let row = find_certificate(conn, code.as_str())?.ok_or(Failure::NotFound)?;
        if !revoke_certificate(conn, row.id, at, &why)? {
            return Err(Refusal::AlreadyRevoked.into());
        }
        let (registration, _) = place_of(conn, &row)?;
        let subject = format!("registration {}", registration.reference);
        let (action, request, detail) = ("certificate.revoke", request.clone(), String::new());
        add_audit_row(conn, &AuditRow { at, account, action, subject, request, detail })?;
        Ok(code)
    })
}
