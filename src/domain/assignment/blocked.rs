//! Why not everybody can have a machine: a smallest group of riders who are more than the machines that any of them may have
//! (P. Hall 1935: riders can all be given machines unless there is such a group).

use std::collections::BTreeSet;

use super::{Blocked, Wanted, allowed};

/// Steps of the search for a smallest group: a full day of twenty riders takes a small part of them. To find the smallest is
/// hard in general, so beyond them it is the smallest of the groups that the assignment itself runs into.
const MOST_STEPS: usize = 200_000;

/// Riders who may have the same machines. They count together: a smallest group is one rider more than the machines of some
/// set of such choices.
struct Choice {
    machines: Bits,
    riders: Vec<usize>,
}

/// A smallest group, of equal ones always the same.
pub(super) fn smallest(wanted: &Wanted, machine_of: &[Option<usize>]) -> Blocked {
    let without = (0..machine_of.len()).filter(|rider| machine_of[*rider].is_none());
    let reached: Vec<Blocked> = without.map(|rider| run_into(wanted, machine_of, rider)).collect();
    // Riders whom no such way reaches are in no smallest group: without them it would be smaller.
    let riders: BTreeSet<usize> = reached.iter().flat_map(|group| group.riders.iter().copied()).collect();
    let run_into = reached.into_iter().min_by_key(|group| group.riders.len()).expect("somebody is without a machine");
    let mut choices: Vec<Choice> = Vec::new();
    for rider in riders {
        let Some(machines) = Bits::of(&allowed(wanted, rider)) else { return run_into };
        match choices.iter_mut().find(|choice| choice.machines == machines) {
            Some(choice) => choice.riders.push(rider),
            None => choices.push(Choice { machines, riders: vec![rider] }),
        }
    }
    // Few machines first: their groups are the small ones.
    choices.sort_by_key(|choice| (choice.machines.count(), choice.riders[0]));
    let mut search = Search { choices: &choices, steps: 0, taken: Vec::new() };
    for machines in 0..run_into.machines.len() {
        if search.finds(0, Bits::NONE, 0, machines) {
            return search.group();
        }
        if search.steps > MOST_STEPS {
            break;
        }
    }
    run_into
}

/// Looks for a set of choices with so many machines and more riders than these.
struct Search<'a> {
    choices: &'a [Choice],
    steps: usize,
    taken: Vec<usize>,
}

impl Search<'_> {
    fn finds(&mut self, from: usize, machines: Bits, riders: usize, most: usize) -> bool {
        if riders > most {
            return true;
        }
        self.steps += 1;
        // Only choices that fit beside those that are taken can bring more riders.
        let fits = |choice: &&Choice| machines.with(choice.machines).count() <= most;
        let to_come: usize = self.choices[from..].iter().filter(fits).map(|choice| choice.riders.len()).sum();
        if riders + to_come <= most || self.steps > MOST_STEPS {
            return false;
        }
        let together = machines.with(self.choices[from].machines);
        if together.count() <= most {
            self.taken.push(from);
            if self.finds(from + 1, together, riders + self.choices[from].riders.len(), most) {
                return true;
            }
            self.taken.pop();
        }
        self.finds(from + 1, machines, riders, most)
    }

    /// The riders of the choices that were found, as many as show it.
    fn group(&self) -> Blocked {
        let of_taken = || self.taken.iter().map(|at| &self.choices[*at]);
        let machines = of_taken().fold(Bits::NONE, |all, choice| all.with(choice.machines)).places();
        let mut riders: Vec<usize> = of_taken().flat_map(|choice| choice.riders.iter().copied()).collect();
        riders.sort_unstable();
        Blocked { riders: riders.into_iter().take(machines.len() + 1).collect(), machines }
    }
}

/// From a rider without a machine: every machine that rider may have, whoever has it, what those may have, and so on. One
/// machine fewer than riders.
fn run_into(wanted: &Wanted, machine_of: &[Option<usize>], first: usize) -> Blocked {
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

/// A set of machines by their places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Bits([u64; 4]);

impl Bits {
    const NONE: Self = Self([0; 4]);

    /// Nothing for places beyond the 256th.
    fn of(places: &BTreeSet<usize>) -> Option<Self> {
        let mut bits = Self::NONE;
        for place in places {
            *bits.0.get_mut(place / 64)? |= 1 << (place % 64);
        }
        Some(bits)
    }

    fn count(self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }

    fn with(self, other: Self) -> Self {
        Self(std::array::from_fn(|at| self.0[at] | other.0[at]))
    }

    fn places(self) -> BTreeSet<usize> {
        (0..256).filter(|place| self.0[place / 64] >> (place % 64) & 1 == 1).collect()
    }
}
