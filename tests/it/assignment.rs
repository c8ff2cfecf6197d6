//! Who rides which machine: the proposal for a group, what one choice changes, and why somebody has to wait.

use chrono::NaiveDate;
use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::domain::ids::RiderId;
use waymark::store::schema::{machines, registrations};

use crate::house::app::TestApp;
use crate::house::browser::Answered;
use crate::house::field::Field;
use crate::house::season::rider;

/// Two children of nine with a seat; machines 4 and 6 are theirs to ride, 16 is for those of sixteen.
fn two_riders(house: &TestApp) -> (Field, String) {
    let field = house.field_day();
    let second = house.second_rider(&field, "marta@example.org");
    house.add_atv("6", "Y-6+", "ready");
    house.add_atv("16", "G", "ready");
    (field, second)
}

fn page(field: &Field, query: &str) -> Answered {
    field.lead.get(&field.at(&format!("/assignment{query}"))).must_be(200);
    field.lead.get(&field.at(&format!("/assignment{query}")))
}

/// Presses the button of a proposal.
fn take(house: &TestApp, field: &Field, shown: &Answered, riders: &[&str]) -> Answered {
    let plans: Vec<(String, String)> = riders
        .iter()
        .filter_map(|rider| Some((format!("plan_{rider}"), shown.field(&format!("plan_{rider}"))?)))
        .collect();
    let mut fields: Vec<(&str, &str)> = vec![("act", "assign")];
    fields.extend(plans.iter().map(|(name, value)| (name.as_str(), value.as_str())));
    fields.push(("back", "/assignment"));
    field.act(house, &field.lead, "assign", &fields)
}

#[test]
fn day_3_everybody_gets_a_machine_that_age_and_category_allow_and_the_plan_is_kept() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let shown = page(&field, "");
    shown.must_say("2 of 2").must_say("Take this plan");
    assert!(!shown.says("No. 16"), "nobody of nine is offered a machine for sixteen");
    take(&house, &field, &shown, &[&field.zoe, &second]).must_be(303);
    assert_eq!(house.acts_kept("assign"), 2);
    let kept = page(&field, "");
    kept.must_say("Machines for 2 riders planned").must_say("Stays on no. 4").must_say("Stays on no. 6");
    assert!(!kept.says("Take this plan"), "nothing is left to change");
    field.lead.get(&field.at("")).must_say("for machine 4").must_say("for machine 6");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let choice = field.lead.get(&field.of_zoe("/fit"));
    choice.must_say("Planned.");
    // A plan starts nobody: only the fit check does.
    field.tap(&house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(&house, &field.lead, "helmet_check", &[("all", "yes")]).must_be(303);
    field.sign_day_list(&house);
    field
        .tap(&house, &field.lead, "mark", &[("check", "5.1"), ("mark", "meets")])
        .must_be(422)
        .must_say("No fit check");
}

#[test]
fn day_3_a_choice_shows_its_consequence_before_it_is_taken() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let riders = [field.zoe.as_str(), second.as_str()];
    take(&house, &field, &page(&field, ""), &riders).must_be(303);
    let now = page(&field, "");
    let zoe_has = if now.body.contains(&format!("id=\"r-{}\"", field.zoe)) && line(&now, &field.zoe).contains("no. 4") {
        "4"
    } else {
        "6"
    };
    let other = if zoe_has == "4" { "6" } else { "4" };
    // One tap on another machine's button asks what would change.
    let button = format!("name=\"machine\" value=\"{other}\"");
    assert!(now.body.contains(&button) && now.body.contains("Another machine"), "{button}");
    let what_if = page(&field, &format!("?rider={}&machine={other}", field.zoe));
    what_if.must_say("Take this change").must_say("Leave it as it is");
    assert!(line(&what_if, &field.zoe).contains(&format!("From no. {zoe_has} to no. {other}")));
    assert!(line(&what_if, &second).contains(&format!("From no. {other} to no. {zoe_has}")));
    assert_eq!(house.acts_kept("assign"), 2, "looking keeps nothing");
    take(&house, &field, &what_if, &riders).must_be(303);
    assert!(line(&page(&field, ""), &field.zoe).contains(&format!("Stays on no. {other}")));
    page(&field, &format!("?rider={}&machine=16", field.zoe)).must_say("This rider cannot have that.");
}

