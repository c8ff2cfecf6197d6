//! Adds a staff member from the console: account, roles, telephone and papers at once. The operator of the machine
//! asks, so there is no caller to ask `may` for. Must not print or log the password.

use chrono::NaiveDate;
use zeroize::Zeroizing;

use super::{App, Failure};
use crate::domain::access::Role;
use crate::domain::certification::CertificationKind;
use crate::domain::words::{Email, Lang, PersonName, Phone, Word};
use crate::outside::password::{self, PasswordFault};
use crate::store::accounts::{NewAccount, add_account};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::programs::find_program;
use crate::store::staff::{add_certification, add_staff};
use crate::store::{AnyConn, Key, StoreError};

/// The roles that staff may hold.
pub const STAFF_ROLES: [Role; 6] =
    [Role::Helper, Role::Instructor, Role::FirstAid, Role::Coordinator, Role::GrantManager, Role::Administrator];

/// A paper that the new member brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paper {
    /// What it shows.
    pub kind: CertificationKind,
    /// First day it counts.
    pub issued_on: NaiveDate,
    /// Last day it counts.
    pub valid_through: NaiveDate,
}

/// A staff member about to be added.
#[derive(Clone, Debug)]
pub struct NewMember {
    /// Where they are reached, and what they sign in with.
    pub email: Email,
    /// Their name.
    pub name: PersonName,
    /// Their telephone.
    pub phone: Phone,
    /// The language they read.
    pub language: Lang,
    /// At least one of [`STAFF_ROLES`].
    pub roles: Vec<Role>,
    /// Whether they may teach only beside an active lead.
    pub provisional: bool,
    /// Their papers.
    pub papers: Vec<Paper>,
}

/// Why nobody was added.
#[derive(Debug, thiserror::Error)]
pub enum NotAdded {
    /// The address signs somebody in already.
    #[error("an account with this address exists already; nothing was changed")]
    AddressTaken,
    /// A role that is not for staff, or none.
    #[error("a staff member needs at least one role, and no other than a staff role")]
    Roles,
    /// A paper that ends before it begins.
    #[error("a paper ends before it begins")]
    PaperEndsFirst,
    /// The password is not taken.
    #[error(transparent)]
    Password(#[from] PasswordFault),
    /// The rest.
    #[error(transparent)]
    Failed(#[from] Failure),
}

/// Adds the member and gives back the public reference of the account.
///
/// # Errors
/// [`NotAdded`] names the first thing in the way; then nothing is changed.
pub fn add(app: &App, member: NewMember, chosen: &Zeroizing<String>) -> Result<String, NotAdded> {
    if member.roles.is_empty() || member.roles.iter().any(|role| !STAFF_ROLES.contains(role)) {
        return Err(NotAdded::Roles);
    }
    if member.papers.iter().any(|paper| paper.valid_through < paper.issued_on) {
        return Err(NotAdded::PaperEndsFirst);
    }
    let program = app.store.read(|conn| find_program(conn).map_err(Failure::from))?;
    let program = program.map_or(String::new(), |row| row.name);
    password::rules(chosen, &[&program, member.email.as_str(), member.name.given(), member.name.family()])?;
    let hash = app.passwords.hash(chosen).map_err(|_| Failure::Busy(None))?;
    let (account, now) = (account(app, &member, hash), app.clock.now());
    let reference = account.reference.clone();
    let done = app.store.write("add staff", move |conn| enter(conn, &account, &member, now));
    match done {
        Ok(()) => Ok(reference),
        Err(StoreError::Duplicate(Key::AccountEmail)) => Err(NotAdded::AddressTaken),
        Err(fault) => Err(NotAdded::Failed(fault.into())),
    }
}

fn account(app: &App, member: &NewMember, hash: String) -> NewAccount {
    NewAccount {
        reference: app.random.reference(),
        email: member.email.as_str().to_owned(),
        password_hash: Some(hash),
        given_name: member.name.given().to_owned(),
        family_name: member.name.family().to_owned(),
        language: member.language,
        created_at: app.clock.now(),
    }
}

fn enter(
    conn: &mut AnyConn,
    account: &NewAccount,
    member: &NewMember,
    now: chrono::NaiveDateTime,
) -> Result<(), StoreError> {
    let mut roles = member.roles.clone();
    roles.sort_unstable();
    roles.dedup();
    let id = add_account(conn, account, &roles)?;
    let staff = add_staff(conn, id, member.phone.as_str(), member.provisional, now)?;
    for paper in &member.papers {
        add_certification(conn, staff, paper.kind.as_str(), paper.issued_on, paper.valid_through)?;
    }
    let words: Vec<&str> = roles.iter().map(|role| role.as_str()).collect();
    let row = AuditRow {
        at: now,
        account: None,
        action: "staff.add",
        subject: format!("account {}", account.reference),
        request: "console".into(),
        detail: format!("{}; {} papers", words.join(" "), member.papers.len()),
    };
    add_audit_row(conn, &row)
}
