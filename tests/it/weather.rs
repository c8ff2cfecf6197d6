//! The weather of the day: thunder stops riding everywhere and the clock outlives a reload; numbers beyond a limit stop it until
//! better ones are read; the lead may always stop; nobody goes on past any of it.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::schema::audit_rows;

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;

/// Everything of the morning is done: Zoë rides.
fn riding(house: &TestApp) -> Field {
    let field = house.field_day();
    field.make_ready(house);
    field.pass_lessons(house, 1..=4);
    rides(house, &field).must_be(303);
    field
}

fn rides(house: &TestApp, field: &Field) -> Answered {
    field.tap(house, &field.lead, "mark", &[("check", "5.1"), ("mark", "meets")])
}

fn trail_out(house: &TestApp, field: &Field) -> Answered {
    field.act(house, &field.lead, "count", &[("moment", "trail_out"), ("counted", "1"), ("back", "#heads")])
}

fn thunder(house: &TestApp, field: &Field, who: &Browser) -> Answered {
    field.act(house, who, "thunder", &[("back", "/weather#thunder")])
}

fn read(house: &TestApp, field: &Field, who: &Browser, numbers: &[(&str, &str)]) -> Answered {
    let mut fields = vec![("back", "/weather#reading")];
    fields.extend_from_slice(numbers);
    field.act(house, who, "weather", &fields)
}

fn set_clock(house: &TestApp, at: &str) {
    house.app.clock.set(format!("2026-06-13T{at}:00").parse().expect("an instant"));
}

/// The wait and its new start: advice of the National Weather Service. 8:40 on the wall is 14:40 UTC.
#[test]
fn day_7_thunder_by_anybody_of_the_team_stops_riding_everywhere_until_the_clock_runs_out() {
    let house = TestApp::start();
    let field = riding(&house);
    let dewey = house.signed_in("dewey@example.org");
    thunder(&house, &field, &dewey).must_be(303);
    // Every page of the session says it, on whatever phone opens it.
    let pages = [field.at(""), field.at("/lessons/5"), field.of_zoe(""), field.of_zoe("/fit"), field.at("/groups")];
    for page in &pages {
        let page = field.lead.get(page);
        page.must_say("Nobody rides for now.").must_say("Nobody rides before 9:10 AM.").must_say("Open the weather");
    }
    rides(&house, &field).must_be(422).must_say("Thunder or lightning. Everybody off the machines");
    trail_out(&house, &field).must_be(422).must_say("Nobody rides before 9:10 AM.");
    // A stop for safety is always taken, and what is no riding goes on.
    field.tap(&house, &field.lead, "mark", &[("check", "5.2"), ("mark", "stopped")]).must_be(303);
    field.act(&house, &field.lead, "count", &[("moment", "lesson"), ("counted", "1"), ("back", "#heads")]).must_be(303);
    set_clock(&house, "14:52");
    field.lead.get(&field.at("/weather")).must_say("18 minutes to go, at 8:52 AM.");
    // Every new one starts the wait anew.
    thunder(&house, &field, &field.lead).must_be(303);
    field
        .lead
        .get(&field.at("/weather"))
        .must_say("30 minutes to go, at 8:52 AM.")
        .must_say("Nobody rides before 9:22 AM.");
    set_clock(&house, "15:21");
    let page = field.lead.get(&field.at("/weather"));
    page.must_say("1 minute to go, at 9:21 AM.");
    rides(&house, &field).must_be(422);
    set_clock(&house, "15:22");
    for page in &pages {
        assert!(!field.lead.get(page).says("Nobody rides for now."));
    }
    rides(&house, &field).must_be(303);
    trail_out(&house, &field).must_be(303);
    let log = field.lead.get(&field.at("/weather"));
    log.must_say("8:52 AM Thunder or lightning. Rafael Tso").must_say("8:40 AM Thunder or lightning. Dewey Blackwater");
    let told: Vec<String> = house.rows(|conn| {
        let of = audit_rows::table.filter(audit_rows::action.eq("act.thunder"));
        of.select(audit_rows::detail).load(conn)
    });
    assert_eq!(told, ["", ""]);
}

#[test]
fn day_7_a_slip_at_the_thunder_button_is_taken_back() {
    let house = TestApp::start();
    let field = riding(&house);
    thunder(&house, &field, &field.lead).must_be(303);
    let page = field.lead.get(&field.at("/weather"));
    page.must_say("Thunder or lightning Undo");
    field.press_undo(&field.lead, &page).must_be(303);
    assert!(!field.lead.get(&field.at("/weather")).says("minutes to go"));
    rides(&house, &field).must_be(303);
}

