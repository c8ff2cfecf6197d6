//! `staff add`: the first people of an installation, added at the console, who then sign in through the front door.

use std::io::Write;
use std::os::unix::fs::PermissionsExt;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use diesel::prelude::*;
use waymark::store::schema::{account_roles, accounts, audit_rows, certifications, staff};
use waymark::store::{Store, StoreError, Tenancy};

use crate::house::program::{Ended, Installed, ended};
use crate::house::python;

const PASSWORD: &str = "  nine pines on the ridge ";

const ANA: [&str; 8] =
    ["--email", "Ana.Ruiz@Example.ORG", "--given", "Ana", "--family", "Ruiz", "--phone", "(406) 555-0142"];

fn add(options: &[&'static str]) -> Vec<&'static str> {
    [&["staff", "add"], &ANA[..], options].concat()
}

impl Installed {
    fn password_file(&self, text: &str, mode: u32) -> PathBuf {
        let path = self.folder.join(format!("password-{mode:o}"));
        std::fs::write(&path, text).expect("a file");
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(mode)).expect("a mode");
        path
    }

    fn run_with_file(&self, options: &[&'static str], path: &std::path::Path) -> Ended {
        let mut arguments = add(options);
        arguments.extend(["--password-file", path.to_str().expect("a path")]);
        self.run(&arguments)
    }

    fn run_piped(&self, options: &[&'static str], typed: &str) -> Ended {
        let mut child = self
            .command(&add(options))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        // A command that refuses before it reads closes the pipe; then there is nobody to write to.
        let _ = child.stdin.take().expect("a pipe").write_all(typed.as_bytes());
        ended(child.wait_with_output().expect("it ends"))
    }

    fn beside<T>(&self, work: impl FnOnce(&mut waymark::store::AnyConn) -> QueryResult<T>) -> T {
        let store = Store::open(&self.database.url, Tenancy::Beside).expect("the store opens");
        store.read(|conn| work(conn).map_err(StoreError::from)).expect("a read")
    }

    fn count_accounts(&self) -> i64 {
        self.beside(|conn| accounts::table.count().get_result(conn))
    }
}

#[test]
fn house_1_a_member_added_beside_a_running_server_signs_in_at_once() {
    let installed = Installed::seeded();
    let running = installed.serve();
    let file = installed.password_file(&format!("{PASSWORD}\n"), 0o600);
    let options = [
        "--role",
        "coordinator",
        "--role",
        "instructor",
        "--role",
        "coordinator",
        "--provisional",
        "--paper",
        "riding=2024-05-01..2027-05-01",
        "--paper",
        "first_aid=2025-03-10..2027-03-10",
    ];
    let (code, out, fault) = installed.run_with_file(&options, &file);
    assert_eq!((code, &*out), (Some(0), "Ana Ruiz is added and signs in as ana.ruiz@example.org\n"), "{fault}");
    let browser = running.stranger();
    let fields = [("email", "ana.ruiz@example.org"), ("password", PASSWORD)];
    browser.submit("/sign-in", "/sign-in", &fields).must_be(303);
    browser.get("/sign-in/second-step").must_be(200).must_say("Set up your second step");
    let trimmed = [("email", "ana.ruiz@example.org"), ("password", PASSWORD.trim())];
    running.stranger().submit("/sign-in", "/sign-in", &trimmed).must_be(422);

    type Kept = (Vec<String>, Vec<(String, String)>, (String, bool));
    let (roles, papers, member): Kept = installed.beside(|conn| {
        let roles = account_roles::table.select(account_roles::role).order(account_roles::role).load(conn)?;
        let papers: Vec<(String, chrono::NaiveDate)> = certifications::table
            .select((certifications::kind, certifications::valid_through))
            .order(certifications::kind)
            .load(conn)?;
        let papers = papers.into_iter().map(|(kind, day)| (kind, day.to_string())).collect();
        Ok((roles, papers, staff::table.select((staff::phone, staff::provisional)).first(conn)?))
    });
    assert_eq!(roles, ["coordinator", "instructor"]);
    let expected = [("first_aid", "2027-03-10"), ("riding", "2027-05-01")];
    assert_eq!(papers, expected.map(|(kind, day)| (kind.to_owned(), day.to_owned())));
    assert_eq!(member, ("+14065550142".to_owned(), true));
    let (reference, subject, detail): (String, String, String) = installed.beside(|conn| {
        let row = audit_rows::table.filter(audit_rows::action.eq("staff.add"));
        let (subject, detail) = row.select((audit_rows::subject, audit_rows::detail)).first(conn)?;
        Ok((accounts::table.select(accounts::reference).first(conn)?, subject, detail))
    });
    assert_eq!(subject, format!("account {reference}"));
    assert_eq!(detail, "instructor coordinator; 2 papers", "no name and no address");
}

#[test]
fn house_1_a_taken_address_is_told_in_one_line_and_changes_nothing() {
    let installed = Installed::seeded();
    let file = installed.password_file(PASSWORD, 0o600);
    assert_eq!(installed.run_with_file(&["--role", "helper"], &file).0, Some(0));
    let (code, out, fault) = installed.run_with_file(&["--role", "administrator"], &file);
    let told = "waymark: an account with this address exists already; nothing was changed\n";
    assert_eq!((code, &*out, &*fault), (Some(1), "", told));
    let counts = installed.beside(|conn| {
        let roles: i64 = account_roles::table.count().get_result(conn)?;
        Ok((roles, audit_rows::table.count().get_result::<i64>(conn)?))
    });
    assert_eq!((installed.count_accounts(), counts), (1, (1, 1)));
}

#[test]
fn s02_a_password_is_taken_from_a_pipe_and_a_weak_open_or_empty_one_is_not() {
    let installed = Installed::seeded();
    let role = ["--role", "first_aid"];
    for (typed, told) in [
        ("six kites\n", "under 12 characters"),
        ("\n", "under 12 characters"),
        ("", "under 12 characters"),
        ("password1234\n", "common"),
        ("ruiz-ruiz-77\n", "word of the program"),
        ("nine pines\non the ridge\n", "must be one line"),
    ] {
        let (code, out, fault) = installed.run_piped(&role, typed);
        assert_eq!((code, fault.contains(told), fault.lines().count()), (Some(1), true, 1), "{typed:?}: {fault}");
        assert!(out.is_empty() && (typed.trim().is_empty() || !fault.contains(typed.trim())), "{fault}");
    }
    let open = installed.password_file(PASSWORD, 0o644);
    let (code, _, fault) = installed.run_with_file(&role, &open);
    assert_eq!((code, fault.contains("chmod 600")), (Some(1), true), "{fault}");
    assert_eq!(installed.count_accounts(), 0, "nobody was added");
    let (code, _, fault) = installed.run_piped(&role, "nine pines on the ridge\r\n");
    assert_eq!((code, installed.count_accounts()), (Some(0), 1), "{fault}");
}

#[test]
fn house_1_odd_arguments_end_with_2_before_anything_is_asked() {
    let installed = Installed::seeded();
    for odd in [
        &["--role", "guardian"][..],
        &["--role", "public"],
        &[],
        &["--role", "helper", "--paper", "riding=2027-05-01..2024-05-01"],
        &["--role", "helper", "--paper", "flying=2024-05-01..2027-05-01"],
        &["--role", "helper", "--paper", "riding=2024-02-30..2027-05-01"],
        &["--role", "helper", "--paper", "riding"],
        &["--role", "helper", "--language", "fr"],
    ] {
        assert_eq!(installed.run_piped(odd, PASSWORD).0, Some(2), "{odd:?}");
    }
    assert_eq!(installed.count_accounts(), 0);
    let (code, help, _) = crate::house::program::run(&["staff", "add", "--help"]);
    assert_eq!(code, Some(0));
    for words in ["--password-file", "grant_manager", "riding=2024-05-01..2027-05-01", "Example:"] {
        assert!(help.contains(words), "{words} is missing in\n{help}");
    }
}

#[test]
fn house_1_staff_are_never_added_to_a_database_that_is_not_there_or_waits() {
    let folder = crate::house::database::scratch("nowhere");
    let arguments = [&add(&["--role", "helper"])[..], &["--data", folder.to_str().expect("a path")]].concat();
    let (code, _, fault) = crate::house::program::run(&arguments);
    assert_eq!((code, fault.contains("waymark migrate")), (Some(1), true), "{fault}");
    assert!(!folder.join("waymark.sqlite").exists(), "no empty file was left");
}

/// Runs a program on a terminal of its own and types two lines; prints what the terminal showed and the exit code.
const TERMINAL: &str = r"
import os, pty, sys, termios
pid, terminal = pty.fork()
if pid == 0:
    os.execv(sys.argv[3], sys.argv[3:])
shown = b''
for asked, typed in ((b'not shown): ', sys.argv[1]), (b'once more: ', sys.argv[2])):
    while asked not in shown:
        shown += os.read(terminal, 1024)
    # A person types after the terminal has gone quiet.
    while termios.tcgetattr(terminal)[3] & termios.ECHO:
        pass
    os.write(terminal, typed.encode() + b'\n')
while True:
    try:
        more = os.read(terminal, 1024)
    except OSError:
        break
    if not more:
        break
    shown += more
_, status = os.waitpid(pid, 0)
print(shown.decode(), os.waitstatus_to_exitcode(status))
";

#[test]
fn house_1_a_password_typed_at_a_terminal_is_asked_twice_and_never_shown() {
    let installed = Installed::seeded();
    let typed = |first: &str, second: &str| {
        let command = installed.command(&add(&["--role", "administrator"]));
        let output = Command::new(python::interpreter())
            .args(["-c", TERMINAL, first, second])
            .arg(command.get_program())
            .args(command.get_args())
            .env_clear()
            .output();
        ended(output.expect("the test interpreter of Python; tests/run makes it"))
    };
    let (_, shown, fault) = typed("nine pines on the ridge", "nine pines on the rigde");
    assert!(shown.contains("the two passwords are not the same") && shown.trim_end().ends_with('1'), "{shown}{fault}");
    assert_eq!(installed.count_accounts(), 0);
    let (_, shown, fault) = typed("nine pines on the ridge", "nine pines on the ridge");
    assert!(shown.contains("Ana Ruiz is added") && shown.trim_end().ends_with('0'), "{shown}{fault}");
    assert!(!shown.contains("nine pines"), "the password is on the screen: {shown}");
}

#[test]
fn s10_the_console_prints_a_link_for_the_first_administrator_and_none_after_that() {
    let installed = Installed::seeded();
    let running = installed.serve();
    let (code, out, fault) = installed.run(&["staff", "first"]);
    assert_eq!(code, Some(0), "{fault}");
    let way = out.trim().split("/first-account/").nth(1).map(|token| format!("/first-account/{token}"));
    let way = way.unwrap_or_else(|| panic!("no link: {out}"));
    let browser = running.stranger();
    browser.get(&way).must_be(200).must_say("The first administrator");
    let fields = [
        ("given", "Ida"),
        ("family", ""),
        ("email", "ida@example.org"),
        ("phone", "4065550142"),
        ("password", PASSWORD),
    ];
    browser.post(&way, &fields).must_be(303);
    assert_eq!(installed.count_accounts(), 1);
    let (code, _, fault) = installed.run(&["staff", "first"]);
    assert_eq!((code, fault.contains("there is an administrator already")), (Some(1), true), "{fault}");
}

#[test]
fn s17_the_console_lets_the_last_administrator_back_in_with_a_new_password() {
    let installed = Installed::seeded();
    let running = installed.serve();
    let file = installed.password_file(&format!("{PASSWORD}\n"), 0o600);
    let (code, _, fault) = installed.run_with_file(&["--role", "administrator"], &file);
    assert_eq!(code, Some(0), "{fault}");
    let other = installed.folder.join("other");
    std::fs::write(&other, "five wet stones in a row\n").expect("a file");
    std::fs::set_permissions(&other, std::fs::Permissions::from_mode(0o600)).expect("a mode");
    let path = other.to_str().expect("a path");
    let recover = |email: &str| installed.run(&["staff", "recover", "--email", email, "--password-file", path]);
    let (code, _, fault) = recover("nobody@example.org");
    assert_eq!((code, fault.contains("no account has this address")), (Some(1), true), "{fault}");
    let before = running.stranger();
    let fields = [("email", "ana.ruiz@example.org"), ("password", PASSWORD)];
    before.submit("/sign-in", "/sign-in", &fields).must_be(303);
    before.get("/sign-in/second-step").must_be(200);
    let (code, out, fault) = recover("ana.ruiz@example.org");
    assert_eq!(code, Some(0), "{fault}");
    assert_eq!(out, "ana.ruiz@example.org signs in with the new password and sets up a second step\n");
    assert_eq!(before.get("/sign-in/second-step").location(), "/sign-in", "a login from before is over");
    let after = running.stranger();
    after.submit("/sign-in", "/sign-in", &fields).must_be(422);
    let fields = [fields[0], ("password", "five wet stones in a row")];
    assert_eq!(after.submit("/sign-in", "/sign-in", &fields).location(), "/sign-in/second-step?next=/");
    let actions: Vec<String> = installed.beside(|conn| audit_rows::table.select(audit_rows::action).load(conn));
    assert!(actions.iter().any(|action| action == "staff.recover"), "{actions:?}");
}
