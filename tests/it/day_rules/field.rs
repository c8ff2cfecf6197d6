//! Before the first engine: the day list with the emergency plan, signed by the lead alone; what it keeps back; and how
//! one hole stops riding again.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::schema::{audit_rows, sites};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;

const RIDING: [(&str, &str); 2] = [("check", "5.1"), ("mark", "meets")];

/// Everything but the signature: checked in, geared, fitted, lessons 1 to 4 marked.
fn all_but_signed(house: &TestApp) -> Field {
    let field = house.field_day();
    field.tap(house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(house, &field.lead, "helmet_check", &[("all", "yes")]).must_be(303);
    field.fit(house, &field.lead, &[]).must_be(303);
    field.look_over_machine(house, &field.lead, "4", &[]).must_be(303);
    for lesson in ["1", "2", "3", "4"] {
        field.tap(house, &field.lead, "lesson_marks", &[("lesson", lesson), ("mark", "meets")]).must_be(303);
    }
    field
}

fn count(house: &TestApp, field: &Field, who: &Browser, moment: &str, counted: &str) -> Answered {
    let id = house.act_id();
    let fields = [("act", "count"), ("act_id", &*id), ("back", "/counts"), ("moment", moment), ("counted", counted)];
    who.submit(&field.at("/counts"), &field.at("/acts"), &fields)
}

#[test]
fn saturday_1_day_7_no_riding_mark_and_no_trail_count_before_the_lead_has_signed() {
    let house = TestApp::start();
    let field = all_but_signed(&house);
    let refused = field.tap(&house, &field.lead, "mark", &RIDING);
    refused.must_be(422).must_say("Nobody rides yet. The day list is not signed.").must_say("then the lead signs");
    count(&house, &field, &field.lead, "trail_out", "1").must_be(422).must_say("The day list is not signed");
    count(&house, &field, &field.lead, "trail_in", "1").must_be(422);
    assert_eq!((house.acts_kept("mark"), house.acts_kept("count")), (0, 0));
    // What is no riding goes on: a head count at a lesson change, and a stop for safety.
    count(&house, &field, &field.lead, "lesson", "1").must_be(303);
    field.tap(&house, &field.lead, "mark", &[("check", "5.2"), ("mark", "stopped")]).must_be(303);
    for page in [field.at(""), field.at("/lessons/5"), field.of_zoe(""), field.of_zoe("/fit"), field.at("/groups")] {
        field.lead.get(&page).must_say("Before the first engine.").must_say("Open the day list");
    }

    field.look_over(&field.lead, &[], true).must_be(303);
    field.lead.get(&field.at("/day-list")).must_say("Signed. Riding may begin at 8:40 AM");
    assert!(!field.lead.get(&field.at("")).says("Open the day list"));
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(303);
    count(&house, &field, &field.lead, "trail_out", "1").must_be(303);
}

#[test]
fn saturday_1_day_7_the_lead_alone_signs_with_every_point_looked_at_and_nothing_open() {
    let house = TestApp::start();
    let field = all_but_signed(&house);
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let second = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    for other in [&helper, &second] {
        assert!(!other.get(&field.at("/day-list")).says("Sign the list and the plan"));
        field.look_over(other, &[], true).must_be(422).must_say("Only the lead of this session may do this.");
    }
    // The emergency plan is ticked as read, by the lead's own hand.
    let unread = field.look_over(&field.lead, &[("plan_read", "")], true);
    unread.must_be(422).must_say("Read the emergency plan aloud to the team, then tick it.");
    assert!(unread.body.contains("id=\"plan_read\"") && house.acts_kept("day_list") == 0);
    // One point is left out: it is named.
    let without = [("point_wires", "")];
    field.look_over(&field.lead, &without, true).must_be(422).must_say("first: Wires, ropes and fences.");
    // "Not right" wants words; what was typed is still there.
    let hole = [("point_holes", "not_right"), ("words_water", "the creek")];
    let again = field.look_over(&field.lead, &hole, true);
    again.must_be(422).must_say("Write what is not right");
    assert_eq!(again.field("words_water").as_deref(), Some("the creek"));
    let hole = [("point_holes", "not_right"), ("words_holes", "badger hole by the third cone")];
    field
        .look_over(&field.lead, &hole, true)
        .must_be(422)
        .must_say("Not right on the day list: Holes, ruts and rocks.");
    assert_eq!(house.acts_kept("day_list"), 0, "nothing of a refused act is kept");
    // The helper looks and saves; the lead signs what the helper saw.
    field.look_over(&helper, &[], false).must_be(303);
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(422);
    field.look_over(&field.lead, &[], true).must_be(303);
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(303);
    // Words that somebody typed are in no audit row.
    let details: Vec<String> = house.rows(|conn| {
        audit_rows::table.filter(audit_rows::action.eq("act.day_list")).select(audit_rows::detail).load(conn)
    });
    assert_eq!(details.last().map(String::as_str), Some("list 1 looked at 9 not right 0 signed with plan 1"));
}

#[test]
fn saturday_1_day_7_one_hole_found_later_stops_riding_until_the_lead_signs_anew() {
    let house = TestApp::start();
    let field = all_but_signed(&house);
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    field.look_over(&field.lead, &[], true).must_be(303);
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(303);
    // The helper taps one point of the page; the others stood so already and are not said again.
    let page = helper.get(&field.at("/day-list"));
    let [id, seen] = ["act_id", "seen"].map(|name| page.field(name).expect("the form"));
    let found = [
        ("act", "day_list"),
        ("act_id", &*id),
        ("back", "/day-list"),
        ("seen", &*seen),
        ("plan", "1"),
        ("point_holes", "not_right"),
        ("stood_holes", "right"),
        ("words_holes", "badger hole by the third cone"),
        ("point_wires", "right"),
        ("stood_wires", "right"),
    ];
    // Before the helper's tap arrives, the lead has the page of the morning open.
    let morning = field.lead.get(&field.at("/day-list"));
    helper.post(&field.at("/acts"), &found).must_be(303);
    for page in [field.at(""), field.at("/lessons/5"), field.of_zoe("")] {
        field.lead.get(&page).must_say("Riding stops.").must_say("Not right on the day list: Holes, ruts and rocks.");
    }
    let refused = field.tap(&house, &field.lead, "mark", &[("check", "5.2"), ("mark", "meets")]);
    refused.must_be(422).must_say("then the lead signs the list anew");
    field.lead.get(&field.at("/day-list")).must_say("Not right. Nobody rides");
    let page = field.lead.get(&field.at("/day-list"));
    assert_eq!(page.field("words_holes").as_deref(), Some("badger hole by the third cone"));
    // A signature from the page of the morning does not know of the hole: it is refused, whatever it says.
    let [id, seen] = ["act_id", "seen"].map(|name| morning.field(name).expect("the form"));
    let stale = [("act_id", &*id), ("seen", &*seen)];
    field.look_over(&field.lead, &stale, true).must_be(422).must_say("Holes, ruts and rocks");
    // Filled and looked at again: riding goes on only when the lead has signed.
    field.look_over(&helper, &[], false).must_be(303);
    field.lead.get(&field.at("/day-list")).must_say("Stopped. The lead signs anew");
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(422);
    field.look_over(&field.lead, &[], true).must_be(303);
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(303);
}

#[test]
fn saturday_1_the_emergency_plan_is_signed_with_the_list_and_as_it_was_read() {
    let house = TestApp::start();
    let field = all_but_signed(&house);
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    for page in [field.at("/day-list"), field.at("/emergency")] {
        field.lead.get(&page).must_say("At the gate post").must_say("7731#").must_say("The north field");
        field
            .lead
            .get(&page)
            .must_say("Hal, at the county road")
            .must_say("Valley hospital")
            .must_say("Gate code 0000");
    }
    let site: String = house.rows(|conn| sites::table.select(sites::reference).first(conn));
    let plan = format!("/sites/{site}/plan");
    let read = field.lead.get(&field.at("/day-list"));
    let words = [("signal_spot", "On the ridge"), ("gate_code", "9000"), ("meets_ambulance", "Fay, at the bridge")];
    priya.submit(&plan, &plan, &words).must_be(303);
    let version = read.field("plan").expect("the form says which plan");
    let changed = field.look_over(&field.lead, &[("plan", &version)], true);
    changed.must_be(422).must_say("The emergency plan changed while you were reading.").must_say("On the ridge");
    field.look_over(&field.lead, &[], true).must_be(303);
    // A change after the signature is shown, and does not stop the ride.
    priya.submit(&plan, &plan, &words).must_be(303);
    field.lead.get(&field.at("/day-list")).must_say("The emergency plan changed since.");
    field.tap(&house, &field.lead, "mark", &RIDING).must_be(303);

    // Nobody else sees it: not the family, not staff of other sessions.
    house.add_member("cy@example.org", "Cy", "Ward", &[Role::Instructor]);
    house.add_guardian("rosa@example.org", "Rosa", "Quill");
    for email in ["cy@example.org", "rosa@example.org"] {
        let other = house.signed_in(email);
        for page in [field.at("/day-list"), field.at("/emergency")] {
            assert!(matches!(other.get(&page).status, 403 | 404), "{email} {page}");
        }
    }
}

#[test]
fn saturday_1_a_site_without_a_plan_cannot_be_signed_for() {
    let house = TestApp::start();
    let field = all_but_signed(&house);
    let wipe = |conn: &mut _| waymark::store::migrations::execute(conn, "DELETE FROM emergency_plans");
    house.app.store.write("no plan", wipe).expect("rows go");
    field.lead.get(&field.at("/emergency")).must_say("The office has not written a plan for this site.");
    field.look_over(&field.lead, &[], true).must_be(422).must_say("This site has no emergency plan.");
}

#[test]
fn saturday_1_a_form_of_the_day_list_that_no_page_of_ours_sends_is_refused_whole() {
    let house = TestApp::start();
    let field = house.field_day();
    for changed in [vec![("point_holes", "maybe")], vec![("seen", "soon")], vec![("seen", "")], vec![("plan", "x")]] {
        assert_eq!(field.look_over(&field.lead, &changed, true).status, 400, "{changed:?}");
    }
    // A point of another list is told kindly.
    let changed = field.look_over(&field.lead, &[("point_dragons", "right")], false);
    changed.must_be(422).must_say("This session has another day list.");
    assert_eq!(house.acts_kept("day_list"), 0);
    assert_eq!(house.acts_kept("day_list"), 0);
    // Huge and hostile words are one line that shows as it was typed, or words at the field.
    let words = "<script>alert(1)</script> \u{202E}";
    field.look_over(&field.lead, &[("point_holes", "not_right"), ("words_holes", words)], false).must_be(422);
    let words = "<script>alert(1)</script>";
    field.look_over(&field.lead, &[("point_holes", "not_right"), ("words_holes", words)], false).must_be(303);
    let page = field.lead.get(&field.at("/day-list"));
    assert!(!page.body.contains("<script>alert"));
    assert_eq!(page.field("words_holes").as_deref(), Some(words));
}
