//! A consent text with its ticks on a page, and what stands against a signature, told by the numbers of the clauses.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::consent::{self, ConsentText};
use crate::services::consent_texts::Shown;
use crate::services::register::faults::Faults;
use crate::services::signed_consents::Signature;

use super::form::FieldErrors;
use super::page::Page;

/// One clause with its tick.
pub struct Clause {
    /// The field's name.
    pub field: String,
    /// Number and words.
    pub text: String,
    /// Whether it is ticked.
    pub ticked: bool,
}

/// A consent text on the page.
pub struct ConsentForm {
    /// Its name.
    pub title: String,
    /// Its version.
    pub version: i64,
    /// That it is a sample; empty when it is not.
    pub sample: String,
    /// The whole in plain words.
    pub summary: String,
    /// SHA-256 of the text as shown.
    pub hash: String,
    /// The paragraphs.
    pub clauses: Vec<Clause>,
}

impl ConsentForm {
    /// A text whose fields begin with `stem`.
    #[must_use]
    pub fn new(shown: &Shown, stem: &str, ticks: &BTreeSet<String>) -> Self {
        let clause = |(number, clause): (usize, &consent::Clause)| Clause {
            field: format!("{stem}-{}", clause.key),
            text: format!("{number}. {}", clause.text),
            ticked: ticks.contains(&clause.key),
        };
        Self {
            title: shown.text.title.clone(),
            version: shown.text.version,
            sample: shown.text.sample_notice.clone().unwrap_or_default(),
            summary: shown.text.summary.clone(),
            hash: shown.hash.clone(),
            clauses: (1..).zip(&shown.text.clauses).map(clause).collect(),
        }
    }
}

/// The keys of the clauses that a form sends as ticked.
#[must_use]
pub fn ticks(fields: &BTreeMap<String, String>, stem: &str) -> BTreeSet<String> {
    let ticked = fields.iter().filter(|(_, value)| *value == "yes");
    ticked.filter_map(|(name, _)| name.strip_prefix(stem)?.strip_prefix('-').map(str::to_owned)).collect()
}

/// A signature as a form sends it: one field for each clause.
#[must_use]
pub fn signature(fields: &BTreeMap<String, String>) -> Signature {
    let text = |name: &str| fields.get(name).cloned().unwrap_or_default();
    Signature {
        ride_hash: text("ride_hash"),
        photo_hash: text("photo_hash"),
        ticks: ticks(fields, "ride"),
        photo_ticks: ticks(fields, "photo"),
        name: text("signature"),
    }
}

/// What stands against a signature; a clause without its tick is told by its number.
#[must_use]
pub fn errors(page: &Page, texts: &[(&str, Option<&ConsentText>)], faults: &Faults) -> FieldErrors {
    let mut errors = FieldErrors::default();
    let number_of = |field: &str| {
        texts.iter().find_map(|(stem, text)| {
            let key = field.strip_prefix(stem)?.strip_prefix('-')?;
            text.as_ref()?.clauses.iter().position(|clause| clause.key == key)
        })
    };
    for fault in faults.list() {
        let words = match number_of(&fault.field) {
            Some(place) => page.t1(fault.message, "number", place + 1),
            None => page.t(fault.message),
        };
        errors.add(&fault.field, words);
    }
    errors
}
