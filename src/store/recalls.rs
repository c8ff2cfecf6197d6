//! Helmets that a maker or an agency calls back, and what became of each one that a rider has.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{gear_issues, gear_lots, gear_recalls, recall_holders, registrations};
use crate::domain::gear::{RecallAnswer, Way};
use crate::domain::ids::{AccountId, LotId, RegistrationId, RiderId};

/// A recall.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = gear_recalls)]
pub struct RecallRow {
    /// The row.
    pub id: i64,
    /// Public reference.
    pub reference: String,
    /// Every lot of this make and model; empty when one lot is meant.
    pub model: String,
    /// The one lot.
    pub lot_id: Option<LotId>,
    /// What is wrong.
    pub why: String,
    /// Who says so.
    pub source: String,
    /// Since when, in UTC.
    pub started_at: NaiveDateTime,
    /// Until when; none while it stands.
    pub ended_at: Option<NaiveDateTime>,
}

/// A recall about to start.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = gear_recalls)]
pub struct NewRecall {
    /// Public reference.
    pub reference: String,
    /// Every lot of this make and model; empty when one lot is meant.
    pub model: String,
    /// The one lot.
    pub lot_id: Option<LotId>,
    /// What is wrong.
    pub why: String,
    /// Who says so.
    pub source: String,
    /// Now, in UTC.
    pub started_at: NaiveDateTime,
    /// Who entered it.
    pub started_by: Option<AccountId>,
}

/// Starts a recall.
pub fn add_recall(conn: &mut AnyConn, new: &NewRecall) -> Result<i64, StoreError> {
    Ok(diesel::insert_into(gear_recalls::table).values(new).returning(gear_recalls::id).get_result(conn)?)
}

/// Every recall, the newest first.
pub fn list_recalls(conn: &mut AnyConn) -> Result<Vec<RecallRow>, StoreError> {
    Ok(gear_recalls::table.order(gear_recalls::id.desc()).select(RecallRow::as_select()).load(conn)?)
}

/// The recall of a public reference.
pub fn find_recall(conn: &mut AnyConn, reference: &str) -> Result<Option<RecallRow>, StoreError> {
    let own = gear_recalls::table.filter(gear_recalls::reference.eq(reference));
    Ok(own.select(RecallRow::as_select()).first(conn).optional()?)
}

/// Ends a recall. `false`: it was ended.
pub fn end_recall(conn: &mut AnyConn, id: i64, at: NaiveDateTime) -> Result<bool, StoreError> {
    let open = gear_recalls::table.filter(gear_recalls::id.eq(id)).filter(gear_recalls::ended_at.is_null());
    Ok(diesel::update(open).set(gear_recalls::ended_at.eq(at)).execute(conn)? == 1)
}

/// Lots of which none is handed out, because a recall of them stands.
pub fn recalled_lots(conn: &mut AnyConn) -> Result<Vec<LotId>, StoreError> {
    let standing = || gear_recalls::table.filter(gear_recalls::ended_at.is_null());
    let by_lot = standing().filter(gear_recalls::lot_id.is_not_null()).select(gear_recalls::lot_id.assume_not_null());
    let by_model = standing().filter(gear_recalls::lot_id.is_null()).select(gear_recalls::model);
    Ok(gear_lots::table
        .filter(gear_lots::id.eq_any(by_lot).or(gear_lots::model.eq_any(by_model)))
        .order(gear_lots::id)
        .select(gear_lots::id)
        .load(conn)?)
}

/// A helmet that was called back from a rider.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct HolderRow {
    /// The row.
    pub id: i64,
    /// The recall.
    pub recall_id: i64,
    /// The place in whose session it was handed out.
    pub registration_id: RegistrationId,
    /// Of which lot it is.
    pub lot_id: LotId,
    /// Lent or given.
    pub way: Way,
    /// What became of it.
    pub answer: Option<RecallAnswer>,
    /// When somebody said so, in UTC.
    pub answered_at: Option<NaiveDateTime>,
    /// Who said so.
    pub answered_by: Option<AccountId>,
}

/// Notes every helmet of these lots that riders have as called back, the oldest issue first; gives the rows.
pub fn add_holders(conn: &mut AnyConn, recall: i64, lots: &[LotId]) -> Result<Vec<HolderRow>, StoreError> {
    let issues: Vec<i64> = gear_issues::table
        .filter(gear_issues::lot_id.eq_any(lots))
        .filter(gear_issues::returned_at.is_null())
        .order((gear_issues::issued_at, gear_issues::id))
        .select(gear_issues::id)
        .load(conn)?;
    for issue in issues {
        diesel::insert_into(recall_holders::table)
            .values((recall_holders::recall_id.eq(recall), recall_holders::issue_id.eq(issue)))
            .execute(conn)?;
    }
    holders_of(conn, recall)
}

macro_rules! holders {
    () => {
        recall_holders::table.inner_join(gear_issues::table).order(recall_holders::id).select((
            recall_holders::id,
            recall_holders::recall_id,
            gear_issues::registration_id,
            gear_issues::lot_id,
            gear_issues::way,
            recall_holders::answer,
            recall_holders::answered_at,
            recall_holders::answered_by,
        ))
    };
}

/// Everybody from whom a recall wants helmets back.
pub fn holders_of(conn: &mut AnyConn, recall: i64) -> Result<Vec<HolderRow>, StoreError> {
    Ok(holders!().filter(recall_holders::recall_id.eq(recall)).load(conn)?)
}

/// One of them.
pub fn find_holder(conn: &mut AnyConn, id: i64) -> Result<Option<HolderRow>, StoreError> {
    Ok(holders!().filter(recall_holders::id.eq(id)).first(conn).optional()?)
}

/// Recalled helmets of some children of which nobody has said what became of them, while their recall stands.
pub fn open_holders(conn: &mut AnyConn, riders: &[RiderId]) -> Result<Vec<(RecallRow, HolderRow)>, StoreError> {
    let places = registrations::table.filter(registrations::rider_id.eq_any(riders)).select(registrations::id);
    let rows: Vec<HolderRow> = holders!()
        .filter(gear_issues::registration_id.eq_any(places))
        .filter(recall_holders::answer.is_null())
        .load(conn)?;
    let recalls = list_recalls(conn)?;
    let standing = |row: &HolderRow| recalls.iter().find(|one| one.id == row.recall_id && one.ended_at.is_none());
    Ok(rows.into_iter().filter_map(|row| Some((standing(&row)?.clone(), row))).collect())
}

/// Notes what became of a helmet.
pub fn set_answer(
    conn: &mut AnyConn,
    id: i64,
    answer: RecallAnswer,
    by: Option<AccountId>,
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::update(recall_holders::table.filter(recall_holders::id.eq(id)))
        .set((
            recall_holders::answer.eq(answer),
            recall_holders::answered_at.eq(at),
            recall_holders::answered_by.eq(by),
        ))
        .execute(conn)?;
    Ok(())
}

/// Forgets that a helmet was called back whose issue was undone.
pub fn forget_holder(conn: &mut AnyConn, act_id: &[u8]) -> Result<(), StoreError> {
    let issue = gear_issues::table.filter(gear_issues::act_id.eq(act_id)).select(gear_issues::id);
    diesel::delete(recall_holders::table.filter(recall_holders::issue_id.eq_any(issue))).execute(conn)?;
    Ok(())
}
