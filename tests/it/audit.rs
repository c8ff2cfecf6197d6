//! The audit log under attack by the owner of the database: what was sealed cannot change without being named.

use chrono::{NaiveDateTime, TimeDelta};
use waymark::domain::ids::AccountId;
use waymark::jobs::{JOBS, seal_audit};
use waymark::services::App;
use waymark::services::verify_audit::{Fault, Report, verify};
use waymark::settings::Engine;
use waymark::store::audit::{AuditRow, add_audit_row, find_settled_row, hash_of};
use waymark::store::connection::{Purpose, open};
use waymark::store::migrations::execute;
use waymark::store::seals::NO_HEAD;

use crate::house::app::{story_begins, unserved};
use crate::house::database::TestDatabase;
use crate::house::program::Installed;

/// A log of three seals: rows 1 to 4, 6 to 9, 10 to 13; 5 was never there, as after an undone write; 14 and 15 wait.
struct Log {
    app: App,
    database: TestDatabase,
}

fn row(n: i64) -> AuditRow {
    AuditRow {
        at: at(n),
        account: (n % 2 == 0).then(|| AccountId::new(n)),
        action: "session.plan",
        subject: format!("session s{n}"),
        request: format!("r{n}"),
        detail: String::new(),
    }
}

fn at(n: i64) -> NaiveDateTime {
    story_begins() + TimeDelta::seconds(n)
}

impl Log {
    fn empty() -> Self {
        let database = TestDatabase::migrated();
        Self { app: unserved(&database), database }
    }

    fn sealed() -> Self {
        let log = Self::empty();
        log.write(1..=4);
        log.seal();
        log.write(5..=9);
        log.as_owner("DELETE FROM audit_rows WHERE id = 5");
        log.seal();
        log.write(10..=13);
        log.seal();
        log.write(14..=15);
        log
    }

    fn write(&self, rows: impl Iterator<Item = i64>) {
        for n in rows {
            self.app.store.write("audit", move |conn| add_audit_row(conn, &row(n))).expect("a row");
        }
    }

    fn seal(&self) {
        seal_audit::run(&self.app).expect("a seal");
    }

    /// What the owner of the database can do.
    fn as_owner(&self, sql: &str) {
        let mut conn = open(&self.database.url, Purpose::Write).expect("a connection");
        execute(&mut conn, sql).unwrap_or_else(|fault| panic!("{fault}: {sql}"));
    }

    fn read(&self, noted: Option<&str>) -> Report {
        verify(&self.app.store, noted).expect("the log can be read")
    }

    fn fault(&self) -> Option<Fault> {
        self.read(None).fault
    }
}

/// The hash of row `n` with another subject, as an owner works it out who knows how.
fn forged_hash(n: i64) -> String {
    let row = row(n);
    let account = row.account.map_or(String::new(), |id| id.raw().to_string());
    let at = row.at.and_utc().timestamp_micros().to_string();
    hash_of(&[&at, &account, row.action, "session s99", &row.request, &row.detail])
}

/// Sets row 6's subject, its hash, and what else is named.
fn forged_row() -> String {
    format!("UPDATE audit_rows SET subject = 'session s99', row_hash = '{}' WHERE id = 6;", forged_hash(6))
}

fn forged_mark() -> String {
    format!(
        "UPDATE audit_seals SET marks = replace(marks, substr(marks, 1, 34), '6:{}') WHERE id = 2;",
        &forged_hash(6)[..32]
    )
}

const SWAP: &str = "UPDATE audit_rows SET id = 99 WHERE id = 6; UPDATE audit_rows SET id = 6 WHERE id = 7;
    UPDATE audit_rows SET id = 7 WHERE id = 99;";

const COPY_OF_7: &str = "INSERT INTO audit_rows (id, at, account_id, action, subject, request_id, detail, row_hash)
    SELECT 5, at, account_id, action, subject, request_id, detail, row_hash FROM audit_rows WHERE id = 7";

