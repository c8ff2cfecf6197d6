//! Names as they are compared: whether two spellings may be one name. Errs on the careful side; decides about nobody.

use unicode_normalization::UnicodeNormalization;

/// The words of a name as they are compared: lower case, without accents or marks; hyphens part words.
#[must_use]
pub fn words_of(name: &str) -> Vec<String> {
    let words = name.split(|c: char| c.is_whitespace() || c == '-');
    words.map(folded).filter(|word| !word.is_empty()).collect()
}

/// Lower case, without accents or marks.
fn folded(word: &str) -> String {
    let plain = |letter: char| match letter {
        'ł' => 'l',
        'ø' => 'o',
        'đ' | 'ð' => 'd',
        other => other,
    };
    word.to_lowercase().nfd().filter(|letter| letter.is_alphanumeric()).map(plain).collect()
}

/// Equal, or words of which one has four letters or more, with one letter changed, added or left out.
#[must_use]
pub fn alike(one: &str, other: &str) -> bool {
    if one == other {
        return true;
    }
    let (one, other): (Vec<char>, Vec<char>) = (one.chars().collect(), other.chars().collect());
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    if long.len() < 4 || long.len() - short.len() > 1 {
        return false;
    }
    let same_head = short.iter().zip(&long).take_while(|(a, b)| a == b).count();
    let (rest, long_rest) = (&short[same_head..], &long[same_head + 1..]);
    if short.len() == long.len() { rest[1..] == *long_rest } else { rest == long_rest }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn u37_a_name_is_the_same_whatever_its_case_accents_and_hyphens() {
        let words = |list: &[&str]| list.iter().map(ToString::to_string).collect::<Vec<_>>();
        assert_eq!(words_of("  Zoë-Marisol  ÅSTRÖM "), words(&["zoe", "marisol", "astrom"]));
        assert_eq!(words_of("Łukasz Đặng"), words(&["lukasz", "dang"]));
        assert_eq!(words_of("O’Brien"), words(&["obrien"]));
        assert!(words_of(" - ").is_empty());
    }

    #[test]
    fn u37_one_letter_off_may_be_the_same_word_unless_it_is_short() {
        for (one, other, same) in [
            ("marcus", "marcus", true),
            ("marcus", "markus", true),
            ("jon", "john", true),
            ("ana", "anna", true),
            ("ana", "ane", false),
            ("lee", "leo", false),
            ("marcus", "marius", true),
            ("marcus", "mario", false),
            ("sofia", "sophia", false),
        ] {
            assert_eq!(alike(one, other), same, "{one} {other}");
        }
    }
}
