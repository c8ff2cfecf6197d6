//! The letters about who answers for a child: one asks an adult, the other tells who asked that the adult has joined. They
//! carry first names of children and nothing else about them.

use super::plain::Plain;
use super::{Kind, Unwritten, Written};
use crate::domain::ids::InvitationId;
use crate::domain::words::Phone;
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::account::addressed;
use crate::services::{App, invitations, program};
use crate::store::outbox::OutboxRow;

/// Asks an adult to answer for children too.
pub const INVITED: Kind = Kind { name: "guardian_invited", write: invited };
/// Tells who asked that the adult has joined.
pub const JOINED: Kind = Kind { name: "guardian_joined", write: joined };

fn invited(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let letter = invitations::for_letter(app, InvitationId::new(row.subject_id))?;
    let letter = letter.ok_or(Unwritten::Moot)?;
    let to = Party { name: Some(letter.to_name), address: letter.to_address };
    let href = format!("{}?lang={}", letter.href, row.language);
    written(app, row, to, &letter.from, &letter.children, &href)
}

fn joined(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row.account_id)?.ok_or(Unwritten::Moot)?;
    let found = invitations::for_asker(app, InvitationId::new(row.subject_id))?;
    let (name, children) = found.ok_or(Unwritten::Moot)?;
    let to = Party { name: Some(to.name), address: to.address };
    let href = format!("{}/riders", app.settings.server.public_url);
    written(app, row, to, &name, &children, &href)
}

fn written(
    app: &App,
    row: &OutboxRow,
    to: Party,
    from: &str,
    children: &[String],
    href: &str,
) -> Result<Written, Unwritten> {
    let program = program::find(app)?.row;
    let values = [
        ("name", to.name.clone().unwrap_or_default()),
        ("from", from.to_owned()),
        ("children", language::list(row.language, children)),
        ("program", program.name),
        ("phone", Phone::shown(&program.office_phone)),
        ("email", program.office_email),
    ];
    let values: Vec<(&str, Value<'_>)> = values.into_iter().map(|(name, value)| (name, value.into())).collect();
    let stem = row.kind.replace('_', "-");
    let say = |part: &str| language::say(row.language, &format!("letter-{stem}-{part}"), &values);
    let lines = vec![language::say(row.language, "letter-greeting", &values), say("first"), say("more")];
    let link = Some((say("way"), href.to_owned()));
    let (lang, subject, last) = (row.language, say("subject"), say("last"));
    Plain { lang, to, subject, lines, link, last }.written()
}
