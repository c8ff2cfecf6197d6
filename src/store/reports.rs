//! Wide reads for reports, from the facts alone. The SQL stands beside this file; one text serves both engines.

use chrono::NaiveDate;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Date, Text};

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{courses, grants, rider_facts, session_facts, sessions};
use crate::domain::registration::Outcome;

/// Which facts a report reads: from the first day to the last, with the program's counties.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// The county set that the program reports by.
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

/// The figures.
pub fn figures(conn: &mut AnyConn, span: &Span) -> Result<Figures, StoreError> {
    Ok(diesel::sql_query(include_str!("reports/figures.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .bind::<BigInt, _>(span.county_set)
        .bind::<Text, _>(&span.state_fips)
        .get_result(conn)?)
}

/// Every county of the state by name, then any other that a fact names.
pub fn counties_in(conn: &mut AnyConn, span: &Span) -> Result<Vec<CountyPart>, StoreError> {
    Ok(diesel::sql_query(include_str!("reports/counties.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .bind::<BigInt, _>(span.county_set)
        .bind::<Text, _>(&span.state_fips)
        .load(conn)?)
}

/// Every grant with the helmets given in the period.
pub fn grants_in(conn: &mut AnyConn, span: &Span) -> Result<Vec<GrantPart>, StoreError> {
    Ok(diesel::sql_query(include_str!("reports/grants.sql"))
        .bind::<Date, _>(span.from)
        .bind::<Date, _>(span.to)
        .load(conn)?)
}

/// One counted session.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct SessionLine {
    /// Public reference.
    pub reference: String,
    /// First day.
    pub held_on: NaiveDate,
    /// Code of the site's county.
    pub site_county: String,
    /// Title of the course.
    pub course: String,
}

/// The counted sessions of a period, by day.
pub fn session_lines(conn: &mut AnyConn, span: &Span, county: Option<&str>) -> Result<Vec<SessionLine>, StoreError> {
    let mut lines = session_facts::table
        .inner_join(sessions::table)
        .inner_join(courses::table.on(courses::id.eq(session_facts::course_id)))
        .filter(session_facts::held_on.between(span.from, span.to))
        .into_boxed();
    if let Some(county) = county {
        lines = lines.filter(session_facts::site_county.eq(county.to_owned()));
    }
    Ok(lines
        .order((session_facts::held_on, sessions::reference))
        .select((sessions::reference, session_facts::held_on, session_facts::site_county, courses::title_en))
        .load(conn)?)
}

/// One counted registration.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct RiderLine {
    /// Public reference of the registration.
    pub registration: String,
    /// Public reference of the session.
    pub session: String,
    /// The rider's pseudonym; for grouping, never for showing.
    pub rider_key: String,
    /// The session's first day.
    pub held_on: NaiveDate,
    /// Code of the site's county.
    pub site_county: String,
    /// Code of the home's county.
    pub home_county: String,
    /// How the day ended.
    pub outcome: Outcome,
    /// 1 for a completion.
    pub completed: i64,
    /// The code of the grant that paid for a helmet.
    pub grant: Option<String>,
}

/// Which registrations are wanted; an empty wish means all of the period.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Only participations.
    pub took_part: bool,
    /// Only completions.
    pub completed: bool,
    /// Only those with a helmet given.
    pub helmet: bool,
    /// Only this outcome.
    pub outcome: Option<Outcome>,
    /// Only sites in this county.
    pub site_county: Option<String>,
    /// Only homes in this county.
    pub home_county: Option<String>,
    /// Only helmets of this grant, by its code.
    pub grant: Option<String>,
}

/// The counted registrations of a period, by day.
pub fn rider_lines(conn: &mut AnyConn, span: &Span, wanted: &Wanted) -> Result<Vec<RiderLine>, StoreError> {
    let mut lines = rider_facts::table
        .inner_join(sessions::table)
        .left_join(grants::table)
        .filter(rider_facts::held_on.between(span.from, span.to))
        .into_boxed();
    if wanted.took_part {
        lines = lines.filter(rider_facts::participated.eq(1));
    }
    if wanted.completed {
        lines = lines.filter(rider_facts::completed.eq(1));
    }
    if wanted.helmet {
        lines = lines.filter(rider_facts::helmets.gt(0));
    }
    if let Some(outcome) = wanted.outcome {
        lines = lines.filter(rider_facts::outcome.eq(outcome));
    }
    if let Some(county) = &wanted.site_county {
        lines = lines.filter(rider_facts::site_county.eq(county.clone()));
    }
    if let Some(county) = &wanted.home_county {
        lines = lines.filter(rider_facts::home_county.eq(county.clone()));
    }
    if let Some(code) = &wanted.grant {
        lines = lines.filter(grants::code.eq(code.clone()));
    }
    Ok(lines
        .order((rider_facts::held_on, rider_facts::registration_ref))
        .select((
            rider_facts::registration_ref,
            sessions::reference,
            rider_facts::rider_key,
            rider_facts::held_on,
            rider_facts::site_county,
            rider_facts::home_county,
            rider_facts::outcome,
            rider_facts::completed,
            grants::code.nullable(),
        ))
        .load(conn)?)
}
