//! Words parsed once at the edge: after that a name is a name and an e-mail address is one.
//! Closed word lists are enums with one spelling each for storage; what people read comes from the translations.

use std::fmt;

/// Why a typed word was not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WordFault {
    /// Nothing but white space was typed.
    Empty,
    /// More characters than the field keeps.
    TooLong {
        /// The most it keeps.
        most: usize,
    },
    /// A control character, or a form that this word never has.
    Malformed,
}

/// An enum of stored words. `as_str` and `from_word` are exact inverses.
pub trait Word: Copy + Sized + 'static {
    /// The name of the list, for errors.
    const LIST: &'static str;
    /// Every word, in the order of the list.
    const ALL: &'static [Self];
    /// The stored spelling.
    fn as_str(self) -> &'static str;
    /// The word of that exact spelling.
    fn from_word(text: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|word| word.as_str() == text)
    }
}

/// Declares an enum of stored words.
macro_rules! word_list {
    ($(#[$doc:meta])* $name:ident { $($(#[$item_doc:meta])* $item:ident = $text:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $($(#[$item_doc])* #[serde(rename = $text)] $item,)+
        }
        impl $crate::domain::words::Word for $name {
            const LIST: &'static str = stringify!($name);
            const ALL: &'static [Self] = &[$(Self::$item,)+];
            fn as_str(self) -> &'static str {
                match self { $(Self::$item => $text,)+ }
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str($crate::domain::words::Word::as_str(*self))
            }
        }
    };
}
pub(crate) use word_list;

word_list! {
    /// A language that pages and texts are written in.
    Lang {
        /// English.
        En = "en",
        /// Spanish.
        Es = "es",
    }
}

impl Lang {
    /// The language a two-letter code names.
    pub fn parse(code: &str) -> Option<Self> {
        Self::from_word(code)
    }
}

fn tidy(typed: &str, most: usize) -> Result<String, WordFault> {
    let one_line = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    if one_line.is_empty() {
        return Err(WordFault::Empty);
    }
    if one_line.chars().count() > most {
        return Err(WordFault::TooLong { most });
    }
    if one_line.chars().any(|c| c.is_control() || is_direction_mark(c)) {
        return Err(WordFault::Malformed);
    }
    Ok(one_line)
}

/// Characters that turn the direction of the text around them: they have no place in a name and can hide one.
fn is_direction_mark(c: char) -> bool {
    matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}')
}

/// A line of text that a person typed: white space folded, no control characters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line(String);

impl Line {
    /// Takes at most `most` characters.
    pub fn parse(typed: &str, most: usize) -> Result<Self, WordFault> {
        tidy(typed, most).map(Self)
    }
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
    /// The text, given away.
    pub fn into_string(self) -> String {
        self.0
    }
}

/// A person's name: a given name, and a family name that may be empty (people with one name).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonName {
    given: String,
    family: String,
}

impl PersonName {
    /// The most characters that each part keeps.
    pub const MOST: usize = 120;

    /// Any letters of any script; only the given name is needed.
    pub fn parse(given: &str, family: &str) -> Result<Self, WordFault> {
        let given = tidy(given, Self::MOST)?;
        let family = match tidy(family, Self::MOST) {
            Err(WordFault::Empty) => String::new(),
            other => other?,
        };
        Ok(Self { given, family })
    }
    /// The given name, or the only one.
    pub fn given(&self) -> &str {
        &self.given
    }
    /// The family name; empty for people with one name.
    pub fn family(&self) -> &str {
        &self.family
    }
}

impl fmt::Display for PersonName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&full_name(&self.given, &self.family))
    }
}

/// Given and family name in one line.
pub fn full_name(given: &str, family: &str) -> String {
    if family.is_empty() { given.to_owned() } else { format!("{given} {family}") }
}

/// An e-mail address. Kept in lower case for its domain and as typed before the @; compared without case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Email(String);

