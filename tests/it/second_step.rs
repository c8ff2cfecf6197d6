//! The second step of signing in: nobody of the staff gets in with a password alone, and a code serves once.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::{Role, RoleSet};
use waymark::domain::words::Word;
use waymark::store::StoreError;
use waymark::store::schema::{authenticators, recovery_codes};
use waymark::web::routes::{LINES, Verb};

use crate::bad_input::{carried, pieces, typed};
use crate::house::app::TestApp;
use crate::house::browser::Browser;
use crate::house::letters::{AppKey, recovery_codes_on};
use crate::house::people::PASSWORD;

const STAFF: [Role; 6] =
    [Role::Helper, Role::Instructor, Role::FirstAid, Role::Coordinator, Role::GrantManager, Role::Administrator];

/// Priya with a code app, her recovery codes, and signed in.
fn priya(house: &TestApp) -> (Browser, AppKey, Vec<String>) {
    house.add_coordinator();
    let browser = house.after_password("priya@example.org");
    let page = browser.get("/sign-in/second-step?next=/season");
    let (key, codes) = (AppKey::on(&page), recovery_codes_on(&page));
    let drawn = page.field("drawn").expect("what was drawn");
    let code = key.code_at(house);
    let fields = [("drawn", drawn.as_str()), ("code", &code), ("next", "/season")];
    assert_eq!(browser.post("/sign-in/second-step", &fields).location(), "/season");
    (browser, key, codes)
}

fn typed_code(browser: &Browser, code: &str) -> u16 {
    browser.submit("/sign-in/code", "/sign-in/code", &[("code", code), ("next", "/season")]).status
}

#[test]
fn s11_no_page_of_the_staff_opens_to_a_password_alone() {
    let house = TestApp::start();
    let mut asked = 0;
    for role in STAFF {
        let email = format!("{role}@example.org");
        house.add_person(&email, "Ana", role.as_str(), &[role]);
        let browser = house.after_password(&email);
        for line in LINES.iter().filter(|line| line.who.meets(RoleSet::of(&[role])) && !line.path.contains('{')) {
            let reply = match line.verb {
                Verb::Get => browser.get(line.path),
                Verb::Post => browser.submit("/sign-in", line.path, &[]),
            };
            let turned_away = match line.verb {
                Verb::Get => reply.status == 303 && reply.location().starts_with("/sign-in"),
                Verb::Post => reply.status == 401,
            };
            assert!(turned_away, "{role} {} {}: {}", line.verb.as_str(), line.path, reply.status);
            asked += 1;
        }
        assert_eq!(browser.get("/sign-in/code").location(), "/sign-in/second-step?next=/");
    }
    assert!(asked > 100, "{asked} pages were asked for");
}

#[test]
fn s11_who_works_for_the_program_sets_up_an_app_and_types_a_code_from_then_on() {
    let house = TestApp::start();
    house.add_coordinator();
    let browser = house.after_password("priya@example.org");
    let page = browser.get("/sign-in/second-step?next=/season");
    page.must_be(200).must_say("Set up your second step").must_say("signs in with two steps");
    let key = AppKey::on(&page);
    let drawn = page.field("drawn").expect("what was drawn");
    let again = browser.post("/sign-in/second-step", &[("drawn", &drawn), ("code", "000000"), ("next", "/season")]);
    again.must_be(422).must_say("This code is not right");
    assert_eq!(AppKey::on(&again).code_at(&house), key.code_at(&house), "the key on the page stays the same");
    let before = browser.cookie("waymark");
    let code = key.code_at(&house);
    let drawn = again.field("drawn").expect("what was drawn");
    let reply = browser.post("/sign-in/second-step", &[("drawn", &drawn), ("code", &code), ("next", "/season")]);
    assert_eq!(reply.location(), "/season");
    assert_ne!(browser.cookie("waymark"), before, "a whole login has a token of its own (S19)");
    browser.get("/season").must_be(200);
    let letters = house.letters_out();
    assert_eq!(letters.iter().map(|(kind, _)| kind.as_str()).collect::<Vec<_>>(), ["second_step_on"]);

    house.app.clock.advance(TimeDelta::hours(13));
    let browser = house.stranger();
    let fields = [("email", "priya@example.org"), ("password", PASSWORD), ("next", "/gear")];
    let reply = browser.submit("/sign-in", "/sign-in", &fields);
    assert_eq!(reply.location(), "/sign-in/code?next=/gear");
    browser.follow(&reply).must_be(200).must_say("Your second step");
    let code = key.code_at(&house);
    let spaced = format!(" {} {} ", &code[..3], &code[3..]);
    let reply = browser.post("/sign-in/code", &[("code", &spaced), ("next", "/gear")]);
    assert_eq!(reply.location(), "/gear");
    browser.get("/gear").must_be(200);
}

