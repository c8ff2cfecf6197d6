//! A child that was entered twice: the office sees who may be one, makes one entry of the two, and can undo it. Both
//! histories stay; what was decided against an adult holds for the child.

mod alike;

use std::collections::BTreeSet;

use chrono::NaiveDateTime;

use alike::known;
pub use alike::{MOST, Pair, Twice, compare_changed, list};

use super::places::{Turn, not_at_once};
use super::ties::{self, ask_who_speaks_now};
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Guardianship, Subject};
use crate::domain::ids::{GuardianId, RegistrationId, RiderId};
use crate::domain::merge::{Clash, clash, counts, gains, loses, stands_as_before, strictest};
use crate::domain::refusal::Refusal;
use crate::domain::same_child::{Likeness, likeness};
use crate::domain::words::full_name;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{AdultRow, GuardianRow, RiderRow, adults_of, find_rider, find_rider_by_reference};
use crate::store::kept_health::remove_kept_health;
use crate::store::merges::{
    MergeRow, Tie, TieOfTwo, add_merge, hold_ties, merges_into, move_back, move_entry, replace_ties, set_apart,
    set_undone, ties_of_merge,
};
use crate::store::registrations::{RegistrationRow, registrations_of_riders};
use crate::store::sessions::find_session_by_id;
use crate::store::{AnyConn, StoreError};

/// How an adult will stand to the child.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Afterwards {
    /// The adult.
    pub name: String,
    /// How.
    pub state: Guardianship,
    /// Whether the adult may then see and decide what they could not before.
    pub gains: bool,
}

/// Two entries side by side.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The one asked for first.
    pub one: ties::Child,
    /// The other.
    pub other: ties::Child,
    /// Why they may be one child; none when they do not look like it.
    pub likeness: Option<Likeness>,
    /// How each adult stands afterwards.
    pub afterwards: Vec<Afterwards>,
}

fn two(conn: &mut AnyConn, one: &str, other: &str) -> Result<(RiderRow, RiderRow), Failure> {
    let mut find = |reference| find_rider_by_reference(conn, reference)?.ok_or(Failure::NotFound);
    let (one, other) = (find(one)?, find(other)?);
    if one.id == other.id { Err(Refusal::WorldMoved.into()) } else { Ok((one, other)) }
}

/// Puts two entries side by side.
///
/// # Errors
/// `NotFound`; `WorldMoved` when they are one already.
pub fn compare(app: &App, caller: &Caller, one: &str, other: &str) -> Result<Comparison, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| {
        let (one, other) = two(conn, one, other)?;
        let (of_one, of_other) = (adults_of(conn, one.id)?, adults_of(conn, other.id)?);
        let tie =
            |adults: &[AdultRow], id| adults.iter().find(|adult| adult.guardian.id == id).map(|adult| adult.state);
        let mut adults: Vec<&GuardianRow> = of_one.iter().chain(&of_other).map(|adult| &adult.guardian).collect();
        adults.sort_by_key(|adult| adult.id);
        adults.dedup_by_key(|adult| adult.id);
        let stands = |adult: &GuardianRow| {
            let (one, other) = (tie(&of_one, adult.id), tie(&of_other, adult.id));
            let state = strictest(one, other)?;
            let name = full_name(&adult.given_name, &adult.family_name);
            Some(Afterwards { name, state, gains: gains(one, other) })
        };
        let afterwards = adults.into_iter().filter_map(stands).collect();
        let known_one = known(&one, of_one.iter().map(|adult| &adult.guardian));
        let known_other = known(&other, of_other.iter().map(|adult| &adult.guardian));
        Ok(Comparison {
            likeness: likeness(&known_one, &known_other),
            afterwards,
            one: ties::child(app, conn, one)?,
            other: ties::child(app, conn, other)?,
        })
    })
}

