//! Times registrations in a house whose mail relay refuses while letters wait, in turns with a house whose relay takes
//! them (R08); then opens the relay and waits until every letter is out.

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::AtomicUsize;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};
use clap::Args;
use serde::Deserialize;

use crate::budgets::{Budgets, p95};
use crate::relay::{Relay, free_port};
use crate::service::{Scratch, Service, Start};
use crate::storm::browser::{Browser, pause};
use crate::storm::family::{Child, Family, Scene, surname};
use crate::storm::history::{Clock, Log};
use crate::storm::post::Post;
use crate::storm::tables::Database;
use crate::storm::{address, letters, office};

const SEATS: usize = 40;
/// R08: all letters are out so soon after the relay's return.
const OUT: Duration = Duration::from_secs(300);
/// Families that register at the same time while letters gather.
const AT_ONCE: usize = 4;

/// How much is measured, and where.
#[derive(Args, Clone, Debug)]
pub struct Options {
    /// The built binary
    #[arg(long, default_value = "target/release/waymark")]
    binary: PathBuf,
    /// A Python with the packages of tests/requirements.txt
    #[arg(long, default_value = "tests/.made/venv/bin/python")]
    python: PathBuf,
    /// Empty PostgreSQL databases; `{house}` stands for `down` and `up`. Without it: SQLite
    #[arg(long)]
    database: Option<String>,
    /// The `psql` that reaches them
    #[arg(long, default_value = "psql")]
    psql: PathBuf,
    /// Letters that wait when the measure begins
    #[arg(long, default_value_t = 500)]
    waiting: usize,
    /// Registrations that are timed in each house
    #[arg(long, default_value_t = 200)]
    runs: usize,
    /// The figures that may not be passed
    #[arg(long, default_value = "tests/load/budgets.toml")]
    budgets: PathBuf,
}

#[derive(Deserialize)]
struct Count {
    n: usize,
}

/// A served house with families that come one after the other.
struct House {
    start: Start,
    _service: Service,
    sessions: Vec<String>,
    scene: Scene,
    tables: Database,
}

impl House {
    fn open(options: &Options, scratch: &Path, name: &str, relay: u16) -> anyhow::Result<Self> {
        let database = options.database.as_ref().map(|url| url.replace("{house}", name));
        let start = Start::new(&options.binary, "serve", &scratch.join(name), database.as_deref())?;
        let start = Start { relay: Some(relay), ..start };
        let clock = Clock::start();
        office::found(&start, SEATS, clock)?;
        let service = Service::open(&start)?;
        let sessions = office::announce(&start, clock, (options.waiting + options.runs).div_ceil(SEATS), SEATS)?;
        let scene = Scene {
            log: Log::new(clock),
            post: Post::new(scratch.join("nobody")),
            requests: AtomicUsize::new(0),
            troubles: Mutex::default(),
        };
        let tables = Database::of(&start.data, start.database.as_deref(), &options.psql);
        Ok(Self { start, _service: service, sessions, scene, tables })
    }

    /// A new family registers its child; gives the time of the last press.
    fn register(&self, number: usize) -> anyhow::Result<Duration> {
        let name = format!("Kid{} {}", letters(number), surname(number));
        let child = Child { name, session: self.sessions[number / SEATS].clone() };
        let browser = Browser::new(address(number), self.start.address);
        Family::new(number, browser, 1, &self.scene).register_once(&child)
    }

    fn fill(&self, families: usize) -> anyhow::Result<()> {
        thread::scope(|scope| {
            let hands: Vec<_> = (0..AT_ONCE)
                .map(|hand| {
                    scope.spawn(move || {
                        (hand..families).step_by(AT_ONCE).try_for_each(|number| self.register(number).map(drop))
                    })
                })
                .collect();
            hands.into_iter().try_for_each(|hand| hand.join().map_err(|_| anyhow::anyhow!("a hand panicked"))?)
        })
    }

    fn count(&self, state: &str) -> anyhow::Result<usize> {
        let counted: Vec<Count> =
            self.tables.ask(&format!("SELECT COUNT(*) AS n FROM outbox WHERE state = '{state}'"))?;
        Ok(counted.first().context("no count")?.n)
    }
}

/// Measures, then opens the relay.
///
/// # Errors
/// Registering takes longer than the budget allows, or a letter is lost, late or doubled.
pub fn run(options: &Options) -> anyhow::Result<()> {
    let budget = Budgets::read(&options.budgets)?.outage;
    let scratch = Scratch::new("outage")?;
    let (refused, taking) = (free_port()?, free_port()?);
    let _relay = Relay::open(&options.python, &scratch.0.join("taken-up"), taking)?;
    let down = House::open(options, &scratch.0, "down", refused)?;
    let up = House::open(options, &scratch.0, "up", taking)?;
    down.fill(options.waiting)?;
    up.fill(options.waiting)?;
    let waiting = down.count("due")?;
    ensure!(waiting >= options.waiting, "only {waiting} letters wait");
    let began = Instant::now();
    while up.count("due")? > 0 {
        ensure!(began.elapsed() < OUT, "the relay that takes letters does not get them");
        pause(Duration::from_millis(200));
    }
    let (mut figures, mut floors) = (Vec::new(), Vec::new());
    for number in options.waiting..options.waiting + options.runs {
        figures.push(down.register(number)?);
        floors.push(up.register(number)?);
    }
    let waiting = down.count("due")?;
    println!("{waiting} letters wait for a relay that refuses");
    let mut relay = Relay::open(&options.python, &scratch.0.join("taken-down"), refused)?;
    let returned = Instant::now();
    while down.count("due")? > 0 {
        ensure!(returned.elapsed() < OUT, "{} letters are not out after {OUT:?}", down.count("due")?);
        pause(Duration::from_millis(200));
    }
    let (took, copies) = (returned.elapsed(), relay.copies()?);
    let doubled = copies.values().filter(|copies| copies.len() > 1).count();
    println!(
        "all out {took:.0?} after the relay's return, bar {OUT:.0?}; {} taken, {doubled} of them twice",
        copies.len()
    );
    ensure!(copies.len() == waiting && down.count("sent")? == waiting, "letters are lost");
    ensure!(doubled == 0, "letters are doubled");
    budget.judge("registering while the relay refuses (p95)", p95(figures), p95(floors), options.runs)
}
