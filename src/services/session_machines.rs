//! Which machines go to a session. No machine goes to two sessions that would both need it; a session that moves lets those
//! go that another one needs at its new place.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::field_act::state_of;
use super::plan_session::{Around, Beside, booking, others, usable};
use super::roster::assignment::{best_of, foreseen};
use super::roster::fit::least_age;
use super::roster::opened::{open, open_unasked};
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::fit::FitRules;
use crate::domain::ids::MachineId;
use crate::domain::machine::MachineState;
use crate::domain::machine::record::number_order;
use crate::domain::refusal::Refusal;
use crate::domain::seen::Seen;
use crate::domain::session::SessionState;
use crate::domain::timetable::both_need;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::machines::{hold_machine, list_machines};
use crate::store::rulebooks::find_rulebook;
use crate::store::session_machines::{add_session_machine, machines_of_session, remove_session_machine};
use crate::store::sessions::find_session;
use crate::store::{AnyConn, StoreError};

pub use super::roster::assignment::{Blocked, Foreseen};
pub use crate::store::machines::MachineRow;
pub use crate::store::sessions::SessionView;

/// Another session that needs a machine when this one would.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elsewhere {
    /// Its site.
    pub site: String,
    /// The day.
    pub on: NaiveDate,
}

/// A machine as it stands to a session.
#[derive(Clone, Debug)]
pub struct Offered {
    /// Its record.
    pub row: MachineRow,
    /// Whether it goes there.
    pub goes: bool,
    /// The session that it goes to instead.
    pub elsewhere: Option<Elsewhere>,
    /// Whether it is ready for use.
    pub is_ready: bool,
    /// Whether every age of the course may ride it.
    pub for_all: bool,
    /// Least age of its category.
    pub least_age: i64,
}

/// The machines of a session.
#[derive(Clone, Debug)]
pub struct Packing {
    /// The session.
    pub view: SessionView,
    /// The fleet by number, those that left it not among them.
    pub machines: Vec<Offered>,
    /// What the form is drawn from.
    pub seen: Seen,
    /// Whether the machines can still be changed.
    pub is_open: bool,
    /// What the machines come to for those who are registered, while the session is to come.
    pub foreseen: Option<Foreseen>,
}

impl Packing {
    /// Machines that go.
    pub fn going(&self) -> usize {
        self.machines.iter().filter(|one| one.goes).count()
    }

    /// Machines that go and can be ridden by every age of the course.
    pub fn useful(&self) -> usize {
        self.machines.iter().filter(|one| one.goes && one.is_ready && one.for_all).count()
    }
}

/// The machines of a session, and what else each is needed for.
///
/// # Errors
/// `NotFound` for a session that there is not.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Packing, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let going = machines_of_session(conn, view.session.id)?;
        let rules: FitRules = serde_json::from_str(&find_rulebook(conn, view.session.fit_id)?)
            .map_err(|_| StoreError::Unreadable("rulebooks.body"))?;
        let needing = needing(conn, &view)?;
        let mut machines = Vec::new();
        for row in list_machines(conn)? {
            let state = state_of(&row)?;
            if state == MachineState::Retired && !going.contains(&row.id) {
                continue;
            }
            let is_ready = state.may_be_ridden();
            let as_ready = MachineRow { state: MachineState::Ready.to_string(), ..row.clone() };
            machines.push(Offered {
                goes: going.contains(&row.id),
                elsewhere: elsewhere(&needing, row.id),
                for_all: usable(&as_ready, &rules, view.course.least_age)?,
                least_age: least_age(&rules, &row)?,
                is_ready,
                row,
            });
        }
        machines.sort_by_key(|one| number_order(&one.row.number));
        let opened = open(conn, caller, reference, now)?;
        let is_to_come = view.session.state == SessionState::Announced && !opened.is_over(opened.meeting.ordinal);
        let foreseen = if is_to_come { Some(foreseen(conn, &opened)?) } else { None };
        let is_open = is_open(&view);
        Ok(Packing { machines, seen: Seen::of(&going), is_open, foreseen, view })
    })
}

/// References of as many machines as there are seats, ready and needed nowhere else: those that go already, those that suit
/// the children who are registered best, then those for every age whose category is nearest to the ages of the course.
///
/// # Errors
/// `NotFound` for a session that there is not.
pub fn propose(app: &App, caller: &Caller, reference: &str) -> Result<BTreeSet<String>, Failure> {
    let (packing, now) = (show(app, caller, reference)?, app.clock.now());
    let free: Vec<MachineRow> = packing
        .machines
        .iter()
        .filter(|one| one.is_ready && one.elsewhere.is_none())
        .map(|one| one.row.clone())
        .collect();
    let suit: BTreeSet<MachineId> = app.store.read(|conn| -> Result<BTreeSet<MachineId>, Failure> {
        let opened = open(conn, caller, reference, now)?;
        best_of(conn, &opened, &free)
    })?;
    let mut found: Vec<&Offered> = packing.machines.iter().filter(|one| free.contains(&one.row)).collect();
    found.retain(|one| one.goes || one.for_all || suit.contains(&one.row.id));
    found.sort_by_key(|one| (!one.goes, !suit.contains(&one.row.id), Reverse(one.least_age)));
    let seats = usize::try_from(packing.view.session.capacity).unwrap_or(0);
    Ok(found.into_iter().take(seats).map(|one| one.row.reference.clone()).collect())
}

