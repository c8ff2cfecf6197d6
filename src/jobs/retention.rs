//! In the small hours, what is old enough is removed.

use super::runner::Job;
use crate::services::retention::remove_by_night;

/// Its turn, every hour; it does something only at night.
pub const JOB: Job = Job { name: "retention", every: 3_600, run: remove_by_night };
