//! Wrong passwords and codes of late, by the hash of what was tried. Known and unknown addresses are kept alike.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::wrong_tries;

/// Notes one wrong try under each key.
pub fn add_wrong_try(conn: &mut AnyConn, keys: &[Vec<u8>], at: NaiveDateTime) -> Result<(), StoreError> {
    for key in keys {
        diesel::insert_into(wrong_tries::table)
            .values((wrong_tries::key_hash.eq(key), wrong_tries::at.eq(at)))
            .execute(conn)?;
    }
    Ok(())
}

/// When a key was tried wrongly since an instant, newest first, at most so many.
pub fn wrong_tries_since(
    conn: &mut AnyConn,
    key: &[u8],
    since: NaiveDateTime,
    most: usize,
) -> Result<Vec<NaiveDateTime>, StoreError> {
    Ok(wrong_tries::table
        .filter(wrong_tries::key_hash.eq(key))
        .filter(wrong_tries::at.gt(since))
        .order(wrong_tries::at.desc())
        .limit(i64::try_from(most).unwrap_or(i64::MAX))
        .select(wrong_tries::at)
        .load(conn)?)
}

/// Forgets wrong tries older than an instant; says how many.
pub fn remove_wrong_tries_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<usize, StoreError> {
    Ok(diesel::delete(wrong_tries::table.filter(wrong_tries::at.lt(instant))).execute(conn)?)
}
