//! The opening minute (R37): as many families as register in thirty days, all signed in, open a session's page within one
//! minute and go on to the receipt, each at the pace of a person. Every request is timed from the moment it was due.

mod crowd;
mod order;
mod visitor;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};
use clap::Args;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::budgets::{Budgets, p95};
use crate::service::{Scratch, Service, Start};
use crate::storm::browser::{Browser, pause};
use crate::storm::family::{Child, surname};
use crate::storm::history::{Clock, Log};
use crate::storm::tables::Database;
use crate::storm::{address, judge, letters, office};
use crowd::{Outcome, Sent};
use visitor::Visitor;

const FILL: &str = include_str!("opening/fill.py");
/// In which all of them arrive.
const MINUTE: Duration = Duration::from_secs(60);
/// Families that go through alone before, one after the other, for the floor.
const ALONE: usize = 10;
const SEATS: usize = 12;
/// The health of the service is asked this often.
const PULSE: Duration = Duration::from_millis(100);

/// How many come, and where.
#[derive(Args, Clone, Debug)]
pub struct Options {
    /// The built binary
    #[arg(long, default_value = "target/release/waymark")]
    binary: PathBuf,
    /// Families that arrive in the minute
    #[arg(long, default_value_t = 5000)]
    families: usize,
    /// Sessions that they want
    #[arg(long, default_value_t = 60)]
    sessions: usize,
    /// The seed of who wants what and when
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// The figures that may not be passed
    #[arg(long, default_value = "tests/load/budgets.toml")]
    budgets: PathBuf,
}

/// Lets the minute happen, judges what is left, and prints the times beside their floor.
///
/// # Errors
/// A family cannot go on, somebody is let in before their turn, or the times are beyond the budget.
pub fn run(options: &Options) -> anyhow::Result<()> {
    let budget = Budgets::read(&options.budgets)?.opening;
    let scratch = Scratch::new("opening")?;
    let start = Start::new(&options.binary, "serve", &scratch.0.join("data"), None)?;
    let clock = Clock::start();
    office::found(&start, SEATS, clock)?;
    let service = Service::open(&start)?;
    let sessions = office::announce(&start, clock, options.sessions, SEATS)?;
    drop(service);
    let tokens = fill(&start.data.join("waymark.sqlite"), options.families + ALONE)?;
    let service = Service::open(&start)?;
    let log = Log::new(clock);
    let comers = Comers { options, start: &start, sessions: &sessions, tokens: &tokens };
    let (floor, quiet) = comers.alone(&log)?;
    let (outcome, pulses) = comers.minute(&log);
    drop(service);
    told(&outcome);
    let rows = Database::of(&start.data, None, Path::new("psql")).rows()?;
    let history = log.events();
    let mut faults = outcome.troubles;
    faults.extend(judge::judge(&history, &rows).into_iter().map(|fault| format!("{:?}: {}", fault.kind, fault.words)));
    faults.extend(order::faults(&history, &rows));
    faults.iter().take(20).for_each(|fault| println!("  FAULT {fault}"));
    let waiting = rows.places.iter().filter(|place| place.place.is_some()).count();
    println!("{} places, {waiting} of them in line, {} faults", rows.places.len(), faults.len());
    ensure!(faults.is_empty(), "{} faults", faults.len());
    ensure!(rows.places.len() == options.families + ALONE, "places are missing");
    ensure!(waiting > 0, "nobody is in line: order was not tried");
    let took = |sent: &[Sent]| sent.iter().map(|sent| sent.took).collect::<Vec<_>>();
    let all = took(&outcome.sent);
    let count = all.len();
    budget.page.judge("a request of the opening (p95)", p95(all), p95(took(&floor)), count)?;
    let slowest = pulses.iter().max().copied().unwrap_or_default();
    let asked = pulses.len();
    println!("health: {asked} times asked, slowest {slowest:.1?}");
    budget.health.judge("the health of the service (p95)", p95(pulses), p95(quiet), asked)
}

