//! The rows that a storm left behind, read from the base tables with queries of its own: nothing here knows the service.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use anyhow::{Context, bail, ensure};
use chrono::NaiveDateTime;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};

use super::browser::pause;
use super::history::Moment;

/// A session with its counters.
#[derive(Clone, Debug, Deserialize)]
pub struct Session {
    pub reference: String,
    pub capacity: i64,
    pub seats_taken: i64,
    pub waiting: i64,
}

/// A registration.
#[derive(Clone, Debug, Deserialize)]
pub struct Place {
    pub reference: String,
    pub session: String,
    /// Given and family name.
    pub child: String,
    /// The guardian's address.
    pub mailbox: String,
    pub state: String,
    pub place: Option<i64>,
    /// 1 when it waits for an answer.
    pub waits: i64,
    /// 1 when the family has shown that its address is its own.
    pub is_shown: i64,
}

/// A step of a registration, in the order in which steps were written.
#[derive(Clone, Debug, Deserialize)]
pub struct Step {
    pub id: i64,
    pub reference: String,
    pub state: String,
    pub reason: String,
    #[serde(deserialize_with = "moment")]
    pub at: Moment,
}

/// The answer that is kept for a key.
#[derive(Clone, Debug, Deserialize)]
pub struct Key {
    pub key: String,
    pub answer: String,
}

/// All that the judge reads.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    pub sessions: Vec<Session>,
    pub places: Vec<Place>,
    pub steps: Vec<Step>,
    pub keys: Vec<Key>,
}

const SESSIONS: &str = "SELECT reference, capacity, seats_taken, waiting FROM sessions ORDER BY id";
const PLACES: &str = "SELECT r.reference, s.reference AS session, c.given_name || ' ' || c.family_name AS child, \
    COALESCE(g.email, '') AS mailbox, r.state, r.place, CASE WHEN r.held_until IS NULL THEN 0 ELSE 1 END AS waits, \
    CASE WHEN a.email_confirmed_at IS NULL THEN 0 ELSE 1 END AS is_shown FROM registrations r \
    JOIN sessions s ON s.id = r.session_id JOIN riders c ON c.id = r.rider_id \
    JOIN guardians g ON g.id = r.guardian_id LEFT JOIN accounts a ON a.id = g.account_id ORDER BY r.id";
const STEPS: &str = "SELECT p.id, r.reference, p.state, p.reason, p.at FROM place_changes p \
    JOIN registrations r ON r.id = p.registration_id ORDER BY p.id";
const KEYS: &str = "SELECT request_key AS key, answer FROM request_keys ORDER BY id";

const OTHERS: &str = "SELECT COUNT(*) AS n FROM pg_stat_activity WHERE datname = current_database() \
    AND backend_type = 'client backend' AND pid <> pg_backend_pid()";

/// What binds the rows of a PostgreSQL database to their parents.
const TIES: &str = "SELECT c.conrelid::regclass::text AS child, c.confrelid::regclass::text AS parent, \
    CASE WHEN c.convalidated THEN 1 ELSE 0 END AS is_checked, \
    string_agg('p.' || quote_ident(b.attname) || ' = c.' || quote_ident(a.attname), ' AND ') AS same, \
    string_agg('c.' || quote_ident(a.attname) || ' IS NOT NULL', ' AND ') AS tied FROM pg_constraint c, \
    LATERAL unnest(c.conkey, c.confkey) AS k(own, of) \
    JOIN pg_attribute a ON a.attnum = k.own JOIN pg_attribute b ON b.attnum = k.of \
    WHERE c.contype = 'f' AND a.attrelid = c.conrelid AND b.attrelid = c.confrelid GROUP BY c.oid";

#[derive(Deserialize)]
struct Tie {
    child: String,
    parent: String,
    is_checked: i64,
    same: String,
    tied: String,
}

/// Prints what an SQLite file answers, a JSON object a row.
const LITE: &str = "
import json, sqlite3, sys
base = sqlite3.connect(sys.argv[1], timeout=30)
base.row_factory = sqlite3.Row
print(json.dumps([dict(row) for row in base.execute(sys.argv[2])]))
";

/// Runs statements on an SQLite file.
const LITE_CHANGE: &str = "
import sqlite3, sys
base = sqlite3.connect(sys.argv[1], timeout=30)
for statement in sys.argv[2:]:
    base.execute(statement)
base.commit()
";

/// The database of a storm, opened for reading when no service runs on it.
pub enum Database {
    /// An SQLite file.
    Lite(PathBuf),
    /// A PostgreSQL database, and the `psql` that reaches it.
    Pg(String, PathBuf),
}

