//! Health answers that a family keeps for the next registration, by its own choice.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::store::schema::kept_health;

use super::child_of;
use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::season::{Fields, adults, health, rider, sizes, step, with};

/// A word that stands in no other text.
const CANARY: &str = "quillfeather";

/// Ingrid with a seat for Zoë; her health answers name the canary, and are kept if she wants it.
fn family(house: &TestApp, keep: &str) -> Browser {
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer(&session, "rider", &rider()).must_be(303);
    let answers = with(with(health(), "more", CANARY), "keep", keep);
    browser.answer(&session, "health", &answers).must_be(303);
    browser.answer(&session, "adults", &adults("ingrid@example.org")).must_be(303);
    browser.answer(&session, "sizes", &sizes()).must_be(303);
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    browser.sign(&session, &fields).must_be(303);
    house.confirm("ingrid@example.org");
    browser
}

/// The first step of a session for the child of a family.
#[track_caller]
fn begin(browser: &Browser, session: &str) {
    let known = browser.get(&step(session, "rider")).field("known").expect("the child is known");
    let answers: Fields = vec![("known", known), ("ridden", "few".to_owned())];
    browser.answer(session, "rider", &answers).must_be(303);
}

fn kept(house: &TestApp) -> i64 {
    house.rows(|conn| kept_health::table.count().get_result(conn))
}

#[test]
fn u05_what_a_family_kept_is_taken_next_time_by_one_press() {
    let house = TestApp::start();
    let browser = family(&house, "yes");
    assert_eq!(kept(&house), 1);
    let next = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    begin(&browser, &next);
    let page = browser.get(&step(&next, "health"));
    page.must_say("Zoë Marisol's answers of June 10, 2026 are in the form.").must_say("Nothing has changed");
    assert!(page.body.contains(CANARY), "the family reads its own answers");
    let pressed = browser.post(&step(&next, "health"), &[("unchanged", "yes")]);
    assert_eq!(pressed.location(), step(&next, "adults"));
    browser.answer_the_rest_after_health(&next);
    let rafael = house.add_instructor();
    house.put_on(&next, rafael, waymark::domain::access::Duty::Lead);
    let receipt = browser.get("/registrations");
    let reference = receipt.body.split("/registrations/").nth(1).and_then(|rest| rest.split('"').next()).expect("it");
    let emergency = house.signed_in("rafael@example.org").get(&format!("/roster/{next}/riders/{reference}/health"));
    assert!(emergency.body.contains(CANARY), "{}", emergency.words());
    assert_eq!(kept(&house), 1, "kept again");
}

#[test]
fn family_3_nothing_is_kept_unasked_and_what_is_kept_goes_when_the_family_says_so() {
    let house = TestApp::start();
    let browser = family(&house, "");
    assert_eq!(kept(&house), 0, "only by choice");
    let next = house.add_session("young", 4, saturday() + TimeDelta::days(14));
    begin(&browser, &next);
    let page = browser.get(&step(&next, "health"));
    assert!(!page.says("Nothing has changed") && !page.body.contains(CANARY));
    browser.post(&step(&next, "health"), &[("unchanged", "yes")]).must_be(422);

    let house = TestApp::start();
    let browser = family(&house, "yes");
    let child = child_of(&browser);
    browser.get(&child).must_say("Your answers of June 10, 2026 are kept for the next registration.");
    assert_eq!(browser.post(&format!("{child}/health/forget"), &[]).location(), child);
    assert_eq!(kept(&house), 0);
    browser.post(&format!("{child}/health/forget"), &[]).must_be(303);
    assert!(!browser.get(&child).says("are kept for the next registration"));
    assert_eq!(house.actions().iter().filter(|action| *action == "health.forget").count(), 1);
}

#[test]
fn s28_s54_kept_answers_are_sealed_to_their_row_and_shown_to_nobody_but_the_childs_adults() {
    let house = TestApp::start();
    let browser = family(&house, "yes");
    let (key, body): (Vec<u8>, Vec<u8>) =
        house.rows(|conn| kept_health::table.select((kept_health::row_key, kept_health::body)).first(conn));
    assert!(!body.windows(CANARY.len()).any(|part| part == CANARY.as_bytes()), "nothing lies open in the database");
    let key: [u8; 16] = key.try_into().expect("sixteen bytes");
    let plain = house.app.cipher.open("kept_health", "body", &key, &body).expect("it opens at its own place");
    assert!(String::from_utf8_lossy(&plain).contains(CANARY));
    assert!(house.app.cipher.open("health_notes", "body", &key, &body).is_err(), "and at no other");
    assert!(house.app.cipher.open("kept_health", "body", &[0; 16], &body).is_err(), "nor in another row");

    let child = child_of(&browser);
    let forget = format!("{child}/health/forget");
    let otto = house.stranger();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    otto.register(&session, &with(rider(), "given", "Otto"), "otto@example.org");
    otto.get("/riders");
    otto.post(&forget, &[]).must_be(404);
    assert_eq!(kept(&house), 1);
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    assert!(!priya.get(&child.replace("/riders/", "/families/")).body.contains(CANARY));
    // Whose custody ended finds the answers of before nowhere.
    let next = house.add_session("young", 4, saturday() + TimeDelta::days(14));
    begin(&browser, &next);
    house.set("UPDATE guardianships SET state = 'revoked' WHERE guardian_id = 1");
    let page = browser.get(&step(&next, "health"));
    assert!(!page.body.contains(CANARY), "{}", page.words());
}

#[test]
fn family_4_another_child_chosen_later_does_not_get_the_first_ones_health_and_size() {
    let house = TestApp::start();
    let browser = family(&house, "");
    let next = house.add_session("young", 4, saturday() + TimeDelta::days(14));
    begin(&browser, &next);
    browser.answer(&next, "health", &with(health(), "more", CANARY)).must_be(303);
    browser.answer(&next, "rider", &with(rider(), "given", "Mateo")).must_be(303);
    let page = browser.get(&step(&next, "health"));
    assert!(!page.body.contains(CANARY), "the answers were about another child");
    // A name that is put right is the same child: nothing is lost.
    browser.answer(&next, "health", &with(health(), "more", CANARY)).must_be(303);
    browser.answer(&next, "rider", &with(rider(), "given", "Matteo")).must_be(303);
    assert!(browser.get(&step(&next, "health")).body.contains(CANARY));
}

#[test]
fn family_3_a_child_that_is_typed_anew_is_recognised_and_loses_nothing_that_is_kept() {
    let house = TestApp::start();
    let browser = family(&house, "yes");
    let next = house.add_session("young", 4, saturday() + TimeDelta::days(14));
    browser.answer(&next, "rider", &rider()).must_be(303);
    browser.get(&step(&next, "health")).must_say("Nothing has changed");
    browser.post(&step(&next, "health"), &[("unchanged", "yes")]).must_be(303);
    browser.answer_the_rest_after_health(&next);
    assert_eq!(kept(&house), 1);
    // Who takes the tick out has seen that something is kept.
    let later = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    begin(&browser, &later);
    browser.answer(&later, "health", &health()).must_be(303);
    browser.answer_the_rest_after_health(&later);
    assert_eq!(kept(&house), 0);
}