/// Writes the families; gives the token of each.
fn fill(database: &Path, families: usize) -> anyhow::Result<Vec<String>> {
    let said = Command::new("python3").args(["-c", FILL]).arg(database).arg(families.to_string()).output();
    let said = said.context("cannot start python3")?;
    ensure!(said.status.success(), "the families are not written: {}", String::from_utf8_lossy(&said.stderr));
    let tokens: Vec<String> = String::from_utf8(said.stdout)?.lines().map(str::to_owned).collect();
    ensure!(tokens.len() == families, "{} families, not {families}", tokens.len());
    Ok(tokens)
}

/// Who comes, and to which house.
struct Comers<'a> {
    options: &'a Options,
    start: &'a Start,
    sessions: &'a [String],
    tokens: &'a [String],
}

impl Comers<'_> {
    /// Sessions are wanted evenly.
    fn visitor(&self, number: usize) -> Visitor {
        let browser = Browser::new(address(number), self.start.address).with_cookie("waymark", &self.tokens[number]);
        let session = self.sessions[number % self.sessions.len()].clone();
        let child = Child { name: format!("Kid{} {}", letters(number), surname(number)), session };
        Visitor::new(number, browser, child, StdRng::seed_from_u64(self.options.seed ^ number as u64))
    }

    /// Families one after the other, and how long the health of an idle service takes.
    fn alone(&self, log: &Log) -> anyhow::Result<(Vec<Sent>, Vec<Duration>)> {
        let mut sent = Vec::new();
        for number in self.options.families..self.options.families + ALONE {
            let outcome = crowd::let_in(vec![(Duration::ZERO, self.visitor(number).in_a_hurry())], log);
            ensure!(outcome.troubles.is_empty(), "{}", outcome.troubles.join(", "));
            sent.extend(outcome.sent);
        }
        let quiet = (0..50).map(|_| pulse(self.start)).collect::<anyhow::Result<_>>()?;
        Ok((sent, quiet))
    }

    /// Everybody within the minute, while somebody asks for the health.
    fn minute(&self, log: &Log) -> (Outcome, Vec<Duration>) {
        let mut random = StdRng::seed_from_u64(self.options.seed);
        let arrivals = (0..self.options.families).map(|number| (MINUTE.mul_f64(random.random()), self.visitor(number)));
        let arrivals = arrivals.collect();
        let is_over = AtomicBool::new(false);
        thread::scope(|scope| {
            let asked = scope.spawn(|| {
                let (mut pulses, mut faults) = (Vec::new(), Vec::new());
                while !is_over.load(Ordering::Relaxed) {
                    match pulse(self.start) {
                        Ok(took) => pulses.push(took),
                        Err(fault) => faults.push(format!("health: {fault:#}")),
                    }
                    pause(PULSE);
                }
                (pulses, faults)
            });
            let mut outcome = crowd::let_in(arrivals, log);
            is_over.store(true, Ordering::Relaxed);
            let (pulses, faults) = asked.join().unwrap_or_default();
            outcome.troubles.extend(faults);
            (outcome, pulses)
        })
    }
}

/// How long the service takes to say that it is ready, its database asked.
fn pulse(start: &Start) -> anyhow::Result<Duration> {
    let began = Instant::now();
    let answered = Browser::new(address(0), start.address).get("/health/ready")?;
    ensure!(answered.status == 200, "not ready: {}", answered.status);
    Ok(began.elapsed())
}

/// Prints each kind of request, and whether the hands kept up.
fn told(outcome: &Outcome) {
    let mut kinds: BTreeMap<&str, Vec<Duration>> = BTreeMap::new();
    outcome.sent.iter().for_each(|sent| kinds.entry(&sent.what).or_default().push(sent.took));
    for (kind, times) in kinds {
        println!("  {kind:16} {:6} times, p95 {:.1?}", times.len(), p95(times));
    }
    let end = outcome.sent.iter().map(|sent| sent.due + sent.took).max().unwrap_or_default();
    let within = outcome.sent.iter().filter(|sent| sent.due < MINUTE).count();
    let late = outcome.sent.iter().map(|sent| sent.late).max().unwrap_or_default();
    println!(
        "{} requests in {end:.0?}, {within} of them within the minute; no hand was free for at most {late:.1?}",
        outcome.sent.len()
    );
}
