//! The program as an operator runs it: the built binary in a process of its own, with its own folder and database.

use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use super::browser::Browser;
use super::database::{TestDatabase, scratch};

/// The binary with these arguments and an empty environment.
pub fn waymark(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waymark"));
    command.args(arguments).env_clear();
    command
}

/// Exit code, standard output and standard error.
pub type Ended = (Option<i32>, String, String);

/// How a command ended.
pub fn ended(output: Output) -> Ended {
    let Output { status, stdout, stderr } = output;
    (status.code(), String::from_utf8_lossy(&stdout).into_owned(), String::from_utf8_lossy(&stderr).into_owned())
}

/// Runs the binary to its end.
pub fn run(arguments: &[&str]) -> Ended {
    ended(waymark(arguments).output().expect("the program starts"))
}

/// A folder with keys and a seeded database, and no people.
pub struct Installed {
    pub folder: PathBuf,
    pub database: TestDatabase,
}

impl Installed {
    /// On the run's engine, with approved consent texts.
    pub fn seeded() -> Self {
        let installed = Self::on(TestDatabase::migrated());
        let seeded = installed.run(&["seed", "--approved-by", "Counsel of the tests", "--approved-on", "2026-01-15"]);
        assert_eq!(seeded.0, Some(0), "{seeded:?}");
        installed
    }

    /// Keys beside a database that is there.
    pub fn on(database: TestDatabase) -> Self {
        let installed = Self { folder: scratch("installed"), database };
        let drawn = installed.run(&["doctor", "--draw-keys"]);
        assert_eq!(drawn.0, Some(0), "{drawn:?}");
        installed
    }

    /// The binary, told where it works.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = waymark(arguments);
        command.arg("--data").arg(&self.folder).arg("--database").arg(&self.database.text);
        command
    }

    /// Runs a command to its end.
    pub fn run(&self, arguments: &[&str]) -> Ended {
        ended(self.command(arguments).stdin(Stdio::null()).output().expect("the program starts"))
    }

    /// Starts `serve` on a free port; returns when it serves.
    pub fn serve(&self) -> Running {
        let free = TcpListener::bind("127.0.0.1:0").and_then(|free| free.local_addr()).expect("a free port");
        let mut running = self.start(&["serve", "--listen", &free.to_string()]);
        running.wait_for("serving");
        running.url = format!("http://{free}");
        running
    }

    /// Starts a command that goes on.
    pub fn start(&self, arguments: &[&str]) -> Running {
        Self::begin(self.command(arguments))
    }

    /// The same on the database that the arguments name.
    pub fn start_elsewhere(&self, arguments: &[&str]) -> Running {
        let mut command = waymark(arguments);
        command.arg("--data").arg(&self.folder);
        Self::begin(command)
    }

    fn begin(mut command: Command) -> Running {
        let mut child = command.stderr(Stdio::piped()).spawn().expect("the program starts");
        let log = BufReader::new(child.stderr.take().expect("a log"));
        let (tell, lines) = channel();
        std::thread::spawn(move || log.lines().map_while(Result::ok).all(|line| tell.send(line).is_ok()));
        Running { child, url: String::new(), lines, log: Vec::new() }
    }

    /// The letters that were written as files.
    pub fn letters(&self) -> Vec<String> {
        let Ok(folder) = std::fs::read_dir(self.folder.join("mail")) else { return Vec::new() };
        let paths = folder.map(|entry| entry.expect("an entry").path());
        paths.filter(|path| is_letter(path)).map(|path| std::fs::read_to_string(path).expect("a letter")).collect()
    }
}

fn is_letter(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == "eml")
}

impl Drop for Installed {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// A process that goes on; killed when dropped.
pub struct Running {
    child: Child,
    pub url: String,
    lines: Receiver<String>,
    log: Vec<String>,
}

impl Running {
    /// Somebody who has not signed in.
    pub fn stranger(&self) -> Browser {
        Browser::new(&self.url)
    }

    /// Reads the log until a line holds these words.
    #[track_caller]
    pub fn wait_for(&mut self, words: &str) {
        loop {
            match self.lines.recv_timeout(Duration::from_secs(60)) {
                Ok(line) => self.log.push(line),
                Err(_) => panic!("{words:?} is not in the log:\n{}", self.log.join("\n")),
            }
            if self.log.last().is_some_and(|line| line.contains(words)) {
                return;
            }
        }
    }

    /// Reads the log until each of these stands in it, in whatever order.
    #[track_caller]
    pub fn wait_for_each(&mut self, all: &[&str]) {
        for words in all {
            if !self.log.iter().any(|line| line.contains(words)) {
                self.wait_for(words);
            }
        }
    }

    /// Ends it by SIGTERM; gives how it ended and its whole log.
    pub fn stop(mut self) -> (ExitStatus, Vec<String>) {
        let told = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status().expect("kill runs");
        assert!(told.success());
        let ended = self.child.wait().expect("the program ends");
        let mut log = std::mem::take(&mut self.log);
        log.extend(self.lines.iter());
        (ended, log)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