/// The words of one rider's line.
fn line(page: &Answered, rider: &str) -> String {
    let from = page.body.split(&format!("id=\"r-{rider}\"")).nth(1).expect("a line");
    // The machines to choose from are no part of what is said.
    let text = from.split("<form").next().and_then(|said| said.split("</li>").next()).expect("its end");
    text.split('<').filter_map(|part| part.split('>').nth(1)).collect::<Vec<_>>().join(" ")
}

#[test]
fn day_3_too_few_machines_name_the_riders_who_share_them_and_a_fault_moves_only_its_rider() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let riders = [field.zoe.as_str(), second.as_str()];
    take(&house, &field, &page(&field, ""), &riders).must_be(303);
    field.look_over_machine(&house, &field.lead, "6", &[("wrong_tires", "yes"), ("words_tires", "flat")]).must_be(303);
    let short = page(&field, "");
    short.must_say("1 of 2").must_say("Not everybody can ride at once.").must_say("are 2, and can only have 4.");
    house.add_atv("8", "Y-6+", "ready");
    let again = page(&field, "");
    again.must_say("2 of 2");
    let moved = riders.iter().filter(|rider| line(&again, rider).contains("to no. 8")).count();
    let stays = riders.iter().filter(|rider| line(&again, rider).contains("Stays on no. 4")).count();
    assert_eq!((moved, stays), (1, 1), "whoever can stay stays");
}

#[test]
fn day_3_a_machine_that_a_check_of_today_held_back_is_not_proposed_again() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_atv("6", "Y-6+", "ready");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let before = page(&field, "");
    assert!(line(&before, &field.zoe).contains("No. 4"), "{}", line(&before, &field.zoe));
    field.fit(&house, &field.lead, &[("seen_full_lock", "not_met")]).must_be(303);
    let after = page(&field, "");
    assert!(line(&after, &field.zoe).contains("No. 6"), "{}", line(&after, &field.zoe));
    // Fitted on it, the rider stays on it whatever else is free.
    field.fit(&house, &field.lead, &[]).must_be(303);
    let fitted = page(&field, "");
    assert!(line(&fitted, &field.zoe).contains("Stays on no. 4") && line(&fitted, &field.zoe).contains("fitted"));
}

#[test]
fn day_3_a_rider_who_was_fitted_can_be_planned_elsewhere_and_starts_there_only_after_a_new_check() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_atv("6", "Y-6+", "ready");
    field.make_ready(&house);
    let what_if = page(&field, &format!("?rider={}&machine=6", field.zoe));
    assert!(line(&what_if, &field.zoe).contains("From no. 4 to no. 6"));
    take(&house, &field, &what_if, &[&field.zoe]).must_be(303);
    let kept = page(&field, "");
    assert!(line(&kept, &field.zoe).contains("Stays on no. 6") && !line(&kept, &field.zoe).contains("fitted"));
    field.lead.get(&field.at("")).must_say("for machine 6");
    let choice = field.lead.get(&field.of_zoe("/fit")).words();
    let at = |number: &str| choice.find(&format!("No. {number},")).expect("a machine");
    assert!(at("6") < at("4"), "the planned one first");
    // Someone who went home is planned no more.
    field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    page(&field, "").must_say("Nobody rides today yet.");
}

#[test]
fn day_3_a_plan_with_a_machine_that_is_not_there_keeps_nothing() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let (zoe, other) = (format!("plan_{}", field.zoe), format!("plan_{second}"));
    let fields = [("act", "assign"), (zoe.as_str(), "4"), (other.as_str(), "no such"), ("back", "/assignment")];
    field.act(&house, &field.lead, "assign", &fields).must_be(404);
    assert_eq!(house.acts_kept("assign"), 0);
}

#[test]
fn day_3_helmets_are_proposed_by_the_measured_head_and_a_missing_one_is_named() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let made = NaiveDate::from_ymd_opt(2026, 1, 1).expect("a month");
    house.add_lot_of("M-1", 1, made);
    page(&field, "").must_say("measure the head first");
    for rider in [field.zoe.as_str(), second.as_str()] {
        field.tap_about(&house, &field.lead, rider, "check_in", &[]).must_be(303);
        field.tap_about(&house, &field.lead, rider, "measures", &[("head", "55 cm")]).must_be(303);
    }
    let shown = page(&field, "");
    shown
        .must_say("Helmet M, lot M-1")
        .must_say("A helmet is missing.")
        .must_say("are 2, and can only have 1 of M, lot M-1");
    house.add_lot_of("M-2", 5, made);
    assert!(!page(&field, "").says("A helmet is missing."));
}

