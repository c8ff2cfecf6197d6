//! Whether an account gets reminders by mail. A reminder carries an address that turns them off without signing in (RFC
//! 8058): the account's number, sealed. Letters about a place, a change or an account go out whatever was chosen.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

use super::{App, Failure};
use crate::domain::access::Caller;
use crate::domain::ids::AccountId;
use crate::store::accounts::{are_reminders_off, set_reminders_off};
use crate::store::audit::{AuditRow, add_audit_row};

/// The bytes of the key that a sealed number begins with.
const KEY: usize = 16;

/// The address that turns reminders off, whole, as a letter carries it.
pub fn address(app: &App, account: AccountId) -> String {
    let row_key: [u8; KEY] = app.random.bytes();
    let sealed = app.cipher.seal("accounts", "reminders", &row_key, &account.raw().to_be_bytes());
    let token = URL_SAFE_NO_PAD.encode([&row_key[..], &sealed].concat());
    format!("{}/reminders/{token}", app.settings.server.public_url)
}

/// The account of a token. A token that was not made here is like a page that does not exist.
fn account_of(app: &App, token: &str) -> Result<AccountId, Failure> {
    let bytes = URL_SAFE_NO_PAD.decode(token).map_err(|_| Failure::NotFound)?;
    let (row_key, sealed) = bytes.split_first_chunk::<KEY>().ok_or(Failure::NotFound)?;
    let plain = app.cipher.open("accounts", "reminders", row_key, sealed).map_err(|_| Failure::NotFound)?;
    let number = <[u8; 8]>::try_from(plain.as_slice()).map_err(|_| Failure::NotFound)?;
    Ok(AccountId::new(i64::from_be_bytes(number)))
}

/// Whether an account gets reminders.
pub fn is_wanted(app: &App, account: AccountId) -> Result<bool, Failure> {
    Ok(!app.store.read(|conn| are_reminders_off(conn, account))?)
}

/// Whether the account of a letter gets reminders. Looking changes nothing.
///
/// # Errors
/// `NotFound` for a token that was not made here.
pub fn look(app: &App, token: &str) -> Result<bool, Failure> {
    is_wanted(app, account_of(app, token)?)
}

/// Turns reminders on or off, from a letter.
///
/// # Errors
/// `NotFound` for a token that was not made here.
pub fn choose(app: &App, token: &str, wanted: bool, request: &str) -> Result<(), Failure> {
    let account = account_of(app, token)?;
    set(app, account, wanted, request)
}

/// Turns reminders on or off, from one's own account.
///
/// # Errors
/// `NotAllowed` for who is not signed in.
pub fn choose_own(app: &App, caller: &Caller, wanted: bool) -> Result<(), Failure> {
    set(app, caller.account().ok_or(Failure::NotAllowed)?, wanted, &caller.request)
}

fn set(app: &App, account: AccountId, wanted: bool, request: &str) -> Result<(), Failure> {
    let (now, request) = (app.clock.now(), request.to_owned());
    app.store.write("choose reminders", move |conn| -> Result<(), Failure> {
        if are_reminders_off(conn, account)? != wanted {
            return Ok(());
        }
        set_reminders_off(conn, account, (!wanted).then_some(now))?;
        let action = if wanted { "reminders.on" } else { "reminders.off" };
        let subject = format!("account {}", account.raw());
        let request = request.clone();
        let row = AuditRow { at: now, account: Some(account), action, subject, request, detail: String::new() };
        Ok(add_audit_row(conn, &row)?)
    })
}
