//! The riding area through the front door: who of the team counts, when riding stops, the lead's reason to go on, and
//! handing the lead over.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::domain::session::SessionState;
use waymark::store::StoreError;
use waymark::store::connection::AnyConn;
use waymark::store::schema::{acts, audit_rows, programs};
use waymark::store::sessions::{find_session, set_state};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;

/// SQL behind the pages, for what no page of ours does.
fn meanwhile(house: &TestApp, sql: &str) {
    let sql = sql.to_owned();
    let run = move |conn: &mut AnyConn| waymark::store::migrations::execute(conn, &sql);
    house.app.store.write("meanwhile", run).expect("sound SQL");
}

/// Changes one of the program's settings, as its file could have said it.
fn set(house: &TestApp, pointer: &str, value: serde_json::Value) {
    let text: String = house.rows(|conn| programs::table.select(programs::settings).first(conn));
    let mut settings: serde_json::Value = serde_json::from_str(&text).expect("settings");
    *settings.pointer_mut(pointer).unwrap_or_else(|| panic!("no setting {pointer}")) = value;
    let change = move |conn: &mut AnyConn| {
        diesel::update(programs::table).set(programs::settings.eq(settings.to_string())).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("set", change).expect("a setting");
}

/// Everything met up to the first riding lesson, two riders here, each instructor may teach one.
fn one_rider_an_instructor(house: &TestApp) -> (Field, String) {
    let field = house.field_day();
    let second = house.second_rider(&field, "chidi@example.org");
    field.make_ready(house);
    field.pass_lessons(house, 1..=4);
    set(house, "/ratio/young", 1.into());
    (field, second)
}

fn riding_mark(house: &TestApp, field: &Field, who: &Browser) -> Answered {
    field.tap(house, who, "mark", &[("check", "5.1"), ("mark", "meets")])
}

fn trail_out(house: &TestApp, field: &Field) -> Answered {
    field.act(house, &field.lead, "count", &[("moment", "trail_out"), ("counted", "2"), ("back", "#heads")])
}

/// Shipped: 4 riders an instructor at ages 6 to 9, else 6 (common practice, no source); here the setting says one.
#[test]
fn saturday_1_day_6_riding_stops_loudly_with_one_rider_too_many_and_goes_on_with_one_more_instructor() {
    let house = TestApp::start();
    let (field, second) = one_rider_an_instructor(&house);
    let bea = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    let own = house.reference_of("bea@example.org");
    for page in ["", "/lessons/5", "/area"] {
        let page = field.lead.get(&field.at(page));
        page.must_say("1 rider here, 9 years old.").must_say("1 instructor counts on the area: no room for one more");
        assert!(!page.body.contains("class=\"alarm stop\""));
    }
    riding_mark(&house, &field, &field.lead).must_be(303);

    field.tap_about(&house, &field.lead, &second, "check_in", &[]).must_be(303);
    let stop = "Stop riding: 2 riders, 1 instructor. With a rider of 9 here they may teach 1.";
    for page in ["", "/lessons/5", "/area"] {
        let page = field.lead.get(&field.at(page));
        page.must_say(stop).must_say("Another instructor comes onto the area").must_say("1 rider too many");
        assert!(page.body.contains("class=\"alarm stop\"") && page.body.contains("#s-stopped"), "loud in shape");
    }
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(stop);
    field.tap(&house, &bea, "mark", &[("check", "5.2"), ("mark", "practice")]).must_be(422).must_say(stop);
    field.tap(&house, &bea, "lesson_marks", &[("lesson", "5"), ("mark", "meets")]).must_be(422).must_say(stop);
    trail_out(&house, &field).must_be(422).must_say(stop);
    assert_eq!(house.acts_kept("count"), 0);
    // What does not say that somebody rode is taken, and a stop for safety always.
    field.tap(&house, &bea, "mark", &[("check", "5.2"), ("mark", "stopped")]).must_be(303);
    field.tap(&house, &bea, "mark", &[("check", "5.1"), ("mark", "not_tried")]).must_be(303);
    field.tap(&house, &bea, "mark", &[("check", "1.1"), ("mark", "meets")]).must_be(303);

    // Bea stands on the field, and counts once she says so.
    field.area(&house, &bea, &own, true).must_be(303);
    let page = field.lead.get(&field.at("/lessons/5"));
    page.must_say("2 riders here, the youngest 9.").must_say("2 instructors count on the area: no room");
    assert!(!page.says("Stop riding"));
    riding_mark(&house, &field, &field.lead).must_be(303);
    trail_out(&house, &field).must_be(303);
    field.area(&house, &bea, &own, false).must_be(303);
    field.lead.get(&field.at("")).must_say(stop);
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(stop);
}

/// A child who was sent home by a slip of the finger is here again, for the rule too.
#[test]
fn u21_a_check_out_that_is_taken_back_counts_for_the_rule_of_the_area_as_if_it_had_not_been() {
    let house = TestApp::start();
    let (field, second) = one_rider_an_instructor(&house);
    field.tap_about(&house, &field.lead, &second, "check_in", &[]).must_be(303);
    let stop = "Stop riding: 2 riders, 1 instructor.";
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(stop);
    field.tap_about(&house, &field.lead, &second, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    let page = field.lead.get(&field.at(""));
    riding_mark(&house, &field, &field.lead).must_be(303);
    field.press_undo(&field.lead, &page).must_be(303);
    field.lead.get(&field.at("")).must_say(stop);
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(stop);
}

#[test]
fn saturday_1_day_6_everybody_says_with_one_tap_where_they_are_and_only_the_lead_says_it_for_others() {
    let house = TestApp::start();
    let field = house.field_at_dawn();
    let [rafael, dewey] = field.team.clone();
    let hal = house.signed_in("dewey@example.org");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    for page in ["", "/lessons/5"] {
        let page = hal.get(&field.at(page));
        page.must_say("No riding yet. Nobody of the team is on the riding area.").must_say("I am on the area");
        let form = page.body.split("<form").find(|form| form.contains("I am on the area")).expect("a form");
        let form = form.split("</form>").next().expect("its end");
        assert_eq!(form.matches("<button").count(), 1);
        assert!(!form.contains("type=\"text\"") && !form.contains("<select"), "{form}");
    }
    field.area(&house, &hal, &rafael, true).must_be(422).must_say("Only the lead of this session may do this.");
    let tapped = field.area(&house, &hal, &dewey, true);
    assert_eq!(tapped.location(), field.at("#guard"), "the thumb stays where it was");
    hal.get(&field.at("")).must_say("I am leaving");
    field.area(&house, &field.lead, &rafael, true).must_be(303);
    field.area(&house, &field.lead, &dewey, false).must_be(303);
    let page = field.lead.get(&field.at("/area"));
    page.must_say("Dewey Blackwater helps Left at 8:40 AM").must_say("Rafael Tso leads On the area since 8:40 AM");
    page.must_say("Dewey Blackwater left the area. Rafael Tso entered it.");
    // Nobody from elsewhere is entered, and nothing else is said than came or left.
    house.add_member("cy@example.org", "Cy", "Ward", &[Role::Instructor]);
    field.area(&house, &field.lead, &house.reference_of("cy@example.org"), true).must_be(404);
    field.area(&house, &field.lead, "2345bcdfghjkm", true).must_be(404);
    let odd = field.act(&house, &field.lead, "area", &[("member", &rafael), ("on", "maybe")]);
    assert_eq!(odd.status, 400);
    let told: Vec<String> = house
        .rows(|conn| audit_rows::table.filter(audit_rows::action.eq("act.area")).select(audit_rows::detail).load(conn));
    let expected = [format!("account {dewey} on"), format!("account {rafael} on"), format!("account {dewey} off")];
    assert_eq!(told, expected);
}

#[test]
fn saturday_1_day_6_one_adult_is_never_alone_with_children_and_a_helper_is_an_adult() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    riding_mark(&house, &field, &field.lead).must_be(303);
    let [rafael, dewey] = field.team.clone();
    field.area(&house, &field.lead, &dewey, false).must_be(303);
    let alone = "Stop riding: 1 rider, 1 adult alone on the riding area.";
    field.lead.get(&field.at("")).must_say(alone).must_say("A second adult comes onto the area");
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(alone);
    // Two helpers are two adults, and no instructor.
    field.area(&house, &field.lead, &dewey, true).must_be(303);
    house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    field.area(&house, &field.lead, &house.reference_of("hal@example.org"), true).must_be(303);
    field.area(&house, &field.lead, &rafael, false).must_be(303);
    let page = field.lead.get(&field.at(""));
    page.must_say("Stop riding: 1 rider, no instructor who counts.").must_say("No instructor counts on the area");
    assert!(!page.says("adult alone"));
    riding_mark(&house, &field, &field.lead).must_be(422).must_say("no instructor who counts");
}

#[test]
fn saturday_1_day_6_nobody_rides_without_a_first_aider_whose_card_holds_today() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    // This program lets people teach without a card, and has a first-aider instead.
    set(&house, "/papers/lead", serde_json::json!(["riding", "background", "child_protection"]));
    meanwhile(&house, "DELETE FROM certifications WHERE kind = 'first_aid'");
    let none = "Stop riding: 1 rider, no first-aider.";
    field.lead.get(&field.at("")).must_say(none).must_say("Somebody whose first-aid card holds today");
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(none);
    house.staff_of(&field, "Fay", Role::FirstAid, Duty::FirstAid);
    riding_mark(&house, &field, &field.lead).must_be(422).must_say(none);
    field.area(&house, &field.lead, &house.reference_of("fay@example.org"), true).must_be(303);
    riding_mark(&house, &field, &field.lead).must_be(303);
    meanwhile(&house, "UPDATE certifications SET valid_through = '2026-06-12' WHERE kind = 'first_aid'");
    let page = field.lead.get(&field.at(""));
    page.must_say(none).must_say("Fay Ward does not count today: first-aid card (held through June 12, 2026).");
}

