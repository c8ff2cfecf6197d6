//! Custody changes: an adult who may decide no more finds every way shut, in pages, letters, files and on the field.

use chrono::TimeDelta;
use waymark::services::places;

use super::{CHIDI, Family, family, lead, link_in, on_the_roster};
use crate::house::app::TestApp;
use crate::house::browser::Browser;

/// Priya of the office, who has seen a court's paper.
fn office(family: &Family) -> Browser {
    family.house.add_coordinator();
    family.house.signed_in("priya@example.org")
}

/// The office decides how the adult of a number stands to the child.
#[track_caller]
fn decide(family: &Family, priya: &Browser, number: usize, state: &str) {
    let way = family.child.replace("/riders/", "/families/");
    let page = format!("{way}/adults/{number}");
    let seen = priya.get(&page).field("seen").expect("how it stands");
    let sent = [("seen", seen.as_str()), ("state", state), ("note", "Order of the district court, June 9")];
    assert_eq!(priya.post(&page, &sent).location(), way);
}

#[test]
fn s30_a_guardian_whose_custody_is_restricted_finds_every_way_shut_at_once() {
    let family = family();
    let chidi = family.joined();
    let priya = office(&family);
    family.house.at("2026-06-15T15:00:00");
    places::remind(&family.house.app).expect("the job");
    let question = family.house.question_to("ingrid@example.org");
    family.house.stranger().get(&question).must_be(200);
    let ingrid = super::super::places::back(&family.house, "ingrid@example.org");
    let ways: Vec<String> = ["", "/calendar.ics", "/consent", "/sign", "/give-up", "/move"]
        .iter()
        .map(|tail| format!("{}{tail}", family.receipt))
        .chain(["", "/adults", "/leave"].iter().map(|tail| format!("{}{tail}", family.child)))
        .collect();
    let open = |browser: &Browser, way: &str| browser.get(way).status;
    for way in ways.iter().filter(|way| !way.ends_with("/sign")) {
        assert_eq!(open(&ingrid, way), 200, "{way}");
    }
    let priya = {
        drop(priya);
        family.house.signed_in("priya@example.org")
    };
    decide(&family, &priya, 1, "restricted");
    for way in &ways {
        assert_eq!(open(&ingrid, way), 404, "{way}");
    }
    for (tail, field) in [("give-up", "sure"), ("coming", "answer"), ("line", "standby"), ("letter", "again")] {
        ingrid.get("/riders");
        ingrid.post(&format!("{}/{tail}", family.receipt), &[(field, "yes")]).must_be(404);
    }
    ingrid.get("/riders").must_say("You have not registered a child yet");
    assert!(!ingrid.get("/").says("Zoë") && !ingrid.get("/registrations").says("Zoë"));
    // The letter of before answers nothing more; the question goes to the other adult.
    family.house.stranger().get(&question).must_be(410);
    let asked = family.house.question_to("chidi@example.org");
    family.house.answer(&asked, "yes").must_be(303);
    priya.get(&family.child.replace("/riders/", "/families/"));
    let chidi = {
        drop(chidi);
        sign_in_by_link(&family, "chidi@example.org")
    };
    chidi.get(&family.receipt).must_say("Seat confirmed");
    // Another letter to the same adult cannot undo what the office decided.
    chidi.get(&family.child);
    let again = [("name", "Ingrid"), ("email", "ingrid@example.org"), ("language", "en")];
    chidi.post(&format!("{}/adults", family.child), &again).must_be(303);
    let link = link_in(&family.house.letters_out());
    let page = ingrid.get(&link);
    page.must_be(200);
    ingrid.post(&link, &[]).must_be(409).must_say("The office decides about this. Please call.");
    assert_eq!(open(&ingrid, &family.receipt), 404);
}

/// Signs in as somebody without a password.
fn sign_in_by_link(family: &Family, email: &str) -> Browser {
    family.house.letters_out();
    family.house.stranger().submit("/sign-in/link", "/sign-in/link", &[("email", email)]).must_be(303);
    let link = family.house.link_in_the_letter();
    let browser = family.house.stranger();
    browser.submit(&link, &link, &[]).must_be(303);
    browser
}

#[test]
fn s30_the_child_is_not_released_to_a_restricted_adult_and_their_signature_counts_no_more() {
    let family = family();
    let chidi = family.joined();
    let priya = office(&family);
    let rafael = lead(&family);
    let page = on_the_roster(&family);
    assert!(!rafael.get(&page).says("No signed consent stands"));
    decide(&family, &priya, 1, "restricted");
    rafael.get(&page).must_say("No signed consent stands");
    chidi.get("/").must_say("Nobody starts without it.");
    chidi.sign_for(&family.receipt, "Chidi Okafor").must_be(303);
    assert!(!rafael.get(&page).says("No signed consent stands"));
}

