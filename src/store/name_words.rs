//! How people are looked for: the words of their names beside the names, and the search that asks for them.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{guardians, guardianships, riders};
use crate::domain::ids::{GuardianId, RiderId};
use crate::domain::name_form::words_of;
use crate::domain::person_search::PersonSearch;

/// So many names are written at a time.
const AT_ONCE: i64 = 5_000;

/// The words of a name as they are kept: a space before each.
pub(super) fn words(given: &str, family: &str) -> String {
    [given, family].into_iter().flat_map(words_of).flat_map(|word| [" ".to_owned(), word]).collect()
}

/// Writes the words of names that have none yet: SQL cannot, so that a migration leaves them out.
pub(super) fn write_missing(conn: &mut AnyConn) -> Result<(), StoreError> {
    loop {
        let adults: Vec<(GuardianId, String, String)> = guardians::table
            .filter(guardians::words.is_null())
            .limit(AT_ONCE)
            .select((guardians::id, guardians::given_name, guardians::family_name))
            .load(conn)?;
        let children: Vec<(RiderId, String, String)> = riders::table
            .filter(riders::words.is_null())
            .limit(AT_ONCE)
            .select((riders::id, riders::given_name, riders::family_name))
            .load(conn)?;
        if adults.is_empty() && children.is_empty() {
            return Ok(());
        }
        for (id, given, family) in adults {
            let row = guardians::table.filter(guardians::id.eq(id));
            diesel::update(row).set(guardians::words.eq(words(&given, &family))).execute(conn)?;
        }
        for (id, given, family) in children {
            let row = riders::table.filter(riders::id.eq(id));
            diesel::update(row).set(riders::words.eq(words(&given, &family))).execute(conn)?;
        }
    }
}

/// Riders who are found, by name, at most so many: each word begins a word of the rider's name or of one adult's, and the
/// digits stand in that adult's telephone.
pub fn search_riders(conn: &mut AnyConn, search: &PersonSearch, most: i64) -> Result<Vec<RiderId>, StoreError> {
    let mut query = guardianships::table
        .inner_join(guardians::table)
        .inner_join(riders::table)
        .filter(guardians::phone.like(format!("%{}%", search.digits)))
        .order((riders::given_name, riders::family_name, riders::id))
        .select((riders::given_name, riders::family_name, riders::id))
        .distinct()
        .limit(most)
        .into_boxed();
    for word in &search.words {
        let begins = format!("% {word}%");
        query = query.filter(riders::words.like(begins.clone()).or(guardians::words.like(begins)));
    }
    let found: Vec<(String, String, RiderId)> = query.load(conn)?;
    Ok(found.into_iter().map(|(_, _, id)| id).collect())
}