#[test]
fn s59_an_untouched_log_holds_and_says_how_much_is_sealed() {
    let log = Log::empty();
    let report = log.read(None);
    assert_eq!((report.fault, report.seals, report.sealed, report.unsealed), (None, 0, 0, 0));
    assert_eq!(report.head, NO_HEAD);
    let log = Log::sealed();
    let report = log.read(None);
    assert_eq!((report.fault, report.seals, report.sealed, report.unsealed), (None, 3, 12, 2));
    let noted = report.head;
    log.seal();
    let report = log.read(Some(&noted));
    assert_eq!((report.fault, report.seals, report.sealed, report.unsealed), (None, 4, 14, 0));
    assert_ne!(report.head, noted);
    log.seal();
    assert_eq!(log.read(None).seals, 4, "nothing new, no new seal");
}

#[test]
fn s59_the_first_bad_row_is_named_whatever_the_owner_of_the_database_does() {
    for (what, sql, fault) in [
        ("edit", "UPDATE audit_rows SET subject = 'session s99' WHERE id = 6".to_owned(), Fault::Changed(6)),
        ("edit of a time", "UPDATE audit_rows SET at = '2026-06-10 15:00:07' WHERE id = 6".into(), Fault::Changed(6)),
        ("edit with its hash", forged_row(), Fault::Changed(6)),
        ("edit with hash and mark", forged_row() + &forged_mark(), Fault::Within { first: 6, last: 9 }),
        ("edit of two", "UPDATE audit_rows SET detail = 'x' WHERE id IN (8, 3)".into(), Fault::Changed(3)),
        ("delete", "DELETE FROM audit_rows WHERE id = 7".into(), Fault::Missing(7)),
        ("delete at the end of a seal", "DELETE FROM audit_rows WHERE id = 9".into(), Fault::Missing(9)),
        ("delete at the beginning", "DELETE FROM audit_rows WHERE id = 1".into(), Fault::Missing(1)),
        ("reorder", SWAP.into(), Fault::Moved(6)),
        ("move to the end", "UPDATE audit_rows SET id = 99 WHERE id = 6".into(), Fault::Missing(6)),
        ("put in the middle", COPY_OF_7.into(), Fault::PutIn(5)),
        ("put before the first", COPY_OF_7.replace("SELECT 5", "SELECT -3"), Fault::PutIn(-3)),
        ("cut the end", "DELETE FROM audit_rows WHERE id >= 12".into(), Fault::Missing(12)),
        ("edit of an unsealed row", "UPDATE audit_rows SET account_id = 1 WHERE id = 14".into(), Fault::Changed(14)),
        ("a seal removed", "DELETE FROM audit_seals WHERE id = 2".into(), Fault::Broken { seal: 3, first: 10 }),
        ("a seal's head", "UPDATE audit_seals SET head = 'x' WHERE id = 2".into(), Fault::Within { first: 6, last: 9 }),
    ] {
        let log = Log::sealed();
        log.as_owner(&sql);
        assert_eq!(log.fault(), Some(fault), "{what}");
    }
}

#[test]
fn s59_an_end_cut_off_with_its_seals_is_told_by_a_head_noted_before() {
    let log = Log::sealed();
    let noted = log.read(None).head;
    log.as_owner("DELETE FROM audit_rows WHERE id > 9; DELETE FROM audit_seals WHERE id = 3");
    assert_eq!(log.fault(), None, "the rest is a whole log");
    assert_eq!(log.read(Some(&noted)).fault, Some(Fault::HeadUnknown));
}

#[test]
fn s59_a_row_changed_before_it_is_sealed_is_told_after_it_too() {
    let log = Log::sealed();
    log.as_owner("UPDATE audit_rows SET detail = 'other' WHERE id = 14");
    log.seal();
    assert_eq!(log.fault(), Some(Fault::Changed(14)));
    log.as_owner(&format!("UPDATE audit_rows SET row_hash = '{}' WHERE id = 14", forged_hash(14)));
    assert_eq!(log.fault(), Some(Fault::Changed(14)), "a later hash does not help");
}

#[test]
fn s59_two_sealers_and_many_writers_make_one_chain() {
    const WRITERS: i64 = 4;
    const ROWS: i64 = 50;
    let log = Log::empty();
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            let log = &log;
            scope.spawn(move || log.write(writer * ROWS..(writer + 1) * ROWS));
        }
        for _ in 0..2 {
            scope.spawn(|| (0..25).for_each(|_| log.seal()));
        }
    });
    log.seal();
    let report = log.read(None);
    assert_eq!((report.fault, report.sealed, report.unsealed), (None, WRITERS * ROWS, 0));
    println!("{} rows under {} seals", report.sealed, report.seals);
}

