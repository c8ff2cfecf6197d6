//! Entries that changed are compared with the others: a child may be entered twice.

use super::runner::Job;
use crate::services::merges::compare_changed;

/// Its turn, every minute.
pub const JOB: Job = Job { name: "alike", every: 60, run: compare_changed };
