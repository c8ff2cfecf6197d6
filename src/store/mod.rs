//! FLOOR 2, storage: the only place with diesel. One `Store` serves both engines; queries are free functions in
//! one file per noun. Nothing here knows a page, a rule of the program or a letter.

pub mod absences;
pub mod accounts;
pub mod acts;
pub mod alike;
pub mod audit;
pub mod certificates;
pub mod columns;
pub mod concerns;
pub mod connection;
pub mod consents;
pub mod counties;
pub mod courses;
pub mod deletions;
pub mod devices;
pub mod dialect;
pub mod drafts;
pub mod emergency_plans;
pub mod error;
pub mod facts;
pub mod families;
pub mod files;
pub mod gear;
pub mod gear_stock;
pub mod grants;
pub mod held;
pub mod imports;
pub mod incidents;
pub mod invitations;
pub mod kept_health;
pub mod leases;
pub mod links;
pub mod machine_log;
pub mod machines;
pub mod merges;
pub mod migrations;
pub mod name_words;
pub mod outbox;
pub mod paper_reminders;
pub mod patterns;
pub mod places;
pub mod point_lists;
pub mod programs;
pub mod proofs;
pub mod questions;
pub mod recalls;
pub mod registrations;
pub mod reminders;
pub mod reports;
pub mod request_keys;
pub mod retention;
pub mod rule_drafts;
pub mod rule_reviews;
pub mod rulebooks;
pub mod schema;
pub mod seals;
pub mod seat_limits;
pub mod second_steps;
pub mod session_changes;
pub mod session_machines;
pub mod sessions;
pub mod sign_ins;
pub mod site_papers;
pub mod sites;
pub mod staff;
pub mod team;
pub mod texts;
pub mod voluntary;
mod writer;
pub mod wrong_tries;

use std::sync::Arc;
use std::time::Duration;

use diesel::r2d2::{Pool, PooledConnection};

pub use connection::{AnyConn, alone};
pub use error::{Key, StoreError, Transient};

use crate::settings::{DatabaseUrl, Engine};
use connection::{Opener, Purpose, begin, keep, savepoint, undo_to};
use writer::{Writer, run_guarded};

/// Reader connections of an SQLite store.
pub const LITE_READERS: u32 = 4;
/// Connections of a PostgreSQL store.
pub const PG_CONNECTIONS: u32 = 8;
/// How often a PostgreSQL write is tried when another transaction wins.
const PG_TRIES: u32 = 4;

/// The database, ready to serve. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    door: Arc<Door>,
}

enum Door {
    Lite { readers: Pool<Opener>, writer: Writer, _lock: Option<std::fs::File> },
    Pg { pool: Pool<Opener> },
}

/// How a process uses the database.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tenancy {
    /// Serves pages and runs jobs: alone on an SQLite file.
    Serving,
    /// A command beside a server: one short write.
    Beside,
}

impl Store {
    /// Opens a migrated database. A schema that asks for a newer program is refused.
    pub fn open(url: &DatabaseUrl, tenancy: Tenancy) -> Result<Self, StoreError> {
        let lock = match url.file() {
            Some(path) if tenancy == Tenancy::Serving => Some(lock_file(&path)?),
            _ => None,
        };
        migrations::refuse_newer(&mut connection::open(url, Purpose::Write)?)?;
        let door = match url.engine() {
            Engine::Sqlite => Door::Lite {
                readers: pool(url, Purpose::Read, LITE_READERS)?,
                writer: Writer::start(url)?,
                _lock: lock,
            },
            Engine::Postgres => Door::Pg { pool: pool(url, Purpose::Write, PG_CONNECTIONS)? },
        };
        Ok(Self { door: Arc::new(door) })
    }

    /// How many reads can run at once.
    pub fn readers(&self) -> u32 {
        match &*self.door {
            Door::Lite { .. } => LITE_READERS,
            Door::Pg { .. } => PG_CONNECTIONS,
        }
    }

