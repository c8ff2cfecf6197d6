//! Lets somebody back into their account from the console, when nobody else can: a new password, no second step until
//! they set one up, no sign-in left, the account open. The operator of the machine asks, so there is no caller.

use zeroize::Zeroizing;

use super::{App, Failure};
use crate::domain::words::Email;
use crate::outside::password::{PasswordFault, rules};
use crate::store::accounts::{find_credentials, set_disabled, set_password_hash};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::links::void_links;
use crate::store::second_steps::remove_authenticator;
use crate::store::sign_ins::end_sign_ins;

/// Why nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum NotRecovered {
    /// Nobody signs in with that address.
    #[error("no account has this address; nothing was changed")]
    Unknown,
    /// The password is not taken.
    #[error(transparent)]
    Password(#[from] PasswordFault),
    /// The rest.
    #[error(transparent)]
    Failed(#[from] Failure),
}

/// Opens the account with a new password.
///
/// # Errors
/// [`NotRecovered`] names the first thing in the way; then nothing is changed.
pub fn recover(app: &App, email: &Email, chosen: &Zeroizing<String>) -> Result<(), NotRecovered> {
    let found = app.store.read(|conn| find_credentials(conn, email.as_str()).map_err(Failure::from))?;
    let id = found.ok_or(NotRecovered::Unknown)?.id;
    rules(chosen, &[email.as_str(), "waymark"])?;
    let hash = app.passwords.hash(chosen).map_err(|_| Failure::Busy(None))?;
    let at = app.clock.now();
    app.store.write("recover account", move |conn| -> Result<(), Failure> {
        set_password_hash(conn, id, &hash)?;
        set_disabled(conn, id, None)?;
        remove_authenticator(conn, id)?;
        void_links(conn, Some(id), None, at)?;
        end_sign_ins(conn, id, None, at)?;
        let (subject, request) = (format!("account {}", id.raw()), "console".into());
        let row = AuditRow { at, account: None, action: "staff.recover", subject, request, detail: String::new() };
        Ok(add_audit_row(conn, &row)?)
    })?;
    Ok(())
}