/// Whether machines may still be sent there, or kept away.
fn is_open(view: &SessionView) -> bool {
    matches!(view.session.state, SessionState::Announced | SessionState::Reopened)
}

/// Announced sessions that would need the same machines, with the first day.
fn needing(conn: &mut AnyConn, view: &SessionView) -> Result<Vec<(Beside, NaiveDate)>, Failure> {
    let own = booking(conn, view)?;
    let around = Around { except: Some(view.session.id), ..Around::default() };
    let near = others(conn, (view.session.held_on, view.session.last_on), &around)?;
    Ok(near.into_iter().filter_map(|other| both_need(&own, &other.booking).map(|on| (other, on))).collect())
}

fn elsewhere(needing: &[(Beside, NaiveDate)], machine: MachineId) -> Option<Elsewhere> {
    let (other, on) = needing.iter().find(|(other, _)| other.machines.contains(&machine))?;
    Some(Elsewhere { site: other.booking.site_name.clone(), on: *on })
}

/// Sends exactly these machines, by their references, to a session.
///
/// # Errors
/// `NotFound` for a session or a machine that there is not; `SessionNotOpen`; `DraftMoved` when they were changed since;
/// `MachineGoesElsewhere`, `MachineRetired`.
pub fn set(app: &App, caller: &Caller, reference: &str, wanted: &BTreeSet<String>, seen: &Seen) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (caller, now, reference) = (caller.clone(), app.clock.now(), reference.to_owned());
    let (wanted, seen) = (wanted.clone(), seen.clone());
    app.store.write("pack machines", move |conn| -> Result<(), Failure> {
        let view = find_session(conn, &reference)?.ok_or(Failure::NotFound)?;
        if !is_open(&view) {
            return Err(Refusal::SessionNotOpen.into());
        }
        // Held before anything is looked at, in one order: whoever sends one of them elsewhere waits.
        let mut held = Vec::new();
        for machine in &wanted {
            held.push(hold_machine(conn, machine)?.ok_or(Failure::NotFound)?);
        }
        let before = machines_of_session(conn, view.session.id)?;
        seen.holds_for(&before)?;
        let needing = needing(conn, &view)?;
        for machine in held.iter().filter(|machine| !before.contains(&machine.id)) {
            let number = machine.number.clone();
            if let Some(Elsewhere { site, on }) = elsewhere(&needing, machine.id) {
                return Err(Refusal::MachineGoesElsewhere { number, site, on }.into());
            }
            if state_of(machine)? == MachineState::Retired {
                return Err(Refusal::MachineRetired { number }.into());
            }
            add_session_machine(conn, view.session.id, machine.id)?;
        }
        for gone in before.iter().filter(|id| held.iter().all(|machine| machine.id != **id)) {
            remove_session_machine(conn, view.session.id, *gone)?;
        }
        let (subject, detail) = (format!("session {reference}"), format!("{} machines", held.len()));
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "session.machines", subject, detail))?)
    })
}

/// Lets the machines of a session go that another one needs now; gives how many.
pub(super) fn let_go(conn: &mut AnyConn, reference: &str) -> Result<usize, Failure> {
    let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
    let going = machines_of_session(conn, view.session.id)?;
    // In the order in which `set` holds them.
    let mut held: Vec<MachineRow> = list_machines(conn)?;
    held.retain(|machine| going.contains(&machine.id));
    held.sort_by(|one, other| one.reference.cmp(&other.reference));
    for machine in &held {
        hold_machine(conn, &machine.reference)?;
    }
    let needing = needing(conn, &view)?;
    let mut gone = 0;
    for machine in going {
        if elsewhere(&needing, machine).is_some() {
            gone += usize::from(remove_session_machine(conn, view.session.id, machine)?);
        }
    }
    Ok(gone)
}

/// Whether measures keep a registered child off every machine that is ready for its session.
///
/// # Errors
/// `NotFound` for a session that there is not.
pub fn may_fit_none(app: &App, session: &str, registration: &str) -> Result<bool, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open_unasked(conn, session, now)?;
        Ok(foreseen(conn, &opened)?.on_none.iter().any(|(reference, _)| reference == registration))
    })
}
