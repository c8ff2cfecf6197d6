//! What is old enough to be removed, each kind with its rows, and its removal. Sessions under a legal hold are told apart.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::dsl::{exists, not};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{
    acts, certificates, consents, contacts, gear_issues, health_notes, kept_health, legal_holds, measures,
    merged_measures, merged_registrations, moved_places, place_changes, proofs, question_tokens, questions,
    registrations, reminders, riders, sessions, voluntary_answers,
};
use super::texts::remove_texts_of_places;
use crate::domain::ids::{RegistrationId, RiderId, SessionId};
use crate::domain::registration::RegistrationState;

/// A registration with its session.
pub type OfSession = (RegistrationId, SessionId);

/// Registrations with a health note whose session ended before a day.
pub fn health_before(conn: &mut AnyConn, day: NaiveDate) -> Result<Vec<OfSession>, StoreError> {
    Ok(health_notes::table
        .inner_join(registrations::table.inner_join(sessions::table))
        .filter(sessions::last_on.lt(day))
        .order(registrations::id)
        .select((registrations::id, registrations::session_id))
        .load(conn)?)
}

/// Registrations with people to call or measures whose session ended before a day.
pub fn contacts_before(conn: &mut AnyConn, day: NaiveDate) -> Result<Vec<OfSession>, StoreError> {
    let has_contacts = registrations::id.eq_any(contacts::table.select(contacts::registration_id));
    let has_measures = registrations::id.nullable().eq_any(measures::table.select(measures::registration_id));
    Ok(registrations::table
        .inner_join(sessions::table)
        .filter(sessions::last_on.lt(day))
        .filter(has_contacts.or(has_measures))
        .order(registrations::id)
        .select((registrations::id, registrations::session_id))
        .load(conn)?)
}

/// Registrations that came to no seat, of sessions that ended before a day, and about which nothing was done on the field.
pub fn lines_before(conn: &mut AnyConn, day: NaiveDate) -> Result<Vec<OfSession>, StoreError> {
    let over = [RegistrationState::Waitlisted, RegistrationState::Lapsed, RegistrationState::Cancelled];
    Ok(registrations::table
        .inner_join(sessions::table)
        .filter(sessions::last_on.lt(day))
        .filter(registrations::state.eq_any(over))
        .filter(registrations::outcome.is_null())
        .filter(not(exists(acts::table.filter(acts::registration_id.eq(registrations::id.nullable())))))
        .filter(not(exists(gear_issues::table.filter(gear_issues::registration_id.eq(registrations::id)))))
        .filter(not(exists(certificates::table.filter(certificates::registration_id.eq(registrations::id)))))
        .order(registrations::id)
        .select((registrations::id, registrations::session_id))
        .load(conn)?)
}

/// Registrations with a signed text of sessions that began before a day, about riders born before another, each with the
/// rider's birth date and the session's first day.
pub fn signed_before(
    conn: &mut AnyConn,
    day: NaiveDate,
    born: NaiveDate,
) -> Result<Vec<(OfSession, NaiveDate, NaiveDate)>, StoreError> {
    let older = || riders::table.filter(riders::birth_date.lt(born));
    let births: Vec<(RiderId, NaiveDate)> = older().select((riders::id, riders::birth_date)).load(conn)?;
    let births: BTreeMap<RiderId, NaiveDate> = births.into_iter().collect();
    let signed: Vec<(OfSession, RiderId, NaiveDate)> = registrations::table
        .inner_join(sessions::table)
        .filter(sessions::held_on.lt(day))
        .filter(registrations::rider_id.eq_any(older().select(riders::id)))
        .filter(exists(consents::table.filter(consents::registration_id.eq(registrations::id))))
        .order(registrations::id)
        .select(((registrations::id, registrations::session_id), registrations::rider_id, sessions::held_on))
        .load(conn)?;
    let with_birth =
        |(row, rider, held_on): (OfSession, RiderId, NaiveDate)| Some((row, *births.get(&rider)?, held_on));
    Ok(signed.into_iter().filter_map(with_birth).collect())
}

/// Riders whose family keeps health answers since before an instant.
pub fn kept_health_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<Vec<RiderId>, StoreError> {
    Ok(kept_health::table
        .filter(kept_health::kept_at.lt(instant))
        .order(kept_health::rider_id)
        .select(kept_health::rider_id)
        .load(conn)?)
}

