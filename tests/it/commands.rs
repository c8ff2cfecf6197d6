//! The command line as an operator types it: what it says, how it ends, and what it refuses to touch.

use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Stdio};

use chrono::{Datelike, TimeDelta};
use waymark::outside::clock::Clock;
use waymark::settings::Engine;
use waymark::store::{Store, Tenancy};

use crate::house::app::TestApp;
use crate::house::database::{TestDatabase, scratch};
use crate::house::program::{Installed, run, waymark};
use crate::house::season::{add_announced, rider, with};

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

#[test]
fn house_1_help_names_every_command_and_wrong_arguments_end_with_2() {
    let (code, help, _) = run(&["--help"]);
    assert_eq!(code, Some(0));
    for command in ["serve", "migrate", "seed", "staff", "jobs", "verify", "doctor"] {
        assert!(help.contains(&format!("\n  {command} ")), "{command} is missing in\n{help}");
        assert_eq!(run(&[command, "--help"]).0, Some(0));
    }
    assert_eq!(run(&["fly"]).0, Some(2));
    assert_eq!(run(&["serve", "--listen", "nowhere"]).0, Some(2));
}

#[test]
fn house_1_a_new_folder_gets_keys_of_its_own_and_a_schema_and_is_seeded_once() {
    let folder = scratch("seeded");
    let data = ["--data", text(&folder)];
    let approved = ["--approved-by", "Counsel", "--approved-on", "2026-01-15"];
    let (code, out, fault) = run(&[&["seed"], &data[..], &approved].concat());
    assert_eq!(code, Some(0), "{out}{fault}");
    for key in ["field.keys", "pseudonym.key", "waymark.sqlite"] {
        let mode = std::fs::metadata(folder.join(key)).expect("a file of the installation").permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{key}");
    }
    let (code, _, fault) = run(&["seed", data[0], data[1]]);
    assert_eq!((code, fault.contains("has a program already")), (Some(1), true), "{fault}");
    let (code, out, _) = run(&["migrate", data[0], data[1]]);
    assert_eq!((code, out.contains("nothing to do")), (Some(0), true), "{out}");
    let (code, out, fault) = run(&["doctor", data[0], data[1]]);
    assert_eq!(code, Some(0), "{out}{fault}");
}

#[test]
fn s55_a_database_without_its_keys_is_never_given_new_ones() {
    let folder = scratch("keyless");
    let data = ["--data", text(&folder)];
    assert_eq!(run(&["migrate", data[0], data[1]]).0, Some(0));
    let (code, _, fault) = run(&["serve", data[0], data[1], "--listen", "127.0.0.1:0"]);
    assert_eq!((code, fault.contains("there are no keys")), (Some(1), true), "{fault}");
    assert!(!folder.join("field.keys").exists());
    assert_eq!(run(&["doctor", data[0], data[1], "--draw-keys"]).0, Some(0));
    let (code, _, fault) = run(&["doctor", data[0], data[1], "--draw-keys"]);
    assert_eq!(code, Some(1), "keys were drawn over keys: {fault}");
}

#[test]
fn s55_serve_does_not_start_on_a_default_or_open_secret() {
    let folder = scratch("weak");
    for (secret, mode, told) in [("changeme", 0o600, "default"), (&*"x1".repeat(30), 0o644, "chmod 600")] {
        let path = folder.join("field.keys");
        std::fs::write(&path, secret).expect("a file");
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(mode)).expect("a mode");
        let (code, _, fault) = run(&["serve", "--data", text(&folder)]);
        assert_eq!((code, fault.contains(told)), (Some(1), true), "{fault}");
        assert!(!fault.contains(secret) && !fault.contains("panicked"), "{fault}");
    }
}

#[test]
fn house_1_a_fault_is_one_line_without_a_panic() {
    let folder = scratch("faults");
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = taken.local_addr().expect("a bound port").to_string();
    for arguments in [
        &["serve", "--data", text(&folder), "--listen", &address][..],
        &["serve", "--data", text(&folder), "--database", "mysql://db/waymark"],
        &["migrate", "--data", "/proc/nowhere"],
        &["seed", "--data", text(&folder), "--program", "/nowhere.toml"],
    ] {
        let (code, _, fault) = run(arguments);
        let lines: Vec<&str> = fault.lines().filter(|line| line.starts_with("waymark: ")).collect();
        assert_eq!((code, lines.len()), (Some(1), 1), "{arguments:?}: {fault}");
        assert!(!fault.contains("panicked"), "{fault}");
    }
}

