//! The SMTP relay: opening and protecting a connection, sending over it, keeping it for the next letter. The library's
//! own transport bounds only the connecting in time and keeps a connection that was left half way; this one does not.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use lettre::Message;
use lettre::address::{Address, Envelope};
use lettre::transport::smtp::Error as SmtpError;
use lettre::transport::smtp::authentication::{Credentials, DEFAULT_MECHANISMS};
use lettre::transport::smtp::client::{AsyncSmtpConnection, Certificate, TlsParameters};
use lettre::transport::smtp::commands::{Data, Mail, Rcpt};
use lettre::transport::smtp::extension::{ClientId, MailParameter};
use tokio::time::timeout;

use super::{Class, PostError};
use crate::settings::Smtp;

/// Connections kept for the next letters. One alone is held to about 25 letters a second.
const MOST_IDLE: usize = 8;
/// RFC 5321 4.5.3.2.6: wait ten minutes for the answer to a finished letter, or it may be sent twice.
pub(super) const LETTER: Duration = Duration::from_secs(600);
/// How long connecting, TLS and login may take together.
const OPENING: Duration = Duration::from_secs(60);
/// How long the relay may take to hear sender and reader. A letter that is left here was not handed over.
const ANNOUNCING: Duration = Duration::from_secs(120);
/// How long a kept connection has to show that it still works.
const CHECKING: Duration = Duration::from_secs(10);

/// How the way to the relay is protected.
#[derive(Clone)]
pub enum Protection {
    /// STARTTLS, required: a relay that does not offer it gets no letter.
    StartTls(TlsParameters),
    /// TLS from the first byte.
    Tls(TlsParameters),
    /// None. Only to a relay on this machine.
    Bare,
}

/// Why a relay cannot be used as set.
#[derive(Debug, thiserror::Error)]
pub enum RelayFault {
    /// Letters would cross a network unprotected.
    #[error("a mail relay on another machine needs TLS")]
    Unprotected,
    /// The relay's name or the certificate of its authority cannot be used.
    #[error("the mail relay's name or authority cannot be used")]
    Tls(#[from] SmtpError),
}

/// An SMTP relay with the connections kept to it. Clones share them.
#[derive(Clone)]
pub struct Relay(Arc<Inner>);

struct Inner {
    host: String,
    port: u16,
    protection: Protection,
    login: Option<Credentials>,
    letter: Duration,
    opening: Duration,
    idle: Mutex<Vec<AsyncSmtpConnection>>,
}

impl Protection {
    /// The protection for `host` and `port`: TLS at once on port 465 (RFC 8314), STARTTLS elsewhere. `authority` is a
    /// further certificate (PEM) to trust.
    pub fn with_tls(host: &str, port: u16, authority: Option<&[u8]>) -> Result<Self, RelayFault> {
        let mut builder = TlsParameters::builder(bare(host).to_owned());
        if let Some(pem) = authority {
            builder = builder.add_root_certificate(Certificate::from_pem(pem)?);
        }
        let tls = builder.build()?;
        Ok(if port == 465 { Self::Tls(tls) } else { Self::StartTls(tls) })
    }
}

impl Relay {
    /// The relay that the settings name.
    pub fn by_setting(smtp: &Smtp) -> Result<Self, RelayFault> {
        let protection = if smtp.tls { Protection::with_tls(&smtp.host, smtp.port, None)? } else { Protection::Bare };
        let login = smtp.login.as_ref().map(|(user, secret)| (user.as_str(), secret.text()));
        Self::new(&smtp.host, smtp.port, protection, login)
    }

    /// A relay at `host`, as protected, with a user name and password if it asks for them.
    pub fn new(host: &str, port: u16, protection: Protection, login: Option<(&str, &str)>) -> Result<Self, RelayFault> {
        if matches!(protection, Protection::Bare) && !is_this_machine(host) {
            return Err(RelayFault::Unprotected);
        }
        let login = login.map(|(user, password)| Credentials::new(user.to_owned(), password.to_owned()));
        let (host, idle) = (bare(host).to_owned(), Mutex::default());
        Ok(Self(Arc::new(Inner { host, port, protection, login, letter: LETTER, opening: OPENING, idle })))
    }

