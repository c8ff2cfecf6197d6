//! A real mail server on this machine, in a process of its own: PyPI aiosmtpd, each letter a file in a folder.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU16, Ordering};

use super::database::scratch;
use super::python;

/// Takes letters; refuses `later...` with 450 and `never...` with 550. Of a letter to `drops...` it cuts the connection when
/// it has it, the first time, and every time to `deaf...`. It never answers a letter to `hangs...`, and one byte a second to
/// `drips...`.
const SERVER: &str = r"
import sys, asyncio, email, itertools, pathlib
from aiosmtpd.smtp import SMTP
folder, port = pathlib.Path(sys.argv[1]), int(sys.argv[2])
numbers = itertools.count(len(list(folder.iterdir())))
dropped = set()
forever = 1_000_000
class Sink:
    async def handle_RCPT(self, server, session, envelope, address, options):
        if address.startswith('later'): return '450 4.2.0 not now'
        if address.startswith('never'): return '550 5.1.1 nobody'
        if address.startswith('drips'):
            for byte in itertools.cycle(b'250-wait\r\n'):
                server.transport.write(bytes([byte]))
                await asyncio.sleep(1)
        envelope.rcpt_tos.append(address)
        return '250 OK'
    async def handle_DATA(self, server, session, envelope):
        to, letter = envelope.rcpt_tos[0], envelope.original_content
        if to.startswith('hangs'): await asyncio.sleep(forever)
        path = folder / f'{next(numbers):06}.eml'
        path.write_bytes(letter)
        name = email.message_from_bytes(letter)['Message-ID']
        if to.startswith('deaf') or to.startswith('drops') and name not in dropped:
            dropped.add(name)
            server.transport.abort()
            await asyncio.sleep(forever)
        return '250 taken'
async def main():
    loop = asyncio.get_running_loop()
    server = await loop.create_server(lambda: SMTP(Sink(), hostname='relay.example'), '127.0.0.1', port)
    print('ready', flush=True)
    await server.serve_forever()
asyncio.run(main())
";

/// The place of a relay, whether it runs or not.
pub struct RelayHouse {
    pub port: u16,
    folder: PathBuf,
}

/// The running server; ends when dropped.
pub struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A port where nothing listens, and which no connection of another test is given.
pub fn free_port() -> u16 {
    static NEXT: AtomicU16 = AtomicU16::new(0);
    let first = 10_000 + u16::try_from(std::process::id() % 80).expect("a small number") * 250;
    std::iter::repeat_with(|| first + NEXT.fetch_add(1, Ordering::Relaxed) % 250)
        .find(|port| TcpListener::bind(("127.0.0.1", *port)).is_ok())
        .expect("a free port")
}

impl RelayHouse {
    /// A free port and an empty folder. Nothing listens yet, and no connection of another test is given this port.
    pub fn closed() -> Self {
        Self { port: free_port(), folder: scratch("relay") }
    }

    /// Opens the server; returns when it listens.
    pub fn open(&self) -> Running {
        let mut child = Command::new(python::interpreter())
            .args(["-c", SERVER])
            .arg(&self.folder)
            .arg(self.port.to_string())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the test interpreter of Python; tests/run makes it");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("a pipe")).read_line(&mut line).expect("a line");
        let running = Running(child);
        assert_eq!(line.trim(), "ready", "the mail server did not start");
        running
    }

    /// How often each Message-ID was taken.
    pub fn taken(&self) -> BTreeMap<String, usize> {
        let mut ids = BTreeMap::new();
        for file in std::fs::read_dir(&self.folder).expect("the folder") {
            *ids.entry(message_id(&file.expect("a file").path())).or_insert(0) += 1;
        }
        ids
    }
}

impl Drop for RelayHouse {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

fn message_id(path: &Path) -> String {
    let letter = std::fs::read_to_string(path).expect("a letter");
    let line = letter.lines().find(|line| line.starts_with("Message-ID: ")).expect("a Message-ID");
    line["Message-ID: <".len()..].trim_end().trim_end_matches('>').to_owned()
}
