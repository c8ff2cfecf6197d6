//! The letters about a place in a session: what it is, what is asked about it, and that it is over. They hold the child's
//! first name and no medical word; whoever reads the mail on the way learns no more than the day and the place.

use askama::Template;

use super::{Kind, Unwritten, Written};
use crate::domain::ids::{QuestionId, RegistrationId};
use crate::domain::place::{Ask, PlaceReason};
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::words::{Lang, Phone, Word};
use crate::language::{self, Value};
use crate::outside::mail::{Enclosure, Party};
use crate::services::family::{self, Addressed, Receipt};
use crate::services::signed_consents::{self, Copy};
use crate::services::{App, mail_choice, places, program, session_machines};
use crate::store::StoreError;
use crate::store::outbox::OutboxRow;

/// A seat.
pub const REGISTERED: Kind = Kind { name: "registered", write: registered };
/// A place in line.
pub const WAITLISTED: Kind = Kind { name: "waitlisted", write: waitlisted };
/// Whether the address is the family's own.
pub const ADDRESS_ASKED: Kind = Kind { name: "address_asked", write: asked };
/// Whether the family takes a seat that came free.
pub const SEAT_OFFERED: Kind = Kind { name: "seat_offered", write: asked };
/// Nobody confirmed the address in time.
pub const HOLD_RAN_OUT: Kind = Kind { name: "hold_ran_out", write: ran_out };
/// Nobody took the offered seat in time.
pub const OFFER_RAN_OUT: Kind = Kind { name: "offer_ran_out", write: ran_out };
/// The family gave the place up.
pub const PLACE_GIVEN_UP: Kind = Kind { name: "place_given_up", write: given_up };
/// The place is in another session now.
pub const PLACE_MOVED: Kind = Kind { name: "place_moved", write: moved };
/// Asks another adult for the signature that is missing.
pub const SIGN_TOO: Kind = Kind { name: "sign_too", write: sign_too };
/// What was signed.
pub const CONSENT_SIGNED: Kind = Kind { name: "consent_signed", write: consent };
/// What was signed was taken back.
pub const CONSENT_WITHDRAWN: Kind = Kind { name: "consent_withdrawn", write: consent };
/// Whether the child is still coming.
pub const STILL_COMING: Kind = Kind { name: "still_coming", write: asked };
/// Some days before.
pub const REMINDER_WEEK: Kind = Kind { name: "reminder_week", write: reminder };
/// The day before.
pub const REMINDER_DAY: Kind = Kind { name: "reminder_day", write: reminder };

#[derive(Template)]
#[template(path = "mail/place.html")]
struct Html<'a> {
    lang: &'static str,
    subject: &'a str,
    lines: &'a [String],
    way: &'a str,
    href: &'a str,
    after: &'a [String],
    /// What stands above the way to want no more letters of this kind, and the way; none for letters a booking needs.
    off_way: &'a str,
    off: Option<&'a str>,
}

/// A letter before it is laid out.
struct Draft {
    to: Addressed,
    /// Which messages it is made of.
    stem: &'static str,
    /// Where its link leads.
    href: String,
    /// Whether it tells what to bring and ends with the caution: only who has a place, or may have one, is to come.
    brings: bool,
    enclosures: Vec<Enclosure>,
    /// What the family has to know before it comes.
    warning: Option<String>,
    /// The address that turns letters of this kind off.
    unsubscribe: Option<String>,
}

fn registered(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    placed(app, row, "registered", |receipt| receipt.state.takes_a_seat())
}

fn waitlisted(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    placed(app, row, "waitlisted", |receipt| receipt.place().is_some())
}

fn placed(app: &App, row: &OutboxRow, stem: &'static str, still: fn(&Receipt) -> bool) -> Result<Written, Unwritten> {
    let to = addressed(app, row)?;
    if !still(&to.receipt) {
        return Err(Unwritten::Moot);
    }
    let calendar = calendar(app, &to.receipt, row.language);
    let href = family::address(app, &to.receipt);
    let enclosures = [Some(calendar), copy(app, &to.receipt, row.language)?].into_iter().flatten().collect();
    write(row.language, Draft { to, stem, href, brings: true, warning: None, enclosures, unsubscribe: None })
}

fn calendar(app: &App, receipt: &Receipt, lang: Lang) -> Enclosure {
    let bytes = family::calendar_file(app, receipt, lang).into_bytes();
    Enclosure { name: "session.ics".into(), media: family::CALENDAR_MEDIA.into(), bytes }
}

/// A copy of every text that stands for a place, each with its signature, as one plain file.
fn copy(app: &App, receipt: &Receipt, lang: Lang) -> Result<Option<Enclosure>, Unwritten> {
    let copies = signed_consents::for_letter(app, &receipt.reference)?;
    let part = |one: &Copy| {
        let say = |key: &str| language::say(lang, key, &[]);
        format!(
            "{}\n{}: {}, {}\n{}: {}\n",
            one.text.shown_text(),
            say("consent-copy-signed"),
            one.signed_name,
            language::moment(lang, one.signed_at),
            say("consent-copy-fingerprint"),
            one.fingerprint,
        )
    };
    let text = copies.iter().map(part).collect::<Vec<_>>().join("\n----\n\n");
    Ok((!copies.is_empty()).then(|| Enclosure {
        name: "signed.txt".into(),
        media: "text/plain; charset=utf-8".into(),
        bytes: text.into_bytes(),
    }))
}