/// 95 °F at 60 % is 113 °F by the equation of the Weather Prediction Center; the limits are common practice, no source.
#[test]
fn day_7_a_number_beyond_its_limit_stops_riding_until_that_number_is_read_again() {
    let house = TestApp::start();
    let field = riding(&house);
    read(&house, &field, &field.lead, &[("temperature", "84"), ("humidity", "50"), ("gusts", "12")]).must_be(303);
    let page = field.lead.get(&field.at("/weather"));
    page.must_say("With care: heat index 85 °F, limit 80 °F").must_say("Water every 20 minutes");
    page.must_say("The chart calls it “caution”.").must_say("Goes: wind or gusts of 12 mph, limit 40 mph");
    // The program's table, the chart that names the heat, and the log with the numbers as they were typed.
    page.must_say("Heat index 80 °F or more 103 °F or more").must_say("its newer chart (80, 91, 104 and 125 °F)");
    page.must_say("84 °F in the shade, humidity 50 %, gusts 12 mph, heat index 85 °F");
    rides(&house, &field).must_be(303);
    read(&house, &field, &field.lead, &[("temperature", "95"), ("humidity", "60")]).must_be(303);
    let stop = "Nobody rides in this weather: heat index 113 °F, limit 103 °F.";
    field.lead.get(&field.at("")).must_say(stop);
    rides(&house, &field).must_be(422).must_say(stop);
    // Good air does not make it cooler.
    read(&house, &field, &field.lead, &[("air", "40")]).must_be(303);
    rides(&house, &field).must_be(422).must_say(stop);
    // The lead's word lifts no number.
    field.act(&house, &field.lead, "weather_call", &[("stop", "no"), ("back", "/weather#call")]).must_be(422);
    read(&house, &field, &field.lead, &[("temperature", "88"), ("humidity", "45")]).must_be(303);
    rides(&house, &field).must_be(303);
}

#[test]
fn day_7_a_number_that_no_limit_holds_is_in_the_log_as_it_was_typed() {
    let house = TestApp::start();
    let field = riding(&house);
    read(&house, &field, &field.lead, &[("temperature", "-3.5")]).must_be(303);
    let said = "Weather read, nothing to hold against a limit: \u{2212}3.5 °F in the shade.";
    field.lead.get(&field.at("/weather")).must_say(said);
}

#[test]
fn day_7_what_is_no_number_is_said_at_its_field_and_nothing_typed_is_lost() {
    let house = TestApp::start();
    let field = riding(&house);
    read(&house, &field, &field.lead, &[]).must_be(422).must_say("Write at least one number.");
    let wrong = read(&house, &field, &field.lead, &[("temperature", "hot"), ("humidity", "155"), ("wind", "8.5")]);
    wrong.must_be(422).must_say("Write a number from \u{2212}60 to 130, such as 84.");
    wrong.must_say("Write a number from 0 to 100, such as 55.").must_say("Write a number from 0 to 150, such as 8.");
    for typed in ["value=\"hot\"", "value=\"155\"", "value=\"8.5\""] {
        assert!(wrong.body.contains(typed), "{typed}");
    }
    assert_eq!(house.acts_kept("weather"), 0);
    let none = [("stop", "yes"), ("why", " "), ("back", "/weather#call")];
    field.act(&house, &field.lead, "weather_call", &none).must_be(422).must_say("Write why riding stops.");
}

#[test]
fn day_7_the_lead_alone_stops_riding_in_any_weather_and_lifts_that_stop() {
    let house = TestApp::start();
    let field = riding(&house);
    let call = |who: &Browser, stop, why| {
        field.act(&house, who, "weather_call", &[("stop", stop), ("why", why), ("back", "/weather#call")])
    };
    let dewey = house.signed_in("dewey@example.org");
    let refused = call(&dewey, "yes", "Smoke");
    refused.must_be(422).must_say("Only the lead");
    assert!(refused.body.contains("value=\"Smoke\""), "what was typed stays");
    call(&field.lead, "no", "").must_be(422).must_say("There is no stop of the lead's to lift.");
    call(&field.lead, "yes", "Smoke from the ridge").must_be(303);
    let said = "The lead stopped riding for the weather: Smoke from the ridge";
    dewey.get(&field.at("")).must_say(said);
    dewey.get(&field.at("/weather")).must_say("Only the lead lifts it: Rafael Tso.");
    rides(&house, &field).must_be(422).must_say(said);
    call(&dewey, "no", "").must_be(422);
    call(&field.lead, "no", "").must_be(303);
    rides(&house, &field).must_be(303);
    field.lead.get(&field.at("/weather")).must_say("The lead’s stop for the weather is lifted.");
}

#[test]
fn day_7_the_limits_are_the_programs_settings_and_the_stop_ends_with_the_day() {
    let house = TestApp::start();
    let field = riding(&house);
    let office = house.person(Role::Administrator);
    office.get("/program/settings/weather_thunder").must_say("Wait after the last thunder or flash");
    // Nobody makes the wait shorter than the advice, and a program may make it longer.
    office.set_program("weather_thunder", &[("value", "20")]).must_be(422);
    office.set_program("weather_thunder", &[("value", "45")]).must_be(303);
    thunder(&house, &field, &field.lead).must_be(303);
    field.lead.get(&field.at("/weather")).must_say("45 minutes to go").must_say("Nobody rides before 9:25 AM.");
    set_clock(&house, "15:25");
    let lead = house.signed_in("rafael@example.org");
    read(&house, &field, &lead, &[("gusts", "45")]).must_be(303);
    lead.get(&field.at("")).must_say("wind or gusts of 45 mph, limit 40 mph");
    // A day later nobody rides that day's session any more, and nobody is stopped.
    house.app.clock.set("2026-06-14T15:00:00".parse().expect("an instant"));
    assert!(!house.signed_in("rafael@example.org").get(&field.at("")).says("Nobody rides for now."));
}
