//! Where the versions of each book lie: lists of points in a table of their own, consent texts with their approvals, the rest
//! together. Nothing else of the rules knows.

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::ids::RulebookId;
use crate::domain::point_list::PointListKind;
use crate::domain::rulebook::Book;
use crate::domain::words::Word;
use crate::store::point_lists::{add_point_list, find_point_list, find_point_list_on, list_point_lists};
use crate::store::rulebooks::{
    RulebookRow, SessionUnder, add_rulebook, find_rulebook, find_rulebook_on, list_rulebooks,
};
use crate::store::{AnyConn, StoreError};

/// The kind of list that a book of points is.
fn points(book: Book) -> Option<PointListKind> {
    match book {
        Book::DayList => Some(PointListKind::DayList),
        Book::LookOver => Some(PointListKind::LookOver),
        Book::HelmetCheck => Some(PointListKind::HelmetCheck),
        _ => None,
    }
}

/// All versions of a book, newest first.
pub fn versions(conn: &mut AnyConn, book: Book) -> Result<Vec<RulebookRow>, StoreError> {
    match points(book) {
        Some(kind) => list_point_lists(conn, kind),
        None => list_rulebooks(conn, book.as_str()),
    }
}

/// The version that holds on a day.
pub fn in_force(conn: &mut AnyConn, book: Book, day: NaiveDate) -> Result<Option<RulebookId>, StoreError> {
    match points(book) {
        Some(kind) => find_point_list_on(conn, kind, day),
        None => find_rulebook_on(conn, book.as_str(), day),
    }
}

/// One version and its JSON.
pub fn find(conn: &mut AnyConn, book: Book, version: i64) -> Result<Option<(RulebookRow, String)>, StoreError> {
    let Some(row) = versions(conn, book)?.into_iter().find(|row| row.version == version) else { return Ok(None) };
    let body = match points(book) {
        Some(_) => find_point_list(conn, row.id)?,
        None => find_rulebook(conn, row.id)?,
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
    match points(book) {
        Some(kind) => add_point_list(conn, kind, version, starts_on, body, now),
        None => add_rulebook(conn, book.as_str(), version, starts_on, body, now).map(drop),
    }
}

/// The version of a book that a session was planned under.
pub fn under(book: Book, session: &SessionUnder) -> Option<RulebookId> {
    let [curriculum, fit, cautions] = session.books;
    match book {
        Book::Curriculum => Some(curriculum),
        Book::Fit => Some(fit),
        Book::DayList | Book::LookOver | Book::HelmetCheck => {
            let kept = session.point_lists.iter().find(|(kind, _)| Some(*kind) == points(book));
            kept.map(|(_, list)| *list)
        }
        Book::Cautions => Some(cautions),
        // No session is counted under a consent text: its signatures are.
        Book::ConsentRide | Book::ConsentPhoto => None,
    }
}
