//! What becomes of each row of a sheet beside the families that are here already and the rows before it. Errs on the
//! careful side: an adult is the same only by name and a way to be reached, and a child only with an adult in common.

use std::collections::HashMap;

use chrono::NaiveDate;

use super::{Entry, RowFault};
use crate::domain::name_form::words_of;

/// An adult as they are compared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownAdult {
    /// Name in one line.
    pub name: String,
    /// Telephone as dialled.
    pub phone: String,
    /// Address for letters.
    pub email: Option<String>,
}

/// A child that is here already.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownChild {
    /// Name in one line.
    pub name: String,
    /// Birth date.
    pub born: NaiveDate,
    /// Its adults, by their places in the list of adults.
    pub adults: Vec<usize>,
}

/// Everybody who is here already.
#[derive(Clone, Debug, Default)]
pub struct Here {
    /// Every adult who may decide for a child.
    pub adults: Vec<KnownAdult>,
    /// Every child.
    pub children: Vec<KnownChild>,
}

/// Who answers for the child of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Adult {
    /// Somebody who comes with this row.
    New,
    /// Who comes with an earlier row, by its place in the list of rows.
    OfRow(usize),
    /// Who is here already, by the place in the list of adults.
    Here(usize),
}

/// What becomes of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// A child is added.
    Added {
        /// Who answers for it.
        adult: Adult,
        /// A child of this name and birth date is here with other adults: the office looks at the two afterwards.
        may_be_twice: bool,
    },
    /// The child is here already with this adult: nothing changes.
    Here,
    /// The same child stands in an earlier row, by its place in the list of rows.
    Again(usize),
    /// The row cannot be taken.
    Faulty(Vec<RowFault>),
}

/// A name as it is compared: its words in order of the alphabet, so that "Baeza Rosa" is "Rosa Baeza".
fn name_key(name: &str) -> String {
    let mut words = words_of(name);
    words.sort();
    words.join(" ")
}

/// The two ways to know an adult again.
fn adult_keys(name: &str, phone: &str, email: Option<&str>) -> Vec<(String, String)> {
    let name = name_key(name);
    let email = email.map(str::to_lowercase);
    [Some(phone.to_owned()), email]
        .into_iter()
        .flatten()
        .filter(|way| !way.is_empty())
        .map(|way| (name.clone(), way))
        .collect()
}

/// What becomes of each row, in their order.
#[must_use]
pub fn plan(here: &Here, rows: &[Result<Entry, Vec<RowFault>>]) -> Vec<Outcome> {
    let mut adults: HashMap<(String, String), Adult> = HashMap::new();
    for (at, adult) in here.adults.iter().enumerate() {
        for key in adult_keys(&adult.name, &adult.phone, adult.email.as_deref()) {
            adults.entry(key).or_insert(Adult::Here(at));
        }
    }
    let mut children: HashMap<(String, NaiveDate), Vec<&KnownChild>> = HashMap::new();
    for child in &here.children {
        children.entry((name_key(&child.name), child.born)).or_default().push(child);
    }
    let mut added: HashMap<(String, NaiveDate, Adult), usize> = HashMap::new();
    let mut outcomes = Vec::with_capacity(rows.len());
    for (at, row) in rows.iter().enumerate() {
        let entry = match row {
            Ok(entry) => entry,
            Err(faults) => {
                outcomes.push(Outcome::Faulty(faults.clone()));
                continue;
            }
        };
        let keys = adult_keys(&entry.adult.to_string(), &entry.phone, entry.email.as_deref());
        let known = keys.iter().find_map(|key| adults.get(key)).copied();
        let child = (name_key(&entry.child.to_string()), entry.born);
        let namesakes = children.get(&child).map_or(&[][..], Vec::as_slice);
        let is_theirs = |other: &&KnownChild| matches!(known, Some(Adult::Here(at)) if other.adults.contains(&at));
        let stands_for = known.unwrap_or(Adult::OfRow(at));
        let outcome = if namesakes.iter().any(is_theirs) {
            Outcome::Here
        } else if let Some(first) = added.get(&(child.0.clone(), child.1, stands_for)) {
            Outcome::Again(*first)
        } else {
            added.insert((child.0, child.1, stands_for), at);
            Outcome::Added { adult: known.unwrap_or(Adult::New), may_be_twice: !namesakes.is_empty() }
        };
        if known.is_none() {
            for key in keys {
                adults.entry(key).or_insert(Adult::OfRow(at));
            }
        }
        outcomes.push(outcome);
    }
    outcomes
}
