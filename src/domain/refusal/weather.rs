//! Every "no" that the weather gives. A weather stop is never overridden.

use chrono::NaiveTime;

use crate::domain::weather::Finding;

/// Why nobody rides for now, or why an entry about the weather is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WeatherRefusal {
    /// It thundered or flashed.
    Thunder {
        /// The earliest moment at which riding may go on, on the wall at the site.
        until: NaiveTime,
    },
    /// The latest reading is beyond a limit.
    Numbers {
        /// The numbers that are.
        findings: Vec<Finding>,
    },
    /// The lead stopped riding.
    Called {
        /// Why.
        why: String,
    },
    /// The lead has stopped nothing that could be lifted.
    NothingCalled,
}
