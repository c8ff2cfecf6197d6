//! The letter to the office that a report was opened. It names nobody and nothing that happened.

use super::plain::Plain;
use super::{Kind, Unwritten, Written};
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::App;
use crate::services::incidents::{LETTER, for_letter};
use crate::store::outbox::OutboxRow;

/// A report was opened.
pub const OPENED: Kind = Kind { name: LETTER, write: opened };

fn opened(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = for_letter(app, row.subject_id, row.account_id)?.ok_or(Unwritten::Moot)?;
    let lang = row.language;
    let values = [
        ("name", Value::from(found.to_name.clone())),
        ("case", Value::from(found.case)),
        ("site", Value::from(found.site)),
        ("day", Value::from(language::date_in_year(lang, found.on))),
    ];
    let say = |key: &str| language::say(lang, key, &values);
    let urgent = if found.ambulance { "letter-incident-ambulance" } else { "letter-incident-plain" };
    let lines = vec![say("letter-greeting"), say("letter-incident-first"), say(urgent)];
    let link =
        Some((say("letter-incident-way"), format!("{}/incidents/{}", app.settings.server.public_url, found.reference)));
    let to = Party { name: Some(found.to_name), address: found.to_address };
    Plain { lang, to, subject: say("letter-incident-subject"), lines, link, last: say("letter-incident-last") }
        .written()
}
