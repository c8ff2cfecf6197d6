//! The families that the program knows, for the office: a child is found by its own name, an adult's name or a telephone.

use chrono::NaiveDate;

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::person_search::PersonSearch;
use crate::domain::words::full_name;
use crate::store::families::{RiderOfAdult, riders_with_adults};
use crate::store::name_words::search_riders;

/// The most children that one search shows.
pub const MOST: usize = 50;

/// A child that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// The names of its adults, also of those who may not decide now.
    pub adults: Vec<String>,
}

/// Children by what was typed, by name: each of its words begins a word of the child's or an adult's name, or its digits
/// stand in an adult's telephone. At most [`MOST`] and one more, which says that there are others.
pub fn search(app: &App, caller: &Caller, typed: &str) -> Result<Vec<Found>, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let Some(search) = PersonSearch::read(typed) else { return Ok(Vec::new()) };
    app.store.read(|conn| {
        let found = search_riders(conn, &search, MOST as i64 + 1)?;
        let rows = riders_with_adults(conn, &found)?;
        Ok(rows.chunk_by(|one, other| one.rider.id == other.rider.id).map(in_one).collect())
    })
}

/// A child by its rows, of which there is one for each adult.
pub(super) fn in_one(rows: &[RiderOfAdult]) -> Found {
    let rider = &rows[0].rider;
    Found {
        reference: rider.reference.clone(),
        name: full_name(&rider.given_name, &rider.family_name),
        birth_date: rider.birth_date,
        adults: rows.iter().map(|row| full_name(&row.adult.given_name, &row.adult.family_name)).collect(),
    }
}
