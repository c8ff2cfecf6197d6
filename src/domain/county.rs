//! Counties: their codes, their lists, and finding the one that a person typed.
//!
//! A county is known by its code, never by its name: six pairs share a name inside one state. This file reads the
//! text of the shipped lists and answers questions about them; it opens no file and keeps no list of its own.

use std::fmt;
use std::str::FromStr;

mod find;
pub mod labels;
pub mod points;
pub mod shapes;
#[cfg(test)]
mod tests;

pub use find::{Lookup, find};

/// Which edition of the county list counts. A program freezes one per reporting year.
///
/// The 2023 edition has nine planning regions in Connecticut for eight counties, and two areas in Alaska for one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub enum CountySet {
    /// The Census Bureau's cartographic boundaries of 2017: 3,142 counties in 50 states and DC.
    #[serde(rename = "2017")]
    Y2017,
    /// The same of 2023: 3,144 counties.
    #[serde(rename = "2023")]
    Y2023,
}

impl CountySet {
    /// Both sets, oldest first.
    pub const ALL: [CountySet; 2] = [CountySet::Y2017, CountySet::Y2023];

    /// The word kept in tables and files: `2017` or `2023`.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            CountySet::Y2017 => "2017",
            CountySet::Y2023 => "2023",
        }
    }
}

/// Text that is no code, county set or list. Holds what was read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotACounty {
    /// A county code has exactly five digits, a leading zero among them.
    #[error("{0:?} is not a county code of five digits")]
    Code(String),
    /// A state code has exactly two digits, a leading zero among them.
    #[error("{0:?} is not a state code of two digits")]
    StateCode(String),
    /// A county set is named by its year.
    #[error("{0:?} is not a county set")]
    Set(String),
    /// A list has three columns under its heading.
    #[error("line {line} of the county list does not read as {expected}")]
    Line {
        /// Counted from 1, the heading included.
        line: usize,
        /// The columns that the line should have.
        expected: &'static str,
    },
}

impl FromStr for CountySet {
    type Err = NotACounty;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let found = CountySet::ALL.into_iter().find(|set| set.as_str() == text);
        found.ok_or_else(|| NotACounty::Set(text.to_owned()))
    }
}

/// A code of exactly `N` ASCII digits that is always text, so that a leading zero is never lost.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digits<const N: usize>([u8; N]);

/// The five-digit code of a county (ANSI INCITS 31): two for the state, three for the county.
pub type Fips = Digits<5>;

/// The two-digit code of a state (ANSI INCITS 38).
pub type StateFips = Digits<2>;

impl<const N: usize> Digits<N> {
    /// The digits as text, as they are stored, shown and exported.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).expect("holds ASCII digits alone")
    }
}

impl Fips {
    /// The state that the county lies in.
    #[must_use]
    pub fn state(&self) -> StateFips {
        Digits([self.0[0], self.0[1]])
    }

    /// Whether the code belongs to a city that is in no county: the last three digits are 510 or more.
    ///
    /// Holds in 50 states and DC: 42 codes, each with "city" in its full name (list of 2020, package addfips 0.4.2).
    #[must_use]
    pub fn is_city(&self) -> bool {
        self.0[2..] >= b"510"[..]
    }
}

impl<const N: usize> FromStr for Digits<N> {
    type Err = NotACounty;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match <[u8; N]>::try_from(text.as_bytes()) {
            Ok(digits) if digits.iter().all(u8::is_ascii_digit) => Ok(Digits(digits)),
            _ if N == 2 => Err(NotACounty::StateCode(text.to_owned())),
            _ => Err(NotACounty::Code(text.to_owned())),
        }
    }
}

impl<const N: usize> fmt::Display for Digits<N> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.as_str())
    }
}

impl<const N: usize> fmt::Debug for Digits<N> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.as_str(), out)
    }
}

impl<const N: usize> serde::Serialize for Digits<N> {
    fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.serialize_str(self.as_str())
    }
}

impl<'de, const N: usize> serde::Deserialize<'de> for Digits<N> {
    fn deserialize<D: serde::Deserializer<'de>>(input: D) -> Result<Self, D::Error> {
        let text = <std::borrow::Cow<'de, str>>::deserialize(input)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

/// One of the 50 states, or the District of Columbia.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct State {
    /// Two digits: `30`.
    pub fips: StateFips,
    /// The post's two letters: `MT`.
    pub letters: String,
    /// `Montana`.
    pub name: String,
}

/// One county, parish, borough, planning region or city that is in no county.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct County {
    /// `30063`.
    pub fips: Fips,
    /// The post's two letters of the state: `MT`.
    pub state: String,
    /// Without "County" or "Parish": `Missoula`.
    pub name: String,
}

impl County {
    /// The name within its state: a city that shares its name with a county says "(city)".
    #[must_use]
    pub fn name_in_state(&self) -> String {
        let says_city = self.name.ends_with("City");
        let mark = if self.fips.is_city() && !says_city { " (city)" } else { "" };
        format!("{}{mark}", self.name)
    }

    /// The name as a person picks it from a list.
    #[must_use]
    pub fn label(&self) -> String {
        format!("{}, {}", self.name_in_state(), self.state)
    }
}

/// Reads `fips,letters,name` lines under a heading.
///
/// # Errors
/// [`NotACounty::Line`] with the first line that does not read so.
pub fn parse_states(csv: &str) -> Result<Vec<State>, NotACounty> {
    parse_lines(csv, "fips,letters,name", |fips, letters, name| {
        Some(State { fips: fips.parse().ok()?, letters: letters.to_owned(), name: name.to_owned() })
    })
}

/// Reads `fips,state,name` lines under a heading.
///
/// # Errors
/// [`NotACounty::Line`] with the first line that does not read so.
pub fn parse_counties(csv: &str) -> Result<Vec<County>, NotACounty> {
    parse_lines(csv, "fips,state,name", |fips, state, name| {
        Some(County { fips: fips.parse().ok()?, state: state.to_owned(), name: name.to_owned() })
    })
}

/// Three columns without quotes: no name in the lists holds a comma or a quotation mark.
fn parse_lines<T>(
    csv: &str,
    expected: &'static str,
    read: impl Fn(&str, &str, &str) -> Option<T>,
) -> Result<Vec<T>, NotACounty> {
    let fault = |line| NotACounty::Line { line, expected };
    let mut lines = csv.lines().enumerate();
    if lines.next().is_none_or(|(_, heading)| heading != expected) {
        return Err(fault(1));
    }
    let parsed = lines.map(|(index, line)| {
        let columns: Vec<&str> = line.split(',').collect();
        let whole = columns.iter().all(|column| !column.is_empty() && !column.contains('"'));
        match columns[..] {
            [first, second, third] if whole => read(first, second, third),
            _ => None,
        }
        .ok_or_else(|| fault(index + 1))
    });
    parsed.collect()
}
