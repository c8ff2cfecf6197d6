//! Times the pages of the service when it knows 100,000 people (U30): every page that each role comes to by links, beside a
//! page that asks the database for nothing but who is signed in.

use std::collections::{BTreeMap, VecDeque};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};

use crate::budgets::{Budgets, p95};
use crate::office::{Office, field};
use crate::service::{Scratch, Service, Start};

const FILL: &str = include_str!("people/fill.py");
const FAMILIES: usize = 33_400;
const PEOPLE: usize = 100_000;
const ROLES: [&str; 5] = ["guardian", "instructor", "coordinator", "grant_manager", "administrator"];
const FLOOR: &str = "/help";
/// Addresses of one shape that are opened.
const EACH: usize = 2;
/// How often each is opened.
const TIMES: usize = 10;
/// The slowest that are printed.
const PRINTED: usize = 12;

/// Fills a demonstration, opens its pages as each role and prints the slowest.
///
/// # Errors
/// When a page takes longer than the budget allows, or hardly any is found.
pub fn measure(binary: &Path, budgets: &Path) -> anyhow::Result<()> {
    let budget = Budgets::read(budgets)?.people;
    let scratch = Scratch::new("people")?;
    let start = Start { is_unlimited: true, ..Start::new(binary, "demo", &scratch.0.join("data"), None)? };
    drop(Service::open(&start)?);
    let mut filling = Command::new("python3");
    filling.args(["-c", FILL]).arg(start.data.join("waymark.sqlite")).arg(FAMILIES.to_string());
    let said = filling.output().context("cannot start python3")?;
    ensure!(said.status.success(), "nothing is filled in: {}", String::from_utf8_lossy(&said.stderr));
    let people: usize = String::from_utf8(said.stdout)?.trim().parse()?;
    ensure!(people >= PEOPLE, "only {people} people");
    let service = Service::open(&start)?;
    let (mut slowest, mut floors) = (Vec::new(), Vec::new());
    for role in ROLES {
        let office = Office::enter_as(service.address, role)?;
        let pages = found(&office);
        for _ in 0..TIMES {
            floors.push(timed(&office, FLOOR)?);
        }
        for page in &pages {
            let times = (0..TIMES).map(|_| timed(&office, page)).collect::<anyhow::Result<Vec<_>>>()?;
            slowest.push((p95(times), format!("{page} as {role}")));
        }
        if role == "coordinator" {
            slowest.push((p95(searches(&office)?), "searching /families as coordinator".to_owned()));
        }
        println!("{role}: {} pages", pages.len());
    }
    ensure!(slowest.len() > 100, "only {} pages were found", slowest.len());
    slowest.sort_by_key(|(took, _)| std::cmp::Reverse(*took));
    slowest.iter().take(PRINTED).for_each(|(took, page)| println!("  {took:8.1?} {page}"));
    let (worst, page) = slowest.first().context("no page")?;
    println!("{} pages, {people} people; the slowest is {page}", slowest.len());
    budget.judge("the slowest page (p95)", *worst, p95(floors), TIMES)
}

/// Pages to which links lead, from the first one on.
fn found(office: &Office) -> Vec<String> {
    let mut queue = VecDeque::from(["/".to_owned()]);
    let (mut shapes, mut pages): (BTreeMap<String, Vec<String>>, Vec<String>) = (BTreeMap::new(), Vec::new());
    while let Some(address) = queue.pop_front() {
        let same = shapes.entry(shape(&address)).or_default();
        if same.len() >= EACH || same.contains(&address) {
            continue;
        }
        same.push(address.clone());
        // What may not be opened, or is no page, is no page to be timed.
        let Ok(answer) = office.get(&address) else { continue };
        if !answer.contains("content-type: text/html") {
            continue;
        }
        let links = answer.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next());
        let ours = links.filter(|link| link.starts_with('/') && !link.contains("lang=") && !link.contains("scheme="));
        queue.extend(
            ours.map(|link| link.split('#').next().unwrap_or_default().replace("&amp;", "&").replace("&#38;", "&")),
        );
        pages.push(address);
    }
    pages
}

/// An address without what names one thing of many: references, numbers, and what a query says.
fn shape(address: &str) -> String {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    let is_one = |piece: &str| piece.len() >= 12 || piece.chars().any(|c| c.is_ascii_digit());
    let pieces: Vec<&str> = path.split('/').map(|piece| if is_one(piece) { "*" } else { piece }).collect();
    let names: Vec<&str> = query.split('&').filter_map(|pair| pair.split('=').next()).collect();
    format!("{}?{}", pieces.join("/"), names.join("&"))
}

fn timed(office: &Office, path: &str) -> anyhow::Result<Duration> {
    let began = Instant::now();
    office.get(path)?;
    Ok(began.elapsed())
}

/// A child is looked for by names and by a telephone.
fn searches(office: &Office) -> anyhow::Result<Vec<Duration>> {
    let token = field(&office.get("/families")?, "form_token").context("no form")?;
    let mut times = Vec::new();
    for who in ["ada", "cleo ar", "bel", "4060001234", "nobody at all", "tor vik"].iter().cycle().take(2 * TIMES) {
        let began = Instant::now();
        let page = office.ask_form("/families", &format!("form_token={token}&who={}", who.replace(' ', "+")))?;
        times.push(began.elapsed());
        ensure!(page.starts_with("HTTP/1.1 200"), "searching: {}", page.lines().next().unwrap_or_default());
    }
    Ok(times)
}
