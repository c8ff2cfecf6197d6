//! The letters about a session that was moved or called off: to each family once, with first names and no medical word,
//! and to each member of the team once. The calendar file replaces the entry that the family has (RFC 5546).

use askama::Template;

use super::{Kind, Unwritten, Written};
use crate::domain::ids::TellingId;
use crate::domain::session_change::{ChangeKind, EarlierMeeting};
use crate::domain::words::{Lang, Word};
use crate::language::{self, Value};
use crate::outside::mail::{Enclosure, Party};
use crate::services::told::{self, Addressed};
use crate::services::{App, Failure, family};
use crate::store::StoreError;
use crate::store::outbox::OutboxRow;

/// A family's session was moved.
pub const MOVED: Kind = Kind { name: "session_moved", write };
/// A family's session was called off.
pub const CANCELLED: Kind = Kind { name: "session_cancelled", write };
/// A session of the team was moved.
pub const MOVED_TEAM: Kind = Kind { name: "session_moved_team", write };
/// A session of the team was called off.
pub const CANCELLED_TEAM: Kind = Kind { name: "session_cancelled_team", write };

#[derive(Template)]
#[template(path = "mail/changed.html")]
struct Html<'a> {
    lang: &'static str,
    subject: &'a str,
    lines: &'a [String],
    links: &'a [(String, String)],
    last: &'a str,
}

fn write(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = told::for_letter(app, TellingId::new(row.subject_id))?;
    let to = found.ok_or(Unwritten::Moot)?;
    let lang = row.language;
    let stem = if to.change.kind == ChangeKind::Cancelled { "cancelled" } else { "moved" };
    let day = before(&to).first().map(|meeting| language::date_short(lang, meeting.wall.date())).unwrap_or_default();
    let subject = say(lang, &format!("letter-{stem}-subject"), &[("day", day)]);
    let lines = lines(app, lang, stem, &to)?;
    let links = links(app, lang, stem, &to);
    let last = say(lang, "letter-caution", &[]);
    let addresses: Vec<String> = links.iter().map(|(words, address)| format!("{words} {address}")).collect();
    let text = format!("{}\n\n{}\n\n{last}\n", lines.join("\n\n"), addresses.join("\n"));
    let html = Html { lang: lang.as_str(), subject: &subject, lines: &lines, links: &links, last: &last };
    let html = html.render().map_err(|_| StoreError::Unreadable("the letter's template"))?;
    let enclosures = calendar(app, lang, &to)?;
    let to = Party { name: Some(to.to_name), address: to.to_address };
    Ok(Written { to, subject, text, html, enclosures, unsubscribe: None })
}

fn say(lang: Lang, key: &str, values: &[(&str, String)]) -> String {
    let values: Vec<(&str, Value<'_>)> = values.iter().map(|(name, value)| (*name, value.clone().into())).collect();
    language::say(lang, key, &values)
}

fn before(to: &Addressed) -> &[EarlierMeeting] {
    &to.change.earlier.meetings
}

/// "Saturday, June 13, 2026, 8:30 AM to 1:00 PM".
fn when(lang: Lang, meeting: &EarlierMeeting) -> String {
    let until = meeting.wall + chrono::TimeDelta::minutes(meeting.minutes);
    let times = language::time_range(lang, meeting.wall.time(), until.time());
    format!("{}, {times}", language::date_long(lang, meeting.wall.date()))
}

/// What text and HTML both say, a paragraph each.
fn lines(app: &App, lang: Lang, stem: &str, to: &Addressed) -> Result<Vec<String>, Unwritten> {
    let earlier: Vec<String> = before(to).iter().map(|meeting| when(lang, meeting)).collect();
    let place = ("site", format!("{}, {}", to.change.earlier.site, to.change.earlier.city));
    let mut lines = vec![
        say(lang, "letter-greeting", &[("name", to.to_name.clone())]),
        say(lang, &format!("letter-{stem}-first"), &[("when", earlier.join("; ")), place]),
        say(lang, "letter-change-why", &[("reason", say(lang, &reason(to), &[]))]),
    ];
    lines.extend(office_words(lang, to));
    if to.change.kind == ChangeKind::Moved {
        lines.extend(now(lang, to));
    }
    for child in &to.children {
        let key = match (to.change.kind, child.place()) {
            (ChangeKind::Cancelled, _) => "letter-cancelled-child",
            (ChangeKind::Moved, None) => "letter-moved-child",
            (ChangeKind::Moved, Some(_)) => "letter-moved-child-waits",
        };
        let place = child.place().unwrap_or_default().to_string();
        lines.push(say(lang, key, &[("name", child.given.clone()), ("place", place)]));
    }
    if !to.children.is_empty() {
        let program = crate::services::program::find(app)?;
        let phone = crate::domain::words::Phone::shown(&program.row.office_phone);
        lines.push(say(lang, &format!("letter-{stem}-next"), &[("phone", phone)]));
        lines.push(say(lang, &format!("letter-{stem}-calendar"), &[]));
    }
    Ok(lines)
}

fn reason(to: &Addressed) -> String {
    format!("change-reason-{}", to.change.reason.as_str().replace('_', "-"))
}

/// The office's own words, with their language said when it is not the reader's.
fn office_words(lang: Lang, to: &Addressed) -> Option<String> {
    let words = to.change.words.clone();
    let key = if to.change.words_language == lang { "change-office" } else { "change-office-other" };
    let language = say(lang, &format!("language-{}", to.change.words_language.as_str()), &[]);
    (!words.is_empty()).then(|| say(lang, key, &[("words", words), ("language", language)]))
}

/// When and where from now on.
fn now(lang: Lang, to: &Addressed) -> Vec<String> {
    let session = &to.session;
    let mut lines: Vec<String> = Vec::new();
    for sitting in &session.sittings {
        let (from, until) = sitting.times();
        let day = language::date_long(lang, sitting.start.date());
        let times = language::time_range(lang, from, until);
        let when = format!("{day}, {times}, {}", sitting.zone_words);
        lines.push(say(lang, "letter-moved-when", &[("when", when)]));
    }
    let place = format!("{}, {}, {} {}", session.site, session.street, session.city, session.zip);
    lines.push(say(lang, "letter-where", &[("where", place)]));
    lines
}

/// Where to see more: words and address.
fn links(app: &App, lang: Lang, stem: &str, to: &Addressed) -> Vec<(String, String)> {
    let own = |child: &family::Receipt| {
        (say(lang, "letter-change-page", &[("name", child.given.clone())]), family::address(app, child))
    };
    let mut links: Vec<(String, String)> = to.children.iter().map(own).collect();
    if stem == "cancelled" && !links.is_empty() {
        let address = format!("{}/sessions", app.settings.server.public_url);
        links.push((say(lang, "letter-cancelled-other", &[]), address));
    }
    if links.is_empty() {
        let address = format!("{}/my-sessions", app.settings.server.public_url);
        links.push((say(lang, "letter-change-team", &[]), address));
    }
    links
}

/// One file with the entries of every child.
fn calendar(app: &App, lang: Lang, to: &Addressed) -> Result<Vec<Enclosure>, Failure> {
    if to.children.is_empty() {
        return Ok(Vec::new());
    }
    let (media, file) = family::calendar_notice(app, &to.children, lang)?;
    Ok(vec![Enclosure { name: "session.ics".into(), media, bytes: file.into_bytes() }])
}
