//! Consent texts and what counts as signing one. Holds no wording of its own and hashes nothing;
//! `shown_text` is the exact text that the signer saw and that the program keeps and hashes.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use unicode_normalization::{UnicodeNormalization, char::is_combining_mark};

use crate::domain::words::{Lang, Word, word_list};

mod pair;
mod signers;
#[cfg(test)]
mod tests;

pub use pair::ConsentPair;
pub use signers::Signers;

word_list! {
    /// What is agreed to.
    ConsentKind {
        /// Taking part: without it no child starts.
        Ride = "ride",
        /// Pictures: always optional and apart.
        Photo = "photo",
    }
}

/// One numbered paragraph with a tick of its own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clause {
    /// Its name in forms and records; the same in every language.
    pub key: String,
    /// Its words.
    pub text: String,
}

/// A consent text as written in a file, not yet looked over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConsentText {
    /// What is agreed to.
    pub kind: ConsentKind,
    /// Rises when any word changes; families sign again.
    pub version: i64,
    /// The language it is written and signed in.
    pub language: Lang,
    /// Whether it is the program's sample that no counsel has approved.
    pub sample: bool,
    /// Shown on top of a sample.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sample_notice: Option<String>,
    /// What others advise against, before anything is agreed to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// Its name.
    pub title: String,
    /// The whole in plain words.
    pub summary: String,
    /// The paragraphs.
    pub clauses: Vec<Clause>,
}

/// One thing wrong with a consent text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ConsentFault {
    /// Nothing to agree to.
    #[error("the text has no clauses")]
    NoClauses,
    /// Two clauses share a key.
    #[error("the clause {key} stands twice")]
    DuplicateClause { key: String },
    /// A field without words.
    #[error("{field} has no words")]
    Empty { field: String },
    /// A sample must say that it is one.
    #[error("a sample needs a notice that says so")]
    SampleWithoutNotice,
    /// A parent decides knowing what doctors advise.
    #[error("the consent to ride opens with the caution of the paediatric society")]
    RideWithoutCaution,
}

/// Why a signature does not count.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ConsentRefusal {
    /// These clauses have no tick, in the order shown.
    #[error("every clause needs a tick")]
    NotEveryClause { missing: Vec<String> },
    /// A tick for a clause that this text does not have: the form is of another version.
    #[error("a tick belongs to no clause of this text")]
    UnknownClause { key: String },
    /// The name field is empty or holds no letter.
    #[error("the signer's name is not typed")]
    NameMissing,
    /// The name is another one than the guardian's.
    #[error("the typed name is not the guardian's")]
    NameDiffers,
}

/// A signature that counts; when and by which account is added where it is stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signed {
    /// The keys ticked, in the order shown.
    pub ticks: Vec<String>,
    /// The name exactly as typed.
    pub typed_name: String,
    /// The exact text that was shown.
    pub shown_text: String,
}

impl ConsentText {
    /// Everything wrong with the text; empty when it may be shown.
    pub fn faults(&self) -> Vec<ConsentFault> {
        let mut faults = Vec::new();
        if self.clauses.is_empty() {
            faults.push(ConsentFault::NoClauses);
        }
        let mut seen = BTreeSet::new();
        let mut fields = vec![("title".to_string(), &self.title), ("summary".to_string(), &self.summary)];
        for Clause { key, text } in &self.clauses {
            if !seen.insert(key) {
                faults.push(ConsentFault::DuplicateClause { key: key.clone() });
            }
            fields.push((format!("clause {key}"), text));
        }
        for (field, words) in fields {
            if is_blank(words) {
                faults.push(ConsentFault::Empty { field });
            }
        }
        if self.sample && self.sample_notice.as_deref().is_none_or(is_blank) {
            faults.push(ConsentFault::SampleWithoutNotice);
        }
        if self.kind == ConsentKind::Ride && self.caution.as_deref().is_none_or(is_blank) {
            faults.push(ConsentFault::RideWithoutCaution);
        }
        faults
    }

    /// The whole text as shown, caution first, clauses numbered. Paragraphs are parted by one empty line; line ends are `\n`.
    /// A first line names kind, version and language, so that equal words in two versions differ.
    pub fn shown_text(&self) -> String {
        let head = format!("{} {} {}", self.kind.as_str(), self.version, self.language.as_str());
        let mut parts = vec![head];
        parts.extend(self.caution.clone());
        parts.extend(self.sample_notice.clone());
        parts.extend([self.title.clone(), self.summary.clone()]);
        parts.extend(self.clauses.iter().zip(1..).map(|(clause, number)| format!("{number}. {}", clause.text)));
        let trimmed: Vec<String> = parts.iter().map(|part| part.replace("\r\n", "\n").trim().to_string()).collect();
        trimmed.join("\n\n") + "\n"
    }

    /// Signs the text: a tick for every clause and the guardian's name typed. Case, spaces, hyphens, apostrophes and accents
    /// are forgiven. Tells every reason at once when it does not count.
    pub fn sign(
        &self,
        ticks: &BTreeSet<String>,
        typed_name: &str,
        guardian_name: &str,
    ) -> Result<Signed, Vec<ConsentRefusal>> {
        let keys: Vec<String> = self.clauses.iter().map(|clause| clause.key.clone()).collect();
        let missing: Vec<String> = keys.iter().filter(|key| !ticks.contains(*key)).cloned().collect();
        let unknown = ticks.iter().filter(|key| !keys.contains(key)).cloned();
        let mut refusals: Vec<ConsentRefusal> = unknown.map(|key| ConsentRefusal::UnknownClause { key }).collect();
        if !missing.is_empty() {
            refusals.push(ConsentRefusal::NotEveryClause { missing });
        }
        let typed = folded_name(typed_name);
        if typed.is_empty() {
            refusals.push(ConsentRefusal::NameMissing);
        } else if typed != folded_name(guardian_name) {
            refusals.push(ConsentRefusal::NameDiffers);
        }
        if !refusals.is_empty() {
            return Err(refusals);
        }
        Ok(Signed { ticks: keys, typed_name: typed_name.to_string(), shown_text: self.shown_text() })
    }
}

fn is_blank(words: &str) -> bool {
    words.trim().is_empty()
}

/// The letters and digits of a name in lower case without accents; letters with a stroke count as plain ones.
fn folded_name(name: &str) -> String {
    let letters = name.to_lowercase();
    let plain = letters.nfkd().filter(|c| !is_combining_mark(*c) && c.is_alphanumeric());
    let mut folded = String::new();
    for letter in plain {
        match letter {
            'ł' => folded.push('l'),
            'ø' => folded.push('o'),
            'đ' | 'ð' => folded.push('d'),
            'ı' => folded.push('i'),
            'ħ' => folded.push('h'),
            'ß' => folded.push_str("ss"),
            'æ' => folded.push_str("ae"),
            'œ' => folded.push_str("oe"),
            'þ' => folded.push_str("th"),
            other => folded.push(other),
        }
    }
    folded
}
