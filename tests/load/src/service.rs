//! The service under measure: `demo` on a fresh folder, ended when the value goes; and the folder.

use std::fs;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, bail};

/// Long enough for the slowest start that is still worth a figure.
const PATIENCE: Duration = Duration::from_secs(60);

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

/// A started service, ended when the value goes.
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

impl Service {
    /// Starts `demo` on a folder and waits until it is ready.
    pub fn start(binary: &Path, data: &Path) -> anyhow::Result<Self> {
        let address = TcpListener::bind("127.0.0.1:0")?.local_addr()?;
        let began = Instant::now();
        let child = Command::new(binary)
            .args(["demo", "--listen", &address.to_string(), "--data"])
            .arg(data)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        let mut service = Service { child, address, took: Duration::ZERO };
        while began.elapsed() < PATIENCE {
            if is_ready(address) {
                service.took = began.elapsed();
                return Ok(service);
            }
            if let Some(status) = service.child.try_wait()? {
                bail!("demo ended before it was ready: {status}");
            }
            pause();
        }
        bail!("not ready after {PATIENCE:?}");
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
