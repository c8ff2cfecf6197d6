//! Times `demo` from its start to the first good answer of `/health/ready`, on a fresh folder each time.
//!
//! The floor is what any program pays here: starting a process, and making one file that is synced to the disk.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};

use crate::budgets::{Budgets, median};
use crate::service::{Scratch, Service};

/// Starts `binary demo` `runs` times and prints the median beside the floor.
///
/// # Errors
/// When a start does not become ready, or the median passes the bar by more than the budget allows.
pub fn measure(binary: &Path, runs: usize, budgets: &Path) -> anyhow::Result<()> {
    ensure!(runs > 0, "at least one run is needed");
    let budget = Budgets::read(budgets)?.ready;
    let scratch = Scratch::new("ready")?;
    let (mut floors, mut starts) = (Vec::new(), Vec::new());
    for run in 0..runs {
        let folder = scratch.0.join(run.to_string());
        fs::create_dir(&folder)?;
        floors.push(floor(binary, &folder)?);
        starts.push(Service::start(binary, &folder.join("data"))?.took);
    }
    let (floor, ready) = (median(floors), median(starts));
    budget.judge("ready", ready, floor, runs)
}

/// One process start and one synced file.
fn floor(binary: &Path, folder: &Path) -> anyhow::Result<Duration> {
    let began = Instant::now();
    let status = Command::new(binary).arg("--help").stdout(Stdio::null()).stderr(Stdio::null()).status();
    ensure!(status.with_context(|| format!("cannot start {}", binary.display()))?.success(), "--help failed");
    let mut file = File::create(folder.join("floor"))?;
    file.write_all(&[0; 4096])?;
    file.sync_all()?;
    File::open(folder)?.sync_all()?;
    Ok(began.elapsed())
}
