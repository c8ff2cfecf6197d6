//! Adds a staff member from the console: account, roles, telephone and papers at once. The operator of the machine
//! asks, so there is no caller to ask `may` for. The first administrator may also come with a link that the console
//! printed. Must not print or log a password.

use chrono::{NaiveDate, NaiveDateTime};
use zeroize::Zeroizing;

use super::sign_in::{self, Opened, Origin, Token, good_link};
use super::{App, Failure};
use crate::domain::access::{Role, STAFF};
use crate::domain::certification::CertificationKind;
use crate::domain::ids::AccountId;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::{Purpose, Way};
use crate::domain::words::{Email, Lang, PersonName, Phone, Word};
use crate::outside::password::{self, PasswordFault};
use crate::store::accounts::{NewAccount, add_account, find_credentials, find_first_with_role};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::links::{LinkRow, NewLink, add_link, add_link_token, spend_link, void_first_account_links};
use crate::store::programs::find_program;
use crate::store::staff::{add_certification, add_staff};
use crate::store::{AnyConn, Key, StoreError};

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
    /// At least one of [`STAFF`].
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
    if member.roles.is_empty() || member.roles.iter().any(|role| !STAFF.contains(role)) {
        return Err(NotAdded::Roles);
    }
    if member.papers.iter().any(|paper| paper.valid_through < paper.issued_on) {
        return Err(NotAdded::PaperEndsFirst);
    }
    let hash = accepted(app, &member, chosen)?;
    let (account, now) = (account(app, &member, hash), app.clock.now());
    let reference = account.reference.clone();
    let done = app.store.write("add staff", move |conn| enter(conn, &account, &member, now));
    match done {
        Ok(_) => Ok(reference),
        Err(StoreError::Duplicate(Key::AccountEmail)) => Err(NotAdded::AddressTaken),
        Err(fault) => Err(NotAdded::Failed(fault.into())),
    }
}

/// Draws a link with which the first administrator makes an account, and gives back its whole address. A newer one ends
/// an older one.
///
/// # Errors
/// `HasAdministrator` once there is one: then people are added by `staff add`.
pub fn first_link(app: &App) -> Result<String, Failure> {
    let token = Token::draw(&app.random);
    let (hash, at) = (token.hash(), app.clock.now());
    app.store.write("draw first link", move |conn| -> Result<(), Failure> {
        no_administrator_yet(conn)?;
        void_first_account_links(conn, at)?;
        let (address, earlier_address) = (String::new(), String::new());
        let new = NewLink { account: None, purpose: Purpose::FirstAccount, address, earlier_address, at };
        let id = add_link(conn, &new)?;
        add_link_token(conn, id, &hash, at)?;
        let subject = format!("link {}", id.raw());
        let (action, request, detail) = ("staff.first_link", "console".into(), String::new());
        Ok(add_audit_row(conn, &AuditRow { at, account: None, action, subject, request, detail })?)
    })?;
    Ok(format!("{}/first-account/{}", app.settings.server.public_url, token.as_str()))
}

fn no_administrator_yet(conn: &mut AnyConn) -> Result<(), Failure> {
    match find_first_with_role(conn, Role::Administrator)? {
        Some(_) => Err(Refusal::HasAdministrator.into()),
        None => Ok(()),
    }
}

/// Whether a link for the first administrator still serves.
///
/// # Errors
/// `LinkOver`.
pub fn look_at_first_link(app: &App, token: &str) -> Result<(), Failure> {
    let now = app.clock.now();
    app.store.read(|conn| first_link_of(conn, token, now).map(|_| ()))
}

fn first_link_of(conn: &mut AnyConn, token: &str, now: NaiveDateTime) -> Result<LinkRow, Failure> {
    let link = good_link(conn, token, now)?;
    if link.purpose != Purpose::FirstAccount || no_administrator_yet(conn).is_err() {
        return Err(Refusal::LinkOver.into());
    }
    Ok(link)
}

/// Makes the account of the first administrator, once, and signs in as far as the second step.
///
/// # Errors
/// [`NotAdded`] names the first thing in the way; then the link still serves.
pub fn add_first(
    app: &App,
    token: &str,
    member: NewMember,
    chosen: &Zeroizing<String>,
    origin: &Origin,
) -> Result<Opened, NotAdded> {
    look_at_first_link(app, token)?;
    let hash = accepted(app, &member, chosen)?;
    let (account, now, token) = (account(app, &member, hash), app.clock.now(), token.to_owned());
    let done = app.store.write("add first administrator", move |conn| -> Result<Option<AccountId>, Failure> {
        let link = first_link_of(conn, &token, now)?;
        if find_credentials(conn, &account.email)?.is_some() {
            return Ok(None);
        }
        if !spend_link(conn, link.id, now)? {
            return Err(Refusal::LinkOver.into());
        }
        Ok(Some(enter(conn, &account, &member, now)?))
    });
    let id = done?.ok_or(NotAdded::AddressTaken)?;
    Ok(sign_in::issue(app, id, Way::Registration, origin)?)
}

/// The hash of a password that may be chosen.
fn accepted(app: &App, member: &NewMember, chosen: &Zeroizing<String>) -> Result<String, NotAdded> {
    let program = app.store.read(|conn| find_program(conn).map_err(Failure::from))?;
    let program = program.map_or(String::new(), |row| row.name);
    let words = [&program, member.email.as_str(), member.name.given(), member.name.family(), "waymark"];
    password::rules(chosen, &words)?;
    Ok(app.passwords.hash(chosen).map_err(|_| Failure::Busy(None))?)
}

fn account(app: &App, member: &NewMember, hash: String) -> NewAccount {
    NewAccount {
        reference: app.random.reference(),
        email: member.email.as_str().to_owned(),
        is_shown: true,
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
    now: NaiveDateTime,
) -> Result<AccountId, StoreError> {
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
    add_audit_row(conn, &row)?;
    Ok(id)
}
