//! Groups and head counts through the front door: who rides with whom, the number to count, and a page that turns loud.

use waymark::domain::access::{Duty, Role};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;

/// A session with two instructors and two riders here; gives the second instructor and the second rider.
fn two_and_two(house: &TestApp) -> (Field, Browser, String) {
    let field = house.field_day();
    let bea = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    let second = house.second_rider(&field, "chidi@example.org");
    for rider in [&field.zoe, &second] {
        field.tap_about(house, &field.lead, rider, "check_in", &[]).must_be(303);
    }
    (field, bea, second)
}

/// The account reference of an instructor, from the button that puts a rider into that group.
fn group_of(field: &Field, given: &str) -> String {
    let body = field.lead.get(&field.at("/groups")).body;
    let button =
        body.split("<button ").find(|tag| tag.contains("name=\"with\"") && tag.contains(&format!(">{given}<")));
    let button = button.unwrap_or_else(|| panic!("no button for {given}"));
    button.split("value=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a value").to_owned()
}

fn put(house: &TestApp, field: &Field, who: &Browser, rider: &str, with: &str) -> Answered {
    field.tap_about(house, who, rider, "group", &[("with", with), ("back", "/groups")])
}

fn count(house: &TestApp, field: &Field, who: &Browser, group: &str, moment: &str, counted: &str) -> Answered {
    let id = house.act_id();
    let fields = [
        ("act", "count"),
        ("act_id", &*id),
        ("back", "/counts"),
        ("group", group),
        ("moment", moment),
        ("counted", counted),
    ];
    who.submit(&field.at("/counts"), &field.at("/acts"), &fields)
}

/// Every field page of the session, as one of the staff may open it.
fn pages(field: &Field) -> Vec<String> {
    let mut all: Vec<String> =
        ["", "/lessons/1", "/lessons/11", "/day-list", "/groups", "/counts", "/emergency", "/close"]
            .iter()
            .map(|below| field.at(below))
            .collect();
    all.extend(["", "/fit", "/fit/4", "/health"].map(|below| field.of_zoe(below)));
    all
}

/// "Always visible", product.md: on every page of the field riders, counting instructors and the limit, and the stop.
#[test]
fn day_6_every_field_page_says_how_many_riders_and_instructors_there_are_and_how_many_these_may_teach() {
    let house = TestApp::start();
    let (field, bea, _) = two_and_two(&house);
    let [lead_place, bea_place] = ["rafael@example.org", "bea@example.org"].map(|email| house.reference_of(email));
    field.area(&house, &field.lead, &lead_place, true);
    field.area(&house, &bea, &bea_place, true).must_be(303);
    let pages: Vec<String> = pages(&field)
        .into_iter()
        .filter(|page| !page.ends_with("/close") && !page.ends_with("/health") && !page.ends_with("/emergency"))
        .chain(["/area", "/weather", "/assignment", "/machines", "/incidents"].map(|below| field.at(below)))
        .collect();
    for page in &pages {
        field.lead.get(page).must_be(200).must_say("2 riders, 2 instructors, limit 8");
    }
    field.area(&house, &field.lead, &lead_place, false).must_be(303);
    field.area(&house, &bea, &bea_place, false).must_be(303);
    for page in &pages {
        let page = field.lead.get(page);
        page.must_say("2 riders, 0 instructors, limit 0").must_say("Riding stops.").must_say("Who is on the area");
        assert!(page.body.contains("class=\"alarm stop\"") && page.body.contains("#s-stopped"), "loud in shape");
    }
}

#[test]
fn day_6_a_lesson_asks_for_heads_after_the_lesson_before_it_until_they_were_counted() {
    let house = TestApp::start();
    let (field, _, _) = two_and_two(&house);
    let (first, second) = (field.at("/lessons/1"), field.at("/lessons/2"));
    let asks = "Heads were not counted after lesson 1.";
    assert!(!field.lead.get(&second).says(asks));
    field.tap(&house, &field.lead, "mark", &[("check", "1.1"), ("mark", "meets")]).must_be(303);
    field.lead.get(&second).must_say(asks).must_say("Count heads first");
    assert!(!field.lead.get(&first).says(asks), "the lesson that is taught asks for nothing");
    let last = field.lead.get(&format!("{first}?check=1.4"));
    assert!(last.body.contains(&format!("rel=\"next\" href=\"{}\"", field.at("/counts"))), "the thumb leads there");
    // A wrong count is loud, and counts nobody.
    let count = |counted| {
        let fields = [("moment", "lesson"), ("counted", counted), ("group", ""), ("back", "/counts")];
        field.act(&house, &field.lead, "count", &fields).must_be(303);
    };
    count("1");
    field.lead.get(&second).must_say(asks);
    count("2");
    assert!(!field.lead.get(&second).says(asks));
    let counts = field.lead.get(&field.at("/counts"));
    assert!(counts.body.contains(&format!("rel=\"next\" href=\"{second}\"")), "and on to the next lesson");
}

