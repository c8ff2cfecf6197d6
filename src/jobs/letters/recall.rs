//! The letter about a helmet that is called back: nobody wears it any more, and the family says what became of it.

use super::plain::Plain;
use super::{Kind, Unwritten, Written};
use crate::domain::words::Phone;
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::gear::recalls;
use crate::services::{App, program};
use crate::store::outbox::OutboxRow;

/// A helmet is called back.
pub const RECALLED: Kind = Kind { name: recalls::LETTER, write: recalled };

fn recalled(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = recalls::for_letter(app, row.subject_id, row.account_id)?.ok_or(Unwritten::Moot)?;
    let values = [
        ("name", found.to_name.clone()),
        ("child", found.given),
        ("model", found.helmet.model),
        ("size", found.helmet.size),
        ("why", found.helmet.why),
        ("source", found.helmet.source),
        ("phone", Phone::shown(&program::find(app)?.row.office_phone)),
    ];
    let values: Vec<(&str, Value<'_>)> = values.into_iter().map(|(name, value)| (name, value.into())).collect();
    let say = |part: &str| language::say(row.language, &format!("letter-recall-{part}"), &values);
    let lines = vec![language::say(row.language, "letter-greeting", &values), say("first"), say("why"), say("more")];
    let href = format!("{}/riders/{}?lang={}", app.settings.server.public_url, found.rider, row.language);
    let to = Party { name: Some(found.to_name), address: found.to_address };
    let (lang, subject, last) = (row.language, say("subject"), say("last"));
    Plain { lang, to, subject, lines, link: Some((say("way"), href)), last }.written()
}
