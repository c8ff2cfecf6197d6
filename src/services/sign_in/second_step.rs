//! The second step: setting it up, doing it, and taking it away. What is drawn for a page travels in the page itself,
//! sealed to its account, so that looking at the page changes nothing.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};
use zeroize::Zeroizing;

use super::{Begun, Origin, Step, Token, hash, record, tries};
use crate::domain::access::{Caller, Halfway};
use crate::domain::ids::AccountId;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::{DRAWN_LASTS, Next, needs_second_step};
use crate::outside::cipher::Cipher;
use crate::outside::pdf::qr::{Symbol, symbol};
use crate::outside::totp::{SharedSecret, draw_recovery_codes, plain_code};
use crate::services::notices::{self, Notice};
use crate::services::{App, Failure, account, program};
use crate::store::accounts::{find_addressee, roles_of};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::second_steps::{
    AuthenticatorRow, SECRET, find_authenticator, remove_authenticator, set_authenticator, spend_recovery_code,
    spend_step,
};
use crate::store::sign_ins::end_sign_in;
use crate::store::{AnyConn, StoreError};

/// What a page shows of a second step that is not yet kept.
pub struct Drawn {
    /// The address that an app opens by a tap.
    pub address: String,
    /// The same address for an app that scans.
    pub code: Option<Symbol>,
    /// The secret as people type it.
    pub secret: String,
    /// The recovery codes.
    pub codes: Vec<String>,
    /// All of it, sealed, for the form to send back.
    pub sealed: String,
}

/// What is sealed into the page.
#[derive(Serialize, Deserialize)]
struct Kept {
    account: AccountId,
    at: NaiveDateTime,
    secret: [u8; crate::outside::totp::SECRET],
    codes: Vec<String>,
}

/// Where the page's sealed field belongs.
const FIELD: (&str, &str) = ("authenticators", "page");

/// Whether an account signs in with a second step.
pub fn has(conn: &mut AnyConn, account: AccountId) -> Result<bool, StoreError> {
    Ok(find_authenticator(conn, account)?.is_some())
}

/// What somebody halfway in has to do.
///
/// # Errors
/// `NotAllowed` for anybody else.
pub fn due(app: &App, caller: &Caller) -> Result<Next, Failure> {
    let halfway = caller.halfway.ok_or(Failure::NotAllowed)?;
    let has = app.store.read(|conn| has(conn, halfway.account).map_err(Failure::from))?;
    Ok(if has { Next::Code } else { Next::SetUp })
}

/// Whose second step is set up: somebody signed in, or halfway in without one. Who has one and is halfway in must do
/// it first: otherwise the password alone would be enough.
fn whose(app: &App, caller: &Caller) -> Result<AccountId, Failure> {
    if let Some(account) = caller.account() {
        return Ok(account);
    }
    let halfway = caller.halfway.ok_or(Failure::NotAllowed)?;
    match app.store.read(|conn| has(conn, halfway.account).map_err(Failure::from))? {
        true => Err(Failure::NotAllowed),
        false => Ok(halfway.account),
    }
}

/// Draws a secret and recovery codes for a page. Nothing is kept.
pub fn draw(app: &App, caller: &Caller) -> Result<Drawn, Failure> {
    let account = whose(app, caller)?;
    let secret = SharedSecret::draw(&app.random);
    let kept = Kept { account, at: app.clock.now(), secret: *secret.bytes(), codes: draw_recovery_codes(&app.random) };
    shown(app, kept)
}

fn shown(app: &App, kept: Kept) -> Result<Drawn, Failure> {
    let (name, email) = app.store.read(|conn| -> Result<_, Failure> {
        let program = program::load(conn)?.row.name;
        Ok((program, find_addressee(conn, kept.account)?.ok_or(Failure::NotFound)?.email))
    })?;
    let secret = SharedSecret::from_bytes(&kept.secret).ok_or(Failure::NotFound)?;
    let row_key: [u8; 16] = app.random.bytes();
    let plain = Zeroizing::new(serde_json::to_vec(&kept).map_err(Failure::broken)?);
    let sealed = app.cipher.seal(FIELD.0, FIELD.1, &row_key, &plain);
    let address = secret.address(&name, &email).unwrap_or_default();
    Ok(Drawn {
        code: symbol(&address),
        address,
        secret: secret.text(),
        codes: kept.codes,
        sealed: URL_SAFE_NO_PAD.encode([&row_key[..], &sealed].concat()),
    })
}

/// Reads what a page sent back. One that is old, changed or another person's is drawn anew.
fn opened(cipher: &Cipher, sealed: &str, account: AccountId, now: NaiveDateTime) -> Option<Kept> {
    let bytes = URL_SAFE_NO_PAD.decode(sealed).ok()?;
    let (row_key, sealed) = bytes.split_first_chunk::<16>()?;
    let plain = cipher.open(FIELD.0, FIELD.1, row_key, sealed).ok()?;
    let kept: Kept = serde_json::from_slice(&plain).ok()?;
    (kept.account == account && now - kept.at < DRAWN_LASTS).then_some(kept)
}

/// How an attempt to set up a second step came out.
pub enum Change {
    /// It is kept. Who was halfway in is in, by a new token.
    Kept(Option<Token>),
    /// Not yet, and why: the page again, with the secret that was scanned already, where it still serves.
    NotYet(Box<Drawn>, Refusal),
}