/// A consent was signed after registering, or taken back.
fn consent(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row)?;
    let is_signed = row.kind == CONSENT_SIGNED.name;
    let enclosures = if is_signed { copy(app, &to.receipt, row.language)?.into_iter().collect() } else { Vec::new() };
    let stem = if is_signed { "signed" } else { "withdrawn" };
    let href = format!("{}/consent", family::address(app, &to.receipt));
    write(row.language, Draft { to, stem, href, brings: false, warning: None, enclosures, unsubscribe: None })
}

/// Another adult registered the child, and this one's signature is missing.
fn sign_too(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let registration = RegistrationId::new(row.subject_id);
    let to = signed_consents::for_other_adult(app, registration, row.account_id)?;
    let to = to.ok_or(Unwritten::Moot)?;
    let href = format!("{}/sign", family::address(app, &to.receipt));
    write(
        row.language,
        Draft { to, stem: "sign-too", href, brings: false, warning: None, enclosures: Vec::new(), unsubscribe: None },
    )
}

fn asked(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let letter = places::for_letter(app, QuestionId::new(row.subject_id))?;
    let letter = letter.ok_or(Unwritten::Moot)?;
    let stem = match (letter.kind, letter.addressed.receipt.state) {
        (Ask::Offer, _) => "offered",
        (Ask::Coming, _) => "coming",
        (Ask::Address, RegistrationState::Waitlisted) => "asked-in-line",
        (Ask::Address, RegistrationState::Held) => "asked-held",
        (Ask::Address, _) => "asked-near",
    };
    let (to, href) = (letter.addressed, format!("{}?lang={}", letter.href, row.language));
    // So near to the start the place stands already, and no other letter follows.
    let stands = stem == "asked-near" && to.receipt.state == RegistrationState::Confirmed;
    let enclosures = if stands { vec![calendar(app, &to.receipt, row.language)] } else { Vec::new() };
    let brings = stands || letter.kind == Ask::Offer;
    write(row.language, Draft { to, stem, href, brings, warning: None, enclosures, unsubscribe: None })
}

fn ran_out(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row)?;
    if to.receipt.state != RegistrationState::Lapsed {
        return Err(Unwritten::Moot);
    }
    let stem = if row.kind == OFFER_RAN_OUT.name { "offer-ran-out" } else { "hold-ran-out" };
    let href = format!("{}/sessions/{}", app.settings.server.public_url, to.receipt.session.reference);
    write(
        row.language,
        Draft { to, stem, href, brings: false, warning: None, enclosures: Vec::new(), unsubscribe: None },
    )
}

fn given_up(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row)?;
    if to.receipt.state != RegistrationState::Cancelled {
        return Err(Unwritten::Moot);
    }
    let receipts = std::slice::from_ref(&to.receipt);
    let (media, text) = family::calendar_notice(app, receipts, row.language)?;
    let calendar = Enclosure { name: "session.ics".into(), media, bytes: text.into_bytes() };
    let href = format!("{}/sessions", app.settings.server.public_url);
    let by_office = to.receipt.steps.last().is_some_and(|step| step.reason == PlaceReason::OfficeGaveUp);
    let stem = if by_office { "given-up-office" } else { "given-up" };
    write(
        row.language,
        Draft { to, stem, href, brings: false, warning: None, enclosures: vec![calendar], unsubscribe: None },
    )
}

/// The place moved: what the entries of the new session do not take the place of is taken out.
fn moved(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row)?;
    if to.receipt.state != RegistrationState::Confirmed {
        return Err(Unwritten::Moot);
    }
    let receipts = std::slice::from_ref(&to.receipt);
    let mut files = vec![family::calendar_notice(app, receipts, row.language)?];
    files.extend(family::leftover_notice(app, &to.receipt, row.language)?);
    let names = ["session.ics", "earlier.ics"];
    let file = |((media, text), name): ((String, String), &str)| Enclosure {
        name: name.into(),
        media,
        bytes: text.into_bytes(),
    };
    let enclosures = files.into_iter().zip(names).map(file).collect();
    let href = family::address(app, &to.receipt);
    write(
        row.language,
        Draft { to, stem: "moved-place", href, brings: true, warning: None, enclosures, unsubscribe: None },
    )
}

