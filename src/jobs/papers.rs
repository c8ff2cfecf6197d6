//! Writes to people of the staff before their papers run out. Must not decide when: that is a rule.

use super::runner::Job;
use crate::services::paper_reminders;

/// Its turn, every hour.
pub const JOB: Job = Job { name: "papers", every: 3600, run: paper_reminders::remind };
