//! Machines that come in a spreadsheet file: read into rows, looked at beside the fleet, and added, all of them or none. The
//! file is not kept: the page of the look carries its rows to the press.

use chrono::NaiveDate;

use super::{App, Failure, MachineFacts, RecordFault, ask, claims, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::machine::MachineState;
use crate::domain::machine::record::{EventKind, record_faults};
use crate::domain::machine::sheet::Column;
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::services::carried_sheet::{self, Brought, SheetFault};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::machine_log::add_event;
use crate::store::machines::{add_machine, list_machines};
use crate::store::{AnyConn, StoreError};

/// Reads a file into rows.
///
/// # Errors
/// What is wrong with the file.
pub fn read(app: &App, caller: &Caller, bytes: &[u8]) -> Result<Result<Brought<Column>, SheetFault>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    carried_sheet::read(app, bytes)
}

/// What becomes of a machine of the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is added.
    Added,
    /// A machine of the fleet carries the number.
    Here,
    /// An earlier row has the number, by its place.
    Again(usize),
    /// It cannot be.
    Faulty(Vec<RecordFault>),
}

/// What would become of each machine now.
pub fn look(app: &App, caller: &Caller, machines: &[MachineFacts]) -> Result<Vec<Outcome>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let today = clock.today(program::load(conn)?.zone);
        Ok(outcomes(conn, machines, today)?)
    })
}

fn outcomes(conn: &mut AnyConn, machines: &[MachineFacts], today: NaiveDate) -> Result<Vec<Outcome>, StoreError> {
    let here = list_machines(conn)?;
    let of = |(at, facts): (usize, &MachineFacts)| {
        let faults = record_faults(claims(facts), today);
        if !faults.is_empty() {
            return Outcome::Faulty(faults);
        }
        if here.iter().any(|row| row.number == facts.number) {
            return Outcome::Here;
        }
        let earlier = machines[..at].iter().position(|other| other.number == facts.number);
        earlier.map_or(Outcome::Added, Outcome::Again)
    };
    Ok(machines.iter().enumerate().map(of).collect())
}

/// Adds every machine, or none.
///
/// # Errors
/// `WorldMoved` when one of them cannot be added any more.
pub fn take(app: &App, caller: &Caller, machines: Vec<MachineFacts>) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let references: Vec<String> = machines.iter().map(|_| app.random.reference()).collect();
    let (now, caller, clock) = (app.clock.now(), caller.clone(), app.clock.clone());
    app.store.write("add machines", move |conn| -> Result<(), Failure> {
        let today = clock.today(program::load(conn)?.zone);
        if outcomes(conn, &machines, today)?.iter().any(|outcome| *outcome != Outcome::Added) {
            return Err(Refusal::WorldMoved.into());
        }
        for (facts, reference) in machines.iter().zip(&references) {
            let added = add_machine(conn, facts, reference, MachineState::Ready.as_str());
            let id = match added {
                Err(StoreError::Duplicate(_)) => return Err(Refusal::WorldMoved.into()),
                other => other?,
            };
            add_event(conn, id, (EventKind::Added, ""), caller.account(), now)?;
        }
        let detail = format!("{} machines", machines.len());
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "machine.import", "machines", detail))?)
    })
}
