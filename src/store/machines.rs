//! The fleet: the record of each machine and where machines are kept.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{machines, storage_places};
use crate::domain::ids::{MachineId, StoragePlaceId};
use crate::domain::machine::record::{LabelSeen, PlaceKind, Riders};

/// One ATV. Lengths in micrometres, mass in grams, engine in tenths of a cubic centimetre, limiter in tenths of mph, tires
/// in tenths of a pound per square inch, hours in tenths.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = machines)]
pub struct MachineRow {
    /// The row.
    pub id: MachineId,
    /// Public reference, also on its tag.
    pub reference: String,
    /// The number painted on it.
    pub number: String,
    /// Make and model.
    pub make_model: String,
    /// The number on its frame; empty when nobody wrote it down.
    pub serial: String,
    /// Category as on its label, such as `Y-6+`.
    pub category: String,
    /// For how many it is made, once somebody said so.
    pub seats: Option<Riders>,
    /// Build date: picks the edition of the standard.
    pub built_on: NaiveDate,
    /// Engine size.
    pub engine_cc_tenths: i64,
    /// Dry weight.
    pub dry_weight_g: i64,
    /// Ground to seat.
    pub seat_height_um: i64,
    /// Seat to footrests, downwards.
    pub seat_to_rest_um: i64,
    /// Grip to brake lever.
    pub grip_to_lever_um: Option<i64>,
    /// Footrest to foot-brake pedal.
    pub rest_to_pedal_um: Option<i64>,
    /// Speed limiter as set now.
    pub limiter_tenths_mph: Option<i64>,
    /// When it was set so.
    pub limiter_set_on: Option<NaiveDate>,
    /// By whom; empty when nobody wrote it down.
    pub limiter_set_by: String,
    /// Front tires, cold.
    pub tire_front_tenths_psi: Option<i64>,
    /// Rear tires, cold.
    pub tire_rear_tenths_psi: Option<i64>,
    /// Whether its warning label is there.
    pub label: LabelSeen,
    /// Its hour meter, as read last.
    pub hours_tenths: Option<i64>,
    /// Where it is kept.
    pub place_id: Option<StoragePlaceId>,
    /// A word of `machine_states`.
    pub state: String,
}

/// The record of a machine about to be added or changed.
#[derive(Clone, Debug, PartialEq, Eq, Insertable, AsChangeset)]
#[diesel(table_name = machines, treat_none_as_null = true)]
pub struct MachineFacts {
    /// The number painted on it.
    pub number: String,
    /// Make and model.
    pub make_model: String,
    /// The number on its frame.
    pub serial: String,
    /// Category as on its label.
    pub category: String,
    /// For how many it is made.
    pub seats: Option<Riders>,
    /// Build date.
    pub built_on: NaiveDate,
    /// Engine size.
    pub engine_cc_tenths: i64,
    /// Dry weight.
    pub dry_weight_g: i64,
    /// Ground to seat.
    pub seat_height_um: i64,
    /// Seat to footrests.
    pub seat_to_rest_um: i64,
    /// Grip to brake lever.
    pub grip_to_lever_um: Option<i64>,
    /// Footrest to foot-brake pedal.
    pub rest_to_pedal_um: Option<i64>,
    /// Speed limiter as set now.
    pub limiter_tenths_mph: Option<i64>,
    /// When it was set so.
    pub limiter_set_on: Option<NaiveDate>,
    /// By whom.
    pub limiter_set_by: String,
    /// Front tires, cold.
    pub tire_front_tenths_psi: Option<i64>,
    /// Rear tires, cold.
    pub tire_rear_tenths_psi: Option<i64>,
    /// Whether its warning label is there.
    pub label: LabelSeen,
}

/// A place where machines and gear are kept.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct StoragePlaceRow {
    /// The row.
    pub id: StoragePlaceId,
    /// What it is called.
    pub name: String,
    /// Which kind.
    pub kind: PlaceKind,
}

/// Adds a machine in a state. A taken number is `Duplicate(Key::MachineNumber)`.
pub fn add_machine(
    conn: &mut AnyConn,
    facts: &MachineFacts,
    reference: &str,
    state: &str,
) -> Result<MachineId, StoreError> {
    let row = (facts, machines::reference.eq(reference), machines::state.eq(state));
    Ok(diesel::insert_into(machines::table).values(row).returning(machines::id).get_result(conn)?)
}

/// Changes the record of a machine. A taken number is `Duplicate(Key::MachineNumber)`.
pub fn set_machine(conn: &mut AnyConn, id: MachineId, facts: &MachineFacts) -> Result<(), StoreError> {
    diesel::update(machines::table.filter(machines::id.eq(id))).set(facts).execute(conn)?;
    Ok(())
}

/// Sets the state of a machine.
pub fn set_machine_state(conn: &mut AnyConn, id: MachineId, state: &str) -> Result<(), StoreError> {
    diesel::update(machines::table.filter(machines::id.eq(id))).set(machines::state.eq(state)).execute(conn)?;
    Ok(())
}

/// Notes what the hour meter shows.
pub fn set_hours(conn: &mut AnyConn, id: MachineId, tenths: i64) -> Result<(), StoreError> {
    diesel::update(machines::table.filter(machines::id.eq(id))).set(machines::hours_tenths.eq(tenths)).execute(conn)?;
    Ok(())
}

/// Notes where a machine is kept from now on.
pub fn set_place(conn: &mut AnyConn, id: MachineId, place: Option<StoragePlaceId>) -> Result<(), StoreError> {
    diesel::update(machines::table.filter(machines::id.eq(id))).set(machines::place_id.eq(place)).execute(conn)?;
    Ok(())
}

/// All machines by number.
pub fn list_machines(conn: &mut AnyConn) -> Result<Vec<MachineRow>, StoreError> {
    Ok(machines::table.order(machines::number).select(MachineRow::as_select()).load(conn)?)
}

/// The machine of a number.
pub fn find_machine(conn: &mut AnyConn, number: &str) -> Result<Option<MachineRow>, StoreError> {
    Ok(machines::table.filter(machines::number.eq(number)).select(MachineRow::as_select()).first(conn).optional()?)
}

/// The machine of a public reference.
pub fn find_machine_by_reference(conn: &mut AnyConn, reference: &str) -> Result<Option<MachineRow>, StoreError> {
    let own = machines::table.filter(machines::reference.eq(reference));
    Ok(own.select(MachineRow::as_select()).first(conn).optional()?)
}

/// The same; nobody changes it until this transaction ends.
pub fn hold_machine(conn: &mut AnyConn, reference: &str) -> Result<Option<MachineRow>, StoreError> {
    let own = machines::table.filter(machines::reference.eq(reference));
    let held = diesel::update(own).set(machines::state.eq(machines::state)).execute(conn)?;
    if held == 0 { Ok(None) } else { find_machine_by_reference(conn, reference) }
}

/// Every place where machines and gear are kept, by name.
pub fn list_places(conn: &mut AnyConn) -> Result<Vec<StoragePlaceRow>, StoreError> {
    Ok(storage_places::table.order(storage_places::name).load(conn)?)
}

/// Adds a place. `false`: one has the name.
pub fn add_place(conn: &mut AnyConn, name: &str, kind: PlaceKind) -> Result<bool, StoreError> {
    let known = storage_places::table.filter(storage_places::name.eq(name));
    if diesel::select(diesel::dsl::exists(known)).get_result(conn)? {
        return Ok(false);
    }
    let row = (storage_places::name.eq(name), storage_places::kind.eq(kind));
    diesel::insert_into(storage_places::table).values(row).execute(conn)?;
    Ok(true)
}
