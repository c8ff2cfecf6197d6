//! The map of a report: the shapes of the state's counties with the count of each. Says nothing that the county table
//! does not say.

use super::Report;
use crate::domain::county::shapes::{Shape, StateShapes};
use crate::domain::report::Shades;
use crate::services::counties::drawn;

/// By which county a map counts those who took part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CountedBy {
    /// The county of the rider's home.
    #[default]
    Home,
    /// The county of the site.
    Site,
}

impl CountedBy {
    /// The word that addresses carry.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Home => "home",
            Self::Site => "site",
        }
    }

    /// The way that a word names.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Home, Self::Site].into_iter().find(|by| by.as_str() == word)
    }
}

/// One county of a map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapCounty {
    /// Its shape.
    pub shape: Shape,
    /// Its name.
    pub name: String,
    /// How many took part.
    pub count: i64,
}

/// A map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountyMap {
    /// How high it is, in units of which it is 1,000 wide.
    pub height: i64,
    /// Its counties by code.
    pub counties: Vec<MapCounty>,
    /// The limits of its shades.
    pub shades: Shades,
}

/// The map of a report. None when the file has no shapes of the state.
#[must_use]
pub fn map(report: &Report, by: CountedBy) -> Option<CountyMap> {
    let StateShapes { height, counties } = drawn(&report.state_fips, report.county_set)?;
    let counted = |shape: Shape| {
        let part = report.counties.iter().find(|part| part.fips == shape.fips.as_str());
        let count = part.map_or(0, |part| if by == CountedBy::Home { part.by_home } else { part.by_site });
        MapCounty { name: part.map(|part| part.name.clone()).unwrap_or_default(), count, shape }
    };
    let counties: Vec<MapCounty> = counties.into_iter().map(counted).collect();
    let shades = Shades::up_to(counties.iter().map(|county| county.count).max().unwrap_or(0));
    Some(CountyMap { height, counties, shades })
}
