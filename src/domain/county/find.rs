//! Finding the county that a person typed, by code or by name.
//!
//! It compares with the list handed to it; it guesses no county from an address or a post code.

use super::{County, Fips, StateFips};

/// What a typed county turned out to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lookup<'a> {
    /// Exactly one county of the state answers to it.
    Found(&'a County),
    /// Several do; the person picks one by [`County::label`].
    Ambiguous(Vec<&'a County>),
    /// None does.
    Unknown,
}

/// Finds the county that a person typed, by code or by name, within a state.
///
/// Case, accents, points, apostrophes and spaces do not matter; "County" or "Parish" may follow the name. Where a
/// county and a city share a name, that word tells them apart; the bare name is ambiguous.
#[must_use]
pub fn find<'a>(list: &'a [County], state: StateFips, typed: &str) -> Lookup<'a> {
    let typed = typed.trim();
    let in_state = || list.iter().filter(|county| county.fips.state() == state);
    if let Ok(code) = typed.parse::<Fips>() {
        return one_of(in_state().filter(|county| county.fips == code).collect());
    }
    let key = name_key(typed);
    let named: Vec<_> = in_state().filter(|county| name_key(&county.name) == key).collect();
    if key.is_empty() || !named.is_empty() {
        return one_of(named);
    }
    let Some((key, kind)) = without_kind(&key) else {
        return Lookup::Unknown;
    };
    let of_kind = |county: &&County| kind.is_none_or(|city| county.fips.is_city() == city);
    one_of(in_state().filter(|county| name_key(&county.name) == key).filter(of_kind).collect())
}

fn one_of(found: Vec<&County>) -> Lookup<'_> {
    match found[..] {
        [] => Lookup::Unknown,
        [one] => Lookup::Found(one),
        _ => Lookup::Ambiguous(found),
    }
}

/// Takes the word for the kind of area off a key, and says whether that word means a city or a county.
fn without_kind(key: &str) -> Option<(&str, Option<bool>)> {
    /// Longest first where one ends in another. `Some(true)`: a city alone; `None`: either.
    const KINDS: [(&str, Option<bool>); 9] = [
        ("cityandborough", Some(false)),
        ("planningregion", Some(false)),
        ("censusarea", Some(false)),
        ("municipality", Some(false)),
        ("borough", Some(false)),
        ("county", Some(false)),
        ("parish", Some(false)),
        ("region", None),
        ("city", Some(true)),
    ];
    let cut = |(word, city)| key.strip_suffix(word).map(|rest| (rest, city));
    KINDS.into_iter().find_map(cut).filter(|(rest, _)| !rest.is_empty())
}

/// The letters and digits of a name, folded so that two spellings of one name are equal.
fn name_key(name: &str) -> String {
    let lower = name.to_lowercase().replace('&', " and ");
    let words = lower.split_whitespace().map(|word| match word {
        "saint" => "st",
        "sainte" => "ste",
        other => other,
    });
    words.flat_map(str::chars).map(plain_letter).filter(|letter| letter.is_alphanumeric()).collect()
}

/// The letter without its accent; a loose accent (as in a decomposed "n" + tilde) becomes a space.
fn plain_letter(letter: char) -> char {
    match letter {
        'à'..='å' => 'a',
        'ç' => 'c',
        'è'..='ë' => 'e',
        'ì'..='ï' => 'i',
        'ñ' => 'n',
        'ò'..='ö' => 'o',
        'ù'..='ü' => 'u',
        '\u{300}'..='\u{36f}' => ' ',
        other => other,
    }
}
