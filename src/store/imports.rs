//! Sheets with families: the file while it is looked at, what was made of it, and what headings mean.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, NaiveDateTime};
use diesel::dsl::exists;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::families::remove_rider;
use super::schema::{
    guardians, guardianships, import_headings, imported_guardians, imported_riders, imports, invited_riders,
    kept_health, measures, merges, registrations, riders,
};
use crate::domain::ids::{AccountId, GuardianId, ImportId, RiderId};
use crate::domain::import::{DayOrder, Meaning};
use crate::domain::words::Word;

/// An import.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = imports)]
pub struct ImportRow {
    /// The row.
    pub id: ImportId,
    /// Public reference.
    pub reference: String,
    /// Who brought the file.
    pub account_id: AccountId,
    /// What the file was called.
    pub name: String,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// What each column says, as JSON; none before the office said it.
    pub meanings: Option<String>,
    /// How days in numbers are written.
    pub day_order: DayOrder,
    /// The county of rows that name none.
    pub county: Option<String>,
    /// When the file came, in UTC.
    pub made_at: NaiveDateTime,
    /// When families were made of it, in UTC.
    pub done_at: Option<NaiveDateTime>,
    /// When they were taken back, in UTC.
    pub undone_at: Option<NaiveDateTime>,
    /// Adults that it added.
    pub families: i64,
    /// Children that it added.
    pub children: i64,
}

/// A file about to be kept.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = imports)]
pub struct NewImport {
    /// Public reference.
    pub reference: String,
    /// Who brought it.
    pub account_id: AccountId,
    /// What it was called.
    pub name: String,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed file.
    pub body: Vec<u8>,
    /// How days in numbers are probably written.
    pub day_order: DayOrder,
    /// When, in UTC.
    pub made_at: NaiveDateTime,
}

/// Keeps a file.
pub fn add_import(conn: &mut AnyConn, new: &NewImport) -> Result<(), StoreError> {
    diesel::insert_into(imports::table).values(new).execute(conn)?;
    Ok(())
}

/// One import.
pub fn find_import(conn: &mut AnyConn, reference: &str) -> Result<Option<ImportRow>, StoreError> {
    let found = imports::table.filter(imports::reference.eq(reference));
    Ok(found.select(ImportRow::as_select()).first(conn).optional()?)
}

/// The sealed file of an import; none once it is done.
pub fn body_of(conn: &mut AnyConn, id: ImportId) -> Result<Option<Vec<u8>>, StoreError> {
    Ok(imports::table.filter(imports::id.eq(id)).select(imports::body).first(conn)?)
}

/// Every import, the newest first.
pub fn list_imports(conn: &mut AnyConn) -> Result<Vec<ImportRow>, StoreError> {
    Ok(imports::table.order(imports::id.desc()).limit(100).select(ImportRow::as_select()).load(conn)?)
}

/// Keeps what the columns say. `false`: it is done already.
pub fn set_meanings(
    conn: &mut AnyConn,
    id: ImportId,
    meanings: &str,
    order: DayOrder,
    county: Option<&str>,
) -> Result<bool, StoreError> {
    let open = imports::table.filter(imports::id.eq(id)).filter(imports::done_at.is_null());
    let now = (imports::meanings.eq(meanings), imports::day_order.eq(order), imports::county.eq(county));
    Ok(diesel::update(open).set(now).execute(conn)? == 1)
}

/// Marks an import as done and drops the file. `false`: somebody was quicker.
pub fn set_done(
    conn: &mut AnyConn,
    id: ImportId,
    (families, children): (i64, i64),
    now: NaiveDateTime,
) -> Result<bool, StoreError> {
    let open = imports::table.filter(imports::id.eq(id)).filter(imports::done_at.is_null());
    let done = (
        imports::done_at.eq(now),
        imports::body.eq(None::<Vec<u8>>),
        imports::families.eq(families),
        imports::children.eq(children),
    );
    Ok(diesel::update(open).set(done).execute(conn)? == 1)
}

