//! Grants, helmet lots and issues. Stock goes down by one guarded update and never below nothing.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{gear_issues, gear_lots, grants};
use crate::domain::ids::{GrantId, LotId, RegistrationId};

/// Who paid.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = grants)]
pub struct GrantRow {
    /// The row.
    pub id: GrantId,
    /// A short code.
    pub code: String,
    /// Name.
    pub name: String,
    /// First day of its period.
    pub starts_on: NaiveDate,
    /// Last day.
    pub ends_on: NaiveDate,
    /// Helmets it is to give.
    pub helmets_target: i64,
}

/// Helmets of one model and size, bought at once. Head range in micrometres, cost in cents.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = gear_lots)]
pub struct LotRow {
    /// The row.
    pub id: LotId,
    /// A short code, as written on the box.
    pub code: String,
    /// Which grant paid.
    pub grant_id: GrantId,
    /// Make and model.
    pub model: String,
    /// The maker's size word.
    pub size_label: String,
    /// Smallest head.
    pub least_head_um: i64,
    /// Largest head.
    pub most_head_um: i64,
    /// Standard on the label.
    pub standard: String,
    /// First day of the month it was made.
    pub made_month: NaiveDate,
    /// Cost of one.
    pub unit_cost_cents: i64,
    /// How many came.
    pub received: i64,
    /// How many are left.
    pub on_hand: i64,
}

/// A lot about to be received.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = gear_lots)]
pub struct NewLot {
    /// A short code.
    pub code: String,
    /// Which grant paid.
    pub grant_id: GrantId,
    /// Make and model.
    pub model: String,
    /// The maker's size word.
    pub size_label: String,
    /// Smallest head.
    pub least_head_um: i64,
    /// Largest head.
    pub most_head_um: i64,
    /// Standard on the label.
    pub standard: String,
    /// First day of the month it was made.
    pub made_month: NaiveDate,
    /// Cost of one.
    pub unit_cost_cents: i64,
    /// How many came.
    pub received: i64,
    /// How many are left.
    pub on_hand: i64,
}

/// Adds a grant.
pub fn add_grant(
    conn: &mut AnyConn,
    code: &str,
    name: &str,
    period: (NaiveDate, NaiveDate),
    helmets_target: i64,
) -> Result<GrantId, StoreError> {
    Ok(diesel::insert_into(grants::table)
        .values((
            grants::code.eq(code),
            grants::name.eq(name),
            grants::starts_on.eq(period.0),
            grants::ends_on.eq(period.1),
            grants::helmets_target.eq(helmets_target),
        ))
        .returning(grants::id)
        .get_result(conn)?)
}

/// All grants by code.
pub fn list_grants(conn: &mut AnyConn) -> Result<Vec<GrantRow>, StoreError> {
    Ok(grants::table.order(grants::code).select(GrantRow::as_select()).load(conn)?)
}

/// Receives a lot.
pub fn add_lot(conn: &mut AnyConn, new: &NewLot) -> Result<LotId, StoreError> {
    Ok(diesel::insert_into(gear_lots::table).values(new).returning(gear_lots::id).get_result(conn)?)
}

/// All lots, smallest heads first.
pub fn list_lots(conn: &mut AnyConn) -> Result<Vec<LotRow>, StoreError> {
    Ok(gear_lots::table.order((gear_lots::least_head_um, gear_lots::code)).select(LotRow::as_select()).load(conn)?)
}

/// The lot of a code.
pub fn find_lot(conn: &mut AnyConn, code: &str) -> Result<Option<LotRow>, StoreError> {
    Ok(gear_lots::table.filter(gear_lots::code.eq(code)).select(LotRow::as_select()).first(conn).optional()?)
}

/// Takes one helmet from a lot if one is left.
pub fn take_from_lot(conn: &mut AnyConn, id: LotId) -> Result<bool, StoreError> {
    let left = gear_lots::table.filter(gear_lots::id.eq(id)).filter(gear_lots::on_hand.gt(0));
    Ok(diesel::update(left).set(gear_lots::on_hand.eq(gear_lots::on_hand - 1)).execute(conn)? == 1)
}

/// Records that a helmet went to a rider by an act. A second one is `Duplicate(Key::HelmetOnce)`.
pub fn add_issue(
    conn: &mut AnyConn,
    lot: LotId,
    registration: RegistrationId,
    act_id: &[u8],
    way: &str,
    issued_at: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(gear_issues::table)
        .values((
            gear_issues::lot_id.eq(lot),
            gear_issues::registration_id.eq(registration),
            gear_issues::act_id.eq(act_id),
            gear_issues::way.eq(way),
            gear_issues::issued_at.eq(issued_at),
        ))
        .execute(conn)?;
    Ok(())
}

/// Takes back an issue whose act was undone, and puts the helmet back into its lot. The acts keep the story.
pub fn return_issue(conn: &mut AnyConn, act_id: &[u8]) -> Result<(), StoreError> {
    let issue = gear_issues::table.filter(gear_issues::act_id.eq(act_id));
    let Some(lot) = issue.select(gear_issues::lot_id).first::<LotId>(conn).optional()? else { return Ok(()) };
    diesel::delete(issue).execute(conn)?;
    let lot = gear_lots::table.filter(gear_lots::id.eq(lot));
    diesel::update(lot).set(gear_lots::on_hand.eq(gear_lots::on_hand + 1)).execute(conn)?;
    Ok(())
}

/// The helmet given to a rider at a session, with its lot.
pub fn given_to(conn: &mut AnyConn, registration: RegistrationId) -> Result<Option<LotRow>, StoreError> {
    Ok(gear_issues::table
        .inner_join(gear_lots::table)
        .filter(gear_issues::registration_id.eq(registration))
        .filter(gear_issues::way.eq("given"))
        .select(LotRow::as_select())
        .first(conn)
        .optional()?)
}

/// Helmets on hand in all lots.
pub fn helmets_on_hand(conn: &mut AnyConn) -> Result<i64, StoreError> {
    let counts: Vec<i64> = gear_lots::table.select(gear_lots::on_hand).load(conn)?;
    Ok(counts.into_iter().sum())
}
