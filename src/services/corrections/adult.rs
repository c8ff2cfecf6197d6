//! An adult's own name and telephone.

use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::GuardianId;
use crate::domain::words::Phone;
use crate::services::register::answers::AdultsAnswers;
use crate::services::register::reading;
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{GuardianRow, adults_of, find_guardian, find_rider_by_reference, set_guardian};

use super::Changed;

/// Name and telephone as the form asks for them.
fn asked_of(row: GuardianRow) -> AdultsAnswers {
    let phone = Phone::shown(&row.phone);
    AdultsAnswers { given: row.given_name, family: row.family_name, phone, ..AdultsAnswers::default() }
}

/// The caller.
///
/// # Errors
/// `NotFound` for who is no guardian.
pub fn find_self(app: &App, caller: &Caller) -> Result<AdultsAnswers, Failure> {
    let guardian = caller.guardian().ok_or(Failure::NotFound)?;
    app.store.read(|conn| Ok(asked_of(find_guardian(conn, guardian)?)))
}

/// Changes the caller's name and telephone.
///
/// # Errors
/// `NotFound` for who is no guardian.
pub fn set_self(app: &App, caller: &Caller, answers: &AdultsAnswers) -> Result<Changed, Failure> {
    let guardian = caller.guardian().ok_or(Failure::NotFound)?;
    set(app, caller, answers, move |_| Ok(guardian))
}

/// An adult of a child, by their number in the office's list of its adults, from 1.
fn numbered(conn: &mut AnyConn, child: &str, number: usize) -> Result<GuardianRow, Failure> {
    let rider = find_rider_by_reference(conn, child)?.ok_or(Failure::NotFound)?;
    let adults = adults_of(conn, rider.id)?;
    let adult = number.checked_sub(1).and_then(|at| adults.into_iter().nth(at));
    Ok(adult.ok_or(Failure::NotFound)?.guardian)
}

/// An adult of a child, for the office.
///
/// # Errors
/// `NotFound` for a child or a number that is not there.
pub fn find_adult(app: &App, caller: &Caller, child: &str, number: usize) -> Result<AdultsAnswers, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| Ok(asked_of(numbered(conn, child, number)?)))
}

/// Changes the name and the telephone of an adult who called the office.
///
/// # Errors
/// As [`find_adult`].
pub fn set_adult(
    app: &App,
    caller: &Caller,
    child: &str,
    number: usize,
    answers: &AdultsAnswers,
) -> Result<Changed, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let child = child.to_owned();
    set(app, caller, answers, move |conn| Ok(numbered(conn, &child, number)?.id))
}

fn set(
    app: &App,
    caller: &Caller,
    answers: &AdultsAnswers,
    whom: impl Fn(&mut AnyConn) -> Result<GuardianId, Failure> + Send + Sync + 'static,
) -> Result<Changed, Failure> {
    let (name, phone) = match reading::reached_by_phone(answers) {
        Ok(read) => read,
        Err(faults) => return Ok(Changed::Faulty(faults)),
    };
    let (caller, at) = (caller.clone(), app.clock.now());
    app.store.write("change adult", move |conn| -> Result<Changed, Failure> {
        let adult = whom(conn)?;
        let before = find_guardian(conn, adult)?;
        let renamed = before.given_name != name.given() || before.family_name != name.family();
        let what = [("name", renamed), ("phone", before.phone != phone)];
        let what: Vec<&str> = what.into_iter().filter_map(|(what, differs)| differs.then_some(what)).collect();
        if what.is_empty() {
            return Ok(Changed::Kept);
        }
        set_guardian(conn, &before, (name.given(), name.family()), &phone)?;
        let subject = format!("adult {}", adult.raw());
        add_audit_row(conn, &AuditRow::by(&caller, at, "adult.change", subject, what.join(" ")))?;
        Ok(Changed::Kept)
    })
}
