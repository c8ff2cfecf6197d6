//! Which machines go to which session: at one site a day, and with one session at a time.

use std::sync::Barrier;

use diesel::prelude::*;
use waymark::store::schema::session_machines;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::site_in;

struct Yard {
    house: TestApp,
    priya: Browser,
}

impl Yard {
    /// Machines 1 to 3 for children of six, and 12 for those of twelve.
    fn new() -> Self {
        let house = TestApp::start();
        house.add_coordinator();
        for (number, category) in [("1", "Y-6+"), ("2", "Y-6+"), ("3", "Y-6+"), ("12", "Y-12+")] {
            house.add_atv(number, category, "ready");
        }
        let priya = house.signed_in("priya@example.org");
        Self { house, priya }
    }

    fn session(&self, site: &str, seats: i64) -> String {
        self.house.add_session_at(site_in("30049", site, None), seats, saturday())
    }

    fn send(&self, session: &str, machines: &[&str]) -> Answered {
        let page = format!("/season/{session}/machines");
        let names: Vec<String> = machines.iter().map(|number| format!("machine_atv{number}")).collect();
        let fields: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), "yes")).collect();
        self.priya.submit(&page, &page, &fields)
    }

    fn going(&self) -> i64 {
        self.house.rows(|conn| session_machines::table.count().get_result(conn))
    }
}

#[test]
fn day_1_no_machine_goes_to_two_sites_on_one_day() {
    let yard = Yard::new();
    let (ridge, creek) = (yard.session("Ridge Field", 3), yard.session("Creek Field", 2));
    yard.send(&ridge, &["1", "2"]).must_be(303);
    let page = yard.priya.get(&format!("/season/{creek}/machines"));
    page.must_say("Nobody has said which machines go.").must_say("Goes to Ridge Field on June 13");
    let refused = yard.send(&creek, &["2", "3"]);
    refused.must_be(409).must_say("Machine 2 goes to Ridge Field on Saturday, June 13, 2026.");
    assert!(refused.body.contains("name=\"machine_atv3\" value=\"yes\" checked"), "what was ticked is kept");
    assert_eq!(yard.going(), 2, "all or nothing");
    // Taken out there, it may come here.
    yard.send(&ridge, &["1"]).must_be(303);
    yard.send(&creek, &["2", "3"]).must_be(303);
    assert_eq!(yard.going(), 3);
}

#[test]
fn day_1_as_many_machines_as_seats_are_proposed_ready_free_and_for_every_age() {
    let yard = Yard::new();
    yard.house.add_atv("4", "Y-6+", "out_of_use");
    let (ridge, creek) = (yard.session("Ridge Field", 3), yard.session("Creek Field", 2));
    yard.send(&creek, &["1"]).must_be(303);
    let page = yard.priya.get(&format!("/season/{ridge}/machines?propose=yes"));
    page.must_say("Ticked for you, not saved yet.").must_say("Not for age 6").must_say("Out of use");
    let ticked = |number: &str| page.body.contains(&format!("name=\"machine_atv{number}\" value=\"yes\" checked"));
    assert_eq!(["1", "2", "3", "4", "12"].map(ticked), [false, true, true, false, false]);
    assert_eq!(yard.going(), 1, "a proposal is not saved");
    yard.send(&ridge, &["2", "3", "12"]).must_be(303);
    yard.priya.get(&format!("/season/{ridge}/machines")).must_say("3 go, for 3 seats. 2 suit every age");
}

#[test]
fn day_1_a_list_that_somebody_else_changed_meanwhile_is_not_written_over() {
    let yard = Yard::new();
    let ridge = yard.session("Ridge Field", 3);
    let page = format!("/season/{ridge}/machines");
    let old = yard.priya.get(&page);
    let seen = old.field("seen").expect("what the form was drawn from");
    yard.send(&ridge, &["1"]).must_be(303);
    yard.priya.post(&page, &[("seen", &seen), ("machine_atv2", "yes")]).must_be(409).must_say("changed");
    assert_eq!(yard.going(), 1);
    yard.priya.post(&page, &[("seen", &seen), ("machine_nobody", "yes")]).must_be(404);
}

#[test]
fn day_1_two_coordinators_who_send_the_same_machine_at_once_send_it_to_one_site() {
    let yard = Yard::new();
    let sessions = [yard.session("Ridge Field", 3), yard.session("Creek Field", 3)];
    let pages = sessions.each_ref().map(|session| format!("/season/{session}/machines"));
    let seen = pages.each_ref().map(|page| yard.priya.get(page).field("seen").expect("a form"));
    let token = yard.priya.get(&pages[0]).form_token().expect("a form");
    let start = Barrier::new(8);
    let answers: Vec<u16> = std::thread::scope(|scope| {
        let hands: Vec<_> = (0..8)
            .map(|hand| {
                let (browser, page, seen) = (yard.priya.copy(), &pages[hand % 2], &seen[hand % 2]);
                let (token, start) = (&token, &start);
                scope.spawn(move || {
                    start.wait();
                    let fields = [("form_token", token.as_str()), ("seen", seen.as_str()), ("machine_atv1", "yes")];
                    browser.post_whole(page, &fields).status
                })
            })
            .collect();
        hands.into_iter().map(|hand| hand.join().expect("a hand")).collect()
    });
    assert_eq!(answers.iter().filter(|status| **status == 303).count(), 1, "{answers:?}");
    assert_eq!(yard.going(), 1);
}

#[test]
fn day_1_on_the_field_the_machines_of_the_session_come_first_and_others_are_named_as_not_packed() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_coordinator();
    house.add_atv("2", "Y-6+", "ready");
    house.add_atv("5", "Y-6+", "ready");
    let page = format!("/season/{}/machines", field.session);
    house.signed_in("priya@example.org").submit(&page, &page, &[("machine_atv5", "yes")]).must_be(303);
    let machines = field.lead.get(&field.at("/machines"));
    machines.must_say("0 of 1").must_say("No. 5");
    assert!(!machines.says("No. 2"));
    field.sign_day_list(&house);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let choice = field.lead.get(&field.of_zoe("/fit"));
    choice.must_say("Not packed for this session.");
    let at = |number: &str| choice.words().find(&format!("No. {number},")).expect("a machine");
    assert!(at("5") < at("2") && at("5") < at("4"));
    // What is used all the same stands on the list.
    field.lead.get(&field.at("/machines")).must_say("No. 4").must_say("1 of 2");
}