#[test]
fn saturday_1_day_6_a_paper_that_was_set_aside_since_is_loud_to_the_office_and_the_lead_and_the_person_counts_no_more()
{
    let house = TestApp::start();
    let field = house.field_day();
    house.add_coordinator();
    let office = house.signed_in("priya@example.org");
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    field.area(&house, &field.lead, &house.reference_of("bea@example.org"), true).must_be(303);
    let sheet = format!("/season/{}", field.session);
    assert!(!office.get(&sheet).says("does not count"));
    field.lead.get(&field.at("")).must_say("2 instructors count on the area: room for 7 more riders.");
    let who = "SELECT staff.id FROM staff JOIN accounts ON accounts.id = staff.account_id WHERE accounts.email =";
    let aside = "UPDATE certifications SET suspended_on = '2026-06-13' WHERE kind = 'background'";
    meanwhile(&house, &format!("{aside} AND staff_id IN ({who} 'bea@example.org')"));
    let why = "background check (set aside since June 13, 2026)";
    office.get(&sheet).must_say("Bea Ward does not count on the day.").must_say(why);
    for page in ["", "/lessons/5", "/area"] {
        let page = field.lead.get(&field.at(page));
        page.must_say(&format!("Bea Ward does not count today: {why}."));
        page.must_say("1 instructor counts on the area: room for 3 more riders.");
    }
    field.lead.get(&field.at("/area")).must_say("On the area since 8:40 AM, does not count");
    riding_mark(&house, &field, &field.lead).must_be(303);
    // The lead's own paper counts as much as anybody's.
    meanwhile(&house, &format!("{aside} AND staff_id IN ({who} 'rafael@example.org')"));
    office.get(&sheet).must_say("Rafael Tso does not count on the day.").must_say("One adult alone.");
    riding_mark(&house, &field, &field.lead).must_be(422).must_say("Stop riding: 1 rider, no instructor who counts.");
    // A shut account counts for nothing either.
    meanwhile(&house, "UPDATE certifications SET suspended_on = NULL");
    meanwhile(&house, "UPDATE accounts SET disabled_at = '2026-06-13 14:00:00' WHERE email = 'bea@example.org'");
    field.lead.get(&field.at("")).must_say("Bea Ward does not count today: the account is shut.");
    office.get(&sheet).must_say("The account is shut.");
}

