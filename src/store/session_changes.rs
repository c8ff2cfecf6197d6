//! Moves of sessions and their calling off, and who is told: the change, its letters and the list of those to call.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{accounts, outbox, session_changes, session_staff, sessions, staff, tellings};
use super::sessions::{NewMeeting, add_team, replace_meetings};
use crate::domain::access::Duty;
use crate::domain::ids::{
    AccountId, ChangeId, CourseId, GuardianId, OutboxId, RulebookId, SessionId, SiteId, StaffId, TellingId,
};
use crate::domain::session::Limit;
use crate::domain::session_change::{ChangeKind, ChangeReason};
use crate::domain::words::Lang;

/// A change that families were told of.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = session_changes)]
pub struct ChangeRow {
    /// The row.
    pub id: ChangeId,
    /// Which session.
    pub session_id: SessionId,
    /// The sequence of its calendar entries since then, from 1.
    pub sequence: i64,
    /// Moved or called off.
    pub kind: ChangeKind,
    /// Why.
    pub reason: ChangeReason,
    /// What the office adds; may be empty.
    pub words: String,
    /// The language of these words.
    pub words_language: Lang,
    /// What held before, as `domain::session_change::Earlier`.
    pub earlier: String,
    /// When, in UTC.
    pub at: NaiveDateTime,
}

/// A change about to be made.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = session_changes)]
pub struct NewChange {
    /// Which session.
    pub session_id: SessionId,
    /// One more than that of the last change.
    pub sequence: i64,
    /// Moved or called off.
    pub kind: ChangeKind,
    /// Why.
    pub reason: ChangeReason,
    /// What the office adds.
    pub words: String,
    /// The language of these words.
    pub words_language: Lang,
    /// What held before.
    pub earlier: String,
    /// Who changed it.
    pub account_id: Option<AccountId>,
    /// When.
    pub at: NaiveDateTime,
}

/// Somebody who is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// A family.
    Family(GuardianId),
    /// A member of the team.
    Team(StaffId),
}

/// One telling with how it stands.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct TellingRow {
    /// The row.
    pub id: TellingId,
    /// Of which change.
    pub change_id: ChangeId,
    /// The family, if it is one.
    pub guardian_id: Option<GuardianId>,
    /// The member of the team, if it is one.
    pub staff_id: Option<StaffId>,
    /// When the office spoke to them.
    pub called_at: Option<NaiveDateTime>,
    /// Where their letter stands; none when there is no letter.
    pub letter: Option<String>,
    /// When it went out.
    pub sent_at: Option<NaiveDateTime>,
    /// The letter itself.
    pub outbox_id: Option<OutboxId>,
}

/// Keeps a change.
pub fn add_change(conn: &mut AnyConn, new: &NewChange) -> Result<ChangeId, StoreError> {
    Ok(diesel::insert_into(session_changes::table).values(new).returning(session_changes::id).get_result(conn)?)
}

/// The changes of a session, oldest first.
pub fn changes_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<ChangeRow>, StoreError> {
    Ok(session_changes::table
        .filter(session_changes::session_id.eq(session))
        .order(session_changes::sequence)
        .select(ChangeRow::as_select())
        .load(conn)?)
}

/// The newest change of each of these sessions.
pub fn newest_changes(conn: &mut AnyConn, of: &[SessionId]) -> Result<BTreeMap<SessionId, ChangeRow>, StoreError> {
    let rows: Vec<ChangeRow> = session_changes::table
        .filter(session_changes::session_id.eq_any(of))
        .order((session_changes::session_id, session_changes::sequence))
        .select(ChangeRow::as_select())
        .load(conn)?;
    Ok(rows.into_iter().map(|row| (row.session_id, row)).collect())
}

/// Puts somebody on the list of those who are told. Twice is `Duplicate`.
pub fn add_telling(conn: &mut AnyConn, change: ChangeId, whom: Told) -> Result<TellingId, StoreError> {
    let (guardian, member) = match whom {
        Told::Family(guardian) => (Some(guardian), None),
        Told::Team(member) => (None, Some(member)),
    };
    Ok(diesel::insert_into(tellings::table)
        .values((tellings::change_id.eq(change), tellings::guardian_id.eq(guardian), tellings::staff_id.eq(member)))
        .returning(tellings::id)
        .get_result(conn)?)
}

/// Ties a telling to its letter.
pub fn set_telling_letter(conn: &mut AnyConn, id: TellingId, letter: OutboxId) -> Result<(), StoreError> {
    diesel::update(tellings::table.filter(tellings::id.eq(id))).set(tellings::outbox_id.eq(letter)).execute(conn)?;
    Ok(())
}

/// Joins the tellings with their letters; a macro because the joined type has no short name.
macro_rules! tellings_with_letters {
    () => {
        tellings::table.left_join(outbox::table).select((
            tellings::id,
            tellings::change_id,
            tellings::guardian_id,
            tellings::staff_id,
            tellings::called_at,
            outbox::state.nullable(),
            outbox::sent_at.nullable(),
            tellings::outbox_id,
        ))
    };
}

