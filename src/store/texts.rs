//! Text messages to be sent: asked for in the business transaction, claimed by one runner at a time. A text goes out at most
//! once: what was handed to the gateway and not noted is never claimed again.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{guardians, sessions, sites, tellings, texts};
use crate::domain::ids::{GuardianId, RegistrationId, SessionId, TellingId, TextId};
use crate::domain::text_message::{TextKind, TextState};
use crate::domain::words::Lang;

/// A text somebody is owed.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = texts)]
pub struct TextRow {
    /// The row.
    pub id: TextId,
    /// What it tells.
    pub kind: TextKind,
    /// Who gets it.
    pub guardian_id: GuardianId,
    /// The telephone for which it was asked, as dialled.
    pub phone: String,
    /// The session it is about.
    pub session_id: SessionId,
    /// The first day of that session when it was asked for.
    pub held_on: NaiveDate,
    /// The place it is about; none for a change of the session.
    pub registration_id: Option<RegistrationId>,
    /// The telling of a change; none for a place.
    pub telling_id: Option<TellingId>,
    /// In which language.
    pub language: Lang,
    /// How often it was tried in vain.
    pub tries: i64,
    /// When it was asked for, UTC.
    pub created_at: NaiveDateTime,
}

/// A text about to be asked for.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = texts)]
pub struct NewText {
    /// What it tells.
    pub kind: TextKind,
    /// Who gets it.
    pub guardian_id: GuardianId,
    /// Their telephone, as dialled.
    pub phone: String,
    /// The session.
    pub session_id: SessionId,
    /// The session's first day.
    pub held_on: NaiveDate,
    /// The place it is about.
    pub registration_id: Option<RegistrationId>,
    /// The telling of a change.
    pub telling_id: Option<TellingId>,
    /// In which language.
    pub language: Lang,
    /// Now, UTC.
    pub created_at: NaiveDateTime,
}

/// How far a claim reaches.
#[derive(Clone, Debug)]
pub struct TextClaim {
    /// Who claims: one name per running process.
    pub holder: String,
    /// Now, UTC.
    pub now: NaiveDateTime,
    /// When the claim ends by itself, should the holder die.
    pub until: NaiveDateTime,
    /// At most so many.
    pub most: i64,
}

/// Asks for a text, inside the transaction that gives the reason for it. Due at once.
pub fn add_text(conn: &mut AnyConn, new: &NewText) -> Result<(), StoreError> {
    diesel::insert_into(texts::table)
        .values((new, texts::state.eq(TextState::Due), texts::tries.eq(0), texts::due_at.eq(new.created_at)))
        .execute(conn)?;
    Ok(())
}

/// Whether any text is due now, or was left by a process that died.
pub fn is_text_due(conn: &mut AnyConn, now: NaiveDateTime) -> Result<bool, StoreError> {
    let free = texts::leased_until.is_null().or(texts::leased_until.le(now));
    let due = texts::table.filter(texts::state.eq(TextState::Due)).filter(texts::due_at.le(now)).filter(free);
    Ok(diesel::select(diesel::dsl::exists(due)).get_result(conn)?)
}

/// Gives up what a process handed over and never noted: it may have arrived. Gives how many.
pub fn give_up_handed_texts(conn: &mut AnyConn, now: NaiveDateTime) -> Result<usize, StoreError> {
    let left = texts::table
        .filter(texts::state.eq(TextState::Due))
        .filter(texts::handed_at.is_not_null())
        .filter(texts::leased_until.is_null().or(texts::leased_until.le(now)));
    Ok(diesel::update(left)
        .set((
            texts::state.eq(TextState::Unsure),
            texts::ended_at.eq(now),
            texts::fault.eq("broke off"),
            texts::leased_until.eq(None::<NaiveDateTime>),
            texts::leased_by.eq(None::<String>),
        ))
        .execute(conn)?)
}