/// Says that two entries are two children. They are not asked about again.
pub fn set_two(app: &App, caller: &Caller, one: &str, other: &str) -> Result<(), Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (now, caller, one, other) = (app.clock.now(), caller.clone(), one.to_owned(), other.to_owned());
    app.store.write("children apart", move |conn| -> Result<(), Failure> {
        let (one, other) = two(conn, &one, &other)?;
        set_apart(conn, one.id, other.id, now)?;
        note(conn, &caller, now, "rider.apart", (&one, &other))?;
        Ok(())
    })
}

fn note(
    conn: &mut AnyConn,
    caller: &Caller,
    now: NaiveDateTime,
    action: &'static str,
    (one, other): (&RiderRow, &RiderRow),
) -> Result<(), StoreError> {
    let (subject, detail) = (format!("rider {}", one.reference), format!("rider {}", other.reference));
    add_audit_row(conn, &AuditRow::by(caller, now, action, subject, detail))
}

/// Makes one entry of two: `stays` keeps its name, birth date and county, and gets the registrations and measures of
/// `goes`. Health answers kept for the next time are forgotten, for they may differ. Gives the reference that stays.
///
/// # Errors
/// `WorldMoved` when they are one already; `BothInSession` and `StaysWithOther` for a session in which both are;
/// `TwoSessionsAtOnce` for places at the same time.
pub fn merge(app: &App, caller: &Caller, stays: &str, goes: &str) -> Result<String, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (turn, caller, stays, goes) = (Turn::of(app, caller), caller.clone(), stays.to_owned(), goes.to_owned());
    app.store.write("merge riders", move |conn| -> Result<String, Failure> {
        let (stays, goes) = two(conn, &stays, &goes)?;
        let mut turn = turn.clone();
        let ties = ties_of_two(conn, stays.id, goes.id)?;
        let moved = registrations_to_move(conn, stays.id, goes.id)?;
        let id = add_merge(conn, (stays.id, goes.id), &ties, turn.now())?;
        let row = MergeRow { id, stays_id: stays.id, goes_id: goes.id, at: turn.now() };
        move_entry(conn, &row, &moved)?;
        replace_ties(conn, goes.id, &[])?;
        replace_ties(conn, stays.id, &ties.iter().filter_map(merged).collect::<Vec<_>>())?;
        for rider in [stays.id, goes.id] {
            remove_kept_health(conn, rider)?;
        }
        if ties.iter().any(|tie| loses(state_of(&tie.stays), state_of(&tie.goes))) {
            ask_who_speaks_now(conn, &mut turn, stays.id)?;
        }
        note(conn, &caller, turn.now(), "rider.merge", (&stays, &goes))?;
        Ok(stays.reference)
    })
}

/// How each adult of two entries stood, held until the transaction ends, and will stand.
fn ties_of_two(conn: &mut AnyConn, stays: RiderId, goes: RiderId) -> Result<Vec<TieOfTwo>, StoreError> {
    // Always in the same order, so that two who press at once wait for each other instead of forever.
    let (first, second) = (hold_ties(conn, stays.min(goes))?, hold_ties(conn, stays.max(goes))?);
    let (of_stays, of_goes) = if stays < goes { (first, second) } else { (second, first) };
    let adults: BTreeSet<_> = of_stays.iter().chain(&of_goes).map(|(guardian, _)| *guardian).collect();
    let find = |of: &[(_, Tie)], id| of.iter().find(|(guardian, _)| *guardian == id).map(|(_, tie)| tie.clone());
    let both = adults.into_iter().filter_map(|guardian| {
        let (stays, goes) = (find(&of_stays, guardian), find(&of_goes, guardian));
        let state = strictest(state_of(&stays), state_of(&goes))?;
        Some(TieOfTwo { guardian, stays, goes, state })
    });
    Ok(both.collect())
}

