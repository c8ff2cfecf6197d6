//! One machine: its record, its faults and its history; changing the record, writing a fault down, mending it, reading the
//! hour meter, moving it, and taking it out of the fleet. The audit log learns what was done to which machine, and no words.

use chrono::NaiveDateTime;

use super::faults::{by_faults, note_fault, settle};
use super::{Kept, claims, once};
use crate::domain::access::{Action, Caller, Permission, Subject, may};
use crate::domain::ids::{AccountId, StoragePlaceId};
use crate::domain::machine::record::{EventKind, RecordPart, may_read, record_faults};
use crate::domain::machine::{Edition, MachineState, edition};
use crate::domain::refusal::{IncidentRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::time::LocalTime;
use crate::domain::words::{Line, Word};
use crate::services::{App, Failure, ask, program};
use crate::store::AnyConn;
use crate::store::accounts::names_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::incidents::case_that_keeps;
use crate::store::machine_log::{DefectRow, add_event, defects_of, events_of, mend_defect};
use crate::store::machines::{
    MachineFacts, MachineRow, StoragePlaceRow, find_machine_by_reference, hold_machine, list_places, set_hours,
    set_machine, set_machine_state, set_place,
};

/// One machine.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Its record.
    pub row: MachineRow,
    /// The edition of the standard under which it was made, from its build date.
    pub edition: Option<Edition>,
    /// Where it is kept.
    pub place: Option<StoragePlaceRow>,
    /// Where it may be kept.
    pub places: Vec<StoragePlaceRow>,
    /// Faults that are not mended, the oldest first: number, words, and when and by whom they were found.
    pub open: Vec<(i64, String, Stamp)>,
    /// What happened to it, the newest first.
    pub history: Vec<(Stamp, Told)>,
    /// Whether the reader may put it back into use.
    pub may_mend: bool,
    /// Whether the reader may change its record.
    pub may_change: bool,
}

impl Sheet {
    /// Its state.
    #[must_use]
    pub fn state(&self) -> MachineState {
        MachineState::from_word(&self.row.state).unwrap_or(MachineState::OutOfUse)
    }
}

/// When something happened, on the clocks of the program, and by whom; either may be unknown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stamp {
    /// When.
    pub at: Option<NaiveDateTime>,
    /// Who; empty when nobody wrote it down.
    pub by: String,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// A fault was found.
    Found(String),
    /// A fault was mended.
    Mended {
        /// The fault.
        what: String,
        /// What was done.
        note: String,
    },
    /// Something else, with more of it.
    Event(EventKind, String),
}

/// One machine by its reference.
///
/// # Errors
/// `NotFound` when there is none.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    ask(caller, Action::SeeFleet, Subject::Program)?;
    let can = |action| may(caller, action, Subject::Program) == Permission::Granted;
    app.store.read(|conn| {
        let row = find_machine_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
        let zone = program::load(conn)?.zone;
        let (defects, events) = (defects_of(conn, row.id)?, events_of(conn, row.id)?);
        let mut people: Vec<AccountId> =
            defects.iter().flat_map(|one| [one.found_by, one.mended_by]).flatten().collect();
        people.extend(events.iter().filter_map(|event| event.account_id));
        let names = names_of(conn, &people)?;
        let name = |id: Option<AccountId>| id.and_then(|id| names.get(&id)).cloned().unwrap_or_default();
        let stamp =
            |at: Option<NaiveDateTime>, by| Stamp { at: at.map(|at| LocalTime::from_utc(at, zone).wall), by: name(by) };
        let open = defects.iter().rev().filter(|one| one.mended_at.is_none());
        let open = open.map(|one| (one.ordinal, one.what.clone(), stamp(one.found_at, one.found_by))).collect();
        let mut history: Vec<(Option<NaiveDateTime>, (Stamp, Told))> = Vec::new();
        for one in &defects {
            let DefectRow { what, note, found_at, found_by, mended_at, mended_by, .. } = one;
            history.push((*found_at, (stamp(*found_at, *found_by), Told::Found(what.clone()))));
            if mended_at.is_some() {
                let told = Told::Mended { what: what.clone(), note: note.clone() };
                history.push((*mended_at, (stamp(*mended_at, *mended_by), told)));
            }
        }
        for event in events {
            let told = Told::Event(event.kind, event.detail);
            history.push((Some(event.at), (stamp(Some(event.at), event.account_id), told)));
        }
        history.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
        let places = list_places(conn)?;
        Ok(Sheet {
            edition: edition(row.built_on),
            place: places.iter().find(|place| Some(place.id) == row.place_id).cloned(),
            places,
            open,
            history: history.into_iter().map(|(_, line)| line).collect(),
            may_mend: can(Action::MendMachine),
            may_change: can(Action::Plan),
            row,
        })
    })
}