/// Claims due texts, oldest first. Two runners never get the same one: each claim is a guarded update.
pub fn claim_texts(conn: &mut AnyConn, claim: &TextClaim) -> Result<Vec<TextRow>, StoreError> {
    let free = || texts::leased_until.is_null().or(texts::leased_until.le(claim.now));
    let wanted: Vec<TextRow> = texts::table
        .filter(texts::state.eq(TextState::Due))
        .filter(texts::due_at.le(claim.now))
        .filter(texts::handed_at.is_null())
        .filter(free())
        .order((texts::due_at, texts::id))
        .limit(claim.most)
        .select(TextRow::as_select())
        .load(conn)?;
    let mut claimed = Vec::with_capacity(wanted.len());
    for row in wanted {
        let changed = diesel::update(texts::table.filter(texts::id.eq(row.id)))
            .filter(texts::state.eq(TextState::Due))
            .filter(texts::handed_at.is_null())
            .filter(free())
            .set((texts::leased_until.eq(claim.until), texts::leased_by.eq(&claim.holder)))
            .execute(conn)?;
        if changed == 1 {
            claimed.push(row);
        }
    }
    Ok(claimed)
}

/// Notes that a text is about to be handed over, while the claim stands. `false`: it stands no more, and the text is
/// somebody else's.
pub fn set_text_handed(conn: &mut AnyConn, id: TextId, holder: &str, now: NaiveDateTime) -> Result<bool, StoreError> {
    let own = texts::table
        .filter(texts::id.eq(id))
        .filter(texts::state.eq(TextState::Due))
        .filter(texts::handed_at.is_null())
        .filter(texts::leased_by.eq(holder))
        .filter(texts::leased_until.gt(now));
    Ok(diesel::update(own).set(texts::handed_at.eq(now)).execute(conn)? == 1)
}

/// Puts a text off until `due_at` and frees it: the gateway does not have it.
pub fn set_text_put_off(
    conn: &mut AnyConn,
    id: TextId,
    holder: &str,
    due_at: NaiveDateTime,
    fault: &str,
) -> Result<(), StoreError> {
    let own = texts::table.filter(texts::id.eq(id)).filter(texts::state.eq(TextState::Due));
    diesel::update(own.filter(texts::leased_by.eq(holder)))
        .set((
            texts::due_at.eq(due_at),
            texts::tries.eq(texts::tries + 1),
            texts::fault.eq(fault),
            texts::handed_at.eq(None::<NaiveDateTime>),
            texts::leased_until.eq(None::<NaiveDateTime>),
            texts::leased_by.eq(None::<String>),
        ))
        .execute(conn)?;
    Ok(())
}

/// Ends a text for good.
pub fn set_text_ended(
    conn: &mut AnyConn,
    id: TextId,
    holder: &str,
    (state, fault): (TextState, Option<&str>),
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let own = texts::table.filter(texts::id.eq(id)).filter(texts::state.eq(TextState::Due));
    diesel::update(own.filter(texts::leased_by.eq(holder)))
        .set((
            texts::state.eq(state),
            texts::tries.eq(texts::tries + 1),
            texts::ended_at.eq(now),
            texts::fault.eq(fault),
            texts::leased_until.eq(None::<NaiveDateTime>),
            texts::leased_by.eq(None::<String>),
        ))
        .execute(conn)?;
    Ok(())
}

/// A text by its row.
pub fn find_text(conn: &mut AnyConn, id: TextId) -> Result<Option<TextRow>, StoreError> {
    Ok(texts::table.filter(texts::id.eq(id)).select(TextRow::as_select()).first(conn).optional()?)
}

/// Whether a newer text of the same kind about the same place was asked for.
pub fn has_newer_text(conn: &mut AnyConn, than: &TextRow) -> Result<bool, StoreError> {
    let newer = texts::table
        .filter(texts::id.gt(than.id))
        .filter(texts::kind.eq(than.kind))
        .filter(texts::registration_id.eq(than.registration_id));
    Ok(diesel::select(diesel::dsl::exists(newer)).get_result(conn)?)
}

