//! Brothers and sisters in line who want seats together or none.

use chrono::TimeDelta;

use super::{child, family};
use crate::house::app::{TestApp, saturday};

#[test]
fn family_6_brothers_and_sisters_get_seats_together_and_a_single_seat_goes_to_the_next() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday() + TimeDelta::days(7));
    let (mia, one) = family(&house, &session, "Mia", "mia@example.org");
    let (ada, two) = family(&house, &session, "Ada", "ada@example.org");
    let (otto, first) = family(&house, &session, "Otto", "otto@example.org");
    otto.get(&first).must_say("While you wait");
    assert!(!otto.get(&first).says("Seats together, or none"), "one child alone");
    let second = otto.register_another(&session, &child("Lew"));
    let (bo, third) = family(&house, &session, "Bo", "bo@example.org");
    otto.get(&first).must_say("Seats together, or none");
    otto.post(&format!("{first}/line"), &[("together", "yes")]).must_be(303);
    otto.get(&second).must_say("Place 2 in line");
    let last = otto.register_another(&session, &child("Ines"));
    assert!(otto.get(&last).body.contains("name=\"together\" value=\"yes\" checked"), "one more child, the same wish");
    otto.post(&format!("{last}/give-up"), &[]).must_be(303);
    assert!(otto.get(&second).body.contains("name=\"together\" value=\"yes\" checked"), "the wish is the family's");
    mia.get(&one);
    mia.post(&format!("{one}/give-up"), &[]).must_be(303);
    bo.get(&third).must_say("A seat is free for Bo");
    otto.get(&first).must_say("Place 1 in line");
    ada.get(&two);
    ada.post(&format!("{two}/give-up"), &[]).must_be(303);
    bo.get(&third);
    bo.post(&format!("{third}/offer"), &[("answer", "no")]).must_be(303);
    otto.get(&first).must_say("A seat is free for Otto");
    otto.get(&second).must_say("A seat is free for Lew");
    assert_eq!(house.counts(), (2, 0));
}

#[test]
fn family_6_a_wish_can_be_taken_back_and_then_each_child_counts_alone() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday() + TimeDelta::days(7));
    let (mia, one) = family(&house, &session, "Mia", "mia@example.org");
    let (otto, first) = family(&house, &session, "Otto", "otto@example.org");
    let second = otto.register_another(&session, &child("Lew"));
    otto.get(&first);
    otto.post(&format!("{second}/line"), &[("together", "yes"), ("standby", "yes")]).must_be(303);
    mia.get(&one);
    mia.post(&format!("{one}/give-up"), &[]).must_be(303);
    house.come_round();
    otto.get(&first).must_say("Place 1 in line");
    assert_eq!(house.counts(), (0, 2), "one seat is free, and two are wanted");
    otto.post(&format!("{first}/line"), &[]).must_be(303);
    house.come_round();
    otto.get(&first).must_say("A seat is free for Otto");
    otto.get(&second).must_say("Place 1 in line").must_say("We can come at short notice");
    otto.post(&format!("{first}/line"), &[("standby", "yes")]).must_be(409);
    mia.get("/");
    mia.post(&format!("{second}/line"), &[("standby", "yes")]).must_be(404);
}
