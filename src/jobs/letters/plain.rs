//! A letter of a few paragraphs with at most one link, as text and as HTML that say the same.

use askama::Template;

use super::{Unwritten, Written};
use crate::domain::words::{Lang, Word};
use crate::outside::mail::Party;
use crate::store::StoreError;

/// The words of a letter.
pub(super) struct Plain {
    pub lang: Lang,
    pub to: Party,
    pub subject: String,
    /// A paragraph each.
    pub lines: Vec<String>,
    /// The link's words and address; none in a letter that only tells.
    pub link: Option<(String, String)>,
    /// The paragraph after the link.
    pub last: String,
}

#[derive(Template)]
#[template(path = "mail/plain.html")]
struct Html<'a> {
    lang: &'static str,
    subject: &'a str,
    lines: &'a [String],
    link: &'a Option<(String, String)>,
    last: &'a str,
}

impl Plain {
    pub(super) fn written(self) -> Result<Written, Unwritten> {
        let Self { lang, to, subject, lines, link, last } = self;
        let way = link.as_ref().map(|(words, href)| format!("{words}\n{href}\n\n")).unwrap_or_default();
        let text = format!("{}\n\n{way}{last}\n", lines.join("\n\n"));
        let html = Html { lang: lang.as_str(), subject: &subject, lines: &lines, link: &link, last: &last };
        let html = html.render().map_err(|_| StoreError::Unreadable("the letter's template"))?;
        Ok(Written { to, subject, text, html, enclosures: Vec::new(), unsubscribe: None })
    }
}
