//! Fit checks through the front door: numbers at, above and below their limits, and who may let a rider start.

use waymark::domain::access::{Duty, Role};

use crate::house::app::TestApp;

#[test]
fn house_4_the_standing_clearance_passes_at_three_inches_and_fails_just_below() {
    // Minnesota DNR, off-highway vehicle regulations for youth riders: at least 3 inches; an inch is 25.4 mm.
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    for (typed, starts, again) in
        [("76 mm", false, true), ("76.1 mm", false, true), ("76.2 mm", true, true), ("3 1/2", true, false)]
    {
        field.fit(&house, &field.lead, &[("length_standing_clearance", typed)]).must_be(303);
        let page = field.lead.get(&field.of_zoe("/fit/4"));
        page.must_say("Limit: at least 3 in (76.2 mm)").must_say("3 inches (R)");
        assert_eq!(page.says("may start on this machine"), starts, "{typed}");
        assert_eq!(page.says("Not met, and mandatory: room above the seat"), !starts, "{typed}");
        assert_eq!(page.says("Measure again: room above the seat. The second number decides."), again, "{typed}");
    }
    // The second measurement decides, and nothing is left to measure.
    let both = [("length_standing_clearance", "76 mm"), ("length2_standing_clearance", "77 mm")];
    field.fit(&house, &field.lead, &both).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit/4"));
    page.must_say("may start on this machine");
    assert!(!page.says("Measure again: room"), "{}", page.words());
}

#[test]
fn house_3_a_mandatory_criterion_that_nobody_looked_at_keeps_the_rider_back() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let before = field.lead.get(&field.of_zoe("/fit/4"));
    before.must_say("does not start yet").must_say("Not measured, and mandatory:").must_say("Nothing is saved yet");
    field.fit(&house, &field.lead, &[("seen_lever_reach", "not_measured")]).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit/4"));
    page.must_say("does not start yet").must_say("Not measured, and mandatory: reach to the brake lever.");
    page.must_say("A missing measurement is never a pass");
    field.lead.get(&field.at("")).must_say("Here. Gear not looked over");
    field.tap(&house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(&house, &field.lead, "helmet_check", &[("all", "yes")]).must_be(303);
    field.lead.get(&field.at("")).must_say("Here. Does not start yet");
    // An advisory criterion that nobody looked at does not.
    field.fit(&house, &field.lead, &[("seen_elbow_bend", "not_measured")]).must_be(303);
    field.lead.get(&field.of_zoe("/fit/4")).must_say("may start on this machine");
}

#[test]
fn house_3_only_the_lead_overrides_with_a_reason_and_never_a_mandatory_criterion() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let other = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    let missed = ("seen_thigh_level", "not_met");
    field.fit(&house, &field.lead, &[missed]).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit/4"));
    page.must_say("does not start yet").must_say("Not met, and the lead gave no reason: level thighs.");
    let reason = ("override_thigh_level", "Rides well upright, seen twice");
    field.fit(&house, &other, &[missed, reason]).must_be(422).must_say("Only the lead of this session may do this");
    field.fit(&house, &field.lead, &[missed, reason]).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit/4"));
    page.must_say("may start on this machine").must_say("The lead lets the rider start: Rides well upright");
    let mandatory = [("seen_lever_reach", "not_met"), ("override_lever_reach", "It will do")];
    let refused = field.fit(&house, &field.lead, &mandatory);
    refused.must_be(422).must_say("A mandatory point of the fit check is never overridden");
    assert_eq!(house.acts_kept("fit"), 2, "nothing of a refused check is kept");
    assert!(!other.get(&field.of_zoe("/fit/4")).body.contains("name=\"override_"), "nobody else is offered it");
}

#[test]
fn house_3_an_adaptation_passes_when_the_leads_note_names_it() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let other = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    let adapted = ("seen_lever_reach", "adapted");
    field.fit(&house, &other, &[adapted]).must_be(303);
    let page = other.get(&field.of_zoe("/fit/4"));
    page.must_say("does not start yet").must_say("The adaptation is not named: reach to the brake lever.");
    let note = ("note_lever_reach", "lever set one step in");
    field.fit(&house, &other, &[adapted, note]).must_be(422).must_say("Only the lead");
    field.fit(&house, &field.lead, &[adapted, note]).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit/4"));
    page.must_say("may start on this machine").must_say("Lead's note: lever set one step in");
}