/// Removes health notes.
pub fn remove_health(conn: &mut AnyConn, of: &[RegistrationId]) -> Result<(), StoreError> {
    diesel::delete(health_notes::table.filter(health_notes::registration_id.eq_any(of))).execute(conn)?;
    Ok(())
}

/// Removes people to call and measures.
pub fn remove_contacts(conn: &mut AnyConn, of: &[RegistrationId]) -> Result<(), StoreError> {
    diesel::delete(contacts::table.filter(contacts::registration_id.eq_any(of))).execute(conn)?;
    let old: Vec<i64> = measures::table.filter(measures::registration_id.eq_any(of)).select(measures::id).load(conn)?;
    diesel::delete(merged_measures::table.filter(merged_measures::measure_id.eq_any(&old))).execute(conn)?;
    diesel::delete(measures::table.filter(measures::id.eq_any(&old))).execute(conn)?;
    Ok(())
}

/// Removes signed texts.
pub fn remove_signed(conn: &mut AnyConn, of: &[RegistrationId]) -> Result<(), StoreError> {
    diesel::delete(consents::table.filter(consents::registration_id.eq_any(of))).execute(conn)?;
    Ok(())
}

/// Removes whole registrations that came to no seat, with all that belongs to them.
pub fn remove_lines(conn: &mut AnyConn, of: &[RegistrationId]) -> Result<(), StoreError> {
    remove_health(conn, of)?;
    remove_contacts(conn, of)?;
    remove_signed(conn, of)?;
    remove_texts_of_places(conn, of)?;
    let asked = questions::table.filter(questions::registration_id.eq_any(of)).select(questions::id);
    diesel::delete(question_tokens::table.filter(question_tokens::question_id.eq_any(asked))).execute(conn)?;
    diesel::delete(questions::table.filter(questions::registration_id.eq_any(of))).execute(conn)?;
    let steps = place_changes::table.filter(place_changes::registration_id.eq_any(of)).select(place_changes::id);
    diesel::delete(moved_places::table.filter(moved_places::change_id.eq_any(steps))).execute(conn)?;
    diesel::delete(place_changes::table.filter(place_changes::registration_id.eq_any(of))).execute(conn)?;
    diesel::delete(reminders::table.filter(reminders::registration_id.eq_any(of))).execute(conn)?;
    diesel::delete(proofs::table.filter(proofs::registration_id.eq_any(of))).execute(conn)?;
    diesel::delete(voluntary_answers::table.filter(voluntary_answers::registration_id.eq_any(of))).execute(conn)?;
    diesel::delete(merged_registrations::table.filter(merged_registrations::registration_id.eq_any(of)))
        .execute(conn)?;
    diesel::delete(registrations::table.filter(registrations::id.eq_any(of))).execute(conn)?;
    Ok(())
}

/// A legal hold of a session that stands.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct HoldRow {
    /// Why, in the office's words.
    pub note: String,
    /// Since when, in UTC.
    pub at: NaiveDateTime,
}

/// Sessions under a legal hold.
pub fn sessions_on_hold(conn: &mut AnyConn) -> Result<Vec<SessionId>, StoreError> {
    Ok(legal_holds::table
        .filter(legal_holds::ended_at.is_null())
        .select(legal_holds::session_id)
        .distinct()
        .load(conn)?)
}

/// The legal hold of a session, if one stands.
pub fn find_hold(conn: &mut AnyConn, session: SessionId) -> Result<Option<HoldRow>, StoreError> {
    Ok(legal_holds::table
        .filter(legal_holds::session_id.eq(session))
        .filter(legal_holds::ended_at.is_null())
        .select((legal_holds::note, legal_holds::at))
        .first(conn)
        .optional()?)
}

/// Puts a session under a legal hold.
pub fn add_hold(conn: &mut AnyConn, session: SessionId, note: &str, at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::insert_into(legal_holds::table)
        .values((legal_holds::session_id.eq(session), legal_holds::note.eq(note), legal_holds::at.eq(at)))
        .execute(conn)?;
    Ok(())
}

/// Ends the legal hold of a session. `false`: none stood.
pub fn end_hold(conn: &mut AnyConn, session: SessionId, at: NaiveDateTime) -> Result<bool, StoreError> {
    let open = legal_holds::table.filter(legal_holds::session_id.eq(session)).filter(legal_holds::ended_at.is_null());
    Ok(diesel::update(open).set(legal_holds::ended_at.eq(at)).execute(conn)? > 0)
}