#[test]
fn day_3_a_choice_of_a_helmet_shows_whose_helmet_it_moves_before_it_is_handed_out() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let made = NaiveDate::from_ymd_opt(2026, 1, 1).expect("a month");
    house.add_lot_of("M-1", 1, made);
    house.add_lot_of("M-2", 1, made);
    let unmeasured = page(&field, "");
    assert!(!unmeasured.says("Another helmet"), "before the head is measured there is nothing to choose");
    for rider in [field.zoe.as_str(), second.as_str()] {
        field.tap_about(&house, &field.lead, rider, "check_in", &[]).must_be(303);
        field.tap_about(&house, &field.lead, rider, "measures", &[("head", "55 cm")]).must_be(303);
    }
    let shown = page(&field, "");
    let (hers, other) =
        if line(&shown, &field.zoe).contains("Helmet M, lot M-1") { ("M-1", "M-2") } else { ("M-2", "M-1") };
    assert!(line(&shown, &second).contains(&format!("Helmet M, lot {other}")), "each has one of the two");
    let button = format!("name=\"helmet\" value=\"{other}\"");
    assert!(shown.body.contains(&button), "{button}");
    // The other lot has one helmet: to take it moves the second rider, and nobody's machine.
    let what_if = page(&field, &format!("?rider={}&helmet={other}", field.zoe));
    what_if
        .must_say("One other rider’s helmet changes, marked below.")
        .must_say("Hand it out")
        .must_say("Leave it as it is");
    assert!(line(&what_if, &field.zoe).contains(&format!("Helmet from M, lot {hers} to M, lot {other}")));
    assert!(line(&what_if, &second).contains(&format!("Helmet from M, lot {other} to M, lot {hers}")));
    assert!(!what_if.says("Take this change"), "a helmet is taken by handing it out");
    assert_eq!(house.acts_kept("helmet"), 0, "looking keeps nothing");
    // With one more of it nobody else is moved, and with none left of it the choice is refused.
    house.add_lot_of("M-3", 2, made);
    page(&field, &format!("?rider={}&helmet=M-3", field.zoe)).must_say("Nobody else’s helmet changes.");
    page(&field, &format!("?rider={}&helmet=M-9", field.zoe)).must_say("This rider cannot have that.");
    field.tap(&house, &field.lead, "helmet", &[("lot", other), ("way", "lent")]).must_be(303);
    let kept = page(&field, "");
    assert!(!line(&kept, &field.zoe).contains("Helmet"), "who has a helmet is offered none");
    page(&field, &format!("?rider={}&helmet=M-3", field.zoe)).must_say("This rider cannot have that.");
}

#[test]
fn day_3_a_choice_takes_the_only_helmet_or_machine_from_whoever_had_it_and_says_so() {
    let house = TestApp::start();
    let field = house.field_day();
    let second = house.second_rider(&field, "marta@example.org");
    house.add_lot_of("M-1", 1, NaiveDate::from_ymd_opt(2026, 1, 1).expect("a month"));
    for rider in [field.zoe.as_str(), second.as_str()] {
        field.tap_about(&house, &field.lead, rider, "check_in", &[]).must_be(303);
        field.tap_about(&house, &field.lead, rider, "measures", &[("head", "55 cm")]).must_be(303);
    }
    // One helmet and one machine for two: who has none in the proposal is given the other's.
    let shown = page(&field, "");
    let has_helmet = |rider: &String| line(&shown, rider).contains("Helmet M, lot M-1");
    let has_machine = |rider: &String| line(&shown, rider).contains("No. 4");
    for (without, has, query) in [
        if has_helmet(&field.zoe) { (&second, &field.zoe, "helmet=M-1") } else { (&field.zoe, &second, "helmet=M-1") },
        if has_machine(&field.zoe) { (&second, &field.zoe, "machine=4") } else { (&field.zoe, &second, "machine=4") },
    ] {
        let what_if = page(&field, &format!("?rider={without}&{query}"));
        let is_helmet = query.starts_with("helmet");
        let (got, lost) =
            if is_helmet { ("Helmet M, lot M-1", "Helmet from M, lot M-1 to none") } else { ("No. 4", "None") };
        assert!(line(&what_if, without).contains(got), "{query}: {}", line(&what_if, without));
        assert!(line(&what_if, has).contains(lost), "{query}: {}", line(&what_if, has));
    }
}