    /// Sends over a kept connection or a new one. A connection that failed is not kept.
    pub(super) async fn send(&self, message: &Message) -> Result<(), PostError> {
        let mut line = self.line().await?;
        let announced = timeout(ANNOUNCING, announce(&mut line, message.envelope())).await;
        let announced = announced.map_err(|_| PostError::Down(Class::Silence))?;
        announced.map_err(|fault| said(&fault).unwrap_or(PostError::Down(Class::Connection)))?;
        let answered = timeout(self.0.letter, line.message(&message.formatted())).await;
        let answered = answered.map_err(|_| PostError::Unanswered(Class::Silence))?;
        answered.map_err(|fault| said(&fault).unwrap_or(PostError::Unanswered(Class::Connection)))?;
        self.keep(line);
        Ok(())
    }

    async fn line(&self) -> Result<AsyncSmtpConnection, PostError> {
        while let Some(mut line) = self.kept() {
            if timeout(CHECKING, line.test_connected()).await.unwrap_or(false) {
                return Ok(line);
            }
        }
        let opened = timeout(self.0.opening, self.open()).await;
        opened.unwrap_or(Err(Class::Silence)).map_err(PostError::Down)
    }

    async fn open(&self) -> Result<AsyncSmtpConnection, Class> {
        let Inner { host, port, protection, login, .. } = &*self.0;
        let hello = ClientId::default();
        let at_once = match protection {
            Protection::Tls(tls) => Some(tls.clone()),
            Protection::StartTls(_) | Protection::Bare => None,
        };
        let mut line = AsyncSmtpConnection::connect_tokio1((host.as_str(), *port), None, &hello, at_once, None)
            .await
            .map_err(|fault| class_of_opening(&fault))?;
        if let Protection::StartTls(tls) = protection {
            line.starttls(tls.clone(), &hello).await.map_err(|_| Class::Tls)?;
        }
        if let Some(login) = login {
            line.auth(DEFAULT_MECHANISMS, login).await.map_err(|_| Class::Login)?;
        }
        Ok(line)
    }

    fn kept(&self) -> Option<AsyncSmtpConnection> {
        self.0.idle.lock().unwrap_or_else(PoisonError::into_inner).pop()
    }

    fn keep(&self, line: AsyncSmtpConnection) {
        let mut idle = self.0.idle.lock().unwrap_or_else(PoisonError::into_inner);
        if idle.len() < MOST_IDLE {
            idle.push(line);
        }
    }

    /// The same relay with other limits of time, so that a test need not wait ten minutes for a silent one.
    #[cfg(test)]
    pub(super) fn with_limits(self, letter: Duration, opening: Duration) -> Self {
        let inner = Arc::into_inner(self.0).expect("a relay nobody else holds yet");
        Self(Arc::new(Inner { letter, opening, ..inner }))
    }
}

fn bare(host: &str) -> &str {
    host.trim_start_matches('[').trim_end_matches(']')
}

/// Whether `host` names this machine and nothing else.
fn is_this_machine(host: &str) -> bool {
    let address = bare(host).parse::<std::net::IpAddr>();
    host.eq_ignore_ascii_case("localhost") || address.is_ok_and(|address| address.is_loopback())
}

fn class_of_opening(fault: &SmtpError) -> Class {
    match fault.status() {
        Some(code) => Class::Answer(code.into()),
        None if fault.is_tls() => Class::Tls,
        None => Class::Connection,
    }
}

/// Everything that is said before the letter itself.
async fn announce(line: &mut AsyncSmtpConnection, envelope: &Envelope) -> Result<(), SmtpError> {
    let is_wide = |address: &Address| !AsRef::<str>::as_ref(address).is_ascii();
    let wide = envelope.from().into_iter().chain(envelope.to()).any(is_wide).then_some(MailParameter::SmtpUtfEight);
    line.command(Mail::new(envelope.from().cloned(), wide.into_iter().collect())).await?;
    for reader in envelope.to() {
        line.command(Rcpt::new(reader.clone(), vec![])).await?;
    }
    line.command(Data).await.map(drop)
}

/// What the relay's no means, by RFC 5321 4.2.1: 4yz may pass, 5yz stays; 421 ends the connection. None: it said nothing.
fn said(fault: &SmtpError) -> Option<PostError> {
    Some(match u16::from(fault.status()?) {
        421 => PostError::Down(Class::Answer(421)),
        code if code >= 500 => PostError::Never(Class::Answer(code)),
        code => PostError::Later(Class::Answer(code)),
    })
}
