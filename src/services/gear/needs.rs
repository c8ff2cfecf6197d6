//! Which helmets the sessions to come will need: what is left after each, which sizes run out, what to order. Counts one helmet
//! to keep for every seat that is taken.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::lot::AtSession;
use super::{LotRow, LotRules};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::gear::HeadRange;
use crate::domain::gear::need::{Shelf, forecast, order};
use crate::domain::ids::{LotId, SessionId};
use crate::domain::measures::Length;
use crate::domain::session::SessionState;
use crate::services::{App, Failure, ask, program};
use crate::store::AnyConn;
use crate::store::gear::{given_to, list_lots};
use crate::store::gear_stock::list_stock;
use crate::store::registrations::{find_newest_measures, registrations_of};
use crate::store::sessions::list_sessions;

/// So many days ahead are looked at.
const AHEAD: u64 = 400;

/// What is to be expected.
#[derive(Clone, Debug)]
pub struct Needs {
    /// Sessions to come with seats taken, by day.
    pub sessions: Vec<Session>,
    /// Each lot that is handed out, smallest heads first.
    pub lots: Vec<Lot>,
    /// The first session at which somebody gets none of the right size.
    pub short_at: Option<AtSession>,
    /// What to order.
    pub order: Vec<Order>,
    /// Heads for which the program never had a size.
    pub unknown_sizes: Vec<Length>,
    /// Riders whose head nobody wrote down.
    pub unmeasured: usize,
}

/// A size to order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// Make, model and size.
    pub what: String,
    /// The heads.
    pub heads: HeadRange,
    /// How many.
    pub count: usize,
    /// The first session at which one of them lacks.
    pub first: AtSession,
}

/// A session as the list tells it.
#[derive(Clone, Debug)]
pub struct Session {
    /// Which.
    pub at: AtSession,
    /// Riders who have no helmet from it yet.
    pub riders: usize,
    /// Of these, riders whose head nobody wrote down.
    pub unmeasured: usize,
}

/// A lot as the list tells it.
#[derive(Clone, Debug)]
pub struct Lot {
    /// Its record.
    pub row: LotRow,
    /// On hand now.
    pub now: usize,
    /// Left after all sessions.
    pub left: usize,
}

/// What the sessions to come need.
pub fn show(app: &App, caller: &Caller) -> Result<Needs, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let today = clock.today(program::load(conn)?.zone);
        let (sessions, heads_of) = sessions(conn, today)?;
        let all = list_lots(conn)?;
        let rules = LotRules::load(conn)?;
        let mut on_hand: BTreeMap<LotId, usize> = BTreeMap::new();
        for one in list_stock(conn)? {
            *on_hand.entry(one.lot).or_insert(0) += usize::try_from(one.count).unwrap_or(0);
        }
        let usable: Vec<&LotRow> = all.iter().filter(|lot| rules.fault(lot, today).is_none()).collect();
        let count = |lot: &LotRow| on_hand.get(&lot.id).copied().unwrap_or(0);
        let serves = |lot: &LotRow| sessions.iter().filter(|one| rules.fault(lot, one.at.on).is_none()).count();
        let shelf = |lot: &&LotRow| Shelf { range: lot.heads(), count: count(lot), serves: serves(lot) };
        let shelves: Vec<Shelf> = usable.iter().map(shelf).collect();
        let found = forecast(&shelves, &heads_of);
        // A size is ordered from what the program has had, the newest lot of it.
        let mut sizes: Vec<&LotRow> = Vec::new();
        for lot in all.iter().rev() {
            if sizes.iter().all(|other| (&other.model, &other.size_label) != (&lot.model, &lot.size_label)) {
                sizes.push(lot);
            }
        }
        let ranges: Vec<HeadRange> = sizes.iter().map(|lot| lot.heads()).collect();
        let (wanted, unknown_sizes) = order(&ranges, found.never());
        let lacks_at = |size: usize| found.without.iter().position(|heads| order(&ranges, heads).0.contains_key(&size));
        let named = |(at, count): (usize, usize)| Order {
            what: format!("{}, size {}", sizes[at].model, sizes[at].size_label),
            heads: ranges[at],
            count,
            first: sessions[lacks_at(at).unwrap_or_default()].at.clone(),
        };
        let left = usable.iter().zip(&found.left);
        let lots = left.map(|(lot, left)| Lot { now: count(lot), left: *left, row: (*lot).clone() });
        Ok(Needs {
            lots: lots.collect(),
            short_at: found.short_at().map(|at| sessions[at].at.clone()),
            order: wanted.into_iter().map(named).collect(),
            unknown_sizes,
            unmeasured: sessions.iter().map(|one| one.unmeasured).sum(),
            sessions,
        })
    })
}

/// Sessions to come with seats taken, and the heads of each whose sizes are known.
fn sessions(conn: &mut AnyConn, today: NaiveDate) -> Result<(Vec<Session>, Vec<Vec<Length>>), Failure> {
    let (mut found, mut heads) = (Vec::new(), Vec::new());
    for view in list_sessions(conn, today, today + Days::new(AHEAD))? {
        if view.session.state != SessionState::Announced {
            continue;
        }
        let (known, unmeasured) = heads_of(conn, view.session.id)?;
        let riders = known.len() + unmeasured;
        if riders > 0 {
            let at = AtSession { reference: view.session.reference, site: view.site.name, on: view.session.held_on };
            found.push(Session { at, riders, unmeasured });
            heads.push(known);
        }
    }
    Ok((found, heads))
}

/// Heads of riders who have a seat at a session and no helmet to keep from it, and how many have none written down.
pub(super) fn heads_of(conn: &mut AnyConn, session: SessionId) -> Result<(Vec<Length>, usize), Failure> {
    let (mut known, mut unmeasured) = (Vec::new(), 0);
    for (registration, rider) in registrations_of(conn, session)? {
        if !registration.state.takes_a_seat() || given_to(conn, registration.id)?.is_some() {
            continue;
        }
        match find_newest_measures(conn, rider.id)?.and_then(|row| row.head_um) {
            Some(head) => known.push(Length::from_um(head)),
            None => unmeasured += 1,
        }
    }
    Ok((known, unmeasured))
}
