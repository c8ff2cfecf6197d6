//! The program's staff with their roles and papers: adding a paper, setting one aside or taking it back, and who may teach alone.

pub mod import;

use chrono::NaiveDate;

use super::my_work::{Taught, taught};
use super::{App, Failure, ask, program};
use crate::domain::absence::Absence;
use crate::domain::access::{Action, Caller, Role, Subject};
pub use crate::domain::certification::PaperStanding;
use crate::domain::certification::{Certification, CertificationKind, InstructorState};
use crate::domain::ids::{AccountId, StaffId};
use crate::domain::words::{Phone, Word, full_name};
use crate::store::absences::list_absences;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::staff::{
    CertificationRow, StaffRow, add_certification, certifications_of, list_certifications, list_references, list_staff,
    roles_of_staff, set_certification_standing, set_provisional,
};
use crate::store::{AnyConn, StoreError};

/// A staff member as the office sees them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// The row.
    pub id: StaffId,
    /// Their account.
    pub account: AccountId,
    /// Their account's public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Telephone as people read it.
    pub phone: String,
    /// Their roles.
    pub roles: Vec<Role>,
    /// Active, provisional (teaches only beside a lead), or suspended: the account is shut.
    pub state: InstructorState,
    /// Their papers.
    pub papers: Vec<Certification>,
    /// Days on which they are away.
    pub away: Vec<Absence>,
}

/// The staff by name, and today in the program's zone.
#[derive(Clone, Debug)]
pub struct People {
    /// Everybody.
    pub members: Vec<Member>,
    /// The day on which papers are judged.
    pub today: NaiveDate,
}

/// A paper about to be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NewPaper {
    /// What it shows.
    pub kind: CertificationKind,
    /// First day it counts.
    pub issued_on: NaiveDate,
    /// Last day it counts; not before the first.
    pub valid_through: NaiveDate,
}

/// All staff.
pub fn list(app: &App, caller: &Caller) -> Result<People, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    app.store.read(|conn| {
        let today = app.clock.today(program::load(conn)?.zone);
        Ok(People { members: members(conn)?, today })
    })
}

/// A member as the office sees them, with what they have taught.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The member.
    pub member: Member,
    /// Every paper with its number, by kind and last day.
    pub kept: Vec<(i64, Certification)>,
    /// What was taught.
    pub taught: Taught,
    /// The day on which papers are judged.
    pub today: NaiveDate,
}

/// One member by the account's reference.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    let people = list(app, caller)?;
    let found = people.members.into_iter().find(|member| member.reference == reference);
    let member = found.ok_or(Failure::NotFound)?;
    app.store.read(|conn| -> Result<Sheet, Failure> {
        let kept = certifications_of(conn, member.id)?;
        let kept = kept.iter().map(|row| Ok((row.id, certification(row)?))).collect::<Result<_, StoreError>>()?;
        Ok(Sheet { kept, taught: taught(conn, member.id)?, member: member.clone(), today: people.today })
    })
}

/// Adds a paper to a member.
pub fn add_paper(app: &App, caller: &Caller, reference: &str, paper: NewPaper) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (reference.to_owned(), app.clock.now(), caller.clone());
    app.store.write("add paper", move |conn| {
        let member = of_reference(conn, &reference)?;
        add_certification(conn, member.id, paper.kind.as_str(), paper.issued_on, paper.valid_through)?;
        let subject = format!("account {reference}");
        let detail = format!("{} through {}", paper.kind, paper.valid_through);
        add_audit_row(conn, &AuditRow::by(&caller, now, "paper.add", subject, detail))?;
        Ok(())
    })
}

/// Sets a paper aside, lets it count again, or takes it back for good, from today on.
///
/// # Errors
/// `NotFound` for a paper that the member does not have; `PaperTakenBack` for one that was taken back before.
pub fn set_standing(
    app: &App,
    caller: &Caller,
    reference: &str,
    (paper, standing): (i64, PaperStanding),
) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, clock, caller) = (reference.to_owned(), app.clock.clone(), caller.clone());
    app.store.write("set paper standing", move |conn| {
        let member = of_reference(conn, &reference)?;
        let row = certifications_of(conn, member.id)?.into_iter().find(|row| row.id == paper);
        let row = row.ok_or(Failure::NotFound)?;
        let today = clock.today(program::load(conn)?.zone);
        let decided = certification(&row)?.decided(standing, today)?;
        set_certification_standing(conn, member.id, paper, (decided.suspended_on, decided.revoked_on))?;
        let (subject, detail) = (format!("account {reference}"), format!("{} {standing}", row.kind));
        add_audit_row(conn, &AuditRow::by(&caller, clock.now(), "paper.standing", subject, detail))?;
        Ok(())
    })
}

/// Lets a member teach alone, or only beside an active lead.
///
/// # Errors
/// `NotFound` for nobody of the staff.
pub fn set_beside_lead(app: &App, caller: &Caller, reference: &str, beside: bool) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (reference.to_owned(), app.clock.now(), caller.clone());
    app.store.write("set provisional", move |conn| {
        let member = of_reference(conn, &reference)?;
        set_provisional(conn, member.id, beside)?;
        let (subject, detail) = (format!("account {reference}"), if beside { "beside a lead" } else { "alone" });
        add_audit_row(conn, &AuditRow::by(&caller, now, "staff.provisional", subject, detail.to_owned()))?;
        Ok(())
    })
}

fn of_reference(conn: &mut AnyConn, reference: &str) -> Result<Member, Failure> {
    members(conn)?.into_iter().find(|member| member.reference == reference).ok_or(Failure::NotFound)
}

/// Everybody in the staff, by name, on an open connection.
pub(super) fn members(conn: &mut AnyConn) -> Result<Vec<Member>, StoreError> {
    let references = list_references(conn)?;
    let roles = roles_of_staff(conn)?;
    let papers = list_certifications(conn)?;
    let absences = list_absences(conn)?;
    let member = |row: StaffRow| {
        let reference = references.iter().find(|(id, _)| *id == row.id).map(|(_, reference)| reference.clone());
        let own = papers.iter().filter(|paper| paper.staff_id == row.id).map(certification);
        Ok(Member {
            id: row.id,
            account: row.account,
            reference: reference.ok_or(StoreError::Missing)?,
            name: full_name(&row.given_name, &row.family_name),
            phone: Phone::shown(&row.phone),
            roles: roles.iter().filter(|(id, _)| *id == row.id).map(|(_, role)| *role).collect(),
            state: match (row.disabled_at, row.provisional) {
                (Some(_), _) => InstructorState::Suspended,
                (None, true) => InstructorState::Provisional,
                (None, false) => InstructorState::Active,
            },
            papers: own.collect::<Result<_, _>>()?,
            away: absences.iter().filter(|(id, _)| *id == row.id).map(|(_, absence)| *absence).collect(),
        })
    };
    list_staff(conn)?.into_iter().map(member).collect()
}

fn certification(row: &CertificationRow) -> Result<Certification, StoreError> {
    Ok(Certification {
        kind: CertificationKind::from_word(&row.kind).ok_or(StoreError::Unreadable("certifications.kind"))?,
        issued_on: row.issued_on,
        valid_through: row.valid_through,
        suspended_on: row.suspended_on,
        revoked_on: row.revoked_on,
    })
}
