//! The session on Letter paper: riders, gear boxes, marks, counts and help, with a code that names nobody.

use waymark::domain::access::{Duty, Role};

use crate::house::app::TestApp;
use crate::house::qr::codes_on;

#[test]
fn u25_the_paper_has_riders_gear_marks_counts_and_the_way_to_help() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.tap(&house, &field.lead, "mark", &[("check", "1.1"), ("mark", "meets")]).must_be(303);
    let paper = field.lead.get(&field.at("/print"));
    paper
        .must_be(200)
        .must_say("Day sheet: Alder Flat")
        .must_say("Zoë Marisol Okafor-Lindqvist")
        .must_say("9, (406) 555-");
    paper.must_say("Allergy: bee stings").must_say("Made June 13, 2026, 8:40 AM, after entry 9");
    paper.must_say("Lessons 1 to 4: Alder Flat").must_say("1.1 Reads the age label").must_say("Before lesson 11");
    paper.must_say("12 Lantern Street, Helena 59601").must_say("Valley hospital").must_say("call 911 first");
    assert!(paper.body.contains("<td class=\"box first\">M</td>"), "what was marked stands on it");
    assert_eq!(paper.body.matches("<td class=\"box\">✓</td>").count(), 8, "here, six pieces of gear, helmet checked");
}

#[test]
fn u25_the_code_on_paper_leads_to_the_record_and_names_nobody() {
    let house = TestApp::start();
    let field = house.field_day();
    let paper = field.lead.get(&field.at("/print"));
    let told = codes_on(&paper.body, "qr-box");
    let record = format!("{}/roster/{}", house.app.settings.server.public_url, field.session);
    // Every sheet of the paper bears it.
    assert!(!told.is_empty() && told.iter().all(|said| *said == record), "{told:?}");
}

#[test]
fn u25_health_stands_on_paper_for_the_readers_who_may_and_each_print_is_noted() {
    let house = TestApp::start();
    let field = house.field_day();
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let paper = helper.get(&field.at("/print"));
    paper.must_be(200).must_say("Health is left out").must_say("Zoë Marisol Okafor-Lindqvist 9, (406)");
    assert!(!paper.says("bee stings") && !paper.body.contains("c-health"));
    field.lead.get(&field.at("/print")).must_say("bee stings");
    house.add_member("bea@example.org", "Bea", "Ward", &[Role::Instructor]);
    house.signed_in("bea@example.org").get(&field.at("/print")).must_be(404);
    let noted: Vec<String> = house.rows(|conn| {
        use diesel::prelude::*;
        use waymark::store::schema::audit_rows;
        let printed = audit_rows::table.filter(audit_rows::action.eq("roster.print")).order(audit_rows::id);
        printed.select(audit_rows::detail).load(conn)
    });
    assert_eq!(noted, ["without health flags", "with health flags"]);
}
