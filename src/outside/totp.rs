//! The second step: six digits that an app on the person's own phone shows, new every thirty seconds (RFC 6238 with
//! SHA-1, as every such app reads it). Must not keep a secret or count tries.

use chrono::NaiveDateTime;
use totp_rs::{Builder, Secret, Totp};
use zeroize::Zeroizing;

use super::random::Random;

/// Bytes of a secret: 160 bits, as RFC 4226 section 4 recommends.
pub const SECRET: usize = 20;

/// A secret that the person's app and the program share. Never printed.
#[derive(Clone)]
pub struct SharedSecret(Zeroizing<[u8; SECRET]>);

impl SharedSecret {
    /// A new one.
    pub fn draw(random: &Random) -> Self {
        Self(Zeroizing::new(random.bytes()))
    }

    /// One that was kept. `None` when it has the wrong length.
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(|bytes| Self(Zeroizing::new(bytes)))
    }

    /// Its bytes, to be sealed.
    pub fn bytes(&self) -> &[u8; SECRET] {
        &self.0
    }

    /// As people type it into an app that cannot scan: base32 in groups of four.
    pub fn text(&self) -> String {
        let whole = Secret::new_stack(*self.0).to_base32();
        let groups: Vec<&str> =
            whole.as_bytes().chunks(4).filter_map(|group| std::str::from_utf8(group).ok()).collect();
        groups.join(" ")
    }

    /// The address that an app scans. `None` when a name has no place in one.
    pub fn address(&self, program: &str, person: &str) -> Option<String> {
        let plain = |text: &str| text.replace(':', " ");
        let app = self.builder().with_account_name(plain(person)).with_issuer(Some(plain(program))).build().ok()?;
        app.to_url().ok()
    }

    /// The step of a code that is right now, or was one step ago, or will be one step on; `None` when it is wrong.
    /// A step is the count of thirty seconds since 1970.
    pub fn step_of(&self, code: &str, now: NaiveDateTime) -> Option<i64> {
        let seconds = u64::try_from(now.and_utc().timestamp()).ok()?;
        self.app()?.check(code, seconds).and_then(|step| i64::try_from(step).ok())
    }

    /// The code that an app shows at an instant.
    pub fn code(&self, now: NaiveDateTime) -> Option<String> {
        let seconds = u64::try_from(now.and_utc().timestamp()).ok()?;
        Some(self.app()?.generate(seconds).to_string())
    }

    fn app(&self) -> Option<Totp> {
        self.builder().with_account_name("waymark").build().ok()
    }

    fn builder(&self) -> Builder {
        Builder::new().with_secret(Secret::new_stack(*self.0)).with_skew(1)
    }
}

/// How many recovery codes a person gets (bar S13).
pub const RECOVERY_CODES: usize = 10;

/// New recovery codes: sixteen letters and digits each, 76 random bits, in groups of four.
pub fn draw_recovery_codes(random: &Random) -> Vec<String> {
    let code = || {
        let letters = random.reference() + &random.reference()[..3];
        [&letters[..4], &letters[4..8], &letters[8..12], &letters[12..]].join("-")
    };
    (0..RECOVERY_CODES).map(|_| code()).collect()
}

/// A recovery code as it is compared: no spaces or dashes, small letters.
pub fn plain_code(typed: &str) -> String {
    typed.chars().filter(|c| !c.is_whitespace() && *c != '-').flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, TimeDelta};

    fn at(seconds: i64) -> NaiveDateTime {
        DateTime::from_timestamp(seconds, 0).expect("an instant").naive_utc()
    }

    /// RFC 6238, appendix B: the SHA-1 secret is the twenty bytes "12345678901234567890"; a code of six digits is the
    /// last six of the eight in the table.
    #[test]
    fn s12_the_codes_are_those_of_the_published_table() {
        let secret = SharedSecret::from_bytes(b"12345678901234567890").expect("twenty bytes");
        for (seconds, eight) in [
            (59, "94287082"),
            (1_111_111_109, "07081804"),
            (1_111_111_111, "14050471"),
            (1_234_567_890, "89005924"),
            (2_000_000_000, "69279037"),
            (20_000_000_000, "65353130"),
        ] {
            assert_eq!(secret.code(at(seconds)).as_deref(), Some(&eight[2..]), "{seconds}");
            assert_eq!(secret.step_of(&eight[2..], at(seconds)), Some(seconds / 30));
        }
    }

    #[test]
    fn s12_a_code_is_taken_one_step_early_or_late_and_no_further() {
        let secret = SharedSecret::draw(&Random::seeded(3));
        let now = at(1_800_000_015);
        for (steps, taken) in [(-2, false), (-1, true), (0, true), (1, true), (2, false)] {
            let code = secret.code(now + TimeDelta::seconds(30 * steps)).expect("a code");
            assert_eq!(secret.step_of(&code, now).is_some(), taken, "{steps} steps away");
        }
        for odd in ["", "12345", "1234567", "abcdef", "-12345", "١٢٣٤٥٦", "12 34 5x"] {
            assert_eq!(secret.step_of(odd, now), None, "{odd:?}");
        }
    }

    #[test]
    fn s13_recovery_codes_are_ten_long_and_all_different() {
        let codes = draw_recovery_codes(&Random::system());
        let different: std::collections::HashSet<&String> = codes.iter().collect();
        assert_eq!((codes.len(), different.len()), (RECOVERY_CODES, RECOVERY_CODES));
        assert!(codes.iter().all(|code| code.len() == 19 && plain_code(code).len() == 16), "{codes:?}");
        assert_eq!(plain_code(" BCDF-ghjk 2345-6789 "), "bcdfghjk23456789");
    }

    #[test]
    fn s12_the_address_for_an_app_names_program_and_person() {
        let secret = SharedSecret::draw(&Random::seeded(3));
        let address = secret.address("Ridge: Riding", "ana@example.org").expect("an address");
        assert!(address.starts_with("otpauth://totp/"), "{address}");
        assert!(address.contains("issuer=Ridge%20%20Riding") && address.contains("ana%40example.org"), "{address}");
        assert_eq!(secret.text().replace(' ', "").len(), 32, "160 bits in base32");
    }
}
