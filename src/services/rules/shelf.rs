//! Where the versions of each book lie: the day list in a table of its own, consent texts with their approvals, the rest
//! together. Nothing else of the rules knows.

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::ids::RulebookId;
use crate::domain::rulebook::Book;
use crate::domain::words::Word;
use crate::store::day_lists::{add_day_list, find_day_list, find_day_list_on, list_day_lists};
use crate::store::rulebooks::{
    RulebookRow, SessionUnder, add_rulebook, find_rulebook, find_rulebook_on, list_rulebooks,
};
use crate::store::{AnyConn, StoreError};

/// All versions of a book, newest first.
pub fn versions(conn: &mut AnyConn, book: Book) -> Result<Vec<RulebookRow>, StoreError> {
    match book {
        Book::DayList => list_day_lists(conn),
        _ => list_rulebooks(conn, book.as_str()),
    }
}

/// The version that holds on a day.
pub fn in_force(conn: &mut AnyConn, book: Book, day: NaiveDate) -> Result<Option<RulebookId>, StoreError> {
    match book {
        Book::DayList => find_day_list_on(conn, day),
        _ => find_rulebook_on(conn, book.as_str(), day),
    }
}

/// One version and its JSON.
pub fn find(conn: &mut AnyConn, book: Book, version: i64) -> Result<Option<(RulebookRow, String)>, StoreError> {
    let Some(row) = versions(conn, book)?.into_iter().find(|row| row.version == version) else { return Ok(None) };
    let body = match book {
        Book::DayList => find_day_list(conn, row.id)?,
        _ => find_rulebook(conn, row.id)?,
    };
    Ok(Some((row, body)))
}

/// Adds a version.
pub fn add(
    conn: &mut AnyConn,
    book: Book,
    version: i64,
    starts_on: NaiveDate,
    body: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    match book {
        Book::DayList => add_day_list(conn, version, starts_on, body, now),
        _ => add_rulebook(conn, book.as_str(), version, starts_on, body, now).map(drop),
    }
}

/// The version of a book that a session was planned under.
pub fn under(book: Book, session: &SessionUnder) -> Option<RulebookId> {
    let [curriculum, fit, cautions] = session.books;
    match book {
        Book::Curriculum => Some(curriculum),
        Book::Fit => Some(fit),
        Book::DayList => session.day_list,
        Book::Cautions => Some(cautions),
        // No session is counted under a consent text: its signatures are.
        Book::ConsentRide | Book::ConsentPhoto => None,
    }
}
