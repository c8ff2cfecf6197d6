//! An import before anything is done: what its columns mean, and row by row what will become of it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use sha2::{Digest, Sha256};

use super::{opened, said};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::{GuardianId, RiderId};
use crate::domain::import::plan::{Here, KnownAdult, KnownChild, Outcome, plan};
use crate::domain::import::{
    ColumnFault, DayOrder, Entry, Meaning, Reader, RowFault, check_columns, columns as columns_of, county_keys,
    heading_key,
};
use crate::domain::refusal::Refusal;
use crate::domain::words::{Word, full_name};
use crate::outside::sheet::{PassedRows, ReadAs, Sheet, SheetRow};
use crate::services::{App, Failure, ask, program};
use crate::store::counties::list_counties;
use crate::store::imports::{
    ImportRow, adults_reached, children_born, find_import, headings, set_heading, set_meanings,
};
use crate::store::{AnyConn, StoreError};

/// How many cells of a column are shown beside its heading.
const SAMPLES: usize = 3;

/// The columns of a sheet and what they are said to mean.
#[derive(Clone, Debug)]
pub struct Columns {
    /// The import.
    pub row: ImportRow,
    /// Each heading with what it probably means and the first cells below it.
    pub columns: Vec<(String, Option<Meaning>, Vec<String>)>,
    /// Counties to choose from: code and name.
    pub counties: Vec<(String, String)>,
    /// How many rows there are.
    pub rows: usize,
    /// How the file was read.
    pub read_as: ReadAs,
    /// Other worksheets, which are not read.
    pub other_sheets: Vec<String>,
}

/// What each column says: as the office said for this file, else as for files before, else a guess.
fn meanings(conn: &mut AnyConn, row: &ImportRow, sheet: &Sheet) -> Result<Vec<Option<Meaning>>, Failure> {
    let kept: Option<Vec<String>> = match &row.meanings {
        Some(text) => Some(serde_json::from_str(text).map_err(|_| StoreError::Unreadable("imports.meanings"))?),
        None => None,
    };
    Ok(match kept {
        Some(words) => words.iter().map(|word| Meaning::from_word(word)).collect(),
        None => columns_of(&sheet.headings, &headings(conn)?),
    })
}

/// The columns of an import.
///
/// # Errors
/// `NotFound`; `WorldMoved` when it is done.
pub fn columns(app: &App, caller: &Caller, reference: &str) -> Result<Columns, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| {
        let (row, sheet) = opened(app, conn, reference)?;
        let meanings = meanings(conn, &row, &sheet)?;
        let program = program::load(conn)?;
        let counties = list_counties(conn, program.row.county_set, &program.row.state_fips)?;
        let samples = |at: usize| {
            let filled = sheet.rows.iter().map(|row| row.cells[at].to_text()).filter(|text| !text.is_empty());
            filled.take(SAMPLES).map(|text| text.chars().take(60).collect()).collect()
        };
        let columns = sheet.headings.iter().enumerate();
        Ok(Columns {
            columns: columns.map(|(at, heading)| (heading.clone(), meanings[at], samples(at))).collect(),
            counties: counties.into_iter().map(|county| (county.fips, county.name)).collect(),
            rows: sheet.rows.len(),
            read_as: sheet.read_as,
            other_sheets: sheet.other_sheets,
            row,
        })
    })
}

/// Keeps what the columns say, and remembers it for the next file.
///
/// # Errors
/// `NotFound`, also when there are not as many meanings as columns; `WorldMoved` when it is done.
pub fn set_columns(
    app: &App,
    caller: &Caller,
    reference: &str,
    meanings: &[Option<Meaning>],
    (order, county): (DayOrder, Option<&str>),
) -> Result<Vec<ColumnFault>, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (row, sheet) = app.store.read(|conn| opened(app, conn, reference))?;
    if meanings.len() != sheet.headings.len() {
        return Err(Failure::NotFound);
    }
    let faults = check_columns(meanings, county.is_some());
    if !faults.is_empty() {
        return Ok(faults);
    }
    let (meanings, county) = (meanings.to_vec(), county.map(str::to_owned));
    let words: Vec<&str> = meanings.iter().map(|one| one.map_or("", |meaning| meaning.as_str())).collect();
    let words = serde_json::to_string(&words).map_err(Failure::broken)?;
    app.store.write("columns of import", move |conn| -> Result<(), Failure> {
        if !set_meanings(conn, row.id, &words, order, county.as_deref())? {
            return Err(Refusal::WorldMoved.into());
        }
        for (heading, meaning) in sheet.headings.iter().zip(&meanings) {
            set_heading(conn, &heading_key(heading), *meaning)?;
        }
        Ok(())
    })?;
    Ok(Vec::new())
}

/// One row with what it says and what will become of it.
#[derive(Clone, Debug)]
pub struct PreviewRow {
    /// Its number in the file.
    pub number: u32,
    /// What it says, when all of it can be used.
    pub entry: Option<Entry>,
    /// What the cells say that matter, as they stand there; nothing when all of it can be used.
    pub shown: Vec<String>,
    /// What will become of it.
    pub outcome: Outcome,
}

