//! Answers kept on the way through registration, sealed. The owner is the hash of a cookie's token.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::registrations::SealedRow;
use super::schema::drafts;
use crate::domain::ids::SessionId;

/// A sealed draft.
pub fn find_draft(conn: &mut AnyConn, owner: &[u8], session: SessionId) -> Result<Option<SealedRow>, StoreError> {
    Ok(drafts::table
        .filter(drafts::owner.eq(owner))
        .filter(drafts::session_id.eq(session))
        .select((drafts::row_key, drafts::body))
        .first(conn)
        .optional()?)
}

/// Keeps a draft, in place of an older one.
pub fn set_draft(
    conn: &mut AnyConn,
    owner: &[u8],
    session: SessionId,
    row_key: &[u8],
    body: &[u8],
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let values = (
        drafts::owner.eq(owner),
        drafts::session_id.eq(session),
        drafts::row_key.eq(row_key),
        drafts::body.eq(body),
        drafts::changed_at.eq(now),
    );
    both!(conn, |c| diesel::insert_into(drafts::table)
        .values(values)
        .on_conflict((drafts::owner, drafts::session_id))
        .do_update()
        .set(values)
        .execute(c))?;
    Ok(())
}

/// Forgets a draft; says whether it was there. Of several at once, one finds it.
pub fn remove_draft(conn: &mut AnyConn, owner: &[u8], session: SessionId) -> Result<bool, StoreError> {
    let there = drafts::table.filter(drafts::owner.eq(owner)).filter(drafts::session_id.eq(session));
    Ok(diesel::delete(there).execute(conn)? == 1)
}

/// Forgets drafts not touched since an instant; says how many.
pub fn remove_drafts_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<usize, StoreError> {
    Ok(diesel::delete(drafts::table.filter(drafts::changed_at.lt(instant))).execute(conn)?)
}
