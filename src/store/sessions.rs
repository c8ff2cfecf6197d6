//! Sessions with their meetings and staff, and the one guarded update that takes a seat.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::courses::CourseRow;
use super::error::StoreError;
use super::schema::{accounts, counties, courses, meetings, session_staff, sessions, sites, staff};
use super::sites::SiteRow;
use crate::domain::access::Duty;
use crate::domain::ids::{CourseId, RulebookId, SessionId, SiteId, StaffId};
use crate::domain::meeting::{Meeting, Meetings};
use crate::domain::session::{Limit, SessionState};
use crate::domain::words::Lang;

/// A session's own row.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = sessions)]
pub struct SessionRow {
    /// The row.
    pub id: SessionId,
    /// Public reference.
    pub reference: String,
    /// Language it is taught in.
    pub language: Lang,
    /// Where it stands.
    pub state: SessionState,
    /// Seats.
    pub capacity: i64,
    /// The limit that binds.
    pub binding_limit: Limit,
    /// Seats taken, held and offered ones among them.
    pub seats_taken: i64,
    /// Families waiting.
    pub waiting: i64,
    /// Its curriculum.
    pub curriculum_id: RulebookId,
    /// Its fit rules.
    pub fit_id: RulebookId,
    /// Its cautions.
    pub cautions_id: RulebookId,
    /// Day of the first meeting, in the site's zone.
    pub held_on: NaiveDate,
    /// Day of the last meeting.
    pub last_on: NaiveDate,
    /// When it was announced.
    pub created_at: NaiveDateTime,
    /// When it was closed.
    pub closed_at: Option<NaiveDateTime>,
}

/// A session with its course, site and county name.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionView {
    /// The session.
    pub session: SessionRow,
    /// Its course.
    pub course: CourseRow,
    /// Its site.
    pub site: SiteRow,
    /// The name of the site's county.
    pub county_name: String,
}

/// One meeting of a session: local time as text (`2026-06-13T08:30`) and zone; `starts_at` in UTC.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = meetings)]
pub struct MeetingRow {
    /// Which session.
    pub session_id: SessionId,
    /// First, second ...
    pub ordinal: i64,
    /// Wall time at the site.
    pub local_start: String,
    /// Zone name.
    pub zone: String,
    /// Length in minutes.
    pub minutes: i64,
    /// The instant, in UTC.
    pub starts_at: NaiveDateTime,
}

impl MeetingRow {
    /// Its day, at the site.
    pub fn day(&self) -> Result<NaiveDate, StoreError> {
        day_of(&self.local_start)
    }
}

fn day_of(local_start: &str) -> Result<NaiveDate, StoreError> {
    let day = local_start.get(..10).and_then(|day| day.parse().ok());
    day.ok_or(StoreError::Unreadable("meetings.local_start"))
}

/// A staff member at a session.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct SessionStaffRow {
    /// Who.
    pub staff_id: StaffId,
    /// What they do there.
    pub duty: Duty,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
}

/// A session about to be made.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = sessions)]
pub struct NewSession {
    /// Public reference.
    pub reference: String,
    /// Course.
    pub course_id: CourseId,
    /// Site.
    pub site_id: SiteId,
    /// Language it is taught in.
    pub language: Lang,
    /// Where it stands.
    pub state: SessionState,
    /// Seats.
    pub capacity: i64,
    /// The limit that binds.
    pub binding_limit: Limit,
    /// None yet.
    pub seats_taken: i64,
    /// None yet.
    pub waiting: i64,
    /// The last place given on the waitlist.
    pub last_place: i64,
    /// The last counter given to an act.
    pub last_counter: i64,
    /// Curriculum.
    pub curriculum_id: RulebookId,
    /// Fit rules.
    pub fit_id: RulebookId,
    /// Cautions.
    pub cautions_id: RulebookId,
    /// First day in the site's zone.
    pub held_on: NaiveDate,
    /// When it was made.
    pub created_at: NaiveDateTime,
}

/// A meeting about to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewMeeting {
    /// Wall time at the site, `2026-06-13T08:30`.
    pub local_start: String,
    /// Zone name.
    pub zone: String,
    /// Length in minutes.
    pub minutes: i64,
    /// The instant, in UTC.
    pub starts_at: NaiveDateTime,
}

/// Adds a session with its meetings and staff. Its last day is that of its last meeting.
pub fn add_session(
    conn: &mut AnyConn,
    new: &NewSession,
    new_meetings: &[NewMeeting],
    team: &[(StaffId, Duty)],
) -> Result<SessionId, StoreError> {
    let last_on = last_day(new.held_on, new_meetings)?;
    let id: SessionId = diesel::insert_into(sessions::table)
        .values((new, sessions::last_on.eq(last_on)))
        .returning(sessions::id)
        .get_result(conn)?;
    add_meetings(conn, id, new_meetings)?;
    add_team(conn, id, team)?;
    Ok(id)
}