/// Marks an import as taken back. `false`: it was not done, or is taken back already.
pub fn set_undone(conn: &mut AnyConn, id: ImportId, now: NaiveDateTime) -> Result<bool, StoreError> {
    let done = imports::table
        .filter(imports::id.eq(id))
        .filter(imports::done_at.is_not_null())
        .filter(imports::undone_at.is_null());
    Ok(diesel::update(done).set(imports::undone_at.eq(now)).execute(conn)? == 1)
}

/// Throws a file away of which nothing was made. `false`: something was.
pub fn remove_import(conn: &mut AnyConn, id: ImportId) -> Result<bool, StoreError> {
    let open = imports::table.filter(imports::id.eq(id)).filter(imports::done_at.is_null());
    Ok(diesel::delete(open).execute(conn)? == 1)
}

/// Forgets files that nobody made anything of since, and imports done before, with what they added in mind.
pub fn remove_imports_before(
    conn: &mut AnyConn,
    made: NaiveDateTime,
    done: NaiveDateTime,
) -> Result<usize, StoreError> {
    let left = diesel::delete(imports::table.filter(imports::done_at.is_null()).filter(imports::made_at.lt(made)));
    let left = left.execute(conn)?;
    Ok(left + diesel::delete(imports::table.filter(imports::done_at.lt(done))).execute(conn)?)
}

/// Notes what an import added.
pub fn note_imported(
    conn: &mut AnyConn,
    id: ImportId,
    riders: &[RiderId],
    adults: &[GuardianId],
) -> Result<(), StoreError> {
    for some in riders.chunks(500) {
        let rows: Vec<_> =
            some.iter().map(|one| (imported_riders::rider_id.eq(*one), imported_riders::import_id.eq(id))).collect();
        both!(conn, |c| diesel::insert_into(imported_riders::table).values(&rows).execute(c))?;
    }
    for some in adults.chunks(500) {
        let row = |one: &GuardianId| (imported_guardians::guardian_id.eq(*one), imported_guardians::import_id.eq(id));
        let rows: Vec<_> = some.iter().map(row).collect();
        both!(conn, |c| diesel::insert_into(imported_guardians::table).values(&rows).execute(c))?;
    }
    Ok(())
}

/// Takes back every child of an import on which nothing was built since, and the adults whom it then leaves alone. Gives
/// how many children went and how many stay.
pub fn take_back(conn: &mut AnyConn, id: ImportId) -> Result<(usize, usize), StoreError> {
    let own = imported_riders::table.filter(imported_riders::import_id.eq(id)).select(imported_riders::rider_id);
    let all: Vec<RiderId> = own.load(conn)?;
    let mut gone = 0;
    for rider in &all {
        if !is_used(conn, id, *rider)? {
            diesel::delete(imported_riders::table.filter(imported_riders::rider_id.eq(*rider))).execute(conn)?;
            remove_rider(conn, *rider)?;
            gone += 1;
        }
    }
    let added =
        imported_guardians::table.filter(imported_guardians::import_id.eq(id)).select(imported_guardians::guardian_id);
    let alone: Vec<GuardianId> = guardians::table
        .filter(guardians::id.eq_any(added))
        .filter(guardians::account_id.is_null())
        .filter(diesel::dsl::not(exists(guardianships::table.filter(guardianships::guardian_id.eq(guardians::id)))))
        .filter(diesel::dsl::not(exists(registrations::table.filter(registrations::guardian_id.eq(guardians::id)))))
        .select(guardians::id)
        .load(conn)?;
    for adult in alone {
        diesel::delete(imported_guardians::table.filter(imported_guardians::guardian_id.eq(adult))).execute(conn)?;
        diesel::delete(guardians::table.filter(guardians::id.eq(adult))).execute(conn)?;
    }
    Ok((gone, all.len() - gone))
}

