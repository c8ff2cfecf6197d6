//! A letter as bytes: headers, text and HTML saying the same, attachments. The same letter gives the same bytes.
//! Must not choose words (that is `jobs/letters/`) and must not send (that is `post.rs`).

use chrono::NaiveDateTime;
use lettre::Message;
use lettre::address::AddressError;
use lettre::message::header::{ContentType, Header, HeaderName, HeaderValue};
use lettre::message::{Attachment, Mailbox, MultiPart, SinglePart};
use sha2::{Digest, Sha256};
use uuid::Uuid;

/// Whom a letter is from or to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Party {
    /// The name shown; may be absent.
    pub name: Option<String>,
    /// The mail address.
    pub address: String,
}

/// A file that comes with a letter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Enclosure {
    /// The file's name as shown.
    pub name: String,
    /// Its media type, such as `text/calendar; charset=utf-8`.
    pub media: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// A letter ready to be sent. Nothing in it is drawn from clock or chance at sending.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Letter {
    /// The Message-ID without angle brackets; the same on every attempt. See [`message_id`].
    pub message_id: String,
    /// When the letter was asked for, UTC.
    pub date: NaiveDateTime,
    /// The reader.
    pub to: Party,
    /// The program.
    pub from: Party,
    /// Where answers go, if not to `from`.
    pub reply_to: Option<Party>,
    /// One line.
    pub subject: String,
    /// The letter as plain text.
    pub text: String,
    /// The same letter as HTML.
    pub html: String,
    /// Files that come with it.
    pub enclosures: Vec<Enclosure>,
    /// The https address that ends this kind of letter by one POST (RFC 8058); none for letters a booking needs.
    pub unsubscribe: Option<String>,
}

/// Why a letter cannot be put on the wire. Never shows the address.
#[derive(Debug, thiserror::Error)]
pub enum BadLetter {
    /// A mail address is not one.
    #[error("a mail address of the letter is malformed")]
    Address(#[from] AddressError),
    /// An enclosure's media type is not one.
    #[error("the media type {0:?} is malformed")]
    Media(String),
    /// The parts do not make a message.
    #[error("the letter cannot be put together")]
    Parts(#[from] lettre::error::Error),
}

/// A Message-ID for a letter: `id` must be drawn once for the letter, `host` is the program's own.
pub fn message_id(id: Uuid, host: &str) -> String {
    format!("{}@{}", id.simple(), one_line(host))
}

impl Letter {
    /// The letter as a message. Control characters in header fields become spaces, so that no field starts another.
    pub(super) fn message(&self) -> Result<Message, BadLetter> {
        let mut builder = Message::builder()
            .message_id(Some(format!("<{}>", one_line(&self.message_id))))
            .date(self.date.and_utc().into())
            .from(self.from.mailbox()?)
            .to(self.to.mailbox()?)
            .subject(one_line(&self.subject))
            .header(AutoSubmitted);
        if let Some(reply_to) = &self.reply_to {
            builder = builder.reply_to(reply_to.mailbox()?);
        }
        if let Some(address) = &self.unsubscribe {
            let line = format!("<{}>", one_line(address));
            builder = builder.header(ListUnsubscribe(line)).header(ListUnsubscribePost);
        }
        Ok(builder.multipart(self.parts()?)?)
    }

    /// The letter's bytes as an `.eml` file holds them.
    pub fn to_bytes(&self) -> Result<Vec<u8>, BadLetter> {
        Ok(self.message()?.formatted())
    }

    /// Twelve letters that stand for the Message-ID, for names of files and of boundaries.
    pub(super) fn mark(&self) -> String {
        let digest = Sha256::digest(self.message_id.as_bytes());
        digest.iter().take(6).map(|byte| format!("{byte:02x}")).collect()
    }

    fn parts(&self) -> Result<MultiPart, BadLetter> {
        let words = MultiPart::alternative()
            .boundary(format!("=_words_{}", self.mark()))
            .singlepart(SinglePart::plain(self.text.clone()))
            .singlepart(SinglePart::html(self.html.clone()));
        if self.enclosures.is_empty() {
            return Ok(words);
        }
        let mut all = MultiPart::mixed().boundary(format!("=_whole_{}", self.mark())).multipart(words);
        for enclosure in &self.enclosures {
            all = all.singlepart(enclosure.part()?);
        }
        Ok(all)
    }
}

impl Enclosure {
    fn part(&self) -> Result<SinglePart, BadLetter> {
        let media = ContentType::parse(&self.media).map_err(|_| BadLetter::Media(self.media.clone()))?;
        Ok(Attachment::new(one_line(&self.name)).body(self.bytes.clone(), media))
    }
}

impl Party {
    /// Reads `Name <address>` or a bare address, as the settings write it.
    pub fn parse(text: &str) -> Result<Self, BadLetter> {
        let mailbox: Mailbox = text.parse()?;
        Ok(Self { name: mailbox.name, address: mailbox.email.to_string() })
    }

    fn mailbox(&self) -> Result<Mailbox, AddressError> {
        let name = self.name.as_deref().map(one_line).filter(|name| !name.is_empty());
        Ok(Mailbox::new(name, self.address.parse()?))
    }
}

/// Text for a header field: every control character becomes a space.
fn one_line(text: &str) -> String {
    let spaced: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    spaced.trim().to_owned()
}

type HeaderFault = Box<dyn std::error::Error + Send + Sync>;

/// Tells robots not to answer (RFC 3834).
#[derive(Clone)]
struct AutoSubmitted;

/// Where one POST ends this kind of letter (RFC 8058).
#[derive(Clone)]
struct ListUnsubscribe(String);

/// Says that one POST is enough (RFC 8058).
#[derive(Clone)]
struct ListUnsubscribePost;

const ONE_CLICK: &str = "List-Unsubscribe=One-Click";

/// Fields that are written by us and never read back.
macro_rules! written_only {
    ($kind:ty, $name:literal, |$field:ident| $value:expr) => {
        impl Header for $kind {
            fn name() -> HeaderName {
                HeaderName::new_from_ascii_str($name)
            }
            fn parse(_: &str) -> Result<Self, HeaderFault> {
                Err(concat!($name, " is written, never read").into())
            }
            fn display(&self) -> HeaderValue {
                let $field = self;
                HeaderValue::new(Self::name(), $value)
            }
        }
    };
}

written_only!(AutoSubmitted, "Auto-Submitted", |_field| "auto-generated".to_owned());
written_only!(ListUnsubscribe, "List-Unsubscribe", |field| field.0.clone());
written_only!(ListUnsubscribePost, "List-Unsubscribe-Post", |_field| ONE_CLICK.to_owned());

#[cfg(test)]
pub(super) mod tests;
