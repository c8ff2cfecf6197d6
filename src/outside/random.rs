//! Chance: tokens, references, keys and ids that nobody may guess. A seeded form makes tests repeatable.
//! Must not decide what a value is used for.

use std::sync::{Arc, Mutex, PoisonError};

use chrono::NaiveDateTime;
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use uuid::{Builder, Uuid};

/// Digits and consonants without look-alikes. No vowels, so that chance spells no words.
const LETTERS: &[u8; 27] = b"23456789bcdfghjkmnpqrstvwxz";

/// 27^13 is over 2^61: a public reference carries at least 60 random bits.
const REFERENCE_LENGTH: usize = 13;

/// The program's source of chance. Clones of a seeded source draw from one sequence.
#[derive(Clone)]
pub struct Random(Source);

#[derive(Clone)]
enum Source {
    System,
    Seeded(Arc<Mutex<StdRng>>),
}

impl Random {
    /// Cryptographic chance, fed by the operating system.
    pub fn system() -> Self {
        Self(Source::System)
    }

    /// The same sequence on every run. For tests and for the demo's invented people, never for secrets.
    pub fn seeded(seed: u64) -> Self {
        Self(Source::Seeded(Arc::new(Mutex::new(StdRng::seed_from_u64(seed)))))
    }

    /// Fills `room` with random bytes.
    pub fn fill(&self, room: &mut [u8]) {
        match &self.0 {
            Source::System => rand::rng().fill_bytes(room),
            Source::Seeded(rng) => rng.lock().unwrap_or_else(PoisonError::into_inner).fill_bytes(room),
        }
    }

    /// `N` random bytes.
    pub fn bytes<const N: usize>(&self) -> [u8; N] {
        let mut bytes = [0; N];
        self.fill(&mut bytes);
        bytes
    }

    /// A number of `bits` random bits, 1 to 128.
    pub fn u128_bits(&self, bits: u32) -> u128 {
        assert!((1..=128).contains(&bits), "a u128 holds 1 to 128 bits");
        u128::from_le_bytes(self.bytes()) >> (128 - bits)
    }

    /// A public reference for addresses of pages: 13 characters, at least 60 random bits, no vowels.
    pub fn reference(&self) -> String {
        let mut text = String::with_capacity(REFERENCE_LENGTH);
        while text.len() < REFERENCE_LENGTH {
            let [byte] = self.bytes::<1>();
            // 243 is 9 x 27: bytes above would favour the first letters.
            if byte < 243 {
                text.push(char::from(LETTERS[usize::from(byte) % LETTERS.len()]));
            }
        }
        text
    }

    /// A UUID of version 7 (RFC 9562): milliseconds of `now` (UTC), then chance.
    pub fn uuid_v7(&self, now: NaiveDateTime) -> Uuid {
        let millis = u64::try_from(now.and_utc().timestamp_millis()).unwrap_or(0);
        Builder::from_unix_timestamp_millis(millis, &self.bytes()).into_uuid()
    }
}

impl std::fmt::Debug for Random {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self.0 {
            Source::System => "Random(system)",
            Source::Seeded(_) => "Random(seeded)",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn house_1_a_reference_is_thirteen_letters_without_vowels_and_carries_sixty_bits() {
        let random = Random::system();
        let seen: HashSet<String> = (0..2_000).map(|_| random.reference()).collect();
        assert_eq!(seen.len(), 2_000);
        for text in &seen {
            assert_eq!(text.len(), 13);
            assert!(!text.contains(['a', 'e', 'i', 'o', 'u', 'y', '0', '1', 'l']), "{text}");
        }
        assert!((LETTERS.len() as f64).log2() * 13.0 > 60.0);
        let letters: HashSet<char> = seen.iter().flat_map(|text| text.chars()).collect();
        assert_eq!(letters.len(), LETTERS.len(), "every letter turns up");
    }

    #[test]
    fn house_1_a_number_has_no_more_bits_than_asked_for() {
        let random = Random::seeded(7);
        let all = (0..500).fold(0, |all, _| all | random.u128_bits(100));
        assert_eq!(all, (1 << 100) - 1);
    }

    #[test]
    fn house_1_a_seed_repeats_and_clones_share_one_sequence() {
        let (one, two) = (Random::seeded(1), Random::seeded(1));
        let same = one.clone();
        assert_eq!(one.bytes::<16>(), two.bytes::<16>());
        assert_eq!(same.bytes::<16>(), two.bytes::<16>());
        assert_ne!(Random::system().bytes::<16>(), Random::system().bytes::<16>());
    }

    /// Layout: RFC 9562 section 5.7 (48 bits of milliseconds, version 7, variant 2).
    #[test]
    fn house_1_a_version_7_id_begins_with_the_time() {
        let now = "2022-02-22T19:22:22".parse().unwrap();
        let id = Random::system().uuid_v7(now);
        assert_eq!(id.get_version_num(), 7);
        assert_eq!(id.as_bytes()[..6], 1_645_557_742_000_u64.to_be_bytes()[2..]);
        assert_eq!(id.as_bytes()[8] >> 6, 0b10);
    }
}