/// Whether anything was built on a child since: a registration, sizes, kept answers, a merge, another adult.
fn is_used(conn: &mut AnyConn, id: ImportId, rider: RiderId) -> Result<bool, StoreError> {
    let own =
        imported_guardians::table.filter(imported_guardians::import_id.eq(id)).select(imported_guardians::guardian_id);
    let others = guardianships::table
        .filter(guardianships::rider_id.eq(rider))
        .filter(guardianships::note.ne("").or(guardianships::guardian_id.ne_all(own)));
    let merged = merges::table.filter(merges::stays_id.eq(rider).or(merges::goes_id.eq(rider)));
    let used: bool = diesel::select(
        exists(registrations::table.filter(registrations::rider_id.eq(rider)))
            .or(exists(measures::table.filter(measures::rider_id.eq(rider))))
            .or(exists(kept_health::table.filter(kept_health::rider_id.eq(rider))))
            .or(exists(invited_riders::table.filter(invited_riders::rider_id.eq(rider))))
            .or(exists(merged))
            .or(exists(others)),
    )
    .get_result(conn)?;
    Ok(used)
}

/// What the office said that headings mean; none for columns that say nothing.
pub fn headings(conn: &mut AnyConn) -> Result<BTreeMap<String, Option<Meaning>>, StoreError> {
    let rows: Vec<(String, String)> = import_headings::table.load(conn)?;
    Ok(rows.into_iter().map(|(heading, meaning)| (heading, Meaning::from_word(&meaning))).collect())
}

/// Remembers what a heading means.
pub fn set_heading(conn: &mut AnyConn, heading: &str, meaning: Option<Meaning>) -> Result<(), StoreError> {
    let word = meaning.map_or("", |meaning| meaning.as_str());
    both!(conn, |c| diesel::insert_into(import_headings::table)
        .values((import_headings::heading.eq(heading), import_headings::meaning.eq(word)))
        .on_conflict(import_headings::heading)
        .do_update()
        .set(import_headings::meaning.eq(word))
        .execute(c))?;
    Ok(())
}

/// So many values are asked for at a time.
const AT_ONCE: usize = 5_000;

/// An adult as a sheet may mean them.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = guardians)]
pub struct ReachedRow {
    /// The row.
    pub id: GuardianId,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Telephone as dialled.
    pub phone: String,
    /// Address for letters.
    pub email: Option<String>,
}

/// Adults of riders who are reached by one of these telephones or addresses, in the order in which the program came to know
/// them.
pub fn adults_reached(
    conn: &mut AnyConn,
    phones: &BTreeSet<&str>,
    emails: &BTreeSet<&str>,
) -> Result<Vec<ReachedRow>, StoreError> {
    let mut found: BTreeMap<GuardianId, ReachedRow> = BTreeMap::new();
    let of_riders =
        || guardians::table.filter(exists(guardianships::table.filter(guardianships::guardian_id.eq(guardians::id))));
    for some in phones.iter().copied().collect::<Vec<_>>().chunks(AT_ONCE) {
        let rows = of_riders().filter(guardians::phone.eq_any(some)).select(ReachedRow::as_select());
        found.extend(rows.load::<ReachedRow>(conn)?.into_iter().map(|row| (row.id, row)));
    }
    for some in emails.iter().copied().collect::<Vec<_>>().chunks(AT_ONCE) {
        let rows = of_riders().filter(guardians::email.eq_any(some)).select(ReachedRow::as_select());
        found.extend(rows.load::<ReachedRow>(conn)?.into_iter().map(|row| (row.id, row)));
    }
    Ok(found.into_values().collect())
}

/// A rider as a sheet may mean it.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = riders)]
pub struct BornRow {
    /// The row.
    pub id: RiderId,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
}

/// Riders born on one of these days, with each of their adults, in the order in which the program came to know them.
pub fn children_born(conn: &mut AnyConn, days: &BTreeSet<NaiveDate>) -> Result<Vec<(BornRow, GuardianId)>, StoreError> {
    let mut found: Vec<(BornRow, GuardianId)> = Vec::new();
    for some in days.iter().copied().collect::<Vec<_>>().chunks(AT_ONCE) {
        let rows = riders::table.inner_join(guardianships::table).filter(riders::birth_date.eq_any(some));
        let rows = rows.select((BornRow::as_select(), guardianships::guardian_id));
        found.extend(rows.load::<(BornRow, GuardianId)>(conn)?);
    }
    found.sort_by_key(|(row, guardian)| (row.id, *guardian));
    Ok(found)
}
