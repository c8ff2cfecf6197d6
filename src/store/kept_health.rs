//! Health answers that families keep for the next registration, sealed. One row a rider.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::kept_health;
use crate::domain::ids::RiderId;

/// Kept answers.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = kept_health)]
pub struct KeptHealthRow {
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed answers.
    pub body: Vec<u8>,
    /// When they were kept, in UTC.
    pub kept_at: NaiveDateTime,
}

/// What is kept for a rider.
pub fn find_kept_health(conn: &mut AnyConn, rider: RiderId) -> Result<Option<KeptHealthRow>, StoreError> {
    let found = kept_health::table.filter(kept_health::rider_id.eq(rider));
    Ok(found.select(KeptHealthRow::as_select()).first(conn).optional()?)
}

/// Keeps answers for a rider, in place of older ones.
pub fn set_kept_health(
    conn: &mut AnyConn,
    rider: RiderId,
    row_key: &[u8],
    body: &[u8],
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let values = (
        kept_health::rider_id.eq(rider),
        kept_health::row_key.eq(row_key),
        kept_health::body.eq(body),
        kept_health::kept_at.eq(now),
    );
    both!(conn, |c| diesel::insert_into(kept_health::table)
        .values(values)
        .on_conflict(kept_health::rider_id)
        .do_update()
        .set(values)
        .execute(c))?;
    Ok(())
}

/// Forgets what is kept for a rider. `false`: nothing was.
pub fn remove_kept_health(conn: &mut AnyConn, rider: RiderId) -> Result<bool, StoreError> {
    Ok(diesel::delete(kept_health::table.filter(kept_health::rider_id.eq(rider))).execute(conn)? > 0)
}