/// Keeps a drawn second step once its app shows the right code. Somebody signed in proves themselves first.
pub fn set_up(
    app: &App,
    caller: &Caller,
    sealed: &str,
    code: &str,
    password: &str,
    origin: &Origin,
) -> Result<Change, Failure> {
    let account = whose(app, caller)?;
    let now = app.clock.now();
    let Some(kept) = opened(&app.cipher, sealed, account, now) else {
        return Ok(Change::NotYet(Box::new(draw(app, caller)?), Refusal::CodeWrong));
    };
    if caller.person.is_some() {
        match account::prove(app, caller, password) {
            Err(Failure::Refused(refusal)) => return Ok(Change::NotYet(Box::new(shown(app, kept)?), refusal)),
            other => other?,
        };
    }
    let secret = SharedSecret::from_bytes(&kept.secret).ok_or(Failure::NotFound)?;
    let Some(step) = secret.step_of(&plain_code(code), now) else {
        return Ok(Change::NotYet(Box::new(shown(app, kept)?), Refusal::CodeWrong));
    };
    let row_key: [u8; 16] = app.random.bytes();
    let row = AuthenticatorRow {
        account_id: account,
        row_key: row_key.to_vec(),
        secret: app.cipher.seal(SECRET.0, SECRET.1, &row_key, secret.bytes()),
        last_step: step,
        created_at: now,
    };
    let hashes: Vec<Vec<u8>> = kept.codes.iter().map(|code| code_hash(account, code)).collect();
    let (halfway, token) = (caller.halfway, caller.halfway.map(|_| Token::draw(&app.random)));
    let (begun, origin, request) = (token.as_ref().map(Token::hash), origin.clone(), caller.request.clone());
    let notice = notices::draw(app, Notice::SecondStepOn);
    app.store.write("set up second step", move |conn| -> Result<(), Failure> {
        set_authenticator(conn, &row, &hashes)?;
        add_audit_row(conn, &about(account, "second_step.set_up", &request, now))?;
        notice.owe(conn, account, account.raw())?;
        if let (Some(halfway), Some(token)) = (halfway, begun.clone()) {
            enter(conn, halfway, token, &origin, now)?;
        }
        Ok(())
    })?;
    Ok(Change::Kept(token))
}

/// Does the second step with a code of the app or a recovery code. The login begins anew under a new token.
///
/// # Errors
/// `CodeWrong`; `TooManyTries` after ten wrong ones.
pub fn confirm(app: &App, caller: &Caller, typed: &str, origin: &Origin) -> Result<Token, Failure> {
    let halfway = caller.halfway.ok_or(Failure::NotAllowed)?;
    let keys = tries::account_key(halfway.account);
    let now = app.clock.now();
    let row = app.store.read(|conn| -> Result<_, Failure> {
        tries::in_time(conn, &keys, now)?;
        Ok(find_authenticator(conn, halfway.account)?)
    })?;
    let row = row.ok_or(Failure::NotAllowed)?;
    let code = plain_code(typed);
    let step = secret_of(app, &row)?.step_of(&code, now);
    let spare = code_hash(halfway.account, &code);
    let token = Token::draw(&app.random);
    let (begun, origin) = (token.hash(), origin.clone());
    let done = app.store.write("do second step", move |conn| -> Result<(), Failure> {
        let taken = match step {
            Some(step) => spend_step(conn, halfway.account, step)?,
            None => spend_recovery_code(conn, halfway.account, &spare, now)?,
        };
        if !taken {
            return Err(Refusal::CodeWrong.into());
        }
        if step.is_none() {
            add_audit_row(conn, &about(halfway.account, "second_step.recover", &origin.request, now))?;
        }
        enter(conn, halfway, begun.clone(), &origin, now)
    });
    if let Err(Failure::Refused(Refusal::CodeWrong)) = done {
        tries::note_wrong(app, keys)?;
    }
    done.map(|()| token)
}

/// Ends the login that was halfway in, and opens a whole one.
fn enter(
    conn: &mut AnyConn,
    halfway: Halfway,
    token: Vec<u8>,
    origin: &Origin,
    now: NaiveDateTime,
) -> Result<(), Failure> {
    if !end_sign_in(conn, halfway.account, halfway.sign_in, now)? {
        return Err(Failure::NotAllowed);
    }
    let (account, way) = (halfway.account, halfway.way);
    record(conn, Begun { account, token, way, step: Step::Done, origin, at: now })?;
    Ok(())
}

/// Takes the caller's second step away. Staff cannot be without one.
pub fn remove(app: &App, caller: &Caller, password: &str) -> Result<(), Failure> {
    let account = account::prove(app, caller, password)?;
    let (now, request) = (app.clock.now(), caller.request.clone());
    let notice = notices::draw(app, Notice::SecondStepOff);
    app.store.write("remove second step", move |conn| -> Result<(), Failure> {
        if needs_second_step(roles_of(conn, account)?) {
            return Err(Failure::NotAllowed);
        }
        if remove_authenticator(conn, account)? {
            add_audit_row(conn, &about(account, "second_step.remove", &request, now))?;
            notice.owe(conn, account, account.raw())?;
        }
        Ok(())
    })
}

fn secret_of(app: &App, row: &AuthenticatorRow) -> Result<SharedSecret, Failure> {
    let row_key: [u8; 16] = row.row_key.as_slice().try_into().map_err(Failure::broken)?;
    let plain = app.cipher.open(SECRET.0, SECRET.1, &row_key, &row.secret).map_err(Failure::broken)?;
    SharedSecret::from_bytes(&plain).ok_or_else(|| Failure::broken("a kept secret has another length"))
}

fn code_hash(account: AccountId, code: &str) -> Vec<u8> {
    hash(&format!("{} {}", account.raw(), plain_code(code)))
}

fn about(account: AccountId, action: &'static str, request: &str, at: NaiveDateTime) -> AuditRow {
    let (subject, detail) = (format!("account {}", account.raw()), String::new());
    AuditRow { at, account: Some(account), action, subject, request: request.to_owned(), detail }
}
