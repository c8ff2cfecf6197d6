//! Places to ride.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{counties, sites};
use crate::domain::ids::SiteId;

/// A site.
#[derive(Clone, Debug, PartialEq, Queryable, Selectable)]
#[diesel(table_name = sites)]
pub struct SiteRow {
    /// The row.
    pub id: SiteId,
    /// Public reference.
    pub reference: String,
    /// What it is called.
    pub name: String,
    /// Street and number, or how to find the gate.
    pub street: String,
    /// Town.
    pub city: String,
    /// ZIP code, text.
    pub zip: String,
    /// County set.
    pub county_set: i64,
    /// Five characters.
    pub county: String,
    /// Zone name.
    pub time_zone: String,
    /// Degrees north.
    pub latitude: Option<f64>,
    /// Degrees east.
    pub longitude: Option<f64>,
    /// The most riders it takes.
    pub most_riders: i64,
    /// Nearest hospital as staff typed it.
    pub hospital: String,
    /// Gate code, landing place, spot with signal.
    pub emergency_notes: String,
    /// How to get there.
    pub directions: String,
}

/// A site about to be made.
#[derive(Clone, Debug, PartialEq, Insertable)]
#[diesel(table_name = sites)]
pub struct NewSite {
    /// Public reference.
    pub reference: String,
    /// What it is called.
    pub name: String,
    /// Street and number.
    pub street: String,
    /// Town.
    pub city: String,
    /// ZIP code.
    pub zip: String,
    /// County set.
    pub county_set: i64,
    /// Five characters.
    pub county: String,
    /// Zone name.
    pub time_zone: String,
    /// Degrees north.
    pub latitude: Option<f64>,
    /// Degrees east.
    pub longitude: Option<f64>,
    /// The most riders it takes.
    pub most_riders: i64,
    /// Nearest hospital.
    pub hospital: String,
    /// Emergency notes.
    pub emergency_notes: String,
    /// How to get there.
    pub directions: String,
}

/// Adds a site.
pub fn add_site(conn: &mut AnyConn, site: &NewSite) -> Result<SiteId, StoreError> {
    Ok(diesel::insert_into(sites::table).values(site).returning(sites::id).get_result(conn)?)
}

/// All sites by name, each with its county's name.
pub fn list_sites(conn: &mut AnyConn) -> Result<Vec<(SiteRow, String)>, StoreError> {
    let county = counties::county_set.eq(sites::county_set).and(counties::fips.eq(sites::county));
    Ok(sites::table
        .inner_join(counties::table.on(county))
        .order(sites::name)
        .select((SiteRow::as_select(), counties::name))
        .load(conn)?)
}

/// The site of a public reference.
pub fn find_site(conn: &mut AnyConn, reference: &str) -> Result<Option<SiteRow>, StoreError> {
    Ok(sites::table.filter(sites::reference.eq(reference)).select(SiteRow::as_select()).first(conn).optional()?)
}

/// What may be changed of a site later. County and clocks stay as they were.
#[derive(Clone, Debug, PartialEq, AsChangeset)]
#[diesel(table_name = sites, treat_none_as_null = true)]
pub struct SiteChange {
    /// What it is called.
    pub name: String,
    /// Street and number.
    pub street: String,
    /// Town.
    pub city: String,
    /// ZIP code.
    pub zip: String,
    /// Degrees north.
    pub latitude: Option<f64>,
    /// Degrees east.
    pub longitude: Option<f64>,
    /// The most riders it takes.
    pub most_riders: i64,
    /// Nearest hospital.
    pub hospital: String,
    /// Emergency notes.
    pub emergency_notes: String,
    /// How to get there.
    pub directions: String,
}

/// Changes a site.
pub fn set_site(conn: &mut AnyConn, id: SiteId, change: &SiteChange) -> Result<(), StoreError> {
    diesel::update(sites::table.filter(sites::id.eq(id))).set(change).execute(conn)?;
    Ok(())
}
