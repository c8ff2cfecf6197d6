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
            let names = [&row.rider.given_name, &row.rider.family_name, &row.given_name, &row.family_name];
            search.finds(&names.map(String::as_str), &row.phone)
        };
        if of_one.iter().any(is_one) {
            found.extend(of_one.first().map(|first| shown(first, of_one)));
        }
    }
    Ok(found)
}

fn shown(first: &RiderOfAdult, all: &[RiderOfAdult]) -> Found {
    Found {
        reference: first.rider.reference.clone(),
        name: full_name(&first.rider.given_name, &first.rider.family_name),
        birth_date: first.rider.birth_date,
        adults: all.iter().map(|adult| full_name(&adult.given_name, &adult.family_name)).collect(),
    }
}
