//! The way of text messages: one HTTP request to a gateway of the program's own choice. Without an address there are none.

use std::fmt;

use super::reader::Reader;
use super::{Secret, network};

/// The place of the telephone number in a body.
const TO: &str = "{to}";
/// The place of the words.
const TEXT: &str = "{text}";

/// A gateway that turns requests into text messages.
#[derive(Debug, Clone)]
pub struct TextGateway {
    /// Where the requests go: https, or http on this machine.
    pub url: String,
    /// What they carry.
    pub body: Body,
    /// The value of the `Authorization` line, when the gateway asks for one.
    pub authorization: Option<Secret>,
    /// Seconds within which the gateway must have answered.
    pub seconds: u64,
}

/// How the values in a body are escaped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BodyKind {
    /// `application/json`
    Json,
    /// `application/x-www-form-urlencoded`
    Form,
}

impl BodyKind {
    const ALL: [Self; 2] = [Self::Json, Self::Form];

    /// As the `Content-Type` line says it.
    #[must_use]
    pub fn media(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Form => "application/x-www-form-urlencoded",
        }
    }

    fn escaped(self, value: &str) -> String {
        match self {
            Self::Json => json(value),
            Self::Form => form(value),
        }
    }
}

impl fmt::Display for BodyKind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.media())
    }
}

/// The body of a request, with the places of number and words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Body {
    /// What it is.
    pub kind: BodyKind,
    template: String,
}

impl Body {
    /// Takes a template that holds both places as values of its kind.
    ///
    /// # Errors
    /// Words that say what is wrong with it.
    pub fn parse(kind: BodyKind, template: &str) -> Result<Self, String> {
        for place in [TO, TEXT] {
            if !template.contains(place) {
                return Err(format!("has no {place}"));
            }
        }
        let body = Self { kind, template: template.to_owned() };
        // Two values that no template holds, with every letter that could break out of its place.
        let (to, text) = ("+14065550100", "\"\\,\n&=%+{}<>' é\u{1F600}");
        let values = match kind {
            BodyKind::Json => values_of_json(&body.filled(to, text))?,
            BodyKind::Form => values_of_form(&body.filled(to, text))?,
        };
        for (place, value) in [(TO, to), (TEXT, text)] {
            if !values.iter().any(|found| found.contains(value)) {
                return Err(format!("holds {place} where no {kind} value stands"));
            }
        }
        Ok(body)
    }

    /// The body with a number and words in their places, escaped. What stands in a value is never read as a place.
    #[must_use]
    pub fn filled(&self, to: &str, text: &str) -> String {
        let mut filled = String::with_capacity(self.template.len() + text.len());
        let mut rest = self.template.as_str();
        while let Some(at) = rest.find('{') {
            let (before, place) = rest.split_at(at);
            filled.push_str(before);
            rest = if let Some(after) = place.strip_prefix(TO) {
                filled.push_str(&self.kind.escaped(to));
                after
            } else if let Some(after) = place.strip_prefix(TEXT) {
                filled.push_str(&self.kind.escaped(text));
                after
            } else {
                filled.push('{');
                &place[1..]
            };
        }
        filled.push_str(rest);
        filled
    }
}

/// The inside of a JSON string (RFC 8259, section 7).
fn json(value: &str) -> String {
    let quoted = serde_json::Value::from(value).to_string();
    quoted[1..quoted.len() - 1].to_owned()
}

/// A value of a form (URL Standard, section 5.2).
fn form(value: &str) -> String {
    let mut escaped = String::with_capacity(value.len());
    for byte in value.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'*' | b'-' | b'.' | b'_' => escaped.push(char::from(byte)),
            b' ' => escaped.push('+'),
            other => escaped.push_str(&format!("%{other:02X}")),
        }
    }
    escaped
}

/// Every text in a JSON document.
fn values_of_json(body: &str) -> Result<Vec<String>, String> {
    fn collect(value: serde_json::Value, into: &mut Vec<String>) {
        match value {
            serde_json::Value::String(text) => into.push(text),
            serde_json::Value::Array(items) => items.into_iter().for_each(|item| collect(item, into)),
            serde_json::Value::Object(fields) => fields.into_iter().for_each(|(_, item)| collect(item, into)),
            _ => {}
        }
    }
    let whole = serde_json::from_str(body).map_err(|_| "is no JSON when both are put in".to_owned())?;
    let mut values = Vec::new();
    collect(whole, &mut values);
    Ok(values)
}

