//! How a database is opened, on both engines: the URL decides. Nothing here knows a table.

use diesel::connection::{AnsiTransactionManager, SimpleConnection, TransactionManager};
use diesel::{Connection, PgConnection, SqliteConnection};

use super::error::StoreError;
use crate::settings::{DatabaseUrl, Engine};

/// A connection to either engine; one query text serves both.
#[derive(diesel::MultiConnection)]
pub enum AnyConn {
    /// PostgreSQL.
    Pg(PgConnection),
    /// SQLite. Listed last because its own URL parser takes any text.
    Lite(SqliteConnection),
}

/// What a connection is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Reading pages; on SQLite writes are refused by the engine.
    Read,
    /// Writing, or both on PostgreSQL.
    Write,
    /// Changing the tables: on SQLite foreign keys are off and checked before COMMIT.
    Migrate,
}

/// Opens one connection.
pub fn open(url: &DatabaseUrl, purpose: Purpose) -> Result<AnyConn, StoreError> {
    match url.engine() {
        Engine::Postgres => {
            let mut conn = PgConnection::establish(url.address()).map_err(StoreError::Unreachable)?;
            conn.batch_execute("SET TIME ZONE 'UTC'; SET lock_timeout = '10s'; SET statement_timeout = '60s'")?;
            Ok(AnyConn::Pg(conn))
        }
        Engine::Sqlite => {
            let mut conn = SqliteConnection::establish(url.address()).map_err(StoreError::Unreachable)?;
            // The busy time-out comes first because switching to WAL takes a lock.
            conn.batch_execute(
                "PRAGMA busy_timeout=5000; PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA secure_delete=ON",
            )?;
            conn.batch_execute(match purpose {
                Purpose::Migrate => "PRAGMA foreign_keys=OFF",
                Purpose::Write => "PRAGMA foreign_keys=ON",
                Purpose::Read => "PRAGMA foreign_keys=ON; PRAGMA query_only=ON",
            })?;
            Ok(AnyConn::Lite(conn))
        }
    }
}

type Manager = <AnyConn as Connection>::TransactionManager;

/// Begins the outermost transaction of a write. On SQLite it takes the write lock at once.
pub fn begin(conn: &mut AnyConn) -> Result<(), StoreError> {
    match conn {
        AnyConn::Lite(lite) => AnsiTransactionManager::begin_transaction_sql(lite, "BEGIN IMMEDIATE")?,
        AnyConn::Pg(_) => Manager::begin_transaction(conn)?,
    }
    Ok(())
}

/// Opens a savepoint inside a transaction.
pub fn savepoint(conn: &mut AnyConn) -> Result<(), StoreError> {
    Ok(Manager::begin_transaction(conn)?)
}

/// Ends the innermost transaction or savepoint and keeps its work.
pub fn keep(conn: &mut AnyConn) -> Result<(), StoreError> {
    Ok(Manager::commit_transaction(conn)?)
}

/// Undoes work until at most `depth` transactions are open; used after a failure or a panic at any depth.
pub fn undo_to(conn: &mut AnyConn, depth: u32) -> Result<(), StoreError> {
    while open_depth(conn)? > depth {
        Manager::rollback_transaction(conn)?;
    }
    Ok(())
}

/// Runs `work` in a savepoint of its own: an `Err` undoes what it did and nothing from before it.
pub fn alone<T, E: From<StoreError>>(
    conn: &mut AnyConn,
    work: impl FnOnce(&mut AnyConn) -> Result<T, E>,
) -> Result<T, E> {
    let depth = open_depth(conn)?;
    savepoint(conn)?;
    match work(conn) {
        Ok(value) => {
            undo_to(conn, depth + 1)?;
            keep(conn)?;
            Ok(value)
        }
        Err(error) => {
            undo_to(conn, depth)?;
            Err(error)
        }
    }
}

fn open_depth(conn: &mut AnyConn) -> Result<u32, StoreError> {
    let status = Manager::transaction_manager_status_mut(conn);
    Ok(status.transaction_depth().map_err(StoreError::from)?.map_or(0, |depth| depth.get()))
}

/// Opens pooled connections of one purpose.
#[derive(Debug)]
pub struct Opener {
    /// Which database.
    pub url: DatabaseUrl,
    /// What its connections are for.
    pub purpose: Purpose,
}

impl diesel::r2d2::ManageConnection for Opener {
    type Connection = AnyConn;
    type Error = StoreError;

    fn connect(&self) -> Result<AnyConn, StoreError> {
        open(&self.url, self.purpose)
    }
    fn is_valid(&self, conn: &mut AnyConn) -> Result<(), StoreError> {
        Ok(conn.batch_execute("SELECT 1")?)
    }
    fn has_broken(&self, conn: &mut AnyConn) -> bool {
        std::thread::panicking() || !matches!(open_depth(conn), Ok(0))
    }
}
