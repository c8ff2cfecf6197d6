//! A form whose record somebody else changed since it was opened: the page with what was typed, and beside it what stands
//! now. Saving again from there is a choice made with both in view.

use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;

use super::refusal_words;

/// Label and answer of each field, in the order of a form.
pub type Told = Vec<(String, String)>;

/// What a page says of it; nothing for a page that is just opened.
#[derive(Debug, Default)]
pub struct Moved {
    /// The sentence.
    pub notice: Option<String>,
    /// What stands now where it differs from what was typed.
    pub now: Told,
}

impl Moved {
    /// Of what was typed beside what is kept.
    pub fn between(typed: &Told, kept: Told) -> Self {
        Self {
            notice: Some(refusal_words::words(Lang::En, &Refusal::DraftMoved)),
            now: kept.into_iter().filter(|answer| !typed.contains(answer)).collect(),
        }
    }
}

/// Labels and answers as they are told.
pub fn told<const N: usize>(answers: [(&str, &str); N]) -> Told {
    answers.map(|(label, answer)| (label.to_owned(), answer.trim().to_owned())).into()
}
