//! What instructors talk about beside the lessons: law, roads, passengers, alcohol, land. Data with words of our own; holds none.

use serde::{Deserialize, Serialize};

use super::curriculum::{LocalText, SourceMark};

/// One talk of a few minutes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Talk {
    /// Its name in addresses.
    pub key: String,
    /// What it is about.
    pub title: LocalText,
    /// What is said, a sentence or two each.
    pub points: Vec<LocalText>,
    /// Where it comes from.
    pub source: String,
    /// How well it is founded.
    pub mark: SourceMark,
}

/// All talks in order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Talks {
    /// The talks.
    pub talks: Vec<Talk>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::words::{Lang, Word};

    const SHIPPED: &str = include_str!("../../seed/talks.toml");

    /// The topics of an approved course that are not taught on the machine: state law, crossing roads, alcohol and drugs, courtesy
    /// and low impact (Utah Administrative Code R650-412-3, paraphrased), and passengers (federal consumer advice, atvsafety.gov).
    #[test]
    fn day_8_law_roads_passengers_alcohol_and_land_are_talked_about_in_both_languages() {
        let shipped: Talks = toml::from_str(SHIPPED).expect("the talks are sound");
        let keys: Vec<&str> = shipped.talks.iter().map(|talk| talk.key.as_str()).collect();
        assert_eq!(keys, ["law", "roads", "passengers", "alcohol", "land"]);
        for talk in &shipped.talks {
            assert!((3..=6).contains(&talk.points.len()) && !talk.source.is_empty(), "{}", talk.key);
            for text in talk.points.iter().chain([&talk.title]) {
                assert!(Lang::ALL.iter().all(|lang| !text.in_lang(*lang).trim().is_empty()), "{}", talk.key);
                assert_ne!(text.en, text.es, "{}", talk.key);
            }
        }
        let said = |key: &str, word: &str| {
            let talk = shipped.talks.iter().find(|talk| talk.key == key).expect("a talk");
            assert!(talk.points.iter().any(|point| point.en.contains(word)), "{key}: {word}");
        };
        said("roads", "Cross");
        said("roads", "paved");
        said("passengers", "One seat, one rider");
        said("alcohol", "alcohol");
        said("land", "gates");
        said("law", "under 16");
    }
}
