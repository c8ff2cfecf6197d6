//! Questions that nobody has to answer, and how families answered them.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{voluntary_answers, voluntary_questions};
use crate::domain::curriculum::LocalText;
use crate::domain::ids::{RegistrationId, VoluntaryId};
use crate::domain::voluntary::Choices;

/// A question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VoluntaryQuestion {
    /// The row.
    pub id: VoluntaryId,
    /// Public reference.
    pub reference: String,
    /// The question.
    pub words: LocalText,
    /// What can be answered.
    pub choices: Choices,
    /// Since when it is not asked any more, UTC.
    pub ended_at: Option<NaiveDateTime>,
}

/// Adds a question, asked from now on.
pub fn add_voluntary_question(
    conn: &mut AnyConn,
    reference: &str,
    words: &LocalText,
    choices: &Choices,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let stored = serde_json::to_string(choices).map_err(|_| StoreError::Unreadable("voluntary_questions.choices"))?;
    diesel::insert_into(voluntary_questions::table)
        .values((
            voluntary_questions::reference.eq(reference),
            voluntary_questions::words_en.eq(&words.en),
            voluntary_questions::words_es.eq(&words.es),
            voluntary_questions::choices.eq(stored),
            voluntary_questions::created_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

/// A question as it is stored: its words in both languages, its choices as one text.
type Stored = (VoluntaryId, String, (String, String), String, Option<NaiveDateTime>);

/// Every question, in the order in which they came.
pub fn voluntary_questions(conn: &mut AnyConn) -> Result<Vec<VoluntaryQuestion>, StoreError> {
    let rows: Vec<Stored> = voluntary_questions::table
        .order(voluntary_questions::id)
        .select((
            voluntary_questions::id,
            voluntary_questions::reference,
            (voluntary_questions::words_en, voluntary_questions::words_es),
            voluntary_questions::choices,
            voluntary_questions::ended_at,
        ))
        .load(conn)?;
    let read = |(id, reference, (en, es), choices, ended_at): Stored| {
        let choices =
            serde_json::from_str(&choices).map_err(|_| StoreError::Unreadable("voluntary_questions.choices"))?;
        Ok(VoluntaryQuestion { id, reference, words: LocalText { en, es }, choices, ended_at })
    };
    rows.into_iter().map(read).collect()
}

/// Stops asking a question at an instant, or asks it again. `false`: there is none.
pub fn set_question_ended(
    conn: &mut AnyConn,
    reference: &str,
    ended_at: Option<NaiveDateTime>,
) -> Result<bool, StoreError> {
    let question = voluntary_questions::table.filter(voluntary_questions::reference.eq(reference));
    Ok(diesel::update(question).set(voluntary_questions::ended_at.eq(ended_at)).execute(conn)? == 1)
}

/// Keeps the answers of a registration in place of earlier ones.
pub fn set_voluntary_answers(
    conn: &mut AnyConn,
    registration: RegistrationId,
    answers: &[(VoluntaryId, Option<i64>)],
) -> Result<(), StoreError> {
    let earlier = voluntary_answers::table.filter(voluntary_answers::registration_id.eq(registration));
    diesel::delete(earlier).execute(conn)?;
    for (question, choice) in answers {
        diesel::insert_into(voluntary_answers::table)
            .values((
                voluntary_answers::registration_id.eq(registration),
                voluntary_answers::question_id.eq(question),
                voluntary_answers::choice.eq(choice),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// How often each choice of each question was answered; `None` is "no answer".
pub fn count_voluntary_answers(conn: &mut AnyConn) -> Result<BTreeMap<(VoluntaryId, Option<i64>), i64>, StoreError> {
    let counted: Vec<(VoluntaryId, Option<i64>, i64)> = voluntary_answers::table
        .group_by((voluntary_answers::question_id, voluntary_answers::choice))
        .select((voluntary_answers::question_id, voluntary_answers::choice, diesel::dsl::count_star()))
        .load(conn)?;
    Ok(counted.into_iter().map(|(question, choice, times)| ((question, choice), times)).collect())
}
