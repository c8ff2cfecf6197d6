//! What goes to a session from the shelves and what comes back: the load-out and the load-back of its helmets. Helmets that
//! are out with a session are on no shelf, so that no other session counts on them.

use std::collections::BTreeMap;

use super::needs::heads_of;
use super::{Listed, LotRules, StoragePlaceRow, listed, place_of};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::gear::need::order;
use crate::domain::gear::{HeadRange, MoveKind, Way};
use crate::domain::ids::{LotId, StoragePlaceId};
use crate::domain::machine::record::number_order;
use crate::domain::measures::Length;
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::session::SessionState;
use crate::domain::words::full_name;
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::gear::{LotRow, find_lot_by_reference, held_helmets, hold_lot};
use crate::store::gear_stock::{MoveRow, Spot, SpotCount, add_move, count_in, list_stock, put, take, was_loaded};
use crate::store::grants::list_grants;
use crate::store::machines::{list_machines, list_places};
use crate::store::session_machines::machines_of_session;
use crate::store::sessions::find_session;

pub use crate::store::sessions::SessionView;

/// The helmets of a session.
#[derive(Clone, Debug)]
pub struct Load {
    /// The session.
    pub view: SessionView,
    /// Every lot that can be loaded, or that is out with the session.
    pub lots: Vec<Loaded>,
    /// Places to load from and back to.
    pub places: Vec<StoragePlaceRow>,
    /// Riders who have a lent helmet of this session: the place's reference, the rider's name, the lot's code.
    pub lent: Vec<(String, String, String)>,
    /// What the riders need who have no helmet of the session yet.
    pub need: Need,
    /// Numbers of the machines that go, in their order.
    pub machines: Vec<String>,
    /// Whether helmets may still be loaded.
    pub is_open: bool,
    /// Whether helmets were loaded at all.
    pub was_loaded: bool,
    /// What the forms are drawn from.
    pub seen: Seen,
}

/// A lot as it stands to a session.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// Its record, and how many are where.
    pub lot: Listed,
    /// How many are out with this session.
    pub out: i64,
    /// How many the session gave away.
    pub given: i64,
}

impl Load {
    /// Helmets that are out with the session now.
    #[must_use]
    pub fn out(&self) -> i64 {
        self.lots.iter().map(|one| one.out).sum()
    }
}

/// The helmets of a session.
///
/// # Errors
/// `NotFound` for a session that there is not.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Load, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let (grants, places, stock) = (list_grants(conn)?, list_places(conn)?, list_stock(conn)?);
        let out: BTreeMap<LotId, i64> = of_session(&stock, &view).map(|one| (one.lot, one.count)).collect();
        let held: Vec<_> =
            held_helmets(conn, None)?.into_iter().filter(|one| one.session_id == view.session.id).collect();
        let mut lots = Vec::new();
        let mut lent = Vec::new();
        for lot in listed(conn, &grants, &places, view.session.held_on)? {
            let own = || held.iter().filter(|one| one.lot_id == lot.row.id);
            for one in own().filter(|one| one.way == Way::Lent) {
                let name = full_name(&one.given_name, &one.family_name);
                lent.push((one.registration.clone(), name, lot.row.code.clone()));
            }
            let given = i64::try_from(own().filter(|one| one.way == Way::Given).count()).unwrap_or(i64::MAX);
            let out = out.get(&lot.row.id).copied().unwrap_or(0);
            let can_be_loaded = lot.fault.is_none() && !lot.shelves.is_empty();
            if can_be_loaded || out > 0 || given > 0 {
                lots.push(Loaded { lot, out, given });
            }
        }
        let was_loaded = was_loaded(conn, view.session.id)?;
        let is_open = is_open(&view);
        let need = need(conn, &view, &lots)?;
        let going = machines_of_session(conn, view.session.id)?;
        let going = list_machines(conn)?.into_iter().filter(|machine| going.contains(&machine.id));
        let mut machines: Vec<String> = going.map(|machine| machine.number).collect();
        machines.sort_by_key(|number| number_order(number));
        Ok(Load { lots, places, lent, need, machines, is_open, was_loaded, seen: Seen::of(&stock), view })
    })
}

/// The helmets that the riders of a session need.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Need {
    /// Of each size how many heads: make, model and size, the heads, how many.
    pub sizes: Vec<(String, HeadRange, usize)>,
    /// Heads that no lot of this list holds.
    pub other: Vec<Length>,
    /// Riders whose head nobody wrote down.
    pub unmeasured: usize,
}

/// Heads of riders with a seat and without a helmet of the session, each by the size whose range ends first.
fn need(conn: &mut AnyConn, view: &SessionView, lots: &[Loaded]) -> Result<Need, Failure> {
    let (heads, unmeasured) = heads_of(conn, view.session.id)?;
    let mut sizes: Vec<&LotRow> = Vec::new();
    for one in lots {
        let same = |other: &&LotRow| (&other.model, &other.size_label) == (&one.lot.row.model, &one.lot.row.size_label);
        if !sizes.iter().any(same) {
            sizes.push(&one.lot.row);
        }
    }
    let ranges: Vec<HeadRange> = sizes.iter().map(|lot| lot.heads()).collect();
    let (wanted, other) = order(&ranges, &heads);
    let size = |(at, count): (usize, usize)| {
        (format!("{}, size {}", sizes[at].model, sizes[at].size_label), ranges[at], count)
    };
    Ok(Need { sizes: wanted.into_iter().map(size).collect(), other, unmeasured })
}

