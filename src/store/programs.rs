//! The program that this installation serves: one row, with its settings as JSON text.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::programs;

/// The program.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = programs)]
pub struct ProgramRow {
    /// Always 1.
    pub id: i64,
    /// What it is called.
    pub name: String,
    /// Its state, two digits.
    pub state_fips: String,
    /// The county set it reports by.
    pub county_set: i64,
    /// Its home time zone.
    pub time_zone: String,
    /// The office's telephone, as dialled.
    pub office_phone: String,
    /// The office's address.
    pub office_email: String,
    /// Whether everything in it is invented.
    pub demonstration: bool,
    /// Settings as JSON.
    pub settings: String,
    /// Rises with each change an administrator makes.
    pub revision: i64,
}

/// The program's row, once it is seeded.
pub fn find_program(conn: &mut AnyConn) -> Result<Option<ProgramRow>, StoreError> {
    Ok(programs::table.select(ProgramRow::as_select()).first(conn).optional()?)
}

/// Adds the program's row.
pub fn add_program(conn: &mut AnyConn, row: &ProgramRow) -> Result<(), StoreError> {
    diesel::insert_into(programs::table).values(row).execute(conn)?;
    Ok(())
}

/// What an administrator may change of the program's row.
#[derive(Clone, Debug, AsChangeset)]
#[diesel(table_name = programs)]
pub struct ProgramChange {
    /// What it is called.
    pub name: String,
    /// The office's telephone, as dialled.
    pub office_phone: String,
    /// The office's address.
    pub office_email: String,
    /// Settings as JSON.
    pub settings: String,
    /// The revision that this makes.
    pub revision: i64,
}

/// Writes a change over the revision that was read; false when another change came first.
pub fn set_program(conn: &mut AnyConn, read_at: i64, change: &ProgramChange) -> Result<bool, StoreError> {
    let row = programs::table.filter(programs::revision.eq(read_at));
    Ok(diesel::update(row).set(change).execute(conn)? == 1)
}
