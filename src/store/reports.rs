//! Wide reads for reports, from the facts alone. The SQL stands beside this file; one text serves both engines.

use chrono::NaiveDate;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Date, Text};

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::session_facts;
use rows::Stretch;

pub mod rows;

/// What each long read begins with: the facts that the span asks for.
macro_rules! of_the_span {
    ($file:literal) => {
        concat!(include_str!("reports/span.sql"), include_str!($file))
    };
}

/// Which facts a report reads: from the first day to the last, perhaps of one course or grant, with the county set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// Only this course, by its code; empty for all.
    pub course: String,
    /// Only riders whose helmet this grant paid for, by its code; empty for all.
    pub grant: String,
    /// The county set that the report goes by.
    pub county_set: i64,
    /// The program's state, two digits.
    pub state_fips: String,
}

/// The figures of a period.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, QueryableByName)]
pub struct Figures {
    /// Sessions that were held and closed.
    #[diesel(sql_type = BigInt)]
    pub sessions: i64,
    /// Participations: one rider in two sessions counts twice.
    #[diesel(sql_type = BigInt)]
    pub participations: i64,
    /// Different riders.
    #[diesel(sql_type = BigInt)]
    pub riders: i64,
    /// Completions.
    #[diesel(sql_type = BigInt)]
    pub completions: i64,
    /// Helmets given.
    #[diesel(sql_type = BigInt)]
    pub helmets: i64,
    /// Registered, came, and were not let start.
    #[diesel(sql_type = BigInt)]
    pub turned_away: i64,
    /// Registered and did not come.
    #[diesel(sql_type = BigInt)]
    pub absent: i64,
    /// Counties of the state in which somebody took part.
    #[diesel(sql_type = BigInt)]
    pub counties_by_site: i64,
    /// Counties of the state from which somebody came who took part.
    #[diesel(sql_type = BigInt)]
    pub counties_by_home: i64,
    /// All counties of the state.
    #[diesel(sql_type = BigInt)]
    pub counties_in_state: i64,
}

/// One county's part.
#[derive(Clone, Debug, PartialEq, Eq, QueryableByName)]
pub struct CountyPart {
    /// Five characters.
    #[diesel(sql_type = Text)]
    pub fips: String,
    /// Without "County"; empty when the set does not know the code.
    #[diesel(sql_type = Text)]
    pub name: String,
    /// Its state; empty when the set does not know the code.
    #[diesel(sql_type = Text)]
    pub state_fips: String,
    /// Sessions there.
    #[diesel(sql_type = BigInt)]
    pub sessions: i64,
    /// Participations there.
    #[diesel(sql_type = BigInt)]
    pub by_site: i64,
    /// Participations of riders who live there.
    #[diesel(sql_type = BigInt)]
    pub by_home: i64,
    /// Completions of riders who live there.
    #[diesel(sql_type = BigInt)]
    pub completions: i64,
    /// Helmets given to riders who live there.
    #[diesel(sql_type = BigInt)]
    pub helmets: i64,
}

/// One grant's part.
#[derive(Clone, Debug, PartialEq, Eq, QueryableByName)]
pub struct GrantPart {
    /// A short code.
    #[diesel(sql_type = Text)]
    pub code: String,
    /// Name.
    #[diesel(sql_type = Text)]
    pub name: String,
    /// First day of the grant.
    #[diesel(sql_type = Date)]
    pub starts_on: NaiveDate,
    /// Last day of the grant.
    #[diesel(sql_type = Date)]
    pub ends_on: NaiveDate,
    /// Helmets it is to give over its whole time.
    #[diesel(sql_type = BigInt)]
    pub target: i64,
    /// Helmets given in the period.
    #[diesel(sql_type = BigInt)]
    pub given: i64,
}

/// The county set that the facts of these days were written by, when they agree; otherwise the program's own.
pub fn county_set_of(conn: &mut AnyConn, (from, to): (NaiveDate, NaiveDate), own: i64) -> Result<i64, StoreError> {
    let sets: Vec<i64> = session_facts::table
        .filter(session_facts::held_on.between(from, to))
        .select(session_facts::county_set)
        .distinct()
        .load(conn)?;
    Ok(if let [only] = sets[..] { only } else { own })
}

/// The figures.
pub fn figures(conn: &mut AnyConn, span: &Span) -> Result<Figures, StoreError> {
    Ok(diesel::sql_query(of_the_span!("reports/figures.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .bind::<Text, _>(&span.course)
        .bind::<Text, _>(&span.grant)
        .bind::<BigInt, _>(span.county_set)
        .bind::<Text, _>(&span.state_fips)
        .get_result(conn)?)
}

/// Every county of the state by name, then any other that a fact names.
pub fn counties_in(conn: &mut AnyConn, span: &Span) -> Result<Vec<CountyPart>, StoreError> {
    Ok(diesel::sql_query(of_the_span!("reports/counties.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .bind::<Text, _>(&span.course)
        .bind::<Text, _>(&span.grant)
        .bind::<BigInt, _>(span.county_set)
        .bind::<Text, _>(&span.state_fips)
        .load(conn)?)
}

/// Every grant, or the one asked for, with the helmets given in the period.
pub fn grants_in(conn: &mut AnyConn, span: &Span) -> Result<Vec<GrantPart>, StoreError> {
    Ok(diesel::sql_query(of_the_span!("reports/grants.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .bind::<Text, _>(&span.course)
        .bind::<Text, _>(&span.grant)
        .load(conn)?)
}

#[derive(QueryableByName)]
struct Key {
    #[diesel(sql_type = Text)]
    rider_key: String,
}

/// The pseudonyms of different riders, in the order in which they first took part.
pub fn rider_keys(conn: &mut AnyConn, span: &Span, stretch: Stretch) -> Result<Vec<String>, StoreError> {
    let keys: Vec<Key> = diesel::sql_query(of_the_span!("reports/same_riders.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .bind::<Text, _>(&span.course)
        .bind::<Text, _>(&span.grant)
        .bind::<BigInt, _>(stretch.most)
        .bind::<BigInt, _>(stretch.after)
        .load(conn)?;
    Ok(keys.into_iter().map(|key| key.rider_key).collect())
}
