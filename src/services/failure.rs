//! How a use case can fail. Each kind has one face above: words for the user, the cause for the log.

use crate::domain::refusal::Refusal;
use crate::store::{StoreError, Transient};

/// Why a use case did not happen.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A rule of the program said no.
    #[error("refused: {0:?}")]
    Refused(Refusal),
    /// There is no such thing, or the caller may not know that it exists.
    #[error("not found")]
    NotFound,
    /// The caller may not do this.
    #[error("not allowed")]
    NotAllowed,
    /// Too much at once; trying again helps.
    #[error("busy")]
    Busy(#[source] Option<StoreError>),
    /// A fault of ours.
    #[error("a fault of the program")]
    Broken(#[source] Box<dyn std::error::Error + Send + Sync>),
}

impl Failure {
    /// A fault of ours with its cause.
    pub fn broken(cause: impl Into<Box<dyn std::error::Error + Send + Sync>>) -> Self {
        Self::Broken(cause.into())
    }
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Missing => Self::NotFound,
            StoreError::Busy(_) => Self::Busy(Some(error)),
            other => Self::Broken(Box::new(other)),
        }
    }
}

impl Transient for Failure {
    fn is_transient(&self) -> bool {
        matches!(self, Self::Busy(Some(error)) if error.is_transient())
    }
}
