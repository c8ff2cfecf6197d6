//! What happened to each machine: faults found and mended, and the rest in the order of time.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use diesel::dsl::max;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{machine_defects, machine_events};
use crate::domain::ids::{AccountId, DefectId, MachineId};
use crate::domain::machine::record::EventKind;

/// A fault of a machine.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = machine_defects)]
pub struct DefectRow {
    /// The row.
    pub id: DefectId,
    /// The machine.
    pub machine_id: MachineId,
    /// Its number among the machine's faults, from 1.
    pub ordinal: i64,
    /// What is wrong.
    pub what: String,
    /// When it was found, in UTC; none before faults were written down.
    pub found_at: Option<NaiveDateTime>,
    /// By whom.
    pub found_by: Option<AccountId>,
    /// When it was mended, in UTC.
    pub mended_at: Option<NaiveDateTime>,
    /// By whom.
    pub mended_by: Option<AccountId>,
    /// What was done; empty while it is open.
    pub note: String,
}

/// Something else that happened to a machine.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = machine_events)]
pub struct EventRow {
    /// What.
    pub kind: EventKind,
    /// More of it, as its kind says.
    pub detail: String,
    /// When, in UTC.
    pub at: NaiveDateTime,
    /// By whom.
    pub account_id: Option<AccountId>,
}

/// Writes a fault down.
pub fn add_defect(
    conn: &mut AnyConn,
    machine: MachineId,
    what: &str,
    by: Option<AccountId>,
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    let own = machine_defects::table.filter(machine_defects::machine_id.eq(machine));
    let last: Option<i64> = own.select(max(machine_defects::ordinal)).first(conn)?;
    diesel::insert_into(machine_defects::table)
        .values((
            machine_defects::machine_id.eq(machine),
            machine_defects::ordinal.eq(last.unwrap_or(0) + 1),
            machine_defects::what.eq(what),
            machine_defects::found_at.eq(at),
            machine_defects::found_by.eq(by),
        ))
        .execute(conn)?;
    Ok(())
}

/// Notes that a fault is mended. `false`: it was, or there is none of that number.
pub fn mend_defect(
    conn: &mut AnyConn,
    machine: MachineId,
    ordinal: i64,
    note: &str,
    by: Option<AccountId>,
    at: NaiveDateTime,
) -> Result<bool, StoreError> {
    let open = machine_defects::table
        .filter(machine_defects::machine_id.eq(machine))
        .filter(machine_defects::ordinal.eq(ordinal))
        .filter(machine_defects::mended_at.is_null());
    let now = (machine_defects::mended_at.eq(at), machine_defects::mended_by.eq(by), machine_defects::note.eq(note));
    Ok(diesel::update(open).set(now).execute(conn)? == 1)
}

/// Takes a fault back that somebody wrote down by mistake. `false`: it was mended meanwhile, or there is none of that number.
pub fn take_back_defect(
    conn: &mut AnyConn,
    machine: MachineId,
    ordinal: i64,
    by: AccountId,
    at: NaiveDateTime,
) -> Result<bool, StoreError> {
    let is_open = mend_defect(conn, machine, ordinal, "Written down by mistake", Some(by), at)?;
    let row = machine_defects::table
        .filter(machine_defects::machine_id.eq(machine))
        .filter(machine_defects::ordinal.eq(ordinal));
    if is_open {
        diesel::update(row).set(machine_defects::by_mistake.eq(true)).execute(conn)?;
    }
    Ok(is_open)
}

/// How often each machine was found faulty or mended; what was written down by mistake does not count.
pub fn troubles(conn: &mut AnyConn) -> Result<BTreeMap<MachineId, i64>, StoreError> {
    let rows: Vec<(MachineId, Option<NaiveDateTime>)> = machine_defects::table
        .filter(machine_defects::by_mistake.eq(false))
        .select((machine_defects::machine_id, machine_defects::mended_at))
        .load(conn)?;
    let mut counted = BTreeMap::new();
    for (machine, mended_at) in rows {
        *counted.entry(machine).or_insert(0) += 1 + i64::from(mended_at.is_some());
    }
    Ok(counted)
}

/// Every fault of a machine, the newest first.
pub fn defects_of(conn: &mut AnyConn, machine: MachineId) -> Result<Vec<DefectRow>, StoreError> {
    Ok(machine_defects::table
        .filter(machine_defects::machine_id.eq(machine))
        .order(machine_defects::ordinal.desc())
        .select(DefectRow::as_select())
        .load(conn)?)
}

/// Every fault that is not mended.
pub fn open_defects(conn: &mut AnyConn) -> Result<Vec<DefectRow>, StoreError> {
    Ok(machine_defects::table
        .filter(machine_defects::mended_at.is_null())
        .order((machine_defects::machine_id, machine_defects::ordinal))
        .select(DefectRow::as_select())
        .load(conn)?)
}

/// Notes what happened to a machine.
pub fn add_event(
    conn: &mut AnyConn,
    machine: MachineId,
    (kind, detail): (EventKind, &str),
    by: Option<AccountId>,
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(machine_events::table)
        .values((
            machine_events::machine_id.eq(machine),
            machine_events::kind.eq(kind),
            machine_events::detail.eq(detail),
            machine_events::at.eq(at),
            machine_events::account_id.eq(by),
        ))
        .execute(conn)?;
    Ok(())
}

/// What happened to a machine, the newest first.
pub fn events_of(conn: &mut AnyConn, machine: MachineId) -> Result<Vec<EventRow>, StoreError> {
    Ok(machine_events::table
        .filter(machine_events::machine_id.eq(machine))
        .order(machine_events::id.desc())
        .select(EventRow::as_select())
        .load(conn)?)
}