/// A transaction that began earlier can draw the greater id and commit first; its row waits for the smaller one.
#[test]
fn s59_no_row_is_sealed_while_another_may_still_appear_below_it() {
    let log = Log::empty();
    if log.database.url.engine() == Engine::Sqlite {
        log.write(1..=2);
        let settled = log.app.store.read(|conn| find_settled_row(conn, 0)).expect("a read");
        assert_eq!(settled, Some(2), "one writer at a time: every row that is seen is settled");
        return;
    }
    let mut early = open(&log.database.url, Purpose::Write).expect("a connection");
    let mut late = open(&log.database.url, Purpose::Write).expect("a connection");
    execute(&mut early, "BEGIN; SELECT pg_current_xact_id()").expect("the older transaction");
    execute(&mut late, "BEGIN; SELECT pg_current_xact_id()").expect("the younger transaction");
    add_audit_row(&mut late, &row(1)).expect("row 1, not yet committed");
    add_audit_row(&mut early, &row(2)).expect("row 2");
    execute(&mut early, "COMMIT").expect("row 2 is seen");
    log.seal();
    assert_eq!(log.read(None).seals, 0, "row 1 may still come");
    execute(&mut late, "COMMIT").expect("row 1 is seen");
    log.seal();
    let report = log.read(None);
    assert_eq!((report.fault, report.seals, report.sealed), (None, 1, 2));
}

#[test]
fn house_1_every_job_that_comes_round_has_a_name_of_its_own() {
    let mut names: Vec<_> = JOBS.iter().map(|job| job.name).collect();
    assert!(names.contains(&"seal_audit") && names.contains(&"tidy"), "{names:?}");
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), JOBS.len());
}

#[test]
fn s59_a_server_seals_by_itself_and_the_command_names_the_bad_row() {
    let installed = Installed::seeded();
    let add = ["staff", "add", "--email", "ana@example.org", "--given", "Ana", "--phone", "406 555 0101", "--role"];
    let add = [&add[..], &["administrator", "--password-file"]].concat();
    let file = installed.folder.join("first.password");
    std::fs::write(&file, "nine pines on the ridge\n").expect("a file");
    std::fs::set_permissions(&file, std::os::unix::fs::PermissionsExt::from_mode(0o600)).expect("a mode");
    let added = installed.run(&[&add[..], &[file.to_str().expect("a path")]].concat());
    assert_eq!(added.0, Some(0), "{added:?}");
    let (code, told, _) = installed.run(&["verify"]);
    assert_eq!((code, told.contains("0 rows sealed by 0 seals, 1 not sealed yet")), (Some(0), true), "{told}");
    let mut running = installed.serve();
    running.wait_for("audit rows sealed");
    let (code, told, fault) = installed.run(&["verify"]);
    assert_eq!((code, told.contains("1 rows sealed by 1 seals, 0 not sealed yet")), (Some(0), true), "{told}{fault}");
    let head = told.lines().last().and_then(|line| line.strip_prefix("head: ")).expect("a head").to_owned();
    assert_eq!(installed.run(&["verify", "--head", &head]).0, Some(0));
    assert_eq!(running.stop().0.code(), Some(0));
    let mut conn = open(&installed.database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, "UPDATE audit_rows SET detail = 'guardian'").expect("an edit");
    let (code, _, fault) = installed.run(&["verify"]);
    assert_eq!((code, fault.contains("waymark: audit row 1 was changed")), (Some(1), true), "{fault}");
    execute(&mut conn, "DELETE FROM audit_seals; DELETE FROM audit_rows").expect("all gone");
    let (code, _, fault) = installed.run(&["verify", "--head", &head]);
    assert_eq!((code, fault.contains("no seal has the noted head")), (Some(1), true), "{fault}");
    assert_eq!(installed.run(&["verify", "--head", "x"]).0, Some(2));
}
