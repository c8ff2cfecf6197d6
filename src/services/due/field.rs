//! What is due for somebody who stands on the field: own sessions of today and this week, days that were not closed, own
//! papers that run out.

use super::{Running, Span};
use crate::domain::access::{Caller, Duty};
use crate::domain::certification::CertificationKind;
use crate::domain::staffing::holds_through;
use crate::services::incidents;
use crate::services::people::members;
use crate::services::program::Program;
use crate::services::roster::MySession;
use crate::services::roster::mine::mine;
use crate::services::roster::opened::open;
use crate::services::{App, Failure};
use crate::store::AnyConn;

/// A session of the reader.
#[derive(Clone, Debug)]
pub struct FieldDay {
    /// The session, and what is most due there.
    pub session: MySession,
    /// Whether nobody may ride yet because the day list is not signed; only looked at today.
    pub day_list_open: bool,
}

/// A paper of the reader that needs renewing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OwnPaper {
    /// What it shows.
    pub kind: CertificationKind,
    /// Through which day it holds, or why it does not.
    pub holds: Running,
}

/// What is due on the field.
#[derive(Clone, Debug, Default)]
pub struct FieldDue {
    /// Sessions of today.
    pub today: Vec<FieldDay>,
    /// Sessions of the other days of this week.
    pub week: Vec<FieldDay>,
    /// Sessions whose last day has passed and that are not closed.
    pub unclosed: Vec<FieldDay>,
    /// Own papers that do not hold, or not for long.
    pub papers: Vec<OwnPaper>,
    /// Reports of own sessions that are not closed.
    pub incidents: Vec<incidents::Due>,
    /// The next session after this week, when there is none in it.
    pub next: Option<FieldDay>,
}

impl FieldDue {
    /// Whether nothing needs the reader today.
    pub fn is_empty(&self) -> bool {
        self.today.is_empty() && self.unclosed.is_empty() && self.papers.is_empty() && self.incidents.is_empty()
    }
}

pub(super) fn due(
    app: &App,
    conn: &mut AnyConn,
    caller: &Caller,
    program: &Program,
    span: Span,
) -> Result<FieldDue, Failure> {
    let now = app.clock.now();
    let mut due = FieldDue { papers: papers(conn, caller, program, span)?, ..FieldDue::default() };
    let mine = mine(conn, caller, now)?;
    due.incidents = incidents::due(conn, program, now, |row| row.closed_at.is_none())?;
    let writes = |session: &MySession, one: &incidents::Due| {
        session.duty != Duty::Helper && session.reference == one.listed.session.session.reference
    };
    due.incidents.retain(|one| mine.iter().any(|session| writes(session, one)));
    for session in mine {
        if session.due.is_over() {
            continue;
        }
        if session.is_today {
            let opened = open(conn, caller, &session.reference, now)?;
            let acts = opened.acts(conn)?;
            let day_list_open = opened.alarms(conn, &acts, None)?.no_riding.is_some();
            due.today.push(FieldDay { session, day_list_open });
            continue;
        }
        let day = FieldDay { session, day_list_open: false };
        match day.session.meeting.on {
            on if on < span.today => due.unclosed.push(day),
            on if on <= span.week => due.week.push(day),
            _ if due.next.is_none() => due.next = Some(day),
            _ => {}
        }
    }
    Ok(due)
}

/// The papers that the caller's roles ask for.
fn papers(conn: &mut AnyConn, caller: &Caller, program: &Program, span: Span) -> Result<Vec<OwnPaper>, Failure> {
    let people = members(conn)?;
    let Some(me) = people.iter().find(|member| Some(member.id) == caller.staff()) else { return Ok(Vec::new()) };
    let paper = |kind: CertificationKind| {
        let holds = span.running(holds_through(kind, &me.papers, span.today))?;
        Some(OwnPaper { kind, holds })
    };
    Ok(program.settings.papers.of_roles(&me.roles).into_iter().filter_map(paper).collect())
}
