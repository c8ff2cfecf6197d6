//! The families that the program knows, for the office: a child is found by its own name, an adult's name or a telephone.

use chrono::NaiveDate;

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::person_search::PersonSearch;
use crate::domain::words::full_name;
use crate::store::families::{RiderOfAdult, list_riders};

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
    let search = PersonSearch::read(typed);
    let rows = app.store.read(|conn| list_riders(conn).map_err(Failure::from))?;
    let mut found: Vec<Found> = Vec::new();
    for of_one in rows.chunk_by(|one, other| one.rider.id == other.rider.id) {
        if found.len() > MOST {
            break;
        }
        let is_one = |row: &RiderOfAdult| {
            let (rider, adult) = (&row.rider, &row.adult);
            let names = [&rider.given_name, &rider.family_name, &adult.given_name, &adult.family_name];
            search.finds(&names.map(String::as_str), &adult.phone)
        };
        if of_one.iter().any(is_one) {
            found.push(in_one(of_one));
        }
    }
    Ok(found)
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