fn last_day(held_on: NaiveDate, new_meetings: &[NewMeeting]) -> Result<NaiveDate, StoreError> {
    let days: Result<Vec<_>, _> = new_meetings.iter().map(|meeting| day_of(&meeting.local_start)).collect();
    Ok(days?.into_iter().max().unwrap_or(held_on))
}

/// Gives a session other meetings and so other days. Acts name a meeting by its number, so a session with acts keeps
/// the meetings that it has.
pub fn replace_meetings(
    conn: &mut AnyConn,
    id: SessionId,
    held_on: NaiveDate,
    new_meetings: &[NewMeeting],
) -> Result<(), StoreError> {
    let last_on = last_day(held_on, new_meetings)?;
    diesel::delete(meetings::table.filter(meetings::session_id.eq(id))).execute(conn)?;
    add_meetings(conn, id, new_meetings)?;
    diesel::update(sessions::table.filter(sessions::id.eq(id)))
        .set((sessions::held_on.eq(held_on), sessions::last_on.eq(last_on)))
        .execute(conn)?;
    Ok(())
}

fn add_meetings(conn: &mut AnyConn, id: SessionId, new_meetings: &[NewMeeting]) -> Result<(), StoreError> {
    for (ordinal, meeting) in (1_i64..).zip(new_meetings) {
        diesel::insert_into(meetings::table)
            .values((
                meetings::session_id.eq(id),
                meetings::ordinal.eq(ordinal),
                meetings::local_start.eq(&meeting.local_start),
                meetings::zone.eq(&meeting.zone),
                meetings::minutes.eq(meeting.minutes),
                meetings::starts_at.eq(meeting.starts_at),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// Puts a team on a session.
pub(super) fn add_team(conn: &mut AnyConn, id: SessionId, team: &[(StaffId, Duty)]) -> Result<(), StoreError> {
    for (member, duty) in team {
        diesel::insert_into(session_staff::table)
            .values((
                session_staff::session_id.eq(id),
                session_staff::staff_id.eq(member),
                session_staff::duty.eq(duty),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// Joins a session with its course, site and county; a macro because the joined type has no short name.
macro_rules! session_views {
    () => {
        sessions::table
            .inner_join(courses::table)
            .inner_join(sites::table)
            .inner_join(
                counties::table.on(counties::county_set.eq(sites::county_set).and(counties::fips.eq(sites::county))),
            )
            .select((SessionRow::as_select(), CourseRow::as_select(), SiteRow::as_select(), counties::name))
    };
}

fn view((session, course, site, county_name): (SessionRow, CourseRow, SiteRow, String)) -> SessionView {
    SessionView { session, course, site, county_name }
}

/// The session of a public reference.
pub fn find_session(conn: &mut AnyConn, reference: &str) -> Result<Option<SessionView>, StoreError> {
    Ok(session_views!().filter(sessions::reference.eq(reference)).first(conn).optional()?.map(view))
}

/// The session of a row.
pub fn find_session_by_id(conn: &mut AnyConn, id: SessionId) -> Result<SessionView, StoreError> {
    Ok(view(session_views!().filter(sessions::id.eq(id)).first(conn)?))
}

/// Sessions that run in a span of days, first or last day or both in it, by first day and reference.
pub fn list_sessions(conn: &mut AnyConn, from: NaiveDate, through: NaiveDate) -> Result<Vec<SessionView>, StoreError> {
    let rows: Vec<_> = session_views!()
        .filter(sessions::held_on.le(through))
        .filter(sessions::last_on.ge(from))
        .order((sessions::held_on, sessions::reference))
        .load(conn)?;
    Ok(rows.into_iter().map(view).collect())
}

/// Sessions that a staff member works at, by day.
pub fn list_sessions_of_staff(
    conn: &mut AnyConn,
    member: StaffId,
    from: NaiveDate,
    through: NaiveDate,
) -> Result<Vec<SessionView>, StoreError> {
    let theirs = session_staff::table.filter(session_staff::staff_id.eq(member)).select(session_staff::session_id);
    let rows: Vec<_> = session_views!()
        .filter(sessions::held_on.le(through))
        .filter(sessions::last_on.ge(from))
        .filter(sessions::id.eq_any(theirs))
        .order((sessions::held_on, sessions::reference))
        .load(conn)?;
    Ok(rows.into_iter().map(view).collect())
}

/// The meetings of a session in order.
pub fn meetings_of(conn: &mut AnyConn, id: SessionId) -> Result<Vec<MeetingRow>, StoreError> {
    Ok(meetings::table
        .filter(meetings::session_id.eq(id))
        .order(meetings::ordinal)
        .select(MeetingRow::as_select())
        .load(conn)?)
}

/// The days of a session's meetings.
pub fn meeting_days_of(conn: &mut AnyConn, id: SessionId) -> Result<Meetings, StoreError> {
    let rows = meetings_of(conn, id)?;
    let day = |row: &MeetingRow| Ok(Meeting { ordinal: row.ordinal, on: row.day()? });
    let days: Result<Vec<Meeting>, StoreError> = rows.iter().map(day).collect();
    Meetings::of(days?).map_err(|_| StoreError::Unreadable("meetings"))
}

/// The meetings of several sessions in order of instant.
pub fn meetings_of_all(conn: &mut AnyConn, ids: &[SessionId]) -> Result<Vec<MeetingRow>, StoreError> {
    Ok(meetings::table
        .filter(meetings::session_id.eq_any(ids))
        .order((meetings::session_id, meetings::ordinal))
        .select(MeetingRow::as_select())
        .load(conn)?)
}

/// The staff of a session, lead first.
pub fn staff_of(conn: &mut AnyConn, id: SessionId) -> Result<Vec<SessionStaffRow>, StoreError> {
    let mut rows: Vec<SessionStaffRow> = session_staff::table
        .inner_join(staff::table.inner_join(accounts::table))
        .filter(session_staff::session_id.eq(id))
        .order(accounts::given_name)
        .select((session_staff::staff_id, session_staff::duty, accounts::given_name, accounts::family_name))
        .load(conn)?;
    rows.sort_by_key(|row| row.duty);
    Ok(rows)
}

/// The staff of several sessions: which session, who, and what they do there; leads first.
pub fn staff_of_all(conn: &mut AnyConn, ids: &[SessionId]) -> Result<Vec<(SessionId, StaffId, Duty)>, StoreError> {
    let mut rows: Vec<(SessionId, StaffId, Duty)> = session_staff::table
        .filter(session_staff::session_id.eq_any(ids))
        .order((session_staff::session_id, session_staff::staff_id))
        .select((session_staff::session_id, session_staff::staff_id, session_staff::duty))
        .load(conn)?;
    rows.sort_by_key(|(session, _, duty)| (*session, *duty));
    Ok(rows)
}

/// What a staff member does at a session.
pub fn duty_of(conn: &mut AnyConn, id: SessionId, member: StaffId) -> Result<Option<Duty>, StoreError> {
    Ok(session_staff::table
        .filter(session_staff::session_id.eq(id))
        .filter(session_staff::staff_id.eq(member))
        .select(session_staff::duty)
        .first(conn)
        .optional()?)
}

/// Takes a seat for a newcomer if one is left and nobody waits: one guarded update decides, whoever else tries at the
/// same moment.
pub fn take_seat(conn: &mut AnyConn, id: SessionId) -> Result<bool, StoreError> {
    let free = sessions::table
        .filter(sessions::id.eq(id))
        .filter(sessions::seats_taken.lt(sessions::capacity))
        .filter(sessions::waiting.eq(0));
    let changed = diesel::update(free).set(sessions::seats_taken.eq(sessions::seats_taken + 1)).execute(conn)?;
    Ok(changed == 1)
}

/// Joins the end of the waitlist and says which place that is.
pub fn take_place_in_line(conn: &mut AnyConn, id: SessionId) -> Result<i64, StoreError> {
    diesel::update(sessions::table.filter(sessions::id.eq(id)))
        .set((sessions::waiting.eq(sessions::waiting + 1), sessions::last_place.eq(sessions::last_place + 1)))
        .execute(conn)?;
    Ok(sessions::table.filter(sessions::id.eq(id)).select(sessions::last_place).first(conn)?)
}

/// Draws the session's next act counter. The update also makes writers of one session wait for each other.
pub fn next_counter(conn: &mut AnyConn, id: SessionId) -> Result<i64, StoreError> {
    diesel::update(sessions::table.filter(sessions::id.eq(id)))
        .set(sessions::last_counter.eq(sessions::last_counter + 1))
        .execute(conn)?;
    Ok(sessions::table.filter(sessions::id.eq(id)).select(sessions::last_counter).first(conn)?)
}

/// Moves a session from one state to another; says whether it was in the first.
pub fn set_state(
    conn: &mut AnyConn,
    id: SessionId,
    from: &[SessionState],
    to: SessionState,
    closed_at: Option<NaiveDateTime>,
) -> Result<bool, StoreError> {
    let there = sessions::table.filter(sessions::id.eq(id)).filter(sessions::state.eq_any(from.to_vec()));
    let changed =
        diesel::update(there).set((sessions::state.eq(to), sessions::closed_at.eq(closed_at))).execute(conn)?;
    Ok(changed == 1)
}
