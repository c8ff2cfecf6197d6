//! Lets places run out that wait too long for an answer, and offers free seats to the line. Must not decide who is next:
//! that is the service's.

use super::runner::Job;
use crate::services::places;

/// Its turn, every ten seconds.
pub const JOB: Job = Job { name: "places", every: 10, run: places::run };
