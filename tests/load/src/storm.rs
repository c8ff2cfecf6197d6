//! The storm (R01, R23, R24): families register from many addresses at once while the service is killed and started again,
//! and a judge compares every answer with what is there.

pub mod browser;
pub mod family;
pub mod form;
pub mod history;
pub mod judge;
pub mod office;
mod planted;
pub mod post;
pub mod tables;
mod tally;

use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};
use clap::Args;
use rand::rngs::StdRng;
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};

use crate::service::{Scratch, Service, Start};
use browser::{Browser, pause};
use family::{Child, Family, Scene};
use history::{Clock, Log};
use post::Post;
use tables::Database;
use tally::{Kill, Tally};

/// R01: the service answers so soon after its start.
const READY: Duration = Duration::from_secs(5);

/// How big the storm is, and where.
#[derive(Args, Clone, Debug)]
pub struct Options {
    /// The built binary
    #[arg(long, default_value = "target/debug/waymark")]
    binary: PathBuf,
    /// An empty PostgreSQL database; with several seeds `{seed}` in it stands for the seed. Without it: SQLite
    #[arg(long)]
    database: Option<String>,
    /// The `psql` that reaches it
    #[arg(long, default_value = "psql")]
    psql: PathBuf,
    /// The first seed
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How many seeds, one after the other
    #[arg(long, default_value_t = 1)]
    seeds: u64,
    /// Families, each with an address of its own
    #[arg(long, default_value_t = 200)]
    clients: usize,
    /// Children that are registered
    #[arg(long, default_value_t = 2000)]
    registrations: usize,
    /// Sessions
    #[arg(long, default_value_t = 20)]
    sessions: usize,
    /// Seats of each session
    #[arg(long, default_value_t = 12)]
    seats: usize,
    /// How often the service is killed
    #[arg(long, default_value_t = 20)]
    kills: usize,
}

/// Proves the judge, then lets a storm loose for each seed.
///
/// # Errors
/// The judge misses a planted fault, or a storm has a fault.
pub fn run(options: &Options) -> anyhow::Result<()> {
    println!("the judge passes a sound story and finds {} planted faults", planted::prove()?);
    let mut faults = 0;
    for seed in options.seed..options.seed + options.seeds {
        faults += one(options, seed).with_context(|| format!("seed {seed}"))?;
    }
    ensure!(faults == 0, "{faults} faults");
    Ok(())
}

/// One storm; gives the number of its faults.
fn one(options: &Options, seed: u64) -> anyhow::Result<usize> {
    let began = Instant::now();
    let scratch = Scratch::new("storm")?;
    let database = options.database.as_ref().map(|url| url.replace("{seed}", &seed.to_string()));
    let start = Start::new(&options.binary, "serve", &scratch.0.join("data"), database.as_deref())?;
    let clock = Clock::start();
    office::found(&start, options.seats, clock)?;
    let service = Service::open(&start)?;
    let floor = service.took;
    let sessions = office::announce(&start, clock, options.sessions, options.seats)?;
    let scene = Scene {
        log: Log::new(clock),
        post: Post::new(start.data.join("mail")),
        requests: AtomicUsize::new(0),
        troubles: Mutex::default(),
    };
    let prepared = began.elapsed();
    let kills = rage(options, seed, &start, &scene, service, &sessions)?;
    let raged = began.elapsed() - prepared;
    let tables = Database::of(&start.data, start.database.as_deref(), &options.psql);
    let (history, rows) = (scene.log.events(), tables.rows()?);
    let tally = Tally::of(&history, &rows, &kills);
    let slowest = kills.iter().map(|kill| kill.ready).max().unwrap_or_default();
    let mut faults: Vec<String> = scene.troubles.into_inner().unwrap_or_default();
    faults.extend(tables.faults()?);
    faults.extend(judge::judge(&history, &rows).into_iter().map(|fault| format!("{:?}: {}", fault.kind, fault.words)));
    faults.extend(tally.missing(options.kills).into_iter().map(|what| format!("there was not one case of {what}")));
    if slowest > READY {
        faults.push(format!("ready after {slowest:.1?}, more than {READY:?}"));
    }
    if tally.acknowledged != options.registrations {
        faults.push(format!("{} keys have an answer, not {}", tally.acknowledged, options.registrations));
    }
    let requests = scene.requests.load(Ordering::Relaxed);
    println!(
        "seed {seed}: {requests} requests in {raged:.0?} after {prepared:.0?} of preparing, {} kills",
        kills.len()
    );
    println!("  ready after {slowest:.1?} at the slowest, floor {floor:.1?} (the same start, empty and idle)");
    println!("{tally}\n  {} faults", faults.len());
    faults.iter().for_each(|fault| println!("  FAULT {fault}"));
    Ok(faults.len())
}

