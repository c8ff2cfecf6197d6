//! Who may use which route: the table against its written copy, and every role against every route and verb.

use waymark::domain::access::{Role, RoleSet};
use waymark::domain::words::Word;
use waymark::web::routes::{self, LINES, Line, Verb};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};

#[test]
fn s25_the_written_matrix_is_the_route_table() {
    let now = routes::access_matrix();
    if include_str!("access_matrix.txt") != now {
        let anew = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it/access_matrix.snap.new");
        std::fs::write(anew, &now).expect("the folder of this test can be written");
        panic!("the route table changed; look at {anew}, then move it over access_matrix.txt");
    }
}

#[test]
fn s25_no_line_stands_twice_and_each_opens_to_somebody() {
    for (place, line) in LINES.iter().enumerate() {
        let same = |other: &Line| other.path == line.path && other.verb == line.verb;
        assert!(!LINES[place + 1..].iter().any(same), "{} {} stands twice", line.verb.as_str(), line.path);
        assert_ne!(line.who, RoleSet::NONE, "{} opens to nobody", line.path);
    }
}

/// Every role, with a browser that is signed in as it.
fn everybody(house: &TestApp) -> Vec<(Role, Browser)> {
    let person = |role: &Role| match role {
        Role::Public => (*role, house.stranger()),
        _ => (*role, house.person(*role)),
    };
    Role::ALL.iter().map(person).collect()
}

/// A path of the line's pattern whose references name nothing.
fn example(line: &Line) -> String {
    let mut path = String::new();
    for piece in line.path.split_inclusive('/') {
        let slash = if piece.ends_with('/') { "/" } else { "" };
        match piece.trim_end_matches('/').starts_with('{') {
            true => path.push_str(&format!("2345bcdfghjkm{slash}")),
            false => path.push_str(piece),
        }
    }
    path
}

fn ask(browser: &Browser, line: &Line) -> Answered {
    browser.send(line.verb.as_str(), &example(line), &[("sec-fetch-site", "same-origin")], "")
}

#[test]
fn s25_every_role_meets_every_route_as_the_matrix_says() {
    let house = TestApp::start();
    for (role, browser) in everybody(&house) {
        for line in LINES {
            let answered = ask(&browser, line);
            let told = format!("{role} {} {}: {}", line.verb.as_str(), line.path, answered.status);
            assert!(answered.status < 500, "{told}");
            let is_open = line.who.meets(RoleSet::of(&[role]).with(Role::Public));
            match (is_open, line.verb, role) {
                // A form without its token stays outside even where the role is right.
                (true, Verb::Get, _) => {
                    assert!(!matches!(answered.status, 401 | 403) && !leads_to_sign_in(&answered), "{told}")
                }
                (true, Verb::Post, _) => assert_ne!(answered.status, 401, "{told}"),
                (false, Verb::Get, Role::Public) => assert!(leads_to_sign_in(&answered), "{told}"),
                (false, Verb::Post, Role::Public) => assert_eq!(answered.status, 401, "{told}"),
                (false, _, _) => assert!(matches!(answered.status, 403 | 404), "{told}"),
            }
        }
    }
}

fn leads_to_sign_in(answered: &Answered) -> bool {
    answered.status == 303 && answered.header("location").is_some_and(|path| path.starts_with("/sign-in?next="))
}

#[test]
fn s31_a_verb_that_the_table_does_not_list_is_refused_on_every_route_for_every_role() {
    let house = TestApp::start();
    for (role, browser) in everybody(&house) {
        for line in LINES {
            for verb in ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "GET", "POST"] {
                if LINES.iter().any(|other| other.path == line.path && other.verb.as_str() == verb) {
                    continue;
                }
                let answered = browser.send(verb, &example(line), &[], "");
                assert_eq!(answered.status, 405, "{role} {verb} {}", line.path);
                assert!(answered.header("allow").is_some_and(|allow| allow.contains(line.verb.as_str())));
            }
        }
    }
}

#[test]
fn house_1_head_is_answered_wherever_get_is() {
    let house = TestApp::start();
    let stranger = house.stranger();
    for line in LINES.iter().filter(|line| line.verb == Verb::Get) {
        let (get, head) = (stranger.get(&example(line)), stranger.send("HEAD", &example(line), &[], ""));
        assert_eq!((get.status, head.body.as_str()), (head.status, ""), "{}", line.path);
    }
}
