//! Reads what a form or an address says, strictly, and keeps what is wrong with it for the page.
//!
//! A request that no page of ours can make is malformed and refused as a whole: a key twice, a list for one
//! answer, bytes that are not UTF-8, NUL. A value that a person could type is taken and answered at its field.

use std::collections::BTreeMap;
use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use validator::{Validate, ValidationErrors};

use crate::domain::words::{Email, Lang, Word};
use crate::language::{self, Value};

use super::answer::Trouble;

/// The field of every form that carries the form token.
pub const TOKEN_FIELD: &str = "form_token";

/// The body of a form, checked by the door and not yet given a type.
#[derive(Debug, Clone)]
pub struct RawForm(pub String);

/// A form as `T`. Fields of `T` are texts with `#[serde(default)]`; what they hold is checked afterwards.
#[derive(Debug)]
pub struct Typed<T>(pub T);

/// The query of an address as `T`, with the same rules.
#[derive(Debug)]
pub struct Asked<T>(pub T);

/// In which language an address asks for words that the page itself is not in.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct WordsIn {
    words: String,
}

impl WordsIn {
    /// The language that is asked for, or another when none is.
    #[must_use]
    pub fn lang(&self, otherwise: Lang) -> Lang {
        Lang::from_word(&self.words).unwrap_or(otherwise)
    }
}

impl<T: DeserializeOwned> FromRequest for Typed<T> {
    type Error = Trouble;
    type Future = Ready<Result<Self, Trouble>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let form = request.extensions().get::<RawForm>().map(|form| form.0.clone());
        ready(form.ok_or(Trouble::Malformed).and_then(|text| typed(&text)).map(Typed))
    }
}

impl<T: DeserializeOwned> FromRequest for Asked<T> {
    type Error = Trouble;
    type Future = Ready<Result<Self, Trouble>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let query = request.query_string();
        ready(pairs(query).and_then(|_| typed(query)).map(Asked))
    }
}

fn typed<T: DeserializeOwned>(text: &str) -> Result<T, Trouble> {
    web::Query::<T>::from_query(text).map(web::Query::into_inner).map_err(|_| Trouble::Malformed)
}

/// The answers of a urlencoded text by their names.
///
/// # Errors
/// `Malformed` when a name comes twice or looks like a list, or when bytes are broken.
pub fn pairs(text: &str) -> Result<BTreeMap<String, String>, Trouble> {
    let mut found = BTreeMap::new();
    for pair in text.split('&').filter(|pair| !pair.is_empty()) {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        let (name, value) = (decoded(name)?, decoded(value)?);
        if name.contains(['[', ']']) || found.insert(name, value).is_some() {
            return Err(Trouble::Malformed);
        }
    }
    Ok(found)
}

/// A urlencoded text as it was before.
///
/// # Errors
/// `Malformed` when bytes are broken.
pub fn decoded(text: &str) -> Result<String, Trouble> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => match (digit(rest.next()), digit(rest.next())) {
                (Some(high), Some(low)) => high * 16 + low,
                _ => return Err(Trouble::Malformed),
            },
            0 => return Err(Trouble::Malformed),
            other => other,
        });
    }
    if bytes.contains(&0) {
        return Err(Trouble::Malformed);
    }
    String::from_utf8(bytes).map_err(|_| Trouble::Malformed)
}

fn digit(byte: Option<u8>) -> Option<u8> {
    let value = char::from(byte?).to_digit(16)?;
    u8::try_from(value).ok()
}

/// A form whose fields are named by data, such as one tick a lesson. What it asks for and does not get is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(transparent)]
pub struct Answers(BTreeMap<String, String>);

impl Answers {
    /// The answer of a field, as typed.
    #[must_use]
    pub fn of(&self, name: &str) -> &str {
        self.0.get(name).map_or("", String::as_str)
    }

    /// Whether a box was ticked.
    #[must_use]
    pub fn ticked(&self, name: &str) -> bool {
        self.of(name) == "yes"
    }

    /// What follows a prefix in the names of boxes that were ticked.
    pub fn ticked_below<'a>(&'a self, prefix: &'a str) -> impl Iterator<Item = &'a str> {
        self.0.iter().filter(|(_, value)| *value == "yes").filter_map(move |(name, _)| name.strip_prefix(prefix))
    }

