//! The assignment held against trying every one, over generated groups. Each run prints its spread.

use super::*;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRng, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeMap;

const CASES: u32 = 10_000;

fn runner(cases: u32) -> TestRunner {
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    let seed = TestRng::deterministic_rng(config.rng_algorithm);
    TestRunner::new_with_rng(config, seed)
}

/// Up to 7 riders and 7 machines; about half of the pairs are never made, some riders have a machine, and in some groups one
/// rider comes before all.
fn group() -> impl Strategy<Value = Wanted> {
    (0_usize..=7, 0_usize..=7).prop_flat_map(|(riders, machines)| {
        let cost = prop_oneof![1 => Just(None), 1 => (0_i64..=MOST_COST).prop_map(Some)];
        let costs = prop::collection::vec(prop::collection::vec(cost, machines), riders);
        let order = Just((0..machines).collect::<Vec<_>>()).prop_shuffle();
        let has = prop::collection::vec(any::<bool>(), riders);
        let first = prop::option::of(0..riders.max(1));
        (costs, order, has, first).prop_map(move |(costs, order, has, first)| {
            let now = |(rider, has): (usize, &bool)| order.get(rider).copied().filter(|_| *has);
            let now = has.iter().enumerate().map(now).collect();
            Wanted { machines, costs, now, first }
        })
    })
}

/// What is compared: whether who comes before all is left without, riders without a machine, riders who change, cost.
fn worth(wanted: &Wanted, machine_of: &[Option<usize>]) -> (bool, usize, usize, i64) {
    let first_is_without = wanted.first.is_some_and(|first| machine_of.get(first) == Some(&None));
    let without = machine_of.iter().filter(|machine| machine.is_none()).count();
    let pairs = || machine_of.iter().enumerate().filter_map(|(rider, machine)| Some((rider, (*machine)?)));
    let changes = pairs().filter(|(rider, machine)| wanted.now[*rider].is_some_and(|now| now != *machine)).count();
    let cost = pairs().map(|(rider, machine)| wanted.costs[rider][machine].expect("a pair that may be made")).sum();
    (first_is_without, without, changes, cost)
}

/// The best of every assignment there is.
fn by_trying(wanted: &Wanted, machine_of: &mut Vec<Option<usize>>) -> (bool, usize, usize, i64) {
    let rider = machine_of.len();
    if rider == wanted.costs.len() {
        return worth(wanted, machine_of);
    }
    let free = (0..wanted.machines).filter(|machine| wanted.costs[rider][*machine].is_some());
    let choices: Vec<Option<usize>> =
        free.filter(|machine| !machine_of.contains(&Some(*machine))).map(Some).chain([None]).collect();
    let mut best = (true, usize::MAX, usize::MAX, i64::MAX);
    for choice in choices {
        machine_of.push(choice);
        best = best.min(by_trying(wanted, machine_of));
        machine_of.pop();
    }
    best
}

/// The size of a smallest group of riders with fewer machines than riders, by trying every group.
fn smallest_by_trying(wanted: &Wanted) -> Option<usize> {
    let bits = |rider: usize| allowed(wanted, rider).into_iter().fold(0_u64, |bits, machine| bits | 1 << machine);
    let machines: Vec<u64> = (0..wanted.costs.len()).map(bits).collect();
    let groups = 1_u32..1 << wanted.costs.len();
    let size = |group: u32| {
        let of_group = machines.iter().enumerate().filter(|(rider, _)| group >> rider & 1 == 1);
        let (riders, together) = of_group.fold((0, 0), |(riders, all), (_, bits)| (riders + 1, all | bits));
        (together.count_ones() < riders).then_some(riders as usize)
    };
    groups.filter_map(size).min()
}