/// Every row of an import.
#[derive(Clone, Debug)]
pub struct Preview {
    /// The import.
    pub row: ImportRow,
    /// The rows in their order.
    pub rows: Vec<PreviewRow>,
    /// Rows that are none of the table.
    pub passed_over: Vec<PassedRows>,
    /// Stands for all that will be done: a press is about what its page showed.
    pub seen: String,
}

/// An import that is planned, with the rows that its outcomes lean on.
pub(super) struct Planned {
    pub row: ImportRow,
    pub columns: Vec<Option<Meaning>>,
    pub entries: Vec<Result<Entry, Vec<RowFault>>>,
    pub outcomes: Vec<Outcome>,
    /// The adults that outcomes name by their places.
    pub adults: Vec<GuardianId>,
    pub seen: String,
}

/// Reads the file and decides about every row, beside everybody who is here now. The table is given apart: who takes the
/// rows needs it no more.
pub(super) fn planned(app: &App, conn: &mut AnyConn, reference: &str) -> Result<(Planned, Sheet), Failure> {
    let (row, sheet) = opened(app, conn, reference)?;
    if row.meanings.is_none() {
        return Err(Failure::NotFound);
    }
    let columns = meanings(conn, &row, &sheet)?;
    let program = program::load(conn)?;
    let counties: BTreeMap<String, String> = list_counties(conn, program.row.county_set, &program.row.state_fips)?
        .into_iter()
        .flat_map(|county| county_keys(&county.name, &county.fips).map(|key| (key, county.fips.clone())))
        .collect();
    let reader = Reader {
        columns: &columns,
        order: row.day_order,
        county: row.county.as_deref(),
        counties: &counties,
        today: app.clock.today(program.zone),
    };
    let read = |one: &SheetRow| {
        let cells: Vec<_> = one.cells.iter().map(said).collect();
        reader.read(&cells, one.overhangs)
    };
    let entries: Vec<Result<Entry, Vec<RowFault>>> = sheet.rows.iter().map(read).collect();
    let (here, adults) = who_may_be_meant(conn, &entries)?;
    let outcomes = plan(&here, &entries);
    let told = format!("{:?}", (&row.meanings, row.day_order, &row.county, &outcomes));
    let seen = Sha256::digest(told.as_bytes()).iter().take(12).map(|byte| format!("{byte:02x}")).collect();
    Ok((Planned { row, columns, entries, outcomes, adults, seen }, sheet))
}

/// Everybody who is here and may be meant by one of the entries, and the rows of the adults by their places.
fn who_may_be_meant(
    conn: &mut AnyConn,
    entries: &[Result<Entry, Vec<RowFault>>],
) -> Result<(Here, Vec<GuardianId>), Failure> {
    let entries = || entries.iter().flatten();
    let phones: BTreeSet<&str> = entries().map(|entry| entry.phone.as_str()).collect();
    let emails: BTreeSet<&str> = entries().filter_map(|entry| entry.email.as_deref()).collect();
    let days: BTreeSet<NaiveDate> = entries().map(|entry| entry.born).collect();
    let mut here = Here::default();
    let mut place_of: BTreeMap<GuardianId, usize> = BTreeMap::new();
    for adult in adults_reached(conn, &phones, &emails)? {
        place_of.insert(adult.id, here.adults.len());
        let name = full_name(&adult.given_name, &adult.family_name);
        here.adults.push(KnownAdult { name, phone: adult.phone, email: adult.email });
    }
    let mut child_at: BTreeMap<RiderId, usize> = BTreeMap::new();
    for (tie, adult) in children_born(conn, &days)? {
        let child = *child_at.entry(tie.id).or_insert_with(|| {
            let name = full_name(&tie.given_name, &tie.family_name);
            here.children.push(KnownChild { name, born: tie.birth_date, adults: Vec::new() });
            here.children.len() - 1
        });
        here.children[child].adults.extend(place_of.get(&adult));
    }
    Ok((here, place_of.into_keys().collect()))
}

/// What the cells of these columns say.
fn shown(row: &SheetRow, columns: &[usize]) -> Vec<String> {
    let texts = columns.iter().map(|at| row.cells[*at].to_text().chars().take(60).collect::<String>());
    texts.filter(|text| !text.is_empty()).collect()
}

/// Every row of an import and what will become of it. Nothing before the columns have their meanings.
///
/// # Errors
/// `NotFound`; `WorldMoved` when it is done.
pub fn preview(app: &App, caller: &Caller, reference: &str) -> Result<Option<Preview>, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| {
        let row = find_import(conn, reference)?.ok_or(Failure::NotFound)?;
        if row.meanings.is_none() && row.done_at.is_none() {
            return Ok(None);
        }
        let (Planned { row, columns, entries, outcomes, seen, .. }, sheet) = planned(app, conn, reference)?;
        let wanted: Vec<usize> =
            columns.iter().enumerate().filter(|(_, one)| one.is_some()).map(|(at, _)| at).collect();
        let rows = sheet.rows.into_iter().zip(entries).zip(outcomes).map(|((of, entry), outcome)| PreviewRow {
            number: of.number,
            shown: if entry.is_err() { shown(&of, &wanted) } else { Vec::new() },
            entry: entry.ok(),
            outcome,
        });
        Ok(Some(Preview { row, rows: rows.collect(), passed_over: sheet.passed_over, seen }))
    })
}
