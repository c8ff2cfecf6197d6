//! The letters about who answers for a child: one asks an adult, the other tells who asked that the adult has joined. They
//! carry first names of children and nothing else about them.

use askama::Template;

use super::{Kind, Unwritten, Written};
use crate::domain::ids::InvitationId;
use crate::domain::words::{Phone, Word};
use crate::language::{self, Value};
use crate::outside::mail::Party;
use crate::services::account::addressed;
use crate::services::{App, Failure, invitations, program};
use crate::store::StoreError;
use crate::store::outbox::OutboxRow;

/// Asks an adult to answer for children too.
pub const INVITED: Kind = Kind { name: "guardian_invited", write: invited };
/// Tells who asked that the adult has joined.
pub const JOINED: Kind = Kind { name: "guardian_joined", write: joined };

#[derive(Template)]
#[template(path = "mail/account.html")]
struct Html<'a> {
    lang: &'static str,
    subject: &'a str,
    lines: &'a [String],
    /// The link's words and address.
    link: Option<(String, &'a str)>,
    last: String,
}

fn invited(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let letter = invitations::for_letter(app, InvitationId::new(row.subject_id)).map_err(unwritten)?;
    let letter = letter.ok_or(Unwritten::Moot)?;
    let to = Party { name: Some(letter.to_name), address: letter.to_address };
    let href = format!("{}?lang={}", letter.href, row.language);
    written(app, row, to, &letter.from, &letter.children, &href)
}

fn joined(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row.account_id).map_err(unwritten)?.ok_or(Unwritten::Moot)?;
    let found = invitations::for_asker(app, InvitationId::new(row.subject_id)).map_err(unwritten)?;
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
    let program = program::find(app).map_err(unwritten)?.row;
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
    let lines = [language::say(row.language, "letter-greeting", &values), say("first"), say("more")];
    let (subject, way, last) = (say("subject"), say("way"), say("last"));
    let text = format!("{}\n\n{way}\n{href}\n\n{last}\n", lines.join("\n\n"));
    let html = Html {
        lang: row.language.as_str(),
        subject: &subject,
        lines: &lines,
        link: Some((way.clone(), href)),
        last: last.clone(),
    };
    let html = html.render().map_err(|_| StoreError::Unreadable("the letter's template"))?;
    Ok(Written { to, subject, text, html, enclosures: Vec::new(), unsubscribe: None })
}

fn unwritten(failure: Failure) -> Unwritten {
    match failure {
        Failure::NotFound | Failure::NotAllowed | Failure::Refused(_) => Unwritten::Moot,
        Failure::Busy(_) => StoreError::Busy(None).into(),
        Failure::Broken(_) => StoreError::Unreadable("an invitation").into(),
    }
}
