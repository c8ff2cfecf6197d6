//! One consent text in both languages while it is edited: its parts, its clauses, its faults. Must not know who approves it.

use serde::{Deserialize, Serialize};

use super::{Clause, ConsentFault, ConsentText};
use crate::domain::curriculum::LocalText;
use crate::domain::rule_setting::{RuleSetting, RuleUnit, RuleValue, SettingFault};
use crate::domain::words::Lang;

/// The most letters of one part.
const MOST: usize = 2_000;

/// A text in both languages; their clauses carry the same keys in the same order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConsentPair {
    /// As read in English.
    pub en: ConsentText,
    /// As read in Spanish.
    pub es: ConsentText,
}

impl ConsentPair {
    /// The text of one language.
    pub fn in_lang(&self, lang: Lang) -> &ConsentText {
        match lang {
            Lang::En => &self.en,
            Lang::Es => &self.es,
        }
    }

    /// Everything wrong with either language.
    pub fn faults(&self) -> Vec<ConsentFault> {
        let mut faults = self.en.faults();
        faults.extend(self.es.faults().into_iter().filter(|fault| !self.en.faults().contains(fault)));
        faults
    }

    /// The same text as the next version of the program's own: no longer the sample that ships.
    pub fn as_own(mut self, version: i64) -> Self {
        for text in [&mut self.en, &mut self.es] {
            (text.version, text.sample, text.sample_notice) = (version, false, None);
        }
        self
    }

    /// Its parts as settings, beside what ships.
    pub fn settings(&self, shipped: &ConsentPair) -> Vec<RuleSetting> {
        let mut all = vec![self.part(shipped, "title", "Title"), self.part(shipped, "summary", "Plain summary")];
        if self.en.caution.is_some() {
            all.insert(1, self.part(shipped, "caution", "What doctors advise"));
        }
        for (clause, number) in self.en.clauses.iter().zip(1..) {
            all.push(self.part(shipped, &format!("clause.{}", clause.key), &format!("Clause {number}")));
        }
        all
    }

    fn part(&self, shipped: &ConsentPair, key: &str, label: &str) -> RuleSetting {
        RuleSetting {
            key: key.to_owned(),
            group: if key.starts_with("clause.") { "Clauses, each with a tick" } else { "Head of the text" }.to_owned(),
            label: label.to_owned(),
            hint: "Families read it in the language of their page.".to_owned(),
            unit: RuleUnit::Words(MOST),
            now: RuleValue::Words(self.words(key).unwrap_or_default()),
            shipped: shipped.words(key).map(RuleValue::Words),
            bounds: (0, 0),
            may_be_open: false,
            mark: None,
            source: String::new(),
        }
    }

    fn words(&self, key: &str) -> Option<LocalText> {
        let of = |text: &ConsentText| match key.strip_prefix("clause.") {
            Some(key) => text.clauses.iter().find(|clause| clause.key == key).map(|clause| clause.text.clone()),
            None if key == "title" => Some(text.title.clone()),
            None if key == "summary" => Some(text.summary.clone()),
            None if key == "caution" => text.caution.clone(),
            None => None,
        };
        Some(LocalText { en: of(&self.en)?, es: of(&self.es)? })
    }

    /// Sets one part.
    ///
    /// # Errors
    /// `Unknown` for a part that there is none of.
    pub fn set(&mut self, key: &str, words: LocalText) -> Result<(), SettingFault> {
        self.words(key).ok_or(SettingFault::Unknown)?;
        for (text, words) in [(&mut self.en, words.en), (&mut self.es, words.es)] {
            match key.strip_prefix("clause.") {
                Some(key) => {
                    for clause in text.clauses.iter_mut().filter(|clause| clause.key == key) {
                        clause.text.clone_from(&words);
                    }
                }
                None if key == "title" => text.title = words,
                None if key == "summary" => text.summary = words,
                None => text.caution = Some(words),
            }
        }
        Ok(())
    }

    /// Adds an empty clause at the end; gives its key.
    pub fn add_clause(&mut self) -> String {
        let taken = |key: &str| self.en.clauses.iter().any(|clause| clause.key == key);
        let key = (1..).map(|number| format!("own_{number}")).find(|key| !taken(key)).expect("numbers do not end");
        for text in [&mut self.en, &mut self.es] {
            text.clauses.push(Clause { key: key.clone(), text: String::new() });
        }
        key
    }

    /// Takes a clause out.
    pub fn remove_clause(&mut self, key: &str) -> bool {
        let before = self.en.clauses.len();
        for text in [&mut self.en, &mut self.es] {
            text.clauses.retain(|clause| clause.key != key);
        }
        self.en.clauses.len() < before
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair() -> ConsentPair {
        ConsentPair {
            en: toml::from_str(include_str!("../../../seed/consents/ride.en.toml")).unwrap(),
            es: toml::from_str(include_str!("../../../seed/consents/ride.es.toml")).unwrap(),
        }
    }

    #[test]
    fn saturday_2_a_clause_is_added_written_and_removed_in_both_languages_at_once() {
        let mut text = pair();
        let key = text.add_clause();
        assert_eq!(text.faults().len(), 1, "the empty clause: {:?}", text.faults());
        let words = LocalText { en: "I bring water.".into(), es: "Llevo agua.".into() };
        text.set(&format!("clause.{key}"), words).unwrap();
        assert!(text.faults().is_empty());
        assert_eq!(text.en.clauses.len(), text.es.clauses.len());
        assert!(text.remove_clause(&key) && !text.remove_clause(&key));
        assert_eq!(text, pair());
        assert_eq!(text.set("clause.moon", LocalText::default()), Err(SettingFault::Unknown));
    }

    #[test]
    fn saturday_2_the_programs_own_version_no_longer_says_that_it_is_a_sample() {
        let own = pair().as_own(2);
        assert!(own.faults().is_empty() && !own.en.shown_text().contains("SAMPLE"));
        assert_ne!(own.en.shown_text(), pair().en.shown_text());
    }
}
