//! A real mail server in a process of its own that keeps every letter it takes, and tells of each before it answers.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use anyhow::{Context, ensure};
use serde::Deserialize;

const SERVER: &str = include_str!("relay.py");
/// Far longer than the server ever takes to say something.
const PATIENCE: Duration = Duration::from_secs(30);

/// How the server meets letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// Keeps them and says so.
    Take,
    /// Puts letters with a calendar file off.
    Defer,
    /// Keeps letters with a calendar file and never says so.
    Hold,
}

/// One copy of a letter that the server has.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Copy {
    /// Its Message-ID.
    pub id: String,
    /// UID and SEQUENCE of each entry of its calendar files.
    pub entries: Vec<(String, i64)>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Line {
    Copy(Copy),
    Manner { manner: String },
}

/// The running server; it ends with the value.
pub struct Relay {
    child: Child,
    typed: ChildStdin,
    lines: Receiver<String>,
    copies: Vec<Copy>,
}

impl Drop for Relay {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A port that is free now.
pub fn free_port() -> anyhow::Result<u16> {
    Ok(TcpListener::bind("127.0.0.1:0")?.local_addr()?.port())
}

impl Relay {
    /// Opens a server that takes letters; `python` has the packages of `tests/requirements.txt`.
    pub fn open(python: &Path, folder: &Path, port: u16) -> anyhow::Result<Self> {
        fs::create_dir_all(folder)?;
        let mut child = Command::new(python)
            .args(["-c", SERVER])
            .arg(folder)
            .arg(port.to_string())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .with_context(|| format!("cannot start {}", python.display()))?;
        let typed = child.stdin.take().context("no way to type")?;
        let told = BufReader::new(child.stdout.take().context("no way to listen")?);
        let (tell, lines) = channel();
        thread::spawn(move || told.lines().map_while(Result::ok).try_for_each(|line| tell.send(line)));
        let mut relay = Self { child, typed, lines, copies: Vec::new() };
        relay.until_manner()?;
        Ok(relay)
    }

    /// Changes the manner; from now on letters are met so.
    pub fn meet(&mut self, manner: Manner) -> anyhow::Result<()> {
        let word = match manner {
            Manner::Take => "take",
            Manner::Defer => "defer",
            Manner::Hold => "hold",
        };
        writeln!(self.typed, "{word}")?;
        ensure!(self.until_manner()? == word, "the mail server keeps its manner");
        Ok(())
    }

    fn until_manner(&mut self) -> anyhow::Result<String> {
        loop {
            match self.line(PATIENCE)?.context("the mail server says nothing")? {
                Line::Copy(copy) => self.copies.push(copy),
                Line::Manner { manner } => return Ok(manner),
            }
        }
    }

    /// The next copy of a letter, if one comes.
    pub fn next(&mut self, patience: Duration) -> anyhow::Result<Option<Copy>> {
        match self.line(patience)? {
            Some(Line::Copy(copy)) => {
                self.copies.push(copy.clone());
                Ok(Some(copy))
            }
            Some(Line::Manner { .. }) | None => Ok(None),
        }
    }

    fn line(&mut self, patience: Duration) -> anyhow::Result<Option<Line>> {
        let line = self.lines.recv_timeout(patience).ok();
        line.map(|line| serde_json::from_str(&line).with_context(|| line.clone())).transpose()
    }

    /// Every copy so far, by Message-ID.
    pub fn copies(&mut self) -> anyhow::Result<BTreeMap<String, Vec<Copy>>> {
        while self.next(Duration::ZERO)?.is_some() {}
        let mut found: BTreeMap<String, Vec<Copy>> = BTreeMap::new();
        for copy in &self.copies {
            found.entry(copy.id.clone()).or_default().push(copy.clone());
        }
        Ok(found)
    }
}
