//! A place moves to another session with all that belongs to it: by its family, by the office, and after a session was
//! called off.

use std::sync::Barrier;

use chrono::{NaiveDate, TimeDelta};
use diesel::prelude::*;
use waymark::jobs::letters::Written;
use waymark::store::schema::{consents, health_notes, registrations, sessions};

use super::{back, child, family};
use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::season::rider;

fn later(weeks: i64) -> NaiveDate {
    saturday() + TimeDelta::days(7 * weeks)
}

/// Seats taken and families waiting of each session, equal to what its registrations say.
#[track_caller]
fn counts(house: &TestApp) -> Vec<(i64, i64)> {
    let all: Vec<(i64, i64, i64)> = house.rows(|conn| {
        sessions::table.select((sessions::id, sessions::seats_taken, sessions::waiting)).order(sessions::id).load(conn)
    });
    let rows: Vec<(i64, String)> =
        house.rows(|conn| registrations::table.select((registrations::session_id, registrations::state)).load(conn));
    for (id, taken, waiting) in &all {
        let of = |names: &[&str]| {
            let here = rows.iter().filter(|(session, state)| session == id && names.contains(&state.as_str()));
            i64::try_from(here.count()).unwrap()
        };
        assert_eq!((*taken, *waiting), (of(&["held", "confirmed", "offered"]), of(&["waitlisted"])), "session {id}");
    }
    all.into_iter().map(|(_, taken, waiting)| (taken, waiting)).collect()
}

fn entry(letter: &Written, file: usize, name: &str) -> String {
    let text = String::from_utf8(letter.enclosures[file].bytes.clone()).expect("text");
    let found = text.lines().find_map(|line| line.strip_prefix(name));
    found.unwrap_or_else(|| panic!("no {name} in {text}")).to_owned()
}

fn move_to(browser: &Browser, receipt: &str, session: &str) -> crate::house::browser::Answered {
    let way = format!("{receipt}/move");
    browser.submit(&way, &way, &[("session", session)])
}

#[test]
fn family_6_a_place_moves_with_reference_signature_and_answers_and_the_old_seat_goes_to_the_next() {
    let house = TestApp::start();
    let (one, two) = (house.add_session("young", 1, later(1)), house.add_session("young", 2, later(2)));
    let browser = house.stranger();
    let receipt = browser.register(&one, &child("Mia"), "mia@example.org");
    house.confirm("mia@example.org");
    let seated = house.letters_out();
    let (otto, waits) = family(&house, &one, "Otto", "otto@example.org");
    house.letters_out();
    let page = browser.get(&format!("{receipt}/move"));
    page.must_be(200)
        .must_say("Move Mia to another session")
        .must_say("Saturday, June 27, 2026")
        .must_say("2 seats free");
    assert_eq!(move_to(&browser, &receipt, &two).location(), receipt);
    browser.get(&receipt).must_say("Saturday, June 27, 2026").must_say("Seat confirmed").must_say("moved here from");
    assert_eq!(counts(&house), [(1, 0), (1, 0)]);
    otto.get(&waits).must_say("A seat is free for Otto");
    let letters = house.letters_out();
    let moved = &letters.iter().find(|(kind, _)| kind == "place_moved").expect("a letter").1;
    assert!(moved.text.contains("Saturday, June 27, 2026") && moved.html.contains("Saturday, June 27, 2026"));
    assert_eq!(entry(&seated[0].1, 0, "UID:"), entry(moved, 0, "UID:"), "one entry");
    let sequence = |letter: &Written| entry(letter, 0, "SEQUENCE:").parse::<u32>().expect("a number");
    assert!(sequence(moved) > sequence(&seated[0].1));
    assert_eq!(moved.enclosures.len(), 1);
    let kept: (i64, i64) = (
        house.rows(|conn| consents::table.filter(consents::withdrawn_at.is_null()).count().get_result(conn)),
        house.rows(|conn| health_notes::table.count().get_result(conn)),
    );
    assert_eq!(kept, (2, 2), "what was signed and told stays");
    browser.get(&format!("{receipt}/consent")).must_be(200).must_say("Ingrid Lindqvist");
    assert!(house.actions().contains(&"place.move".to_owned()));
}