/// The tie of an adult to the child that two entries become: the one of the two that holds.
fn merged(tie: &TieOfTwo) -> Option<(GuardianId, Tie)> {
    let holds = [&tie.stays, &tie.goes].into_iter().flatten().find(|one| one.state == tie.state)?;
    Some((tie.guardian, holds.clone()))
}

fn state_of(tie: &Option<Tie>) -> Option<Guardianship> {
    tie.as_ref().map(|tie| tie.state)
}

/// The registrations that go with an entry. In a session in which both are, the one that does not count stays behind.
fn registrations_to_move(conn: &mut AnyConn, stays: RiderId, goes: RiderId) -> Result<Vec<RegistrationId>, Failure> {
    let staying = registrations_of_riders(conn, &[stays])?;
    let mut moved = Vec::new();
    for row in registrations_of_riders(conn, &[goes])? {
        let Some(twin) = staying.iter().find(|twin| twin.session_id == row.session_id) else {
            if counts(row.state, row.outcome) {
                not_at_once(conn, stays, row.session_id, None)?;
            }
            moved.push(row.id);
            continue;
        };
        let counted = |row: &RegistrationRow| counts(row.state, row.outcome);
        if let Some(fault) = clash(counted(twin), counted(&row)) {
            let view = find_session_by_id(conn, row.session_id)?;
            let (site, on) = (view.site.name, view.session.held_on);
            return Err(match fault {
                Clash::BothCount => Refusal::BothInSession { site, on },
                Clash::StaysWithOther => Refusal::StaysWithOther { site, on },
            }
            .into());
        }
    }
    Ok(moved)
}

/// Parts the entry that went into a child last: both stand as they stood, but for what was decided since.
///
/// # Errors
/// `WorldMoved` when another entry went into it since, or somebody parted them already.
pub fn part(app: &App, caller: &Caller, child: &str, goes: &str) -> Result<(), Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (turn, caller, child, goes) = (Turn::of(app, caller), caller.clone(), child.to_owned(), goes.to_owned());
    app.store.write("part riders", move |conn| -> Result<(), Failure> {
        let stays = find_rider_by_reference(conn, &child)?.ok_or(Failure::NotFound)?;
        let newest = merges_into(conn, stays.id)?.into_iter().next().ok_or(Refusal::WorldMoved)?;
        let gone = find_rider(conn, newest.goes_id)?;
        if gone.reference != goes || !set_undone(conn, newest.id, turn.now())? {
            return Err(Refusal::WorldMoved.into());
        }
        let now = hold_ties(conn, stays.id)?;
        let (of_stays, of_goes) = parted(&ties_of_merge(conn, newest.id)?, now);
        replace_ties(conn, stays.id, &of_stays)?;
        replace_ties(conn, gone.id, &of_goes)?;
        move_back(conn, &newest)?;
        remove_kept_health(conn, stays.id)?;
        let mut turn = turn.clone();
        for rider in [stays.id, gone.id] {
            ask_who_speaks_now(conn, &mut turn, rider)?;
        }
        note(conn, &caller, turn.now(), "rider.part", (&stays, &gone))?;
        Ok(())
    })
}

type Ties = Vec<(GuardianId, Tie)>;

/// The ties of two entries that part: as they were, but where the office decided anew since, both get the decision.
fn parted(before: &[TieOfTwo], now: Ties) -> (Ties, Ties) {
    let (mut of_stays, mut of_goes) = (Ties::new(), Ties::new());
    for (guardian, tie) in now {
        let Some(was) = before.iter().find(|was| was.guardian == guardian) else {
            // Joined since.
            of_stays.push((guardian, tie));
            continue;
        };
        let stands = |old: &Tie| if stands_as_before(was.state, tie.state) { old.clone() } else { tie.clone() };
        of_stays.extend(was.stays.as_ref().map(|old| (guardian, stands(old))));
        of_goes.extend(was.goes.as_ref().map(|old| (guardian, stands(old))));
    }
    (of_stays, of_goes)
}
