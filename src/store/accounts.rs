//! Accounts: people who may sign in, with their roles.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{account_roles, accounts, guardians, staff};
use crate::domain::access::{Role, RoleSet};
use crate::domain::ids::{AccountId, GuardianId, StaffId};
use crate::domain::words::{Lang, full_name};

/// An account about to be made.
#[derive(Clone, Debug)]
pub struct NewAccount {
    /// Public reference.
    pub reference: String,
    /// Address, already parsed.
    pub email: String,
    /// Whether the address opens the account at once; else only after its owner has answered a letter.
    pub is_shown: bool,
    /// Argon2id in PHC form; none for people who cannot sign in by password.
    pub password_hash: Option<String>,
    /// Given name.
    pub given_name: String,
    /// Family name, empty for people with one name.
    pub family_name: String,
    /// Language they read.
    pub language: Lang,
    /// When it is made, in UTC.
    pub created_at: NaiveDateTime,
}

/// The sign-in name of an account whose owner has not shown the address yet: no address has a space.
pub(super) fn unshown(reference: &str) -> String {
    format!("unshown {reference}")
}

/// Adds an account with its roles. A taken address is `Duplicate(Key::AccountEmail)`.
pub fn add_account(conn: &mut AnyConn, new: &NewAccount, roles: &[Role]) -> Result<AccountId, StoreError> {
    let id: AccountId = diesel::insert_into(accounts::table)
        .values((
            accounts::reference.eq(&new.reference),
            accounts::sign_in_name.eq(if new.is_shown { new.email.clone() } else { unshown(&new.reference) }),
            accounts::email.eq(&new.email),
            accounts::password_hash.eq(&new.password_hash),
            accounts::given_name.eq(&new.given_name),
            accounts::family_name.eq(&new.family_name),
            accounts::language.eq(new.language),
            accounts::created_at.eq(new.created_at),
        ))
        .returning(accounts::id)
        .get_result(conn)?;
    for role in roles {
        diesel::insert_into(account_roles::table)
            .values((account_roles::account_id.eq(id), account_roles::role.eq(role)))
            .execute(conn)?;
    }
    Ok(id)
}

/// The name of the person behind an account.
pub fn name_of(conn: &mut AnyConn, id: AccountId) -> Result<String, StoreError> {
    let found = accounts::table.filter(accounts::id.eq(id)).select((accounts::given_name, accounts::family_name));
    let (given, family): (String, String) = found.first(conn)?;
    Ok(full_name(&given, &family))
}

/// The names of the people behind some accounts.
pub fn names_of(conn: &mut AnyConn, ids: &[AccountId]) -> Result<BTreeMap<AccountId, String>, StoreError> {
    let some = accounts::table.filter(accounts::id.eq_any(ids));
    let found: Vec<(AccountId, String, String)> =
        some.select((accounts::id, accounts::given_name, accounts::family_name)).load(conn)?;
    Ok(found.into_iter().map(|(id, given, family)| (id, full_name(&given, &family))).collect())
}

/// What a sign-in checks.
#[derive(Clone, Debug, Queryable)]
pub struct Credentials {
    /// The account.
    pub id: AccountId,
    /// The stored hash.
    pub password_hash: Option<String>,
    /// When it was disabled.
    pub disabled_at: Option<NaiveDateTime>,
}

/// The credentials behind an address that its owner has shown.
pub fn find_credentials(conn: &mut AnyConn, email: &str) -> Result<Option<Credentials>, StoreError> {
    Ok(accounts::table
        .filter(accounts::sign_in_name.eq(email))
        .select((accounts::id, accounts::password_hash, accounts::disabled_at))
        .first(conn)
        .optional()?)
}

/// Whom a letter to an account reaches.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct Addressee {
    /// Given name.
    pub given_name: String,
    /// Family name, empty for people with one name.
    pub family_name: String,
    /// The address.
    pub email: String,
    /// The language they read.
    pub language: Lang,
    /// When the account was disabled.
    pub disabled_at: Option<NaiveDateTime>,
}

/// The person and the address behind an account.
pub fn find_addressee(conn: &mut AnyConn, id: AccountId) -> Result<Option<Addressee>, StoreError> {
    Ok(accounts::table
        .filter(accounts::id.eq(id))
        .select((
            accounts::given_name,
            accounts::family_name,
            accounts::email,
            accounts::language,
            accounts::disabled_at,
        ))
        .first(conn)
        .optional()?)
}

/// The stored hash of an account's password.
pub fn password_hash_of(conn: &mut AnyConn, id: AccountId) -> Result<Option<String>, StoreError> {
    Ok(accounts::table.filter(accounts::id.eq(id)).select(accounts::password_hash).first(conn)?)
}

/// Gives an account an address that its owner has shown to be theirs. A taken one is `Duplicate(Key::AccountEmail)`.
pub fn set_email(conn: &mut AnyConn, id: AccountId, email: &str, at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::update(accounts::table.filter(accounts::id.eq(id)))
        .set((accounts::sign_in_name.eq(email), accounts::email.eq(email), accounts::email_confirmed_at.eq(at)))
        .execute(conn)?;
    Ok(())
}

/// Notes that the owner of an account reads its mail: from now on the address opens it. One that opens another account
/// is `Duplicate(Key::AccountEmail)`.
pub fn set_email_shown(conn: &mut AnyConn, id: AccountId, at: NaiveDateTime) -> Result<(), StoreError> {
    let unknown = accounts::table.filter(accounts::id.eq(id)).filter(accounts::email_confirmed_at.is_null());
    diesel::update(unknown)
        .set((accounts::sign_in_name.eq(accounts::email), accounts::email_confirmed_at.eq(at)))
        .execute(conn)?;
    Ok(())
}

