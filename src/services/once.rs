//! A press counts once: the first answer to a form's key is kept in the same transaction and given again to a double
//! press, a retry and a resend.

use serde::Serialize;
use sha2::{Digest, Sha256};

use super::{App, Failure};
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::store::request_keys::{add_answer, find_answer};
use crate::store::{AnyConn, Key, StoreError, Transient};

/// Why nothing was done.
enum Stop {
    /// A twin of this press was quicker.
    AnsweredAlready,
    /// Anything else.
    Failed(Failure),
}

impl From<Failure> for Stop {
    fn from(failure: Failure) -> Self {
        Self::Failed(failure)
    }
}

impl From<StoreError> for Stop {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Duplicate(Key::RequestKey) => Self::AnsweredAlready,
            other => Self::Failed(other.into()),
        }
    }
}

impl Transient for Stop {
    fn is_transient(&self) -> bool {
        matches!(self, Self::Failed(failure) if failure.is_transient())
    }
}

/// One press of a form's button.
#[derive(Clone)]
pub(super) struct Press {
    owner: Vec<u8>,
    key: String,
    digest: Vec<u8>,
}

impl Press {
    /// The press of a caller with the page's one-time key, and what it asks for.
    pub(super) fn of(caller: &Caller, key: &str, asked: &impl Serialize) -> Result<Self, Failure> {
        let account = caller.account().ok_or(Failure::NotAllowed)?;
        let owner = Sha256::digest(format!("account {}", account.raw())).to_vec();
        let asked = serde_json::to_vec(asked).map_err(Failure::broken)?;
        Ok(Self { owner, key: key.to_owned(), digest: Sha256::digest(asked).to_vec() })
    }

    /// The answer that this press got before.
    ///
    /// # Errors
    /// `KeyReused` when the key came with something else.
    fn answered(&self, app: &App) -> Result<Option<String>, Failure> {
        match app.store.read(|conn| find_answer(conn, &self.owner, &self.key))? {
            Some((digest, _)) if digest != self.digest => Err(Refusal::KeyReused.into()),
            found => Ok(found.map(|(_, answer)| answer)),
        }
    }
}

/// Does the work in one transaction with its key, or gives the answer that the key got before. The key goes first: a
/// twin waits for it and then finds the answer.
pub(super) fn once(
    app: &App,
    name: &'static str,
    press: Press,
    answer: String,
    work: impl Fn(&mut AnyConn) -> Result<(), Failure> + Send + 'static,
) -> Result<String, Failure> {
    if let Some(first) = press.answered(app)? {
        return Ok(first);
    }
    let (kept, now) = (press.clone(), app.clock.now());
    let done = app.store.write(name, move |conn| -> Result<String, Stop> {
        add_answer(conn, &kept.owner, &kept.key, &kept.digest, &answer, now)?;
        work(conn)?;
        Ok(answer.clone())
    });
    match done {
        Ok(answer) => Ok(answer),
        Err(Stop::AnsweredAlready) => press.answered(app)?.ok_or(Failure::Busy(None)),
        // A twin that finished since the first look made this one stale: then its answer is the answer.
        Err(Stop::Failed(failure)) => press.answered(app)?.ok_or(failure),
    }
}
