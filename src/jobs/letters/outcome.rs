//! The letters after a session: the certificate with its paper, and the sheet of what to practise. They hold the
//! child's first name (the paper alone holds the whole one) and go only to a guardian who answers for the child now.

use askama::Template;

use super::{Kind, Unwritten, Written};
use crate::domain::ids::{CertificateId, RegistrationId};
use crate::domain::words::{Lang, Word};
use crate::language::{self, Value};
use crate::outside::mail::{Enclosure, Party};
use crate::services::certificates::letter::{self, Addressed};
use crate::services::{App, close_session};
use crate::store::StoreError;
use crate::store::outbox::OutboxRow;

/// The certificate.
pub const CERTIFICATE: Kind = Kind { name: "certificate", write: certificate };
/// What to practise.
pub const PRACTICE: Kind = Kind { name: "practice", write: practice };

#[derive(Template)]
#[template(path = "mail/outcome.html")]
struct Html<'a> {
    lang: &'static str,
    subject: &'a str,
    before: &'a [String],
    /// Title and what is looked for.
    skills: &'a [(String, String)],
    after: &'a [String],
    address: &'a str,
}

fn certificate(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let found = letter::of(app, CertificateId::new(row.subject_id), row.language)?;
    let found = found.ok_or(Unwritten::Moot)?;
    let say = |key: &str, values: &[(&str, &str)]| said(row.language, key, values);
    let (to, day) = (&found.addressed, |day| language::date_short(row.language, day));
    let paper = if found.paper.is_some() { "certificate-letter-paper" } else { "certificate-letter-no-paper" };
    let before = [
        say("certificate-letter-hello", &[("guardian", &to.guardian)]),
        say("certificate-letter-body", &[("rider", &to.rider), ("course", &to.course), ("day", &day(to.held_on))]),
        say(paper, &[]),
        say("certificate-letter-counts", &[("day", &day(found.valid_from))]),
    ];
    let after = [say("certificate-letter-check", &[("code", &found.code.grouped())]), to.caution.clone()];
    let address = format!("{}/c/{}", app.settings.server.public_url, found.code);
    let subject = say("certificate-letter-subject", &[("rider", &to.rider)]);
    let name = format!("certificate-{}.pdf", found.code);
    let enclose = |bytes| Enclosure { name, media: "application/pdf".into(), bytes };
    let enclosures = found.paper.map(enclose).into_iter().collect();
    let parts = Parts { subject, before: &before, skills: &[], after: &after, address, enclosures };
    parts.written(to, row.language)
}

fn practice(app: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let registration = RegistrationId::new(row.subject_id);
    let found = close_session::practice::of(app, registration, row.language)?;
    let found = found.ok_or(Unwritten::Moot)?;
    let say = |key: &str, values: &[(&str, &str)]| said(row.language, key, values);
    let (to, day) = (&found.addressed, language::date_short(row.language, found.addressed.held_on));
    let what = if found.skills.is_empty() { "practice-letter-none" } else { "practice-letter-body" };
    let before = [
        say("practice-letter-hello", &[("guardian", &to.guardian)]),
        say(what, &[("rider", &to.rider), ("course", &to.course), ("day", &day)]),
    ];
    let after = [say("practice-letter-next", &[]), say("practice-letter-again", &[])];
    let address = format!("{}/sessions", app.settings.server.public_url);
    let subject = say("practice-letter-subject", &[("rider", &to.rider)]);
    let parts =
        Parts { subject, before: &before, skills: &found.skills, after: &after, address, enclosures: Vec::new() };
    parts.written(to, row.language)
}

/// A letter in parts, from which text and HTML are made alike.
struct Parts<'a> {
    subject: String,
    before: &'a [String],
    skills: &'a [(String, String)],
    after: &'a [String],
    address: String,
    enclosures: Vec<Enclosure>,
}

impl Parts<'_> {
    fn written(self, to: &Addressed, lang: Lang) -> Result<Written, Unwritten> {
        let skills: Vec<String> =
            self.skills.iter().map(|(title, looks_like)| format!("- {title}. {looks_like}")).collect();
        let mut paragraphs = self.before.to_vec();
        if !skills.is_empty() {
            paragraphs.push(skills.join("\n"));
        }
        paragraphs.extend_from_slice(self.after);
        paragraphs.push(self.address.clone());
        let html = Html {
            lang: lang.as_str(),
            subject: &self.subject,
            before: self.before,
            skills: self.skills,
            after: self.after,
            address: &self.address,
        };
        let html = html.render().map_err(|_| StoreError::Unreadable("the letter's template"))?;
        Ok(Written {
            to: Party { name: Some(to.guardian.clone()), address: to.address.clone() },
            subject: self.subject,
            text: format!("{}\n", paragraphs.join("\n\n")),
            html,
            enclosures: self.enclosures,
            unsubscribe: None,
        })
    }
}

fn said(lang: Lang, key: &str, values: &[(&str, &str)]) -> String {
    let values: Vec<(&str, Value<'_>)> = values.iter().map(|(name, text)| (*name, Value::from(*text))).collect();
    language::say(lang, key, &values)
}
