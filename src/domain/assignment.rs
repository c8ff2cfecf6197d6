//! Who rides which machine: for a whole group at once, with pairs that are never made, the best of the others, and as few
//! changes as possible once somebody is on a machine. Where not everybody can have one, a smallest group that shows why.
//! Takes numbers; must not know what makes a pair good.

mod blocked;
mod pair;

use std::collections::BTreeSet;

use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

pub use pair::{Pair, helmet_cost};

/// What a pair costs at most; a smaller cost is a better pair.
pub const MOST_COST: i64 = 10_000;

/// Riders and machines, by their places in two lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// How many machines there are.
    pub machines: usize,
    /// For each rider the cost of each machine, 0 to `MOST_COST`; none for a pair that is never made.
    pub costs: Vec<Vec<Option<i64>>>,
    /// The machine that each rider has now, where it has one.
    pub now: Vec<Option<usize>>,
    /// The rider whom a person has chosen a machine for: gets one before anybody else does.
    pub first: Option<usize>,
}

/// Who rides what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assignment {
    /// The machine of each rider; none for a rider who gets none.
    pub machine_of: Vec<Option<usize>>,
    /// A smallest group of riders who have fewer machines among them than they are, when somebody gets none; where there are
    /// too many groups to look through, the smallest that the assignment runs into.
    pub blocked: Option<Blocked>,
}

/// Riders who are more than the machines that any of them may have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocked {
    /// The riders, by their places.
    pub riders: BTreeSet<usize>,
    /// Every machine that any of them may have; one fewer than the riders.
    pub machines: BTreeSet<usize>,
}

/// The best assignment: the chosen rider before all, then as many riders as can have a machine, then as few as possible who change the one they have,
/// then the least cost. Of equal ones always the same.
///
/// # Panics
/// When the lists do not have the lengths that they should.
#[must_use]
pub fn assign(wanted: &Wanted) -> Assignment {
    let riders = wanted.costs.len();
    assert!(wanted.now.len() == riders && wanted.costs.iter().all(|row| row.len() == wanted.machines), "lists fit");
    if riders == 0 {
        return Assignment { machine_of: Vec::new(), blocked: None };
    }
    // One step of each kind weighs more than all steps of the kinds below it together.
    let change = MOST_COST * weight(riders) + 1;
    let without = (change + MOST_COST) * weight(riders) + 1;
    let of_none = |rider| if wanted.first == Some(rider) { without * (weight(riders) + 1) } else { without };
    let weighed = |rider: usize, machine: usize| {
        let cost = wanted.costs[rider].get(machine).copied().flatten()?;
        let changes = wanted.now[rider].is_some_and(|now| now != machine);
        Some(cost + if changes { change } else { 0 })
    };
    // Machines that are not there stand for having none, so that every rider gets a column.
    let columns = wanted.machines + riders;
    let matrix =
        Matrix::from_fn(riders, columns, |(rider, machine)| weighed(rider, machine).unwrap_or_else(|| of_none(rider)));
    let (_, chosen) = kuhn_munkres_min(&matrix);
    let machine_of: Vec<Option<usize>> =
        chosen.into_iter().enumerate().map(|(rider, machine)| weighed(rider, machine).map(|_| machine)).collect();
    let blocked = machine_of.contains(&None).then(|| blocked::smallest(wanted, &machine_of));
    Assignment { machine_of, blocked }
}

fn weight(riders: usize) -> i64 {
    i64::try_from(riders).unwrap_or(i64::MAX)
}

/// The machines that a rider may have.
fn allowed(wanted: &Wanted, rider: usize) -> BTreeSet<usize> {
    (0..wanted.machines).filter(|machine| wanted.costs[rider][*machine].is_some()).collect()
}

#[cfg(test)]
mod tests;