#[test]
fn saturday_1_day_6_the_lead_goes_on_with_a_written_reason_that_is_kept_shown_and_ends_by_itself() {
    let house = TestApp::start();
    let (field, second) = one_rider_an_instructor(&house);
    let [_, dewey] = field.team.clone();
    let bea = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    let go_on = |who: &Browser, reason: &str| field.act(&house, who, "go_on", &[("reason", reason)]);
    go_on(&field.lead, "In case").must_be(422).must_say("The rule of the riding area is kept.");
    assert!(!field.lead.get(&field.at("/area")).says("Go on all the same"));
    field.tap_about(&house, &field.lead, &second, "check_in", &[]).must_be(303);

    bea.get(&field.at("/area")).must_say("Only the lead may go on, with a written reason. The lead is Rafael Tso.");
    go_on(&bea, "Bea says so").must_be(422).must_say("Only the lead of this session may do this.");
    let again = go_on(&field.lead, "  ");
    again.must_be(422).must_say("Write why riding goes on.").must_say("One answer needs another look");
    riding_mark(&house, &field, &field.lead).must_be(422);
    go_on(&field.lead, "Noor walks one rider to the lot").must_be(303);
    for page in ["", "/lessons/5"] {
        let page = bea.get(&field.at(page));
        page.must_say("The rule of the area is broken. Rafael Tso went on at 8:40 AM.");
        page.must_say("Noor walks one rider to the lot").must_say("1 rider too many");
    }
    riding_mark(&house, &field, &bea).must_be(303);
    trail_out(&house, &field).must_be(303);
    // It ends when anybody leaves the area, and does not come back with them.
    field.area(&house, &field.lead, &dewey, false).must_be(303);
    field.area(&house, &field.lead, &dewey, true).must_be(303);
    riding_mark(&house, &field, &field.lead).must_be(422).must_say("Stop riding: 2 riders, 1 instructor.");
    // And when one more rider comes.
    go_on(&field.lead, "The third waits in the car").must_be(303);
    riding_mark(&house, &field, &field.lead).must_be(303);
    let third = house.second_rider(&field, "third@example.org");
    field.tap_about(&house, &field.lead, &third, "check_in", &[]).must_be(303);
    riding_mark(&house, &field, &field.lead).must_be(422).must_say("Stop riding: 3 riders, 1 instructor.");

    let told: Vec<String> = house.rows(|conn| {
        audit_rows::table.filter(audit_rows::action.eq("act.go_on")).select(audit_rows::detail).load(conn)
    });
    assert_eq!(told, vec!["riders 2 adults 2 instructors 1 first-aiders 2"; 2], "numbers, never what was typed");
    close(&house, &field);
    house.add_coordinator();
    let office = house.signed_in("priya@example.org");
    for page in [field.at("/area"), format!("/season/{}", field.session)] {
        let page = office.get(&page);
        page.must_say("Rafael Tso went on with 2 riders and 1 instructor: Noor walks one rider to the lot");
        page.must_say("The third waits in the car").must_say("Saturday, June 13, 8:40 AM");
    }
    let mine = format!("/roster/{}/area", field.session);
    bea.get(&mine).must_say("Noor walks one rider to the lot");
}

