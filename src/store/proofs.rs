//! Proof of an earlier part, one row a registration: what the family answered and who of the office saw it.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::proofs;
use crate::domain::ids::{AccountId, RegistrationId};
use crate::domain::proof::ProofAnswer;

/// How one registration stands to the earlier part.
#[derive(Clone, Debug, Default, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = proofs)]
pub struct ProofRow {
    /// What the family answered.
    pub answer: Option<ProofAnswer>,
    /// When somebody of the office saw the proof, in UTC.
    pub seen_at: Option<NaiveDateTime>,
    /// Who saw it.
    pub seen_by: Option<AccountId>,
}

/// The row of a registration; an empty one while nothing is known.
pub fn proof_of(conn: &mut AnyConn, registration: RegistrationId) -> Result<ProofRow, StoreError> {
    let found = proofs::table
        .filter(proofs::registration_id.eq(registration))
        .select(ProofRow::as_select())
        .first(conn)
        .optional()?;
    Ok(found.unwrap_or_default())
}

/// Keeps what the family answered.
pub fn set_proof_answer(
    conn: &mut AnyConn,
    registration: RegistrationId,
    answer: ProofAnswer,
) -> Result<(), StoreError> {
    let row = (proofs::registration_id.eq(registration), proofs::answer.eq(Some(answer)));
    both!(conn, |conn| diesel::insert_into(proofs::table)
        .values(row)
        .on_conflict(proofs::registration_id)
        .do_update()
        .set(proofs::answer.eq(Some(answer)))
        .execute(conn))?;
    Ok(())
}

/// Keeps who of the office saw the proof and when; `None` takes that back.
pub fn set_proof_seen(
    conn: &mut AnyConn,
    registration: RegistrationId,
    seen: Option<(NaiveDateTime, AccountId)>,
) -> Result<(), StoreError> {
    let (at, by) = (seen.map(|(at, _)| at), seen.map(|(_, by)| by));
    let row = (proofs::registration_id.eq(registration), proofs::seen_at.eq(at), proofs::seen_by.eq(by));
    both!(conn, |conn| diesel::insert_into(proofs::table)
        .values(row)
        .on_conflict(proofs::registration_id)
        .do_update()
        .set((proofs::seen_at.eq(at), proofs::seen_by.eq(by)))
        .execute(conn))?;
    Ok(())
}
