//! Which helmet each rider is offered who has none: by the measured head and what the session can reach, for the whole group at
//! once, with what one choice of a person would change. Reads only; a helmet is somebody's once it is handed out.

use std::collections::BTreeMap;

use super::super::super::Failure;
use super::super::super::gear::LotRules;
use super::super::super::gear::handing::in_reach;
use super::super::opened::Opened;
use super::{Blocked, Rider};
use crate::domain::assignment::{Assignment, Wanted, assign, helmet_cost};
use crate::store::AnyConn;
use crate::store::gear::{LotRow, list_lots};

/// Helmets of one lot, as a choice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Helmet {
    /// The lot's code.
    pub lot: String,
    /// The maker's size.
    pub size: String,
}

impl Helmet {
    fn of(lot: &LotRow) -> Self {
        Self { lot: lot.code.clone(), size: lot.size_label.clone() }
    }

    /// "M, lot H-3".
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, lot {}", self.size, self.lot)
    }
}

/// What is said of the whole group.
pub(super) struct Offered {
    /// Why not everybody can have one.
    pub(super) blocked: Option<Blocked>,
    /// Whether the choice that somebody looks at can be made.
    pub(super) is_possible: bool,
}

/// The helmets that a session can reach. As many of a lot as could be needed stand beside each other.
struct Shelf {
    lots: Vec<LotRow>,
    copies: Vec<usize>,
}

impl Shelf {
    fn of(conn: &mut AnyConn, opened: &Opened, most: usize) -> Result<Self, Failure> {
        let (rules, reach) = (LotRules::load(conn)?, in_reach(conn, opened.view.session.id)?);
        let left = |lot: &LotRow| reach.get(&lot.id).copied().unwrap_or(0);
        let mut lots = list_lots(conn)?;
        lots.retain(|lot| left(lot) > 0 && rules.fault(lot, opened.today).is_none());
        let copies = |lot: &LotRow| usize::try_from(left(lot)).unwrap_or(usize::MAX).min(most);
        let copies = lots.iter().enumerate().flat_map(|(at, lot)| std::iter::repeat_n(at, copies(lot))).collect();
        Ok(Self { lots, copies })
    }

    fn lot(&self, copy: usize) -> &LotRow {
        &self.lots[self.copies[copy]]
    }
}

/// Offers a helmet to each rider who has none. `pin` is a rider's place and a lot's code.
pub(super) fn offer(
    conn: &mut AnyConn,
    opened: &Opened,
    riders: &mut [Rider],
    pin: Option<(usize, &str)>,
) -> Result<Offered, Failure> {
    let without: Vec<usize> = (0..riders.len()).filter(|at| riders[*at].day.helmets.is_empty()).collect();
    let shelf = Shelf::of(conn, opened, without.len())?;
    let cost = |rider: &usize, lot: &usize| helmet_cost(shelf.lots[*lot].heads(), riders[*rider].measures.head);
    let costs = without.iter().map(|rider| shelf.copies.iter().map(|lot| cost(rider, lot)).collect()).collect();
    let mut wanted = Wanted { machines: shelf.copies.len(), costs, now: vec![None; without.len()], first: None };
    let usual = assign(&wanted);
    // Without a measured head nobody can say which.
    let is_measured = |place: usize| riders[without[place]].measures.head.is_some();
    let allowed = |place: usize| {
        let costs = wanted.costs[place].iter().enumerate().filter(|(_, cost)| is_measured(place) && cost.is_some());
        let mut helmets: Vec<Helmet> = costs.map(|(copy, _)| Helmet::of(shelf.lot(copy))).collect();
        helmets.dedup();
        helmets
    };
    let choices: Vec<Vec<Helmet>> = (0..without.len()).map(allowed).collect();
    let pinned = pin.and_then(|(rider, code)| {
        let place = without.iter().position(|at| *at == rider)?;
        choices[place].iter().any(|helmet| helmet.lot == code).then_some((place, code))
    });
    let found = match pinned {
        None => usual.clone(),
        Some((place, code)) => {
            wanted.now.clone_from(&usual.machine_of);
            wanted.first = Some(place);
            let others = wanted.costs[place].iter_mut().enumerate();
            others.filter(|(copy, _)| shelf.lot(*copy).code != code).for_each(|(_, cost)| *cost = None);
            assign(&wanted)
        }
    };
    let helmet_of = |found: &Assignment, place: usize| {
        let copy = found.machine_of[place].filter(|_| is_measured(place))?;
        Some(Helmet::of(shelf.lot(copy)))
    };
    let offers: Vec<_> = (0..without.len()).map(|at| (helmet_of(&usual, at), helmet_of(&found, at))).collect();
    let blocked = found.blocked.as_ref().map(|blocked| {
        let mut counted: BTreeMap<String, i64> = BTreeMap::new();
        for copy in &blocked.machines {
            *counted.entry(Helmet::of(shelf.lot(*copy)).words()).or_insert(0) += 1;
        }
        Blocked {
            riders: blocked.riders.iter().map(|at| riders[without[*at]].planned.name.clone()).collect(),
            machines: counted.into_iter().map(|(lot, count)| format!("{count} of {lot}")).collect(),
        }
    });
    for ((rider, (usually, offered)), allowed) in without.into_iter().zip(offers).zip(choices) {
        let planned = &mut riders[rider].planned;
        (planned.helmet_else, planned.helmet, planned.helmets) = (usually, offered, allowed);
    }
    Ok(Offered { blocked, is_possible: pinned.is_some() })
}
