//! Many at once: the last seat, and one form sent twice at the same moment.

use std::sync::Barrier;

use diesel::prelude::*;
use waymark::store::StoreError;
use waymark::store::schema::{accounts, outbox, registrations, sessions};
use waymark::store::sessions::{find_session, take_place_in_line, take_seat};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::season::{Fields, rider};

/// Families that want the last seats at the same moment.
const CALLERS: usize = 50;
const SEATS: i64 = 3;

#[test]
fn r01_fifty_families_want_three_seats_and_exactly_three_get_one() {
    let house = TestApp::start();
    let session = house.add_session("young", SEATS, saturday());
    let families: Vec<_> = (0..CALLERS)
        .map(|number| {
            let browser = house.stranger();
            browser.answer_all(&session, &rider(), &format!("family{number}@example.org"));
            let fields = browser.signed(&session, "Ingrid Lindqvist");
            // A connection of its own: the first ones are idle for longer than the server keeps them.
            (browser.copy(), fields)
        })
        .collect();
    let start = Barrier::new(CALLERS);
    std::thread::scope(|scope| {
        for (browser, fields) in families {
            let (start, session) = (&start, &session);
            scope.spawn(move || {
                start.wait();
                assert_eq!(browser.sign(session, &fields).status, 303);
            });
        }
    });
    let (taken, waiting): (i64, i64) = house
        .app
        .store
        .read(|conn| {
            let both = (sessions::seats_taken, sessions::waiting);
            sessions::table.select(both).first(conn).map_err(StoreError::from)
        })
        .unwrap();
    let mut places: Vec<(String, Option<i64>)> = house
        .app
        .store
        .read(|conn| {
            let rows = registrations::table.select((registrations::reference, registrations::place));
            rows.load(conn).map_err(StoreError::from)
        })
        .unwrap();
    let seated = places.iter().filter(|(_, place)| place.is_none()).count();
    assert_eq!((taken, waiting, seated, places.len()), (SEATS, 47, 3, CALLERS));
    places.retain(|(_, place)| place.is_some());
    let mut line: Vec<i64> = places.into_iter().filter_map(|(_, place)| place).collect();
    line.sort_unstable();
    assert_eq!(line, (1..=47).collect::<Vec<_>>(), "each place in line is given once");
}

#[test]
fn r23_one_form_sent_three_times_at_once_makes_one_registration() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer_all(&session, &rider(), "ingrid@example.org");
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let copies: Vec<_> = (0..3).map(|_| browser.copy()).collect();
    let start = Barrier::new(copies.len());
    let answers: Vec<_> = std::thread::scope(|scope| {
        let send = |copy: Browser| {
            let (start, session, fields) = (&start, &session, &fields);
            scope.spawn(move || {
                start.wait();
                let receipt = copy.sign(session, fields).location().to_owned();
                copy.get(&receipt).must_be(200).must_say("A seat is held");
                receipt
            })
        };
        let threads: Vec<_> = copies.into_iter().map(send).collect();
        threads.into_iter().map(|thread| thread.join().unwrap()).collect()
    });
    assert!(answers.windows(2).all(|pair| pair[0] == pair[1]), "the same page: {answers:?}");
    let counts: (i64, i64, i64) = house
        .app
        .store
        .read(|conn| {
            let people = accounts::table.count().get_result(conn)?;
            let places = registrations::table.count().get_result(conn)?;
            Ok::<_, StoreError>((people, places, outbox::table.count().get_result(conn)?))
        })
        .unwrap();
    assert_eq!(counts, (1, 1, 1), "one account, one registration, one letter");
}

#[test]
fn r23_the_last_page_in_several_tabs_pressed_at_once_makes_one_registration() {
    const TABS: usize = 4;
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer_all(&session, &rider(), "ingrid@example.org");
    let tabs: Vec<_> = (0..TABS).map(|_| (browser.copy(), browser.signed(&session, "Ingrid Lindqvist"))).collect();
    let start = Barrier::new(TABS);
    let answers: Vec<String> = std::thread::scope(|scope| {
        let press = |(tab, fields): (Browser, Vec<(String, String)>)| {
            let (start, session) = (&start, &session);
            scope.spawn(move || {
                start.wait();
                tab.sign(session, &fields).location().to_owned()
            })
        };
        let threads: Vec<_> = tabs.into_iter().map(press).collect();
        threads.into_iter().map(|thread| thread.join().unwrap()).collect()
    });
    let receipts = answers.iter().filter(|way| way.starts_with("/registrations/")).count();
    let counts: (i64, i64, i64) = house
        .app
        .store
        .read(|conn| {
            let people = accounts::table.count().get_result(conn)?;
            let places = registrations::table.count().get_result(conn)?;
            Ok::<_, StoreError>((people, places, sessions::table.select(sessions::seats_taken).first(conn)?))
        })
        .unwrap();
    assert_eq!((receipts, counts), (1, (1, 1, 1)), "one receipt, account, registration and seat: {answers:?}");
}

#[test]
fn family_6_a_second_child_registered_while_the_address_is_shown_does_not_wait_for_it() {
    const FAMILIES: usize = 12;
    let house = TestApp::start();
    let (first, second) = (house.add_session("young", 40, saturday()), house.add_session("young", 40, saturday()));
    let brother: Fields = rider().into_iter().map(|(name, value)| (name, other_name(name, value))).collect();
    let families: Vec<_> = (0..FAMILIES)
        .map(|number| {
            let (browser, email) = (house.stranger(), format!("family{number}@example.org"));
            browser.register(&first, &rider(), &email);
            let question = house.question_to(&email);
            browser.answer_all(&second, &brother, &email);
            (browser.copy(), browser.signed(&second, "Ingrid Lindqvist"), question)
        })
        .collect();
    for (number, (browser, fields, question)) in families.into_iter().enumerate() {
        let start = Barrier::new(2);
        std::thread::scope(|scope| {
            scope.spawn(|| {
                let phone = house.stranger();
                let token = phone.get(&question).form_token().expect("the question's form");
                start.wait();
                // Each family's letter is answered a little later than the one's before.
                for _ in 0..number {
                    phone.get(&question).must_be(200);
                }
                let answers = [("form_token", token.as_str()), ("answer", "yes")];
                assert_eq!(phone.post_whole(&question, &answers).location(), "/answers/done/address-yes");
            });
            start.wait();
            assert_eq!(browser.sign(&second, &fields).status, 303);
        });
    }
    let waiting: i64 = house
        .app
        .store
        .read(|conn| {
            let waiting = registrations::table.filter(registrations::held_until.is_not_null());
            waiting.count().get_result(conn).map_err(StoreError::from)
        })
        .unwrap();
    assert_eq!(waiting, 0, "every address is shown, and no place waits for one");
}

/// Another child of the same family.
fn other_name(field: &str, value: String) -> String {
    if field == "given" { "Arvo".to_owned() } else { value }
}

#[test]
fn house_3_a_free_seat_is_no_newcomers_while_somebody_waits_whatever_was_read_before() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let reference = session.clone();
    let (first, second) = house
        .app
        .store
        .write("newcomers", move |conn| {
            let id = find_session(conn, &reference)?.ok_or(StoreError::Missing)?.session.id;
            let first = take_seat(conn, id)?;
            take_place_in_line(conn, id)?;
            Ok::<_, StoreError>((first, take_seat(conn, id)?))
        })
        .expect("a session with seats");
    assert!(first && !second, "one seat before anybody waits, none after: {first} {second}");
}
