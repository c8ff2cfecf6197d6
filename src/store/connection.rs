//! How a database is opened, on both engines: the URL decides. Nothing here knows a table.

use std::path::PathBuf;

use diesel::connection::{AnsiTransactionManager, SimpleConnection, TransactionManager};
use diesel::{Connection, PgConnection, SqliteConnection};

use super::error::StoreError;

/// A connection to either engine; one query text serves both.
#[derive(diesel::MultiConnection)]
pub enum AnyConn {
    /// PostgreSQL.
    Pg(PgConnection),
    /// SQLite. Listed last because its own URL parser takes any text.
    Lite(SqliteConnection),
}

/// Which database, decided once from its URL.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DatabaseUrl {
    /// `sqlite:PATH`.
    Lite(PathBuf),
    /// `postgres://...`, kept whole; may hold a password, so `Display` never shows it.
    Pg(PgUrl),
}

/// A PostgreSQL URL whose `Debug` hides it.
#[derive(Clone, PartialEq, Eq)]
pub struct PgUrl(String);

impl std::fmt::Debug for PgUrl {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("PgUrl(hidden)")
    }
}

impl DatabaseUrl {
    /// Reads `sqlite:PATH`, `postgres://` and `postgresql://`; any other scheme is refused with words.
    pub fn parse(text: &str) -> Result<Self, StoreError> {
        if let Some(path) = text.strip_prefix("sqlite:") {
            let path = path.strip_prefix("//").unwrap_or(path);
            if path.is_empty() || path == ":memory:" {
                return Err(StoreError::Url("an SQLite database needs a file path after `sqlite:`"));
            }
            return Ok(Self::Lite(PathBuf::from(path)));
        }
        if text.starts_with("postgres://") || text.starts_with("postgresql://") {
            return Ok(Self::Pg(PgUrl(text.to_owned())));
        }
        Err(StoreError::Url("the database URL must begin with `sqlite:` or `postgres://`"))
    }
    /// The engine's name, for people.
    pub fn engine(&self) -> &'static str {
        match self {
            Self::Lite(_) => "SQLite",
            Self::Pg(_) => "PostgreSQL",
        }
    }
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
    match url {
        DatabaseUrl::Pg(PgUrl(url)) => {
            let mut conn = PgConnection::establish(url).map_err(StoreError::Unreachable)?;
            conn.batch_execute("SET TIME ZONE 'UTC'; SET lock_timeout = '10s'; SET statement_timeout = '60s'")?;
            Ok(AnyConn::Pg(conn))
        }
        DatabaseUrl::Lite(path) => {
            let mut conn = SqliteConnection::establish(&path.to_string_lossy()).map_err(StoreError::Unreachable)?;
            // The busy time-out comes first because switching to WAL takes a lock.
            conn.batch_execute("PRAGMA busy_timeout=5000; PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL")?;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_1_an_unknown_database_scheme_is_refused_with_words() {
        for bad in ["mysql://x", "waymark.db", "", "sqlite:", "sqlite::memory:"] {
            assert!(matches!(DatabaseUrl::parse(bad), Err(StoreError::Url(_))), "{bad}");
        }
        assert_eq!(DatabaseUrl::parse("sqlite:a.db").map(|u| u.engine()).ok(), Some("SQLite"));
        let pg = DatabaseUrl::parse("postgres://u:secret@h/d").expect("a PostgreSQL URL");
        assert!(!format!("{pg:?}").contains("secret"));
    }
}
