//! Bad input at every route: what the program answers to values that are wrong, empty, huge, hostile, foreign, repeated
//! or out of order. Routes come from the route table and fields from the pages, so that new ones join by themselves.
//!
//! The fast run gives each value of a field to one role in turn and leaves some values out at each field, other ones at
//! the next; `WAYMARK_TEST_CORPUS=whole` sends everything as everybody. `WAYMARK_TEST_ROUTE=gear` attacks the lines with
//! this word in their path only.

mod attack;
mod corpus;
mod drafts;
mod fill;
mod judge;
mod paths;

use std::fmt::Write;

use waymark::web::routes::LINES;

use crate::house::app::TestApp;
use attack::{Attack, ends_visit};
pub use corpus::{POLYGLOT, carried, pieces, typed};

/// Lines whose form is reached only after much has happened; what else is sent to them stands in their own stories.
const UNREACHED: [&str; 42] = [
    "/season/{session}/riders/{registration}/move",
    // Only a file leads there.
    "/people/import/take",
    "/families/{rider}/part",
    "/machines/import/take",
    // No machine of the demonstration has left the fleet.
    "/machines/{machine}/return",
    // Nothing of the demonstration's grant is matched, and no helmet of it is called back.
    "/gear/grants/{grant}/matches/{number}/take-back",
    "/gear/recalls/{recall}",
    "/gear/recalls/{recall}/answers/{number}",
    "/gear/recalls/{recall}/end",
    // Nobody of the demonstration has written of an adult.
    "/concerns/{concern}",
    "/concerns/{concern}/notes",
    "/concerns/{concern}/end-access",
    "/concerns/{concern}/settle",
    "/registrations/{reference}/offer",
    "/registrations/{reference}/letter",
    "/registrations/{reference}/coming",
    "/riders/{rider}/recalls/{number}",
    "/invitations/{token}",
    "/invitations/{token}",
    "/reminders/{token}",
    "/reminders/{token}",
    "/answers/done/{what}",
    "/answers/{token}",
    "/answers/{token}",
    "/sign-in/code",
    "/sign-in/second-step",
    "/links/{token}",
    "/links/{token}",
    "/first-account/{token}",
    "/first-account/{token}",
    "/account/sign-out-elsewhere",
    "/account/texts",
    "/account/second-step/remove",
    "/roster/{reference}/close",
    // Everybody of the demonstration has signed.
    "/walk-up/{session}/{registration}/sign/{language}",
    "/walk-up/{session}/{registration}/sign/{language}",
    // Nobody is away, and the one report is signed by its first and told to the insurer, without a photo.
    "/my-work/away/{row}/take-back",
    "/incidents/{incident}/sign",
    "/incidents/{incident}/insurer",
    "/incidents/{incident}/photos/{number}",
    // Nobody of the demonstration has a helmet of the program's yet.
    "/roster/{reference}/riders/{rider}/receipt/{language}",
    "/roster/{reference}/riders/{rider}/receipt/{language}",
];

#[expect(clippy::disallowed_methods, reason = "the size of the run is chosen outside the program")]
fn chosen(name: &str) -> String {
    std::env::var(name).unwrap_or_default()
}

/// Whether every role sends every value.
fn is_whole() -> bool {
    chosen("WAYMARK_TEST_CORPUS") == "whole"
}

/// The lines that this run attacks; what ends a visit or takes places away comes last, and at the very end what ends the
/// visits of others or takes children away from adults.
fn order() -> Vec<usize> {
    let only = chosen("WAYMARK_TEST_ROUTE");
    let mut order: Vec<usize> = (0..LINES.len()).filter(|line| LINES[*line].path.contains(&only)).collect();
    let places = |path: &str| path.starts_with("/season/{session}/riders/{registration}") && !path.ends_with("/proof");
    let adults = |path: &str| path.starts_with("/families/") || path == "/riders/{rider}/leave";
    let late = |path: &str| {
        let of_adults = path == "/accounts/{account}" || adults(path);
        u8::from(path.ends_with("/close") || places(path))
            + 2 * u8::from(of_adults)
            + u8::from(path.contains("deletions"))
    };
    order.sort_by_key(|line| {
        let path = LINES[*line].path;
        (late(path).max(u8::from(ends_visit(*line))), drafts::rank(*line))
    });
    order
}

/// What was seen, for people: printed, and kept beside the other things that the tests make.
fn told(attack: &Attack<'_>, name: &str) {
    let mut text = format!("{} requests\n{}\n", attack.judge.asked, attack.judge.spread());
    for ((line, shape), said) in &attack.untaken {
        writeln!(text, "never taken: {} [{shape}] {said}", LINES[*line].path).expect("a String takes everything");
    }
    for fault in &attack.judge.faults {
        writeln!(text, "FAULT {fault}").expect("a String takes everything");
    }
    println!("{text}");
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/.made/bad_input");
    std::fs::create_dir_all(folder).expect("a folder for what the tests make");
    std::fs::write(format!("{folder}/{name}.txt"), text).expect("a file of its own");
    let faults = &attack.judge.faults;
    assert!(
        faults.is_empty(),
        "{} of {} answers are wrong; the first: {:#?}",
        faults.len(),
        attack.judge.asked,
        &faults[..faults.len().min(12)]
    );
}

#[test]
fn saturday_7_no_value_in_any_field_of_any_form_breaks_the_program() {
    let house = TestApp::populated();
    let mut attack = Attack::begin(&house);
    for line in order() {
        let (began, asked) = (std::time::Instant::now(), attack.judge.asked);
        attack.attack_forms(line);
        if attack.judge.asked > asked {
            println!(
                "{} {} {} requests {:?}",
                LINES[line].verb.as_str(),
                LINES[line].path,
                attack.judge.asked - asked,
                began.elapsed()
            );
        }
    }
    told(&attack, "forms");
}

#[test]
fn saturday_7_no_piece_of_any_address_and_no_query_breaks_the_program() {
    let house = TestApp::populated();
    let mut attack = Attack::begin(&house);
    for line in order() {
        let (began, asked) = (std::time::Instant::now(), attack.judge.asked);
        attack.attack_paths(line);
        attack.attack_queries(line);
        attack.try_foreign(line);
        attack.knock(line);
        if began.elapsed().as_millis() > 300 {
            println!(
                "{} {} {} requests {:?}",
                LINES[line].verb.as_str(),
                LINES[line].path,
                attack.judge.asked - asked,
                began.elapsed()
            );
        }
    }
    told(&attack, "addresses");
}

#[test]
fn saturday_7_every_route_is_reached_by_somebody() {
    let house = TestApp::populated();
    let attack = Attack::begin(&house);
    let reached = |line: usize| {
        attack.roles.iter().any(|one| one.found.pages.contains_key(&line) || one.found.forms.contains_key(&line))
    };
    let unreached: Vec<&str> = (0..LINES.len()).filter(|line| !reached(*line)).map(|line| LINES[line].path).collect();
    assert_eq!(unreached, UNREACHED, "no page of the demonstration leads there: the corpus is not sent to it");
    let broken: Vec<&String> = attack.roles.iter().flat_map(|one| &one.found.broken).collect();
    assert!(broken.is_empty(), "links lead to faults: {broken:#?}");
}