#[test]
fn s11_who_knows_the_password_alone_cannot_set_up_an_app_in_place_of_the_first() {
    let house = TestApp::start();
    let (_, key, _) = priya(&house);
    house.app.clock.advance(TimeDelta::minutes(1));
    let thief = house.after_password("priya@example.org");
    assert_eq!(thief.get("/sign-in/second-step").location(), "/sign-in");
    house.add_instructor();
    let other = house.after_password("rafael@example.org");
    let page = other.get("/sign-in/second-step");
    let (drawn, code) = (page.field("drawn").expect("drawn"), AppKey::on(&page).code_at(&house));
    let fields = [("drawn", drawn.as_str()), ("code", &code)];
    assert_eq!(thief.submit("/sign-in/code", "/sign-in/second-step", &fields).location(), "/sign-in");
    assert_eq!(thief.get("/season").status, 303);
    assert_eq!(typed_code(&thief, &key.code_at(&house)), 303, "the first app still serves");
    // What was drawn for one person serves no other: a page with a secret of the thief's own choice is not taken.
    let third = house.add_person("third@example.org", "Ida", "", &[Role::Helper]);
    let browser = house.after_password("third@example.org");
    browser.submit("/sign-in/second-step", "/sign-in/second-step", &fields).must_be(422);
    let kept = house.app.store.read(|conn| {
        let found = authenticators::table.filter(authenticators::account_id.eq(third));
        Ok::<i64, StoreError>(found.count().get_result(conn)?)
    });
    assert_eq!(kept.expect("a count"), 0);
}

#[test]
fn s12_a_code_serves_once_even_in_two_requests_at_the_same_moment() {
    let house = TestApp::start();
    let (_, key, _) = priya(&house);
    assert_eq!(
        typed_code(&house.after_password("priya@example.org"), &key.code_at(&house)),
        422,
        "set up with this one"
    );
    house.app.clock.advance(TimeDelta::seconds(30));
    let code = key.code_at(&house);
    let browsers: Vec<Browser> = (0..4).map(|_| house.after_password("priya@example.org")).collect();
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let tries: Vec<_> =
            browsers.into_iter().map(|browser| scope.spawn(|| typed_code(&{ browser }, &code))).collect();
        tries.into_iter().map(|one| one.join().expect("an answer")).collect()
    });
    assert_eq!(statuses.iter().filter(|status| **status == 303).count(), 1, "{statuses:?}");
    assert_eq!(statuses.iter().filter(|status| **status == 422).count(), 3, "{statuses:?}");
    for (seconds, taken) in [(-60, false), (60, false), (30, true)] {
        let browser = house.after_password("priya@example.org");
        let at = house.app.clock.now() + TimeDelta::seconds(seconds);
        assert_eq!(typed_code(&browser, &key.code_on(at)), if taken { 303 } else { 422 }, "{seconds} seconds away");
    }
    let browser = house.after_password("priya@example.org");
    assert_eq!(typed_code(&browser, &key.code_at(&house)), 422, "a step before one that was taken is over");
}

#[test]
fn s13_ten_recovery_codes_let_in_once_each_and_only_their_hashes_are_kept() {
    let house = TestApp::start();
    let (_, _, codes) = priya(&house);
    assert_eq!(codes.len(), 10);
    let kept: Vec<Vec<u8>> = house
        .app
        .store
        .read(|conn| Ok::<_, StoreError>(recovery_codes::table.select(recovery_codes::code_hash).load(conn)?))
        .expect("the table");
    assert_eq!(kept.len(), 10);
    for code in &codes {
        let plain = code.replace('-', "");
        assert!(kept.iter().all(|hash| hash.len() == 32 && hash != plain.as_bytes() && hash != code.as_bytes()));
    }
    for (code, status) in [(codes[0].to_uppercase(), 303), (codes[0].clone(), 422), (codes[1].replace('-', ""), 303)] {
        assert_eq!(typed_code(&house.after_password("priya@example.org"), &code), status, "{code}");
    }
    house.add_instructor();
    let other = house.after_password("rafael@example.org");
    assert_eq!(other.get("/sign-in/code").location(), "/sign-in/second-step?next=/", "a code is one person's");
    let signed_in = house.signed_in("priya@example.org");
    signed_in.get("/account").must_say("8 recovery codes are left");
}

#[test]
fn s08_wrong_codes_are_slowed_and_the_right_one_serves_after_the_window() {
    let house = TestApp::start();
    let (_, key, _) = priya(&house);
    house.app.clock.advance(TimeDelta::minutes(1));
    let browser = house.after_password("priya@example.org");
    let statuses: Vec<u16> = (0..12).map(|n| typed_code(&browser, &format!("00000{}", n % 10))).collect();
    assert_eq!(statuses[..10], [422; 10]);
    assert_eq!(statuses[10..], [429; 2]);
    assert_eq!(typed_code(&browser, &key.code_at(&house)), 429, "even the right one waits");
    house.app.clock.advance(TimeDelta::minutes(15));
    assert_eq!(browser.get("/sign-in/code").location(), "/sign-in", "a login waits ten minutes for its code");
    assert_eq!(typed_code(&house.after_password("priya@example.org"), &key.code_at(&house)), 303);
}

