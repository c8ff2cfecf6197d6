//! What is due for those who pay: reports of grants, and shelves that want a count.

use chrono::{Days, NaiveDate};

use super::Span;
use crate::services::Failure;
use crate::services::gear::grants::due_by;
use crate::services::gear::property::lines;
use crate::services::program::Program;
use crate::store::AnyConn;

/// What is due for those who pay.
#[derive(Clone, Debug, Default)]
pub struct GrantDue {
    /// Reports that are due soon: the grant's reference and name, the day, what.
    pub reports: Vec<GrantReport>,
    /// Lots of helmets whose last count is too long ago: the lot's reference and code.
    pub counts: Vec<(String, String)>,
}

/// A report that a grant asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GrantReport {
    /// The grant's reference.
    pub grant: String,
    /// Its name.
    pub name: String,
    /// The day.
    pub on: NaiveDate,
    /// What.
    pub what: String,
}

impl GrantDue {
    /// Whether nothing is due.
    pub fn is_empty(&self) -> bool {
        self.reports.is_empty() && self.counts.is_empty()
    }
}

/// Reports that are due within the days in which papers that run out are shown, and counts that are due today.
pub(super) fn due(conn: &mut AnyConn, program: &Program, span: Span) -> Result<GrantDue, Failure> {
    let ahead = Days::new(program.settings.papers_ahead_days.unsigned_abs());
    let report = |(grant, name, row): (String, String, crate::store::grants::DueRow)| GrantReport {
        grant,
        name,
        on: row.due_on,
        what: row.what,
    };
    let reports = due_by(conn, span.today + ahead)?.into_iter().map(report).collect();
    let to_count = lines(conn, program.zone, span.today)?.into_iter().filter(|line| line.count_is_due);
    let counts = to_count.map(|line| (line.lot.row.reference, line.lot.row.code)).collect();
    Ok(GrantDue { reports, counts })
}
