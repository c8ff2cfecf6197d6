//! The service under measure, ended without a warning when the value goes; and the folder that it works in.

use std::fs;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, bail};

/// Long enough for the slowest start that is still worth a figure.
const PATIENCE: Duration = Duration::from_secs(60);

/// How often one address may ask for what, by the names of the settings.
const RATES: [&str; 4] = ["PAGE_PER_MINUTE", "PAGE_BURST", "EXPORT_PER_MINUTE", "EXPORT_BURST"];

/// A folder of our own that goes when the measure ends.
pub struct Scratch(pub PathBuf);

impl Scratch {
    /// Named after the measure.
    pub fn new(measure: &str) -> anyhow::Result<Self> {
        let path = std::env::temp_dir().join(format!("waymark-{measure}-{}", std::process::id()));
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

/// A started service. When the value goes it is killed (SIGKILL) and waited for.
pub struct Service {
    child: Child,
    /// Where it answers.
    pub address: SocketAddr,
    /// From its start to the first good answer.
    pub took: Duration,
}

impl Drop for Service {
    fn drop(&mut self) {
        // It may have ended by itself; `start` has told so by then.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What is started, and where.
#[derive(Clone, Debug)]
pub struct Start {
    /// The built binary.
    pub binary: PathBuf,
    /// `demo` or `serve`.
    pub command: &'static str,
    /// Where it is to answer.
    pub address: SocketAddr,
    /// Its folder.
    pub data: PathBuf,
    /// Its PostgreSQL database; without one it has an SQLite file in its folder.
    pub database: Option<String>,
    /// The port of its mail relay on this machine; without one its letters are files in its folder.
    pub relay: Option<u16>,
    /// Whether one address may ask as often as it likes: a measure asks more in a minute than a person.
    pub is_unlimited: bool,
}

impl Start {
    /// A start on a free port.
    pub fn new(binary: &Path, command: &'static str, data: &Path, database: Option<&str>) -> anyhow::Result<Self> {
        let address = TcpListener::bind("127.0.0.1:0")?.local_addr()?;
        let (data, database) = (data.to_owned(), database.map(str::to_owned));
        Ok(Self { binary: binary.to_owned(), command, address, data, database, relay: None, is_unlimited: false })
    }

    /// The options that say where a command of the binary works.
    pub fn place(&self) -> Vec<String> {
        let mut place = vec!["--data".to_owned(), self.data.display().to_string()];
        place.extend(self.database.iter().flat_map(|url| ["--database".to_owned(), url.clone()]));
        place
    }
}

impl Service {
    /// Starts `demo` on a folder and waits until it is ready.
    pub fn start(binary: &Path, data: &Path) -> anyhow::Result<Self> {
        Self::open(&Start::new(binary, "demo", data, None)?)
    }

    /// Starts what is wanted, and does not wait.
    pub fn spawn(start: &Start) -> anyhow::Result<Self> {
        let address = start.address;
        let relay = start
            .relay
            .map(|port| [("HOST", "127.0.0.1".to_owned()), ("PORT", port.to_string()), ("TLS", "false".to_owned())]);
        let child = Command::new(&start.binary)
            .args([start.command, "--listen", &address.to_string()])
            .args(start.place())
            .envs(RATES.iter().filter(|_| start.is_unlimited).map(|name| (format!("WAYMARK_RATES_{name}"), "1000000")))
            .envs(relay.into_iter().flatten().map(|(name, value)| (format!("WAYMARK_MAIL_{name}"), value)))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .with_context(|| format!("cannot start {}", start.binary.display()))?;
        Ok(Service { child, address, took: Duration::ZERO })
    }

    /// Starts what is wanted and waits until it is ready.
    pub fn open(start: &Start) -> anyhow::Result<Self> {
        let (command, address) = (start.command, start.address);
        let began = Instant::now();
        let mut service = Self::spawn(start)?;
        while began.elapsed() < PATIENCE {
            if is_ready(address) {
                service.took = began.elapsed();
                return Ok(service);
            }
            if let Some(status) = service.child.try_wait()? {
                bail!("{command} ended before it was ready: {status}");
            }
            pause();
        }
        bail!("not ready after {PATIENCE:?}");
    }
}

impl Service {
    /// The most memory that it has held so far, in MB (VmHWM of its status).
    ///
    /// # Errors
    /// When it has ended, or on a system without `/proc`.
    pub fn peak_mb(&self) -> anyhow::Result<u64> {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).context("no VmHWM")?;
        let kilobytes: u64 = line.trim().trim_end_matches("kB").trim().parse()?;
        Ok(kilobytes / 1024)
    }
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
