//! Taking an import, all or nothing, and taking it back.

use super::look::{Planned, planned};
use super::{UNDO, can_be_undone};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::{GuardianId, RiderId};
use crate::domain::import::plan::{Adult, Outcome};
use crate::domain::refusal::Refusal;
use crate::services::{App, Failure, ask, program};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{NewGuardian, NewRider, add_guardian, add_rider};
use crate::store::imports::{find_import, note_imported, set_done, set_undone, take_back};
use crate::store::{AnyConn, StoreError};

/// What became of a press.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// Everything that the page showed was done.
    Done,
    /// Rows that cannot be taken were not agreed to be left out.
    FaultyRows,
    /// Families changed since the page was drawn.
    Moved,
}

/// Takes every row that can be taken, as the page showed it, in one transaction. `leave_out` agrees that rows that cannot
/// be taken stay out.
///
/// # Errors
/// `NotFound`; `WorldMoved` when it is done already.
pub fn run(app: &App, caller: &Caller, reference: &str, seen: &str, leave_out: bool) -> Result<Taken, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (own, caller, now) = (app.clone(), caller.clone(), app.clock.now());
    let (reference, seen) = (reference.to_owned(), seen.to_owned());
    app.store.write("take import", move |conn| -> Result<Taken, Failure> {
        let (plan, _) = planned(&own, conn, &reference)?;
        if plan.seen != seen {
            return Ok(Taken::Moved);
        }
        if !leave_out && plan.outcomes.iter().any(|one| matches!(one, Outcome::Faulty(_))) {
            return Ok(Taken::FaultyRows);
        }
        let (riders, adults) = add_all(&own, conn, &plan)?;
        let counts = (count(adults.len()), count(riders.len()));
        if !set_done(conn, plan.row.id, counts, now)? {
            return Err(Refusal::WorldMoved.into());
        }
        note_imported(conn, plan.row.id, &riders, &adults)?;
        let detail = format!("{} adults, {} children", counts.0, counts.1);
        let subject = format!("import {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "import.take", subject, detail))?;
        Ok(Taken::Done)
    })
}

fn count(of: usize) -> i64 {
    i64::try_from(of).unwrap_or(i64::MAX)
}

/// Adds the children and adults of a plan. Adults have no account yet: nobody is written to, and one is made when the
/// office registers the child.
fn add_all(app: &App, conn: &mut AnyConn, plan: &Planned) -> Result<(Vec<RiderId>, Vec<GuardianId>), Failure> {
    let county_set = program::load(conn)?.row.county_set;
    let now = app.clock.now();
    let (mut riders, mut adults) = (Vec::new(), Vec::new());
    // The adult of each row that brought one.
    let mut brought: Vec<Option<GuardianId>> = vec![None; plan.outcomes.len()];
    for (at, (outcome, entry)) in plan.outcomes.iter().zip(&plan.entries).enumerate() {
        let (Outcome::Added { adult, .. }, Ok(entry)) = (outcome, entry) else { continue };
        let guardian = match adult {
            Adult::Here(place) => plan.adults.get(*place).copied(),
            Adult::OfRow(before) => brought.get(*before).copied().flatten(),
            Adult::New => {
                let new = NewGuardian {
                    account_id: None,
                    given_name: entry.adult.given().to_owned(),
                    family_name: entry.adult.family().to_owned(),
                    phone: entry.phone.clone(),
                    email: entry.email.clone(),
                    language: entry.language,
                    texts_agreed_at: None,
                    created_at: now,
                };
                let id = add_guardian(conn, &new)?;
                adults.push(id);
                brought[at] = Some(id);
                Some(id)
            }
        };
        let guardian = guardian.ok_or(StoreError::Missing)?;
        let new = NewRider {
            reference: app.random.reference(),
            report_key: app.random.reference(),
            given_name: entry.child.given().to_owned(),
            family_name: entry.child.family().to_owned(),
            birth_date: entry.born,
            county_set,
            county: entry.county.clone(),
            paper_name: String::new(),
            created_at: now,
        };
        riders.push(add_rider(conn, &new, guardian)?);
    }
    Ok((riders, adults))
}

/// Takes an import back: every child on which nothing was built since, and the adults whom that leaves alone. Gives how
/// many children went, and how many stay because they are in use.
///
/// # Errors
/// `NotFound`; `WorldMoved` after thirty days, or when it is taken back already.
pub fn undo(app: &App, caller: &Caller, reference: &str) -> Result<(usize, usize), Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (own, caller, now, reference) = (app.clone(), caller.clone(), app.clock.now(), reference.to_owned());
    app.store.write("take import back", move |conn| -> Result<(usize, usize), Failure> {
        let row = find_import(conn, &reference)?.ok_or(Failure::NotFound)?;
        if !can_be_undone(&own, &row) || !set_undone(conn, row.id, now)? {
            return Err(Refusal::WorldMoved.into());
        }
        let (gone, left) = take_back(conn, row.id)?;
        let detail = format!("{gone} children went, {left} stay, within {} days", UNDO.num_days());
        let subject = format!("import {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "import.undo", subject, detail))?;
        Ok((gone, left))
    })
}
