//! What the forms of families share: their faults as sentences, and the answers that come back in many of them.

use super::form::FieldErrors;
use super::page::{Choice, Page};
use crate::services::register::faults::Faults;

/// Fields whose faults read alike, with the label of each.
const LABELS: [(&str, &str); 16] = [
    ("phone", "adults-phone"),
    ("day_name", "adults-day-name"),
    ("day_phone", "adults-day-phone"),
    ("first_name", "adults-first-name"),
    ("first_phone", "adults-first-phone"),
    ("second_name", "adults-second-name"),
    ("second_phone", "adults-second-phone"),
    ("pick_up_name", "adults-pick-up-name"),
    ("pick_up_phone", "adults-pick-up-phone"),
    ("pick_up_too_name", "adults-pick-up-too-name"),
    ("pick_up_too_phone", "adults-pick-up-too-phone"),
    ("height", "sizes-height"),
    ("weight", "sizes-weight"),
    ("inseam", "sizes-inseam"),
    ("head", "sizes-head"),
    ("given", "adults-given"),
];

/// The faults of a form as sentences at their fields. A sentence that several fields share names its field.
#[must_use]
pub fn told(page: &Page, faults: &Faults) -> FieldErrors {
    let mut errors = FieldErrors::default();
    for fault in faults.list() {
        let alike = faults.list().iter().filter(|other| other.message == fault.message).count();
        let label = LABELS.iter().find(|(field, _)| alike > 1 && *field == fault.field);
        let words = page.t(fault.message);
        errors.add(
            &fault.field,
            match label {
                Some((_, label)) => page.t2("form-error-of", "words", words, "label", page.t(label)),
                None => words,
            },
        );
    }
    errors
}

/// Yes, no, I don't know.
#[must_use]
pub fn known_choices(page: &Page) -> Vec<Choice> {
    ["no", "yes", "unknown"].map(|word| Choice::new(word, page.t(&format!("register-{word}")))).to_vec()
}
