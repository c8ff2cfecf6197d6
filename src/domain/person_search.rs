//! What somebody typed to find a person: the beginnings of names, or digits of a telephone.

use super::name_form::words_of;

/// Fewer digits stand in too many telephones.
const LEAST_DIGITS: usize = 4;

/// A search for a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonSearch {
    /// Beginnings of words of a name, as names are compared.
    pub words: Vec<String>,
    /// Digits that stand in a telephone; none to go by the name alone.
    pub digits: String,
}

impl PersonSearch {
    /// Reads what was typed, names and a telephone in any order. None when that finds nobody.
    #[must_use]
    pub fn read(typed: &str) -> Option<Self> {
        let is_number = |word: &String| word.chars().all(|letter| letter.is_ascii_digit());
        let words: Vec<String> = words_of(typed).into_iter().filter(|word| !is_number(word)).collect();
        let digits: String = typed.chars().filter(char::is_ascii_digit).collect();
        let finds = if digits.is_empty() { !words.is_empty() } else { digits.len() >= LEAST_DIGITS };
        finds.then_some(Self { words, digits })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_3_names_and_a_telephone_are_read_in_any_order_and_too_little_finds_nobody() {
        for (typed, expected) in [
            ("zoe", Some((&["zoe"][..], ""))),
            ("ZOË oka", Some((&["zoe", "oka"], ""))),
            ("okafor-lindqvist", Some((&["okafor", "lindqvist"], ""))),
            ("(406) 555-0118", Some((&[], "4065550118"))),
            ("0118", Some((&[], "0118"))),
            ("zoë 5550118", Some((&["zoe"], "5550118"))),
            ("100%_", None),
            ("118", None),
            ("zoe 118", None),
            ("", None),
            (" - ", None),
        ] {
            let read = PersonSearch::read(typed).map(|search| (search.words, search.digits));
            let expected = expected
                .map(|(words, digits)| (words.iter().map(ToString::to_string).collect::<Vec<_>>(), digits.to_owned()));
            assert_eq!(read, expected, "{typed:?}");
        }
    }
}