/// Does something to a machine that nobody else changes meanwhile, with a row in the audit log.
fn write<T: Send + 'static>(
    app: &App,
    caller: &Caller,
    reference: &str,
    (action, what): (Action, &'static str),
    work: impl Fn(&mut AnyConn, &MachineRow, &Caller, NaiveDateTime) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    ask(caller, action, Subject::Program)?;
    let (now, caller, reference) = (app.clock.now(), caller.clone(), reference.to_owned());
    app.store.write(what, move |conn| -> Result<T, Failure> {
        let machine = hold_machine(conn, &reference)?.ok_or(Failure::NotFound)?;
        let done = work(conn, &machine, &caller, now)?;
        add_audit_row(conn, &AuditRow::by(&caller, now, what, format!("machine {}", machine.number), ""))?;
        Ok(done)
    })
}

pub(super) fn state_of(machine: &MachineRow) -> MachineState {
    MachineState::from_word(&machine.state).unwrap_or(MachineState::OutOfUse)
}

/// Changes the record. What cannot be, and what changes nothing, is answered without a write.
///
/// # Errors
/// `NotFound`; `DraftMoved` when it was changed since it was seen; `CodeTaken` when another machine carries the number.
pub fn change(app: &App, caller: &Caller, reference: &str, seen: &Seen, facts: MachineFacts) -> Result<Kept, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let unwritten = app.store.read(|conn| -> Result<Option<Kept>, Failure> {
        let machine = find_machine_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
        seen.holds_for(&machine)?;
        let faults = record_faults(claims(&facts), app.clock.today(program::load(conn)?.zone));
        if !faults.is_empty() {
            return Ok(Some(Kept::Faulty(faults)));
        }
        Ok(changed(&machine, &facts).is_empty().then(|| Kept::Done(machine.reference.clone())))
    })?;
    if let Some(kept) = unwritten {
        return Ok(kept);
    }
    let seen = seen.clone();
    write(app, caller, reference, (Action::Plan, "machine.change"), move |conn, machine, caller, now| {
        seen.holds_for(machine)?;
        once(set_machine(conn, machine.id, &facts), &facts.number)?;
        let parts: Vec<&str> = changed(machine, &facts).into_iter().map(|part| part.as_str()).collect();
        add_event(conn, machine.id, (EventKind::Changed, &parts.join(" ")), caller.account(), now)?;
        Ok(Kept::Done(machine.reference.clone()))
    })
}

/// The parts of a record that differ.
fn changed(before: &MachineRow, now: &MachineFacts) -> Vec<RecordPart> {
    let limiter = (before.limiter_tenths_mph, before.limiter_set_on, before.limiter_set_by.as_str());
    let tires = (before.tire_front_tenths_psi, before.tire_rear_tenths_psi);
    let sizes = (before.seat_height_um, before.seat_to_rest_um, before.grip_to_lever_um, before.rest_to_pedal_um);
    let differs = |part: &RecordPart| match part {
        RecordPart::Number => before.number != now.number,
        RecordPart::MakeModel => before.make_model != now.make_model,
        RecordPart::Serial => before.serial != now.serial,
        RecordPart::Category => before.category != now.category,
        RecordPart::Riders => before.seats != now.seats,
        RecordPart::Built => before.built_on != now.built_on,
        RecordPart::Engine => before.engine_cc_tenths != now.engine_cc_tenths,
        RecordPart::Weight => before.dry_weight_g != now.dry_weight_g,
        RecordPart::Sizes => {
            sizes != (now.seat_height_um, now.seat_to_rest_um, now.grip_to_lever_um, now.rest_to_pedal_um)
        }
        RecordPart::Limiter => limiter != (now.limiter_tenths_mph, now.limiter_set_on, now.limiter_set_by.as_str()),
        RecordPart::Tires => tires != (now.tire_front_tenths_psi, now.tire_rear_tenths_psi),
        RecordPart::Label => before.label != now.label,
    };
    RecordPart::ALL.iter().filter(|part| differs(part)).copied().collect()
}

