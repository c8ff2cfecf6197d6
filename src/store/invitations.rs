//! Adults who are asked to answer for children, and the hashes of the tokens that accept.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::merges::standing;
use super::schema::{invitation_tokens, invitations, invited_riders};
use crate::domain::ids::{GuardianId, InvitationId, RiderId};
use crate::domain::words::Lang;

/// An invitation.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = invitations)]
pub struct InvitationRow {
    /// The row.
    pub id: InvitationId,
    /// Public reference, for who invites.
    pub reference: String,
    /// Who invites.
    pub guardian_id: GuardianId,
    /// Who is invited, as the other one calls them.
    pub name: String,
    /// Where the letter goes.
    pub address: String,
    /// The language of the letter.
    pub language: Lang,
    /// When.
    pub asked_at: NaiveDateTime,
    /// When it was accepted or taken back.
    pub ended_at: Option<NaiveDateTime>,
}

/// An invitation about to be made.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = invitations)]
pub struct NewInvitation {
    /// Public reference.
    pub reference: String,
    /// Who invites.
    pub guardian_id: GuardianId,
    /// Who is invited.
    pub name: String,
    /// Where the letter goes.
    pub address: String,
    /// The language of the letter.
    pub language: Lang,
    /// Now.
    pub asked_at: NaiveDateTime,
}

/// Invites an adult to answer for these riders.
pub fn add_invitation(conn: &mut AnyConn, new: &NewInvitation, of: &[RiderId]) -> Result<InvitationId, StoreError> {
    let id: InvitationId =
        diesel::insert_into(invitations::table).values(new).returning(invitations::id).get_result(conn)?;
    for rider in of {
        diesel::insert_into(invited_riders::table)
            .values((invited_riders::invitation_id.eq(id), invited_riders::rider_id.eq(rider)))
            .execute(conn)?;
    }
    Ok(id)
}

/// An invitation by its row.
pub fn find_invitation(conn: &mut AnyConn, id: InvitationId) -> Result<Option<InvitationRow>, StoreError> {
    Ok(invitations::table.filter(invitations::id.eq(id)).select(InvitationRow::as_select()).first(conn).optional()?)
}

/// An invitation by its reference.
pub fn find_invitation_by_reference(conn: &mut AnyConn, reference: &str) -> Result<Option<InvitationRow>, StoreError> {
    let found = invitations::table.filter(invitations::reference.eq(reference));
    Ok(found.select(InvitationRow::as_select()).first(conn).optional()?)
}

/// The invitation of a token's hash.
pub fn find_invitation_of_token(conn: &mut AnyConn, hash: &[u8]) -> Result<Option<InvitationRow>, StoreError> {
    Ok(invitation_tokens::table
        .inner_join(invitations::table)
        .filter(invitation_tokens::token_hash.eq(hash))
        .select(InvitationRow::as_select())
        .first(conn)
        .optional()?)
}

/// The riders of an invitation, as they are now.
pub fn riders_of_invitation(conn: &mut AnyConn, id: InvitationId) -> Result<Vec<RiderId>, StoreError> {
    let invited: Vec<RiderId> = invited_riders::table
        .filter(invited_riders::invitation_id.eq(id))
        .order(invited_riders::rider_id)
        .select(invited_riders::rider_id)
        .load(conn)?;
    let mut riders = BTreeSet::new();
    for rider in invited {
        riders.insert(standing(conn, rider)?);
    }
    Ok(riders.into_iter().collect())
}

/// The invitations of an adult about a rider that nobody accepted or took back, the oldest first.
pub fn invitations_about(
    conn: &mut AnyConn,
    guardian: GuardianId,
    rider: RiderId,
) -> Result<Vec<InvitationRow>, StoreError> {
    Ok(invitations::table
        .inner_join(invited_riders::table)
        .filter(invitations::guardian_id.eq(guardian))
        .filter(invited_riders::rider_id.eq(rider))
        .filter(invitations::ended_at.is_null())
        .order(invitations::id)
        .select(InvitationRow::as_select())
        .load(conn)?)
}

/// How many invitations an adult made since an instant.
pub fn count_invitations_since(
    conn: &mut AnyConn,
    guardian: GuardianId,
    since: NaiveDateTime,
) -> Result<i64, StoreError> {
    Ok(invitations::table
        .filter(invitations::guardian_id.eq(guardian))
        .filter(invitations::asked_at.ge(since))
        .count()
        .get_result(conn)?)
}

/// Ends an invitation. `false`: it was over.
pub fn end_invitation(conn: &mut AnyConn, id: InvitationId, at: NaiveDateTime) -> Result<bool, StoreError> {
    let open = invitations::table.filter(invitations::id.eq(id)).filter(invitations::ended_at.is_null());
    Ok(diesel::update(open).set(invitations::ended_at.eq(at)).execute(conn)? == 1)
}

/// Notes who joined by an invitation.
pub fn set_joined(conn: &mut AnyConn, id: InvitationId, joined: GuardianId) -> Result<(), StoreError> {
    diesel::update(invitations::table.filter(invitations::id.eq(id)))
        .set(invitations::joined_id.eq(joined))
        .execute(conn)?;
    Ok(())
}

/// Notes a token that was drawn for a letter.
pub fn add_invitation_token(
    conn: &mut AnyConn,
    id: InvitationId,
    hash: &[u8],
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(invitation_tokens::table)
        .values((
            invitation_tokens::token_hash.eq(hash),
            invitation_tokens::invitation_id.eq(id),
            invitation_tokens::drawn_at.eq(at),
        ))
        .execute(conn)?;
    Ok(())
}

/// Forgets invitations made before an instant by which nobody joined, with their tokens; says how many.
pub fn remove_invitations_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<usize, StoreError> {
    let old: Vec<InvitationId> = invitations::table
        .filter(invitations::asked_at.lt(instant))
        .filter(invitations::joined_id.is_null())
        .select(invitations::id)
        .load(conn)?;
    diesel::delete(invitation_tokens::table.filter(invitation_tokens::invitation_id.eq_any(&old))).execute(conn)?;
    diesel::delete(invited_riders::table.filter(invited_riders::invitation_id.eq_any(&old))).execute(conn)?;
    Ok(diesel::delete(invitations::table.filter(invitations::id.eq_any(&old))).execute(conn)?)
}
