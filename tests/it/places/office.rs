//! The office acts for families that call, and for those whom no letter reaches.

use chrono::TimeDelta;

use super::family;
use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;

fn house() -> (TestApp, Browser, String) {
    let house = TestApp::start();
    house.add_coordinator();
    let session = house.add_session("young", 1, saturday() + TimeDelta::days(7));
    let priya = house.signed_in("priya@example.org");
    (house, priya, session)
}

/// The office's page of a place.
fn page(session: &str, receipt: &str) -> String {
    format!("/season/{session}/riders/{}", receipt.rsplit('/').next().expect("a reference"))
}

#[test]
fn family_6_the_office_gives_a_place_up_for_a_family_after_a_second_look_and_the_family_is_told() {
    let (house, priya, session) = house();
    let (mia, receipt) = family(&house, &session, "Mia", "mia@example.org");
    let (otto, waits) = family(&house, &session, "Otto", "otto@example.org");
    house.letters_out();
    let way = page(&session, &receipt);
    let sheet = priya.get(&way);
    sheet.must_be(200).must_say("Mia Okafor-Lindqvist").must_say("Ingrid Lindqvist").must_say("(406) 555-0118");
    assert!(!sheet.says("bee stings"), "health notes are for the team of the day");
    priya.get(&format!("/season/{session}")).must_say("Mia Okafor-Lindqvist");
    priya.post(&way, &[("act", "give_up")]).must_be(422).must_say("Tick that the family wants this");
    mia.get(&receipt).must_say("Seat confirmed");
    assert_eq!(priya.post(&way, &[("act", "give_up"), ("sure", "yes")]).location(), way);
    mia.get(&receipt).must_say("the office gave the place up for you");
    otto.get(&waits).must_say("A seat is free for Otto");
    let letters = house.letters_out();
    let told = &letters.iter().find(|(kind, _)| kind == "place_given_up").expect("a letter").1;
    assert!(told.text.contains("The office gave up the place of Mia for you."), "{}", told.text);
    priya.post(&way, &[("act", "give_up"), ("sure", "yes")]).must_be(409).must_say("Nothing was changed.");
    priya.get(&way).must_say("the office gave the place up for the family");
}

#[test]
fn family_2_a_family_without_mail_is_called_about_a_free_seat_and_the_office_writes_down_what_it_says() {
    let (house, priya, session) = house();
    let (mia, receipt) = family(&house, &session, "Mia", "mia@example.org");
    let (_, waits) = family(&house, &session, "Otto", "otto@example.org");
    house.set("UPDATE guardians SET email = NULL, account_id = NULL WHERE email = 'otto@example.org'");
    mia.get(&receipt);
    mia.post(&format!("{receipt}/give-up"), &[]).must_be(303);
    priya.get("/").must_say("Families to ask").must_say("1 family without e-mail has a seat offered.");
    let way = page(&session, &waits);
    priya.get(&way).must_say("none: this family is called").must_say("seat offered").must_say("They take the seat");
    assert_eq!(priya.post(&way, &[("act", "take")]).location(), way);
    priya.get(&way).must_say("the offered seat was taken").must_say("They say the child comes");
    priya.post(&way, &[("act", "comes")]).must_be(303);
    priya.get(&way).must_say("Yes, said on June 10, 2026");
    priya.post(&way, &[("act", "take")]).must_be(409).must_say("Nothing was changed.");
    assert_eq!(house.counts(), (1, 0));
}

#[test]
fn family_6_a_child_that_stands_by_gets_a_free_seat_from_the_office_up_to_the_last_hour() {
    let (house, priya, session) = house();
    let (_, receipt) = family(&house, &session, "Mia", "mia@example.org");
    let (otto, waits) = family(&house, &session, "Otto", "otto@example.org");
    otto.get(&waits).must_say("While you wait");
    otto.post(&format!("{waits}/line"), &[("standby", "yes")]).must_be(303);
    let way = page(&session, &waits);
    priya.get(&format!("/season/{session}")).must_say("at short notice");
    priya.get(&way).must_say("Can come up to the last hour");
    priya.post(&way, &[("act", "seat")]).must_be(409).must_say("No seat is free in this session.");
    house.at("2026-06-20T13:00:00");
    super::back(&house, "mia@example.org").submit(&receipt, &format!("{receipt}/give-up"), &[]).must_be(303);
    house.come_round();
    let priya = house.signed_in("priya@example.org");
    priya.get(&way).must_say("waits");
    priya.post(&way, &[("act", "seat")]).must_be(303);
    priya.get(&way).must_say("the office gave the seat");
    assert_eq!(house.counts(), (1, 0));
}

#[test]
fn family_2_a_held_seat_is_kept_by_the_office_for_a_family_that_calls() {
    let (house, priya, session) = house();
    let browser = house.stranger();
    let receipt = browser.register(&session, &super::child("Mia"), "mia@example.org");
    let way = page(&session, &receipt);
    priya.get(&way).must_say("seat held");
    priya.post(&way, &[("act", "seat")]).must_be(303);
    house.app.clock.advance(TimeDelta::minutes(20));
    browser.get(&receipt).must_say("Seat confirmed").must_say("the office gave you the seat");
    house.at("2026-06-11T18:00:00");
    house.come_round();
    assert_eq!(house.counts(), (1, 0));
}

#[test]
fn s26_a_place_is_found_below_its_own_session_only_and_by_the_office_only() {
    let (house, priya, session) = house();
    let other = house.add_session("young", 1, saturday() + TimeDelta::days(14));
    let (mia, receipt) = family(&house, &session, "Mia", "mia@example.org");
    for wrong in [page(&other, &receipt), page(&session, "/registrations/nothing")] {
        priya.get(&wrong).must_be(404);
        priya.get("/");
        priya.post(&wrong, &[("act", "give_up"), ("sure", "yes")]).must_be(404);
        priya.post(&format!("{wrong}/move"), &[("session", &other)]).must_be(404);
    }
    let way = page(&session, &receipt);
    mia.get("/");
    mia.get(&way).must_be(403);
    mia.post(&way, &[("act", "give_up"), ("sure", "yes")]).must_be(403);
    priya.get(&format!("{way}/move")).must_be(200).must_say("Move Mia to another session");
    let moved = priya.post(&format!("{way}/move"), &[("session", &other)]);
    assert_eq!(moved.location(), page(&other, &receipt));
    priya.get(&way).must_be(404);
    mia.get(&receipt).must_say("Saturday, June 27, 2026");
}
