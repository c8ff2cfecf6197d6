//! Every "no" about a report of what happened.

use crate::domain::incident::ReportPart;

/// Why something cannot be done with a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum IncidentRefusal {
    /// It is closed: only addenda follow.
    Closed,
    /// Parts are not written yet.
    Lacks {
        /// Which.
        parts: Vec<ReportPart>,
    },
    /// Nobody has signed it yet.
    NotSigned,
    /// Who signed first cannot sign second.
    SamePerson,
    /// The insurer has been told already.
    ToldAlready,
    /// So many photos are enough for one report.
    TooManyPhotos {
        /// The most.
        most: usize,
    },
    /// The machine is kept as it is while its report is open.
    Kept {
        /// The number of the report.
        case: i64,
    },
}