#[test]
fn day_3_the_assignment_is_as_good_as_the_best_of_every_one_there_is() {
    let spread: RefCell<BTreeMap<&str, u32>> = RefCell::default();
    let count = |what| *spread.borrow_mut().entry(what).or_insert(0) += 1;
    let checked = runner(CASES).run(&group(), |wanted| {
        let found = assign(&wanted);
        let worth = worth(&wanted, &found.machine_of);
        prop_assert_eq!(worth, by_trying(&wanted, &mut Vec::new()));
        let (first_is_without, without, changes, _) = worth;
        let mut used: Vec<usize> = found.machine_of.iter().copied().flatten().collect();
        used.sort_unstable();
        used.dedup();
        prop_assert_eq!(used.len(), found.machine_of.iter().flatten().count(), "one rider a machine");
        prop_assert_eq!(found.blocked.is_some(), without > 0);
        let size = found.blocked.as_ref().map(|blocked| blocked.riders.len());
        prop_assert_eq!(size, smallest_by_trying(&wanted), "a smallest group");
        if let Some(blocked) = &found.blocked {
            let machines: BTreeSet<usize> = blocked.riders.iter().flat_map(|rider| allowed(&wanted, *rider)).collect();
            prop_assert_eq!(&machines, &blocked.machines);
            prop_assert_eq!(machines.len() + 1, blocked.riders.len());
            prop_assert!(blocked.riders.len() <= wanted.costs.len());
        }
        count(if without == 0 { "everybody rides" } else { "somebody is blocked" });
        count(match wanted.first {
            None => "nobody comes before all",
            Some(_) if first_is_without => "who comes first can have none",
            Some(_) => "who comes first has one",
        });
        count(if changes == 0 { "nobody changes" } else { "somebody changes" });
        count(if wanted.costs.is_empty() || wanted.machines == 0 { "one side is empty" } else { "both sides" });
        count(match size {
            None => "no group",
            Some(1) => "a group of one",
            Some(2) => "a group of two",
            Some(_) => "a greater group",
        });
        Ok(())
    });
    checked.unwrap_or_else(|fault| panic!("{fault}"));
    println!("assignments, {CASES} cases: {:?}", spread.borrow());
    for what in [
        "everybody rides",
        "somebody is blocked",
        "nobody changes",
        "somebody changes",
        "one side is empty",
        "nobody comes before all",
        "who comes first can have none",
        "who comes first has one",
    ] {
        assert!(spread.borrow().get(what).is_some_and(|times| *times > 100), "{what} hardly occurred");
    }
    for what in ["a group of one", "a group of two", "a greater group"] {
        assert!(spread.borrow().get(what).is_some_and(|times| *times > 20), "{what} hardly occurred");
    }
}

/// A machine goes out of use: the rider who had it gets another one, and whoever can stay stays.
#[test]
fn day_3_one_change_moves_the_fewest_riders() {
    let checked = runner(2_000).run(&(group(), any::<prop::sample::Index>()), |(wanted, gone)| {
        let first = assign(&wanted);
        let used: Vec<usize> = first.machine_of.iter().copied().flatten().collect();
        if first.blocked.is_some() || used.is_empty() {
            return Ok(());
        }
        let gone = used[gone.index(used.len())];
        let mut costs = wanted.costs.clone();
        costs.iter_mut().for_each(|row| row[gone] = None);
        let then = Wanted { costs, now: first.machine_of.clone(), ..wanted };
        let second = assign(&then);
        prop_assert_eq!(worth(&then, &second.machine_of), by_trying(&then, &mut Vec::new()));
        Ok(())
    });
    checked.unwrap_or_else(|fault| panic!("{fault}"));
}

/// Groups of the size of a full day, most of them with more different choices than riders share.
#[test]
fn day_3_the_blocking_group_of_a_full_day_is_a_smallest_one_too() {
    let sizes: RefCell<BTreeMap<usize, u32>> = RefCell::default();
    let day = (0_usize..=3).prop_flat_map(|shape| {
        let may = prop::bool::weighted([0.1, 0.15, 0.3, 0.6][shape]);
        prop::collection::vec(prop::collection::vec(may, 15), 16)
    });
    let checked = runner(60).run(&day, |allowed| {
        let cost = |may: &bool| may.then_some(0);
        let costs: Vec<Vec<Option<i64>>> = allowed.iter().map(|row| row.iter().map(cost).collect()).collect();
        let wanted = Wanted { machines: 15, now: vec![None; 16], costs, first: None };
        let found = assign(&wanted).blocked.map(|blocked| blocked.riders.len());
        prop_assert_eq!(found, smallest_by_trying(&wanted));
        *sizes.borrow_mut().entry(found.unwrap_or(0)).or_insert(0) += 1;
        Ok(())
    });
    checked.unwrap_or_else(|fault| panic!("{fault}"));
    println!("blocking groups of 16 riders, by size: {:?}", sizes.borrow());
    assert!(sizes.borrow().len() >= 5, "sizes hardly differ: {:?}", sizes.borrow());
}

/// A rider comes: whoever has a machine stays on it unless nobody could come otherwise.
#[test]
fn day_3_one_rider_more_moves_the_fewest_riders() {
    let checked = runner(2_000).run(&group(), |wanted| {
        let Some((_, before)) = wanted.costs.split_last() else { return Ok(()) };
        let now = vec![None; before.len()];
        let first = assign(&Wanted { costs: before.to_vec(), now, ..wanted.clone() });
        let mut now = first.machine_of;
        now.push(None);
        let then = Wanted { now, ..wanted };
        let second = assign(&then);
        prop_assert_eq!(worth(&then, &second.machine_of), by_trying(&then, &mut Vec::new()));
        Ok(())
    });
    checked.unwrap_or_else(|fault| panic!("{fault}"));
}

#[test]
fn day_3_nobody_and_nothing_are_assigned_to_nothing() {
    let none = assign(&Wanted { machines: 3, costs: Vec::new(), now: Vec::new(), first: None });
    assert_eq!(none, Assignment { machine_of: Vec::new(), blocked: None });
    let alone = assign(&Wanted { machines: 0, costs: vec![Vec::new()], now: vec![None], first: None });
    let blocked = Blocked { riders: BTreeSet::from([0]), machines: BTreeSet::new() };
    assert_eq!(alone, Assignment { machine_of: vec![None], blocked: Some(blocked) });
}
