//! Signing in and out. A login is a random token; the database keeps its hash. Every request asks `caller` once.
//! Who needs a second step gets a login that opens nothing until the step is done.

mod link;
mod logins;
mod second_step;
mod tries;

pub(super) use link::good as good_link;
pub use link::{LinkLetter, Used, ask as ask_link, for_letter as link_letter, look as look_at_link, use_link};
pub use logins::{close, end, end_others, list};
pub(super) use second_step::has as has_second_step;
pub use second_step::{Change, Drawn, confirm, draw, due, remove, set_up};
pub(super) use tries::{account_key, in_time, note_wrong};

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::NaiveDateTime;
use sha2::{Digest, Sha256};

use super::{App, Failure};
use crate::domain::access::{Caller, Halfway, Person, Role};
use crate::domain::ids::{AccountId, SignInId};
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::{Next, SECOND_STEP_WITHIN, SEEN_EVERY, Way, after_first_step, is_enough, lasting};
use crate::domain::words::full_name;
use crate::outside::password::Verdict;
use crate::outside::random::Random;
use crate::store::accounts::{find_credentials, find_first_with_role, roles_of, set_password_hash, sides_of};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::sign_ins::{NewSignIn, SignInRow, add_sign_in, find_sign_in, set_last_seen};
use crate::store::{AnyConn, StoreError};

/// A token of 256 random bits, as a cookie or a link carries it. Never stored, never logged.
pub struct Token(String);

impl Token {
    pub(super) fn draw(random: &Random) -> Self {
        Self(URL_SAFE_NO_PAD.encode(random.bytes::<32>()))
    }

    /// The cookie's value.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    pub(super) fn hash(&self) -> Vec<u8> {
        hash(&self.0)
    }

    /// The hash of a token as somebody sent it.
    pub(super) fn hash_of(text: &str) -> Vec<u8> {
        hash(text)
    }
}

fn hash(text: &str) -> Vec<u8> {
    Sha256::digest(text.as_bytes()).to_vec()
}

/// Where a try comes from.
#[derive(Clone, Debug, Default)]
pub struct Origin {
    /// Browser and system in words, for the list of sign-ins.
    pub device: String,
    /// The network address, to count wrong tries by; only its hash is kept.
    pub address: String,
    /// The request, for the audit log.
    pub request: String,
}

/// A login that was just opened.
pub struct Opened {
    /// For the cookie.
    pub token: Token,
    /// What comes next.
    pub next: Next,
}

/// Who holds this token now. An unknown, ended, idle or expired one is nobody; one whose second step is due is nobody
/// who is halfway in.
pub fn caller(app: &App, token: &str, request: &str) -> Result<Caller, Failure> {
    let now = app.clock.now();
    let nobody = Caller { request: request.to_owned(), ..Caller::anonymous() };
    let found = app.store.read(|conn| {
        let Some(row) = find_sign_in(conn, &hash(token))? else { return Ok::<_, Failure>(None) };
        let roles = roles_of(conn, row.account)?;
        let sides = sides_of(conn, row.account)?;
        Ok(Some((row, roles, sides)))
    })?;
    let Some((row, roles, (guardian, staff))) = found else { return Ok(nobody) };
    let is_open = row.ended_at.is_none() && row.disabled_at.is_none() && now < row.ends_at;
    if row.awaits_code {
        let in_time = is_open && now - row.created_at < SECOND_STEP_WITHIN;
        return Ok(Caller { halfway: in_time.then(|| halfway(&row)), ..nobody });
    }
    if !is_open || !is_enough(row.way, row.second_step, roles) || now - row.last_seen >= lasting(roles).idle {
        return Ok(nobody);
    }
    if now - row.last_seen >= SEEN_EVERY {
        let id = row.id;
        app.store.write("see sign-in", move |conn| set_last_seen(conn, id, now).map_err(Failure::from))?;
    }
    let name = full_name(&row.given_name, &row.family_name);
    let person = Person { account: row.account, sign_in: row.id, name, language: row.language, roles, guardian, staff };
    Ok(Caller { person: Some(person), ..nobody })
}

