//! Where the rows live: a SQLite file or a PostgreSQL server, told apart by the address alone.

use std::fmt;
use std::path::{Path, PathBuf};

use super::secrets::is_default_word;

/// The two engines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engine {
    /// One file on this machine.
    Sqlite,
    /// A server, perhaps shared by several instances.
    Postgres,
}

/// The address of a database. `Debug` and `Display` leave the password out.
#[derive(Clone, PartialEq, Eq)]
pub struct DatabaseUrl {
    engine: Engine,
    address: String,
}

impl DatabaseUrl {
    /// Reads `sqlite:PATH`, a plain path, `postgres://...` or `postgresql://...`.
    ///
    /// # Errors
    /// Words that say which addresses work.
    pub fn parse(text: &str) -> Result<Self, String> {
        if text.starts_with("postgres://") || text.starts_with("postgresql://") {
            return Self::postgres(text);
        }
        if let Some(path) = text.strip_prefix("sqlite:") {
            let path = path.strip_prefix("//").unwrap_or(path);
            return if path.is_empty() {
                Err("names no file: write sqlite:PATH".into())
            } else {
                Ok(Self::sqlite(path))
            };
        }
        if text.contains("://") || looks_like_a_scheme(text) {
            return Err("must start with sqlite:, postgres:// or postgresql://, or be a plain path".into());
        }
        Ok(Self::sqlite(text))
    }

    /// A SQLite file.
    #[must_use]
    pub fn sqlite(path: impl Into<String>) -> Self {
        Self { engine: Engine::Sqlite, address: path.into() }
    }

    fn postgres(text: &str) -> Result<Self, String> {
        let (_, rest) = text.split_once("://").unwrap_or(("", text));
        let login = rest.split('/').next().unwrap_or(rest).rsplit_once('@').map(|(login, _)| login);
        let password = login.and_then(|login| login.split_once(':')).map(|(_, word)| word);
        if password.is_some_and(is_default_word) {
            return Err("carries a default password; choose a real one".into());
        }
        Ok(Self { engine: Engine::Postgres, address: text.to_owned() })
    }

    /// Which engine it is.
    #[must_use]
    pub fn engine(&self) -> Engine {
        self.engine
    }

    /// What the driver wants: a plain path, or the whole `postgres://` address with its password.
    #[must_use]
    pub fn address(&self) -> &str {
        &self.address
    }

    /// The SQLite file, when it is one.
    #[must_use]
    pub fn file(&self) -> Option<PathBuf> {
        (self.engine == Engine::Sqlite).then(|| Path::new(&self.address).to_path_buf())
    }
}

/// `mysql:x` is a scheme, `C:\x` and `./a:b` are not.
fn looks_like_a_scheme(text: &str) -> bool {
    text.split_once(':').is_some_and(|(head, _)| {
        head.len() > 1 && head.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '+')
    })
}

impl fmt::Display for DatabaseUrl {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.engine, self.address.split_once("://")) {
            (Engine::Postgres, Some((scheme, rest))) => {
                let bare = rest.split('?').next().unwrap_or(rest);
                let place = bare.rsplit_once('@').map_or(bare, |(_, place)| place);
                write!(out, "{scheme}://{place}")
            }
            _ => write!(out, "sqlite:{}", self.address),
        }
    }
}

impl fmt::Debug for DatabaseUrl {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "DatabaseUrl({self})")
    }
}
