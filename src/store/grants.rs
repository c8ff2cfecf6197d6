//! Who pays: the record of each grant, the counties in which it gives, the reports that it asks for, and what the program
//! brings beside it.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{grant_counties, grant_dues, grant_matches, grants};
use crate::domain::grant::MatchKind;
use crate::domain::ids::{AccountId, GrantId};

/// Who paid. Money in cents, a mile in tenths of a cent, the federal share in thousandths.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = grants)]
pub struct GrantRow {
    /// The row.
    pub id: GrantId,
    /// Public reference.
    pub reference: String,
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
    /// Who pays; empty when nobody wrote it down, like the next two.
    pub payer: String,
    /// The number of the award.
    pub award: String,
    /// Who holds the title to what it pays for.
    pub title_holder: String,
    /// How much of it is federal money.
    pub federal_permille: Option<i64>,
    /// What it pays for gear.
    pub budget_cents: Option<i64>,
    /// What the program is to bring beside it.
    pub match_cents: Option<i64>,
    /// What an hour of a volunteer counts for.
    pub hour_cents: Option<i64>,
    /// What a mile counts for.
    pub mile_tenth_cents: Option<i64>,
    /// Least age of a child who may get a helmet.
    pub least_age: Option<i64>,
    /// Greatest age.
    pub most_age: Option<i64>,
    /// Years after which the same child may get another one.
    pub again_after_years: Option<i64>,
}

/// The record of a grant about to be added or changed.
#[derive(Clone, Debug, PartialEq, Eq, Insertable, AsChangeset)]
#[diesel(table_name = grants, treat_none_as_null = true)]
pub struct GrantFacts {
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
    /// Who pays.
    pub payer: String,
    /// The number of the award.
    pub award: String,
    /// Who holds the title to what it pays for.
    pub title_holder: String,
    /// How much of it is federal money.
    pub federal_permille: Option<i64>,
    /// What it pays for gear.
    pub budget_cents: Option<i64>,
    /// What the program is to bring beside it.
    pub match_cents: Option<i64>,
    /// What an hour of a volunteer counts for.
    pub hour_cents: Option<i64>,
    /// What a mile counts for.
    pub mile_tenth_cents: Option<i64>,
    /// Least age of a child who may get a helmet.
    pub least_age: Option<i64>,
    /// Greatest age.
    pub most_age: Option<i64>,
    /// Years after which the same child may get another one.
    pub again_after_years: Option<i64>,
}

impl GrantFacts {
    /// A grant of which no more than this is known.
    pub fn named(code: &str, name: &str, period: (NaiveDate, NaiveDate), helmets_target: i64) -> Self {
        Self {
            code: code.to_owned(),
            name: name.to_owned(),
            starts_on: period.0,
            ends_on: period.1,
            helmets_target,
            payer: String::new(),
            award: String::new(),
            title_holder: String::new(),
            federal_permille: None,
            budget_cents: None,
            match_cents: None,
            hour_cents: None,
            mile_tenth_cents: None,
            least_age: None,
            most_age: None,
            again_after_years: None,
        }
    }
}

/// Adds a grant.
pub fn add_grant(conn: &mut AnyConn, reference: &str, facts: &GrantFacts) -> Result<GrantId, StoreError> {
    let row = (facts, grants::reference.eq(reference));
    Ok(diesel::insert_into(grants::table).values(row).returning(grants::id).get_result(conn)?)
}

/// Changes the record of a grant.
pub fn set_grant(conn: &mut AnyConn, id: GrantId, facts: &GrantFacts) -> Result<(), StoreError> {
    diesel::update(grants::table.filter(grants::id.eq(id))).set(facts).execute(conn)?;
    Ok(())
}

/// All grants by code.
pub fn list_grants(conn: &mut AnyConn) -> Result<Vec<GrantRow>, StoreError> {
    Ok(grants::table.order(grants::code).select(GrantRow::as_select()).load(conn)?)
}

/// The grant of a public reference.
pub fn find_grant(conn: &mut AnyConn, reference: &str) -> Result<Option<GrantRow>, StoreError> {
    let own = grants::table.filter(grants::reference.eq(reference));
    Ok(own.select(GrantRow::as_select()).first(conn).optional()?)
}

/// The grant of a row.
pub fn find_grant_by_id(conn: &mut AnyConn, id: GrantId) -> Result<GrantRow, StoreError> {
    Ok(grants::table.filter(grants::id.eq(id)).select(GrantRow::as_select()).first(conn)?)
}

