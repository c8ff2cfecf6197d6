//! A real mail server on this machine, in a process of its own: PyPI aiosmtpd, each letter a file in a folder.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use super::database::scratch;
use super::python;

/// Takes letters; refuses `later...` with 450 and `never...` with 550.
const SERVER: &str = r"
import sys, asyncio, itertools, pathlib
from aiosmtpd.smtp import SMTP
folder, port = pathlib.Path(sys.argv[1]), int(sys.argv[2])
numbers = itertools.count(len(list(folder.iterdir())))
class Sink:
    async def handle_RCPT(self, server, session, envelope, address, options):
        if address.startswith('later'): return '450 4.2.0 not now'
        if address.startswith('never'): return '550 5.1.1 nobody'
        envelope.rcpt_tos.append(address)
        return '250 OK'
    async def handle_DATA(self, server, session, envelope):
        path = folder / f'{next(numbers):06}.eml'
        path.write_bytes(envelope.original_content)
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

impl RelayHouse {
    /// A free port and an empty folder. Nothing listens yet.
    pub fn closed() -> Self {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = listener.local_addr().expect("an address").port();
        Self { port, folder: scratch("relay") }
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
