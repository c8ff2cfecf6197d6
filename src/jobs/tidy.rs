//! Removes what nobody needs any more: forgotten drafts, old answers to request keys, logins long over.
//! Must not touch records of riders and sessions: those have retention rules of their own.

use chrono::TimeDelta;

use super::runner::Job;
use crate::services::imports::{UNDO, UNTOUCHED};
use crate::services::{App, Failure};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::drafts::remove_drafts_before;
use crate::store::imports::remove_imports_before;
use crate::store::invitations::remove_invitations_before;
use crate::store::links::remove_links_before;
use crate::store::request_keys::remove_answers_before;
use crate::store::sign_ins::remove_sign_ins_before;
use crate::store::wrong_tries::remove_wrong_tries_before;

/// How long an untouched draft is kept.
pub const DRAFTS: TimeDelta = TimeDelta::days(7);
/// How long the first answer to a request key is kept.
pub const ANSWERS: TimeDelta = TimeDelta::hours(48);
/// How long a login that is over is kept.
pub const SIGN_INS: TimeDelta = TimeDelta::days(30);

/// How long a link that was asked for is kept; it served for half an hour.
pub const LINKS: TimeDelta = TimeDelta::days(7);
/// How long an invitation by which nobody joined is kept; it stood for seven days.
pub const INVITATIONS: TimeDelta = TimeDelta::days(30);
/// How long wrong tries are kept; they count for a quarter of an hour.
pub const WRONG_TRIES: TimeDelta = TimeDelta::hours(1);

/// Its turn, every hour.
pub const JOB: Job = Job { name: "tidy", every: 3_600, run };

/// Removes what is old now, and writes one audit row with the counts when there was anything.
pub fn run(app: &App) -> Result<(), Failure> {
    let now = app.clock.now();
    app.store.write("tidy", move |conn| -> Result<(), Failure> {
        let drafts = remove_drafts_before(conn, now - DRAFTS)?;
        let answers = remove_answers_before(conn, now - ANSWERS)?;
        let sign_ins = remove_sign_ins_before(conn, now - SIGN_INS)?;
        let links = remove_links_before(conn, now - LINKS)?;
        let tries = remove_wrong_tries_before(conn, now - WRONG_TRIES)?;
        let asked = remove_invitations_before(conn, now - INVITATIONS)?;
        let files = remove_imports_before(conn, now - UNTOUCHED, now - UNDO)?;
        if drafts + answers + sign_ins + links + tries + asked + files == 0 {
            return Ok(());
        }
        let row = AuditRow {
            at: now,
            account: None,
            action: "tidy.remove",
            subject: "program".into(),
            request: "job tidy".into(),
            detail: format!(
                "{drafts} drafts, {answers} request keys, {sign_ins} sign-ins, {links} links, {tries} tries, \
                 {asked} invitations, {files} imports"
            ),
        };
        Ok(add_audit_row(conn, &row)?)
    })
}