#[test]
fn house_1_serve_answers_and_ends_well_when_it_is_told_to() {
    let folder = scratch("served");
    let free = TcpListener::bind("127.0.0.1:0").and_then(|free| free.local_addr()).expect("a free port").to_string();
    let mut served = waymark(&["serve", "--data", text(&folder), "--listen", &free])
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let log = BufReader::new(served.stderr.take().expect("a log"));
    let mut lines = log.lines().map_while(Result::ok);
    assert!(lines.any(|line| line.contains("serving")), "it ended before it served");
    let ready = ureq::get(format!("http://{free}/health/ready")).call();
    let in_use = run(&["serve", "--data", text(&folder), "--listen", "127.0.0.1:0"]);
    let told = Command::new("kill").args(["-TERM", &served.id().to_string()]).status().expect("kill runs");
    let ended = served.wait().expect("the program ends");
    assert!(ready.is_ok() && told.success());
    assert_eq!(ended.code(), Some(0));
    assert_eq!((in_use.0, in_use.2.contains("in use")), (Some(1), true), "{}", in_use.2);
}

const NO_TEXTS: &str = "texts: no gateway is set; nobody gets text messages";

/// The lines of `doctor`, and how it ended.
fn looked_over(installed: &Installed, more: &[&str]) -> (Option<i32>, Vec<String>, String) {
    let (code, out, fault) = installed.run(&[&["doctor"], more].concat());
    (code, out.lines().map(str::to_owned).collect(), fault)
}

#[test]
fn house_1_doctor_tells_each_thing_in_a_line_and_ends_with_1_when_one_is_wrong() {
    let installed = Installed::seeded();
    let fine =
        ["settings: fine", "keys: fine", "database: fine", "program: fine", "consents: fine", "mail: fine", NO_TEXTS];
    let (code, lines, fault) = looked_over(&installed, &[]);
    assert_eq!((code, &*fault), (Some(0), ""));
    assert_eq!(lines, fine);
    let _running = installed.serve();
    assert_eq!(looked_over(&installed, &[]).0, Some(0), "it looks beside a running server");

    let unseeded = Installed::on(TestDatabase::migrated());
    let (code, lines, fault) = looked_over(&unseeded, &[]);
    assert_eq!(code, Some(1));
    assert_eq!(lines[2..4], ["database: fine", "program: there is none yet; run `waymark seed`"]);
    assert_eq!(lines[4], "consents: nobody has approved the ride consent in en, es; registration stays closed");
    assert_eq!(fault, "waymark: 2 of 6 things need a hand\n");

    let unapproved = Installed::on(TestDatabase::migrated());
    assert_eq!(unapproved.run(&["seed"]).0, Some(0));
    let (code, lines, _) = looked_over(&unapproved, &[]);
    assert_eq!((code, lines[3].as_str()), (Some(1), "program: fine"));
    assert!(lines[4].starts_with("consents: nobody has approved"), "{lines:?}");

    let waiting = Installed::on(TestDatabase::bare());
    let (code, lines, _) = looked_over(&waiting, &[]);
    assert_eq!(code, Some(1));
    assert!(lines[2].starts_with("database: ") && lines[2] != "database: fine", "{lines:?}");
    assert_eq!(lines[3], "program: not looked at before the database is fine");
}

#[test]
fn house_1_doctor_sees_missing_keys_an_unreachable_database_and_a_silent_relay() {
    let installed = Installed::seeded();
    for key in ["field.keys", "pseudonym.key"] {
        std::fs::remove_file(installed.folder.join(key)).expect("a key file");
    }
    let (code, lines, _) = looked_over(&installed, &[]);
    assert_eq!((code, lines[1].starts_with("keys: there are none at")), (Some(1), true), "{lines:?}");

    let installed = Installed::seeded();
    let folder = text(&installed.folder).to_owned();
    let nobody = "postgres://waymark@127.0.0.1:1/waymark";
    let (code, out, fault) = run(&["doctor", "--data", &folder, "--database", nobody]);
    assert_eq!((code, out.contains("database: ")), (Some(1), true), "{out}{fault}");
    assert!(out.contains("cannot be reached") && out.lines().count() >= 6, "{out}");

    let closed = TcpListener::bind("127.0.0.1:0").and_then(|free| free.local_addr()).expect("a free port");
    let settings = format!("[mail]\nhost = \"127.0.0.1\"\nport = {}\ntls = false\n", closed.port());
    std::fs::write(installed.folder.join("waymark.toml"), settings).expect("settings");
    let (code, lines, _) = looked_over(&installed, &[]);
    assert_eq!((code, lines[5].contains("does not answer")), (Some(1), true), "{lines:?}");
    let file = installed.folder.join("a-file");
    std::fs::write(&file, "").expect("a file");
    let settings = format!("[mail]\nfolder = \"{}/mail\"\n", file.display());
    std::fs::write(installed.folder.join("waymark.toml"), settings).expect("settings");
    let (code, lines, _) = looked_over(&installed, &[]);
    assert_eq!((code, lines[5].contains("is no folder")), (Some(1), true), "{lines:?}");
}

