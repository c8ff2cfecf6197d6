//! Looking a machine over before the ride: what it opens, what a fault closes at once, and for whom.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::point_lists::keep_point_lists;
use waymark::store::schema::{machine_defects, machines};
use waymark::store::sessions::find_session;

use crate::house::app::TestApp;
use crate::house::field::Field;

/// Here, geared and fitted, with the lessons before the first wheel turns met, and machine 4 not looked over.
fn before_the_ride(house: &TestApp) -> Field {
    let field = house.field_day();
    field.look_over(&field.lead, &[], true).must_be(303);
    field.tap(house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(house, &field.lead, "helmet_check", &[("all", "yes")]).must_be(303);
    field.fit(house, &field.lead, &[]).must_be(303);
    for lesson in ["1", "2", "3", "4"] {
        field.tap(house, &field.lead, "lesson_marks", &[("lesson", lesson), ("mark", "meets")]).must_be(303);
    }
    field
}

fn rides(house: &TestApp, field: &Field) -> crate::house::browser::Answered {
    field.tap(house, &field.lead, "mark", &[("check", "5.1"), ("mark", "meets")])
}

fn state(house: &TestApp) -> String {
    house.rows(|conn| machines::table.filter(machines::number.eq("4")).select(machines::state).first(conn))
}

#[test]
fn day_1_no_riding_mark_is_taken_on_a_machine_that_nobody_looked_over_today() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    rides(&house, &field).must_be(422).must_say("Look machine 4 over first. Nobody has done so today.");
    field.lead.get(&field.at("/machines")).must_say("0 of 1").must_say("Not looked over yet");
    field.lead.get(&field.at("/lessons/5")).must_say("Look machine 4 over first.");
    // A stop is always taken, and so is going home.
    field.tap(&house, &field.lead, "mark", &[("check", "5.2"), ("mark", "stopped")]).must_be(303);
    // A helper of the team may look it over.
    let dewey = house.signed_in("dewey@example.org");
    let page = field.look_over_machine(&house, &dewey, "4", &[]);
    page.must_be(303);
    dewey
        .get(&field.at("/machines/atv4"))
        .must_say("Machine 4 looked over, all right")
        .must_say("Looked over at 8:40 AM");
    rides(&house, &field).must_be(303);
    field.lead.get(&field.at("/machines")).must_say("1 of 1").must_say("Zoë Marisol Okafor-Lindqvist starts on it");
}

#[test]
fn day_1_a_point_that_is_not_right_takes_the_machine_out_of_use_at_once_and_stops_its_rider() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    field.look_over_machine(&house, &field.lead, "4", &[]).must_be(303);
    rides(&house, &field).must_be(303);
    let wrong = [("wrong_brakes", "yes"), ("words_brakes", "rear brake does not hold")];
    field.look_over_machine(&house, &field.lead, "4", &wrong).must_be(303);
    assert_eq!(state(&house), "out_of_use");
    let roster = field.lead.get(&field.at(""));
    roster.must_say("Machine 4 is out of use.").must_say("Zoë Marisol Okafor-Lindqvist starts on it. Stop this rider.");
    rides(&house, &field).must_be(422).must_say("Machine 4 is out of use. The rider gets off it");
    let machine = field.lead.get("/machines/atv4");
    machine.must_say("out of use").must_say("Brakes: rear brake does not hold");
    // Mended, it is ready for the fleet, and is looked over again before anybody rides it.
    let mend = "/machines/atv4/faults/1/mend";
    field.lead.submit("/machines/atv4", mend, &[("note", "new cable")]).must_be(303);
    assert_eq!(state(&house), "ready");
    assert!(!field.lead.get(&field.at("")).says("Stop this rider"));
    rides(&house, &field).must_be(422).must_say("Look machine 4 over first.");
    field.look_over_machine(&house, &field.lead, "4", &[]).must_be(303);
    rides(&house, &field).must_be(303);
}

