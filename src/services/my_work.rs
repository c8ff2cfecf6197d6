//! What somebody of the staff sees of their own work: papers, days away, and what they have taught.

use chrono::NaiveDate;

use super::people::{Member, members};
use super::{App, Failure, program};
use crate::domain::absence::{Absence, MOST_DAYS};
use crate::domain::access::Caller;
use crate::domain::certification::{CertificationKind, PaperFault};
use crate::domain::ids::StaffId;
use crate::domain::refusal::{AbsenceRefusal, Refusal};
use crate::domain::staffing::holds_through;
use crate::store::AnyConn;
use crate::store::absences::{absences_of, add_absence, remove_absence, taught_by};
use crate::store::audit::{AuditRow, add_audit_row};

pub use crate::store::absences::TaughtRow;

/// The most absences that stand at a time.
pub const MOST: usize = 40;

/// A person's own work.
#[derive(Clone, Debug)]
pub struct MyWork {
    /// Today at the program.
    pub today: NaiveDate,
    /// Each paper that the roles ask for: through which day it holds, or why not.
    pub papers: Vec<(CertificationKind, Result<NaiveDate, PaperFault>)>,
    /// Days away that are not over, each with its row.
    pub away: Vec<(i64, Absence)>,
    /// What was taught.
    pub taught: Taught,
}

/// Closed sessions of somebody, and the minutes of each year.
#[derive(Clone, Debug, Default)]
pub struct Taught {
    /// The sessions, the newest first.
    pub sessions: Vec<TaughtRow>,
    /// Minutes taught as lead or instructor by year, the newest first: a session counts once.
    pub years: Vec<(i32, i64)>,
}

/// What somebody has taught, on an open connection.
pub(super) fn taught(conn: &mut AnyConn, staff: StaffId) -> Result<Taught, Failure> {
    let sessions = taught_by(conn, staff)?;
    let mut years: std::collections::BTreeMap<i32, i64> = std::collections::BTreeMap::new();
    for one in sessions.iter().filter(|one| one.duty.teaches()) {
        *years.entry(chrono::Datelike::year(&one.on)).or_insert(0) += one.minutes;
    }
    Ok(Taught { years: years.into_iter().rev().collect(), sessions })
}

fn me(conn: &mut AnyConn, caller: &Caller) -> Result<Member, Failure> {
    let found = members(conn)?.into_iter().find(|member| Some(member.id) == caller.staff());
    found.ok_or(Failure::NotFound)
}

/// The caller's own work.
///
/// # Errors
/// `NotFound` for somebody who is not of the staff.
pub fn find(app: &App, caller: &Caller) -> Result<MyWork, Failure> {
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let member = me(conn, caller)?;
        let program = program::load(conn)?;
        let today = clock.today(program.zone);
        let kinds = program.settings.papers.of_roles(&member.roles).into_iter();
        let mut away = absences_of(conn, member.id)?;
        away.retain(|(_, absence)| !absence.is_over(today));
        Ok(MyWork {
            today,
            papers: kinds.map(|kind| (kind, holds_through(kind, &member.papers, today))).collect(),
            away,
            taught: taught(conn, member.id)?,
        })
    })
}

/// Says that the caller is away.
///
/// # Errors
/// `NotFound` for somebody who is not of the staff; `DayIsOver` for days that are over; `TooLong`; `TooMany`.
pub fn go_away(app: &App, caller: &Caller, absence: Absence) -> Result<(), Failure> {
    let (clock, caller) = (app.clock.clone(), caller.clone());
    app.store.write("absence", move |conn| -> Result<(), Failure> {
        let member = me(conn, &caller)?;
        let today = clock.today(program::load(conn)?.zone);
        if absence.is_over(today) {
            return Err(Refusal::DayIsOver { on: absence.through }.into());
        }
        if (absence.through - absence.from).num_days() >= MOST_DAYS {
            return Err(Refusal::Absence(AbsenceRefusal::TooLong).into());
        }
        let standing = absences_of(conn, member.id)?;
        if standing.iter().any(|(_, other)| *other == absence) {
            return Ok(());
        }
        if standing.iter().filter(|(_, other)| !other.is_over(today)).count() >= MOST {
            return Err(Refusal::Absence(AbsenceRefusal::TooMany).into());
        }
        add_absence(conn, member.id, absence, clock.now())?;
        let detail = format!("{} through {}", absence.from, absence.through);
        let subject = format!("account {}", member.reference);
        Ok(add_audit_row(conn, &AuditRow::by(&caller, clock.now(), "absence.add", subject, detail))?)
    })
}

/// Takes an absence back. One that is gone already is no fault.
///
/// # Errors
/// `NotFound` for somebody who is not of the staff.
pub fn come_back(app: &App, caller: &Caller, row: i64) -> Result<(), Failure> {
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("absence", move |conn| -> Result<(), Failure> {
        let member = me(conn, &caller)?;
        if remove_absence(conn, member.id, row)? {
            let subject = format!("account {}", member.reference);
            add_audit_row(conn, &AuditRow::by(&caller, now, "absence.remove", subject, ""))?;
        }
        Ok(())
    })
}
