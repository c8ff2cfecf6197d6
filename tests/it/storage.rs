//! The storage floor keeps its promises: who is answered when, and what a failure may touch.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use diesel::prelude::*;
use waymark::settings::{DatabaseUrl, Engine};
use waymark::store::connection::{Purpose, open};
use waymark::store::schema::job_leases;
use waymark::store::{AnyConn, Key, Store, StoreError, Tenancy};

use crate::house::database::{TestDatabase, scratch};

fn add(conn: &mut AnyConn, name: &str) -> Result<(), StoreError> {
    diesel::insert_into(job_leases::table)
        .values((
            job_leases::name.eq(name),
            job_leases::holder.eq("test"),
            job_leases::leased_until.eq(chrono::NaiveDateTime::default()),
        ))
        .execute(conn)?;
    Ok(())
}

fn names(url: &DatabaseUrl) -> Vec<String> {
    let mut conn = open(url, Purpose::Write).expect("a second connection");
    job_leases::table.select(job_leases::name).order(job_leases::name).load(&mut conn).expect("names")
}

#[derive(diesel::QueryableByName)]
struct Pragma {
    #[diesel(sql_type = diesel::sql_types::Text)]
    shown: String,
}

fn pragma(conn: &mut AnyConn, sql: &str) -> String {
    diesel::sql_query(sql).get_result::<Pragma>(conn).expect("a pragma").shown
}

#[test]
fn r02_every_pooled_connection_keeps_what_it_acknowledges() {
    let database = TestDatabase::migrated();
    let store = database.store();
    if database.url.engine() == Engine::Postgres {
        // PostgreSQL keeps durability in the server: a commit returns after its log is flushed.
        let shown = store
            .read(|conn| Ok::<_, StoreError>(pragma(conn, "SELECT current_setting('synchronous_commit') AS shown")));
        assert_eq!(shown.expect("a setting"), "on");
        return;
    }
    let show = |conn: &mut AnyConn| {
        Ok::<_, StoreError>([
            pragma(conn, "SELECT journal_mode AS shown FROM pragma_journal_mode"),
            pragma(conn, "SELECT CAST(synchronous AS TEXT) AS shown FROM pragma_synchronous"),
            pragma(conn, "SELECT CAST(foreign_keys AS TEXT) AS shown FROM pragma_foreign_keys"),
            pragma(conn, "SELECT CAST(timeout AS TEXT) AS shown FROM pragma_busy_timeout"),
        ])
    };
    let expected = ["wal", "2", "1", "5000"].map(str::to_owned);
    assert_eq!(store.write("pragmas", show).expect("the writer"), expected);
    // All readers at once, so that each pooled connection is looked at.
    let gate = Arc::new(std::sync::Barrier::new(waymark::store::LITE_READERS as usize));
    std::thread::scope(|scope| {
        for _ in 0..waymark::store::LITE_READERS {
            let (store, gate) = (store.clone(), gate.clone());
            let expected = &expected;
            scope.spawn(move || {
                let seen = store.read(|conn| {
                    gate.wait();
                    show(conn)
                });
                assert_eq!(&seen.expect("a reader"), expected);
            });
        }
    });
}

#[test]
fn house_1_a_failing_write_never_fails_its_neighbour_and_nothing_is_answered_before_commit() {
    let database = TestDatabase::migrated();
    let store = database.store();
    let unseen = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for caller in 0..50 {
            let (store, url, unseen) = (store.clone(), database.url.clone(), &unseen);
            scope.spawn(move || {
                let name = format!("caller-{caller:02}");
                let answer = store.write("neighbours", {
                    let name = name.clone();
                    move |conn| {
                        add(conn, &name)?;
                        if caller % 5 == 0 { Err(StoreError::Missing) } else { Ok(()) }
                    }
                });
                assert_eq!(answer.is_ok(), caller % 5 != 0, "caller {caller}: {answer:?}");
                // Another connection sees at once exactly what was acknowledged: the answer came after COMMIT.
                if names(&url).contains(&name) != answer.is_ok() {
                    unseen.fetch_add(1, Ordering::Relaxed);
                }
            });
        }
    });
    assert_eq!(unseen.load(Ordering::Relaxed), 0);
    assert_eq!(names(&database.url).len(), 40);
}

#[test]
fn house_1_a_panic_inside_a_write_is_undone_and_leaves_the_writer_serving() {
    let database = TestDatabase::migrated();
    let store = database.store();
    let panicked = store.write("explodes", |conn| -> Result<(), StoreError> {
        add(conn, "before the panic")?;
        waymark::store::connection::savepoint(conn)?;
        panic!("with a savepoint left open, as the test wants")
    });
    assert!(matches!(panicked, Err(StoreError::Panicked("explodes"))), "{panicked:?}");
    store.write("after", |conn| add(conn, "after")).expect("still serving");
    assert_eq!(names(&database.url), ["after"]);
}

#[test]
fn house_1_a_unique_constraint_comes_back_as_its_named_key_on_both_engines() {
    let database = TestDatabase::migrated();
    let store = database.store();
    store.write("first", |conn| add(conn, "one")).expect("the first");
    let again = store.write("second", |conn| add(conn, "one"));
    assert!(matches!(again, Err(StoreError::Duplicate(Key::Other))), "{again:?}");
    let account = |conn: &mut AnyConn| {
        use waymark::store::schema::accounts;
        diesel::insert_into(accounts::table)
            .values((
                accounts::reference.eq("a"),
                accounts::sign_in_name.eq("a@example.org"),
                accounts::email.eq("a@example.org"),
                accounts::given_name.eq("A"),
                accounts::family_name.eq(""),
                accounts::language.eq("en"),
                accounts::created_at.eq(chrono::NaiveDateTime::default()),
            ))
            .execute(conn)?;
        Ok::<_, StoreError>(())
    };
    store
        .write("account", move |conn| {
            account(conn)?;
            diesel::update(waymark::store::schema::accounts::table)
                .set(waymark::store::schema::accounts::reference.eq("b"))
                .execute(conn)?;
            Ok::<_, StoreError>(())
        })
        .expect("an account");
    let twin = store.write("twin", account);
    assert!(matches!(twin, Err(StoreError::Duplicate(Key::AccountEmail))), "{twin:?}");
}

#[test]
fn r16_a_second_server_on_one_sqlite_file_is_refused_with_a_plain_reason() {
    let database = TestDatabase::migrated();
    let first = database.store();
    let second = Store::open(&database.url, Tenancy::Serving);
    assert_eq!(second.is_ok(), first.is_shared());
    if let Err(refused) = second {
        assert_eq!(refused.to_string(), "another Waymark process uses this database file");
    }
}

/// <https://www.sqlite.org/compile.html>: which options make threads wait for each other.
#[test]
fn house_1_the_sqlite_inside_lets_its_readers_run_beside_each_other() {
    let path = scratch("options").join("waymark.db");
    let url = DatabaseUrl::parse(&path.display().to_string()).expect("a path");
    let mut conn = open(&url, Purpose::Write).expect("a connection");
    let has = |conn: &mut AnyConn, option: &str| {
        pragma(conn, &format!("SELECT CAST(sqlite_compileoption_used('{option}') AS TEXT) AS shown")) == "1"
    };
    assert!(has(&mut conn, "THREADSAFE=2"), "a connection is locked for each call");
    assert!(has(&mut conn, "DEFAULT_MEMSTATUS=0"), "every piece of memory is counted under one lock");
    assert!(!has(&mut conn, "ENABLE_MEMORY_MANAGEMENT"), "connections share their pages under one lock");
}
