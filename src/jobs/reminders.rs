//! Sends reminders before sessions, and asks whether children are still coming. Must not decide when: that is a rule.

use super::runner::Job;
use crate::services::places;

/// Its turn, every minute.
pub const JOB: Job = Job { name: "reminders", every: 60, run: places::remind };
