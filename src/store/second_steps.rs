//! The second step of an account: the sealed secret of its app, the step of the last code, and hashes of recovery codes.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{authenticators, recovery_codes, second_step_losses};
use crate::domain::ids::AccountId;
use crate::domain::sign_in::Loss;

/// Where the secret is sealed: table and column.
pub const SECRET: (&str, &str) = ("authenticators", "secret");

/// The app that an account signs in with.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = authenticators)]
pub struct AuthenticatorRow {
    /// Whose.
    pub account_id: AccountId,
    /// The row's random key.
    pub row_key: Vec<u8>,
    /// The sealed secret.
    pub secret: Vec<u8>,
    /// The step of the last code that was taken.
    pub last_step: i64,
    /// Since when, in UTC.
    pub created_at: NaiveDateTime,
}

/// The app of an account.
pub fn find_authenticator(conn: &mut AnyConn, account: AccountId) -> Result<Option<AuthenticatorRow>, StoreError> {
    Ok(authenticators::table
        .filter(authenticators::account_id.eq(account))
        .select(AuthenticatorRow::as_select())
        .first(conn)
        .optional()?)
}

/// Keeps an app and its recovery codes in place of any before.
pub fn set_authenticator(
    conn: &mut AnyConn,
    row: &AuthenticatorRow,
    code_hashes: &[Vec<u8>],
) -> Result<(), StoreError> {
    remove_authenticator(conn, row.account_id)?;
    diesel::insert_into(authenticators::table)
        .values((
            authenticators::account_id.eq(row.account_id),
            authenticators::row_key.eq(&row.row_key),
            authenticators::secret.eq(&row.secret),
            authenticators::last_step.eq(row.last_step),
            authenticators::created_at.eq(row.created_at),
        ))
        .execute(conn)?;
    set_recovery_codes(conn, row.account_id, code_hashes)
}

/// Keeps these recovery codes in place of any before.
pub fn set_recovery_codes(conn: &mut AnyConn, account: AccountId, hashes: &[Vec<u8>]) -> Result<(), StoreError> {
    diesel::delete(recovery_codes::table.filter(recovery_codes::account_id.eq(account))).execute(conn)?;
    for hash in hashes {
        diesel::insert_into(recovery_codes::table)
            .values((recovery_codes::account_id.eq(account), recovery_codes::code_hash.eq(hash)))
            .execute(conn)?;
    }
    Ok(())
}

/// Takes the app and its codes away; says whether there was one.
pub fn remove_authenticator(conn: &mut AnyConn, account: AccountId) -> Result<bool, StoreError> {
    diesel::delete(recovery_codes::table.filter(recovery_codes::account_id.eq(account))).execute(conn)?;
    let gone = diesel::delete(authenticators::table.filter(authenticators::account_id.eq(account))).execute(conn)?;
    Ok(gone > 0)
}

/// Notes the step of a code that was taken. `false`: that step or a later one was taken before, so this code is spent.
pub fn spend_step(conn: &mut AnyConn, account: AccountId, step: i64) -> Result<bool, StoreError> {
    let unspent =
        authenticators::table.filter(authenticators::account_id.eq(account)).filter(authenticators::last_step.lt(step));
    Ok(diesel::update(unspent).set(authenticators::last_step.eq(step)).execute(conn)? == 1)
}

/// Spends a recovery code. `false`: it is none of this account's, or spent.
pub fn spend_recovery_code(
    conn: &mut AnyConn,
    account: AccountId,
    hash: &[u8],
    now: NaiveDateTime,
) -> Result<bool, StoreError> {
    let unspent = recovery_codes::table
        .filter(recovery_codes::account_id.eq(account))
        .filter(recovery_codes::code_hash.eq(hash))
        .filter(recovery_codes::used_at.is_null());
    Ok(diesel::update(unspent).set(recovery_codes::used_at.eq(now)).execute(conn)? == 1)
}

/// How many recovery codes are left.
pub fn recovery_codes_left(conn: &mut AnyConn, account: AccountId) -> Result<i64, StoreError> {
    Ok(recovery_codes::table
        .filter(recovery_codes::account_id.eq(account))
        .filter(recovery_codes::used_at.is_null())
        .count()
        .get_result(conn)?)
}

/// The loss that was told of an account.
pub fn find_loss(conn: &mut AnyConn, account: AccountId) -> Result<Option<Loss>, StoreError> {
    let found: Option<(AccountId, NaiveDateTime)> = second_step_losses::table
        .filter(second_step_losses::account_id.eq(account))
        .select((second_step_losses::asked_by, second_step_losses::asked_at))
        .first(conn)
        .optional()?;
    Ok(found.map(|(asked_by, asked_at)| Loss { asked_by, asked_at }))
}

/// Notes a loss in place of any told before; `None` forgets it.
pub fn set_loss(conn: &mut AnyConn, account: AccountId, loss: Option<Loss>) -> Result<(), StoreError> {
    diesel::delete(second_step_losses::table.filter(second_step_losses::account_id.eq(account))).execute(conn)?;
    if let Some(loss) = loss {
        diesel::insert_into(second_step_losses::table)
            .values((
                second_step_losses::account_id.eq(account),
                second_step_losses::asked_by.eq(loss.asked_by),
                second_step_losses::asked_at.eq(loss.asked_at),
            ))
            .execute(conn)?;
    }
    Ok(())
}
