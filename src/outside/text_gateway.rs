//! Hands one text message to the gateway of the settings, by one HTTP request. Says of each failure whether the gateway may
//! have the message. Must not retry or keep a queue: that is `jobs/`. Follows nobody elsewhere and reads no answer's body.

use std::fmt;
use std::io::{Cursor, Read};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use ureq::http::header::{AUTHORIZATION, CONTENT_LENGTH, CONTENT_TYPE, HeaderValue};
use ureq::{Agent, SendBody};

use crate::settings::{Body, TextGateway};

/// The longest head of an answer, in bytes.
const MOST_HEAD: usize = 16 * 1024;

/// A gateway. Cheap to clone.
#[derive(Clone)]
pub struct Gateway {
    agent: Agent,
    url: String,
    body: Body,
    authorization: Option<HeaderValue>,
}

/// A text that the gateway did not take.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GatewayError {
    /// The gateway does not have it: trying again later may help.
    #[error("not sent yet: {0}")]
    Later(Class),
    /// The gateway may have it, and gave no answer.
    #[error("handed over without an answer: {0}")]
    Unanswered(Class),
    /// The gateway does not want it: trying again cannot help.
    #[error("refused: {0}")]
    Never(Class),
}

/// What went wrong, without words of the text or of the gateway.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// No connection, or it broke.
    Connection,
    /// No answer in time.
    Silence,
    /// The gateway answered with this status.
    Answer(u16),
    /// The request cannot be written.
    Request,
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Connection => f.write_str("connection"),
            Self::Silence => f.write_str("silence"),
            Self::Answer(status) => write!(f, "answer_{status}"),
            Self::Request => f.write_str("request"),
        }
    }
}

impl Gateway {
    /// The gateway that the settings name.
    ///
    /// # Errors
    /// The secret cannot stand in a request.
    pub fn by_setting(of: &TextGateway) -> Result<Self, ureq::http::header::InvalidHeaderValue> {
        let config = Agent::config_builder()
            .timeout_global(Some(Duration::from_secs(of.seconds)))
            .http_status_as_error(false)
            .max_redirects(0)
            .max_response_header_size(MOST_HEAD)
            // A connection that was left open may be dead: then nobody knows whether the request arrived.
            .max_idle_connections(0)
            .proxy(None)
            .user_agent("waymark")
            .build();
        let authorization = of.authorization.as_ref().map(|secret| {
            HeaderValue::from_str(secret.text()).map(|mut value| {
                value.set_sensitive(true);
                value
            })
        });
        Ok(Self {
            agent: Agent::new_with_config(config),
            url: of.url.clone(),
            body: of.body.clone(),
            authorization: authorization.transpose()?,
        })
    }

    /// Sends one text. Waits for the answer: for blocking threads.
    ///
    /// # Errors
    /// The gateway did not say that it took the text.
    pub fn send(&self, to: &str, text: &str) -> Result<(), GatewayError> {
        let body = self.body.filled(to, text).into_bytes();
        let length = body.len();
        let (mut watched, begun) = Watched::of(body);
        let mut request = self
            .agent
            .post(&self.url)
            .header(CONTENT_TYPE, self.body.kind.media())
            .header(CONTENT_LENGTH, length.to_string());
        if let Some(value) = &self.authorization {
            request = request.header(AUTHORIZATION, value.clone());
        }
        match request.send(SendBody::from_reader(&mut watched)) {
            Ok(answer) => taken(answer.status().as_u16()),
            Err(fault) => Err(missed(&fault, begun.load(Ordering::SeqCst))),
        }
    }
}

fn taken(status: u16) -> Result<(), GatewayError> {
    match status {
        200..=299 => Ok(()),
        429 | 500..=599 => Err(GatewayError::Later(Class::Answer(status))),
        _ => Err(GatewayError::Never(Class::Answer(status))),
    }
}

/// A request whose body was never asked for has not arrived, however it failed: no server acts on a head alone.
fn missed(fault: &ureq::Error, has_begun: bool) -> GatewayError {
    let class = match fault {
        ureq::Error::Timeout(_) => Class::Silence,
        ureq::Error::BadUri(_) | ureq::Error::Http(_) => Class::Request,
        _ => Class::Connection,
    };
    match (class, has_begun) {
        (Class::Request, false) => GatewayError::Never(class),
        (_, false) => GatewayError::Later(class),
        (_, true) => GatewayError::Unanswered(class),
    }
}

/// A body that tells when its first byte was asked for.
struct Watched {
    bytes: Cursor<Vec<u8>>,
    begun: Arc<AtomicBool>,
}

impl Watched {
    fn of(bytes: Vec<u8>) -> (Self, Arc<AtomicBool>) {
        let begun = Arc::new(AtomicBool::new(false));
        (Self { bytes: Cursor::new(bytes), begun: begun.clone() }, begun)
    }
}

impl Read for Watched {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.begun.store(true, Ordering::SeqCst);
        self.bytes.read(into)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_7_each_answer_of_a_gateway_has_its_consequence() {
        for status in [200, 201, 202, 204] {
            assert_eq!(taken(status), Ok(()));
        }
        for status in [429, 500, 502, 503, 504] {
            assert_eq!(taken(status), Err(GatewayError::Later(Class::Answer(status))));
        }
        // An address elsewhere is no answer: the request would go to somebody whom nobody chose.
        for status in [301, 302, 307, 308, 400, 401, 403, 404, 413, 422] {
            assert_eq!(taken(status), Err(GatewayError::Never(Class::Answer(status))));
        }
    }
}