fn close(house: &TestApp, field: &Field) {
    let (reference, now) = (field.session.clone(), house.app.clock.now());
    let close = move |conn: &mut AnyConn| {
        let id = find_session(conn, &reference)?.expect("a session").session.id;
        set_state(conn, id, &[SessionState::Announced], SessionState::Closed, Some(now))
    };
    assert!(house.app.store.write("close", close).expect("the session closes"));
}

#[test]
fn saturday_1_day_6_nobody_stands_on_the_area_overnight() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    riding_mark(&house, &field, &field.lead).must_be(303);
    // Sunday, 8:40 AM; the evening before is still Saturday at the site, whatever the day is in UTC.
    for (now, stands) in [("2026-06-14T05:59:00", true), ("2026-06-14T14:40:00", false)] {
        house.app.clock.set(now.parse().expect("an instant"));
        let lead = house.signed_in("rafael@example.org");
        let answered = riding_mark(&house, &field, &lead);
        assert_eq!(answered.status, if stands { 303 } else { 422 }, "{now}: {}", answered.words());
        assert_eq!(lead.get(&field.at("")).says("No riding yet"), !stands, "{now}");
    }
}

#[test]
fn saturday_1_day_6_the_lead_is_handed_over_in_one_step_and_the_old_leads_rights_end_at_once() {
    let house = TestApp::start();
    let field = house.field_day();
    let [rafael, _] = field.team.clone();
    let bea = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    let own = house.reference_of("bea@example.org");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let hand_over = |who: &Browser, to: &str| field.act(&house, who, "hand_over", &[("to", to)]);
    hand_over(&bea, &own).must_be(422).must_say("Only the lead of this session may do this.");
    assert!(!bea.get(&field.at("/area")).says("Hand over the lead"));
    hand_over(&field.lead, "").must_be(422).must_say("Choose who leads from now on.");
    hand_over(&field.lead, &rafael).must_be(422).must_say("Rafael Tso leads this session already.");
    hand_over(&field.lead, "2345bcdfghjkm").must_be(404);
    let page = field.lead.get(&field.at("/area"));
    page.must_say("Hand over the lead").must_say("Bea Ward");
    hand_over(&field.lead, &own).must_be(303);

    // Next request: what only the lead may do has gone over.
    let (missed, reason) = (("seen_thigh_level", "not_met"), ("override_thigh_level", "Rides upright"));
    field
        .fit(&house, &field.lead, &[missed, reason])
        .must_be(422)
        .must_say("Only the lead of this session may do this");
    field.fit(&house, &bea, &[missed, reason]).must_be(303);
    hand_over(&field.lead, &rafael).must_be(422).must_say("Only the lead of this session");
    field.lead.get(&format!("/roster/{}/close", field.session)).must_be(403);
    bea.get(&format!("/roster/{}/close", field.session)).must_be(200);
    field.lead.get("/my-sessions").must_say("You are an instructor");
    bea.get("/my-sessions").must_say("You are the lead");
    for who in [&field.lead, &bea] {
        who.get(&field.at("")).must_say("Bea Ward leads in place of Rafael Tso. Since 8:40 AM.");
    }
    let told: Vec<String> = house.rows(|conn| {
        audit_rows::table.filter(audit_rows::action.eq("act.hand_over")).select(audit_rows::detail).load(conn)
    });
    assert_eq!(told, [format!("account {rafael} to account {own}")]);
    let by_lead: Vec<bool> =
        house.rows(|conn| acts::table.filter(acts::kind.eq("hand_over")).select(acts::by_lead).load(conn));
    assert_eq!(by_lead, [true], "what the old lead did as lead stays so");
}