#[test]
fn family_6_a_place_moves_only_where_this_child_may_have_a_free_seat() {
    let house = TestApp::start();
    let one = house.add_session("young", 2, later(1));
    let full = house.add_session("young", 1, later(2));
    let older = house.add_session("older", 4, later(3));
    let past = house.add_session("young", 4, saturday() - TimeDelta::days(7));
    let same_day = house.add_session("young", 4, later(4));
    let also_there = house.add_session("young", 4, later(4));
    let free = house.add_session("young", 4, later(5));
    family(&house, &full, "Ada", "ada@example.org");
    let (mia, receipt) = family(&house, &one, "Mia", "mia@example.org");
    let other = mia.answer_for_known(&also_there);
    let (otto, _) = family(&house, &one, "Otto", "otto@example.org");
    let page = mia.get(&format!("{receipt}/move"));
    let offered: Vec<&str> =
        page.body.split("name=\"session\" value=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert_eq!(offered, [free.as_str()], "full, of another course, over, at the same time, or held already: left out");
    for wrong in [&full, &older, &past, &one, "nowhere"] {
        mia.post(&format!("{receipt}/move"), &[("session", wrong)])
            .must_be(409)
            .must_say("no free seat for this child");
    }
    mia.post(&format!("{receipt}/move"), &[("session", &same_day)]).must_be(422).must_say("at the same time");
    mia.post(&format!("{receipt}/move"), &[("session", &also_there)]).must_be(409);
    mia.post(&format!("{receipt}/move"), &[]).must_be(422).must_say("Choose a session");
    otto.get("/");
    otto.get(&format!("{receipt}/move")).must_be(404);
    otto.post(&format!("{receipt}/move"), &[("session", &free)]).must_be(404);
    mia.get(&receipt).must_say("Saturday, June 20, 2026").must_say("Seat confirmed");
    mia.get(&other).must_be(200);
    house.at("2026-06-20T14:30:00");
    let mia = back(&house, "mia@example.org");
    assert_eq!(mia.get(&format!("{receipt}/move")).location(), receipt, "it has begun");
    mia.get(&receipt);
    mia.post(&format!("{receipt}/move"), &[("session", &free)]).must_be(409);
}

#[test]
fn family_6_a_place_in_line_moves_into_a_seat_elsewhere_and_the_line_closes_up() {
    let house = TestApp::start();
    let (one, two) = (house.add_session("young", 1, later(1)), house.add_session("young", 1, later(2)));
    family(&house, &one, "Mia", "mia@example.org");
    let (otto, first) = family(&house, &one, "Otto", "otto@example.org");
    let (ada, second) = family(&house, &one, "Ada", "ada@example.org");
    ada.get(&second).must_say("Place 2 in line");
    assert_eq!(move_to(&otto, &first, &two).location(), first);
    otto.get(&first).must_say("Seat confirmed");
    ada.get(&second).must_say("Place 1 in line");
    assert_eq!(counts(&house), [(1, 1), (1, 0)]);
    let none = ada.get(&format!("{second}/move"));
    none.must_be(200).must_say("No other session has a free seat for this child.");
}

#[test]
fn saturday_4_a_session_that_was_called_off_leads_to_another_with_one_press_and_nobody_is_called_about_it() {
    let house = TestApp::start();
    house.add_coordinator();
    let (one, two) = (house.add_session("young", 2, later(1)), house.add_session("young", 2, later(2)));
    let (mia, receipt) = family(&house, &one, "Mia", "mia@example.org");
    let priya = house.signed_in("priya@example.org");
    let page = priya.get(&format!("/season/{one}/cancel"));
    let field = |name: &str| page.field(name).expect("a field");
    let (key, seen) = (field("key"), field("seen"));
    let why = [("key", key.as_str()), ("seen", &seen), ("reason", "weather"), ("words", ""), ("words_language", "en")];
    priya.post(&format!("/season/{one}/cancel"), &why).must_be(303);
    mia.get("/").must_say("Choose another session");
    mia.get(&receipt).must_say("Choose another session").must_say("called off");
    assert_eq!(move_to(&mia, &receipt, &two).location(), receipt);
    mia.get(&receipt).must_say("Seat confirmed").must_say("Saturday, June 27, 2026");
    assert_eq!(counts(&house), [(0, 0), (1, 0)]);
    let told = priya.get(&format!("/season/{one}/told"));
    told.must_say("has another session now").must_say("Everybody on this list was told.");
    let letters = house.letters_out();
    let kinds: Vec<&str> = letters.iter().map(|(kind, _)| kind.as_str()).collect();
    assert!(kinds.ends_with(&["place_moved"]), "{kinds:?}");
}

/// RFC 5546: an entry that nothing takes the place of is cancelled under its own UID, with a higher sequence.
#[test]
fn u33_the_second_of_two_mornings_leaves_the_calendar_when_the_new_session_has_one() {
    use crate::planning::office::Office;
    let office = Office::furnished();
    let both = [("held2_month", "6"), ("held2_day", "20"), ("held2_year", "2026")];
    let two = office.announce(&both).location().rsplit('/').next().expect("a reference").to_owned();
    let one = office.announce(&[("held_day", "27")]).location().rsplit('/').next().expect("a reference").to_owned();
    let house = &office.house;
    let browser = house.stranger();
    let receipt = browser.register(&two, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    house.letters_out();
    assert_eq!(move_to(&browser, &receipt, &one).location(), receipt);
    let letters = house.letters_out();
    let moved = &letters.iter().find(|(kind, _)| kind == "place_moved").expect("a letter").1;
    assert_eq!(moved.enclosures.len(), 2);
    assert!(entry(moved, 0, "UID:").contains("-1@") && entry(moved, 1, "UID:").contains("-2@"));
    assert_eq!(entry(moved, 1, "STATUS:"), "CANCELLED");
    assert_eq!((entry(moved, 0, "METHOD:"), entry(moved, 1, "METHOD:")), ("PUBLISH".into(), "CANCEL".into()));
    assert!(entry(moved, 1, "SEQUENCE:").parse::<u32>().expect("a number") > 0);
}

/// Five families want to move into two seats, all at once.
#[test]
fn s35_families_that_move_at_once_never_take_a_seat_twice_and_none_loses_its_place() {
    let house = TestApp::start();
    let (one, two) = (house.add_session("young", 5, later(1)), house.add_session("young", 2, later(2)));
    let families: Vec<(Browser, String)> = ["Mia", "Otto", "Ada", "Lew", "Ines"]
        .iter()
        .map(|given| family(&house, &one, given, &format!("{}@example.org", given.to_lowercase())))
        .collect();
    let start = Barrier::new(families.len());
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let press = |(browser, receipt): &(Browser, String)| {
            let (browser, way, start, two) = (browser.copy(), format!("{receipt}/move"), &start, &two);
            scope.spawn(move || {
                browser.get(&way).must_be(200);
                start.wait();
                browser.post(&way, &[("session", two)]).status
            })
        };
        let threads: Vec<_> = families.iter().map(press).collect();
        threads.into_iter().map(|thread| thread.join().expect("an answer")).collect()
    });
    assert_eq!(statuses.iter().filter(|status| **status == 303).count(), 2, "{statuses:?}");
    assert_eq!(statuses.iter().filter(|status| **status == 409).count(), 3, "{statuses:?}");
    assert_eq!(counts(&house), [(3, 0), (2, 0)]);
}

#[test]
fn family_4_a_child_has_no_place_in_two_sessions_at_once_and_the_page_says_which() {
    let house = TestApp::start();
    let (one, two) = (house.add_session("young", 2, later(1)), house.add_session("young", 2, later(1)));
    let (mia, receipt) = family(&house, &one, "Mia", "mia@example.org");
    let page = mia.try_known(&two);
    page.must_be(422).must_say("has a place at Alder Flat on Saturday, June 20, 2026, at the same time");
    page.must_say("Move the other place or give it up first");
    mia.get(&receipt);
    mia.post(&format!("{receipt}/give-up"), &[]).must_be(303);
    mia.try_known(&two).must_be(303);
}
