//! The letters about an account: a link to sign in, a link that proves an address, and word of every change of how the
//! account is opened. They name nobody but the reader.

use super::plain::Plain;
use super::{Kind, Unwritten, Written};
use crate::domain::ids::LinkId;
use crate::domain::words::Phone;
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::account::{Addressed, addressed, addressed_before};
use crate::services::sign_in::link_letter;
use crate::services::{App, program};
use crate::store::outbox::OutboxRow;

/// A link to sign in.
pub const SIGN_IN_LINK: Kind = Kind { name: "sign_in_link", write: link };
/// A link that shows a new address to be one's own.
pub const ADDRESS_LINK: Kind = Kind { name: "address_link", write: link };
/// To the new address.
pub const ADDRESS_NEW: Kind = Kind { name: "address_new", write: told };
/// To the address before it.
pub const ADDRESS_OLD: Kind = Kind { name: "address_old", write: told_before };
/// The password was changed.
pub const PASSWORD_CHANGED: Kind = Kind { name: "password_changed", write: told };
/// The second step was set up.
pub const SECOND_STEP_ON: Kind = Kind { name: "second_step_on", write: told };
/// The second step was taken away.
pub const SECOND_STEP_OFF: Kind = Kind { name: "second_step_off", write: told };

fn link(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = link_letter(app, LinkId::new(row.subject_id))?.ok_or(Unwritten::Moot)?;
    let to = Addressed { name: found.to_name, address: found.to_address };
    written(app, row, to, Some(&found.href))
}

fn told(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row.account_id)?.ok_or(Unwritten::Moot)?;
    written(app, row, to, None)
}

fn told_before(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed_before(app, row.account_id, LinkId::new(row.subject_id))?.ok_or(Unwritten::Moot)?;
    written(app, row, to, None)
}

fn written(app: &App, row: &OutboxRow, to: Addressed, href: Option<&str>) -> Result<Written, Unwritten> {
    let stem = row.kind.replace('_', "-");
    let say = |key: &str, values: &[(&str, Value<'_>)]| language::say(row.language, key, values);
    let program = program::find(app)?;
    let subject = say(&format!("letter-{stem}-subject"), &[]);
    let lines = [
        say("letter-greeting", &[("name", to.name.clone().into())]),
        say(&format!("letter-{stem}-first"), &[("program", program.row.name.clone().into())]),
        say(&format!("letter-{stem}-more"), &[]),
    ];
    let last = say(
        "letter-account-office",
        &[
            ("phone", Phone::shown(&program.row.office_phone).into()),
            ("email", program.row.office_email.clone().into()),
        ],
    );
    let link = href.map(|href| (say("letter-account-link", &[]), href.to_owned()));
    let to = Party { name: Some(to.name), address: to.address };
    Plain { lang: row.language, to, subject, lines: lines.to_vec(), link, last }.written()
}
