//! The certificate of completion as a rule: the code that is its number, and what a stranger is told about it.
//! Draws no random bits, reads no clock and knows no page: bits and days are handed in.

use chrono::NaiveDate;
use thiserror::Error;

use super::people::{LeapRule, reaches_age};

/// The 32 characters of a code in the order of their values 0 to 31: digits and capitals without I, L, O and U.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Characters that carry the random bits: 20 of five bits each.
const PAYLOAD: usize = 20;
/// Payload and the two check digits.
const LENGTH: usize = PAYLOAD + 2;
/// The random bits in a code.
pub const CODE_BITS: u32 = 100;

/// The code of a certificate, which is also its number: 100 random bits in 20 characters, then two check digits.
///
/// The check is ISO/IEC 7064 MOD 97-10 with letters counted as 10 to 35. Each character is written with two digits
/// first (`7` as `07`, `A` as `10`). At one width every wrong character and every swapped pair is found; joining `7`
/// and `10` as they stand would let about one wrong character in 200 pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CertificateCode([u8; LENGTH]);

/// Why a typed text is no certificate code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum BadCode {
    /// Not 22 characters once spaces and dashes are taken out.
    #[error("a certificate code has 22 characters")]
    Length,
    /// A character that no code has.
    #[error("a certificate code has no such character")]
    Character,
    /// Well formed, but the check digits do not agree: a slip in typing.
    #[error("the check digits of the certificate code do not agree")]
    Check,
}

impl CertificateCode {
    /// Makes the code of 100 random bits; anything above the low 100 bits is dropped.
    pub fn from_bits(bits: u128) -> Self {
        let mut code = [b'0'; LENGTH];
        for (place, character) in code[..PAYLOAD].iter_mut().enumerate() {
            let shift = CODE_BITS as usize - 5 * (place + 1);
            *character = ALPHABET[((bits >> shift) & 31) as usize];
        }
        let check = check_of(&code[..PAYLOAD]);
        code[PAYLOAD] = b'0' + check / 10;
        code[PAYLOAD + 1] = b'0' + check % 10;
        Self(code)
    }

    /// Reads what a person typed: any case, spaces and dashes anywhere, O for 0, I or L for 1.
    ///
    /// # Errors
    /// [`BadCode`] says what is wrong: a strange character first, then the length, then the check.
    pub fn parse(typed: &str) -> Result<Self, BadCode> {
        let mut code = [b'0'; LENGTH];
        let mut length = 0;
        for character in typed.chars().filter(|c| !is_filler(*c)) {
            let read = reading(character).ok_or(BadCode::Character)?;
            *code.get_mut(length).ok_or(BadCode::Length)? = read;
            length += 1;
        }
        if length != LENGTH {
            return Err(BadCode::Length);
        }
        let [tens, units] = [code[PAYLOAD], code[PAYLOAD + 1]];
        if !tens.is_ascii_digit() || !units.is_ascii_digit() {
            return Err(BadCode::Character);
        }
        if (tens - b'0') * 10 + (units - b'0') != check_of(&code[..PAYLOAD]) {
            return Err(BadCode::Check);
        }
        Ok(Self(code))
    }

    /// The 22 characters as stored and as they stand in the address of the check page.
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).expect("a code holds ASCII characters alone")
    }

    /// The code for people to read aloud and copy: groups of four, the check digits last.
    pub fn grouped(&self) -> String {
        let groups: Vec<&str> =
            (0..LENGTH).step_by(4).map(|start| &self.as_str()[start..LENGTH.min(start + 4)]).collect();
        groups.join("-")
    }
}

impl std::fmt::Display for CertificateCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

/// The check number, 2 to 98, of a string of decimal digits after ISO/IEC 7064 MOD 97-10: written behind them with
/// two digits, it makes the whole number leave 1 when divided by 97. `794` gives 44. `None` if a byte is no digit.
pub fn mod9710(digits: &[u8]) -> Option<u8> {
    let mut rest = 0_u32;
    for digit in digits {
        if !digit.is_ascii_digit() {
            return None;
        }
        rest = (rest * 10 + u32::from(digit - b'0')) % 97;
    }
    u8::try_from(98 - rest * 100 % 97).ok()
}

/// The check number of a payload, each character first written as its two digits.
fn check_of(payload: &[u8]) -> u8 {
    let digits: Vec<u8> = payload
        .iter()
        .map(|c| if c.is_ascii_digit() { c - b'0' } else { c - b'A' + 10 })
        .flat_map(|value| [b'0' + value / 10, b'0' + value % 10])
        .collect();
    mod9710(&digits).expect("every character was written as two digits")
}

/// What people put between the characters of a code: spaces of any kind and dashes of any length.
fn is_filler(character: char) -> bool {
    character.is_whitespace() || matches!(character, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}')
}

/// The character of the alphabet that a typed one stands for.
fn reading(typed: char) -> Option<u8> {
    let capital = u8::try_from(typed).ok()?.to_ascii_uppercase();
    let read = match capital {
        b'O' => b'0',
        b'I' | b'L' => b'1',
        other => other,
    };
    ALPHABET.contains(&read).then_some(read)
}

/// The first day on which a certificate counts: the day of completion, or the later birthday on which the rider reaches
/// the least age of the rule.
pub fn counts_from(completed_on: NaiveDate, birth: NaiveDate, least_age: i64, rule: LeapRule) -> NaiveDate {
    completed_on.max(reaches_age(birth, least_age, rule))
}

/// The initials of a name, first and last word: all that a stranger is told of it. `Zoë Okafor-Lindqvist` gives `Z. O.`
pub fn initials(name: &str) -> String {
    let mut words = name.split_whitespace().filter_map(|word| word.chars().next());
    let first = words.next();
    let letters = first.into_iter().chain(words.next_back());
    letters.map(|letter| format!("{}.", letter.to_uppercase())).collect::<Vec<_>>().join(" ")
}

/// What the program knows of a certificate when a stranger asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CertificateRecord {
    /// The first day on which it counts: the day of completion, or a later birthday where the rule says so.
    pub valid_from: NaiveDate,
    /// Whether the session has been closed. A code reserved for the field stands unconfirmed until then.
    pub confirmed: bool,
    /// The day on which it was taken back, if it was.
    pub revoked_on: Option<NaiveDate>,
}

/// The answer to "is this certificate real?" on one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CertificateState {
    /// Given by this program, not taken back, and it counts on the day asked.
    Valid,
    /// Given, but it counts from this later day on.
    ValidFrom(NaiveDate),
    /// The code was reserved for a session that is not closed yet.
    NotYetConfirmed,
    /// Taken back; it counts no more.
    Revoked,
    /// No certificate of this program has this code.
    Unknown,
}

impl CertificateState {
    /// Decides the state of a record, or of its absence, on a day in the program's time zone.
    pub fn on(day: NaiveDate, record: Option<&CertificateRecord>) -> Self {
        match record {
            None => Self::Unknown,
            Some(record) if record.revoked_on.is_some() => Self::Revoked,
            Some(record) if !record.confirmed => Self::NotYetConfirmed,
            Some(record) if day < record.valid_from => Self::ValidFrom(record.valid_from),
            Some(_) => Self::Valid,
        }
    }
}

#[cfg(test)]
mod tests;
