//! First answers by request key, so that a repeated press gets the same answer for at least 24 hours.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::request_keys;

/// What an owner's key was answered: `(digest of the request, answer)`.
pub fn find_answer(
    conn: &mut AnyConn,
    owner: &[u8],
    request_key: &str,
) -> Result<Option<(Vec<u8>, String)>, StoreError> {
    Ok(request_keys::table
        .filter(request_keys::owner.eq(owner))
        .filter(request_keys::request_key.eq(request_key))
        .select((request_keys::digest, request_keys::answer))
        .first(conn)
        .optional()?)
}

/// Keeps the first answer. A twin that was quicker is `Duplicate(Key::RequestKey)`.
pub fn add_answer(
    conn: &mut AnyConn,
    owner: &[u8],
    request_key: &str,
    digest: &[u8],
    answer: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(request_keys::table)
        .values((
            request_keys::owner.eq(owner),
            request_keys::request_key.eq(request_key),
            request_keys::digest.eq(digest),
            request_keys::answer.eq(answer),
            request_keys::created_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

/// Forgets answers older than an instant; says how many.
pub fn remove_answers_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<usize, StoreError> {
    Ok(diesel::delete(request_keys::table.filter(request_keys::created_at.lt(instant))).execute(conn)?)
}