#[test]
fn house_1_a_running_server_sends_the_letter_of_a_registration_by_itself() {
    let installed = Installed::seeded();
    let held_on = Clock::system().today(chrono_tz::America::Denver) + TimeDelta::days(30);
    let store = Store::open(&installed.database.url, Tenancy::Beside).expect("the store opens");
    let session = add_announced(&store, "young", 4, held_on);
    let mut running = installed.serve();
    let rider = with(rider(), "birth_year", &(held_on.year() - 8).to_string());
    running.stranger().register(&session, &rider, "ingrid@example.org");
    running.wait_for("letter sent");
    let letters = installed.letters();
    assert_eq!(letters.len(), 1);
    assert!(letters[0].contains("To: ") && letters[0].contains("ingrid@example.org"), "{}", letters[0]);
    assert!(letters[0].contains("Message-ID: <"), "{}", letters[0]);
    let (ended, log) = running.stop();
    assert_eq!(ended.code(), Some(0));
    assert!(!log.join("\n").contains("ingrid"), "the log names a person");
}

#[test]
fn house_1_jobs_run_alone_on_postgresql_and_leave_an_sqlite_file_to_its_server() {
    let house = TestApp::on_this_day();
    let held_on = house.app.clock.today(chrono_tz::America::Denver) + TimeDelta::days(30);
    let session = house.add_session("young", 4, held_on);
    let rider = with(rider(), "birth_year", &(held_on.year() - 8).to_string());
    house.stranger().register(&session, &rider, "ingrid@example.org");
    if house.database.url.engine() == Engine::Sqlite {
        let folder = scratch("jobs");
        let (code, out, fault) = run(&["jobs", "--data", text(&folder), "--database", &house.database.text]);
        assert_eq!((code, &*out, fault.lines().count()), (Some(1), "", 1), "{fault}");
        assert!(fault.contains("`waymark serve` runs the jobs of an SQLite file itself"), "{fault}");
        return;
    }
    let installed = Installed::on(TestDatabase::bare());
    let arguments = ["jobs", "--database", &house.database.text];
    let mut alone = installed.start_elsewhere(&arguments);
    alone.wait_for_each(&["letter sent", "audit rows sealed"]);
    assert_eq!(installed.letters().len(), 1);
    let (ended, log) = alone.stop();
    assert_eq!(ended.code(), Some(0));
    assert!(log.iter().any(|line| line.contains("stopped")), "{log:?}");
}

#[test]
fn house_2_demo_refuses_open_addresses_and_whatever_it_did_not_make() {
    let told = |arguments: &[&str]| {
        let (code, _, fault) = run(&[&["demo"], arguments].concat());
        assert_eq!((code, fault.lines().count()), (Some(1), 1), "{fault}");
        fault
    };
    let new = scratch("demo").join("new");
    let fault = told(&["--listen", "0.0.0.0:0", "--data", new.to_str().expect("a path")]);
    assert!(fault.contains("this machine only"), "{fault}");
    let theirs = scratch("demo");
    std::fs::write(theirs.join("letter.txt"), "mine").expect("somebody's file");
    let fault = told(&["--listen", "127.0.0.1:0", "--data", theirs.to_str().expect("a path")]);
    assert!(fault.contains("did not make the folder"), "{fault}");
    assert_eq!(std::fs::read_dir(&theirs).expect("the folder").count(), 1, "nothing was put beside it");
    let database = TestDatabase::migrated();
    let fault =
        told(&["--listen", "127.0.0.1:0", "--data", new.to_str().expect("a path"), "--database", &database.text]);
    assert!(fault.contains("did not make the database") || fault.contains("in its own folder"), "{fault}");
}
