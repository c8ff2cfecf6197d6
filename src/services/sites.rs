//! Places to ride: the list, adding one, and each site with its papers and its emergency plan.

pub mod sheet;

use super::counties::{counties_of, typed_county};
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::sites::{NewSite, add_site, list_sites};

pub use crate::store::sites::SiteRow;

/// A place as the coordinator describes it; every text is already tidy.
#[derive(Clone, Debug)]
pub struct NewPlace {
    /// What it is called.
    pub name: String,
    /// Street and number.
    pub street: String,
    /// Town.
    pub city: String,
    /// Five digits.
    pub zip: String,
    /// County by name or code, as typed.
    pub county: String,
    /// The zone whose clocks it follows.
    pub zone: chrono_tz::Tz,
    /// The most riders it takes, at least one.
    pub most_riders: i64,
    /// Nearest hospital.
    pub hospital: String,
    /// What else helps in an emergency.
    pub emergency_notes: String,
    /// How to get there.
    pub directions: String,
    /// Degrees north and east.
    pub coordinates: Option<(f64, f64)>,
}

/// All sites by name, each with its county's name.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<(SiteRow, String)>, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    app.store.read(|conn| Ok(list_sites(conn)?))
}

/// The counties that a site may lie in, as labels with codes, and the program's home zone: for the form.
pub fn choices(app: &App, caller: &Caller) -> Result<(Vec<String>, chrono_tz::Tz), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let (_, counties) = counties_of(conn, &program.row)?;
        Ok((counties.iter().map(|county| county.label()).collect(), program.zone))
    })
}

/// Adds a site and gives its reference.
///
/// # Errors
/// `CountyUnknown` and `CountyAmbiguous`.
pub fn add(app: &App, caller: &Caller, new: NewPlace) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (app.random.reference(), app.clock.now(), caller.clone());
    app.store.write("add site", move |conn| {
        let program = program::load(conn)?;
        let county = typed_county(conn, &program, &new.county)?;
        let site = NewSite {
            reference: reference.clone(),
            name: new.name.clone(),
            street: new.street.clone(),
            city: new.city.clone(),
            zip: new.zip.clone(),
            county_set: program.row.county_set,
            county: county.fips.to_string(),
            time_zone: new.zone.name().to_owned(),
            latitude: new.coordinates.map(|(north, _)| north),
            longitude: new.coordinates.map(|(_, east)| east),
            most_riders: new.most_riders,
            hospital: new.hospital.clone(),
            emergency_notes: new.emergency_notes.clone(),
            directions: new.directions.clone(),
        };
        add_site(conn, &site)?;
        let subject = format!("site {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "site.add", subject, format!("county {}", county.fips)))?;
        Ok(reference.clone())
    })
}
