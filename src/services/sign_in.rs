//! Signing in and out. A login is a random token; the database keeps its hash. Every request asks `caller` once.

use chrono::{NaiveDateTime, TimeDelta};
use sha2::{Digest, Sha256};

use super::{App, Failure};
use crate::domain::access::{Caller, Person, Role, RoleSet};
use crate::domain::ids::{AccountId, SignInId};
use crate::domain::refusal::Refusal;
use crate::domain::words::full_name;
use crate::outside::password::Verdict;
use crate::store::accounts::{find_credentials, find_first_with_role, roles_of, set_password_hash, sides_of};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::sign_ins::{
    ListedSignIn, SignInRow, add_sign_in, end_sign_in, find_sign_in, list_sign_ins, set_last_seen,
};
use crate::store::{AnyConn, StoreError};

/// A token of 256 random bits, as the cookie carries it. Never stored, never logged.
pub struct Token(String);

impl Token {
    /// The cookie's value.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// How long a login lasts, idle and at most (bar S20).
struct Lasting {
    idle: TimeDelta,
    most: TimeDelta,
}

fn lasting(roles: RoleSet) -> Lasting {
    let family_only = !roles.meets(STAFF);
    Lasting { idle: TimeDelta::minutes(if family_only { 60 } else { 30 }), most: TimeDelta::hours(12) }
}

const STAFF: RoleSet = RoleSet::of(&[
    Role::Helper,
    Role::Instructor,
    Role::FirstAid,
    Role::Coordinator,
    Role::GrantManager,
    Role::Administrator,
]);

/// `last_seen` is written at most this often, so that reading pages stays reading.
const SEEN_EVERY: TimeDelta = TimeDelta::minutes(5);

fn hash(token: &str) -> Vec<u8> {
    Sha256::digest(token.as_bytes()).to_vec()
}

/// Who holds this token now. An unknown, ended, idle or expired one is nobody.
pub fn caller(app: &App, token: &str, request: &str) -> Result<Caller, Failure> {
    let now = app.clock.now();
    let nobody = Caller { person: None, request: request.to_owned() };
    let found = app.store.read(|conn| {
        let Some(row) = find_sign_in(conn, &hash(token))? else { return Ok::<_, Failure>(None) };
        let roles = roles_of(conn, row.account)?;
        let sides = sides_of(conn, row.account)?;
        Ok(Some((row, roles, sides)))
    })?;
    let Some((row, roles, (guardian, staff))) = found else { return Ok(nobody) };
    if !is_good(&row, roles, now) {
        return Ok(nobody);
    }
    if now - row.last_seen >= SEEN_EVERY {
        let id = row.id;
        app.store.write("see sign-in", move |conn| set_last_seen(conn, id, now).map_err(Failure::from))?;
    }
    let name = full_name(&row.given_name, &row.family_name);
    let person = Person { account: row.account, sign_in: row.id, name, language: row.language, roles, guardian, staff };
    Ok(Caller { person: Some(person), request: request.to_owned() })
}

fn is_good(row: &SignInRow, roles: RoleSet, now: NaiveDateTime) -> bool {
    row.ended_at.is_none()
        && row.disabled_at.is_none()
        && now < row.ends_at
        && now - row.last_seen < lasting(roles).idle
}

/// Opens a login with an address and a password. Unknown, disabled and wrong answer alike, at the same cost.
pub fn open(app: &App, email: &str, password: &str, device: &str, request: &str) -> Result<Token, Failure> {
    let known = app.store.read(|conn| find_credentials(conn, email).map_err(Failure::from))?;
    let (account, stored) = match known {
        Some(found) if found.disabled_at.is_none() => (Some(found.id), found.password_hash),
        _ => (None, None),
    };
    let verdict = match &stored {
        Some(stored) => app.passwords.verify(password, stored),
        None => app.passwords.verify_nobody(password),
    };
    match (verdict, account) {
        (Verdict::Match { needs_upgrade }, Some(account)) => {
            if needs_upgrade {
                upgrade(app, account, password)?;
            }
            issue(app, account, device, request)
        }
        (Verdict::Busy, _) => Err(Failure::Busy(None)),
        _ => Err(Refusal::SignInFailed.into()),
    }
}

fn upgrade(app: &App, account: AccountId, password: &str) -> Result<(), Failure> {
    let fresh = app.passwords.hash(password).map_err(|_| Failure::Busy(None))?;
    app.store
        .write("upgrade password hash", move |conn| set_password_hash(conn, account, &fresh).map_err(Failure::from))
}

/// Opens a login for the first holder of a role. Only in a demonstration, whose sign-in page says so.
pub fn open_as_demo(app: &App, role: Role, device: &str, request: &str) -> Result<Token, Failure> {
    if !app.settings.demo {
        return Err(Refusal::OnlyInDemo.into());
    }
    let account = app.store.read(|conn| find_first_with_role(conn, role).map_err(Failure::from))?;
    issue(app, account.ok_or(Failure::NotFound)?, device, request)
}

/// Issues a new token for an account that has just proven itself, or has just been made.
pub(super) fn issue(app: &App, account: AccountId, device: &str, request: &str) -> Result<Token, Failure> {
    let token = draw(app);
    let (hash, now) = (hash(token.as_str()), app.clock.now());
    let (device, request) = (device.to_owned(), request.to_owned());
    app.store.write("open sign-in", move |conn| -> Result<(), Failure> {
        record_issue(conn, account, &hash, &device, &request, now)?;
        Ok(())
    })?;
    Ok(token)
}

/// Draws a token.
pub(super) fn draw(app: &App) -> Token {
    use base64::Engine;
    Token(base64::engine::general_purpose::URL_SAFE_NO_PAD.encode(app.random.bytes::<32>()))
}

/// The login's row and its audit row, inside an open transaction.
fn record_issue(
    conn: &mut AnyConn,
    account: AccountId,
    hash: &[u8],
    device: &str,
    request: &str,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let most = lasting(roles_of(conn, account)?).most;
    let id = add_sign_in(conn, account, hash, device, now, now + most)?;
    add_audit_row(conn, &row_about(account, id, "sign_in.open", request, now))
}

fn row_about(account: AccountId, id: SignInId, action: &'static str, request: &str, at: NaiveDateTime) -> AuditRow {
    let (subject, detail) = (format!("sign_in {}", id.raw()), String::new());
    AuditRow { at, account: Some(account), action, subject, request: request.to_owned(), detail }
}

/// Ends the caller's own login.
pub fn close(app: &App, caller: &Caller) -> Result<(), Failure> {
    match &caller.person {
        Some(person) => end(app, caller, person.sign_in),
        None => Ok(()),
    }
}

/// The caller's logins that are not over.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<ListedSignIn>, Failure> {
    let account = caller.account().ok_or(Failure::NotAllowed)?;
    let now = app.clock.now();
    app.store.read(|conn| list_sign_ins(conn, account, now).map_err(Failure::from))
}

/// Ends one of the caller's logins, here or on another device.
pub fn end(app: &App, caller: &Caller, id: SignInId) -> Result<(), Failure> {
    let account = caller.account().ok_or(Failure::NotAllowed)?;
    let (now, request) = (app.clock.now(), caller.request.clone());
    app.store.write("end sign-in", move |conn| -> Result<(), Failure> {
        if !end_sign_in(conn, account, id, now)? {
            return Err(Failure::NotFound);
        }
        add_audit_row(conn, &row_about(account, id, "sign_in.end", &request, now))?;
        Ok(())
    })
}
