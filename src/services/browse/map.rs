//! The map of the sessions to come: the shapes of the state's counties with what each of them has. Says nothing that the
//! list of the same search does not say.

use super::{Announced, Coming, Near};
use crate::domain::county::shapes::{Shape, StateShapes};
use crate::domain::distance::Distance;
use crate::services::counties::drawn;

/// What a county has of the sessions that were looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// The county's code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// How many sessions.
    pub sessions: usize,
    /// The seats that newcomers may still get in them.
    pub seats: i64,
    /// How far the nearest of them is from where the reader looks.
    pub nearest: Option<Distance>,
}

/// One county of the map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapCounty {
    /// Its shape.
    pub shape: Shape,
    /// Its name.
    pub name: String,
    /// What it has; none when it has no session.
    pub tally: Option<Tally>,
    /// Whether the reader looks from it.
    pub is_near: bool,
}

/// A map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SessionMap {
    /// How high it is, in units of which it is 1,000 wide.
    pub height: i64,
    /// Its counties by code.
    pub counties: Vec<MapCounty>,
}

/// What each county has of the sessions, by name. A county that the map does not draw is among them.
#[must_use]
pub fn tallies(sessions: &[Announced]) -> Vec<Tally> {
    let mut tallies: Vec<Tally> = Vec::new();
    for one in sessions {
        let at = tallies.iter().position(|tally| tally.code == one.fips).unwrap_or_else(|| {
            let (code, name) = (one.fips.clone(), one.county.clone());
            tallies.push(Tally { code, name, sessions: 0, seats: 0, nearest: one.distance });
            tallies.len() - 1
        });
        let tally = &mut tallies[at];
        tally.sessions += 1;
        tally.seats += one.seats_free();
        tally.nearest = tally.nearest.into_iter().chain(one.distance).min();
    }
    tallies.sort_by(|one, other| (&one.name, &one.code).cmp(&(&other.name, &other.code)));
    tallies
}

/// The map of a search. None before the program is seeded, or when no shapes ship of its state.
#[must_use]
pub fn map(coming: &Coming, tallies: &[Tally]) -> Option<SessionMap> {
    let program = coming.program.as_ref()?;
    let StateShapes { height, counties } = drawn(&program.state_fips, program.county_set)?;
    let county = |shape: Shape| {
        let code = shape.fips.as_str();
        let home = coming.homes.iter().find(|home| home.code == code);
        MapCounty {
            name: home.map(|home| home.name.clone()).unwrap_or_default(),
            tally: tallies.iter().find(|tally| tally.code == code).cloned(),
            is_near: matches!(&coming.near, Near::From(near) if near.code == code),
            shape,
        }
    };
    Some(SessionMap { height, counties: counties.into_iter().map(county).collect() })
}
