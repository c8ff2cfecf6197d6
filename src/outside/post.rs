//! Where letters go: into a folder as `.eml` files, or to an SMTP relay. Says of each failure whether trying again can
//! help. Must not retry, wait for better times or keep a queue: that is `jobs/`.

mod relay;

use std::fmt;
use std::io::Write as _;
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

pub use relay::{Protection, Relay, RelayFault};

use super::mail::{BadLetter, Letter};
use crate::settings::MailWay;

/// Where letters go. Cheap to clone; clones share the connections to the relay.
#[derive(Clone)]
pub enum Post {
    /// One `.eml` file a letter, readable by the program's user alone.
    Folder(PathBuf),
    /// An SMTP relay.
    Relay(Relay),
}

/// A letter that did not go out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PostError {
    /// No letter goes out now: every other one would meet the same fault.
    #[error("no letter goes out: {0}")]
    Down(Class),
    /// This letter may go out later.
    #[error("not sent yet: {0}")]
    Later(Class),
    /// The relay has the whole letter and did not say whether it took it: the letter may be out.
    #[error("handed over without an answer: {0}")]
    Unanswered(Class),
    /// Trying again cannot help; a person must look.
    #[error("cannot be sent: {0}")]
    Never(Class),
}

/// What went wrong, without words of the letter or of the relay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// No connection, or it broke.
    Connection,
    /// No answer in time.
    Silence,
    /// The way to the relay cannot be protected.
    Tls,
    /// The relay does not take our user name and password.
    Login,
    /// The relay answered with this code.
    Answer(u16),
    /// The letter itself is malformed.
    Letter,
    /// The folder cannot be written.
    Folder,
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Connection => f.write_str("connection"),
            Self::Silence => f.write_str("silence"),
            Self::Tls => f.write_str("tls"),
            Self::Login => f.write_str("login"),
            Self::Answer(code) => write!(f, "answer_{code}"),
            Self::Letter => f.write_str("letter"),
            Self::Folder => f.write_str("folder"),
        }
    }
}

impl Post {
    /// The way out that the settings name.
    pub fn by_setting(way: &MailWay) -> Result<Self, RelayFault> {
        match way {
            MailWay::Files(folder) => Ok(Self::Folder(folder.clone())),
            MailWay::Smtp(smtp) => Ok(Self::Relay(Relay::by_setting(smtp)?)),
        }
    }

    /// Sends one letter. A letter that was sent may be sent again with the same Message-ID, never with another.
    pub async fn send(&self, letter: &Letter) -> Result<(), PostError> {
        match self {
            Self::Folder(folder) => {
                let (folder, letter) = (folder.clone(), letter.clone());
                let kept = tokio::task::spawn_blocking(move || keep(&folder, &letter)).await;
                kept.unwrap_or(Err(PostError::Down(Class::Folder)))
            }
            Self::Relay(relay) => {
                let message = letter.message().map_err(|fault| malformed(&fault))?;
                relay.send(&message).await
            }
        }
    }
}

/// Writes the letter under a name made of its date and id, so that a second sending replaces the first.
fn keep(folder: &Path, letter: &Letter) -> Result<(), PostError> {
    let bytes = letter.to_bytes().map_err(|fault| malformed(&fault))?;
    let name = format!("{}-{}.eml", letter.date.format("%Y%m%dT%H%M%SZ"), letter.mark());
    let written = || -> std::io::Result<()> {
        std::fs::DirBuilder::new().recursive(true).mode(0o700).create(folder)?;
        let half = folder.join(format!(".{name}.part"));
        let mut file = std::fs::OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(&half)?;
        file.write_all(&bytes)?;
        file.sync_all()?;
        std::fs::rename(half, folder.join(&name))
    };
    written().map_err(|fault| {
        tracing::warn!(%fault, "the mail folder cannot be written");
        PostError::Down(Class::Folder)
    })
}

fn malformed(fault: &BadLetter) -> PostError {
    tracing::error!(%fault, "a letter is malformed");
    PostError::Never(Class::Letter)
}

#[cfg(test)]
mod tests;
