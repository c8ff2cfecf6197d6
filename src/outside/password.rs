//! Passwords: what is accepted, how it is hashed, how it is checked, and how many checks may run at once.
//! Must not know accounts, count failures or word refusals. A password is never trimmed, folded or cut.

use std::collections::HashSet;
use std::sync::{Arc, Condvar, LazyLock, Mutex, PoisonError};
use std::time::Duration;

use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};

use super::random::Random;

/// OWASP's least argon2id setting: 19 MiB, two passes, one lane.
const MEMORY_KIB: u32 = 19_456;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// A hash that no password is known to match: all zero bytes. Checking against it costs what a real check costs.
const NOBODY: &str =
    "$argon2id$v=19$m=19456,t=2,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";

/// How long a caller waits for a turn before it hears `Busy`.
const LONGEST_WAIT: Duration = Duration::from_secs(3);
/// How many callers may wait for each one that runs.
const QUEUE_PER_RUNNER: usize = 16;

static COMMON: LazyLock<HashSet<&str>> =
    LazyLock::new(|| include_str!("../../seed/common_passwords.txt").lines().collect());

/// Why a new password is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PasswordFault {
    /// Under 12 characters.
    #[error("the password has under {LEAST} characters")]
    TooShort,
    /// Over 128 characters.
    #[error("the password has over {MOST} characters")]
    TooLong,
    /// Holds the character NUL, which other programs cut at.
    #[error("the password holds a NUL character")]
    HasNul,
    /// On the list of passwords that many people use.
    #[error("the password is on the list of common ones")]
    TooCommon,
    /// Little more than a word of this program.
    #[error("the password is little more than a word of the program")]
    ProgramWord,
}

/// Least count of characters (Unicode scalar values).
pub const LEAST: usize = 12;
/// Most characters.
pub const MOST: usize = 128;
/// Characters that must be left when the program's words are taken out.
const LEAST_BESIDE_WORDS: usize = 8;

/// Tells whether `password` may be chosen. `program_words` are words an attacker would try first here: the program's
/// name, the person's own address. No composition rules (S02).
pub fn rules(password: &str, program_words: &[&str]) -> Result<(), PasswordFault> {
    let length = password.chars().count();
    if password.contains('\0') {
        return Err(PasswordFault::HasNul);
    }
    if COMMON.contains(password.to_lowercase().as_str()) {
        return Err(PasswordFault::TooCommon);
    }
    if length < LEAST {
        return Err(PasswordFault::TooShort);
    }
    if length > MOST {
        return Err(PasswordFault::TooLong);
    }
    if leans_on(password, program_words) { Err(PasswordFault::ProgramWord) } else { Ok(()) }
}

/// Whether a program word is in the password and too little stands beside it.
fn leans_on(password: &str, program_words: &[&str]) -> bool {
    let folded = password.to_lowercase();
    let mut rest = folded.clone();
    for word in program_words.iter().flat_map(|words| words.split(|c: char| !c.is_alphanumeric())) {
        if word.chars().count() >= 4 {
            rest = rest.replace(&word.to_lowercase(), "");
        }
    }
    rest != folded && rest.chars().count() < LEAST_BESIDE_WORDS
}

/// What a check of a password came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is the password. `needs_upgrade`: the stored hash is weaker than today's, so hash and store it anew.
    Match {
        /// The stored hash is weaker than today's setting.
        needs_upgrade: bool,
    },
    /// It is not.
    NoMatch,
    /// Too many checks at once; nothing was looked at.
    Busy,
}

/// Too many hashes at once; the caller should try again in a few seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("too many passwords are being checked at once")]
pub struct Busy;

/// Hashes and checks passwords behind a gate of its own, so that signing in never starves a page. Cheap to clone.
#[derive(Clone)]
pub struct Passwords {
    gate: Arc<Gate>,
    random: Random,
}

impl Passwords {
    /// Lets `cores - 1` hashes run at once, and at least one. Salts are drawn from `random`.
    pub fn new(cores: usize, random: Random) -> Self {
        Self { gate: Arc::new(Gate::new(cores.saturating_sub(1).max(1), LONGEST_WAIT)), random }
    }

    /// The PHC string to store for `password`. Takes tens of milliseconds; call it on a blocking thread.
    pub fn hash(&self, password: &str) -> Result<String, Busy> {
        let _turn = self.gate.enter().ok_or(Busy)?;
        let hash = today()
            .hash_password_with_salt(password.as_bytes(), &self.random.bytes::<16>())
            .expect("sixteen bytes are a fitting salt and the setting is a fixed one");
        Ok(hash.to_string())
    }

    /// Checks `password` against a stored PHC string. A string that cannot be read never matches, at the same cost.
    pub fn verify(&self, password: &str, stored: &str) -> Verdict {
        let Some(_turn) = self.gate.enter() else {
            return Verdict::Busy;
        };
        let Ok(stored) = PasswordHash::new(stored) else {
            tracing::error!("a stored password hash cannot be read");
            check(password, &nobody());
            return Verdict::NoMatch;
        };
        if check(password, &stored) {
            Verdict::Match { needs_upgrade: is_weaker_than_today(&stored) }
        } else {
            Verdict::NoMatch
        }
    }

    /// The check for an account that does not exist or has no password: same cost, never a match.
    pub fn verify_nobody(&self, password: &str) -> Verdict {
        let Some(_turn) = self.gate.enter() else {
            return Verdict::Busy;
        };
        check(password, &nobody());
        Verdict::NoMatch
    }
}

fn today() -> Argon2<'static> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).expect("the setting is within argon2's limits");
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

fn nobody() -> PasswordHash {
    PasswordHash::new(NOBODY).expect("the constant is a well-formed hash")
}

fn check(password: &str, stored: &PasswordHash) -> bool {
    today().verify_password(password.as_bytes(), stored).is_ok()
}

fn is_weaker_than_today(stored: &PasswordHash) -> bool {
    let Ok(params) = Params::try_from(stored) else {
        return true;
    };
    stored.algorithm.as_str() != "argon2id"
        || stored.version != Some(Version::V0x13.into())
        || params.m_cost() < MEMORY_KIB
        || params.t_cost() < PASSES
        || params.p_cost() < LANES
}

/// A counted gate with a short queue.
struct Gate {
    state: Mutex<GateState>,
    freed: Condvar,
    runners: usize,
    longest_wait: Duration,
}

#[derive(Default)]
struct GateState {
    running: usize,
    waiting: usize,
}

impl Gate {
    fn new(runners: usize, longest_wait: Duration) -> Self {
        Self { state: Mutex::default(), freed: Condvar::new(), runners, longest_wait }
    }

    /// A turn, given back when dropped; `None` when the queue is full or the wait too long.
    fn enter(&self) -> Option<Turn<'_>> {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        if state.running >= self.runners {
            if state.waiting >= self.runners * QUEUE_PER_RUNNER {
                return None;
            }
            state.waiting += 1;
            state = self
                .freed
                .wait_timeout_while(state, self.longest_wait, |state| state.running >= self.runners)
                .unwrap_or_else(PoisonError::into_inner)
                .0;
            state.waiting -= 1;
            if state.running >= self.runners {
                return None;
            }
        }
        state.running += 1;
        Some(Turn(self))
    }
}

struct Turn<'a>(&'a Gate);

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        let mut state = self.0.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.running -= 1;
        self.0.freed.notify_one();
    }
}

#[cfg(test)]
mod tests;
