//! Every "no" about days on which somebody is away.

use chrono::NaiveDate;

/// Why somebody cannot be planned, or cannot be away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AbsenceRefusal {
    /// Somebody of the team is away on the session's day.
    Away {
        /// The person's name.
        name: String,
        /// The last day away.
        through: NaiveDate,
    },
    /// Days away are at most a year at a time.
    TooLong,
    /// So many absences are enough.
    TooMany,
}