/// Families and kills at the same time, until every family is done; the service is gone afterwards.
fn rage(
    options: &Options,
    seed: u64,
    start: &Start,
    scene: &Scene,
    service: Service,
    sessions: &[String],
) -> anyhow::Result<Vec<Kill>> {
    let children = children(options, seed, sessions);
    let is_over = AtomicBool::new(false);
    thread::scope(|scope| {
        let families: Vec<_> = (0..options.clients)
            .map(|number| {
                let own: Vec<Child> = children.iter().skip(number).step_by(options.clients).cloned().collect();
                let browser = Browser::new(address(number), start.address);
                scope.spawn(move || Family::new(number, browser, seed, scene).run(&own))
            })
            .collect();
        let killer = scope.spawn(|| kill(options, seed, start, scene, service, &is_over));
        for family in families {
            ensure!(family.join().is_ok(), "a family panicked");
        }
        is_over.store(true, Ordering::Relaxed);
        killer.join().map_err(|_| anyhow::anyhow!("the killer panicked"))?
    })
}

/// Kills and starts again whenever so many places are acknowledged as chance has drawn, and a little later.
fn kill(
    options: &Options,
    seed: u64,
    start: &Start,
    scene: &Scene,
    service: Service,
    is_over: &AtomicBool,
) -> anyhow::Result<Vec<Kill>> {
    let mut random = StdRng::seed_from_u64(seed);
    let mut moments: Vec<usize> =
        (0..options.kills).map(|_| random.random_range(0..options.registrations * 19 / 20)).collect();
    moments.sort_unstable();
    let (mut service, mut kills) = (Some(service), Vec::new());
    for moment in moments {
        while scene.log.acknowledged() < moment && !is_over.load(Ordering::Relaxed) {
            pause(Duration::from_millis(10));
        }
        pause(Duration::from_millis(random.random_range(0..300)));
        let at = scene.log.clock.now();
        drop(service.take());
        let started = Service::open(start)?;
        kills.push(Kill { at, ready: started.took });
        service = Some(started);
    }
    while !is_over.load(Ordering::Relaxed) {
        pause(Duration::from_millis(10));
    }
    Ok(kills)
}

/// Every child with its session; each session is wanted by as many.
fn children(options: &Options, seed: u64, sessions: &[String]) -> Vec<Child> {
    let mut wanted: Vec<&String> = sessions.iter().cycle().take(options.registrations).collect();
    wanted.shuffle(&mut StdRng::seed_from_u64(!seed));
    let child = |(number, session): (usize, &String)| Child {
        name: format!("Kid{} {}", letters(number), family::surname(number % options.clients)),
        session: session.clone(),
    };
    wanted.into_iter().enumerate().map(child).collect()
}

/// A number in letters, because names have no digits.
pub fn letters(number: usize) -> String {
    number.to_string().bytes().map(|digit| char::from(digit - b'0' + b'a')).collect()
}

/// The loopback address of a family.
pub fn address(number: usize) -> Ipv4Addr {
    let part = |number: usize| u8::try_from(number % 250 + 1).unwrap_or(u8::MAX);
    Ipv4Addr::new(127, 0, part(number / 250), part(number) + 1)
}
