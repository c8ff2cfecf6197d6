//! What a program asks families and nobody has to answer: a question in both languages and a few choices.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::curriculum::LocalText;

/// One answer more would be a list to scroll through. Common practice, no source.
pub const MOST_CHOICES: usize = 12;

/// Why there is no question in what was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ChoicesFault {
    /// Fewer than two, or more than [`MOST_CHOICES`].
    #[error("a question has 2 to {MOST_CHOICES} choices")]
    Number,
    /// The two languages do not have as many.
    #[error("both languages have the same choices in the same order")]
    Unequal,
    /// The same choice twice.
    #[error("each choice stands once")]
    Twice,
}

/// The choices of a question, each in both languages.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Choices(Vec<LocalText>);

impl Choices {
    /// Reads choices, one a line, in both languages.
    ///
    /// # Errors
    /// [`ChoicesFault`] names what is wrong.
    pub fn read(en: &str, es: &str) -> Result<Self, ChoicesFault> {
        let lines = |text: &str| {
            let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
            lines.map(str::to_owned).collect::<Vec<_>>()
        };
        let (en, es) = (lines(en), lines(es));
        if !(2..=MOST_CHOICES).contains(&en.len()) {
            return Err(ChoicesFault::Number);
        }
        if en.len() != es.len() {
            return Err(ChoicesFault::Unequal);
        }
        let stands_twice = |list: &[String]| {
            let mut folded: Vec<String> = list.iter().map(|line| line.to_lowercase()).collect();
            folded.sort();
            folded.windows(2).any(|two| two[0] == two[1])
        };
        if stands_twice(&en) || stands_twice(&es) {
            return Err(ChoicesFault::Twice);
        }
        Ok(Self(en.into_iter().zip(es).map(|(en, es)| LocalText { en, es }).collect()))
    }

    /// In their order.
    #[must_use]
    pub fn list(&self) -> &[LocalText] {
        &self.0
    }

    /// Reads an answer: the number of a choice from 1, or nothing for who had rather not say. `None`: there is no such.
    #[must_use]
    pub fn answer(&self, typed: &str) -> Option<Option<i64>> {
        if ["", NO_ANSWER].contains(&typed) {
            return Some(None);
        }
        let number: usize = typed.parse().ok()?;
        let is_there = (1..=self.0.len()).contains(&number) && typed == number.to_string();
        is_there.then(|| i64::try_from(number).ok())
    }
}

/// The word of "I would rather not say".
pub const NO_ANSWER: &str = "none";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_4_a_question_has_the_same_few_choices_in_both_languages() {
        let read = |en: &str, es: &str| Choices::read(en, es).map(|choices| choices.list().len());
        assert_eq!(read("Yes\nNo", "Sí\nNo"), Ok(2));
        assert_eq!(read(" Yes \r\n\r\nNo\n", "Sí\nNo"), Ok(2));
        assert_eq!(read("Yes", "Sí"), Err(ChoicesFault::Number));
        assert_eq!(read("", ""), Err(ChoicesFault::Number));
        let many = |n: usize| (0..n).map(|i| i.to_string()).collect::<Vec<_>>().join("\n");
        assert_eq!(read(&many(12), &many(12)), Ok(12));
        assert_eq!(read(&many(13), &many(13)), Err(ChoicesFault::Number));
        assert_eq!(read("Yes\nNo", "Sí"), Err(ChoicesFault::Unequal));
        assert_eq!(read("Yes\nyes", "Sí\nNo"), Err(ChoicesFault::Twice));
        assert_eq!(read("Yes\nNo", "No\nno"), Err(ChoicesFault::Twice));
    }

    #[test]
    fn family_4_an_answer_is_a_choice_or_none_and_nothing_else() {
        let choices = Choices::read("A\nB\nC", "A\nB\nC").expect("choices");
        for (typed, answer) in [
            ("", Some(None)),
            ("none", Some(None)),
            ("1", Some(Some(1))),
            ("3", Some(Some(3))),
            ("0", None),
            ("4", None),
            ("-1", None),
            ("+1", None),
            ("01", None),
            ("A", None),
        ] {
            assert_eq!(choices.answer(typed), answer, "{typed:?}");
        }
    }
}