    /// Fields whose name begins so: what follows in the name, and what was typed.
    pub fn below<'a>(&'a self, prefix: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.0.iter().filter_map(move |(name, typed)| Some((name.strip_prefix(prefix)?, typed.as_str())))
    }

    /// Fills a field in before anybody typed.
    #[must_use]
    pub fn with(mut self, name: impl Into<String>, value: impl Into<String>) -> Self {
        self.0.insert(name.into(), value.into());
        self
    }

    /// Fills a box in before anybody ticked.
    #[must_use]
    pub fn with_tick(self, name: impl Into<String>, ticked: bool) -> Self {
        if ticked { self.with(name, "yes") } else { self }
    }

    /// The revision that the page was opened on; one that no draft has when it is missing.
    #[must_use]
    pub fn revision(&self) -> i64 {
        self.of("revision").parse().unwrap_or(-1)
    }
}

/// What is wrong with a form, by field, in the order in which it was found. One sentence a field.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FieldErrors(Vec<(String, String)>);

impl FieldErrors {
    /// What the validator of `form` finds, told in `lang`.
    #[must_use]
    pub fn check(form: &impl Validate, lang: Lang) -> Self {
        form.validate().err().map_or_else(Self::default, |errors| Self::told(&errors, lang))
    }

    /// The validator's findings as sentences. A code is the name of a message, and its params the values.
    #[must_use]
    pub fn told(errors: &ValidationErrors, lang: Lang) -> Self {
        let mut found: Vec<(String, String)> = errors
            .field_errors()
            .into_iter()
            .filter_map(|(field, faults)| {
                let fault = faults.first()?;
                let values: Vec<(&str, Value<'_>)> = fault
                    .params
                    .iter()
                    .filter(|(name, _)| name.as_ref() != "value")
                    .map(|(name, value)| (name.as_ref(), fluent(value)))
                    .collect();
                Some((field.to_string(), language::say(lang, &fault.code, &values)))
            })
            .collect();
        found.sort();
        Self(found)
    }

    /// Adds a sentence for a field; the first sentence of a field stays.
    pub fn add(&mut self, field: &str, words: impl Into<String>) {
        if self.of(field).is_none() {
            self.0.push((field.to_owned(), words.into()));
        }
    }

    /// An e-mail address, or what is wrong with it at its field.
    pub fn email(&mut self, field: &str, typed: &str, lang: Lang) -> Option<Email> {
        let read = Email::parse(typed).ok();
        if read.is_none() {
            let key = if typed.trim().is_empty() { "form-required" } else { "form-not-an-email" };
            self.add(field, language::say(lang, key, &[]));
        }
        read
    }

    /// The sentence of one field.
    #[must_use]
    pub fn of(&self, field: &str) -> Option<&str> {
        self.0.iter().find(|(name, _)| name == field).map(|(_, words)| words.as_str())
    }

    /// Field and sentence of each fault, for the summary.
    #[must_use]
    pub fn list(&self) -> &[(String, String)] {
        &self.0
    }

    /// Whether every answer can be used.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many fields have a fault.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.len()
    }
}

fn fluent(value: &serde_json::Value) -> Value<'static> {
    match value {
        serde_json::Value::Number(number) => Value::from(number.as_f64().unwrap_or_default()),
        serde_json::Value::String(text) => Value::from(text.clone()),
        other => Value::from(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s42_a_request_that_no_page_can_make_is_malformed() {
        for text in [
            "a=1&a=2",
            "a[]=1",
            "a[0]=1",
            "a%5B%5D=1",
            "a=%FF",
            "a=%C3",
            "a=%00",
            "a=\0",
            "a=%4",
            "a=%zz",
            "a=%ED%A0%80",
        ] {
            assert!(matches!(pairs(text), Err(Trouble::Malformed)), "{text:?} was taken");
        }
    }

    #[test]
    fn s42_what_a_person_can_type_is_taken_as_it_is() {
        for (text, value) in [
            ("a=Zo%C3%AB+Nguy%E1%BB%85n", "Zoë Nguyễn"),
            ("a=1%2B1%3D2%26", "1+1=2&"),
            ("a=%F0%9F%90%8E", "🐎"),
            ("a=-1e9", "-1e9"),
            ("a=", ""),
            ("a", ""),
        ] {
            assert_eq!(pairs(text).unwrap()["a"], value);
        }
    }

    #[test]
    fn house_1_the_first_sentence_of_a_field_stays() {
        let mut errors = FieldErrors::default();
        assert!(errors.is_empty());
        errors.add("name", "Write an answer here");
        errors.add("name", "another");
        errors.add("day", "Write the day");
        assert_eq!(errors.of("name"), Some("Write an answer here"));
        assert_eq!((errors.len(), errors.of("year")), (2, None));
    }
}
