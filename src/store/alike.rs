//! Entries that may be one child: which are yet to be compared, with whom each is compared, and what was found.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::families::GuardianRow;
use super::schema::{children_alike, guardians, guardianships, riders};
use crate::domain::ids::{GuardianId, RiderId};

/// An entry is compared again: it changed, or who its adults are.
pub fn compare_again(conn: &mut AnyConn, rider: RiderId) -> Result<(), StoreError> {
    let row = riders::table.filter(riders::id.eq(rider));
    diesel::update(row).set(riders::compared_at.eq(None::<NaiveDateTime>)).execute(conn)?;
    Ok(())
}

/// The children of an adult are compared again: what tells the adult changed.
pub(super) fn compare_children_again(conn: &mut AnyConn, guardian: GuardianId) -> Result<(), StoreError> {
    let own = guardianships::table.filter(guardianships::guardian_id.eq(guardian)).select(guardianships::rider_id);
    let rows = riders::table.filter(riders::id.eq_any(own));
    diesel::update(rows).set(riders::compared_at.eq(None::<NaiveDateTime>)).execute(conn)?;
    Ok(())
}

/// Entries that are yet to be compared, the oldest first, at most so many.
pub fn to_compare(conn: &mut AnyConn, most: i64) -> Result<Vec<RiderId>, StoreError> {
    let due = riders::table.filter(riders::compared_at.is_null());
    Ok(due.order(riders::id).limit(most).select(riders::id).load(conn)?)
}

/// How many entries are yet to be compared.
pub fn count_to_compare(conn: &mut AnyConn) -> Result<i64, StoreError> {
    Ok(riders::table.filter(riders::compared_at.is_null()).count().get_result(conn)?)
}

/// Notes that an entry is compared now. `false`: somebody else compares it.
pub fn set_compared(conn: &mut AnyConn, rider: RiderId, at: NaiveDateTime) -> Result<bool, StoreError> {
    let due = riders::table.filter(riders::id.eq(rider)).filter(riders::compared_at.is_null());
    Ok(diesel::update(due).set(riders::compared_at.eq(at)).execute(conn)? == 1)
}

/// An entry as it is compared at first: its name and birth date.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct EntryRow {
    /// The row.
    pub id: RiderId,
    /// The words of its name, a space before each.
    pub words: String,
    /// Birth date.
    pub birth_date: NaiveDate,
}

/// Other entries born on one of these days, or with an adult who is, or is reached as, one of these.
pub fn compared_with(
    conn: &mut AnyConn,
    rider: RiderId,
    days: &[NaiveDate],
    adults: &[&GuardianRow],
) -> Result<Vec<EntryRow>, StoreError> {
    let phones = adults.iter().map(|adult| adult.phone.as_str()).filter(|phone| !phone.is_empty());
    let emails = adults.iter().filter_map(|adult| adult.email.as_deref());
    let mut same: Vec<GuardianId> = adults.iter().map(|adult| adult.id).collect();
    let reached = guardians::table.filter(guardians::phone.eq_any(phones)).select(guardians::id);
    same.extend(reached.load::<GuardianId>(conn)?);
    let written_to = guardians::table.filter(guardians::email.eq_any(emails)).select(guardians::id);
    same.extend(written_to.load::<GuardianId>(conn)?);
    let theirs = guardianships::table.filter(guardianships::guardian_id.eq_any(same)).select(guardianships::rider_id);
    let is_near = riders::birth_date.eq_any(days).or(riders::id.eq_any(theirs));
    Ok(riders::table
        .filter(riders::id.ne(rider))
        .filter(is_near)
        .order(riders::id)
        .select((riders::id, riders::words.assume_not_null(), riders::birth_date))
        .load(conn)?)
}

/// Puts these in place of the entries that may be the same child as this one.
pub fn set_alike(conn: &mut AnyConn, rider: RiderId, others: &[RiderId]) -> Result<(), StoreError> {
    forget_alike(conn, rider)?;
    for other in others {
        let (one, other) = (rider.min(*other), rider.max(*other));
        let pair = (children_alike::one_id.eq(one), children_alike::other_id.eq(other));
        both!(conn, |c| diesel::insert_into(children_alike::table).values(pair).on_conflict_do_nothing().execute(c))?;
    }
    Ok(())
}

/// Forgets what an entry was found to be like.
pub(super) fn forget_alike(conn: &mut AnyConn, rider: RiderId) -> Result<(), StoreError> {
    let pairs = children_alike::one_id.eq(rider).or(children_alike::other_id.eq(rider));
    diesel::delete(children_alike::table.filter(pairs)).execute(conn)?;
    Ok(())
}

/// Every two that were found, the older row first.
pub fn all_alike(conn: &mut AnyConn) -> Result<Vec<(RiderId, RiderId)>, StoreError> {
    Ok(children_alike::table.select((children_alike::one_id, children_alike::other_id)).load(conn)?)
}