#[test]
fn saturday_1_day_6_any_of_the_staff_puts_a_rider_into_a_group_with_one_tap_and_takes_the_rider_out_with_another() {
    let house = TestApp::start();
    let (field, bea, second) = two_and_two(&house);
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let page = field.lead.get(&field.at("/groups"));
    page.must_say("Rafael Tso 0 of 6").must_say("Bea Ward 0 of 6").must_say("In no group 2 here");
    assert!(!page.says("Hal Ward"), "a helper leads no group");
    let of_bea = group_of(&field, "Bea");
    put(&house, &field, &helper, &field.zoe, &of_bea).must_be(303);
    put(&house, &field, &bea, &second, &of_bea).must_be(303);
    let page = field.lead.get(&field.at("/groups"));
    page.must_say("Bea Ward 2 of 6").must_say("In no group 0 here");
    assert!(page.body.contains("aria-pressed=\"true\""));
    let paper = field.lead.get(&field.at("/print"));
    assert_eq!(paper.body.matches("<td class=\"box\">BW</td>").count(), 2, "both are in Bea Ward's group on paper");
    put(&house, &field, &field.lead, &field.zoe, "").must_be(303);
    field.lead.get(&field.at("/groups")).must_say("Bea Ward 1 of 6").must_say("In no group 1 here");
    // Nobody but who teaches here leads a group.
    for nobody in ["2345bcdfghjkm", "x"] {
        put(&house, &field, &field.lead, &field.zoe, nobody).must_be(404);
    }
}

/// At most six riders in a group: group riding advice, read second-hand (facts 5.1); a setting of the curriculum.
#[test]
fn saturday_1_day_6_a_full_group_takes_nobody_more() {
    let house = TestApp::start();
    let six = "update rulebooks set body = replace(body, '\"group_riders_count\":{\"value\":6', '\"group_riders_count\":{\"value\":1')";
    house.app.store.write("one rider", move |conn| waymark::store::migrations::execute(conn, six)).expect("a setting");
    let (field, _, second) = two_and_two(&house);
    let of_bea = group_of(&field, "Bea");
    put(&house, &field, &field.lead, &field.zoe, &of_bea).must_be(303);
    put(&house, &field, &field.lead, &field.zoe, &of_bea).must_be(303);
    let refused = put(&house, &field, &field.lead, &second, &of_bea);
    refused.must_be(422).must_say("This group is full: 1 riders at most. Choose another group.");
    put(&house, &field, &field.lead, &second, &group_of(&field, "Rafael")).must_be(303);
}

#[test]
fn saturday_1_day_6_the_number_to_count_is_worked_out_and_one_tap_says_that_all_are_here() {
    let house = TestApp::start();
    let (field, _, second) = two_and_two(&house);
    let of_bea = group_of(&field, "Bea");
    put(&house, &field, &field.lead, &second, &of_bea).must_be(303);
    let page = field.lead.get(&field.at("/counts"));
    page.must_say("All riders 2 heads to count").must_say("Group of Bea Ward 1 head to count");
    // The form of the one tap: everything it sends is in the page, and nothing is typed.
    let own = format!("name=\"group\" value=\"{of_bea}\"");
    let form = page.body.split("<form").find(|form| form.contains(&own)).expect("the group's form");
    let form = form.split("</form>").next().expect("its end");
    assert!(
        !form.contains("type=\"text\"") && !form.contains("<select") && form.contains("name=\"counted\" value=\"1\"")
    );
    count(&house, &field, &field.lead, "", "lesson", "2").must_be(303);
    count(&house, &field, &field.lead, &of_bea, "lesson", "1").must_be(303);
    field.tap_about(&house, &field.lead, &second, "check_out", &[("adult", "Ingrid Lindqvist")]).must_be(303);
    field.lead.get(&field.at("/counts")).must_say("All riders 1 head to count").must_say("Group of Bea Ward 0 heads");
    count(&house, &field, &field.lead, "2345bcdfghjkm", "lesson", "1").must_be(404);
    for odd in ["-1", "1001", "two", ""] {
        let again = count(&house, &field, &field.lead, "", "lesson", odd);
        again.must_be(422).must_say("Write the number of heads");
        assert!(again.field("counted").is_some());
    }
}