    /// Whether several processes may serve this database together.
    pub fn is_shared(&self) -> bool {
        matches!(&*self.door, Door::Pg { .. })
    }

    /// Runs a read on a pooled connection. On SQLite all of it sees one state of the database, and takes its lock once.
    pub fn read<T, E: From<StoreError>>(&self, work: impl FnOnce(&mut AnyConn) -> Result<T, E>) -> Result<T, E> {
        match &*self.door {
            Door::Lite { readers, .. } => {
                let conn = readers.get().map_err(|_| StoreError::Busy(None))?;
                let mut snapshot = Snapshot::of(conn)?;
                work(&mut snapshot.0)
            }
            Door::Pg { pool } => work(&mut *pool.get().map_err(|_| StoreError::Busy(None))?),
        }
    }

    /// Runs a named transaction. `work` may run again, so it touches only the connection and plain values:
    /// no mail, no files, no clock inside. An `Err` undoes everything it did.
    pub fn write<T, E>(
        &self,
        name: &'static str,
        work: impl Fn(&mut AnyConn) -> Result<T, E> + Send + 'static,
    ) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StoreError> + Transient + Send + 'static,
    {
        match &*self.door {
            Door::Lite { writer, .. } => writer.write(name, work),
            Door::Pg { pool } => write_with_retry(pool, name, &work),
        }
    }
}

/// A connection in a transaction that only reads, which ends with the value, whatever happened.
struct Snapshot(PooledConnection<Opener>);

impl Snapshot {
    fn of(mut conn: PooledConnection<Opener>) -> Result<Self, StoreError> {
        savepoint(&mut conn)?;
        Ok(Self(conn))
    }
}

impl Drop for Snapshot {
    fn drop(&mut self) {
        // Nothing was written. A connection that cannot end its transaction says so at the next read.
        let _ = undo_to(&mut self.0, 0);
    }
}

fn pool(url: &DatabaseUrl, purpose: Purpose, size: u32) -> Result<Pool<Opener>, StoreError> {
    Pool::builder()
        .max_size(size)
        .min_idle(Some(1))
        .test_on_check_out(url.engine() == Engine::Postgres)
        .connection_timeout(Duration::from_secs(5))
        .build(Opener { url: url.clone(), purpose })
        .map_err(|_| StoreError::Busy(None))
}

/// One server per SQLite file: the lock is the operating system's and ends with the process.
fn lock_file(path: &std::path::Path) -> Result<std::fs::File, StoreError> {
    let mut name = path.as_os_str().to_owned();
    name.push(".lock");
    let file = std::fs::OpenOptions::new().create(true).truncate(false).write(true).open(name)?;
    file.try_lock().map_err(|_| StoreError::InUse)?;
    Ok(file)
}

fn write_with_retry<T, E: From<StoreError> + Transient>(
    pool: &Pool<Opener>,
    name: &'static str,
    work: &impl Fn(&mut AnyConn) -> Result<T, E>,
) -> Result<T, E> {
    for attempt in 1.. {
        let mut conn = pool.get().map_err(|_| StoreError::Busy(None))?;
        begin(&mut conn)?;
        let outcome = run_guarded(name, &mut conn, work).and_then(|value| {
            undo_to(&mut conn, 1)?;
            keep(&mut conn)?;
            Ok(value)
        });
        match outcome {
            Ok(value) => return Ok(value),
            Err(error) => {
                undo_to(&mut conn, 0)?;
                drop(conn);
                if attempt >= PG_TRIES || !error.is_transient() {
                    return Err(error);
                }
                pause(Duration::from_millis(u64::from(attempt) * 15 + jitter()));
            }
        }
    }
    unreachable!("the loop ends by returning")
}

#[expect(
    clippy::disallowed_methods,
    reason = "a lost race is tried again after a few milliseconds, on a blocking thread"
)]
fn pause(time: Duration) {
    std::thread::sleep(time);
}

/// A few milliseconds that differ between threads, so that two losers do not meet again.
fn jitter() -> u64 {
    u64::from(rand::random::<u8>()) / 16
}
