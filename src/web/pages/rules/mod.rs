//! The books of rules: versions, the draft and its parts, publishing. The curriculum has an address of its own; the fit
//! rules, the day list and the cautions live below `/rules`. Staff pages, in English.

pub mod arrange;
pub mod check;
pub mod draft;
pub mod lesson;
pub mod points;
pub mod preview;
pub mod publish;
pub mod setting;
pub mod versions;

use actix_web::HttpRequest;

use crate::domain::consent::ConsentKind;
use crate::domain::curriculum::CurriculumDraft;
use crate::domain::refusal::Refusal;
use crate::domain::rule_setting;
use crate::domain::rulebook::{Book, OpenBook};
use crate::domain::words::{Lang, Word};
use crate::services::Failure;
use crate::services::rules::draft::Draft;
use crate::web::answer::Trouble;
use crate::web::form::{Answers, FieldErrors};
use crate::web::refusal_words;
use crate::web::rule_words::{base, name};

/// The book that an address names.
fn book_of(request: &HttpRequest) -> Result<Book, Trouble> {
    let named = |name| request.match_info().get(name);
    match (named("book"), named("kind")) {
        (None, None) => Ok(Book::Curriculum),
        (None, Some(word)) => ConsentKind::from_word(word).map(ConsentKind::book).ok_or(Trouble::NotFound),
        (Some(word), _) => {
            let below_rules = |book: &Book| !matches!(book, Book::Curriculum | Book::ConsentRide | Book::ConsentPhoto);
            Book::from_word(word).filter(below_rules).ok_or(Trouble::NotFound)
        }
    }
}

/// The list of a book's versions.
fn list(book: Book) -> String {
    match book {
        Book::ConsentRide | Book::ConsentPhoto => "/consents".to_owned(),
        other => base(other),
    }
}

/// The curriculum of an open draft.
fn curriculum(draft: Draft) -> Result<CurriculumDraft, Failure> {
    match draft.book {
        OpenBook::Curriculum(curriculum) => Ok(curriculum),
        _ => Err(Failure::NotFound),
    }
}

/// The sentence for a form that was opened before the draft changed.
fn moved_words() -> String {
    refusal_words::words(Lang::En, &Refusal::DraftMoved)
}

/// Reads a text in both languages from `name_en` and `name_es`. Missing words are taken: the draft says that they lack.
fn read_texts(
    form: &Answers,
    errors: &mut FieldErrors,
    name: &str,
    most: usize,
) -> crate::domain::curriculum::LocalText {
    let mut part = |lang: Lang| {
        let field = format!("{name}_{}", lang.as_str());
        rule_setting::clean(form.of(&field), most).unwrap_or_else(|fault| {
            let words = match fault {
                rule_setting::SettingFault::TooLong(most) => format!("Shorten this text to {most} letters"),
                _ => "Take out the characters that are no letters, digits or signs".to_owned(),
            };
            errors.add(&field, words);
            String::new()
        })
    };
    crate::domain::curriculum::LocalText { en: part(Lang::En), es: part(Lang::Es) }
}

/// Puts a text in both languages into the fields of a form.
fn with_texts(form: Answers, name: &str, text: &crate::domain::curriculum::LocalText) -> Answers {
    form.with(format!("{name}_en"), &text.en).with(format!("{name}_es"), &text.es)
}

/// What stands in the draft now where it differs from what was typed: label and words.
fn differing(form: &Answers, stored: &Answers, labels: &[(&str, &str)]) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for (name, label) in labels {
        for (field, language) in [(format!("{name}_en"), "English"), (format!("{name}_es"), "Spanish")] {
            if form.of(&field).trim() != stored.of(&field).trim() {
                found.push((format!("{label} in {language}"), stored.of(&field).to_owned()));
            }
        }
    }
    found
}
