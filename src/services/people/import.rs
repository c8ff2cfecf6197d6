//! Papers of the staff that come in a spreadsheet file: read into rows, looked at beside the people, and added, all of them or
//! none. The file is not kept: the page of the look carries its rows to the press.

use chrono::NaiveDate;

use super::{Member, NewPaper, members};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::carried_sheet::Row;
use crate::domain::certification::CertificationKind;
use crate::domain::certification_sheet::{PaperColumn, kind};
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::services::carried_sheet::{self, Brought, SheetFault};
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::accounts::find_credentials;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::staff::add_certification;

/// Reads a file into rows.
///
/// # Errors
/// What is wrong with the file.
pub fn read(app: &App, caller: &Caller, bytes: &[u8]) -> Result<Result<Brought<PaperColumn>, SheetFault>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    carried_sheet::read(app, bytes)
}

/// What becomes of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is added to somebody, by name.
    Added(String),
    /// The person has the very paper already.
    Here(String),
    /// An earlier row says the same, by its place.
    Again(usize),
    /// Nobody of the staff signs in with this address.
    Nobody,
    /// What it shows is none of the kinds.
    Kind,
    /// One of its days is no day, or the last comes before the first.
    Days,
}

/// What would become of each row now.
pub fn look(app: &App, caller: &Caller, rows: &[Row<PaperColumn>]) -> Result<Vec<Outcome>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| Ok(outcomes(conn, rows)?.into_iter().map(|(outcome, _)| outcome).collect()))
}

type Found = (Outcome, Option<(Member, NewPaper)>);

fn outcomes(conn: &mut AnyConn, rows: &[Row<PaperColumn>]) -> Result<Vec<Found>, Failure> {
    let people = members(conn)?;
    let mut found: Vec<Found> = Vec::new();
    for row in rows {
        found.push(outcome(conn, &people, row, &found)?);
    }
    Ok(found)
}

fn outcome(conn: &mut AnyConn, people: &[Member], row: &Row<PaperColumn>, earlier: &[Found]) -> Result<Found, Failure> {
    let cell = |column: PaperColumn| row.get(&column).map_or("", String::as_str);
    let account = find_credentials(conn, &cell(PaperColumn::Email).trim().to_lowercase())?;
    let member = account.and_then(|found| people.iter().find(|one| one.account == found.id));
    let Some(member) = member else { return Ok((Outcome::Nobody, None)) };
    let Some(kind) = kind(cell(PaperColumn::Paper)) else { return Ok((Outcome::Kind, None)) };
    let days = (cell(PaperColumn::First).parse::<NaiveDate>(), cell(PaperColumn::Last).parse::<NaiveDate>());
    let (Ok(issued_on), Ok(valid_through)) = days else { return Ok((Outcome::Days, None)) };
    if valid_through < issued_on {
        return Ok((Outcome::Days, None));
    }
    let paper = NewPaper { kind, issued_on, valid_through };
    let same = |one: &(Member, NewPaper)| one.0.id == member.id && one.1 == paper;
    if let Some(at) = earlier.iter().position(|(_, found)| found.as_ref().is_some_and(same)) {
        return Ok((Outcome::Again(at), None));
    }
    let has = |kind: CertificationKind| {
        let own = member.papers.iter().filter(|one| one.kind == kind);
        own.clone().any(|one| (one.issued_on, one.valid_through) == (issued_on, valid_through))
    };
    match has(kind) {
        true => Ok((Outcome::Here(member.name.clone()), None)),
        false => Ok((Outcome::Added(member.name.clone()), Some((member.clone(), paper)))),
    }
}

/// Adds every row that can be added, or none.
///
/// # Errors
/// `WorldMoved` when a row that is sent cannot be added any more.
pub fn take(app: &App, caller: &Caller, rows: Vec<Row<PaperColumn>>) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("add papers", move |conn| -> Result<(), Failure> {
        for (outcome, found) in outcomes(conn, &rows)? {
            let (Outcome::Added(_), Some((member, paper))) = (outcome, found) else {
                return Err(Refusal::WorldMoved.into());
            };
            add_certification(conn, member.id, paper.kind.as_str(), paper.issued_on, paper.valid_through)?;
            let subject = format!("account {}", member.reference);
            let detail = format!("{} through {}, from a file", paper.kind, paper.valid_through);
            add_audit_row(conn, &AuditRow::by(&caller, now, "paper.add", subject, detail))?;
        }
        Ok(())
    })
}
