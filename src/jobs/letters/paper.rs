//! The letter about a paper of somebody of the staff that runs out.

use super::plain::Plain;
use super::{Kind, Unwritten, Written};
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::App;
use crate::services::paper_reminders::{LETTER, for_letter};
use crate::store::outbox::OutboxRow;

/// A paper runs out.
pub const RUNS_OUT: Kind = Kind { name: LETTER, write: runs_out };

fn runs_out(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = for_letter(app, row.subject_id, row.account_id)?.ok_or(Unwritten::Moot)?;
    let lang = row.language;
    let values = [
        ("name", Value::from(found.to_name.clone())),
        ("paper", Value::from(language::say(lang, &format!("paper-{}", found.kind), &[]))),
        ("day", Value::from(language::date_short(lang, found.through))),
        ("left", Value::from(found.left)),
        ("phone", Value::from(found.phone)),
    ];
    let say = |key: &str| language::say(lang, key, &values);
    let lines = vec![say("letter-greeting"), say("letter-paper-first"), say("letter-paper-why")];
    let to = Party { name: Some(found.to_name), address: found.to_address };
    let link = Some((say("letter-paper-way"), format!("{}/", app.settings.server.public_url)));
    Plain { lang, to, subject: say("letter-paper-subject"), lines, link, last: say("letter-paper-last") }.written()
}