#[test]
fn s11_a_parent_adds_a_second_step_with_the_password_and_takes_it_away_again() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let browser = house.after_password("ana@example.org");
    browser.get("/account").must_be(200).must_say("Your account").must_say("A code from your phone keeps others out");
    let page = browser.get("/account/second-step");
    let (drawn, key) = (page.field("drawn").expect("drawn"), AppKey::on(&page));
    let code = key.code_at(&house);
    let without = browser.post("/account/second-step", &[("drawn", &drawn), ("code", &code), ("password", "wrong")]);
    without.must_be(422).must_say("This is not your password now");
    assert_eq!(AppKey::on(&without).code_at(&house), code, "what was scanned before the slip still serves");
    assert_eq!(without.field("code"), Some(code.clone()), "what was typed is kept");
    let drawn = without.field("drawn").expect("drawn");
    let fields = [("drawn", drawn.as_str()), ("code", &code), ("password", PASSWORD)];
    assert_eq!(browser.post("/account/second-step", &fields).location(), "/account");
    browser.get("/account").must_say("10 recovery codes are left");
    house.app.clock.advance(TimeDelta::minutes(1));
    let elsewhere = house.after_password("ana@example.org");
    assert_eq!(elsewhere.get("/registrations").status, 303);
    assert_eq!(typed_code(&elsewhere, &key.code_at(&house)), 303);
    elsewhere.get("/registrations").must_be(200);
    let remove = "/account/second-step/remove";
    browser.submit(remove, remove, &[("current", "wrong")]).must_be(422).must_say("This is not your password now");
    assert_eq!(browser.submit(remove, remove, &[("current", PASSWORD)]).location(), "/account");
    house.after_password("ana@example.org").get("/registrations").must_be(200);
    let kinds: Vec<String> = house.letters_out().into_iter().map(|(kind, _)| kind).collect();
    assert_eq!(kinds, ["second_step_on", "second_step_off"]);

    let (staff, _, _) = priya(&house);
    assert_eq!(staff.get(remove).location(), "/account", "staff are not asked");
    staff.submit("/account", remove, &[("current", PASSWORD)]).must_be(403);
}

#[test]
fn s33_no_value_in_a_form_on_the_way_in_breaks_it_or_is_lost() {
    let house = TestApp::start();
    let (_, key, _) = priya(&house);
    house.add_instructor();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let mut asked = 0;
    let mut must_be = |reply: &crate::house::browser::Answered, allowed: &[u16], value: &str| {
        let start: String = value.chars().take(60).collect();
        assert!(allowed.contains(&reply.status), "{start:?}: {} {}", reply.status, reply.words());
        asked += 1;
    };
    for (class, value) in typed().into_iter().chain(carried()) {
        // Each try a quarter of an hour after the last, so that none is only slowed.
        house.app.clock.advance(TimeDelta::minutes(16));
        let browser = house.after_password("priya@example.org");
        let reply = browser.submit("/sign-in/code", "/sign-in/code", &[("code", &value), ("next", &value)]);
        must_be(&reply, &[422, 400, 413], &value);
        assert!(reply.status != 422 || reply.field("code").is_some(), "{class:?} {value:?}: the form is gone");
        let fresh = house.after_password("rafael@example.org");
        let page = fresh.get("/sign-in/second-step");
        let (drawn, code) = (page.field("drawn").expect("drawn"), "000000");
        for fields in [[("drawn", value.as_str()), ("code", code)], [("drawn", &drawn), ("code", &value)]] {
            must_be(&fresh.post("/sign-in/second-step", &fields), &[422, 400, 413], &value);
        }
        let parent = house.after_password("ana@example.org");
        let remove = "/account/second-step/remove";
        must_be(&parent.submit("/account", remove, &[("current", &value)]), &[422, 400, 413, 303], &value);
    }
    for (_, value) in typed() {
        let first = waymark::services::add_staff::first_link(&house.app).expect("a link");
        let way = format!("/first-account/{}", first.split("/first-account/").nth(1).expect("a token"));
        let fields = [("given", value.as_str()), ("family", &value), ("email", "none"), ("phone", &value)];
        must_be(&house.stranger().submit(&way, &way, &fields), &[422, 400, 413], &value);
    }
    for (_, piece) in pieces() {
        let stranger = house.stranger();
        let path = format!("/first-account/{}", crate::house::browser::escaped(&piece));
        must_be(&stranger.get(&path), &[410, 404, 400, 405], &piece);
        let path = format!("/links/{}", crate::house::browser::escaped(&piece));
        must_be(&stranger.get(&path), &[410, 404, 400, 405, 200], &piece);
        must_be(&stranger.submit("/sign-in", &path, &[("then", &piece)]), &[410, 404, 400, 405], &piece);
    }
    assert!(asked > 300, "{asked} requests");
    house.app.clock.advance(TimeDelta::minutes(16));
    let browser = house.after_password("priya@example.org");
    assert_eq!(typed_code(&browser, &key.code_at(&house)), 303, "and the right code still serves");
}
