//! Which reminders went out: one row for each place, kind and first day, so that none goes out twice.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::reminders;
use crate::domain::ids::RegistrationId;
use crate::domain::reminder::Reminder;

/// Notes a reminder. `false`: it went out already.
pub fn add_reminder(
    conn: &mut AnyConn,
    registration: RegistrationId,
    kind: Reminder,
    held_on: NaiveDate,
    at: NaiveDateTime,
) -> Result<bool, StoreError> {
    let values = (
        reminders::registration_id.eq(registration),
        reminders::kind.eq(kind),
        reminders::held_on.eq(held_on),
        reminders::at.eq(at),
    );
    let added =
        both!(conn, |c| diesel::insert_into(reminders::table).values(values).on_conflict_do_nothing().execute(c))?;
    Ok(added == 1)
}

/// The reminders of a place for a first day.
pub fn reminders_of(
    conn: &mut AnyConn,
    registration: RegistrationId,
    held_on: NaiveDate,
) -> Result<Vec<Reminder>, StoreError> {
    Ok(reminders::table
        .filter(reminders::registration_id.eq(registration))
        .filter(reminders::held_on.eq(held_on))
        .order(reminders::id)
        .select(reminders::kind)
        .load(conn)?)
}