#[test]
fn day_3_a_helmet_that_only_one_head_fits_blocks_whoever_is_left_without_one() {
    let house = TestApp::start();
    let (field, second) = two_riders(&house);
    let made = NaiveDate::from_ymd_opt(2026, 1, 1).expect("a month");
    house.add_lot_of("M-1", 2, made);
    for (rider, head) in [(field.zoe.as_str(), "55 cm"), (second.as_str(), "64 cm")] {
        field.tap_about(&house, &field.lead, rider, "check_in", &[]).must_be(303);
        field.tap_about(&house, &field.lead, rider, "measures", &[("head", head)]).must_be(303);
    }
    // A head that no size on hand holds is offered none, cannot take one, and stands as the reason.
    let shown = page(&field, "").must_say("A helmet is missing.").clone();
    assert!(line(&shown, &field.zoe).contains("Helmet M, lot M-1"));
    assert!(!line(&shown, &second).contains("Helmet M"));
    page(&field, &format!("?rider={second}&helmet=M-1")).must_say("This rider cannot have that.");
}

#[test]
fn day_3_before_the_day_the_office_sees_whom_no_machine_may_fit() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let machines_page = format!("/season/{}/machines", field.session);
    priya.get(&machines_page).must_say("1 of 1 riders can have one of these machines at once");
    let high = |conn: &mut waymark::store::AnyConn| {
        diesel::update(machines::table).set(machines::seat_to_rest_um.eq(590_000)).execute(conn)?;
        Ok::<_, waymark::store::StoreError>(())
    };
    house.app.store.write("higher seat", high).expect("a change");
    let warned = priya.get(&machines_page);
    warned.must_say("0 of 1 riders").must_say("Call these families: the machines may not fit.");
    warned.must_say("Zoë Marisol Okafor-Lindqvist").must_say("No machine here suits");
}

#[test]
fn day_2_a_check_of_another_session_is_shown_until_it_is_too_old_because_children_grow() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_atv("6", "Y-6+", "ready");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let missed = ("seen_thigh_level", "not_met");
    let reason = ("override_thigh_level", "Rides well upright, seen twice");
    field.fit(&house, &field.lead, &[missed, reason]).must_be(303);
    // The same child in a session of later; shipped, a check counts for six months (common practice, no source).
    for (held_on, at, words) in [
        ("2026-12-13", "2026-12-13T16:00:00", "Fitted on it on June 13, 2026."),
        ("2026-12-14", "2026-12-14T16:00:00", "That is too long ago: children grow."),
    ] {
        let session = house.add_session("young", 6, held_on.parse().expect("a day"));
        house.put_on(
            &session,
            house.add_member(&format!("lea{held_on}@example.org"), "Lea", "Ward", &[Role::Instructor]),
            Duty::Lead,
        );
        let young = rider().into_iter().map(|(name, value)| match name {
            "birth_year" => (name, "2019".to_owned()),
            _ => (name, value),
        });
        let other = house.stranger().register(&session, &young.collect(), &format!("ann{held_on}@example.org"));
        house.confirm(&format!("ann{held_on}@example.org"));
        let (again, zoe) = (other.rsplit('/').next().expect("a reference").to_owned(), field.zoe.clone());
        let moved = again.clone();
        let same_child = move |conn: &mut waymark::store::AnyConn| {
            let own = registrations::table.filter(registrations::reference.eq(&zoe)).select(registrations::rider_id);
            let child: RiderId = own.first(conn)?;
            let other = registrations::table.filter(registrations::reference.eq(&moved));
            diesel::update(other).set(registrations::rider_id.eq(child)).execute(conn)?;
            Ok::<_, waymark::store::StoreError>(())
        };
        house.app.store.write("same child", same_child).expect("a change");
        house.at(at);
        let lead = house.signed_in(&format!("lea{held_on}@example.org"));
        // What the lead let the child start with in June is shown for good.
        let fit = lead.get(&format!("/roster/{session}/riders/{again}/fit/4"));
        fit.must_say("What the lead let through").must_say("Level thighs, not met: Rides well upright, seen twice");
        let choice = lead.get(&format!("/roster/{session}/riders/{again}/fit"));
        choice.must_say(words);
        assert_eq!(choice.words().matches("Fitted on it").count(), 1, "only the machine that was tried");
        house.at("2026-06-13T14:40:00");
    }
}
