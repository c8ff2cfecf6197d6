//! Brings a database to the schema this program knows, on both engines, by migrations of the same names.
//! Runs on a connection of its own, in one transaction, one process at a time.

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

use super::connection::{AnyConn, Purpose, begin, keep, open, undo_to};
use super::dialect::both;
use super::error::StoreError;
use super::name_words;
use super::schema::schema_level;
use crate::settings::DatabaseUrl;

const LITE: EmbeddedMigrations = embed_migrations!("migrations/sqlite");
const PG: EmbeddedMigrations = embed_migrations!("migrations/postgres");

/// The level of this program. A schema that needs a higher one is refused.
pub const PROGRAM_LEVEL: i64 = 1;

/// What a run of the migrations did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Migrated {
    /// Names of the migrations that ran, in order; empty when there was nothing to do.
    pub ran: Vec<String>,
}

/// Runs what is pending and writes what SQL alone cannot, then checks every foreign key before COMMIT.
pub fn migrate(url: &DatabaseUrl) -> Result<Migrated, StoreError> {
    in_one_transaction(url, |conn| {
        let done = run(conn, |harness| harness.run_all())?;
        name_words::write_missing(conn)?;
        Ok(done)
    })
}

/// Runs the next so many migrations and no more; for the tests that put old data under new tables.
pub fn migrate_next(url: &DatabaseUrl, count: usize) -> Result<Migrated, StoreError> {
    in_one_transaction(url, |conn| run(conn, |harness| (0..count).map(|_| harness.run_next()).collect()))
}

/// Undoes every migration, newest first, and runs all again; for the tests that prove each `down.sql`.
pub fn redo_all(url: &DatabaseUrl) -> Result<Migrated, StoreError> {
    in_one_transaction(url, |conn| {
        run(conn, |harness| harness.revert_all())?;
        run(conn, |harness| harness.run_all())
    })
}

/// Whether the database holds any table, ours or another program's.
pub fn has_tables(url: &DatabaseUrl) -> Result<bool, StoreError> {
    Ok(super::dialect::count_tables(&mut open(url, Purpose::Migrate)?)? > 0)
}

/// Names of migrations that have not run yet.
pub fn pending(conn: &mut AnyConn) -> Result<Vec<String>, StoreError> {
    run(conn, |harness| harness.pending()).map(|m| m.ran)
}

/// Refuses a schema whose least program level is above this program's.
pub fn refuse_newer(conn: &mut AnyConn) -> Result<(), StoreError> {
    let needs: i64 = schema_level::table.select(schema_level::least_program).first(conn)?;
    if needs > PROGRAM_LEVEL { Err(StoreError::SchemaTooNew { needs, has: PROGRAM_LEVEL }) } else { Ok(()) }
}

fn in_one_transaction(
    url: &DatabaseUrl,
    work: impl FnOnce(&mut AnyConn) -> Result<Migrated, StoreError>,
) -> Result<Migrated, StoreError> {
    let mut conn = open(url, Purpose::Migrate)?;
    begin(&mut conn)?;
    super::dialect::lock_migrations(&mut conn)?;
    let outcome = work(&mut conn).and_then(|done| {
        super::dialect::check_foreign_keys(&mut conn)?;
        keep(&mut conn)?;
        Ok(done)
    });
    if outcome.is_err() {
        undo_to(&mut conn, 0)?;
    }
    outcome
}

/// The harness of either engine behind one face.
trait Harness {
    fn run_all(&mut self) -> Result<Vec<String>, String>;
    fn run_next(&mut self) -> Result<String, String>;
    fn revert_all(&mut self) -> Result<Vec<String>, String>;
    fn pending(&mut self) -> Result<Vec<String>, String>;
}

macro_rules! harness {
    ($conn:ty, $source:expr) => {
        impl Harness for $conn {
            fn run_all(&mut self) -> Result<Vec<String>, String> {
                let done = self.run_pending_migrations($source).map_err(|e| e.to_string())?;
                Ok(done.iter().map(ToString::to_string).collect())
            }
            fn run_next(&mut self) -> Result<String, String> {
                self.run_next_migration($source).map(|done| done.to_string()).map_err(|e| e.to_string())
            }
            fn revert_all(&mut self) -> Result<Vec<String>, String> {
                let done = self.revert_all_migrations($source).map_err(|e| e.to_string())?;
                Ok(done.iter().map(ToString::to_string).collect())
            }
            fn pending(&mut self) -> Result<Vec<String>, String> {
                let left = self.pending_migrations($source).map_err(|e| e.to_string())?;
                Ok(left.iter().map(|m| m.name().to_string()).collect())
            }
        }
    };
}
harness!(diesel::PgConnection, PG);
harness!(diesel::SqliteConnection, LITE);

fn run(
    conn: &mut AnyConn,
    work: impl FnOnce(&mut dyn Harness) -> Result<Vec<String>, String>,
) -> Result<Migrated, StoreError> {
    both!(conn, |inner| work(inner)).map(|ran| Migrated { ran }).map_err(StoreError::Migration)
}

/// Runs plain SQL, for tests that prepare old data.
pub fn execute(conn: &mut AnyConn, sql: &str) -> Result<(), StoreError> {
    Ok(conn.batch_execute(sql)?)
}