/// Where the texts of these tellings stand.
pub fn texts_of_tellings(
    conn: &mut AnyConn,
    of: &[TellingId],
) -> Result<Vec<(Option<TellingId>, TextState)>, StoreError> {
    Ok(texts::table.filter(texts::telling_id.eq_any(of)).select((texts::telling_id, texts::state)).load(conn)?)
}

/// A text that has not arrived, as far as anybody knows, and whom it should have reached.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct MissedText {
    /// What it tells.
    pub kind: TextKind,
    /// Where it stands.
    pub state: TextState,
    /// Why.
    pub fault: Option<String>,
    /// Whom: given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Their telephone, as dialled.
    pub phone: String,
    /// The session's reference.
    pub session: String,
    /// The site.
    pub site: String,
    /// The first day of the session when the text was asked for.
    pub held_on: NaiveDate,
    /// The place it is about.
    pub registration_id: Option<RegistrationId>,
}

/// Texts about sessions from a day on that were given up, that nobody knows of, or that wait since an instant; the newest
/// first. One about a change goes from the list when somebody called.
pub fn missed_texts(
    conn: &mut AnyConn,
    from: NaiveDate,
    waiting_since: NaiveDateTime,
) -> Result<Vec<MissedText>, StoreError> {
    let waits = texts::state.eq(TextState::Due).and(texts::created_at.le(waiting_since));
    Ok(texts::table
        .inner_join(guardians::table)
        .inner_join(sessions::table.inner_join(sites::table))
        .left_join(tellings::table)
        .filter(texts::state.eq_any([TextState::Stopped, TextState::Unsure]).or(waits))
        .filter(texts::held_on.ge(from))
        .filter(tellings::called_at.is_null())
        .order(texts::id.desc())
        .select((
            texts::kind,
            texts::state,
            texts::fault,
            guardians::given_name,
            guardians::family_name,
            guardians::phone,
            sessions::reference,
            sites::name,
            texts::held_on,
            texts::registration_id,
        ))
        .load(conn)?)
}

/// Lets an adult get text messages from an instant on, or no more. `false`: it is so already.
pub fn set_texts_agreed(conn: &mut AnyConn, id: GuardianId, since: Option<NaiveDateTime>) -> Result<bool, StoreError> {
    let adult = guardians::table.filter(guardians::id.eq(id));
    let changed = match since {
        Some(_) => diesel::update(adult.filter(guardians::texts_agreed_at.is_null()))
            .set(guardians::texts_agreed_at.eq(since))
            .execute(conn)?,
        None => diesel::update(adult.filter(guardians::texts_agreed_at.is_not_null()))
            .set(guardians::texts_agreed_at.eq(since))
            .execute(conn)?,
    };
    Ok(changed == 1)
}

/// Sessions that ended before a day and have texts, each with how many.
pub fn texts_before(conn: &mut AnyConn, day: NaiveDate) -> Result<Vec<(SessionId, i64)>, StoreError> {
    Ok(texts::table
        .inner_join(sessions::table)
        .filter(sessions::last_on.lt(day))
        .group_by(texts::session_id)
        .order(texts::session_id)
        .select((texts::session_id, diesel::dsl::count_star()))
        .load(conn)?)
}

/// Removes the texts about sessions.
pub fn remove_texts_of_sessions(conn: &mut AnyConn, of: &[SessionId]) -> Result<(), StoreError> {
    diesel::delete(texts::table.filter(texts::session_id.eq_any(of))).execute(conn)?;
    Ok(())
}

/// Removes the texts about places.
pub fn remove_texts_of_places(conn: &mut AnyConn, of: &[RegistrationId]) -> Result<(), StoreError> {
    diesel::delete(texts::table.filter(texts::registration_id.eq_any(of))).execute(conn)?;
    Ok(())
}

/// Removes every text to an adult, and the agreement.
pub fn forget_texts(conn: &mut AnyConn, id: GuardianId) -> Result<(), StoreError> {
    diesel::delete(texts::table.filter(texts::guardian_id.eq(id))).execute(conn)?;
    set_texts_agreed(conn, id, None)?;
    Ok(())
}