/// A reminder, for families that want them.
fn reminder(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let to = addressed(app, row)?;
    let wanted = mail_choice::is_wanted(app, to.to_account)?;
    let stands = to.receipt.state == RegistrationState::Confirmed
        && to.receipt.session.state == SessionState::Announced
        && to.receipt.session.sittings.first().is_some_and(|first| first.ends_at > app.clock.now());
    if !wanted || !stands {
        return Err(Unwritten::Moot);
    }
    let stem = if row.kind == REMINDER_DAY.name { "reminder-day" } else { "reminder-week" };
    let href = family::address(app, &to.receipt);
    let unsubscribe = Some(mail_choice::address(app, to.to_account));
    let session = &to.receipt.session.reference;
    let says_so = stem == "reminder-week" && session_machines::may_fit_none(app, session, &to.receipt.reference)?;
    let warning = if says_so { Some(no_machine(app, row.language, &to.receipt)?) } else { None };
    write(row.language, Draft { to, stem, href, brings: true, warning, enclosures: Vec::new(), unsubscribe })
}

/// The machines may not fit the child by the sizes that the family wrote: it calls, before it drives.
fn no_machine(app: &App, lang: Lang, receipt: &Receipt) -> Result<String, Unwritten> {
    let phone = Phone::shown(&program::find(app)?.row.office_phone);
    let values = [("name", Value::from(receipt.given.clone())), ("phone", Value::from(phone))];
    Ok(language::say(lang, "letter-no-machine", &values))
}

fn addressed(app: &App, row: &OutboxRow) -> Result<Addressed, Unwritten> {
    family::addressed(app, RegistrationId::new(row.subject_id))?.ok_or(Unwritten::Moot)
}

fn write(lang: Lang, draft: Draft) -> Result<Written, Unwritten> {
    let Draft { to, stem, href, brings, warning, enclosures, unsubscribe } = draft;
    let subject = say(lang, &format!("letter-{stem}-subject"), &to.receipt);
    let mut lines = lines(lang, stem, &to, brings, &enclosures);
    lines.extend(warning);
    let way = say(lang, &format!("letter-{stem}-way"), &to.receipt);
    let mut after = Vec::new();
    if stem.starts_with("asked") {
        after.push(say(lang, "letter-asked-not-you", &to.receipt));
    }
    if brings {
        after.push(language::say(lang, "letter-caution", &[]));
    }
    let off_way = language::say(lang, "letter-reminders-off", &[]);
    let off = unsubscribe.as_deref();
    let last = off.map(|off| format!("\n{off_way}\n{off}\n")).unwrap_or_default();
    let text = format!("{}\n\n{way}\n{href}\n{}{last}", lines.join("\n\n"), paragraphs(&after));
    let html = Html {
        lang: lang.as_str(),
        subject: &subject,
        lines: &lines,
        way: &way,
        href: &href,
        after: &after,
        off_way: &off_way,
        off,
    };
    let html = html.render().map_err(|_| StoreError::Unreadable("the letter's template"))?;
    let to = Party { name: Some(to.to_name), address: to.to_address };
    Ok(Written { to, subject, text, html, enclosures, unsubscribe })
}

/// Each after an empty line.
fn paragraphs(lines: &[String]) -> String {
    lines.iter().map(|line| format!("\n{line}\n")).collect()
}

/// What text and HTML both say before the link, a paragraph each.
fn lines(lang: Lang, stem: &str, to: &Addressed, brings: bool, enclosures: &[Enclosure]) -> Vec<String> {
    let holds = |name: &str| enclosures.iter().any(|file| file.name == name);
    let (receipt, session) = (&to.receipt, &to.receipt.session);
    let filled = |key: &str, name: &str, value: String| language::say(lang, key, &[(name, Value::from(value))]);
    let place = format!("{}, {}, {} {}", session.site, session.street, session.city, session.zip);
    let mut lines = vec![
        filled("letter-greeting", "name", to.to_name.clone()),
        say(lang, &format!("letter-{stem}-first"), receipt),
    ];
    for sitting in &session.sittings {
        let (from, until) = sitting.times();
        let day = language::date_long(lang, sitting.start.date());
        let times = language::time_range(lang, from, until);
        lines.push(filled("letter-when", "when", format!("{day}, {times}, {}", sitting.zone_words)));
    }
    lines.push(filled("letter-where", "where", place));
    if stem.starts_with("reminder") && !session.directions.is_empty() {
        lines.push(filled("letter-directions", "directions", session.directions.clone()));
    }
    lines.push(filled("letter-reference", "reference", receipt.reference.clone()));
    if brings {
        lines.push(filled("letter-bring", "bring", language::say(lang, "calendar-bring", &[])));
    }
    if holds("session.ics") {
        lines.push(language::say(lang, if brings { "letter-calendar" } else { "letter-given-up-calendar" }, &[]));
    }
    if holds("signed.txt") {
        lines.push(language::say(lang, "letter-copy", &[]));
    }
    lines
}

/// A message about a place: `name`, `place` in line, and `until` when it waits for an answer, on the clock of the site.
fn say(lang: Lang, key: &str, receipt: &Receipt) -> String {
    let place = receipt.place().unwrap_or_default().to_string();
    let until = receipt.held_until.map(|until| language::moment(lang, receipt.wall(until))).unwrap_or_default();
    language::say(
        lang,
        key,
        &[
            ("name", receipt.given.clone().into()),
            ("place", place.into()),
            ("until", until.into()),
            ("day", language::date_in_year(lang, receipt.session.held_on).into()),
        ],
    )
}