/// Writes a fault down and takes the machine out of use at once.
///
/// # Errors
/// `NotFound`; `MachineRetired` for one that is no longer of the fleet.
pub fn report(app: &App, caller: &Caller, reference: &str, what: Line) -> Result<(), Failure> {
    write(app, caller, reference, (Action::SeeFleet, "machine.fault"), move |conn, machine, caller, now| {
        if state_of(machine) == MachineState::Retired {
            return Err(Refusal::MachineRetired { number: machine.number.clone() }.into());
        }
        note_fault(conn, machine, what.as_str(), caller.account(), now)
    })
}

/// Notes that a fault is mended. With the last one the machine is ready again.
///
/// # Errors
/// `NotFound`; `WorldMoved` when it is mended already; `Kept` while the report that keeps the machine is open.
pub fn mend(app: &App, caller: &Caller, reference: &str, ordinal: i64, note: Line) -> Result<(), Failure> {
    write(app, caller, reference, (Action::MendMachine, "machine.mend"), move |conn, machine, caller, now| {
        let defects = defects_of(conn, machine.id)?;
        let defect = defects.iter().find(|one| one.ordinal == ordinal).ok_or(Failure::NotFound)?;
        if let Some(case) = case_that_keeps(conn, defect.id)? {
            return Err(Refusal::Incident(IncidentRefusal::Kept { case }).into());
        }
        if !mend_defect(conn, machine.id, ordinal, note.as_str(), caller.account(), now)? {
            return Err(Refusal::WorldMoved.into());
        }
        settle(conn, machine)
    })
}

/// Notes what the hour meter shows, in tenths of an hour. Nothing changes when it shows what it showed.
///
/// # Errors
/// `NotFound`; `MeterRunsBack` when it shows less than before and is not a new one.
pub fn read_meter(app: &App, caller: &Caller, reference: &str, tenths: i64, is_new_meter: bool) -> Result<(), Failure> {
    write(app, caller, reference, (Action::SeeFleet, "machine.hours"), move |conn, machine, caller, now| {
        let before = machine.hours_tenths;
        if !may_read(before, tenths, is_new_meter) {
            return Err(Refusal::MeterRunsBack { before_tenths: before.unwrap_or_default() }.into());
        }
        if before != Some(tenths) {
            set_hours(conn, machine.id, tenths)?;
            add_event(conn, machine.id, (EventKind::Hours, &tenths.to_string()), caller.account(), now)?;
        }
        Ok(())
    })
}

/// Notes where the machine is kept from now on; by the place's row, or nowhere in particular.
///
/// # Errors
/// `NotFound`, also for a place that there is not.
pub fn move_to(app: &App, caller: &Caller, reference: &str, place: Option<i64>) -> Result<(), Failure> {
    write(app, caller, reference, (Action::SeeFleet, "machine.move"), move |conn, machine, caller, now| {
        let id = place.map(StoragePlaceId::new);
        let places = list_places(conn)?;
        let found = id.map(|id| places.iter().find(|place| place.id == id).ok_or(Failure::NotFound)).transpose()?;
        if id != machine.place_id {
            set_place(conn, machine.id, id)?;
            let name = found.map(|place| place.name.as_str()).unwrap_or_default();
            add_event(conn, machine.id, (EventKind::Moved, name), caller.account(), now)?;
        }
        Ok(())
    })
}

/// Takes the machine out of the fleet, or back into it, with a reason. Faults that are open stay open.
///
/// # Errors
/// `NotFound`; `WorldMoved` when it stands so already.
pub fn set_retired(app: &App, caller: &Caller, reference: &str, retire: bool, why: Line) -> Result<(), Failure> {
    let what = if retire { "machine.retire" } else { "machine.return" };
    write(app, caller, reference, (Action::Plan, what), move |conn, machine, caller, now| {
        if (state_of(machine) == MachineState::Retired) == retire {
            return Err(Refusal::WorldMoved.into());
        }
        let (state, kind) = match retire {
            true => (MachineState::Retired, EventKind::Retired),
            false => (by_faults(conn, machine)?, EventKind::Returned),
        };
        set_machine_state(conn, machine.id, state.as_str())?;
        Ok(add_event(conn, machine.id, (kind, why.as_str()), caller.account(), now)?)
    })
}
