//! What somebody typed to find a person: the beginnings of names, or digits of a telephone.

use super::name_form::words_of;

/// Fewer digits stand in too many telephones.
const LEAST_DIGITS: usize = 4;

/// A search for a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonSearch {
    words: Vec<String>,
    digits: String,
}

impl PersonSearch {
    /// Reads what was typed, names and a telephone in any order.
    #[must_use]
    pub fn read(typed: &str) -> Self {
        let is_number = |word: &String| word.chars().all(|letter| letter.is_ascii_digit());
        Self {
            words: words_of(typed).into_iter().filter(|word| !is_number(word)).collect(),
            digits: typed.chars().filter(char::is_ascii_digit).collect(),
        }
    }

    /// Whether it finds somebody with these names and this telephone, as dialled: each word begins one of the names'
    /// words, and the digits stand in the telephone. Nothing typed finds nobody.
    #[must_use]
    pub fn finds(&self, names: &[&str], phone: &str) -> bool {
        let there: Vec<String> = names.iter().flat_map(|name| words_of(name)).collect();
        let by_name = self.words.iter().all(|word| there.iter().any(|known| known.starts_with(word.as_str())));
        let by_phone = self.digits.is_empty() || (self.digits.len() >= LEAST_DIGITS && phone.contains(&self.digits));
        !(self.words.is_empty() && self.digits.is_empty()) && by_name && by_phone
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_3_a_person_is_found_by_the_beginnings_of_names_or_a_piece_of_a_telephone() {
        let names = ["Zoë Marisol", "Okafor-Lindqvist", "Ingrid", "Lindqvist"];
        for (typed, found) in [
            ("zoe", true),
            ("ZOË oka", true),
            ("lindqvist zo", true),
            ("okafor-lindqvist", true),
            ("(406) 555-0118", true),
            ("0118", true),
            ("zoë 5550118", true),
            ("oe", false),
            ("zoey", false),
            ("118", false),
            ("0119", false),
            ("otto 0118", false),
            ("", false),
            (" - ", false),
        ] {
            assert_eq!(PersonSearch::read(typed).finds(&names, "+14065550118"), found, "{typed:?}");
        }
    }
}