/// Everybody who is told of these changes, with their letters.
pub fn tellings_of(conn: &mut AnyConn, changes: &[ChangeId]) -> Result<Vec<TellingRow>, StoreError> {
    Ok(tellings_with_letters!()
        .filter(tellings::change_id.eq_any(changes))
        .order((tellings::change_id, tellings::id))
        .load(conn)?)
}

/// One telling with its change.
pub fn find_telling(conn: &mut AnyConn, id: TellingId) -> Result<Option<(TellingRow, ChangeRow)>, StoreError> {
    let row: Option<TellingRow> = tellings_with_letters!().filter(tellings::id.eq(id)).first(conn).optional()?;
    let Some(row) = row else { return Ok(None) };
    let change = session_changes::table
        .filter(session_changes::id.eq(row.change_id))
        .select(ChangeRow::as_select())
        .first(conn)?;
    Ok(Some((row, change)))
}

/// Notes that the office spoke to somebody; the first time stays.
pub fn set_called(conn: &mut AnyConn, id: TellingId, now: NaiveDateTime) -> Result<bool, StoreError> {
    let open = tellings::table.filter(tellings::id.eq(id)).filter(tellings::called_at.is_null());
    Ok(diesel::update(open).set(tellings::called_at.eq(now)).execute(conn)? == 1)
}

/// Notes that a family knows of a session's newest change: it has moved a child elsewhere.
pub fn set_guardian_called(
    conn: &mut AnyConn,
    session: SessionId,
    guardian: GuardianId,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let Some(change) = changes_of(conn, session)?.pop() else { return Ok(()) };
    let open = tellings::table
        .filter(tellings::change_id.eq(change.id))
        .filter(tellings::guardian_id.eq(guardian))
        .filter(tellings::called_at.is_null());
    diesel::update(open).set(tellings::called_at.eq(now)).execute(conn)?;
    Ok(())
}

/// The account and address of each member of a session's team.
pub fn accounts_of_team(conn: &mut AnyConn, session: SessionId) -> Result<Vec<(StaffId, AccountId, Lang)>, StoreError> {
    Ok(session_staff::table
        .inner_join(staff::table.inner_join(accounts::table))
        .filter(session_staff::session_id.eq(session))
        .order(session_staff::staff_id)
        .select((session_staff::staff_id, accounts::id, accounts::language))
        .load(conn)?)
}

/// The session's revision, and whether this is still it.
pub fn find_revision(conn: &mut AnyConn, session: SessionId) -> Result<i64, StoreError> {
    Ok(sessions::table.filter(sessions::id.eq(session)).select(sessions::revision).first(conn)?)
}

/// Raises the session's revision if it is still the one that was seen: one guarded update decides between two tabs.
pub fn raise_revision(conn: &mut AnyConn, session: SessionId, seen: i64) -> Result<bool, StoreError> {
    let same = sessions::table.filter(sessions::id.eq(session)).filter(sessions::revision.eq(seen));
    Ok(diesel::update(same).set(sessions::revision.eq(sessions::revision + 1)).execute(conn)? == 1)
}

/// What a changed session is from now on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replanned {
    /// Course.
    pub course_id: CourseId,
    /// Site.
    pub site_id: SiteId,
    /// Language it is taught in.
    pub language: Lang,
    /// Seats.
    pub capacity: i64,
    /// The limit that binds.
    pub binding_limit: Limit,
    /// Curriculum of the day.
    pub curriculum_id: RulebookId,
    /// Fit rules of the day.
    pub fit_id: RulebookId,
    /// Cautions of the day.
    pub cautions_id: RulebookId,
    /// First day in the site's zone.
    pub held_on: NaiveDate,
}

/// Plans a session anew: its row, its meetings by their ordinals, and its team.
pub fn replan_session(
    conn: &mut AnyConn,
    id: SessionId,
    new: &Replanned,
    new_meetings: &[NewMeeting],
    team: &[(StaffId, Duty)],
) -> Result<(), StoreError> {
    diesel::update(sessions::table.filter(sessions::id.eq(id)))
        .set((
            sessions::course_id.eq(new.course_id),
            sessions::site_id.eq(new.site_id),
            sessions::language.eq(new.language),
            sessions::capacity.eq(new.capacity),
            sessions::binding_limit.eq(new.binding_limit),
            sessions::curriculum_id.eq(new.curriculum_id),
            sessions::fit_id.eq(new.fit_id),
            sessions::cautions_id.eq(new.cautions_id),
        ))
        .execute(conn)?;
    replace_meetings(conn, id, new.held_on, new_meetings)?;
    diesel::delete(session_staff::table.filter(session_staff::session_id.eq(id))).execute(conn)?;
    add_team(conn, id, team)
}
