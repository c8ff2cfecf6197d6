//! Secrets: read from files closed to other people, refused when short or left at a default.
//!
//! Nothing here prints a secret, and memory that held one is wiped when it is dropped.

use std::fmt;
use std::path::{Path, PathBuf};

use zeroize::Zeroizing;

use super::Faults;

/// Words that people leave in sample files.
const DEFAULT_WORDS: [&str; 12] = [
    "changeme",
    "change-me",
    "change_me",
    "default",
    "example",
    "password",
    "placeholder",
    "sample",
    "secret",
    "letmein",
    "topsecret",
    "replaceme",
];

/// A text that is never printed.
#[derive(Clone)]
pub struct Secret(Zeroizing<String>);

impl Secret {
    /// Reads a secret from a file that only its owner may open.
    ///
    /// # Errors
    /// The file is missing, open to others, holds a default word or fewer than `least` bytes.
    pub fn read(path: &Path, least: usize) -> Result<Self, Faults> {
        let text = closed_text(path)?;
        let secret = text.trim();
        match weakness(secret, least) {
            Some(why) => Err(fault(path, why)),
            None => Ok(Self(Zeroizing::new(secret.to_owned()))),
        }
    }

    /// The secret itself, for the one who must send it.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("Secret(hidden)")
    }
}

/// The two secrets that Waymark draws for itself, as their files hold them.
#[derive(Debug, Clone)]
pub struct Keys {
    /// The text of the key file that seals medical text and files; the cipher reads it.
    pub field: Secret,
    /// The secret that turns a rider into a pseudonym in the report facts.
    pub pseudonym: Secret,
}

impl Keys {
    /// The shortest secret that is taken, in bytes.
    pub const LEAST: usize = 32;

    /// Reads both files, or neither when neither exists yet.
    ///
    /// # Errors
    /// One of them is missing, open to other people, short or left at a default.
    pub fn read(files: &KeyFiles) -> Result<Option<Self>, Faults> {
        if !files.field.exists() && !files.pseudonym.exists() {
            return Ok(None);
        }
        let field = Secret::read(&files.field, Self::LEAST);
        let pseudonym = Secret::read(&files.pseudonym, Self::LEAST);
        match (field, pseudonym) {
            (Ok(field), Ok(pseudonym)) => Ok(Some(Self { field, pseudonym })),
            (field, pseudonym) => {
                let told = [field.err(), pseudonym.err()].into_iter().flatten();
                Err(Faults(told.flat_map(|faults| faults.0).collect()))
            }
        }
    }
}

/// Where the two secrets lie.
#[derive(Debug, Clone)]
pub struct KeyFiles {
    /// Lines of version and key.
    pub field: PathBuf,
    /// One line.
    pub pseudonym: PathBuf,
}

/// Whether a secret is one of the words that people leave in sample files.
pub(super) fn is_default_word(secret: &str) -> bool {
    DEFAULT_WORDS.contains(&secret.to_lowercase().as_str())
}

fn weakness(secret: &str, least: usize) -> Option<&'static str> {
    let lower = secret.to_lowercase();
    let first = secret.as_bytes().first();
    if ["changeme", "change-me", "change_me", "replaceme"].iter().any(|word| lower.contains(word))
        || is_default_word(&lower)
    {
        Some("holds a default secret; draw a real one")
    } else if secret.len() < least {
        Some("holds a secret that is too short")
    } else if secret.len() > 1 && secret.bytes().all(|byte| Some(&byte) == first) {
        Some("holds one letter again and again; draw a real secret")
    } else {
        None
    }
}

/// The text of a file that only its owner may open, as it stands.
///
/// # Errors
/// The file cannot be read, or other people may open it.
pub fn closed_text(path: &Path) -> Result<Zeroizing<String>, Faults> {
    use std::os::unix::fs::PermissionsExt;
    let unreadable = |error: std::io::Error| fault(path, &format!("cannot be read: {error}"));
    let mode = std::fs::metadata(path).map_err(unreadable)?.permissions().mode() & 0o777;
    if mode & 0o177 != 0 {
        return Err(fault(path, &format!("has mode {mode:04o}; other people may open it (chmod 600)")));
    }
    std::fs::read_to_string(path).map(Zeroizing::new).map_err(unreadable)
}

fn fault(path: &Path, why: &str) -> Faults {
    Faults(vec![format!("{}: {why}", path.display())])
}
