//! The machines of the program: the list, adding one, and where machines are kept. One machine stands in `sheet`.

mod faults;
pub mod import;
pub mod sheet;
pub mod tags;

use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::machine::MachineState;
use crate::domain::machine::record::{EventKind, PlaceKind, RecordClaims, RecordFault, number_order, record_faults};
use crate::domain::measures::Length;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Line, Word};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::machine_log::{add_event, open_defects};
use crate::store::machines::{add_machine, add_place as keep_place, list_machines, list_places};
use crate::store::{AnyConn, StoreError};

pub(super) use faults::{note_fault, take_back_faults};

pub use crate::store::machines::{MachineFacts, MachineRow, StoragePlaceRow};

/// A machine in the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Its record.
    pub row: MachineRow,
    /// Where it is kept.
    pub place: Option<String>,
    /// What is wrong with it.
    pub faults: Vec<String>,
}

/// All machines by number: 2 before 10, and numbers before names.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Listed>, Failure> {
    ask(caller, Action::SeeFleet, Subject::Program)?;
    app.store.read(|conn| {
        let (places, defects) = (list_places(conn)?, open_defects(conn)?);
        let listed = |row: MachineRow| {
            let place = places.iter().find(|place| Some(place.id) == row.place_id).map(|place| place.name.clone());
            let own = defects.iter().filter(|defect| defect.machine_id == row.id);
            Listed { place, faults: own.map(|defect| defect.what.clone()).collect(), row }
        };
        let mut machines: Vec<Listed> = list_machines(conn)?.into_iter().map(listed).collect();
        machines.sort_by_key(|one| number_order(&one.row.number));
        Ok(machines)
    })
}

/// What became of a record that somebody sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kept {
    /// It is kept; the machine's reference.
    Done(String),
    /// It cannot be.
    Faulty(Vec<RecordFault>),
}

/// Adds a machine that is ready, with a fault of it if one is known.
///
/// # Errors
/// `CodeTaken` when another machine carries the number.
pub fn add(app: &App, caller: &Caller, facts: MachineFacts) -> Result<Kept, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, clock, reference) = (app.clock.now(), caller.clone(), app.clock.clone(), app.random.reference());
    app.store.write("add machine", move |conn| -> Result<Kept, Failure> {
        let faults = record_faults(claims(&facts), clock.today(program::load(conn)?.zone));
        if !faults.is_empty() {
            return Ok(Kept::Faulty(faults));
        }
        let ready = MachineState::Ready.as_str();
        let id = once(add_machine(conn, &facts, &reference, ready), &facts.number)?;
        add_event(conn, id, (EventKind::Added, ""), caller.account(), now)?;
        let subject = format!("machine {}", facts.number);
        add_audit_row(conn, &AuditRow::by(&caller, now, "machine.add", subject, facts.category.clone()))?;
        Ok(Kept::Done(reference.clone()))
    })
}

fn claims(facts: &MachineFacts) -> RecordClaims {
    RecordClaims {
        built_on: facts.built_on,
        has_limiter: facts.limiter_tenths_mph.is_some(),
        limiter_set_on: facts.limiter_set_on,
        seat_height: Length::from_um(facts.seat_height_um),
        seat_to_rest: Length::from_um(facts.seat_to_rest_um),
    }
}

fn once<T>(kept: Result<T, StoreError>, number: &str) -> Result<T, Failure> {
    match kept {
        Err(StoreError::Duplicate(_)) => Err(Refusal::CodeTaken { code: number.to_owned() }.into()),
        other => Ok(other?),
    }
}

/// Where machines and gear are kept, by name.
pub fn places(app: &App, caller: &Caller) -> Result<Vec<StoragePlaceRow>, Failure> {
    ask(caller, Action::SeeFleet, Subject::Program)?;
    Ok(app.store.read(list_places)?)
}

/// Adds a place where machines and gear are kept.
///
/// # Errors
/// `CodeTaken` when another place has the name.
pub fn add_place(app: &App, caller: &Caller, name: Line, kind: PlaceKind) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("add storage place", move |conn: &mut AnyConn| -> Result<(), Failure> {
        if !keep_place(conn, name.as_str(), kind)? {
            return Err(Refusal::CodeTaken { code: name.as_str().to_owned() }.into());
        }
        let row = AuditRow::by(&caller, now, "place.add", "storage place", kind.as_str());
        Ok(add_audit_row(conn, &row)?)
    })
}