#[test]
fn day_1_a_fault_during_the_ride_is_believed_from_anybody_of_the_team_and_a_slip_is_taken_back() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    field.look_over_machine(&house, &field.lead, "4", &[]).must_be(303);
    let dewey = house.signed_in("dewey@example.org");
    let fault = |what: &str| {
        let id = house.act_id();
        let fields = [
            ("act", "fault"),
            ("act_id", id.as_str()),
            ("machine", "atv4"),
            ("back", "/machines/atv4"),
            ("what", what),
        ];
        dewey.submit(&field.at("/machines/atv4"), &field.at("/acts"), &fields)
    };
    fault("  ").must_be(422).must_say("Write what is wrong");
    fault("It smokes").must_be(303);
    assert_eq!(state(&house), "out_of_use");
    // The same words again are the second press of one finger.
    house.app.clock.set("2026-06-13T14:40:03".parse().expect("an instant"));
    fault("It smokes").must_be(303);
    let faults = || house.rows(|conn| machine_defects::table.count().get_result::<i64>(conn));
    assert_eq!(faults(), 1);
    let page = dewey.get(&field.at("/machines/atv4"));
    page.must_say("Machine 4 out of use").must_say("It smokes");
    field.press_undo(&dewey, &page).must_be(303);
    // The second press stands on the first, so the first fault is still believed.
    assert_eq!((state(&house).as_str(), faults()), ("out_of_use", 1));
}

#[test]
fn day_1_a_fault_that_was_a_slip_is_taken_back_within_seconds_and_leaves_its_trace() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    let wrong = [("wrong_seat", "yes"), ("words_seat", "loose"), ("wrong_lights", "yes"), ("words_lights", "cracked")];
    field.look_over_machine(&house, &field.lead, "4", &wrong).must_be(303);
    assert_eq!(state(&house), "out_of_use");
    let page = field.lead.get(&field.at("/machines/atv4"));
    page.must_say("2 points not right");
    field.press_undo(&field.lead, &page).must_be(303);
    assert_eq!(state(&house), "ready");
    field.lead.get("/machines/atv4").must_say("Written down by mistake").must_say("Lights and reflectors: cracked");
    field.lead.get(&field.at("/machines/atv4")).must_say("Not looked over yet");
}

/// Not all faults are found by whoever leads: one that the yard found and mended asks for a look like any other.
#[test]
fn day_1_a_fault_that_was_found_and_mended_in_the_yard_asks_for_another_look_and_a_slip_does_not() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    let yard = house.signed_in("rafael@example.org");
    let found = || {
        yard.submit("/machines/atv4", "/machines/atv4/faults", &[("what", "Grip is loose")]).must_be(303);
    };
    let mended = |number: &str| {
        let path = format!("/machines/atv4/faults/{number}/mend");
        yard.submit("/machines/atv4", &path, &[("note", "glued")]).must_be(303);
    };
    field.look_over_machine(&house, &field.lead, "4", &[]).must_be(303);
    rides(&house, &field).must_be(303);
    found();
    mended("1");
    rides(&house, &field).must_be(422).must_say("Look machine 4 over first.");
    // A look while the fault was open is no look at what was mended.
    found();
    field.look_over_machine(&house, &field.lead, "4", &[]).must_be(303);
    mended("2");
    rides(&house, &field).must_be(422).must_say("Look machine 4 over first.");
    field.lead.get(&field.at("/machines")).must_say("Not looked over yet");
    field.look_over_machine(&house, &field.lead, "4", &[]).must_be(303);
    rides(&house, &field).must_be(303);
    // A slip of the thumb is taken back, and everything is as it was.
    house.app.clock.set("2026-06-13T14:41:00".parse().expect("an instant"));
    let id = house.act_id();
    let slip =
        [("act", "fault"), ("act_id", id.as_str()), ("machine", "atv4"), ("back", "/machines/atv4"), ("what", "x")];
    field.lead.submit(&field.at("/machines/atv4"), &field.at("/acts"), &slip).must_be(303);
    rides(&house, &field).must_be(422).must_say("Machine 4 is out of use.");
    let page = field.lead.get(&field.at("/machines/atv4"));
    field.press_undo(&field.lead, &page).must_be(303);
    rides(&house, &field).must_be(303);
}

