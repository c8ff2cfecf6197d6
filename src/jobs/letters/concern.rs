//! The letter to those who read concerns. It says that something waits, and nothing of it.

use super::plain::Plain;
use super::{Kind, Unwritten, Written};
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::App;
use crate::services::concerns::{LETTER, for_letter};
use crate::store::outbox::OutboxRow;

/// A concern was written.
pub const WRITTEN: Kind = Kind { name: LETTER, write: written };

fn written(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = for_letter(app, row.subject_id, row.account_id)?.ok_or(Unwritten::Moot)?;
    let lang = row.language;
    let name = [("name", Value::from(found.to_name.clone()))];
    let say = |key: &str| language::say(lang, key, &name);
    let lines = vec![say("letter-greeting"), say("letter-concern-first")];
    let href = format!("{}/concerns/{}", app.settings.server.public_url, found.reference);
    let to = Party { name: Some(found.to_name), address: found.to_address };
    let link = Some((say("letter-concern-way"), href));
    Plain { lang, to, subject: say("letter-concern-subject"), lines, link, last: say("letter-concern-last") }.written()
}
