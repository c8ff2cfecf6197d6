//! Asks the TOML file and the environment for one setting at a time, and keeps every fault.
//!
//! The environment wins over the file: `server.listen` is `WAYMARK_SERVER_LISTEN`. A name that
//! nobody asked for is a fault too, so that a slip of the pen is never ignored.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use super::{Faults, Secret};

/// Names of the environment that are not settings of the file.
const OWN_NAMES: [&str; 2] = ["WAYMARK_SETTINGS", "WAYMARK_DATA"];

pub(super) struct Reader {
    file: PathBuf,
    written: BTreeMap<String, toml::Value>,
    environment: BTreeMap<String, String>,
    asked: BTreeSet<String>,
    faults: Vec<String>,
}

impl Reader {
    /// Opens `waymark.toml` in the data folder, or the file that `WAYMARK_SETTINGS` names.
    pub(super) fn open(data: &Path, environment: BTreeMap<String, String>) -> Result<Self, Faults> {
        let named = environment.get("WAYMARK_SETTINGS").map(PathBuf::from);
        let file = named.clone().unwrap_or_else(|| data.join("waymark.toml"));
        let told = |why: &dyn Display| Faults(vec![format!("{}: {why}", file.display())]);
        let text = match std::fs::read_to_string(&file) {
            Ok(text) => text,
            Err(gone) if named.is_none() && gone.kind() == std::io::ErrorKind::NotFound => String::new(),
            Err(fault) => return Err(told(&format_args!("cannot be read: {fault}"))),
        };
        let table: toml::Table =
            text.parse().map_err(|fault: toml::de::Error| told(&format_args!("is not TOML: {}", fault.message())))?;
        let mut written = BTreeMap::new();
        flatten("", table, &mut written);
        Ok(Self { file, written, environment, asked: BTreeSet::new(), faults: Vec::new() })
    }

    /// Writes down a fault of one setting.
    pub(super) fn fault(&mut self, name: &str, why: impl Display) {
        self.faults.push(format!("{name} ({}): {why}", in_environment(name)));
    }

    /// The value, or nothing and a fault.
    pub(super) fn keep<T>(&mut self, read: Result<T, Faults>) -> Option<T> {
        read.map_err(|faults| self.faults.extend(faults.0)).ok()
    }

    /// A text that is not empty.
    pub(super) fn text(&mut self, name: &str) -> Option<String> {
        self.asked.insert(name.to_owned());
        let from_environment = self.environment.get(&in_environment(name)).cloned();
        let text = from_environment.or_else(|| match self.written.get(name)? {
            toml::Value::String(text) => Some(text.clone()),
            toml::Value::Array(items) => Some(joined(items)),
            other => Some(other.to_string()),
        })?;
        if text.trim().is_empty() {
            self.fault(name, "is empty; leave it out or fill it");
            return None;
        }
        Some(text)
    }

    /// A path, as written.
    pub(super) fn path(&mut self, name: &str) -> Option<PathBuf> {
        self.text(name).map(PathBuf::from)
    }

    /// A value that parses; `shape` says in words what would.
    pub(super) fn parsed<T: FromStr>(&mut self, name: &str, shape: &str) -> Option<T> {
        let text = self.text(name)?;
        let value = text.trim().parse().ok();
        if value.is_none() {
            self.fault(name, format_args!("must be {shape}"));
        }
        value
    }

    /// A whole number within bounds.
    pub(super) fn number<T>(&mut self, name: &str, default: T, bounds: RangeInclusive<T>) -> T
    where
        T: FromStr + PartialOrd + Display + Copy,
    {
        let shape = format!("a whole number from {} to {}", bounds.start(), bounds.end());
        match self.parsed::<T>(name, &shape) {
            Some(value) if !bounds.contains(&value) => {
                self.fault(name, format_args!("must be {shape}"));
                default
            }
            Some(value) => value,
            None => default,
        }
    }

    /// `true` or `false`.
    pub(super) fn flag(&mut self, name: &str, default: bool) -> bool {
        self.parsed(name, "true or false").unwrap_or(default)
    }

    /// A list: a TOML array, or words with commas between them.
    pub(super) fn list<T: FromStr>(&mut self, name: &str, shape: &str) -> Vec<T> {
        let Some(text) = self.text(name) else {
            return Vec::new();
        };
        let read: Result<Vec<T>, T::Err> = text.split(',').map(|item| item.trim().parse()).collect();
        read.unwrap_or_else(|_| {
            self.fault(name, format_args!("must be a list of {shape}"));
            Vec::new()
        })
    }

    /// A secret that lies in a file of its own, at least `least` bytes long.
    pub(super) fn secret_file(&mut self, name: &str, least: usize) -> Option<Secret> {
        let path = self.path(name)?;
        let read = Secret::read(&path, least);
        self.keep(read)
    }

    /// Ends the reading: all faults together, with the names that nobody knows.
    pub(super) fn finish(mut self) -> Result<(), Faults> {
        for name in self.written.keys().filter(|name| !self.asked.contains(*name)) {
            self.faults.push(format!("{}: there is no setting called {name}", self.file.display()));
        }
        let known: BTreeSet<String> = self.asked.iter().map(|name| in_environment(name)).collect();
        for name in self.environment.keys() {
            if !known.contains(name) && !OWN_NAMES.contains(&name.as_str()) {
                self.faults.push(format!("environment: there is no setting called {name}"));
            }
        }
        if self.faults.is_empty() { Ok(()) } else { Err(Faults(self.faults)) }
    }
}

fn in_environment(name: &str) -> String {
    format!("WAYMARK_{}", name.to_uppercase().replace('.', "_"))
}

fn joined(items: &[toml::Value]) -> String {
    let words: Vec<String> =
        items.iter().map(|item| item.as_str().map_or_else(|| item.to_string(), str::to_owned)).collect();
    words.join(",")
}

fn flatten(prefix: &str, table: toml::Table, into: &mut BTreeMap<String, toml::Value>) {
    for (name, value) in table {
        let path = if prefix.is_empty() { name } else { format!("{prefix}.{name}") };
        match value {
            toml::Value::Table(inner) => flatten(&path, inner, into),
            other => drop(into.insert(path, other)),
        }
    }
}