impl Database {
    /// The database of a service.
    pub fn of(data: &Path, database: Option<&str>, psql: &Path) -> Self {
        match database {
            Some(url) => Self::Pg(url.to_owned(), psql.to_owned()),
            None => Self::Lite(data.join("waymark.sqlite")),
        }
    }

    /// Everything that the judge reads.
    ///
    /// # Errors
    /// A query fails.
    pub fn rows(&self) -> anyhow::Result<Rows> {
        self.wait_until_alone()?;
        Ok(Rows {
            sessions: self.ask(SESSIONS)?,
            places: self.ask(PLACES)?,
            steps: self.ask(STEPS)?,
            keys: self.ask(KEYS)?,
        })
    }

    /// A PostgreSQL server may still be at the last transaction of a service that was killed.
    fn wait_until_alone(&self) -> anyhow::Result<()> {
        let Self::Pg(..) = self else { return Ok(()) };
        for _ in 0..200 {
            let others: Vec<serde_json::Value> = self.ask(OTHERS)?;
            if others == [serde_json::json!({ "n": 0 })] {
                return Ok(());
            }
            pause(Duration::from_millis(50));
        }
        bail!("somebody else is at work in the database")
    }

    /// What the database says against itself: pages that are not sound, rows without their parents.
    ///
    /// # Errors
    /// A query fails.
    pub fn faults(&self) -> anyhow::Result<Vec<String>> {
        let mut faults = Vec::new();
        match self {
            Self::Lite(_) => {
                let said: Vec<serde_json::Value> = self.ask("PRAGMA integrity_check")?;
                if said != [serde_json::json!({ "integrity_check": "ok" })] {
                    faults.push(format!("integrity_check: {said:?}"));
                }
                let orphans: Vec<serde_json::Value> = self.ask("PRAGMA foreign_key_check")?;
                faults.extend(orphans.iter().map(|row| format!("foreign_key_check: {row}")));
            }
            Self::Pg(..) => {
                let ties: Vec<Tie> = self.ask(TIES)?;
                ensure!(ties.len() > 20, "only {} foreign keys were found", ties.len());
                for Tie { child, parent, is_checked, same, tied } in ties {
                    let orphans = format!(
                        "SELECT COUNT(*) AS n FROM {child} c WHERE {tied} AND NOT EXISTS (SELECT 1 FROM {parent} p WHERE {same})"
                    );
                    let counted: Vec<serde_json::Value> = self.ask(&orphans)?;
                    if is_checked != 1 || counted != [serde_json::json!({ "n": 0 })] {
                        faults.push(format!("{child} without {parent}: {counted:?}, checked {is_checked}"));
                    }
                }
            }
        }
        Ok(faults)
    }

    /// Changes rows while no service runs.
    ///
    /// # Errors
    /// A statement fails.
    pub fn change(&self, statements: &[&str]) -> anyhow::Result<()> {
        self.wait_until_alone()?;
        let mut command = match self {
            Self::Lite(file) => {
                let mut python = Command::new("python3");
                python.args(["-c", LITE_CHANGE]).arg(file).args(statements);
                python
            }
            Self::Pg(url, psql) => {
                let mut changed = Command::new(psql);
                changed.args(["-XAtq", "-v", "ON_ERROR_STOP=1", url, "-c", &statements.join("; ")]);
                changed
            }
        };
        let said = command.stdin(Stdio::null()).output().context("python3 or psql cannot be started")?;
        ensure!(said.status.success(), "{statements:?}: {}", String::from_utf8_lossy(&said.stderr));
        Ok(())
    }

    /// What a query answers.
    ///
    /// # Errors
    /// It fails.
    pub fn ask<T: DeserializeOwned>(&self, query: &str) -> anyhow::Result<Vec<T>> {
        let mut command = match self {
            Self::Lite(file) => {
                let mut python = Command::new("python3");
                python.args(["-c", LITE]).arg(file).arg(query);
                python
            }
            Self::Pg(url, psql) => {
                let mut asked = Command::new(psql);
                let json = format!("SELECT COALESCE(json_agg(t), '[]') FROM ({query}) t");
                asked.args(["-XAtq", url, "-c", &json]);
                asked
            }
        };
        let said = command.stdin(Stdio::null()).output().context("python3 or psql cannot be started")?;
        ensure!(said.status.success(), "{query}: {}", String::from_utf8_lossy(&said.stderr));
        serde_json::from_slice(&said.stdout).with_context(|| query.to_owned())
    }
}

fn moment<'de, D: Deserializer<'de>>(from: D) -> Result<Moment, D::Error> {
    let text = String::deserialize(from)?.replace('T', " ");
    let read = NaiveDateTime::parse_from_str(&text, "%Y-%m-%d %H:%M:%S%.f").map_err(serde::de::Error::custom)?;
    Ok(read.and_utc().timestamp_micros())
}
