//! The rows behind the figures, a page at a time, from the facts alone. No name of a rider is read here.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::Span;
use crate::domain::ids::{CourseId, SessionId};
use crate::domain::registration::Outcome;
use crate::domain::report::RowOrder;
use crate::store::connection::AnyConn;
use crate::store::error::StoreError;
use crate::store::schema::{courses, grants, rider_facts, session_facts, sessions};

/// A stretch of a list: so many rows after so many others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// How many rows come before it.
    pub after: i64,
    /// At most this many.
    pub most: i64,
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

/// The counted sessions of a span.
pub fn session_lines(
    conn: &mut AnyConn,
    span: &Span,
    county: Option<&str>,
    order: RowOrder,
    stretch: Stretch,
) -> Result<Vec<SessionLine>, StoreError> {
    let mut lines = session_facts::table
        .inner_join(sessions::table)
        .inner_join(courses::table.on(courses::id.eq(session_facts::course_id)))
        .filter(session_facts::held_on.between(span.from, span.to))
        .select((sessions::reference, session_facts::held_on, session_facts::site_county, courses::title_en))
        .into_boxed();
    if let Some(course) = course_of(conn, span)? {
        lines = lines.filter(session_facts::course_id.eq(course));
    }
    if !span.grant.is_empty() {
        lines = lines.filter(session_facts::session_id.eq_any(sessions_of_grant(conn, span)?));
    }
    if let Some(county) = county {
        lines = lines.filter(session_facts::site_county.eq(county.to_owned()));
    }
    if order == RowOrder::Site {
        lines = lines.order(session_facts::site_county);
    }
    Ok(lines
        .then_order_by((session_facts::held_on, sessions::reference))
        .limit(stretch.most)
        .offset(stretch.after)
        .load(conn)?)
}

/// The course asked for. A code that is no course finds nothing.
fn course_of(conn: &mut AnyConn, span: &Span) -> Result<Option<CourseId>, StoreError> {
    if span.course.is_empty() {
        return Ok(None);
    }
    let found = courses::table.filter(courses::code.eq(&span.course)).select(courses::id).first(conn).optional()?;
    Ok(Some(found.unwrap_or(CourseId::new(0))))
}

fn sessions_of_grant(conn: &mut AnyConn, span: &Span) -> Result<Vec<SessionId>, StoreError> {
    Ok(rider_facts::table
        .inner_join(grants::table)
        .filter(rider_facts::held_on.between(span.from, span.to))
        .filter(grants::code.eq(&span.grant))
        .select(rider_facts::session_id)
        .distinct()
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

/// Which registrations are wanted; an empty wish means all of the span.
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
    /// Only these riders, by pseudonym.
    pub riders: Option<Vec<String>>,
}

/// The counted registrations of a span.
pub fn rider_lines(
    conn: &mut AnyConn,
    span: &Span,
    wanted: &Wanted,
    order: RowOrder,
    stretch: Stretch,
) -> Result<Vec<RiderLine>, StoreError> {
    let mut lines = rider_facts::table
        .inner_join(sessions::table)
        .left_join(grants::table)
        .filter(rider_facts::held_on.between(span.from, span.to))
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
        .into_boxed();
    if let Some(course) = course_of(conn, span)? {
        lines = lines.filter(rider_facts::course_id.eq(course));
    }
    if !span.grant.is_empty() {
        lines = lines.filter(grants::code.eq(span.grant.clone()));
    }
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
    if let Some(riders) = &wanted.riders {
        lines = lines.filter(rider_facts::rider_key.eq_any(riders.clone()));
    }
    lines = match order {
        RowOrder::Day => lines,
        RowOrder::Site => lines.order(rider_facts::site_county),
        RowOrder::Home => lines.order(rider_facts::home_county),
        RowOrder::Ended => lines.order(rider_facts::outcome),
    };
    Ok(lines
        .then_order_by((rider_facts::held_on, rider_facts::registration_ref))
        .limit(stretch.most)
        .offset(stretch.after)
        .load(conn)?)
}