/// Every value of a form.
fn values_of_form(body: &str) -> Result<Vec<String>, String> {
    if !body.bytes().all(|byte| byte.is_ascii_graphic()) {
        return Err("is no form: it holds a blank or a letter that must be escaped".into());
    }
    let value = |pair: &str| {
        let (_, value) = pair.split_once('=').ok_or("is no form: a part of it has no =")?;
        unescaped(value).ok_or_else(|| "is no form: a % in it begins no letter".to_owned())
    };
    body.split('&').map(value).collect()
}

fn unescaped(value: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(value.len());
    let mut rest = value.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let (high, low) = (char::from(rest.next()?).to_digit(16)?, char::from(rest.next()?).to_digit(16)?);
                u8::try_from(high * 16 + low).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

/// What is wrong with the address of a gateway, if anything.
fn url_fault(url: &str) -> Option<&'static str> {
    let (is_plain, rest) = match (url.strip_prefix("https://"), url.strip_prefix("http://")) {
        (Some(rest), _) => (false, rest),
        (_, Some(rest)) => (true, rest),
        _ => return Some("must start with https://, or with http:// for a gateway on this machine"),
    };
    let authority = rest.split(['/', '?']).next().unwrap_or_default();
    if url.contains(['#', '\\']) || !url.bytes().all(|byte| byte.is_ascii_graphic()) {
        return Some("holds a letter that no address has");
    }
    if authority.contains('@') {
        return Some("must not hold a name or a password; use texts.authorization_file");
    }
    let host = host_of(authority);
    if host.is_empty() {
        Some("names no host")
    } else if is_plain && !network::is_this_machine(host) {
        Some("must start with https:// unless the gateway is on this machine")
    } else {
        None
    }
}

/// The host of an authority, without port and brackets.
fn host_of(authority: &str) -> &str {
    match authority.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some((host, _)) => host,
        None => authority.split(':').next().unwrap_or_default(),
    }
}

impl TextGateway {
    /// Host and port, to see whether anything answers there.
    #[must_use]
    pub fn place(&self) -> (&str, u16) {
        let (scheme, rest) = self.url.split_once("://").unwrap_or(("https", &self.url));
        let authority = rest.split(['/', '?']).next().unwrap_or_default();
        let usual = if scheme == "https" { 443 } else { 80 };
        let port = authority.rsplit_once(':').and_then(|(_, port)| port.parse().ok()).unwrap_or(usual);
        (host_of(authority), port)
    }
}

/// The gateway of the settings; none without an address.
pub(super) fn read(reader: &mut Reader) -> Option<TextGateway> {
    let url = reader.text("texts.url");
    let template = reader.text("texts.body");
    let media = reader.text("texts.content_type");
    let authorization = reader.secret_file("texts.authorization_file", 8);
    let seconds = reader.number("texts.seconds", 10, 1..=60);
    let Some(url) = url else {
        for (name, is_set) in
            [("texts.body", template.is_some()), ("texts.authorization_file", authorization.is_some())]
        {
            if is_set {
                reader.fault(name, "needs texts.url beside it");
            }
        }
        return None;
    };
    if let Some(fault) = url_fault(&url) {
        reader.fault("texts.url", fault);
    }
    if authorization.as_ref().is_some_and(|secret| !secret.text().bytes().all(|byte| matches!(byte, b' '..=b'~'))) {
        reader.fault("texts.authorization_file", "must be one line of plain letters");
    }
    let kind = match media.as_deref().map(str::trim) {
        None => Some(BodyKind::Json),
        Some(named) => BodyKind::ALL.into_iter().find(|kind| kind.media() == named),
    };
    let Some(kind) = kind else {
        reader.fault("texts.content_type", "must be application/json or application/x-www-form-urlencoded");
        return None;
    };
    let Some(template) = template else {
        reader.fault("texts.body", "is missing; it says what a request carries, with {to} and {text}");
        return None;
    };
    match Body::parse(kind, template.trim()) {
        Ok(body) => Some(TextGateway { url, body, authorization, seconds }),
        Err(fault) => {
            reader.fault("texts.body", fault);
            None
        }
    }
}

#[cfg(test)]
mod tests;
