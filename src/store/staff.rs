//! Staff and their papers.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{account_roles, accounts, certifications, staff};
use crate::domain::access::Role;
use crate::domain::ids::{AccountId, StaffId};

/// A staff member.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct StaffRow {
    /// The row.
    pub id: StaffId,
    /// Their account.
    pub account: AccountId,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Telephone as dialled.
    pub phone: String,
    /// Whether they may teach only beside an active lead.
    pub provisional: bool,
    /// Since when the account is shut, if it is.
    pub disabled_at: Option<NaiveDateTime>,
}

/// One paper of a staff member.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = certifications)]
pub struct CertificationRow {
    /// The row.
    pub id: i64,
    /// Whose.
    pub staff_id: StaffId,
    /// A word of `certification_kinds`.
    pub kind: String,
    /// First day.
    pub issued_on: NaiveDate,
    /// Last day.
    pub valid_through: NaiveDate,
    /// When it was suspended.
    pub suspended_on: Option<NaiveDate>,
    /// When it was revoked.
    pub revoked_on: Option<NaiveDate>,
}

/// Adds a staff member to an account.
pub fn add_staff(
    conn: &mut AnyConn,
    account: AccountId,
    phone: &str,
    provisional: bool,
    now: NaiveDateTime,
) -> Result<StaffId, StoreError> {
    Ok(diesel::insert_into(staff::table)
        .values((
            staff::account_id.eq(account),
            staff::phone.eq(phone),
            staff::provisional.eq(provisional),
            staff::created_at.eq(now),
        ))
        .returning(staff::id)
        .get_result(conn)?)
}

/// Adds a paper.
pub fn add_certification(
    conn: &mut AnyConn,
    member: StaffId,
    kind: &str,
    issued_on: NaiveDate,
    valid_through: NaiveDate,
) -> Result<(), StoreError> {
    diesel::insert_into(certifications::table)
        .values((
            certifications::staff_id.eq(member),
            certifications::kind.eq(kind),
            certifications::issued_on.eq(issued_on),
            certifications::valid_through.eq(valid_through),
        ))
        .execute(conn)?;
    Ok(())
}

/// Sets since when a paper is set aside and since when it is taken back. `false`: the member has no such paper.
pub fn set_certification_standing(
    conn: &mut AnyConn,
    member: StaffId,
    paper: i64,
    (suspended_on, revoked_on): (Option<NaiveDate>, Option<NaiveDate>),
) -> Result<bool, StoreError> {
    let row = certifications::table.filter(certifications::id.eq(paper)).filter(certifications::staff_id.eq(member));
    let now = (certifications::suspended_on.eq(suspended_on), certifications::revoked_on.eq(revoked_on));
    Ok(diesel::update(row).set(now).execute(conn)? == 1)
}

/// Sets whether a member may teach only beside an active lead.
pub fn set_provisional(conn: &mut AnyConn, member: StaffId, provisional: bool) -> Result<(), StoreError> {
    diesel::update(staff::table.filter(staff::id.eq(member))).set(staff::provisional.eq(provisional)).execute(conn)?;
    Ok(())
}

/// All staff by name.
pub fn list_staff(conn: &mut AnyConn) -> Result<Vec<StaffRow>, StoreError> {
    Ok(staff::table
        .inner_join(accounts::table)
        .order((accounts::given_name, accounts::family_name))
        .select((
            staff::id,
            staff::account_id,
            accounts::given_name,
            accounts::family_name,
            staff::phone,
            staff::provisional,
            accounts::disabled_at,
        ))
        .load(conn)?)
}

/// The public reference of every staff member's account.
pub fn list_references(conn: &mut AnyConn) -> Result<Vec<(StaffId, String)>, StoreError> {
    Ok(staff::table.inner_join(accounts::table).select((staff::id, accounts::reference)).load(conn)?)
}

/// The name and the address for letters of a staff member whose account is open.
pub fn find_member_address(conn: &mut AnyConn, member: StaffId) -> Result<Option<(String, String)>, StoreError> {
    let row: Option<(String, String, String)> = staff::table
        .inner_join(accounts::table)
        .filter(staff::id.eq(member))
        .filter(accounts::disabled_at.is_null())
        .select((accounts::given_name, accounts::family_name, accounts::email))
        .first(conn)
        .optional()?;
    Ok(row.map(|(given, family, email)| (crate::domain::words::full_name(&given, &family), email)))
}

/// Staff who hold a role.
pub fn staff_with_role(conn: &mut AnyConn, role: Role) -> Result<Vec<StaffId>, StoreError> {
    Ok(staff::table
        .inner_join(account_roles::table.on(account_roles::account_id.eq(staff::account_id)))
        .filter(account_roles::role.eq(role))
        .select(staff::id)
        .load(conn)?)
}

/// The roles of every staff member.
pub fn roles_of_staff(conn: &mut AnyConn) -> Result<Vec<(StaffId, Role)>, StoreError> {
    Ok(staff::table
        .inner_join(account_roles::table.on(account_roles::account_id.eq(staff::account_id)))
        .order((staff::id, account_roles::role))
        .select((staff::id, account_roles::role))
        .load(conn)?)
}

/// All papers, by holder and kind.
pub fn list_certifications(conn: &mut AnyConn) -> Result<Vec<CertificationRow>, StoreError> {
    Ok(certifications::table
        .order((certifications::staff_id, certifications::kind, certifications::valid_through))
        .select(CertificationRow::as_select())
        .load(conn)?)
}

/// The papers of one member.
pub fn certifications_of(conn: &mut AnyConn, member: StaffId) -> Result<Vec<CertificationRow>, StoreError> {
    Ok(certifications::table
        .filter(certifications::staff_id.eq(member))
        .order((certifications::kind, certifications::valid_through))
        .select(CertificationRow::as_select())
        .load(conn)?)
}