#[test]
fn saturday_1_day_6_the_office_finds_a_substitute_lead_in_the_program_and_papers_are_checked_for_the_day() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_coordinator();
    let office = house.signed_in("priya@example.org");
    house.add_member("cy@example.org", "Cy", "Ward", &[Role::Instructor]);
    let (cy, [_, dewey]) = (house.reference_of("cy@example.org"), field.team.clone());
    let hand_over = |to: &str| field.act(&house, &office, "hand_over", &[("to", to)]);
    office.get(&field.at("/area")).must_say("Cy Ward, not on the team yet");
    // A helper does not lead, and neither does who is provisional or whose papers do not hold on the day.
    hand_over(&dewey).must_be(422).must_say("Dewey Blackwater teaches beside a lead and cannot lead yet.");
    meanwhile(&house, "UPDATE staff SET provisional = TRUE WHERE id = 4");
    hand_over(&cy).must_be(422).must_say("Cy Ward teaches beside a lead and cannot lead yet.");
    meanwhile(&house, "UPDATE staff SET provisional = FALSE WHERE id = 4");
    meanwhile(&house, "UPDATE certifications SET valid_through = '2026-06-12' WHERE kind = 'riding' AND staff_id = 4");
    let refused = hand_over(&cy);
    refused.must_be(422).must_say("Cy Ward cannot lead on Saturday, June 13, 2026.");
    refused.must_say("riding certification (held through June 12, 2026)").must_say("Nobody else may lead today.");
    meanwhile(&house, "UPDATE certifications SET valid_through = '2026-06-13' WHERE kind = 'riding' AND staff_id = 4");
    let substitute = house.signed_in("cy@example.org");
    substitute.get(&field.at("")).must_be(404);
    hand_over(&cy).must_be(303);
    substitute.get(&field.at("")).must_say("Cy Ward leads in place of Rafael Tso. Priya Castellanos entered it.");
    substitute.get(&field.of_zoe("/health")).must_be(200);
    field.lead.get(&field.at("")).must_say("Cy Ward leads in place of Rafael Tso.");
    // A closed session has nobody to hand over to.
    close(&house, &field);
    assert!(!office.get(&field.at("/area")).says("Hand over the lead"));
    hand_over(&field.team[0]).must_be(422).must_say("This session takes no entries now.");
}