fn of_session<'a>(stock: &'a [SpotCount], view: &SessionView) -> impl Iterator<Item = &'a SpotCount> {
    let spot = Spot::Session(view.session.id);
    stock.iter().filter(move |one| one.spot == spot)
}

/// Whether helmets may still go there.
fn is_open(view: &SessionView) -> bool {
    matches!(view.session.state, SessionState::Announced | SessionState::Reopened)
}

/// Loads helmets from a place, so many of each lot, by the lots' references.
///
/// # Errors
/// `NotFound`; `SessionNotOpen`; `DraftMoved` when helmets moved since; `Short`; `Recalled` and `HelmetTooOld` for a lot of which
/// none is handed out on the session's day.
pub fn load(
    app: &App,
    caller: &Caller,
    reference: &str,
    from: i64,
    wanted: &BTreeMap<String, i64>,
    seen: &Seen,
) -> Result<(), Failure> {
    let wanted = wanted.clone();
    write(app, caller, reference, ("gear.load", seen), move |conn, at| {
        if !is_open(at.view) {
            return Err(Refusal::SessionNotOpen.into());
        }
        let (from, rules) = (place_of(conn, from)?, LotRules::load(conn)?);
        let mut all = 0;
        for (lot, count) in wanted.iter().filter(|(_, count)| **count > 0) {
            let lot = held(conn, lot)?;
            rules.must_serve(&lot, at.view.session.held_on)?;
            if !take(conn, lot.id, Spot::Place(from), *count)? {
                let left = count_in(conn, lot.id, Spot::Place(from))?;
                return Err(Refusal::Gear(GearRefusal::Short { left }).into());
            }
            put(conn, lot.id, Spot::Session(at.view.session.id), *count)?;
            at.note(conn, &lot, MoveKind::Loaded, *count, (Some(from), None))?;
            all += count;
        }
        Ok(all)
    })
}

/// Takes back what is still out with a session, as counted, to the shelf of a place. What is not there is missing.
///
/// # Errors
/// `NotFound`; `DraftMoved` when helmets moved since.
pub fn unload(
    app: &App,
    caller: &Caller,
    reference: &str,
    to: i64,
    counted: &BTreeMap<String, i64>,
    seen: &Seen,
) -> Result<(), Failure> {
    let counted = counted.clone();
    write(app, caller, reference, ("gear.unload", seen), move |conn, at| {
        let to = place_of(conn, to)?;
        let spot = Spot::Session(at.view.session.id);
        let mut all = 0;
        for (lot, count) in &counted {
            let lot = held(conn, lot)?;
            let there = count_in(conn, lot.id, spot)?;
            if !take(conn, lot.id, spot, there)? {
                return Err(Refusal::DraftMoved.into());
            }
            if *count > there {
                at.note(conn, &lot, MoveKind::Found, count - there, (None, None))?;
            } else if *count < there {
                at.note(conn, &lot, MoveKind::Missing, there - count, (None, None))?;
            }
            if *count > 0 {
                put(conn, lot.id, Spot::Place(to), *count)?;
                at.note(conn, &lot, MoveKind::Unloaded, *count, (None, Some(to)))?;
            }
            all += count;
        }
        Ok(all)
    })
}

/// At which session, and who notes what.
struct At<'a> {
    view: &'a SessionView,
    caller: &'a Caller,
    now: chrono::NaiveDateTime,
}

impl At<'_> {
    fn note(
        &self,
        conn: &mut AnyConn,
        lot: &LotRow,
        kind: MoveKind,
        count: i64,
        (from_place_id, to_place_id): (Option<StoragePlaceId>, Option<StoragePlaceId>),
    ) -> Result<(), Failure> {
        let (session_id, at, account_id) = (Some(self.view.session.id), Some(self.now), self.caller.account());
        let (lot_id, note) = (lot.id, String::new());
        let row = MoveRow { lot_id, kind, count, from_place_id, to_place_id, session_id, note, at, account_id };
        Ok(add_move(conn, &row)?)
    }
}

fn write(
    app: &App,
    caller: &Caller,
    reference: &str,
    (action, seen): (&'static str, &Seen),
    work: impl Fn(&mut AnyConn, &At<'_>) -> Result<i64, Failure> + Send + 'static,
) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, reference, seen) = (app.clock.now(), caller.clone(), reference.to_owned(), seen.clone());
    app.store.write(action, move |conn| -> Result<(), Failure> {
        let view = find_session(conn, &reference)?.ok_or(Failure::NotFound)?;
        seen.holds_for(&list_stock(conn)?)?;
        let count = work(conn, &At { view: &view, caller: &caller, now })?;
        let subject = format!("session {reference}");
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, action, subject, format!("{count} helmets")))?)
    })
}

/// The lot of a reference; nobody moves its helmets until the transaction ends.
fn held(conn: &mut AnyConn, reference: &str) -> Result<LotRow, Failure> {
    let lot = find_lot_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
    Ok(hold_lot(conn, lot.id)?)
}
