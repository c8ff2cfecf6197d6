//! The county that a person typed, looked up in the program's set and state; and what ships of each county: its shape
//! and a position in it. Guesses nothing from an address.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::Failure;
use super::program::Program;
use super::seed::STATES;
use crate::domain::county::points::parse_points;
use crate::domain::county::shapes::{StateShapes, shapes_of};
use crate::domain::county::{County, CountySet, Fips, Lookup, StateFips, find, parse_states};
use crate::domain::distance::Position;
use crate::domain::refusal::Refusal;
use crate::store::AnyConn;
use crate::store::StoreError;
use crate::store::counties::list_counties;
use crate::store::programs::ProgramRow;

const SHAPES: &str = include_str!("../../seed/counties/shapes.txt");
const POINTS: &str = include_str!("../../seed/counties/points.csv");

/// The positions, read once.
static POSITIONS: LazyLock<BTreeMap<Fips, Position>> =
    LazyLock::new(|| parse_points(POINTS).expect("the shipped positions are sound"));

/// The county of that name or code in the program's state.
///
/// # Errors
/// `CountyUnknown`, or `CountyAmbiguous` with the label and code of each county that answers to it.
pub(crate) fn typed_county(conn: &mut AnyConn, program: &Program, typed: &str) -> Result<County, Failure> {
    let (state, counties) = counties_of(conn, &program.row)?;
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
pub(crate) fn counties_of(conn: &mut AnyConn, program: &ProgramRow) -> Result<(StateFips, Vec<County>), StoreError> {
    let unreadable = |_| StoreError::Unreadable("programs.state_fips");
    let fips: StateFips = program.state_fips.parse().map_err(unreadable)?;
    let states = parse_states(STATES).expect("the shipped states are sound");
    let state = states.into_iter().find(|state| state.fips == fips).ok_or(StoreError::Missing)?;
    let rows = list_counties(conn, program.county_set, fips.as_str())?;
    let county = |row: crate::store::counties::CountyRow| {
        let fips = row.fips.parse().map_err(|_| StoreError::Unreadable("counties.fips"))?;
        Ok(County { fips, state: state.letters.clone(), name: row.name })
    };
    Ok((fips, rows.into_iter().map(county).collect::<Result<_, StoreError>>()?))
}

/// The position that stands for a county. None for a code that neither set has.
pub(super) fn position_of(code: &str) -> Option<Position> {
    POSITIONS.get(&code.parse().ok()?).copied()
}

/// The shapes of the counties of a state. None when the year names no county set or the file has no such state.
pub(super) fn drawn(state_fips: &str, county_set: i64) -> Option<StateShapes> {
    let set: CountySet = county_set.to_string().parse().ok()?;
    shapes_of(SHAPES, state_fips.parse().ok()?, set).ok()
}
