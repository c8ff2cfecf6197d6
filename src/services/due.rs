//! What is due today and this week, by what the reader is: the first page after signing in. Reads only; each part stands
//! in a file of its own and asks for its own permission.

mod family;
mod field;
mod grants;
mod office;
mod program;

use chrono::{Days, NaiveDate, NaiveDateTime};

use super::concerns::unsettled;
use super::program::Program;
use super::{App, Failure};
use crate::domain::access::{Caller, Role, RoleSet};
use crate::domain::certification::PaperFault;

pub use super::incidents::Due as IncidentDue;
pub use crate::store::outbox::StoppedLetter;
pub use family::{ChildDue, FamilyDue, ReadyCertificate};
pub use field::{FieldDay, FieldDue, OwnPaper};
pub use grants::{GrantDue, GrantReport};
pub use office::{OfficeDue, PersonsPaper, SitesPaper, ToHandOver, Unanswered, Untold};
pub(super) use office::{papers_on, site_papers_on};
pub use program::{MissingText, ProgramDue};

/// How many days count as this week, today among them.
const WEEK: u64 = 7;

/// Until when a paper holds, when that is soon; or why it does not hold today.
pub type Running = Result<NaiveDate, PaperFault>;

/// What is due for one reader. A part is there when the reader has the role.
#[derive(Clone, Debug)]
pub struct DueToday {
    /// Today in the program's zone.
    pub today: NaiveDate,
    /// For those who stand on the field.
    pub field: Option<FieldDue>,
    /// For those who plan.
    pub office: Option<OfficeDue>,
    /// For a guardian.
    pub family: Option<FamilyDue>,
    /// For who runs the program.
    pub program: Option<ProgramDue>,
    /// How many days ahead papers are told of.
    pub papers_ahead: i64,
    /// Concerns that wait for the reader: reference, and when they were written on the clocks of the program.
    pub concerns: Vec<(String, NaiveDateTime)>,
    /// For who reports to those who pay, and does nothing else.
    pub grants: Option<GrantDue>,
}

/// What is due for the caller.
pub fn list(app: &App, caller: &Caller) -> Result<DueToday, Failure> {
    let has = |roles: &[Role]| caller.roles().meets(RoleSet::of(roles));
    let (on_field, plans) =
        (has(&[Role::Instructor, Role::FirstAid, Role::Helper]) && caller.staff().is_some(), has(&[Role::Coordinator]));
    let (is_guardian, runs) = (has(&[Role::Guardian]), has(&[Role::Administrator]));
    let only_reports = has(&[Role::GrantManager]) && !(on_field || plans || is_guardian || runs);
    app.store.read(|conn| {
        let program = super::program::load(conn)?;
        let span = Span::of(app, &program);
        Ok(DueToday {
            today: span.today,
            papers_ahead: program.settings.papers_ahead_days,
            field: if on_field { Some(field::due(app, conn, caller, &program, span)?) } else { None },
            office: if plans { Some(office::due(app, conn, caller, &program, span)?) } else { None },
            family: if is_guardian { Some(family::due(app, conn, caller, span)?) } else { None },
            program: if runs { Some(program::due(conn, caller, span.today)?) } else { None },
            concerns: unsettled(conn, caller)?.into_iter().map(|one| (one.reference, one.written)).collect(),
            grants: if only_reports { Some(grants::due(conn, &program, span)?) } else { None },
        })
    })
}

/// The days that the page looks at.
#[derive(Clone, Copy, Debug)]
struct Span {
    today: NaiveDate,
    /// The last day of this week.
    week: NaiveDate,
    /// The last day on which a paper that runs out is told of.
    papers: NaiveDate,
}

impl Span {
    fn of(app: &App, program: &Program) -> Self {
        let today = app.clock.today(program.zone);
        let after = |days: u64| today.checked_add_days(Days::new(days)).unwrap_or(today);
        Self { today, week: after(WEEK - 1), papers: after(program.settings.papers_ahead_days.unsigned_abs()) }
    }

    /// A paper that needs somebody: it does not hold today, or runs out soon.
    fn running(self, holds: Running) -> Option<Running> {
        match holds {
            Ok(through) if through > self.papers => None,
            other => Some(other),
        }
    }
}
