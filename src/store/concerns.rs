//! Concerns about adults of the program, sealed above; the two people who read them, and what they add.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{concern_notes, concern_readers, concerns};
use crate::domain::ids::{AccountId, ConcernId, StaffId};

/// A concern as it lies in the table.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = concerns)]
pub struct ConcernRow {
    /// The row.
    pub id: ConcernId,
    /// Public reference.
    pub reference: String,
    /// About whom of the staff.
    pub about_staff_id: Option<StaffId>,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed words.
    pub body: Vec<u8>,
    /// When it was written, in UTC.
    pub written_at: NaiveDateTime,
    /// By whom.
    pub written_by: AccountId,
    /// When it was settled, in UTC.
    pub settled_at: Option<NaiveDateTime>,
    /// By whom.
    pub settled_by: Option<AccountId>,
}

/// A concern about to be kept.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = concerns)]
pub struct NewConcern {
    /// Public reference.
    pub reference: String,
    /// About whom of the staff.
    pub about_staff_id: Option<StaffId>,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed words.
    pub body: Vec<u8>,
    /// When, in UTC.
    pub written_at: NaiveDateTime,
    /// By whom.
    pub written_by: AccountId,
}

/// Those who read concerns.
pub fn concern_readers(conn: &mut AnyConn) -> Result<Vec<AccountId>, StoreError> {
    Ok(concern_readers::table.order(concern_readers::account_id).select(concern_readers::account_id).load(conn)?)
}

/// Names those who read concerns, in place of those before.
pub fn set_concern_readers(conn: &mut AnyConn, readers: &[AccountId], at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::delete(concern_readers::table).execute(conn)?;
    for reader in readers {
        diesel::insert_into(concern_readers::table)
            .values((concern_readers::account_id.eq(reader), concern_readers::since.eq(at)))
            .execute(conn)?;
    }
    Ok(())
}

/// Keeps a concern.
pub fn add_concern(conn: &mut AnyConn, new: &NewConcern) -> Result<ConcernId, StoreError> {
    Ok(diesel::insert_into(concerns::table).values(new).returning(concerns::id).get_result(conn)?)
}

/// Every concern, the newest first.
pub fn list_concerns(conn: &mut AnyConn) -> Result<Vec<ConcernRow>, StoreError> {
    Ok(concerns::table.order(concerns::id.desc()).select(ConcernRow::as_select()).load(conn)?)
}

/// One concern.
pub fn find_concern(conn: &mut AnyConn, reference: &str) -> Result<Option<ConcernRow>, StoreError> {
    let found = concerns::table.filter(concerns::reference.eq(reference));
    Ok(found.select(ConcernRow::as_select()).first(conn).optional()?)
}

/// One concern by its row.
pub fn find_concern_by_id(conn: &mut AnyConn, id: ConcernId) -> Result<Option<ConcernRow>, StoreError> {
    let found = concerns::table.filter(concerns::id.eq(id));
    Ok(found.select(ConcernRow::as_select()).first(conn).optional()?)
}

/// Settles a concern. `false`: somebody had.
pub fn settle_concern(conn: &mut AnyConn, id: ConcernId, by: AccountId, at: NaiveDateTime) -> Result<bool, StoreError> {
    let open = concerns::table.filter(concerns::id.eq(id)).filter(concerns::settled_at.is_null());
    Ok(diesel::update(open).set((concerns::settled_at.eq(at), concerns::settled_by.eq(by))).execute(conn)? == 1)
}

/// Something that a reader added, sealed.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = concern_notes)]
pub struct NoteRow {
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed words.
    pub body: Vec<u8>,
    /// When, in UTC.
    pub at: NaiveDateTime,
    /// By whom.
    pub account_id: AccountId,
}

/// Adds to a concern.
pub fn add_note(conn: &mut AnyConn, id: ConcernId, row: &NoteRow) -> Result<(), StoreError> {
    diesel::insert_into(concern_notes::table)
        .values((
            concern_notes::concern_id.eq(id),
            concern_notes::row_key.eq(&row.row_key),
            concern_notes::body.eq(&row.body),
            concern_notes::at.eq(row.at),
            concern_notes::account_id.eq(row.account_id),
        ))
        .execute(conn)?;
    Ok(())
}

/// What was added to a concern, the oldest first.
pub fn notes_of(conn: &mut AnyConn, id: ConcernId) -> Result<Vec<NoteRow>, StoreError> {
    Ok(concern_notes::table
        .filter(concern_notes::concern_id.eq(id))
        .order(concern_notes::id)
        .select(NoteRow::as_select())
        .load(conn)?)
}
