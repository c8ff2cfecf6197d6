//! Patterns: what a session is made of, kept so that more can be made like it.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{courses, pattern_meetings, pattern_sessions, pattern_staff, patterns, sites};
use crate::domain::access::Duty;
use crate::domain::ids::{CourseId, PatternId, SessionId, SiteId, StaffId};
use crate::domain::words::Lang;

/// A pattern with the words of its course and site.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct PatternRow {
    /// The row.
    pub id: PatternId,
    /// Reference for addresses.
    pub reference: String,
    /// What the office calls it.
    pub name: String,
    /// The course's code.
    pub course: String,
    /// The course's title in English.
    pub course_title: String,
    /// The site's reference.
    pub site: String,
    /// The site's name.
    pub site_name: String,
    /// Language of teaching.
    pub language: Lang,
    /// The most seats wanted.
    pub choice: Option<i64>,
}

/// A meeting of a pattern.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = pattern_meetings)]
pub struct PatternMeetingRow {
    /// Days after the first meeting.
    pub day: i64,
    /// Wall time, such as `08:30`.
    pub starts: String,
    /// Length.
    pub minutes: i64,
}

/// A pattern about to be kept.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = patterns)]
pub struct NewPattern {
    /// Reference for addresses.
    pub reference: String,
    /// What the office calls it.
    pub name: String,
    /// Course.
    pub course_id: CourseId,
    /// Site.
    pub site_id: SiteId,
    /// Language of teaching.
    pub language: Lang,
    /// The most seats wanted.
    pub choice: Option<i64>,
    /// When it was kept.
    pub created_at: NaiveDateTime,
}

/// Keeps a pattern. A name that is taken is `Duplicate(Key::PatternName)`.
pub fn add_pattern(
    conn: &mut AnyConn,
    new: &NewPattern,
    meetings: &[PatternMeetingRow],
    team: &[(StaffId, Duty)],
) -> Result<PatternId, StoreError> {
    let id: PatternId = diesel::insert_into(patterns::table).values(new).returning(patterns::id).get_result(conn)?;
    add_parts(conn, id, meetings, team)?;
    Ok(id)
}

/// Puts other answers in the place of a pattern's; its reference and its day of making stay.
pub fn set_pattern(
    conn: &mut AnyConn,
    id: PatternId,
    new: &NewPattern,
    meetings: &[PatternMeetingRow],
    team: &[(StaffId, Duty)],
) -> Result<(), StoreError> {
    diesel::update(patterns::table.filter(patterns::id.eq(id)))
        .set((
            patterns::name.eq(&new.name),
            patterns::course_id.eq(new.course_id),
            patterns::site_id.eq(new.site_id),
            patterns::language.eq(new.language),
            patterns::choice.eq(new.choice),
        ))
        .execute(conn)?;
    remove_parts(conn, id)?;
    add_parts(conn, id, meetings, team)
}

fn add_parts(
    conn: &mut AnyConn,
    id: PatternId,
    meetings: &[PatternMeetingRow],
    team: &[(StaffId, Duty)],
) -> Result<(), StoreError> {
    for (ordinal, meeting) in (1_i64..).zip(meetings) {
        diesel::insert_into(pattern_meetings::table)
            .values((
                pattern_meetings::pattern_id.eq(id),
                pattern_meetings::ordinal.eq(ordinal),
                pattern_meetings::day.eq(meeting.day),
                pattern_meetings::starts.eq(&meeting.starts),
                pattern_meetings::minutes.eq(meeting.minutes),
            ))
            .execute(conn)?;
    }
    for (member, duty) in team {
        diesel::insert_into(pattern_staff::table)
            .values((
                pattern_staff::pattern_id.eq(id),
                pattern_staff::staff_id.eq(member),
                pattern_staff::duty.eq(duty),
            ))
            .execute(conn)?;
    }
    Ok(())
}

fn remove_parts(conn: &mut AnyConn, id: PatternId) -> Result<(), StoreError> {
    diesel::delete(pattern_meetings::table.filter(pattern_meetings::pattern_id.eq(id))).execute(conn)?;
    diesel::delete(pattern_staff::table.filter(pattern_staff::pattern_id.eq(id))).execute(conn)?;
    Ok(())
}

/// Joins the patterns with their courses and sites; a macro because the joined type has no short name.
macro_rules! pattern_rows {
    () => {
        patterns::table.inner_join(courses::table).inner_join(sites::table).select((
            patterns::id,
            patterns::reference,
            patterns::name,
            courses::code,
            courses::title_en,
            sites::reference,
            sites::name,
            patterns::language,
            patterns::choice,
        ))
    };
}

/// All patterns by name.
pub fn list_patterns(conn: &mut AnyConn) -> Result<Vec<PatternRow>, StoreError> {
    Ok(pattern_rows!().order(patterns::name).load(conn)?)
}

/// The pattern of a reference.
pub fn find_pattern(conn: &mut AnyConn, reference: &str) -> Result<Option<PatternRow>, StoreError> {
    Ok(pattern_rows!().filter(patterns::reference.eq(reference)).first(conn).optional()?)
}

/// The meetings of a pattern in order.
pub fn pattern_meetings_of(conn: &mut AnyConn, id: PatternId) -> Result<Vec<PatternMeetingRow>, StoreError> {
    Ok(pattern_meetings::table
        .filter(pattern_meetings::pattern_id.eq(id))
        .order(pattern_meetings::ordinal)
        .select(PatternMeetingRow::as_select())
        .load(conn)?)
}

/// The team of a pattern, lead first.
pub fn pattern_team_of(conn: &mut AnyConn, id: PatternId) -> Result<Vec<(StaffId, Duty)>, StoreError> {
    let mut team: Vec<(StaffId, Duty)> = pattern_staff::table
        .filter(pattern_staff::pattern_id.eq(id))
        .order(pattern_staff::staff_id)
        .select((pattern_staff::staff_id, pattern_staff::duty))
        .load(conn)?;
    team.sort_by_key(|(_, duty)| *duty);
    Ok(team)
}

/// Forgets a pattern; sessions planned from it stay.
pub fn remove_pattern(conn: &mut AnyConn, id: PatternId) -> Result<(), StoreError> {
    remove_parts(conn, id)?;
    diesel::delete(pattern_sessions::table.filter(pattern_sessions::pattern_id.eq(id))).execute(conn)?;
    diesel::delete(patterns::table.filter(patterns::id.eq(id))).execute(conn)?;
    Ok(())
}

/// Keeps that a session was planned from a pattern.
pub fn add_pattern_session(conn: &mut AnyConn, id: PatternId, session: SessionId) -> Result<(), StoreError> {
    diesel::insert_into(pattern_sessions::table)
        .values((pattern_sessions::session_id.eq(session), pattern_sessions::pattern_id.eq(id)))
        .execute(conn)?;
    Ok(())
}

/// The sessions that were planned from a pattern.
pub fn sessions_of_pattern(conn: &mut AnyConn, id: PatternId) -> Result<Vec<SessionId>, StoreError> {
    Ok(pattern_sessions::table
        .filter(pattern_sessions::pattern_id.eq(id))
        .order(pattern_sessions::session_id)
        .select(pattern_sessions::session_id)
        .load(conn)?)
}
