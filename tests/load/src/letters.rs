//! Letters and a service that is killed between the mail server's taking a letter and its own note of it (R11): each goes
//! out at least once, always under one Message-ID, and its calendar file has the same UID and SEQUENCE each time.
//!
//! A letter of a killed runner waits a quarter of an hour. Here that time passes in the table, while no service runs.

mod judge;

use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::AtomicUsize;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};
use clap::Args;

use crate::relay::{Manner, Relay, free_port};
use crate::service::{Scratch, Service, Start};
use crate::storm::browser::{Browser, pause};
use crate::storm::family::{Child, Family, Scene, surname};
use crate::storm::history::{Clock, Log};
use crate::storm::post::Post;
use crate::storm::tables::Database;
use crate::storm::{address, letters, office};

/// How long the next letter may take after a start.
const PATIENCE: Duration = Duration::from_secs(30);
const SEATS: usize = 12;

/// Time passes: every claim has ended, every letter that waits is due, and the next may probe. A letter that was under way
/// before comes last, so that kills fall on many.
const TIME_PASSES: [&str; 3] = [
    "UPDATE outbox SET due_at = created_at WHERE state = 'due' AND leased_until IS NULL",
    "UPDATE outbox SET due_at = (SELECT MAX(created_at) FROM outbox), leased_until = created_at \
     WHERE state = 'due' AND leased_until IS NOT NULL",
    "DELETE FROM job_leases WHERE name = 'post_is_down'",
];
const LETTERS: &str = "SELECT message_id AS id, kind, state, COALESCE(fault, '') AS fault FROM outbox ORDER BY id";

/// How much is killed, and where.
#[derive(Args, Clone, Debug)]
pub struct Options {
    /// The built binary
    #[arg(long, default_value = "target/debug/waymark")]
    binary: PathBuf,
    /// A Python with the packages of tests/requirements.txt
    #[arg(long, default_value = "tests/.made/venv/bin/python")]
    python: PathBuf,
    /// An empty PostgreSQL database. Without it: SQLite
    #[arg(long)]
    database: Option<String>,
    /// The `psql` that reaches it
    #[arg(long, default_value = "psql")]
    psql: PathBuf,
    /// Families, each with an address of its own
    #[arg(long, default_value_t = 8)]
    families: usize,
    /// Children of each family, a letter each
    #[arg(long, default_value_t = 9)]
    children: usize,
    /// How many kills are to fall between the taking and the note
    #[arg(long, default_value_t = 50)]
    kills: usize,
}

/// Proves the judge, then kills and judges.
///
/// # Errors
/// The judge misses a planted fault, or the letters have a fault.
pub fn run(options: &Options) -> anyhow::Result<()> {
    println!("the judge passes a sound story and finds {} planted faults", judge::prove()?);
    let began = Instant::now();
    let scratch = Scratch::new("letters")?;
    let (folder, port) = (scratch.0.join("taken"), free_port()?);
    let mut relay = Relay::open(&options.python, &folder, port)?;
    relay.meet(Manner::Defer)?;
    let start = Start::new(&options.binary, "serve", &scratch.0.join("data"), options.database.as_deref())?;
    let start = Start { relay: Some(port), ..start };
    families(options, &start, &Post::new(folder))?;
    let prepared = began.elapsed();
    let tables = Database::of(&start.data, start.database.as_deref(), &options.psql);
    let kills = kill(options, &start, &tables, &mut relay)?;
    tables.change(&TIME_PASSES)?;
    relay.meet(Manner::Take)?;
    let service = Service::open(&start)?;
    while relay.next(Duration::from_secs(3))?.is_some() {}
    drop(service);
    let (rows, copies) = (tables.ask::<judge::Letter>(LETTERS)?, relay.copies()?);
    let most = copies.values().map(Vec::len).max().unwrap_or_default();
    let again = copies.values().filter(|copies| copies.len() > 1).count();
    println!("{} kills fell between taking and note, {kills} in all", options.kills);
    println!("  {} letters, {} of them taken more than once, one {most} times", rows.len(), again);
    println!("  {:.0?} after {prepared:.0?} of preparing", began.elapsed() - prepared);
    let faults = judge::judge(&rows, &copies);
    println!("  {} faults", faults.len());
    faults.iter().for_each(|(kind, words)| println!("  FAULT {kind:?}: {words}"));
    ensure!(again > 0, "no letter was taken twice: nothing was proved");
    ensure!(faults.is_empty(), "{} faults", faults.len());
    Ok(())
}

/// Families register and show their addresses; every letter about a place is put off, and the service is gone afterwards.
fn families(options: &Options, start: &Start, post: &Post) -> anyhow::Result<()> {
    let clock = Clock::start();
    office::found(start, SEATS, clock)?;
    let _service = Service::open(start)?;
    let places = options.families * options.children;
    let sessions = office::announce(start, clock, places.div_ceil(SEATS), SEATS)?;
    let scene =
        Scene { log: Log::new(clock), post: post.clone(), requests: AtomicUsize::new(0), troubles: Mutex::default() };
    thread::scope(|scope| {
        let all: Vec<_> = (0..options.families)
            .map(|number| {
                let own: Vec<Child> = (0..options.children)
                    .map(|child| number * options.children + child)
                    .map(|child| Child {
                        name: format!("Kid{} {}", letters(child), surname(number)),
                        session: sessions[child / SEATS].clone(),
                    })
                    .collect();
                let browser = Browser::new(address(number), start.address);
                let scene = &scene;
                scope.spawn(move || Family::new(number, browser, 1, scene).settle(&own))
            })
            .collect();
        all.into_iter().try_for_each(|family| family.join().map_err(|_| anyhow::anyhow!("a family panicked"))?)
    })
}

/// Kills at the moment a letter is taken, half of the time before the mail server answers and half of the time while it
/// does, until enough kills fell before the note. Gives how many it took.
fn kill(options: &Options, start: &Start, tables: &Database, relay: &mut Relay) -> anyhow::Result<usize> {
    let (mut between, mut kills) = (0, 0);
    while between < options.kills {
        ensure!(kills < options.kills * 3, "only {between} of {kills} kills fell between taking and note");
        tables.change(&TIME_PASSES)?;
        relay.copies()?;
        relay.meet(if kills % 2 == 0 { Manner::Hold } else { Manner::Take })?;
        let service = Service::spawn(start)?;
        let copy = relay.next(PATIENCE)?.context("no letter comes any more: more children are needed")?;
        drop(service);
        pause(Duration::from_millis(5));
        kills += 1;
        let rows: Vec<judge::Letter> = tables.ask(LETTERS)?;
        between += usize::from(rows.iter().any(|row| row.id == copy.id && row.state == "due"));
    }
    Ok(kills)
}