fn halfway(row: &SignInRow) -> Halfway {
    Halfway { account: row.account, sign_in: row.id, way: row.way, language: row.language }
}

/// Opens a login with an address and a password. Unknown, disabled and wrong answer alike, at the same cost.
///
/// # Errors
/// `SignInFailed`; `TooManyTries` when this account or this network address was tried wrongly too often just now.
pub fn open(app: &App, email: &str, password: &str, origin: &Origin) -> Result<Opened, Failure> {
    let keys = tries::keys(email, &origin.address);
    let known = app.store.read(|conn| -> Result<_, Failure> {
        tries::in_time(conn, &keys, app.clock.now())?;
        Ok(find_credentials(conn, email)?)
    })?;
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
            issue(app, account, Way::Password, origin)
        }
        (Verdict::Busy, _) => Err(Failure::Busy(None)),
        _ => {
            tries::note_wrong(app, keys)?;
            Err(Refusal::SignInFailed.into())
        }
    }
}

fn upgrade(app: &App, account: AccountId, password: &str) -> Result<(), Failure> {
    let fresh = app.passwords.hash(password).map_err(|_| Failure::Busy(None))?;
    app.store
        .write("upgrade password hash", move |conn| set_password_hash(conn, account, &fresh).map_err(Failure::from))
}

/// Opens a login for the first holder of a role, without a second step. Only in a demonstration, whose sign-in page
/// says so.
pub fn open_as_demo(app: &App, role: Role, origin: &Origin) -> Result<Token, Failure> {
    if !app.settings.demo {
        return Err(Refusal::OnlyInDemo.into());
    }
    let account = app.store.read(|conn| find_first_with_role(conn, role).map_err(Failure::from))?;
    Ok(issue(app, account.ok_or(Failure::NotFound)?, Way::Demo, origin)?.token)
}

/// Issues a new token for an account that has just proven itself, or has just been made.
pub(super) fn issue(app: &App, account: AccountId, way: Way, origin: &Origin) -> Result<Opened, Failure> {
    let token = Token::draw(&app.random);
    let (hash, now, origin) = (token.hash(), app.clock.now(), origin.clone());
    let next = app.store.write("open sign-in", move |conn| -> Result<Next, Failure> {
        let next = after_first_step(way, second_step::has(conn, account)?, roles_of(conn, account)?);
        let step = if next == Next::Enter { Step::Needless } else { Step::Due };
        record(conn, Begun { account, token: hash.clone(), way, step, origin: &origin, at: now })?;
        Ok(next)
    })?;
    Ok(Opened { token, next })
}

/// How a login stands to the second step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// None is needed.
    Needless,
    /// It is due.
    Due,
    /// It was done.
    Done,
}

/// A login about to be recorded.
struct Begun<'a> {
    account: AccountId,
    token: Vec<u8>,
    way: Way,
    step: Step,
    origin: &'a Origin,
    at: NaiveDateTime,
}

/// The login's row and its audit row, inside an open transaction.
fn record(conn: &mut AnyConn, begun: Begun<'_>) -> Result<(), StoreError> {
    let Begun { account, token, way, step, origin, at } = begun;
    let new = NewSignIn {
        account,
        token_hash: token,
        device: origin.device.clone(),
        way,
        awaits_code: step == Step::Due,
        second_step: step == Step::Done,
        at,
        ends_at: at + lasting(roles_of(conn, account)?).most,
    };
    let id = add_sign_in(conn, &new)?;
    let action = if step == Step::Due { "sign_in.begin" } else { "sign_in.open" };
    add_audit_row(conn, &row_about(account, id, action, &origin.request, at))
}

fn row_about(account: AccountId, id: SignInId, action: &'static str, request: &str, at: NaiveDateTime) -> AuditRow {
    let (subject, detail) = (format!("sign_in {}", id.raw()), String::new());
    AuditRow { at, account: Some(account), action, subject, request: request.to_owned(), detail }
}
