//! The list of one's logins, and ending them.

use super::row_about;
use crate::domain::access::Caller;
use crate::domain::ids::SignInId;
use crate::services::{App, Failure};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::sign_ins::{ListedSignIn, end_sign_in, end_sign_ins, list_sign_ins};

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

/// Ends all of the caller's logins but this one.
pub fn end_others(app: &App, caller: &Caller) -> Result<(), Failure> {
    let person = caller.person.as_ref().ok_or(Failure::NotAllowed)?;
    let (account, here) = (person.account, person.sign_in);
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("end other sign-ins", move |conn| -> Result<(), Failure> {
        let ended = end_sign_ins(conn, account, Some(here), now)?;
        let subject = format!("sign_in {}", here.raw());
        add_audit_row(conn, &AuditRow::by(&caller, now, "sign_in.end_others", subject, format!("{ended} ended")))?;
        Ok(())
    })
}
