//! Times the assignment of 20 riders to 20 machines, beside taking the best free machine for one rider after the other.

use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::ensure;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use waymark::domain::assignment::{MOST_COST, Wanted, assign};

use crate::budgets::{Budgets, p95};

const SIDE: usize = 20;
/// How many of the pairs may be made.
const MAY: [f64; 3] = [0.4, 0.2, 0.12];

/// Assigns `runs` drawn groups and prints the 95th percentile.
///
/// # Errors
/// When somebody gets a machine that was never to be given, or it takes longer than the budget allows.
pub fn measure(runs: usize, budgets: &Path) -> anyhow::Result<()> {
    ensure!(runs > 0, "at least one run is needed");
    let budget = Budgets::read(budgets)?.assignment;
    let mut chance = StdRng::seed_from_u64(3);
    let (mut floors, mut took): (Vec<Duration>, Vec<Duration>) = (Vec::new(), Vec::new());
    let (mut whole, mut blocked) = (0, 0);
    for run in 0..runs {
        // Every third group has so few pairs that somebody waits, and a smallest group that shows why is looked for.
        let may = MAY[run % MAY.len()];
        let row = |chance: &mut StdRng| {
            (0..SIDE).map(|_| chance.random_bool(may).then(|| chance.random_range(0..MOST_COST))).collect()
        };
        let costs: Vec<Vec<Option<i64>>> = (0..SIDE).map(|_| row(&mut chance)).collect();
        let now = (0..SIDE).map(|rider| chance.random_bool(0.3).then_some(rider)).collect();
        let wanted = Wanted { machines: SIDE, costs, now, first: None };
        let began = Instant::now();
        let greedy = one_after_the_other(&wanted);
        floors.push(began.elapsed());
        let began = Instant::now();
        let found = assign(&wanted);
        took.push(began.elapsed());
        let count = |machines: &[Option<usize>]| machines.iter().flatten().count();
        ensure!(count(&found.machine_of) >= count(&greedy), "fewer riders than one after the other");
        if found.blocked.is_none() { whole += 1 } else { blocked += 1 }
    }
    ensure!(whole > 0 && blocked > runs / 10, "both kinds of groups are timed: {whole} and {blocked}");
    println!("{runs} groups: everybody rides in {whole}, somebody waits in {blocked}");
    budget.judge("20 riders, 20 machines", p95(took), p95(floors), runs)
}

/// Each rider in turn takes the best machine that is free.
fn one_after_the_other(wanted: &Wanted) -> Vec<Option<usize>> {
    let mut machine_of: Vec<Option<usize>> = Vec::new();
    for costs in &wanted.costs {
        let free = (0..wanted.machines).filter(|machine| !machine_of.contains(&Some(*machine)));
        let best = free.filter_map(|machine| Some((costs[machine]?, machine))).min();
        machine_of.push(best.map(|(_, machine)| machine));
    }
    machine_of
}
