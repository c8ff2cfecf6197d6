//! The few places where the two engines differ. No other file matches on the connection's kind (but `connection.rs`).

use diesel::RunQueryDsl;
use diesel::sql_types::{BigInt, Text};

use super::connection::AnyConn;
use super::error::StoreError;

/// One expression for both engines, where the enum cannot carry it: upserts and inserts of many rows.
macro_rules! both {
    ($conn:expr, |$c:ident| $work:expr) => {
        match $conn {
            $crate::store::connection::AnyConn::Pg($c) => $work,
            $crate::store::connection::AnyConn::Lite($c) => $work,
        }
    };
}
pub(crate) use both;

/// Holds other processes' migrations back until this transaction ends.
pub(super) fn lock_migrations(conn: &mut AnyConn) -> Result<(), StoreError> {
    match conn {
        AnyConn::Pg(pg) => {
            diesel::sql_query("SELECT pg_advisory_xact_lock(7264123)").execute(pg)?;
        }
        AnyConn::Lite(_) => {} // BEGIN IMMEDIATE already holds the only write lock.
    }
    Ok(())
}

/// Lets one transaction at a time work out report sums, because each adds up facts that the others may be writing.
pub(super) fn lock_report_sums(conn: &mut AnyConn) -> Result<(), StoreError> {
    match conn {
        AnyConn::Pg(pg) => {
            diesel::sql_query("SELECT pg_advisory_xact_lock(7264124)").execute(pg)?;
        }
        AnyConn::Lite(_) => {} // There is one writer.
    }
    Ok(())
}

#[derive(diesel::QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    n: i64,
}

/// Finds rows that point nowhere. PostgreSQL has checked them all along.
pub(super) fn check_foreign_keys(conn: &mut AnyConn) -> Result<(), StoreError> {
    match conn {
        AnyConn::Pg(_) => Ok(()),
        AnyConn::Lite(lite) => {
            let found: Count =
                diesel::sql_query("SELECT count(*) AS n FROM pragma_foreign_key_check").get_result(lite)?;
            if found.n == 0 { Ok(()) } else { Err(StoreError::Migration(format!("{} rows point nowhere", found.n))) }
        }
    }
}

/// Tables in the database, ours and others'.
pub(super) fn count_tables(conn: &mut AnyConn) -> Result<i64, StoreError> {
    let sql = match conn {
        AnyConn::Pg(_) => "SELECT count(*) AS n FROM information_schema.tables WHERE table_schema = current_schema()",
        AnyConn::Lite(_) => "SELECT count(*) AS n FROM sqlite_master WHERE type = 'table'",
    };
    Ok(diesel::sql_query(sql).get_result::<Count>(conn)?.n)
}

/// How often running writers are asked for before the caller hears that they go on, and the pause between.
const ASKS: u32 = 100;
const PAUSE: &str = "SELECT pg_sleep(0.01)";
/// Transactions that have written or are writing audit rows: an insert takes this lock before it draws its id.
const AUDIT_WRITERS: &str = "SELECT virtualtransaction AS name FROM pg_locks WHERE relation = 'audit_rows'::regclass \
     AND database = (SELECT oid FROM pg_database WHERE datname = current_database()) \
     AND mode = 'RowExclusiveLock' AND granted AND pid <> pg_backend_pid()";

#[derive(PartialEq, diesel::QueryableByName)]
struct Writer {
    #[diesel(sql_type = Text)]
    name: String,
}

/// Waits, about a second at most, until every transaction that writes audit rows now has ended; nobody waits for us.
/// False when one goes on. After a true no row can appear below an id that was seen before the call.
///
/// The oldest running transaction's number alone would not do: an older transaction may draw a greater id.
pub(super) fn outlive_audit_writers(conn: &mut AnyConn) -> Result<bool, StoreError> {
    let pg = match conn {
        AnyConn::Pg(pg) => pg,
        AnyConn::Lite(_) => return Ok(true), // One writer at a time: ids rise with the commits.
    };
    let mut awaited: Vec<Writer> = diesel::sql_query(AUDIT_WRITERS).load(pg)?;
    for _ in 0..ASKS {
        if awaited.is_empty() {
            return Ok(true);
        }
        diesel::sql_query(PAUSE).execute(pg)?;
        let running: Vec<Writer> = diesel::sql_query(AUDIT_WRITERS).load(pg)?;
        awaited.retain(|writer| running.contains(writer));
    }
    Ok(awaited.is_empty())
}
