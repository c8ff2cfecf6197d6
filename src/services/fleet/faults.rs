//! Faults of machines as steps of a transaction: written down, taken back, and what they leave a machine in.

use chrono::NaiveDateTime;

use super::sheet::state_of;
use crate::domain::ids::AccountId;
use crate::domain::machine::MachineState;
use crate::domain::machine::record::state_by_faults;
use crate::domain::words::Word;
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::machine_log::{add_defect, defects_of, take_back_defect};
use crate::store::machines::{MachineRow, hold_machine, set_machine_state};

/// Writes a fault down and takes the machine out of use; one that left the fleet stays so. The same words for a fault that
/// is open already are the second press of one finger.
pub(in crate::services) fn note_fault(
    conn: &mut AnyConn,
    machine: &MachineRow,
    what: &str,
    by: Option<AccountId>,
    at: NaiveDateTime,
) -> Result<(), Failure> {
    let machine = hold_machine(conn, &machine.reference)?.ok_or(Failure::NotFound)?;
    if defects_of(conn, machine.id)?.iter().any(|one| one.mended_at.is_none() && one.what == what) {
        return Ok(());
    }
    add_defect(conn, machine.id, what, by, at)?;
    settle(conn, &machine)
}

/// Takes faults back that were written down by mistake: those of these words, found by this person at this moment.
pub(in crate::services) fn take_back_faults(
    conn: &mut AnyConn,
    machine: &MachineRow,
    faults: &[String],
    by: AccountId,
    (found_at, now): (NaiveDateTime, NaiveDateTime),
) -> Result<(), Failure> {
    let machine = hold_machine(conn, &machine.reference)?.ok_or(Failure::NotFound)?;
    for defect in defects_of(conn, machine.id)? {
        let is_own = defect.found_by == Some(by) && defect.found_at == Some(found_at);
        if is_own && faults.contains(&defect.what) {
            take_back_defect(conn, machine.id, defect.ordinal, by, now)?;
        }
    }
    settle(conn, &machine)
}

/// The state that its faults leave a machine in.
pub(super) fn by_faults(conn: &mut AnyConn, machine: &MachineRow) -> Result<MachineState, Failure> {
    Ok(state_by_faults(defects_of(conn, machine.id)?.iter().filter(|one| one.mended_at.is_none()).count()))
}

/// Puts a machine into the state that its faults leave it in, unless it has left the fleet.
pub(super) fn settle(conn: &mut AnyConn, machine: &MachineRow) -> Result<(), Failure> {
    if state_of(machine) != MachineState::Retired {
        let state = by_faults(conn, machine)?;
        set_machine_state(conn, machine.id, state.as_str())?;
    }
    Ok(())
}
