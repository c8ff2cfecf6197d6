//! Reads the whole audit log and its seals again and names the first row that is not as it was written.
//! Changes nothing, and needs no keys: it also works on a restored copy.

use super::Failure;
use crate::store::audit::{StoredAuditRow, list_audit_rows};
use crate::store::seals::{Mark, NO_HEAD, NO_ROW, SealRow, list_seals_after, next_head};
use crate::store::{Store, StoreError};

/// Seals, or rows without a seal, read at a time.
const PAGE: i64 = 500;
/// More rows than any seal covers, should its count have been changed.
const MOST_OF_A_SEAL: i64 = 100_000;

/// What is wrong with the log: the first fault in the order of the rows.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// Its fields are not those that were written.
    #[error("audit row {0} was changed")]
    Changed(i64),
    /// It was sealed and is gone.
    #[error("audit row {0} is missing")]
    Missing(i64),
    /// It was never sealed and stands among sealed rows.
    #[error("audit row {0} was put in among sealed rows")]
    PutIn(i64),
    /// It is another row of the same seal.
    #[error("audit row {0} stands in the place of another")]
    Moved(i64),
    /// The rows and what the seal remembers of them agree, and still they do not give its head.
    #[error("a row from {first} to {last} was changed together with its hash and its mark")]
    Within {
        /// First row of the seal.
        first: i64,
        /// Last row of the seal.
        last: i64,
    },
    /// The seal does not continue the one before: a seal was changed, removed or put in.
    #[error("seal {seal}, from audit row {first} on, does not follow the seal before it")]
    Broken {
        /// The seal.
        seal: i64,
        /// First row it covers.
        first: i64,
    },
    /// The head that was written down earlier is in no seal.
    #[error("no seal has the noted head: the end of the log was cut off, or the log was written anew")]
    HeadUnknown,
}

/// What the log looks like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// Seals that hold.
    pub seals: i64,
    /// Rows under these seals.
    pub sealed: i64,
    /// Rows after the last seal.
    pub unsealed: i64,
    /// Head of the last seal that holds.
    pub head: String,
    /// The first fault.
    pub fault: Option<Fault>,
}

/// Reads the log. `noted` is a head that was written down earlier: it must still be in the chain.
///
/// # Errors
/// The database cannot be read.
pub fn verify(store: &Store, noted: Option<&str>) -> Result<Report, Failure> {
    let mut walk = Walk::new(store);
    walk.fault = walk.seals(noted)?;
    if walk.fault.is_none() {
        walk.fault = walk.tail()?;
    }
    Ok(walk.report())
}

/// How far the reading has come.
struct Walk<'a> {
    store: &'a Store,
    seal: i64,
    row: i64,
    head: String,
    seals: i64,
    sealed: i64,
    unsealed: i64,
    fault: Option<Fault>,
}

impl<'a> Walk<'a> {
    fn new(store: &'a Store) -> Self {
        Self { store, seal: i64::MIN, row: NO_ROW, head: NO_HEAD.into(), seals: 0, sealed: 0, unsealed: 0, fault: None }
    }

    fn report(self) -> Report {
        let Self { seals, sealed, unsealed, head, fault, .. } = self;
        Report { seals, sealed, unsealed, head, fault }
    }

    fn seals(&mut self, noted: Option<&str>) -> Result<Option<Fault>, StoreError> {
        let mut is_known = noted.is_none_or(|head| head == NO_HEAD);
        loop {
            let seals = self.store.read(|conn| list_seals_after(conn, self.seal, PAGE))?;
            if seals.is_empty() {
                return Ok((!is_known).then_some(Fault::HeadUnknown));
            }
            for seal in &seals {
                if let Some(fault) = self.seal(seal)? {
                    return Ok(Some(fault));
                }
                is_known |= noted == Some(&*seal.head);
            }
        }
    }

    fn seal(&mut self, seal: &SealRow) -> Result<Option<Fault>, StoreError> {
        let (after, most) = (self.row, seal.rows_sealed.clamp(0, MOST_OF_A_SEAL) + 1);
        let rows = self.store.read(|conn| list_audit_rows(conn, after, seal.last_row, most))?;
        if seal.previous_head != self.head || seal.first_row <= after || seal.last_row < seal.first_row {
            let fault = Fault::Broken { seal: seal.id, first: seal.first_row };
            return Ok(Some(first_changed(&rows).unwrap_or(fault)));
        }
        let fault = fault_in(seal, &rows);
        if fault.is_none() {
            (self.seal, self.row, self.head) = (seal.id, seal.last_row, seal.head.clone());
            (self.seals, self.sealed) = (self.seals + 1, self.sealed + seal.rows_sealed);
        }
        Ok(fault)
    }

    /// Rows that no seal covers yet have their own hashes alone.
    fn tail(&mut self) -> Result<Option<Fault>, StoreError> {
        loop {
            let rows = self.store.read(|conn| list_audit_rows(conn, self.row, i64::MAX, PAGE))?;
            let Some(last) = rows.last() else { return Ok(None) };
            if let Some(fault) = first_changed(&rows) {
                return Ok(Some(fault));
            }
            self.row = last.id;
            self.unsealed += rows.len() as i64;
        }
    }
}

fn first_changed(rows: &[StoredAuditRow]) -> Option<Fault> {
    rows.iter().find(|row| !row.is_sound()).map(|row| Fault::Changed(row.id))
}

/// The first fault of the rows under a seal that follows the one before.
fn fault_in(seal: &SealRow, rows: &[StoredAuditRow]) -> Option<Fault> {
    let whole = Fault::Within { first: seal.first_row, last: seal.last_row };
    let Some(marks) = seal.read_marks() else { return Some(first_changed(rows).unwrap_or(whole)) };
    let mut expected = marks.iter().peekable();
    for row in rows {
        match expected.peek() {
            Some(mark) if mark.row < row.id => return Some(Fault::Missing(mark.row)),
            Some(mark) if mark.row == row.id => {
                if let Some(fault) = fault_of(row, mark, &marks) {
                    return Some(fault);
                }
                expected.next();
            }
            _ => return Some(Fault::PutIn(row.id)),
        }
    }
    if let Some(mark) = expected.next() {
        return Some(Fault::Missing(mark.row));
    }
    let head = next_head(&seal.previous_head, rows.iter().map(|row| &*row.row_hash));
    (head != seal.head || rows.len() as i64 != seal.rows_sealed).then_some(whole)
}

fn fault_of(row: &StoredAuditRow, mark: &Mark<'_>, marks: &[Mark<'_>]) -> Option<Fault> {
    if !row.is_sound() {
        Some(Fault::Changed(row.id))
    } else if mark.fits(&row.row_hash) {
        None
    } else if marks.iter().any(|other| other.fits(&row.row_hash)) {
        Some(Fault::Moved(row.id))
    } else {
        Some(Fault::Changed(row.id))
    }
}
