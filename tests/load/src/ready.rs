//! Times `demo` from its start to the first good answer of `/health/ready`, on a fresh folder each time.
//!
//! The floor is what any program pays here: starting a process, and making one file that is synced to the disk.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, bail, ensure};
use serde::Deserialize;

/// Long enough for the slowest start that is still worth a figure.
const PATIENCE: Duration = Duration::from_secs(60);

#[derive(Deserialize)]
struct Budgets {
    ready: Budget,
}

#[derive(Deserialize)]
struct Budget {
    bar_ms: u32,
    fails_at: f64,
}

/// Starts `binary demo` `runs` times and prints the median beside the floor.
///
/// # Errors
/// When a start does not become ready, or the median passes the bar by more than the budget allows.
pub fn measure(binary: &Path, runs: usize, budgets: &Path) -> anyhow::Result<()> {
    ensure!(runs > 0, "at least one run is needed");
    let text = fs::read_to_string(budgets).with_context(|| format!("cannot read {}", budgets.display()))?;
    let Budgets { ready: budget } = toml::from_str(&text).context("budgets.toml")?;
    let scratch = Scratch::new()?;
    let (mut floors, mut starts) = (Vec::new(), Vec::new());
    for run in 0..runs {
        let folder = scratch.0.join(run.to_string());
        fs::create_dir(&folder)?;
        floors.push(floor(binary, &folder)?);
        starts.push(start(binary, &folder.join("data"))?);
    }
    let (floor, ready) = (median(floors), median(starts));
    let bar = Duration::from_millis(budget.bar_ms.into());
    println!("ready: {ready:.1?}, floor {floor:.1?}, bar {bar:.1?} (median of {runs})");
    let limit = bar.mul_f64(budget.fails_at);
    ensure!(ready <= limit, "ready after {ready:.1?}, more than {limit:.1?}");
    Ok(())
}

/// A folder of our own that goes when the measure ends.
struct Scratch(PathBuf);

impl Scratch {
    fn new() -> anyhow::Result<Self> {
        let path = std::env::temp_dir().join(format!("waymark-ready-{}", std::process::id()));
        fs::create_dir(&path).with_context(|| format!("cannot make {}", path.display()))?;
        Ok(Scratch(path))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // Left-over files in the temp folder are no reason to fail a measure.
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A started service, ended when the value goes.
struct Service(Child);

impl Drop for Service {
    fn drop(&mut self) {
        // It may have ended by itself; `start` has told so by then.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
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

fn start(binary: &Path, data: &Path) -> anyhow::Result<Duration> {
    let address = TcpListener::bind("127.0.0.1:0")?.local_addr()?;
    let began = Instant::now();
    let child = Command::new(binary)
        .args(["demo", "--listen", &address.to_string(), "--data"])
        .arg(data)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    let mut service = Service(child);
    while began.elapsed() < PATIENCE {
        if is_ready(address) {
            return Ok(began.elapsed());
        }
        if let Some(status) = service.0.try_wait()? {
            bail!("demo ended before it was ready: {status}");
        }
        pause();
    }
    bail!("not ready after {PATIENCE:?}");
}

#[expect(clippy::disallowed_methods, reason = "asks again until another process answers; nothing here can be due")]
fn pause() {
    std::thread::sleep(Duration::from_millis(2));
}

fn is_ready(address: SocketAddr) -> bool {
    let ask = || -> std::io::Result<bool> {
        let mut stream = TcpStream::connect(address)?;
        stream.set_read_timeout(Some(Duration::from_secs(2)))?;
        write!(stream, "GET /health/ready HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n")?;
        let mut status = [0; 12];
        stream.read_exact(&mut status)?;
        Ok(&status == b"HTTP/1.1 200")
    };
    ask().unwrap_or(false)
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}
