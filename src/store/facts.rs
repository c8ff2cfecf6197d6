//! What reports count: one narrow row a session and one a registration, written anew whenever a session closes and
//! taken away when it reopens, with the month sums beside them. Keys are pseudonyms; no name stands here.

use std::collections::BTreeSet;

use chrono::{Datelike, Months, NaiveDate};
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Date, Text};

use super::connection::AnyConn;
use super::dialect::lock_report_sums;
use super::error::StoreError;
use super::schema::{month_sums, rider_facts, session_facts};
use crate::domain::ids::{CourseId, GrantId, SessionId};
use crate::domain::registration::Outcome;
use crate::domain::words::Lang;

/// What is counted about a session.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = session_facts)]
pub struct SessionFact {
    /// Which session.
    pub session_id: SessionId,
    /// Its first day.
    pub held_on: NaiveDate,
    /// The county set of the site.
    pub county_set: i64,
    /// The site's county.
    pub site_county: String,
    /// Its course.
    pub course_id: CourseId,
    /// The language it was taught in.
    pub language: Lang,
}

/// What is counted about one registration.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = rider_facts)]
pub struct RiderFact {
    /// Which session.
    pub session_id: SessionId,
    /// Public reference of the registration.
    pub registration_ref: String,
    /// The rider's pseudonym.
    pub rider_key: String,
    /// The session's first day.
    pub held_on: NaiveDate,
    /// The county set of the site.
    pub county_set: i64,
    /// The site's county.
    pub site_county: String,
    /// The county of the rider's home.
    pub home_county: String,
    /// The course.
    pub course_id: CourseId,
    /// How the day ended.
    pub outcome: Outcome,
    /// 1 for a participation.
    pub participated: i64,
    /// 1 when every required skill was met.
    pub completed: i64,
    /// Helmets given, not lent.
    pub helmets: i64,
    /// The grant that paid for the helmet.
    pub grant_id: Option<GrantId>,
}

/// The key of one row of sums.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct SumKey {
    month: NaiveDate,
    county_set: i64,
    site_county: String,
    home_county: String,
    course: CourseId,
}

fn first_of_month(day: NaiveDate) -> NaiveDate {
    day.with_day(1).expect("every month has a first day")
}

/// Writes the facts of a session in place of earlier ones, and the sums that they touch.
pub fn replace_facts(conn: &mut AnyConn, session: &SessionFact, riders: &[RiderFact]) -> Result<(), StoreError> {
    lock_report_sums(conn)?;
    let mut touched = keys_of(conn, session.session_id)?;
    take_away(conn, session.session_id)?;
    diesel::insert_into(session_facts::table).values(session).execute(conn)?;
    for rider in riders {
        diesel::insert_into(rider_facts::table).values(rider).execute(conn)?;
    }
    touched.extend(keys_of(conn, session.session_id)?);
    touched.iter().try_for_each(|key| sum_anew(conn, key))
}

/// Takes the facts of a session away, with their part of the sums.
pub fn remove_facts(conn: &mut AnyConn, session: SessionId) -> Result<(), StoreError> {
    lock_report_sums(conn)?;
    let touched = keys_of(conn, session)?;
    take_away(conn, session)?;
    touched.iter().try_for_each(|key| sum_anew(conn, key))
}

fn take_away(conn: &mut AnyConn, session: SessionId) -> Result<(), StoreError> {
    diesel::delete(rider_facts::table.filter(rider_facts::session_id.eq(session))).execute(conn)?;
    diesel::delete(session_facts::table.filter(session_facts::session_id.eq(session))).execute(conn)?;
    Ok(())
}

fn keys_of(conn: &mut AnyConn, session: SessionId) -> Result<BTreeSet<SumKey>, StoreError> {
    let rows: Vec<(NaiveDate, i64, String, String, CourseId)> = rider_facts::table
        .filter(rider_facts::session_id.eq(session))
        .select((
            rider_facts::held_on,
            rider_facts::county_set,
            rider_facts::site_county,
            rider_facts::home_county,
            rider_facts::course_id,
        ))
        .load(conn)?;
    let key = |(day, county_set, site_county, home_county, course)| SumKey {
        month: first_of_month(day),
        county_set,
        site_county,
        home_county,
        course,
    };
    Ok(rows.into_iter().map(key).collect())
}

#[derive(QueryableByName)]
struct Sums {
    #[diesel(sql_type = BigInt)]
    facts: i64,
    #[diesel(sql_type = BigInt)]
    participations: i64,
    #[diesel(sql_type = BigInt)]
    completions: i64,
    #[diesel(sql_type = BigInt)]
    helmets: i64,
}

/// Sums one key anew from the facts; a key without facts has no row.
fn sum_anew(conn: &mut AnyConn, key: &SumKey) -> Result<(), StoreError> {
    let next_month = key.month + Months::new(1);
    let sums: Sums = diesel::sql_query(include_str!("reports/month_sum.sql"))
        .bind::<Date, _>(key.month)
        .bind::<Date, _>(next_month)
        .bind::<BigInt, _>(key.county_set)
        .bind::<Text, _>(&key.site_county)
        .bind::<Text, _>(&key.home_county)
        .bind::<BigInt, _>(key.course.raw())
        .get_result(conn)?;
    let row = month_sums::table
        .filter(month_sums::month.eq(key.month))
        .filter(month_sums::county_set.eq(key.county_set))
        .filter(month_sums::site_county.eq(&key.site_county))
        .filter(month_sums::home_county.eq(&key.home_county))
        .filter(month_sums::course_id.eq(key.course));
    diesel::delete(row).execute(conn)?;
    if sums.facts > 0 {
        diesel::insert_into(month_sums::table)
            .values((
                month_sums::month.eq(key.month),
                month_sums::county_set.eq(key.county_set),
                month_sums::site_county.eq(&key.site_county),
                month_sums::home_county.eq(&key.home_county),
                month_sums::course_id.eq(key.course),
                month_sums::participations.eq(sums.participations),
                month_sums::completions.eq(sums.completions),
                month_sums::helmets.eq(sums.helmets),
            ))
            .execute(conn)?;
    }
    Ok(())
}