impl Email {
    /// One `@`, something on both sides, a dot in the domain, no white space or control characters.
    pub fn parse(typed: &str) -> Result<Self, WordFault> {
        let text = tidy(typed, 254)?;
        let (local, domain) = text.rsplit_once('@').ok_or(WordFault::Malformed)?;
        let odd = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | '<' | '>' | '(' | ')' | '"' | '@' | '\\');
        let dotted = domain.split('.').count() > 1 && domain.split('.').all(|part| !part.is_empty());
        if local.is_empty() || local.len() > 64 || !dotted || local.chars().any(odd) || domain.chars().any(odd) {
            return Err(WordFault::Malformed);
        }
        Ok(Self(format!("{local}@{domain}").to_lowercase()))
    }
    /// The address.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A telephone number: 7 to 15 digits with an optional leading plus; spaces, dots, dashes and brackets are dropped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Phone(String);

impl Phone {
    /// Accepts what people type; ten digits are read as a United States number.
    pub fn parse(typed: &str) -> Result<Self, WordFault> {
        let text = tidy(typed, 40)?;
        let plus = text.starts_with('+');
        let rest = text.strip_prefix('+').unwrap_or(&text);
        if rest.chars().any(|c| !c.is_ascii_digit() && !matches!(c, ' ' | '.' | '-' | '(' | ')' | '/')) {
            return Err(WordFault::Malformed);
        }
        let digits: String = rest.chars().filter(char::is_ascii_digit).collect();
        match (plus, digits.len()) {
            (true, 7..=15) => Ok(Self(format!("+{digits}"))),
            (false, 10) => Ok(Self(format!("+1{digits}"))),
            (false, 11) if digits.starts_with('1') => Ok(Self(format!("+{digits}"))),
            _ => Err(WordFault::Malformed),
        }
    }
    /// As dialled: a plus and digits.
    pub fn as_str(&self) -> &str {
        &self.0
    }
    /// As people read it: `(406) 555-0142` for United States numbers.
    pub fn shown(stored: &str) -> String {
        match stored.strip_prefix("+1") {
            Some(d) if d.len() == 10 => format!("({}) {}-{}", &d[..3], &d[3..6], &d[6..]),
            _ => stored.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_2_names_of_one_word_and_of_any_letters_pass() {
        for (given, family) in
            [("Suri", ""), ("Zoë Marisol", "Okafor-Lindqvist"), ("Nguyễn", "Thị"), ("Łukasz", "O’Dell")]
        {
            assert_eq!(PersonName::parse(given, family).map(|n| n.to_string()), Ok(full_name(given, family)));
        }
        assert_eq!(PersonName::parse("  ", "x"), Err(WordFault::Empty));
        assert_eq!(PersonName::parse("a\u{202E}b", ""), Err(WordFault::Malformed));
        assert_eq!(PersonName::parse(&"a".repeat(121), ""), Err(WordFault::TooLong { most: 120 }));
    }

    #[test]
    fn house_2_phones_are_taken_with_spaces_dashes_and_dots() {
        for typed in ["(406) 555-0142", "406.555.0142", "1 406 555 0142", "+1 406 555-0142"] {
            assert_eq!(Phone::parse(typed).map(|p| p.as_str().to_owned()), Ok("+14065550142".to_owned()), "{typed}");
        }
        assert_eq!(Phone::parse("555-0142"), Err(WordFault::Malformed));
        assert_eq!(Phone::shown("+14065550142"), "(406) 555-0142");
    }

    #[test]
    fn house_2_an_address_needs_both_sides_and_a_dotted_domain() {
        assert_eq!(Email::parse(" I.Lindqvist@Example.ORG ").map(|e| e.0), Ok("i.lindqvist@example.org".to_owned()));
        for bad in ["a", "@b.c", "a@", "a@b", "a b@c.d", "a@b..c", "a@b.c,d@e.f", "a\r\nBcc: x@y.z"] {
            assert!(Email::parse(bad).is_err(), "{bad}");
        }
    }
}
