//! Who rides which machine: for a whole group at once, with pairs that are never made, the best of the others, and as few
//! changes as possible once somebody is on a machine. Where not everybody can have one, a smallest group that shows why.
//! Takes numbers; must not know what makes a pair good.

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
}

/// Who rides what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assignment {
    /// The machine of each rider; none for a rider who gets none.
    pub machine_of: Vec<Option<usize>>,
    /// A smallest group of riders who have fewer machines among them than they are, when somebody gets none.
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

/// The best assignment: first as many riders as can have a machine, then as few as possible who change the one they have,
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
    let weighed = |rider: usize, machine: usize| {
        let cost = wanted.costs[rider].get(machine).copied().flatten()?;
        let changes = wanted.now[rider].is_some_and(|now| now != machine);
        Some(cost + if changes { change } else { 0 })
    };
    // Machines that are not there stand for having none, so that every rider gets a column.
    let columns = wanted.machines + riders;
    let matrix = Matrix::from_fn(riders, columns, |(rider, machine)| weighed(rider, machine).unwrap_or(without));
    let (_, chosen) = kuhn_munkres_min(&matrix);
    let machine_of: Vec<Option<usize>> =
        chosen.into_iter().enumerate().map(|(rider, machine)| weighed(rider, machine).map(|_| machine)).collect();
    let blocked = machine_of.contains(&None).then(|| blocked(wanted, &machine_of));
    Assignment { machine_of, blocked }
}

fn weight(riders: usize) -> i64 {
    i64::try_from(riders).unwrap_or(i64::MAX)
}

/// The machines that a rider may have.
fn allowed(wanted: &Wanted, rider: usize) -> BTreeSet<usize> {
    (0..wanted.machines).filter(|machine| wanted.costs[rider][*machine].is_some()).collect()
}

/// Different choices of machines that are looked through whole; more are not looked through (2 to this power of groups).
const MOST_CHOICES: usize = 16;

/// A group that shows why somebody gets none (P. Hall 1935: riders can all be given machines unless some group of them may
/// have fewer machines than it has riders). Riders who may have the same machines count together: a smallest group is one
/// rider more than the machines of some set of such choices. To find the smallest is hard in general, so beyond
/// `MOST_CHOICES` choices it is the group that the assignment itself runs into.
fn blocked(wanted: &Wanted, machine_of: &[Option<usize>]) -> Blocked {
    let mut choices: Vec<(BTreeSet<usize>, Vec<usize>)> = Vec::new();
    for rider in 0..machine_of.len() {
        let machines = allowed(wanted, rider);
        match choices.iter_mut().find(|(other, _)| *other == machines) {
            Some((_, riders)) => riders.push(rider),
            None => choices.push((machines, vec![rider])),
        }
    }
    if choices.len() <= MOST_CHOICES {
        let groups = (1_u32..1 << choices.len()).filter_map(|set| group(&choices, set));
        if let Some(smallest) = groups.min_by_key(|group| (group.riders.len(), group.riders.clone())) {
            return smallest;
        }
    }
    run_into(wanted, machine_of)
}

/// The riders of a set of choices, when they are more than its machines: as many as show it.
fn group(choices: &[(BTreeSet<usize>, Vec<usize>)], set: u32) -> Option<Blocked> {
    let of_set = || choices.iter().enumerate().filter(move |(at, _)| set >> at & 1 == 1).map(|(_, choice)| choice);
    let machines: BTreeSet<usize> = of_set().flat_map(|(machines, _)| machines.iter().copied()).collect();
    let mut riders: Vec<usize> = of_set().flat_map(|(_, riders)| riders.iter().copied()).collect();
    if riders.len() <= machines.len() {
        return None;
    }
    riders.sort_unstable();
    Some(Blocked { riders: riders.into_iter().take(machines.len() + 1).collect(), machines })
}

/// From a rider without a machine: every machine that rider may have, whoever has it, what those may have, and so on.
fn run_into(wanted: &Wanted, machine_of: &[Option<usize>]) -> Blocked {
    let first = machine_of.iter().position(Option::is_none).unwrap_or_default();
    let (mut riders, mut machines) = (BTreeSet::from([first]), BTreeSet::new());
    let mut left = vec![first];
    while let Some(rider) = left.pop() {
        for machine in allowed(wanted, rider) {
            if machines.insert(machine) {
                let holder = machine_of.iter().position(|has| *has == Some(machine));
                left.extend(holder.filter(|holder| riders.insert(*holder)));
            }
        }
    }
    Blocked { riders, machines }
}

#[cfg(test)]
mod tests;
