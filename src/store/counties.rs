//! Counties by set and code. The code is text and the only key; names repeat.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::counties;

/// One county of one set.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = counties)]
pub struct CountyRow {
    /// The set's year.
    pub county_set: i64,
    /// Five characters.
    pub fips: String,
    /// Two characters.
    pub state_fips: String,
    /// Without "County".
    pub name: String,
}

/// Adds a whole set.
pub fn add_counties(conn: &mut AnyConn, rows: &[CountyRow]) -> Result<(), StoreError> {
    for part in rows.chunks(200) {
        both!(conn, |c| diesel::insert_into(counties::table).values(part).execute(c))?;
    }
    Ok(())
}

/// The counties of a state, by name.
pub fn list_counties(conn: &mut AnyConn, set: i64, state_fips: &str) -> Result<Vec<CountyRow>, StoreError> {
    Ok(counties::table
        .filter(counties::county_set.eq(set))
        .filter(counties::state_fips.eq(state_fips))
        .order((counties::name, counties::fips))
        .select(CountyRow::as_select())
        .load(conn)?)
}
