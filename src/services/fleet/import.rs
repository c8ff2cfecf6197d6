//! Machines that come in a spreadsheet file: read into rows, looked at beside the fleet, and added, all of them or none. The
//! file is not kept: the page of the look carries its rows to the press.

use chrono::NaiveDate;

use super::{App, Failure, MachineFacts, RecordFault, ask, days, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::import::{DayOrder, day};
use crate::domain::machine::MachineState;
use crate::domain::machine::record::{EventKind, record_faults};
use crate::domain::machine::sheet::{Column, MOST_ROWS, Row, columns};
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::outside::sheet::{self, Cell, Limits};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::machine_log::add_event;
use crate::store::machines::{add_machine, list_machines};
use crate::store::{AnyConn, StoreError};

pub use crate::outside::sheet::SheetFault;

/// A file as rows of machines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brought {
    /// The rows, each with its number in the file.
    pub rows: Vec<(u32, Row)>,
    /// Columns that every record needs and that the file does not have.
    pub missing: Vec<Column>,
    /// Headings that say nothing about a machine.
    pub passed_over: Vec<String>,
}

/// Reads a file. Days come out as 2023-03-14 where they are days.
///
/// # Errors
/// What is wrong with the file.
pub fn read(app: &App, caller: &Caller, bytes: &[u8]) -> Result<Result<Brought, SheetFault>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    // The heading, and lines that are none of the table, come on top.
    let limits = Limits { rows: MOST_ROWS + 20, ..Limits::default() };
    let sheet = match sheet::read(bytes, &limits) {
        Ok(sheet) if sheet.rows.len() > MOST_ROWS => return Ok(Err(SheetFault::TooManyRows { most: MOST_ROWS })),
        Ok(sheet) => sheet,
        Err(SheetFault::TooManyRows { .. }) => return Ok(Err(SheetFault::TooManyRows { most: MOST_ROWS })),
        Err(fault) => return Ok(Err(fault)),
    };
    let today = app.clock.today(app.store.read(|conn| Ok::<_, Failure>(program::load(conn)?.zone))?);
    let columns = columns(&sheet.headings);
    let cells = |cells: &[Cell]| -> Row {
        let filled = columns.iter().zip(cells).filter_map(|(column, cell)| Some(((*column)?, cell)));
        filled.map(|(column, cell)| (column, text(column, cell, today))).filter(|(_, text)| !text.is_empty()).collect()
    };
    let unread = sheet.headings.iter().zip(&columns).filter(|(_, column)| column.is_none());
    Ok(Ok(Brought {
        rows: sheet.rows.iter().map(|row| (row.number, cells(&row.cells))).collect(),
        missing: Column::ALL.iter().filter(|one| one.is_needed() && !columns.contains(&Some(**one))).copied().collect(),
        passed_over: unread.map(|(heading, _)| heading.clone()).collect(),
    }))
}

fn text(column: Column, cell: &Cell, today: NaiveDate) -> String {
    let text = cell.to_text().trim().to_owned();
    match cell {
        Cell::Day(day) => day.to_string(),
        _ if column.is_day() => day(&text, DayOrder::MonthFirst, today).map_or(text.clone(), |day| day.to_string()),
        _ => text,
    }
}

/// What becomes of a machine of the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is added.
    Added,
    /// A machine of the fleet carries the number.
    Here,
    /// An earlier row has the number, by its place.
    Again(usize),
    /// It cannot be.
    Faulty(Vec<RecordFault>),
}

/// What would become of each machine now.
pub fn look(app: &App, caller: &Caller, machines: &[MachineFacts]) -> Result<Vec<Outcome>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let today = clock.today(program::load(conn)?.zone);
        Ok(outcomes(conn, machines, today)?)
    })
}

fn outcomes(conn: &mut AnyConn, machines: &[MachineFacts], today: NaiveDate) -> Result<Vec<Outcome>, StoreError> {
    let here = list_machines(conn)?;
    let of = |(at, facts): (usize, &MachineFacts)| {
        let faults = record_faults(days(facts), today);
        if !faults.is_empty() {
            return Outcome::Faulty(faults);
        }
        if here.iter().any(|row| row.number == facts.number) {
            return Outcome::Here;
        }
        let earlier = machines[..at].iter().position(|other| other.number == facts.number);
        earlier.map_or(Outcome::Added, Outcome::Again)
    };
    Ok(machines.iter().enumerate().map(of).collect())
}

/// Adds every machine, or none.
///
/// # Errors
/// `WorldMoved` when one of them cannot be added any more.
pub fn take(app: &App, caller: &Caller, machines: Vec<MachineFacts>) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let references: Vec<String> = machines.iter().map(|_| app.random.reference()).collect();
    let (now, caller, clock) = (app.clock.now(), caller.clone(), app.clock.clone());
    app.store.write("add machines", move |conn| -> Result<(), Failure> {
        let today = clock.today(program::load(conn)?.zone);
        if outcomes(conn, &machines, today)?.iter().any(|outcome| *outcome != Outcome::Added) {
            return Err(Refusal::WorldMoved.into());
        }
        for (facts, reference) in machines.iter().zip(&references) {
            let added = add_machine(conn, facts, reference, MachineState::Ready.as_str());
            let id = match added {
                Err(StoreError::Duplicate(_)) => return Err(Refusal::WorldMoved.into()),
                other => other?,
            };
            add_event(conn, id, (EventKind::Added, ""), caller.account(), now)?;
        }
        let detail = format!("{} machines", machines.len());
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "machine.import", "machines", detail))?)
    })
}
