//! The machines of the program: the list, and adding one.

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::refusal::Refusal;
use crate::store::StoreError;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::machines::{add_machine, list_machines};

pub use crate::store::machines::{MachineRow, NewMachine};

/// All machines by number: 2 before 10, and numbers before names.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<MachineRow>, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let mut machines = app.store.read(|conn| list_machines(conn).map_err(Failure::from))?;
    machines.sort_by_key(|machine| (machine.number.parse().unwrap_or(u64::MAX), machine.number.clone()));
    Ok(machines)
}

/// Adds a machine.
///
/// # Errors
/// `CodeTaken` when another machine carries the number.
pub fn add(app: &App, caller: &Caller, new: NewMachine) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("add machine", move |conn| {
        match add_machine(conn, &new) {
            Err(StoreError::Duplicate(_)) => return Err(Refusal::CodeTaken { code: new.number.clone() }.into()),
            other => other?,
        };
        let subject = format!("machine {}", new.number);
        add_audit_row(conn, &AuditRow::by(&caller, now, "machine.add", subject, new.category.clone()))?;
        Ok(())
    })
}
