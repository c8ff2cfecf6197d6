//! FLOOR 4, beside the web: what happens without anybody asking. Letters go out here, and work that comes round.
//! Every job may run twice, on two machines, and be cut off half way: it must come out right all the same.

pub mod alike;
pub mod deliver;
pub mod letters;
pub mod papers;
pub mod places;
pub mod reminders;
pub mod retention;
pub mod runner;
pub mod seal_audit;
mod side_by_side;
pub mod texts;
pub mod tidy;

use std::time::Duration;

pub use deliver::Deliver;
pub use runner::{Job, Runner};
pub use texts::Texting;

/// How long a runner rests when there is nothing to do.
const REST: Duration = Duration::from_secs(1);

/// Every job that comes round.
pub static JOBS: &[Job] =
    &[alike::JOB, papers::JOB, places::JOB, reminders::JOB, retention::JOB, seal_audit::JOB, tidy::JOB];
