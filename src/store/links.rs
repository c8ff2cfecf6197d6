//! Links that come by mail: what was asked for, and the hashes of the tokens that were drawn for it.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{link_tokens, links};
use crate::domain::ids::{AccountId, LinkId};
use crate::domain::sign_in::Purpose;
use crate::domain::words::Word;

/// A link that was asked for.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = links)]
pub struct LinkRow {
    /// The row.
    pub id: LinkId,
    /// Whose; nobody's when the address is not known.
    pub account_id: Option<AccountId>,
    /// What for.
    pub purpose: Purpose,
    /// The new address, of a link that is to prove one.
    pub address: String,
    /// The address before it.
    pub earlier_address: String,
    /// When it was used.
    pub used_at: Option<NaiveDateTime>,
    /// When a newer one took its place.
    pub voided_at: Option<NaiveDateTime>,
}

/// A link about to be asked for.
#[derive(Clone, Debug)]
pub struct NewLink {
    /// Whose; nobody's when the address is not known.
    pub account: Option<AccountId>,
    /// What for.
    pub purpose: Purpose,
    /// The new address, of a link that is to prove one; else empty.
    pub address: String,
    /// The address before it; else empty.
    pub earlier_address: String,
    /// Now.
    pub at: NaiveDateTime,
}

/// Asks for a link. An older one of the same account and purpose serves no more.
pub fn add_link(conn: &mut AnyConn, new: &NewLink) -> Result<LinkId, StoreError> {
    void_links(conn, new.account, Some(new.purpose), new.at)?;
    Ok(diesel::insert_into(links::table)
        .values((
            links::account_id.eq(new.account),
            links::purpose.eq(new.purpose),
            links::address.eq(&new.address),
            links::earlier_address.eq(&new.earlier_address),
            links::asked_at.eq(new.at),
        ))
        .returning(links::id)
        .get_result(conn)?)
}

/// Ends the open links of an account, of one purpose or of all.
pub fn void_links(
    conn: &mut AnyConn,
    account: Option<AccountId>,
    purpose: Option<Purpose>,
    at: NaiveDateTime,
) -> Result<(), StoreError> {
    // -1 is nobody's number: the same statement runs whether the address is known or not.
    let account = account.unwrap_or(AccountId::new(-1));
    for purpose in Purpose::ALL.iter().filter(|one| purpose.is_none_or(|only| only == **one)) {
        let open = links::table
            .filter(links::account_id.eq(account))
            .filter(links::purpose.eq(purpose))
            .filter(links::used_at.is_null())
            .filter(links::voided_at.is_null());
        diesel::update(open).set(links::voided_at.eq(at)).execute(conn)?;
    }
    Ok(())
}

/// Ends the open links for the account of the first administrator.
pub fn void_first_account_links(conn: &mut AnyConn, at: NaiveDateTime) -> Result<(), StoreError> {
    let open = links::table
        .filter(links::purpose.eq(Purpose::FirstAccount))
        .filter(links::used_at.is_null())
        .filter(links::voided_at.is_null());
    diesel::update(open).set(links::voided_at.eq(at)).execute(conn)?;
    Ok(())
}

/// A link by its row.
pub fn find_link(conn: &mut AnyConn, id: LinkId) -> Result<Option<LinkRow>, StoreError> {
    Ok(links::table.filter(links::id.eq(id)).select(LinkRow::as_select()).first(conn).optional()?)
}

/// Notes a token that was drawn for a link.
pub fn add_link_token(conn: &mut AnyConn, id: LinkId, hash: &[u8], at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::insert_into(link_tokens::table)
        .values((link_tokens::token_hash.eq(hash), link_tokens::link_id.eq(id), link_tokens::drawn_at.eq(at)))
        .execute(conn)?;
    Ok(())
}

/// The link of a token's hash, and when the token was drawn.
pub fn find_link_of_token(conn: &mut AnyConn, hash: &[u8]) -> Result<Option<(LinkRow, NaiveDateTime)>, StoreError> {
    Ok(link_tokens::table
        .inner_join(links::table)
        .filter(link_tokens::token_hash.eq(hash))
        .select((LinkRow::as_select(), link_tokens::drawn_at))
        .first(conn)
        .optional()?)
}

/// Spends a link. `false`: it was spent or voided before.
pub fn spend_link(conn: &mut AnyConn, id: LinkId, now: NaiveDateTime) -> Result<bool, StoreError> {
    let open =
        links::table.filter(links::id.eq(id)).filter(links::used_at.is_null()).filter(links::voided_at.is_null());
    Ok(diesel::update(open).set(links::used_at.eq(now)).execute(conn)? == 1)
}

/// Forgets links asked for before an instant, with their tokens; says how many.
pub fn remove_links_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<usize, StoreError> {
    let old: Vec<LinkId> = links::table.filter(links::asked_at.lt(instant)).select(links::id).load(conn)?;
    diesel::delete(link_tokens::table.filter(link_tokens::link_id.eq_any(&old))).execute(conn)?;
    Ok(diesel::delete(links::table.filter(links::id.eq_any(&old))).execute(conn)?)
}