#[test]
fn s30_a_child_that_is_here_is_not_released_to_an_adult_whose_custody_was_restricted_meanwhile() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = format!("/roster/{}/riders/{}", field.session, field.zoe);
    field.lead.get(&page).must_say("Zoë Marisol leaves with Ingrid Lindqvist");
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let sheet = priya.get(&format!("/season/{}/riders/{}", field.session, field.zoe));
    let way = sheet.body.split("href=\"/families/").nth(1).and_then(|rest| rest.split('"').next()).expect("a way");
    let decides = format!("/families/{way}/adults/1");
    priya.get(&decides);
    priya.post(&decides, &[("seen", "active"), ("state", "restricted"), ("note", "Order seen")]).must_be(303);
    let view = field.lead.get(&page);
    view.must_say("Do not release Zoë Marisol to: Ingrid Lindqvist.").must_say("Zoë Marisol leaves with Chidi Okafor");
    assert!(!view.says("leaves with Ingrid Lindqvist"));
    let out = |adult| field.tap(&house, &field.lead, "check_out", &[("adult", adult)]);
    out("Ingrid Lindqvist").must_be(422).must_say("Ingrid Lindqvist");
    out("Chidi Okafor").must_be(303);
}

#[test]
fn s30_letters_about_a_place_go_to_who_may_decide_and_to_nobody_when_there_is_none() {
    let family = family();
    let priya = office(&family);
    decide(&family, &priya, 1, "revoked");
    let way = family.child.replace("/riders/", "/families/");
    priya.get(&way).must_say("Nobody may decide for this child now.").must_say("Order of the district court, June 9");
    family.house.at("2026-06-13T15:00:00");
    places::remind(&family.house.app).expect("the job");
    assert!(family.house.letters_out().is_empty(), "nobody is written to");
    let priya = family.house.signed_in("priya@example.org");
    let sheet = format!("/season/{}{}", family.session, family.receipt.replace("/registrations/", "/riders/"));
    priya.get(&sheet).must_say("Nobody may decide for this child now");
    decide(&family, &priya, 1, "active");
    family.house.app.clock.advance(TimeDelta::minutes(1));
    places::remind(&family.house.app).expect("the job");
    let letters = family.house.letters_out();
    assert!(letters.iter().all(|(_, letter)| letter.to.address == "ingrid@example.org"));
}

#[test]
fn family_3_the_only_adult_cannot_stand_back_and_one_of_two_can() {
    let family = family();
    family.ingrid.get(&format!("{}/leave", family.child)).must_say("Nobody else answers for this child here.");
    family.ingrid.get(&family.child);
    family.ingrid.post(&format!("{}/leave", family.child), &[]).must_be(409).must_say("Nobody else answers");
    let chidi = family.joined();
    family.ingrid.get(&format!("{}/leave", family.child)).must_say("Stop answering for Zoë Marisol?");
    assert_eq!(family.ingrid.post(&format!("{}/leave", family.child), &[]).location(), "/riders");
    family.ingrid.get(&family.receipt).must_be(404);
    chidi.get(&family.child).must_be(200);
    chidi.get("/").must_say("Nobody starts without it.");
    chidi.post(&format!("{}/leave", family.child), &[]).must_be(409);
}

#[test]
fn family_3_two_who_press_at_once_join_once() {
    let family = family();
    let link = link_in(&family.ask_chidi());
    let browsers: Vec<Browser> = (0..4).map(|_| family.house.stranger()).collect();
    // Each has the form before anybody presses.
    for browser in &browsers {
        browser.get(&link).must_be(200);
    }
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let press = |browser: Browser| {
            let link = link.clone();
            move || browser.post(&link, &CHIDI).status
        };
        let all: Vec<_> = browsers.into_iter().map(|browser| scope.spawn(press(browser))).collect();
        all.into_iter().map(|one| one.join().expect("an answer")).collect()
    });
    assert_eq!(statuses.iter().filter(|status| **status == 303).count(), 1, "{statuses:?}");
    assert!(statuses.iter().all(|status| [303, 410].contains(status)), "{statuses:?}");
    family.ingrid.get(&family.child).must_say("You Chidi Okafor");
}