#[test]
fn saturday_1_day_6_a_wrong_count_turns_every_field_page_of_that_session_loud_until_a_right_one_follows() {
    let house = TestApp::start();
    let (field, bea, second) = two_and_two(&house);
    field.sign_day_list(&house);
    let of_bea = group_of(&field, "Bea");
    put(&house, &field, &field.lead, &field.zoe, &of_bea).must_be(303);
    put(&house, &field, &field.lead, &second, &of_bea).must_be(303);
    let quiet = || pages(&field).iter().all(|page| !field.lead.get(page).says("Stop all engines"));
    assert!(quiet());
    count(&house, &field, &bea, &of_bea, "lesson", "1").must_be(303);
    for page in pages(&field) {
        let shown = field.lead.get(&page);
        shown.must_be(200).must_say("1 of 2 heads. Stop all engines.").must_say("Group of Bea Ward");
        // A shape and words, then a color.
        assert!(shown.body.contains("class=\"alarm stop\"") && shown.body.contains("#s-caution"), "{page}");
    }
    // A right count of others changes nothing; a right one of the same riders does.
    count(&house, &field, &field.lead, &group_of(&field, "Rafael"), "lesson", "0").must_be(303);
    assert!(!quiet());
    count(&house, &field, &bea, &of_bea, "lesson", "2").must_be(303);
    assert!(quiet());
    // One too many is as wrong as one too few, and all heads counted right count the group's too.
    count(&house, &field, &bea, &of_bea, "other", "3").must_be(303);
    field.lead.get(&field.at("")).must_say("3 of 2 heads. Stop all engines.");
    count(&house, &field, &field.lead, "", "lesson", "2").must_be(303);
    assert!(quiet());
}

#[test]
fn saturday_1_day_6_a_group_that_rode_out_shows_as_out_until_it_is_counted_in() {
    let house = TestApp::start();
    let (field, bea, second) = two_and_two(&house);
    field.sign_day_list(&house);
    let of_bea = group_of(&field, "Bea");
    put(&house, &field, &field.lead, &second, &of_bea).must_be(303);
    field.lead.get(&field.at("/counts")).must_say("The 1 rider is going out");
    count(&house, &field, &bea, &of_bea, "trail_out", "1").must_be(303);
    for page in pages(&field) {
        field.lead.get(&page).must_say("1 rider out on the trail since 8:40 AM.").must_say("Count them in");
    }
    let page = field.lead.get(&field.at("/counts"));
    page.must_say("Out on the trail since 8:40 AM").must_say("The 1 rider is in from the trail");
    // A hole is found meanwhile: nobody goes out any more, and who is out is counted in all the same.
    field.look_over(&field.lead, &[("point_holes", "not_right"), ("words_holes", "hole")], false).must_be(303);
    count(&house, &field, &field.lead, "", "trail_out", "2").must_be(422);
    // Nobody at the gate yet: loud, and still out.
    count(&house, &field, &bea, &of_bea, "trail_in", "0").must_be(303);
    field.lead.get(&field.at("")).must_say("0 of 1 heads. Stop all engines.").must_say("out on the trail");
    count(&house, &field, &bea, &of_bea, "trail_in", "1").must_be(303);
    let page = field.lead.get(&field.at(""));
    assert!(!page.says("out on the trail") && !page.says("Stop all engines"));
}

#[test]
fn day_6_a_group_says_where_it_rides_and_the_head_count_is_asked_for_there() {
    let house = TestApp::start();
    let (field, bea, second) = two_and_two(&house);
    let of_bea = group_of(&field, "Bea");
    put(&house, &field, &field.lead, &second, &of_bea).must_be(303);
    let say = |who: &Browser, with: &str, place: &str| {
        let id = house.act_id();
        let fields = [("act", "group_place"), ("act_id", &*id), ("back", "/groups"), ("with", with), ("place", place)];
        who.submit(&field.at("/groups"), &field.at("/acts"), &fields)
    };
    assert!(!field.lead.get(&field.at("/groups")).says("Where it rides, group of Rafael"), "a group without riders");
    say(&bea, &of_bea, "  North   field ").must_be(303);
    field.lead.get(&field.at("/groups")).must_say("North field");
    field.lead.get(&field.at("/counts")).must_say("Group of Bea Ward, North field");
    // Who teaches nobody here has no group, and what is empty takes the place back.
    say(&bea, "2345bcdfghjkm", "North field").must_be(404);
    say(&field.lead, &of_bea, "").must_be(303);
    assert!(!field.lead.get(&field.at("/counts")).says("North field"));
}