/// The counties in which a grant gives, by code; none stands for all.
pub fn counties_of(conn: &mut AnyConn, grant: GrantId) -> Result<Vec<String>, StoreError> {
    Ok(grant_counties::table
        .filter(grant_counties::grant_id.eq(grant))
        .order(grant_counties::county)
        .select(grant_counties::county)
        .load(conn)?)
}

/// Sets the counties in which a grant gives, in place of earlier ones.
pub fn set_counties(conn: &mut AnyConn, grant: GrantId, set: i64, counties: &[String]) -> Result<(), StoreError> {
    diesel::delete(grant_counties::table.filter(grant_counties::grant_id.eq(grant))).execute(conn)?;
    for county in counties {
        diesel::insert_into(grant_counties::table)
            .values((
                grant_counties::grant_id.eq(grant),
                grant_counties::county_set.eq(set),
                grant_counties::county.eq(county),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// A report that a grant asks for.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct DueRow {
    /// The row.
    pub id: i64,
    /// The grant.
    pub grant_id: GrantId,
    /// The day.
    pub due_on: NaiveDate,
    /// What is to be sent.
    pub what: String,
    /// When it was.
    pub done_on: Option<NaiveDate>,
}

/// Every report that grants ask for, by day.
pub fn list_dues(conn: &mut AnyConn) -> Result<Vec<DueRow>, StoreError> {
    Ok(grant_dues::table.order((grant_dues::due_on, grant_dues::id)).load(conn)?)
}

/// Adds a report that a grant asks for.
pub fn add_due(conn: &mut AnyConn, grant: GrantId, on: NaiveDate, what: &str) -> Result<(), StoreError> {
    diesel::insert_into(grant_dues::table)
        .values((grant_dues::grant_id.eq(grant), grant_dues::due_on.eq(on), grant_dues::what.eq(what)))
        .execute(conn)?;
    Ok(())
}

/// Notes when a report was sent, or that it was not after all. `false`: the grant asks for no such report.
pub fn set_due_done(
    conn: &mut AnyConn,
    grant: GrantId,
    id: i64,
    done_on: Option<NaiveDate>,
) -> Result<bool, StoreError> {
    let own = grant_dues::table.filter(grant_dues::grant_id.eq(grant)).filter(grant_dues::id.eq(id));
    Ok(diesel::update(own).set(grant_dues::done_on.eq(done_on)).execute(conn)? == 1)
}

/// Something that the program brought beside a grant. Hours and miles in tenths, money in cents.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = grant_matches)]
pub struct MatchRow {
    /// The row.
    pub id: i64,
    /// The grant.
    pub grant_id: GrantId,
    /// What kind.
    pub kind: MatchKind,
    /// The day.
    pub done_on: NaiveDate,
    /// How much.
    pub tenths: i64,
    /// What it counted for when it was written down, in cents.
    pub worth_cents: i64,
    /// What it was.
    pub what: String,
}

/// Something that the program brought, about to be written down.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = grant_matches)]
pub struct NewMatch {
    /// The grant.
    pub grant_id: GrantId,
    /// What kind.
    pub kind: MatchKind,
    /// The day.
    pub done_on: NaiveDate,
    /// How much.
    pub tenths: i64,
    /// What it counts for, in cents.
    pub worth_cents: i64,
    /// What it was.
    pub what: String,
    /// When it was written down, in UTC.
    pub at: NaiveDateTime,
    /// By whom.
    pub account_id: Option<AccountId>,
}

/// Everything that counts beside grants, by day.
pub fn list_matches(conn: &mut AnyConn) -> Result<Vec<MatchRow>, StoreError> {
    Ok(grant_matches::table
        .filter(grant_matches::taken_back_at.is_null())
        .order((grant_matches::done_on, grant_matches::id))
        .select(MatchRow::as_select())
        .load(conn)?)
}

/// Writes down what the program brought.
pub fn add_match(conn: &mut AnyConn, new: &NewMatch) -> Result<(), StoreError> {
    diesel::insert_into(grant_matches::table).values(new).execute(conn)?;
    Ok(())
}

/// Takes back what was written down by mistake; the row stays. `false`: it was taken back, or there is none.
pub fn take_back_match(conn: &mut AnyConn, grant: GrantId, id: i64, at: NaiveDateTime) -> Result<bool, StoreError> {
    let open = grant_matches::table
        .filter(grant_matches::grant_id.eq(grant))
        .filter(grant_matches::id.eq(id))
        .filter(grant_matches::taken_back_at.is_null());
    Ok(diesel::update(open).set(grant_matches::taken_back_at.eq(at)).execute(conn)? == 1)
}
