//! What letters ask families, and the hashes of the tokens that answer.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{question_tokens, questions, registrations};
use crate::domain::ids::{QuestionId, RegistrationId, SessionId};
use crate::domain::place::Ask;

/// A question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = questions)]
pub struct QuestionRow {
    /// The row.
    pub id: QuestionId,
    /// What is asked.
    pub kind: Ask,
    /// About which place.
    pub registration_id: RegistrationId,
    /// When.
    pub asked_at: NaiveDateTime,
    /// When it was answered.
    pub answered_at: Option<NaiveDateTime>,
}

/// Asks.
pub fn add_question(
    conn: &mut AnyConn,
    kind: Ask,
    registration: RegistrationId,
    at: NaiveDateTime,
) -> Result<QuestionId, StoreError> {
    Ok(diesel::insert_into(questions::table)
        .values((questions::kind.eq(kind), questions::registration_id.eq(registration), questions::asked_at.eq(at)))
        .returning(questions::id)
        .get_result(conn)?)
}

/// A question by its row.
pub fn find_question(conn: &mut AnyConn, id: QuestionId) -> Result<Option<QuestionRow>, StoreError> {
    Ok(questions::table.filter(questions::id.eq(id)).select(QuestionRow::as_select()).first(conn).optional()?)
}

/// Notes a token that was drawn for a letter.
pub fn add_question_token(
    conn: &mut AnyConn,
    id: QuestionId,
    hash: &[u8],
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(question_tokens::table)
        .values((
            question_tokens::token_hash.eq(hash),
            question_tokens::question_id.eq(id),
            question_tokens::drawn_at.eq(at),
        ))
        .execute(conn)?;
    Ok(())
}

/// The question of a token's hash.
pub fn find_question_of_token(conn: &mut AnyConn, hash: &[u8]) -> Result<Option<QuestionRow>, StoreError> {
    Ok(question_tokens::table
        .inner_join(questions::table)
        .filter(question_tokens::token_hash.eq(hash))
        .select(QuestionRow::as_select())
        .first(conn)
        .optional()?)
}

/// Notes that a question is answered. `false`: it was before.
pub fn set_answered(conn: &mut AnyConn, id: QuestionId, now: NaiveDateTime) -> Result<bool, StoreError> {
    let open = questions::table.filter(questions::id.eq(id)).filter(questions::answered_at.is_null());
    Ok(diesel::update(open).set(questions::answered_at.eq(now)).execute(conn)? == 1)
}

/// Notes that every open question of a kind about a place is answered.
pub fn set_all_answered(
    conn: &mut AnyConn,
    registration: RegistrationId,
    kind: Ask,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let open = questions::table
        .filter(questions::registration_id.eq(registration))
        .filter(questions::kind.eq(kind))
        .filter(questions::answered_at.is_null());
    diesel::update(open).set(questions::answered_at.eq(now)).execute(conn)?;
    Ok(())
}

/// Notes that every open question of a kind about the places of a session is answered.
pub fn set_all_answered_in(
    conn: &mut AnyConn,
    session: SessionId,
    kind: Ask,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let here = registrations::table.filter(registrations::session_id.eq(session)).select(registrations::id);
    let open = questions::table
        .filter(questions::registration_id.eq_any(here))
        .filter(questions::kind.eq(kind))
        .filter(questions::answered_at.is_null());
    diesel::update(open).set(questions::answered_at.eq(now)).execute(conn)?;
    Ok(())
}

/// Whether a question of a kind about a place is open.
pub fn is_asked(conn: &mut AnyConn, registration: RegistrationId, kind: Ask) -> Result<bool, StoreError> {
    let open = questions::table
        .filter(questions::registration_id.eq(registration))
        .filter(questions::kind.eq(kind))
        .filter(questions::answered_at.is_null());
    Ok(open.count().get_result::<i64>(conn)? > 0)
}

/// How many questions of a kind about a place were asked since an instant.
pub fn count_questions_since(
    conn: &mut AnyConn,
    registration: RegistrationId,
    kind: Ask,
    since: NaiveDateTime,
) -> Result<i64, StoreError> {
    Ok(questions::table
        .filter(questions::registration_id.eq(registration))
        .filter(questions::kind.eq(kind))
        .filter(questions::asked_at.ge(since))
        .count()
        .get_result(conn)?)
}