#[test]
fn day_1_what_no_page_of_ours_sends_about_a_machine_keeps_nothing() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    house.add_atv("9", "Y-6+", "retired");
    let strange = [("wrong_moon", "yes"), ("words_moon", "full")];
    field.look_over_machine(&house, &field.lead, "4", &strange).must_be(404);
    let id = house.act_id();
    let fields = |machine: &'static str| {
        vec![("act", "look_over"), ("act_id", id.as_str()), ("machine", machine), ("back", "/machines")]
    };
    field.lead.submit(&field.at(""), &field.at("/acts"), &fields("nobody")).must_be(404);
    field.lead.submit(&field.at(""), &field.at("/acts"), &fields("atv9")).must_be(422).must_say("no longer part");
    let silent = [("wrong_seat", "yes"), ("words_seat", " ")];
    let page = field.look_over_machine(&house, &field.lead, "4", &silent);
    page.must_be(422).must_say("Write what is not right");
    assert!(page.body.contains("name=\"wrong_seat\" value=\"yes\" checked"), "the tick is kept");
    assert_eq!((house.acts_kept("look_over"), state(&house).as_str()), (0, "ready"));
    // Nobody of another session knows of it.
    house.add_member("mira@example.org", "Mira", "Okafor", &[Role::Helper]);
    house.signed_in("mira@example.org").get(&field.at("/machines")).must_be(404);
    let helper = house.staff_of(&field, "Uma", Role::Helper, Duty::Helper);
    helper.get(&field.at("/machines/atv4")).must_be(200).must_say("Throttle").must_say("snaps shut by itself");
}

#[test]
fn day_1_the_program_writes_its_own_list_and_a_session_keeps_the_one_it_was_announced_with() {
    let house = TestApp::start();
    let field = before_the_ride(&house);
    let keep = |reference: String| {
        house.app.store.write("lists", move |conn| {
            let session = find_session(conn, &reference)?.expect("a session").session;
            keep_point_lists(conn, session.id, session.held_on)
        })
    };
    keep(field.session.clone()).expect("the lists of its day");
    let ana = house.person(Role::Administrator);
    ana.get("/rules/look_over").must_say("Version 1").must_say("1 0");
    ana.submit("/rules/look_over", "/rules/look_over/draft", &[("version", "1")]).must_be(303);
    let draft = ana.get("/rules/look_over/draft");
    draft.must_say("Tires and wheels").must_say("Warning labels");
    let points = "/rules/look_over/draft/points";
    let revision = draft.field("revision").expect("a revision");
    let gone = [("do", "remove_point"), ("point", "drive"), ("revision", revision.as_str())];
    ana.submit("/rules/look_over/draft", points, &gone).must_be(303);
    let publish = "/rules/look_over/draft/publish";
    let revision = ana.get(publish).field("revision").expect("a revision");
    let day = [("revision", revision.as_str()), ("starts_month", "6"), ("starts_day", "13"), ("starts_year", "2026")];
    ana.submit(publish, publish, &day).must_be(303);
    // The session that was announced before keeps its list; one without a list of its own takes the newest of its day.
    field.lead.get(&field.at("/machines/atv4")).must_say("Chain or shaft");
    keep(field.session.clone()).expect("the lists of its day");
    assert!(!field.lead.get(&field.at("/machines/atv4")).says("Chain or shaft"));
    field.look_over_machine(&house, &field.lead, "4", &[("wrong_drive", "yes"), ("words_drive", "slack")]).must_be(404);
}
