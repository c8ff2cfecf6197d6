//! The fleet.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::machines;
use crate::domain::ids::MachineId;

/// One ATV. Lengths in micrometres, mass in grams, engine in tenths of a cubic centimetre, limiter in tenths of mph.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = machines)]
pub struct MachineRow {
    /// The row.
    pub id: MachineId,
    /// The number painted on it.
    pub number: String,
    /// Make and model.
    pub make_model: String,
    /// Category as on its label, such as `Y-6+`.
    pub category: String,
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
    /// Speed limiter as set now.
    pub limiter_tenths_mph: Option<i64>,
    /// A word of `machine_states`.
    pub state: String,
}

/// A machine about to be added.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = machines)]
pub struct NewMachine {
    /// The number painted on it.
    pub number: String,
    /// Make and model.
    pub make_model: String,
    /// Category as on its label.
    pub category: String,
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
    /// Speed limiter as set now.
    pub limiter_tenths_mph: Option<i64>,
    /// A word of `machine_states`.
    pub state: String,
}

/// Adds a machine. A taken number is `Duplicate(Key::MachineNumber)`.
pub fn add_machine(conn: &mut AnyConn, new: &NewMachine) -> Result<MachineId, StoreError> {
    Ok(diesel::insert_into(machines::table).values(new).returning(machines::id).get_result(conn)?)
}

/// All machines by number.
pub fn list_machines(conn: &mut AnyConn) -> Result<Vec<MachineRow>, StoreError> {
    Ok(machines::table.order(machines::number).select(MachineRow::as_select()).load(conn)?)
}

/// The machine of a number.
pub fn find_machine(conn: &mut AnyConn, number: &str) -> Result<Option<MachineRow>, StoreError> {
    Ok(machines::table.filter(machines::number.eq(number)).select(MachineRow::as_select()).first(conn).optional()?)
}
