//! The command line as an operator types it: what it says, how it ends, and what it refuses to touch.

use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::house::database::scratch;

fn waymark(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waymark"));
    command.args(arguments).env_clear();
    command
}

fn run(arguments: &[&str]) -> (Option<i32>, String, String) {
    let Output { status, stdout, stderr } = waymark(arguments).output().expect("the program starts");
    (status.code(), String::from_utf8_lossy(&stdout).into_owned(), String::from_utf8_lossy(&stderr).into_owned())
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

#[test]
fn house_1_help_names_every_command_and_wrong_arguments_end_with_2() {
    let (code, help, _) = run(&["--help"]);
    assert_eq!(code, Some(0));
    for command in ["serve", "migrate", "seed", "doctor"] {
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
    let (code, out, fault) = run(&["seed", data[0], data[1]]);
    assert_eq!(code, Some(0), "{out}{fault}");
    for key in ["field.keys", "pseudonym.key"] {
        let mode = std::fs::metadata(folder.join(key)).expect("the key file").permissions().mode();
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
