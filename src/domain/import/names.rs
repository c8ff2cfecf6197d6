//! A name that stands in one cell, parted into given and family name. Common practice, no source: the preview shows how
//! each name was parted, and a sheet with two columns needs none of this.

use crate::domain::words::WordFault;

/// Why a name cannot be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NameFault {
    /// Nothing is there.
    Missing,
    /// It cannot be told what is the given name: "Smith, Jr.".
    Unclear,
    /// It is too long, or holds characters that no name has.
    Malformed,
}

impl NameFault {
    /// What a word of a name that cannot be taken means here.
    pub(super) fn of(fault: WordFault) -> Self {
        match fault {
            WordFault::Empty => Self::Missing,
            WordFault::TooLong { .. } | WordFault::Malformed => Self::Malformed,
        }
    }
}

/// What follows a family name and is none.
const SUFFIXES: &[&str] = &["jr", "sr", "ii", "iii", "iv", "v"];

/// Words that begin a family name.
const PARTICLES: &[&str] = &[
    "al", "bin", "da", "de", "del", "den", "der", "di", "dos", "du", "el", "la", "las", "le", "los", "san", "santa",
    "st", "ten", "ter", "van", "von", "y",
];

fn bare(word: &str) -> String {
    word.trim_end_matches('.').to_lowercase()
}

fn is_suffix(part: &str) -> bool {
    SUFFIXES.contains(&bare(part).as_str())
}

/// Given and family name; the family name is empty for people with one name. A comma parts "Family, Given"; a suffix such
/// as Jr. stays with the family name; without a comma the last word, with the particles before it, is the family name.
///
/// # Errors
/// `Missing` for nothing, `Unclear` when the given name cannot be told.
pub fn whole_name(text: &str) -> Result<(String, String), NameFault> {
    let parts: Vec<&str> = text.split(',').map(str::trim).filter(|part| !part.is_empty()).collect();
    let (suffixes, names): (Vec<&str>, Vec<&str>) = parts.into_iter().partition(|part| is_suffix(part));
    let with_suffix = |family: &str| match suffixes.as_slice() {
        [] => family.to_owned(),
        [suffix] => format!("{family} {suffix}"),
        _ => family.to_owned(),
    };
    match (names.as_slice(), suffixes.len()) {
        ([], 0) => Err(NameFault::Missing),
        (_, 2..) | ([], _) | ([_, _, _, ..], _) => Err(NameFault::Unclear),
        ([family, given], _) => Ok(((*given).to_owned(), with_suffix(family))),
        ([whole], with) => {
            let words: Vec<&str> = whole.split_whitespace().collect();
            match words.as_slice() {
                // One word before a suffix is a family name, and nobody says whose.
                [_] if with > 0 => Err(NameFault::Unclear),
                [given] => Ok(((*given).to_owned(), String::new())),
                _ => Ok(by_words(&words, &with_suffix)),
            }
        }
    }
}

fn by_words(words: &[&str], with_suffix: &dyn Fn(&str) -> String) -> (String, String) {
    let has_suffix = words.len() > 2 && is_suffix(words[words.len() - 1]);
    let mut first = words.len() - if has_suffix { 2 } else { 1 };
    while first > 1 && PARTICLES.contains(&bare(words[first - 1]).as_str()) {
        first -= 1;
    }
    (words[..first].join(" "), with_suffix(&words[first..].join(" ")))
}
