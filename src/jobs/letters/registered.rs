//! The letters about a new registration: a seat, or a place in line. They hold the child's first name and no medical
//! word; whoever reads the mail on the way learns no more than the day and the place.

use askama::Template;

use super::{Kind, Unwritten, Written};
use crate::domain::ids::RegistrationId;
use crate::domain::words::Lang;
use crate::language::{self, Value};
use crate::outside::mail::{Enclosure, Party};
use crate::services::family::{self, Receipt};
use crate::services::{App, Failure};
use crate::store::StoreError;
use crate::store::outbox::OutboxRow;

/// A seat.
pub const REGISTERED: Kind = Kind { name: "registered", write: registered };
/// A place in line.
pub const WAITLISTED: Kind = Kind { name: "waitlisted", write: waitlisted };

#[derive(Template)]
#[template(path = "mail/registered.html")]
struct Html<'a> {
    lang: &'static str,
    subject: &'a str,
    lines: &'a [String],
    page: &'a str,
    address: &'a str,
    last: String,
}

fn registered(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    write(app, row, "registered")
}

fn waitlisted(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    write(app, row, "waitlisted")
}

fn write(app: &App, row: &OutboxRow, stem: &str) -> Result<Written, Unwritten> {
    let addressed = family::for_letter(app, RegistrationId::new(row.subject_id)).map_err(unwritten)?;
    let addressed = addressed.ok_or(Unwritten::Moot)?;
    let (receipt, lang) = (&addressed.receipt, row.language);
    if stem == "waitlisted" && receipt.place().is_none() {
        return Err(Unwritten::Moot);
    }
    let address = family::address(app, receipt);
    let subject = say(lang, &format!("letter-{stem}-subject"), receipt);
    let lines = lines(lang, stem, receipt, &addressed.to_name);
    let last = language::say(lang, "letter-caution", &[]);
    let page = language::say(lang, "letter-page", &[("address", address.clone().into())]);
    let text = format!("{}\n\n{page}\n\n{last}\n", lines.join("\n\n"));
    let html = Html { lang: lang_code(lang), subject: &subject, lines: &lines, page: &page, address: &address, last };
    let html = html.render().map_err(|_| StoreError::Unreadable("the letter's template"))?;
    let calendar = Enclosure {
        name: "session.ics".into(),
        media: family::CALENDAR_MEDIA.into(),
        bytes: family::calendar_file(app, receipt, lang).into_bytes(),
    };
    let to = Party { name: Some(addressed.to_name), address: addressed.to_address };
    Ok(Written { to, subject, text, html, enclosures: vec![calendar], unsubscribe: None })
}

fn lang_code(lang: Lang) -> &'static str {
    use crate::domain::words::Word;
    lang.as_str()
}

/// What text and HTML both say, a paragraph each.
fn lines(lang: Lang, stem: &str, receipt: &Receipt, to: &str) -> Vec<String> {
    let session = &receipt.session;
    let filled = |key: &str, name: &str, value: String| language::say(lang, key, &[(name, Value::from(value))]);
    let place = format!("{}, {}, {} {}", session.site, session.street, session.city, session.zip);
    let mut lines =
        vec![filled("letter-greeting", "name", to.to_owned()), say(lang, &format!("letter-{stem}-first"), receipt)];
    for sitting in &session.sittings {
        let (from, until) = sitting.times();
        let day = language::date_long(lang, sitting.start.date());
        let times = language::time_range(lang, from, until);
        lines.push(filled("letter-when", "when", format!("{day}, {times}, {}", sitting.zone_words)));
    }
    lines.push(filled("letter-where", "where", place));
    lines.push(filled("letter-reference", "reference", receipt.reference.clone()));
    lines.push(filled("letter-bring", "bring", language::say(lang, "calendar-bring", &[])));
    lines.push(language::say(lang, "letter-calendar", &[]));
    lines
}

fn say(lang: Lang, key: &str, receipt: &Receipt) -> String {
    let place = receipt.place().unwrap_or_default().to_string();
    language::say(lang, key, &[("name", receipt.given.clone().into()), ("place", place.into())])
}

fn unwritten(failure: Failure) -> Unwritten {
    match failure {
        Failure::NotFound | Failure::NotAllowed | Failure::Refused(_) => Unwritten::Moot,
        Failure::Busy(_) => StoreError::Busy(None).into(),
        Failure::Broken(_) => StoreError::Unreadable("a registration").into(),
    }
}
