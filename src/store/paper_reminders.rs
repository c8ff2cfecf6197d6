//! Which letters about papers that run out were owed: one row for each person, paper, last day and time before it.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::paper_reminders;
use crate::domain::certification::CertificationKind;
use crate::domain::ids::StaffId;
use crate::domain::words::Word;

/// A letter about a paper.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = paper_reminders)]
pub struct PaperReminderRow {
    /// The row.
    pub id: i64,
    /// Whose paper.
    pub staff_id: StaffId,
    /// A word of `certification_kinds`.
    pub kind: String,
    /// The last day.
    pub valid_through: NaiveDate,
    /// So many days before.
    pub days: i64,
}

/// A letter about a paper, about to be noted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NewPaperReminder {
    /// Whose paper.
    pub staff: StaffId,
    /// Which.
    pub kind: CertificationKind,
    /// The last day.
    pub valid_through: NaiveDate,
    /// So many days before.
    pub days: i64,
}

/// Notes a letter. `None`: it was noted before.
pub fn add_paper_reminder(
    conn: &mut AnyConn,
    new: &NewPaperReminder,
    at: NaiveDateTime,
) -> Result<Option<i64>, StoreError> {
    let values = (
        paper_reminders::staff_id.eq(new.staff),
        paper_reminders::kind.eq(new.kind.as_str()),
        paper_reminders::valid_through.eq(new.valid_through),
        paper_reminders::days.eq(new.days),
        paper_reminders::at.eq(at),
    );
    let added = both!(conn, |c| diesel::insert_into(paper_reminders::table)
        .values(values)
        .on_conflict_do_nothing()
        .execute(c))?;
    if added == 0 {
        return Ok(None);
    }
    find(conn, new)
}

/// Whether a letter was noted.
pub fn has_paper_reminder(conn: &mut AnyConn, new: &NewPaperReminder) -> Result<bool, StoreError> {
    Ok(find(conn, new)?.is_some())
}

fn find(conn: &mut AnyConn, new: &NewPaperReminder) -> Result<Option<i64>, StoreError> {
    let row = paper_reminders::table
        .filter(paper_reminders::staff_id.eq(new.staff))
        .filter(paper_reminders::kind.eq(new.kind.as_str()))
        .filter(paper_reminders::valid_through.eq(new.valid_through))
        .filter(paper_reminders::days.eq(new.days));
    Ok(row.select(paper_reminders::id).first(conn).optional()?)
}

/// A letter by its row.
pub fn find_paper_reminder(conn: &mut AnyConn, id: i64) -> Result<Option<PaperReminderRow>, StoreError> {
    let row = paper_reminders::table.filter(paper_reminders::id.eq(id));
    Ok(row.select(PaperReminderRow::as_select()).first(conn).optional()?)
}