/// Whether the address of an account opens it.
pub fn is_shown(conn: &mut AnyConn, id: AccountId) -> Result<bool, StoreError> {
    let own = accounts::table.filter(accounts::id.eq(id)).filter(accounts::sign_in_name.eq(accounts::email));
    Ok(diesel::select(diesel::dsl::exists(own)).get_result(conn)?)
}

/// The same, and holds the account until the transaction ends: who makes a place that counts on the answer and who shows
/// the address wait for each other, so that neither misses what the other writes.
pub fn hold_and_see_shown(conn: &mut AnyConn, id: AccountId) -> Result<bool, StoreError> {
    let (name, email): (String, String) = diesel::update(accounts::table.filter(accounts::id.eq(id)))
        .set(accounts::email.eq(accounts::email))
        .returning((accounts::sign_in_name, accounts::email))
        .get_result(conn)?;
    Ok(name == email)
}

/// The newest open account with an address that nobody has shown yet.
pub fn find_unshown(conn: &mut AnyConn, email: &str) -> Result<Option<AccountId>, StoreError> {
    Ok(accounts::table
        .filter(accounts::email.eq(email))
        .filter(accounts::sign_in_name.ne(accounts::email))
        .filter(accounts::disabled_at.is_null())
        .order(accounts::id.desc())
        .select(accounts::id)
        .first(conn)
        .optional()?)
}

/// Replaces a stored hash, when an older one is upgraded.
pub fn set_password_hash(conn: &mut AnyConn, id: AccountId, hash: &str) -> Result<(), StoreError> {
    diesel::update(accounts::table.filter(accounts::id.eq(id))).set(accounts::password_hash.eq(hash)).execute(conn)?;
    Ok(())
}

/// Leaves an account without a password; a link by mail opens it.
pub fn remove_password(conn: &mut AnyConn, id: AccountId) -> Result<(), StoreError> {
    diesel::update(accounts::table.filter(accounts::id.eq(id)))
        .set(accounts::password_hash.eq(None::<String>))
        .execute(conn)?;
    Ok(())
}

/// The roles of an account.
pub fn roles_of(conn: &mut AnyConn, id: AccountId) -> Result<RoleSet, StoreError> {
    let roles: Vec<Role> =
        account_roles::table.filter(account_roles::account_id.eq(id)).select(account_roles::role).load(conn)?;
    Ok(RoleSet::of(&roles))
}

/// The guardian and staff sides of an account.
pub fn sides_of(conn: &mut AnyConn, id: AccountId) -> Result<(Option<GuardianId>, Option<StaffId>), StoreError> {
    let guardian =
        guardians::table.filter(guardians::account_id.eq(id)).select(guardians::id).first(conn).optional()?;
    let member = staff::table.filter(staff::account_id.eq(id)).select(staff::id).first(conn).optional()?;
    Ok((guardian, member))
}

/// The account behind a public reference.
pub fn find_by_reference(conn: &mut AnyConn, reference: &str) -> Result<Option<AccountId>, StoreError> {
    Ok(accounts::table.filter(accounts::reference.eq(reference)).select(accounts::id).first(conn).optional()?)
}

/// The public reference of an account.
pub fn reference_of(conn: &mut AnyConn, id: AccountId) -> Result<String, StoreError> {
    Ok(accounts::table.filter(accounts::id.eq(id)).select(accounts::reference).first(conn)?)
}

/// Shuts an account from an instant on, or opens it again.
pub fn set_disabled(conn: &mut AnyConn, id: AccountId, since: Option<NaiveDateTime>) -> Result<(), StoreError> {
    diesel::update(accounts::table.filter(accounts::id.eq(id))).set(accounts::disabled_at.eq(since)).execute(conn)?;
    Ok(())
}

/// Whether an account wants no reminders.
pub fn are_reminders_off(conn: &mut AnyConn, id: AccountId) -> Result<bool, StoreError> {
    let since: Option<NaiveDateTime> =
        accounts::table.filter(accounts::id.eq(id)).select(accounts::reminders_off_at).first(conn)?;
    Ok(since.is_some())
}

/// Turns an account's reminders off from an instant on, or on again.
pub fn set_reminders_off(conn: &mut AnyConn, id: AccountId, since: Option<NaiveDateTime>) -> Result<(), StoreError> {
    diesel::update(accounts::table.filter(accounts::id.eq(id)))
        .set(accounts::reminders_off_at.eq(since))
        .execute(conn)?;
    Ok(())
}

/// How many open accounts hold a role.
pub fn count_open_with_role(conn: &mut AnyConn, role: Role) -> Result<i64, StoreError> {
    Ok(account_roles::table
        .inner_join(accounts::table)
        .filter(account_roles::role.eq(role))
        .filter(accounts::disabled_at.is_null())
        .count()
        .get_result(conn)?)
}

/// The first open account that holds a role; for the demonstration's buttons.
pub fn find_first_with_role(conn: &mut AnyConn, role: Role) -> Result<Option<AccountId>, StoreError> {
    Ok(account_roles::table
        .inner_join(accounts::table)
        .filter(account_roles::role.eq(role))
        .filter(accounts::disabled_at.is_null())
        .select(account_roles::account_id)
        .order(account_roles::account_id)
        .first(conn)
        .optional()?)
}

/// Gives an account one more role, if it does not hold it.
pub fn add_role(conn: &mut AnyConn, id: AccountId, role: Role) -> Result<(), StoreError> {
    if roles_of(conn, id)?.has(role) {
        return Ok(());
    }
    diesel::insert_into(account_roles::table)
        .values((account_roles::account_id.eq(id), account_roles::role.eq(role)))
        .execute(conn)?;
    Ok(())
}
