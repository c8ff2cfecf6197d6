//! Every night, what is old enough is removed.

use super::runner::Job;
use crate::services::retention::remove_old;

/// Its turn, once a day.
pub const JOB: Job = Job { name: "retention", every: 86_400, run: remove_old };
