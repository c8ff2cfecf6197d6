//! Web logins: the token's hash is kept, never the token.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{accounts, sign_ins};
use crate::domain::ids::{AccountId, SignInId};
use crate::domain::sign_in::Way;
use crate::domain::words::Lang;

/// A login that may still be good, with the account behind it.
#[derive(Clone, Debug, Queryable)]
pub struct SignInRow {
    /// The login.
    pub id: SignInId,
    /// Whose it is.
    pub account: AccountId,
    /// Given name of the account.
    pub given_name: String,
    /// Family name of the account.
    pub family_name: String,
    /// The account's language.
    pub language: Lang,
    /// When the account was disabled.
    pub disabled_at: Option<NaiveDateTime>,
    /// When it was last seen, to five minutes.
    pub last_seen: NaiveDateTime,
    /// When it ends whatever happens.
    pub ends_at: NaiveDateTime,
    /// When it was ended.
    pub ended_at: Option<NaiveDateTime>,
    /// When it began.
    pub created_at: NaiveDateTime,
    /// How it was proven.
    pub way: Way,
    /// Whether its second step is still due: until then it opens nothing.
    pub awaits_code: bool,
    /// Whether its second step was done.
    pub second_step: bool,
}

/// A login about to be opened.
#[derive(Clone, Debug)]
pub struct NewSignIn {
    /// Whose.
    pub account: AccountId,
    /// The hash of its token.
    pub token_hash: Vec<u8>,
    /// Browser and system in words.
    pub device: String,
    /// How it was proven.
    pub way: Way,
    /// Whether its second step is still due.
    pub awaits_code: bool,
    /// Whether its second step was done.
    pub second_step: bool,
    /// Now.
    pub at: NaiveDateTime,
    /// When it ends whatever happens.
    pub ends_at: NaiveDateTime,
}

/// Adds a login.
pub fn add_sign_in(conn: &mut AnyConn, new: &NewSignIn) -> Result<SignInId, StoreError> {
    Ok(diesel::insert_into(sign_ins::table)
        .values((
            sign_ins::account_id.eq(new.account),
            sign_ins::token_hash.eq(&new.token_hash),
            sign_ins::device.eq(&new.device),
            sign_ins::way.eq(new.way),
            sign_ins::awaits_code.eq(new.awaits_code),
            sign_ins::second_step.eq(new.second_step),
            sign_ins::created_at.eq(new.at),
            sign_ins::last_seen.eq(new.at),
            sign_ins::ends_at.eq(new.ends_at),
        ))
        .returning(sign_ins::id)
        .get_result(conn)?)
}

/// The login of a token's hash.
pub fn find_sign_in(conn: &mut AnyConn, token_hash: &[u8]) -> Result<Option<SignInRow>, StoreError> {
    Ok(sign_ins::table
        .inner_join(accounts::table)
        .filter(sign_ins::token_hash.eq(token_hash))
        .select((
            sign_ins::id,
            sign_ins::account_id,
            accounts::given_name,
            accounts::family_name,
            accounts::language,
            accounts::disabled_at,
            sign_ins::last_seen,
            sign_ins::ends_at,
            sign_ins::ended_at,
            sign_ins::created_at,
            sign_ins::way,
            sign_ins::awaits_code,
            sign_ins::second_step,
        ))
        .first(conn)
        .optional()?)
}

/// How a login was proven, and when.
#[derive(Clone, Copy, Debug, Queryable)]
pub struct Proven {
    /// How.
    pub way: Way,
    /// When it began.
    pub created_at: NaiveDateTime,
}

/// How a login was proven, by its row.
pub fn find_proven(conn: &mut AnyConn, id: SignInId) -> Result<Option<Proven>, StoreError> {
    Ok(sign_ins::table
        .filter(sign_ins::id.eq(id))
        .select((sign_ins::way, sign_ins::created_at))
        .first(conn)
        .optional()?)
}

/// Notes that a login was used.
pub fn set_last_seen(conn: &mut AnyConn, id: SignInId, now: NaiveDateTime) -> Result<(), StoreError> {
    diesel::update(sign_ins::table.filter(sign_ins::id.eq(id))).set(sign_ins::last_seen.eq(now)).execute(conn)?;
    Ok(())
}

/// Ends one login of an account; says whether there was one to end.
pub fn end_sign_in(
    conn: &mut AnyConn,
    account: AccountId,
    id: SignInId,
    now: NaiveDateTime,
) -> Result<bool, StoreError> {
    let open = sign_ins::table
        .filter(sign_ins::id.eq(id))
        .filter(sign_ins::account_id.eq(account))
        .filter(sign_ins::ended_at.is_null());
    Ok(diesel::update(open).set(sign_ins::ended_at.eq(now)).execute(conn)? > 0)
}

/// Ends every login of an account but one; says how many.
pub fn end_sign_ins(
    conn: &mut AnyConn,
    account: AccountId,
    but: Option<SignInId>,
    now: NaiveDateTime,
) -> Result<usize, StoreError> {
    let others = sign_ins::table
        .filter(sign_ins::account_id.eq(account))
        .filter(sign_ins::id.ne(but.unwrap_or(SignInId::new(-1))))
        .filter(sign_ins::ended_at.is_null());
    Ok(diesel::update(others).set(sign_ins::ended_at.eq(now)).execute(conn)?)
}

/// A login as its owner sees it in the list.
#[derive(Clone, Debug, Queryable)]
pub struct ListedSignIn {
    /// The login.
    pub id: SignInId,
    /// Browser and system in words.
    pub device: String,
    /// When it began.
    pub created_at: NaiveDateTime,
    /// When it was last used, to five minutes.
    pub last_seen: NaiveDateTime,
}

/// The logins of an account that are not over, newest first.
pub fn list_sign_ins(
    conn: &mut AnyConn,
    account: AccountId,
    now: NaiveDateTime,
) -> Result<Vec<ListedSignIn>, StoreError> {
    Ok(sign_ins::table
        .filter(sign_ins::account_id.eq(account))
        .filter(sign_ins::ended_at.is_null())
        .filter(sign_ins::awaits_code.eq(false))
        .filter(sign_ins::ends_at.gt(now))
        .order(sign_ins::created_at.desc())
        .select((sign_ins::id, sign_ins::device, sign_ins::created_at, sign_ins::last_seen))
        .load(conn)?)
}

/// Forgets logins that were over before an instant; says how many. The newest row stays, so that no number of a login
/// is given again.
pub fn remove_sign_ins_before(conn: &mut AnyConn, instant: NaiveDateTime) -> Result<usize, StoreError> {
    let newest: Option<SignInId> =
        sign_ins::table.select(sign_ins::id).order(sign_ins::id.desc()).first(conn).optional()?;
    let Some(newest) = newest else { return Ok(0) };
    let over = sign_ins::ended_at.lt(instant).or(sign_ins::ends_at.lt(instant).nullable());
    Ok(diesel::delete(sign_ins::table.filter(sign_ins::id.lt(newest)).filter(over)).execute(conn)?)
}
