//! The county that a person typed, looked up in the program's set and state. Guesses nothing from an address.

use super::Failure;
use super::program::Program;
use super::seed::STATES;
use crate::domain::county::{County, Lookup, StateFips, find, parse_states};
use crate::domain::refusal::Refusal;
use crate::store::AnyConn;
use crate::store::StoreError;
use crate::store::counties::list_counties;

/// The county of that name or code in the program's state.
///
/// # Errors
/// `CountyUnknown`, or `CountyAmbiguous` with the label and code of each county that answers to it.
pub(crate) fn typed_county(conn: &mut AnyConn, program: &Program, typed: &str) -> Result<County, Failure> {
    let (state, counties) = counties_of(conn, program)?;
    match find(&counties, state, typed) {
        Lookup::Found(county) => Ok(county.clone()),
        Lookup::Unknown => Err(Refusal::CountyUnknown.into()),
        Lookup::Ambiguous(several) => {
            let labels = several.iter().map(|county| format!("{} {}", county.label(), county.fips)).collect();
            Err(Refusal::CountyAmbiguous { labels }.into())
        }
    }
}

/// The state of the program and its counties by name.
pub(crate) fn counties_of(conn: &mut AnyConn, program: &Program) -> Result<(StateFips, Vec<County>), StoreError> {
    let unreadable = |_| StoreError::Unreadable("programs.state_fips");
    let fips: StateFips = program.row.state_fips.parse().map_err(unreadable)?;
    let states = parse_states(STATES).expect("the shipped states are sound");
    let state = states.into_iter().find(|state| state.fips == fips).ok_or(StoreError::Missing)?;
    let rows = list_counties(conn, program.row.county_set, fips.as_str())?;
    let county = |row: crate::store::counties::CountyRow| {
        let fips = row.fips.parse().map_err(|_| StoreError::Unreadable("counties.fips"))?;
        Ok(County { fips, state: state.letters.clone(), name: row.name })
    };
    Ok((fips, rows.into_iter().map(county).collect::<Result<_, StoreError>>()?))
}
