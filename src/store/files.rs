//! Files as sealed rows of the same database, so that every instance and one backup see them. Holds no plain bytes:
//! what is kept here was sealed above, for this table, column and row key.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::files;
use crate::domain::ids::FileId;

/// A file as it lies in the table.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = files)]
pub struct FileRow {
    /// The row.
    pub id: FileId,
    /// What it is, as a word: `certificate`.
    pub kind: String,
    /// Its media type.
    pub media: String,
    /// Drawn before the insert and bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed bytes.
    pub body: Vec<u8>,
}

/// A sealed file about to be kept.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = files)]
pub struct NewFile {
    /// Public reference.
    pub reference: String,
    /// What it is, as a word.
    pub kind: String,
    /// Its media type.
    pub media: String,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed bytes.
    pub body: Vec<u8>,
    /// When, in UTC.
    pub created_at: NaiveDateTime,
}

/// Keeps a file.
pub fn add_file(conn: &mut AnyConn, new: &NewFile) -> Result<FileId, StoreError> {
    Ok(diesel::insert_into(files::table).values(new).returning(files::id).get_result(conn)?)
}

/// The file of a row.
pub fn find_file(conn: &mut AnyConn, id: FileId) -> Result<FileRow, StoreError> {
    Ok(files::table.filter(files::id.eq(id)).select(FileRow::as_select()).first(conn)?)
}

/// Removes files that nothing leads to any more.
pub fn remove_files(conn: &mut AnyConn, ids: &[FileId]) -> Result<(), StoreError> {
    diesel::delete(files::table.filter(files::id.eq_any(ids))).execute(conn)?;
    Ok(())
}
