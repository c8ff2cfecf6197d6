//! Seals the columns that hold what only few may read: medical notes, consent files. A sealed value opens only at the
//! table, column and row it was sealed for. Must not read files: settings hands the key file's bytes over.

use std::sync::Arc;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chacha20poly1305::{AeadInOut, KeyInit, XChaCha20Poly1305, XNonce};
use zeroize::Zeroizing;

use super::random::Random;

const NONCE: usize = 24;
const TAG: usize = 16;
const HEAD: usize = 1 + NONCE;

/// The keys by version. New values are sealed under the highest version; older ones still open.
#[derive(Clone, Default)]
pub struct KeyRing(Vec<DataKey>);

#[derive(Clone)]
struct DataKey {
    version: u8,
    bytes: Zeroizing<[u8; 32]>,
}

/// What is wrong with a key file. Never shows key material.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum KeyFault {
    /// The file holds no key line.
    #[error("the key file holds no key")]
    Empty,
    /// The line is not `version key`, with a version of 1 to 255 and 32 bytes in base64.
    #[error("line {0} of the key file is not a version (1 to 255) and 32 bytes in base64")]
    Line(usize),
    /// Versions must rise from line to line.
    #[error("line {0} of the key file repeats an earlier version or steps back")]
    Order(usize),
    /// Every byte of a key is the same: somebody typed a placeholder.
    #[error("line {0} of the key file is a placeholder, not a random key")]
    Placeholder(usize),
    /// All 255 versions are used.
    #[error("the key file has no version left")]
    Full,
}

impl KeyRing {
    /// A ring with one new key, version 1.
    pub fn fresh(random: &Random) -> Self {
        Self(vec![DataKey { version: 1, bytes: Zeroizing::new(random.bytes()) }])
    }

    /// Reads a key file: one `version base64` a line, versions rising; blank lines and `#` lines are skipped.
    pub fn parse(file: &[u8]) -> Result<Self, KeyFault> {
        let text = std::str::from_utf8(file).map_err(|_| KeyFault::Line(1))?;
        let mut keys: Vec<DataKey> = Vec::new();
        for (number, line) in (1..).zip(text.lines()) {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let key = DataKey::parse(line).ok_or(KeyFault::Line(number))?;
            if keys.last().is_some_and(|last| last.version >= key.version) {
                return Err(KeyFault::Order(number));
            }
            if key.bytes.iter().all(|byte| *byte == key.bytes[0]) {
                return Err(KeyFault::Placeholder(number));
            }
            keys.push(key);
        }
        if keys.is_empty() { Err(KeyFault::Empty) } else { Ok(Self(keys)) }
    }

    /// The ring with one more key, under which new values are sealed from now on.
    pub fn with_new_key(mut self, random: &Random) -> Result<Self, KeyFault> {
        let version = self.0.last().map_or(0, |key| key.version).checked_add(1).ok_or(KeyFault::Full)?;
        self.0.push(DataKey { version, bytes: Zeroizing::new(random.bytes()) });
        Ok(self)
    }

    /// The key file's text, to be written with mode 0600.
    pub fn to_text(&self) -> Zeroizing<String> {
        let mut text = Zeroizing::new(String::from(
            "# Keys of the sealed columns. Keep a copy apart from the database: without it they cannot be read.\n",
        ));
        for key in &self.0 {
            text.push_str(&format!("{} ", key.version));
            text.push_str(&Zeroizing::new(STANDARD.encode(*key.bytes)));
            text.push('\n');
        }
        text
    }
}

impl DataKey {
    fn parse(line: &str) -> Option<Self> {
        let (version, key) = line.split_once(char::is_whitespace)?;
        let version = version.parse().ok().filter(|version| *version > 0)?;
        let key = Zeroizing::new(STANDARD.decode(key.trim()).ok()?);
        Some(Self { version, bytes: Zeroizing::new(key.as_slice().try_into().ok()?) })
    }
}

/// A sealed value that does not open: wrong place, wrong key, or changed bytes. Says no more on purpose.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error("a sealed value of {table}.{column} does not open")]
pub struct CannotOpen {
    /// Table the value was read from.
    pub table: &'static str,
    /// Column the value was read from.
    pub column: &'static str,
}

/// Seals and opens column values with XChaCha20-Poly1305. Cheap to clone.
#[derive(Clone)]
pub struct Cipher {
    keys: Arc<KeyRing>,
    random: Random,
}

impl Cipher {
    /// A cipher over `keys`; nonces are drawn from `random`. The ring must hold a key.
    pub fn new(keys: KeyRing, random: Random) -> Self {
        assert!(!keys.0.is_empty(), "a key ring holds at least one key");
        Self { keys: Arc::new(keys), random }
    }

    /// Seals `plain` for one place: `row_key` is the row's own random key, drawn before the insert.
    /// The result is key version (1 byte), nonce (24), ciphertext and tag (16 more than `plain`).
    pub fn seal(&self, table: &'static str, column: &'static str, row_key: &[u8; 16], plain: &[u8]) -> Vec<u8> {
        let key = self.keys.0.last().expect("a key ring holds at least one key");
        let nonce: [u8; NONCE] = self.random.bytes();
        let mut body = Vec::with_capacity(plain.len() + TAG);
        body.extend_from_slice(plain);
        XChaCha20Poly1305::new((&*key.bytes).into())
            .encrypt_in_place(&XNonce::from(nonce), &place(key.version, table, column, row_key), &mut body)
            .expect("a column value is far below the cipher's limit of 256 GiB");
        [&[key.version][..], &nonce, &body].concat()
    }

    /// Opens what [`Cipher::seal`] made for this place. The plain bytes are wiped when dropped.
    pub fn open(
        &self,
        table: &'static str,
        column: &'static str,
        row_key: &[u8; 16],
        sealed: &[u8],
    ) -> Result<Zeroizing<Vec<u8>>, CannotOpen> {
        self.opened(&|version| place(version, table, column, row_key), sealed).ok_or(CannotOpen { table, column })
    }

    /// Whether a newer key exists than the one `sealed` was made with; the nightly rotation seals such values anew.
    pub fn is_outdated(&self, sealed: &[u8]) -> bool {
        sealed.first() != self.keys.0.last().map(|key| &key.version)
    }

    fn opened(&self, place: &dyn Fn(u8) -> Vec<u8>, sealed: &[u8]) -> Option<Zeroizing<Vec<u8>>> {
        let (head, body) = sealed.split_at_checked(HEAD)?;
        let key = self.keys.0.iter().find(|key| key.version == head[0])?;
        let nonce = <[u8; NONCE]>::try_from(&head[1..]).ok()?;
        let mut plain = Zeroizing::new(body.to_vec());
        XChaCha20Poly1305::new((&*key.bytes).into())
            .decrypt_in_place(&XNonce::from(nonce), &place(key.version), &mut *plain)
            .ok()?;
        Some(plain)
    }
}

/// The associated data: every part has a fixed length or carries its length, so that no two places encode alike.
fn place(version: u8, table: &str, column: &str, row_key: &[u8; 16]) -> Vec<u8> {
    let mut place = vec![version];
    for name in [table, column] {
        let length = u16::try_from(name.len()).expect("names of tables and columns are short");
        place.extend_from_slice(&length.to_be_bytes());
        place.extend_from_slice(name.as_bytes());
    }
    place.extend_from_slice(row_key);
    place
}

#[cfg(test)]
mod tests;
