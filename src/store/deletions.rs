//! Families that ask for their data to be deleted, and what an account leaves when it is gone.

use chrono::{Datelike, NaiveDate, NaiveDateTime};
use diesel::dsl::exists;
use diesel::prelude::*;

use super::accounts::unshown;
use super::alike::{compare_children_again, forget_alike};
use super::connection::AnyConn;
use super::error::StoreError;
use super::outbox::MOOT;
use super::schema::{
    accounts, consents, deletions, guardians, guardianships, measures, merged_measures, outbox, registrations, riders,
};
use super::texts::forget_texts;
use crate::domain::access::Guardianship;
use crate::domain::ids::{AccountId, GuardianId, RiderId};

/// A wish that stands.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct DeletionRow {
    /// Public reference.
    pub reference: String,
    /// Whose.
    pub account: AccountId,
    /// When, in UTC.
    pub asked_at: NaiveDateTime,
}

/// The wishes that stand, the oldest first.
pub fn open_deletions(conn: &mut AnyConn) -> Result<Vec<DeletionRow>, StoreError> {
    Ok(deletions::table
        .filter(deletions::ended_at.is_null())
        .order(deletions::id)
        .select((deletions::reference, deletions::account_id, deletions::asked_at))
        .load(conn)?)
}

/// Notes a wish. One that stands already stays the only one.
pub fn ask_deletion(
    conn: &mut AnyConn,
    account: AccountId,
    reference: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    if open_deletions(conn)?.iter().any(|open| open.account == account) {
        return Ok(());
    }
    diesel::insert_into(deletions::table)
        .values((deletions::reference.eq(reference), deletions::account_id.eq(account), deletions::asked_at.eq(now)))
        .execute(conn)?;
    Ok(())
}

/// Ends the wishes of an account: done, or taken back.
pub fn end_deletions(conn: &mut AnyConn, account: AccountId, now: NaiveDateTime) -> Result<(), StoreError> {
    let open = deletions::table.filter(deletions::account_id.eq(account)).filter(deletions::ended_at.is_null());
    diesel::update(open).set(deletions::ended_at.eq(now)).execute(conn)?;
    Ok(())
}

/// Removes every measure of a rider.
pub fn remove_measures(conn: &mut AnyConn, rider: RiderId) -> Result<(), StoreError> {
    let all: Vec<i64> = measures::table.filter(measures::rider_id.eq(rider)).select(measures::id).load(conn)?;
    diesel::delete(merged_measures::table.filter(merged_measures::measure_id.eq_any(&all))).execute(conn)?;
    diesel::delete(measures::table.filter(measures::id.eq_any(&all))).execute(conn)?;
    Ok(())
}

/// Takes address, telephone and password from an account and its family's side, and shuts it. Names stay for as long as
/// what was signed with them.
pub fn empty_account(
    conn: &mut AnyConn,
    account: AccountId,
    guardian: GuardianId,
    reference: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::update(accounts::table.filter(accounts::id.eq(account)))
        .set((
            accounts::email.eq(unshown(reference)),
            accounts::sign_in_name.eq(unshown(reference)),
            accounts::password_hash.eq(None::<String>),
            accounts::disabled_at.eq(now),
        ))
        .execute(conn)?;
    diesel::update(guardians::table.filter(guardians::id.eq(guardian)))
        .set((guardians::email.eq(None::<String>), guardians::phone.eq("")))
        .execute(conn)?;
    compare_children_again(conn, guardian)?;
    forget_texts(conn, guardian)?;
    // Nobody is owed a letter any more.
    diesel::update(outbox::table.filter(outbox::account_id.eq(account)).filter(outbox::state.eq("due")))
        .set((outbox::state.eq("stopped"), outbox::fault.eq(MOOT)))
        .execute(conn)?;
    Ok(())
}

/// What stands where a name stood.
const REMOVED: &str = "Removed";

/// Takes name and birth date from a rider of whom nothing is kept; the year stays. `false`: a registration is kept.
pub fn blank_rider(conn: &mut AnyConn, rider: RiderId) -> Result<bool, StoreError> {
    let registered = registrations::table.filter(registrations::rider_id.eq(rider));
    if diesel::select(exists(registered)).get_result(conn)? {
        return Ok(false);
    }
    let row = riders::table.filter(riders::id.eq(rider));
    let born: NaiveDate = row.select(riders::birth_date).first(conn)?;
    let year = born.with_ordinal(1).unwrap_or(born);
    diesel::update(riders::table.filter(riders::id.eq(rider)))
        .set((
            riders::given_name.eq(REMOVED),
            riders::family_name.eq(""),
            riders::words.eq(""),
            riders::paper_name.eq(""),
            riders::birth_date.eq(year),
        ))
        .execute(conn)?;
    diesel::delete(guardianships::table.filter(guardianships::rider_id.eq(rider))).execute(conn)?;
    forget_alike(conn, rider)?;
    Ok(true)
}

/// Takes the names from an adult of whom no signature is kept. Who must not take a child home keeps the name by which the
/// field knows them.
pub fn blank_adult(conn: &mut AnyConn, account: AccountId, guardian: GuardianId) -> Result<(), StoreError> {
    let signed = consents::table.filter(consents::guardian_id.eq(guardian));
    let restricted = guardianships::table
        .filter(guardianships::guardian_id.eq(guardian))
        .filter(guardianships::state.eq(Guardianship::Restricted));
    if diesel::select(exists(signed).or(exists(restricted))).get_result(conn)? {
        return Ok(());
    }
    diesel::update(accounts::table.filter(accounts::id.eq(account)))
        .set((accounts::given_name.eq(REMOVED), accounts::family_name.eq("")))
        .execute(conn)?;
    diesel::update(guardians::table.filter(guardians::id.eq(guardian)))
        .set((guardians::given_name.eq(REMOVED), guardians::family_name.eq(""), guardians::words.eq("")))
        .execute(conn)?;
    Ok(())
}