#[test]
fn house_3_a_machine_for_older_riders_or_out_of_use_is_kept_back_with_its_reason() {
    // ANSI/SVIA 1 category table, second-hand: Y-10+ from age 10. Zoë is 9 on the day.
    let house = TestApp::start();
    let field = house.field_day();
    house.add_atv("7", "Y-10+", "ready");
    house.add_atv("9", "Y-6+", "out_of_use");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit"));
    page.must_be(200).must_say("Try Zoë Marisol on no. 4").must_say("2 kept back, and why");
    page.must_say("For age 10 and over. The rider is 9.").must_say("Not ready for use today.");
    // Inseam 23 5/8 in less 430 mm from seat to rests is 170.1 mm: over the 6 inches of the advisory point.
    page.must_say("Room above the seat: about 6 3/4 in, limit at least 3 in.");
    page.must_say("Not too much room above the seat: about 6 3/4 in, limit at most 6 in. Outside it.");
    page.must_say("Measures do not say enough. Try it.").must_say("Y-6+, limiter 10 mph (16 km/h)");
    for (number, why) in [("7", "the rider's age"), ("9", "the machine is not ready")] {
        let back = format!("/riders/{}/fit/{number}", field.zoe);
        field.fit(&house, &field.lead, &[("machine", number), ("back", &back)]);
        let page = field.lead.get(&field.of_zoe(&format!("/fit/{number}")));
        page.must_say("does not start yet").must_say(why);
    }
    field.lead.get(&field.of_zoe("/fit/77")).must_be(404);
    let none = [("machine", "77")];
    field.fit(&house, &field.lead, &none).must_be(404);
}

#[test]
fn house_3_a_number_that_cannot_be_read_comes_back_with_everything_that_was_entered() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let typed = [("length_standing_clearance", "plenty"), ("angle_elbow_bend", "120"), ("seen_knee_bend", "not_met")];
    let page = field.fit(&house, &field.lead, &typed);
    page.must_be(422).must_say("Write inches or millimeters, such as 3 1/4 or 82 mm.");
    assert_eq!(page.field("length_standing_clearance").as_deref(), Some("plenty"));
    assert_eq!(page.field("angle_elbow_bend").as_deref(), Some("120"));
    assert!(page.body.contains("name=\"seen_knee_bend\" value=\"not_met\" checked"));
    assert_eq!(house.acts_kept("fit"), 0);
}

#[test]
fn house_3_a_verdict_is_kept_with_every_reason_and_the_version_of_its_rules() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(&house, &field.lead, "measures", &[("weight", "63 lb")]).must_be(303);
    field.fit(&house, &field.lead, &[]).must_be(303);
    use diesel::prelude::*;
    use waymark::store::schema::acts;
    let body: String = house.rows(|conn| acts::table.filter(acts::kind.eq("fit")).select(acts::body).first(conn));
    let kept: waymark::domain::acts::Body = serde_json::from_str(&body).expect("a body");
    let waymark::domain::acts::Body::Fit { verdict, .. } = kept else { panic!("no fit check: {body}") };
    assert_eq!(verdict.rules_version, 1);
    assert_eq!(waymark::domain::fit::verdict_from_reasons(&verdict.reasons), verdict.outcome);
    // 63 lb is 28,576 g (0.45359237 kg to the pound); of 110 kg that is 260 thousandths.
    let ratio = verdict.reasons.iter().find_map(|reason| {
        reason.unit.zip(reason.number).filter(|(unit, _)| *unit == waymark::domain::fit::Unit::PerMille)
    });
    assert_eq!(ratio.map(|(_, number)| number), Some(260));
}

#[test]
fn day_2_the_drawing_shows_the_room_as_it_was_measured_and_the_other_numbers_in_words() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.lead.get(&field.of_zoe("/fit/4")).must_say("An estimate from measures");
    let numbers = [("length_standing_clearance", "3 3/4"), ("length_lever_reach", "1/2")];
    field.fit(&house, &field.lead, &numbers).must_be(303);
    let page = field.lead.get(&field.of_zoe("/fit/4"));
    let drawing = page.body.split("<figure class=\"side-view\">").nth(1).and_then(|rest| rest.split("</svg>").next());
    let drawing = drawing.expect("a drawing");
    assert!(drawing.contains(">Measured 3 3/4 in</text>"), "{drawing}");
    assert!(drawing.contains(">Reach to the brake lever 1/2 in (12.7 mm)</text>"), "{drawing}");
    page.must_say("As measured on the machine");
}
