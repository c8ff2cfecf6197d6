//! Times the page of the rows behind a figure when there are 5,000 of them (U39), beside a page of the same service that
//! asks no question of the database but who is signed in.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};

use crate::budgets::{Budgets, median};
use crate::office::Office;
use crate::service::{Scratch, Service};

const ROWS: &str = "/reports/rows?figure=participations&from=2023-01-01&to=2023-12-31&order=home";
const FLOOR: &str = "/help/office";

/// Writes the rows into the demonstration's database.
const FILL: &str = r#"
import sqlite3, sys
base = sqlite3.connect(sys.argv[1], timeout=30)
rows = [(f'z{n:05}', f'key{n // 2}', f'2023-05-{n % 28 + 1:02}', f'30{n % 55 * 2 + 1:03}') for n in range(5000)]
base.executemany(
    "INSERT INTO rider_facts (session_id, registration_ref, rider_key, held_on, county_set, site_county, home_county, "
    "course_id, outcome, participated, completed, helmets) SELECT (SELECT MIN(id) FROM sessions), ?, ?, ?, 2023, "
    "'30049', ?, (SELECT MIN(id) FROM courses), 'attended', 1, 0, 0", rows)
base.commit()
"#;

/// Opens both pages `runs` times and prints the medians.
///
/// # Errors
/// When the page does not show the rows, or takes longer than the budget allows.
pub fn measure(binary: &Path, runs: usize, budgets: &Path) -> anyhow::Result<()> {
    ensure!(runs > 0, "at least one run is needed");
    let budget = Budgets::read(budgets)?.rows;
    let scratch = Scratch::new("rows")?;
    let data = scratch.0.join("data");
    let service = Service::start(binary, &data)?;
    let filled = Command::new("python3").args(["-c", FILL]).arg(data.join("waymark.sqlite")).status();
    ensure!(filled.context("cannot start python3")?.success(), "the rows are not written");
    let office = Office::enter(service.address)?;
    let (mut floors, mut pages) = (Vec::new(), Vec::new());
    for _ in 0..runs {
        floors.push(timed(&office, FLOOR)?.0);
        let (took, page) = timed(&office, ROWS)?;
        ensure!(page.contains("of 5,000"), "the page does not count the rows");
        pages.push(took);
    }
    budget.judge("a page of 5,000 rows", median(pages), median(floors), runs)
}

fn timed(office: &Office, path: &str) -> anyhow::Result<(Duration, String)> {
    let began = Instant::now();
    let answer = office.get(path)?;
    Ok((began.elapsed(), answer))
}
