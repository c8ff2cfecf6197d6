//! Leases by name: which of several running programs does a job, and until when nobody else may.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::job_leases;

/// Takes the lease of `name` until `until`. False when somebody, us included, holds it at `now`.
pub fn take_lease(
    conn: &mut AnyConn,
    name: &str,
    holder: &str,
    now: NaiveDateTime,
    until: NaiveDateTime,
) -> Result<bool, StoreError> {
    let taken = diesel::update(job_leases::table.filter(job_leases::name.eq(name)))
        .filter(job_leases::leased_until.le(now))
        .set((job_leases::holder.eq(holder), job_leases::leased_until.eq(until)))
        .execute(conn)?;
    Ok(taken == 1 || add_lease(conn, name, holder, until)?)
}

/// Notes a lease where there is none. False when there is one, whoever holds it.
pub fn add_lease(conn: &mut AnyConn, name: &str, holder: &str, until: NaiveDateTime) -> Result<bool, StoreError> {
    let row = (job_leases::name.eq(name), job_leases::holder.eq(holder), job_leases::leased_until.eq(until));
    let added =
        both!(conn, |c| diesel::insert_into(job_leases::table).values(row).on_conflict_do_nothing().execute(c))?;
    Ok(added == 1)
}

/// Until when the lease of `name` runs or ran; none when there is none.
pub fn find_lease(conn: &mut AnyConn, name: &str) -> Result<Option<NaiveDateTime>, StoreError> {
    let until = job_leases::table.filter(job_leases::name.eq(name)).select(job_leases::leased_until);
    Ok(until.first(conn).optional()?)
}

/// Removes the lease of `name`. True when there was one.
pub fn remove_lease(conn: &mut AnyConn, name: &str) -> Result<bool, StoreError> {
    Ok(diesel::delete(job_leases::table.filter(job_leases::name.eq(name))).execute(conn)? == 1)
}
