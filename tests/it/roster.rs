//! The instructor's Saturday through the front door: check-in to check-out, and everything that is refused on the way.

use std::sync::Barrier;

use chrono::NaiveDate;
use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::domain::acts::Taking;
use waymark::domain::session::SessionState;
use waymark::store::StoreError;
use waymark::store::acts::{acts_of, take_late_acts};
use waymark::store::connection::AnyConn;
use waymark::store::schema::{acts, audit_rows, gear_issues, gear_stock, registrations};
use waymark::store::sessions::{find_session, set_state};

use crate::house::app::TestApp;
use crate::house::browser::{Browser, encoded};
use crate::house::field::Field;

fn june(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, day).expect("a day of June")
}

fn this_year() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day")
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
fn house_3_a_whole_saturday_by_the_lead_from_check_in_to_check_out() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("TR-M", 3, this_year());
    let lead = &field.lead;
    let mine = lead.get("/my-sessions");
    mine.must_be(200)
        .must_say("Today")
        .must_say("Alder Flat")
        .must_say("1 child to check in")
        .must_say("You are the lead");
    lead.get(&field.at("")).must_be(200).must_say("0 of 1").must_say("Not checked in").must_say("Allergy: bee stings");

    field.tap(&house, lead, "check_in", &[]).must_be(303);
    lead.get(&field.at("")).must_say("1 of 1").must_say("Here. Gear not looked over");
    field.tap(&house, lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(&house, lead, "helmet_check", &[("all", "yes")]).must_be(303);
    field.tap(&house, lead, "measures", &[("head", "55 cm"), ("weight", "63 lb")]).must_be(303);
    field.fit(&house, lead, &[("length_standing_clearance", "4 1/2")]).must_be(303);
    let fit = lead.get(&field.of_zoe("/fit/4"));
    fit.must_say("Zoë Marisol may start on this machine")
        .must_say("4 1/2 in (114.3 mm). Limit: at least 3 in (76.2 mm)");
    fit.must_say("Margin 1 1/2 in (38.1 mm)").must_say("Minnesota DNR, off-highway vehicle regulations");
    field.tap(&house, lead, "helmet", &[("lot", "TR-M"), ("way", "given")]).must_be(303);
    field.pass_lessons(&house, 1..=5);
    for check in ["6.1", "6.2", "6.3", "6.4"] {
        field.tap(&house, lead, "mark", &[("check", check), ("mark", "meets")]).must_be(303);
    }
    lead.get(&field.at("")).must_say("Riding-ready").must_say("machine 4, helmet TR-M, given");
    lead.get(&field.at("/lessons/6?check=6.2")).must_be(200).must_say("6.2").must_say("1 of 1 marked");
    field.tap(&house, lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    lead.get(&field.of_zoe("")).must_say("Left with Chidi Okafor at 8:40 AM").must_say("Attended.");
    lead.get(&field.at("")).must_say("Not home 0");

    let actions: Vec<(String, String)> = house.rows(|conn| {
        audit_rows::table
            .filter(audit_rows::action.like("act.%"))
            .select((audit_rows::action, audit_rows::detail))
            .load(conn)
    });
    assert_eq!(actions.len() as i64, house.rows(|conn| acts::table.count().get_result::<i64>(conn)));
    let said: String = actions.iter().map(|(_, detail)| detail.as_str()).collect();
    assert!(!said.contains("Chidi") && !said.contains("Zoë"), "{said}");
    let measured = actions.iter().filter(|(action, _)| action == "act.measures");
    let sizes: Vec<&str> = measured.map(|(_, detail)| detail.as_str()).collect();
    assert!(!sizes.is_empty() && sizes.iter().all(|detail| !detail.contains("55")), "{sizes:?}");
}

#[test]
fn u22_a_rider_is_marked_present_with_one_tap_and_no_typing() {
    let house = TestApp::start();
    let field = house.field_day();
    let page = field.lead.get(&field.at(""));
    let form = page.body.split("<form").find(|form| form.contains("value=\"check_in\"")).expect("a form to check in");
    let form = form.split("</form>").next().expect("its end");
    assert_eq!(form.matches("<button").count(), 1);
    assert!(!form.contains("type=\"text\"") && !form.contains("<select"), "{form}");
    let fields: Vec<(String, String)> = form
        .split("<input")
        .skip(1)
        .map(|tag| {
            let part = |name: &str| tag.split(&format!("{name}=\"")).nth(1).expect("an attribute");
            let value = |name: &str| part(name).split('"').next().expect("a value").replace("&#35;", "#");
            (value("name"), value("value"))
        })
        .collect();
    let pairs: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let answered = field.lead.send("POST", &field.at("/acts"), &[("sec-fetch-site", "same-origin")], &encoded(&pairs));
    assert_eq!(answered.location(), format!("{}#r-{}", field.at(""), field.zoe), "the thumb stays where it was");
    field.lead.get(&field.at("")).must_say("1 of 1");
}

#[test]
fn house_3_a_double_press_of_one_form_is_one_act() {
    let house = TestApp::start();
    let field = house.field_day();
    let id = house.act_id();
    for _ in 0..3 {
        field.tap(&house, &field.lead, "check_in", &[("act_id", &id)]).must_be(303);
    }
    assert_eq!(house.acts_kept("check_in"), 1);
    // The same id with other words is the same act still.
    field.tap(&house, &field.lead, "gear", &[("act_id", &id), ("all", "yes")]).must_be(303);
    assert_eq!(house.acts_kept("gear"), 0);
}

#[test]
fn house_3_nothing_is_entered_for_a_child_who_is_not_checked_in() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("TR-M", 3, this_year());
    for (kind, fields) in [
        ("gear", vec![("all", "yes")]),
        ("measures", vec![("head", "55 cm")]),
        ("helmet", vec![("lot", "TR-M"), ("way", "given")]),
        ("mark", vec![("check", "1.1"), ("mark", "meets")]),
        ("check_out", vec![("adult", "Chidi Okafor")]),
    ] {
        let answered = field.tap(&house, &field.lead, kind, &fields);
        answered.must_be(422).must_say("This rider is not checked in. Check the rider in first.");
        assert_eq!(house.acts_kept(kind), 0);
    }
}

#[test]
fn house_3_a_rider_without_gear_or_fit_gets_no_riding_mark_and_the_page_says_why() {
    let house = TestApp::start();
    let field = house.field_day();
    let lead = &field.lead;
    let riding = [("check", "5.1"), ("mark", "meets")];
    field.tap(&house, lead, "check_in", &[]).must_be(303);
    field
        .tap(&house, lead, "mark", &riding)
        .must_be(422)
        .must_say("The rider does not start. Missing: helmet, goggles");
    lead.get(&field.at("/lessons/5")).must_say("The rider does not start. Missing: helmet");
    let five = [("worn_helmet", "yes"), ("worn_gloves", "yes"), ("worn_long_sleeves", "yes"), ("worn_boots", "yes")];
    field.tap(&house, lead, "gear", &five).must_be(303);
    field.tap(&house, lead, "mark", &riding).must_be(422).must_say("Missing: goggles or face shield, long trousers.");
    field.tap(&house, lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(&house, lead, "helmet_check", &[("all", "yes")]).must_be(303);
    field.tap(&house, lead, "mark", &riding).must_be(422).must_say("No fit check lets this rider ride yet");
    lead.get(&field.at("/lessons/5")).must_say("No fit check lets this rider ride yet");
    field.fit(&house, lead, &[]).must_be(303);
    field.tap(&house, lead, "mark", &riding).must_be(422).must_say("Look machine 4 over first.");
    field.look_over_machine(&house, lead, "4", &[]).must_be(303);
    field.tap(&house, lead, "mark", &riding).must_be(422).must_say("must be met before any wheel turns");
    field.pass_lessons(&house, 1..=4);
    field.tap(&house, lead, "mark", &riding).must_be(303);
    // A whole-lesson mark is not taken for braking.
    let whole = [("lesson", "6"), ("mark", "meets")];
    field.tap(&house, lead, "lesson_marks", &whole).must_be(422).must_say("marked check by check");
    assert!(!lead.get(&field.at("/lessons/6")).says("Mark the whole lesson"));
    lead.get(&field.at("/lessons/6?check=all")).must_be(404);
    lead.get(&field.at("/lessons/5")).must_say("Mark the whole lesson at once");
    lead.get(&field.at("/lessons/9")).must_say("Lesson 6 comes first").must_say("Comes first");
}

#[test]
fn house_3_a_stop_for_safety_is_cleared_by_the_lead_with_a_reason_and_by_nobody_else() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    let other = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    field.tap(&house, &other, "mark", &[("check", "1.1"), ("mark", "stopped")]).must_be(303);
    let meets = [("check", "1.1"), ("mark", "meets")];
    field.tap(&house, &other, "mark", &meets).must_be(422).must_say("Only the lead may clear a safety stop");
    other
        .get(&field.at("/lessons/1"))
        .must_say("Stopped for safety at 8:40 AM")
        .must_say("Only the lead may clear this");
    let page = field.lead.get(&field.at("/lessons/1"));
    let stop = page.field("clears").expect("the lead's form names the stop");
    field.tap(&house, &field.lead, "mark", &meets).must_be(422).must_say("Name the safety stop");
    let named = [("check", "1.1"), ("mark", "meets"), ("clears", stop.as_str()), ("reason", "  ")];
    field.tap(&house, &field.lead, "mark", &named).must_be(422).must_say("Write why the safety stop is cleared");
    let theirs = [("check", "1.1"), ("mark", "meets"), ("clears", stop.as_str()), ("reason", "Rode it twice")];
    field.tap(&house, &other, "mark", &theirs).must_be(422).must_say("Only the lead may clear");
    field.tap(&house, &field.lead, "mark", &theirs).must_be(303);
    assert!(!field.lead.get(&field.at("/lessons/1")).says("Stopped for safety"));
}

#[test]
fn house_3_a_helmet_goes_out_only_in_range_young_enough_and_once() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("TR-M", 3, this_year());
    // Five years from the end of the month it was made: common practice, a setting of the program.
    house.add_lot_of("OLD", 3, NaiveDate::from_ymd_opt(2021, 5, 1).expect("a day"));
    let give = |lot| field.tap(&house, &field.lead, "helmet", &[("lot", lot), ("way", "given")]);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    give("OLD").must_be(422).must_say("older than the program allows");
    give("NONE").must_be(404);
    for (head, status) in [("53.9 cm", 422), ("56.1 cm", 422)] {
        field.tap(&house, &field.lead, "measures", &[("head", head)]).must_be(303);
        give("TR-M").must_be(status).must_say("does not hold a head of that size");
        assert!(!field.lead.get(&field.of_zoe("")).says("Lot TR-M"), "a lot out of range is not offered");
    }
    field.tap(&house, &field.lead, "measures", &[("head", "54 cm")]).must_be(303);
    field.lead.get(&field.of_zoe("")).must_say("Lot TR-M, 3 left").must_say("Give to Zoë Marisol");
    give("TR-M").must_be(303);
    give("TR-M").must_be(422).must_say("already has a helmet");
    // Three of each lot came.
    assert_eq!(house.helmets_on_hand(), 5);
}

#[test]
fn house_3_the_last_helmet_of_a_lot_is_given_once_under_two_presses_at_the_same_moment() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("LAST", 1, this_year());
    let second = house.second_rider(&field, "chidi@example.org");
    let riders = [field.zoe.clone(), second];
    for rider in &riders {
        field.tap_about(&house, &field.lead, rider, "check_in", &[]).must_be(303);
    }
    let start = Barrier::new(riders.len());
    let presses: Vec<_> = riders
        .iter()
        .map(|rider| {
            let hand = field.lead.copy();
            hand.get(&field.at(""));
            (hand, field.at("/acts"), rider.clone(), house.act_id(), format!("/riders/{rider}"))
        })
        .collect();
    let mut statuses: Vec<u16> = std::thread::scope(|scope| {
        let give = |(hand, acts, rider, id, back): (Browser, String, String, String, String)| {
            let start = &start;
            scope.spawn(move || {
                start.wait();
                let about = [("act", "helmet"), ("act_id", &*id), ("rider", &*rider), ("back", &*back)];
                let fields: Vec<(&str, &str)> = about.into_iter().chain([("lot", "LAST"), ("way", "given")]).collect();
                hand.post(&acts, &fields).status
            })
        };
        let threads: Vec<_> = presses.into_iter().map(give).collect();
        threads.into_iter().map(|thread| thread.join().expect("a press")).collect()
    });
    statuses.sort_unstable();
    let (left, issued): (i64, i64) = house.rows(|conn| {
        Ok((gear_stock::table.select(gear_stock::count).first(conn)?, gear_issues::table.count().get_result(conn)?))
    });
    assert_eq!((statuses, left, issued, house.acts_kept("helmet")), (vec![303, 422], 0, 1, 1));
}

#[test]
fn house_3_a_child_is_not_released_to_a_name_on_the_familys_list() {
    let house = TestApp::start();
    let field = house.field_day();
    let zoe = field.zoe.clone();
    let listed = move |conn: &mut AnyConn| {
        let id =
            registrations::table.filter(registrations::reference.eq(&zoe)).select(registrations::id).first(conn)?;
        waymark::store::registrations::add_contact(conn, id, "not_release", 1, "Marcus Webb", "")
    };
    house.app.store.write("list", listed).expect("a contact");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.lead.get(&field.of_zoe("")).must_say("Do not release Zoë Marisol to: Marcus Webb.");
    for name in ["Marcus Webb", "márcus  WEBB", "Marcus T. Webb", "Webb"] {
        let refused = field.tap(&house, &field.lead, "check_out", &[("adult", name)]);
        refused.must_be(422).must_say("Do not let the child go").must_say("do not release to Marcus Webb");
        assert_eq!(refused.field("adult").as_deref(), Some(name), "what was typed is still there");
    }
    field
        .tap(&house, &field.lead, "check_out", &[("adult", " ")])
        .must_be(422)
        .must_say("Write the first and last name");
    assert_eq!(house.acts_kept("check_out"), 0);
    field.tap(&house, &field.lead, "check_out", &[("adult", "Ingrid Lindqvist")]).must_be(303);
}

#[test]
fn house_3_a_wrong_head_count_is_loud_until_it_is_counted_right() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let count = |counted: &str| {
        let id = house.act_id();
        let fields =
            [("act", "count"), ("act_id", id.as_str()), ("back", "#heads"), ("moment", "lesson"), ("counted", counted)];
        field.lead.submit(&field.at(""), &field.at("/acts"), &fields)
    };
    count("0").must_be(303);
    for page in [field.at(""), field.at("/lessons/1")] {
        let page = field.lead.get(&page);
        page.must_say("0 of 1").must_say("stop and count again");
        assert!(page.body.contains("class=\"loud\""));
    }
    count("1").must_be(303);
    assert!(!field.lead.get(&field.at("")).body.contains("class=\"loud\""));
    count("twelve").must_be(422).must_say("Write the number of heads");
}

#[test]
fn house_3_an_act_after_closing_is_kept_and_counts_when_the_session_is_opened_again() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    close(&house, &field);
    let late = [("check", "5.1"), ("mark", "meets")];
    field.tap(&house, &field.lead, "mark", &late).must_be(303);
    let standing: Taking =
        house.rows(|conn| acts::table.order(acts::counter.desc()).select(acts::standing).first(conn));
    assert_eq!(standing, Taking::Late);
    let page = field.lead.get(&field.at("/lessons/5?check=5.1"));
    page.must_say("This session is closed.").must_say("1 entry waits").must_say("0 of 1 marked");

    let reference = field.session.clone();
    let open = move |conn: &mut AnyConn| {
        let id = find_session(conn, &reference)?.expect("a session").session.id;
        set_state(conn, id, &[SessionState::Closed], SessionState::Reopened, None)?;
        Ok::<_, StoreError>((take_late_acts(conn, id)?, acts_of(conn, id)?.len()))
    };
    assert_eq!(house.app.store.write("reopen", open).expect("it opens").0, 1);
    field.lead.get(&field.at("/lessons/5?check=5.1")).must_say("1 of 1 marked");
}

#[test]
fn s27_an_instructor_sees_an_assigned_session_for_fourteen_days_around_it_and_no_other() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_member("bea@example.org", "Bea", "Ward", &[Role::Instructor]);
    let other = house.add_session("older", 4, june(13));
    let pages = |session: &str| vec![format!("/roster/{session}"), format!("/roster/{session}/lessons/1")];
    let of_zoe = ["", "/fit", "/fit/4", "/health"].map(|below| field.of_zoe(below));
    // The day at the site decides: 05:59 UTC is the evening before in Montana.
    for (now, status) in [
        ("2026-05-30T05:59:00", 404),
        ("2026-05-30T06:01:00", 200),
        ("2026-06-28T05:59:00", 200),
        ("2026-06-28T06:01:00", 404),
    ] {
        house.app.clock.set(now.parse().expect("an instant"));
        let lead = house.signed_in("rafael@example.org");
        for page in pages(&field.session).iter().chain(&of_zoe) {
            lead.get(page).must_be(status);
        }
        assert_eq!(lead.get("/my-sessions").says("Alder Flat"), status == 200, "{now}");
        let answered = field.tap(&house, &lead, "check_in", &[]);
        // Inside the window but off the day the roster shows and takes nothing.
        assert_eq!(
            answered.status,
            if status == 404 {
                404
            } else if now < "2026-06-13" {
                422
            } else {
                303
            },
            "{now}"
        );
    }
    house.app.clock.set("2026-06-13T14:40:00".parse().expect("an instant"));
    let missing = field.lead.get("/roster/2345bcdfghjkm");
    house.add_guardian("rosa@example.org", "Rosa", "Quill");
    for stranger in [house.signed_in("bea@example.org"), house.signed_in("rosa@example.org")] {
        for page in pages(&field.session).iter().chain(&of_zoe) {
            assert!(matches!(stranger.get(page).status, 403 | 404), "{page}");
        }
        let answered = field.tap(&house, &stranger, "gear", &[("all", "yes")]);
        assert!(matches!(answered.status, 403 | 404), "{}", answered.status);
    }
    for page in pages(&other) {
        let hidden = house.signed_in("rafael@example.org").get(&page);
        assert_eq!((hidden.status, hidden.words()), (404, missing.words()), "a session of others is no session");
    }
    // A rider of another session is nobody in this one.
    house.put_on(&other, house.add_member("cy@example.org", "Cy", "Ward", &[Role::Instructor]), Duty::Lead);
    let cy = house.signed_in("cy@example.org");
    cy.get(&format!("/roster/{other}/riders/{}", field.zoe)).must_be(404);
    cy.get(&format!("/roster/{other}/riders/{}/health", field.zoe)).must_be(404);
}

#[test]
fn s28_health_notes_open_to_the_sessions_teaching_and_first_aid_staff_alone() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_coordinator();
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let aid = house.staff_of(&field, "Fay", Role::FirstAid, Duty::FirstAid);
    let coordinator = house.signed_in("priya@example.org");
    let administrator = house.person(Role::Administrator);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let pages = ["", "/lessons/1"].map(|below| field.at(below));
    let of_zoe = ["", "/fit", "/fit/4"].map(|below| field.of_zoe(below));
    for (who, browser, reads) in [
        ("lead", &field.lead, true),
        ("first aid", &aid, true),
        ("helper", &helper, false),
        ("coordinator", &coordinator, false),
        ("administrator", &administrator, false),
    ] {
        let shown = browser.get(&field.of_zoe("/health"));
        assert_eq!(shown.status, if reads { 200 } else { 404 }, "{who}");
        for page in pages.iter().chain(&of_zoe) {
            let page = browser.get(page);
            page.must_be(200);
            let told = page.says("bee stings") || page.says("red bag");
            assert!(reads || !told, "{who} reads a health note");
            assert!(reads || !page.body.contains("/health"), "{who} sees a way to it");
        }
        assert_eq!(browser.get(&field.at("")).says("Allergy: bee stings"), reads, "{who}");
    }
    // Each opening is written down, and nothing of the note is.
    let rows: Vec<(String, String, String)> = house.rows(|conn| {
        let columns = (audit_rows::action, audit_rows::subject, audit_rows::detail);
        audit_rows::table.select(columns).load(conn)
    });
    assert_eq!(rows.iter().filter(|(action, _, _)| action == "health.read").count(), 2);
    assert!(!format!("{rows:?}").contains("bee"));
}

#[test]
fn u24_the_emergency_page_is_one_tap_from_the_roster_and_says_whom_to_call_and_where() {
    let house = TestApp::start();
    let field = house.field_day();
    let way = field.of_zoe("/health");
    assert!(field.lead.get(&field.at("")).body.contains(&format!("href=\"{way}\"")));
    let page = field.lead.get(&way);
    page.must_be(200).must_say("bee stings").must_say("Kept: red bag").must_say("The guardian does not know");
    for href in ["tel:911", "tel:+14065550118", "tel:+14065550163", "tel:+14065550164"] {
        assert!(page.body.contains(&format!("href=\"{href}\"")), "{href}");
    }
    page.must_say("12 Lantern Street, Helena 59601").must_say("Valley hospital").must_say("Gate code 0000");
    page.must_say("Ingrid Lindqvist").must_say("Signe Lindqvist");
}

#[test]
fn house_3_what_no_page_of_ours_sends_is_refused_whole() {
    let house = TestApp::start();
    let field = house.field_at_dawn();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    for (kind, fields) in [
        ("dance", vec![]),
        ("gear", vec![("act_id", "1"), ("all", "yes")]),
        ("gear", vec![("act_id", "6fa459ea-ee8a-4ca4-894e-db77e160355e"), ("all", "yes")]),
        ("gear", vec![("back", "//evil.example"), ("all", "yes")]),
        ("mark", vec![("check", "1.1"), ("mark", "perfect")]),
        ("mark", vec![("check", "+1.1"), ("mark", "meets")]),
        ("outcome", vec![("outcome", "won")]),
    ] {
        assert_eq!(field.tap(&house, &field.lead, kind, &fields).status, 400, "{kind} {fields:?}");
    }
    // A rider that is none, and a check that the curriculum does not have.
    field.tap(&house, &field.lead, "gear", &[("rider", "2345bcdfghjkm"), ("all", "yes")]).must_be(404);
    field.tap(&house, &field.lead, "mark", &[("check", "1.99"), ("mark", "meets")]).must_be(422);
    assert_eq!(house.rows(|conn| acts::table.count().get_result::<i64>(conn)), 1);
}

#[test]
fn house_3_the_counter_rises_by_one_for_each_act_of_the_session_whoever_makes_it() {
    let house = TestApp::start();
    let field = house.field_at_dawn();
    let other = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(&house, &other, "gear", &[("all", "yes")]).must_be(303);
    field.tap(&house, &other, "mark", &[("check", "5.1"), ("mark", "meets")]).must_be(422);
    field.tap(&house, &field.lead, "mark", &[("check", "1.1"), ("mark", "meets")]).must_be(303);
    let kept: Vec<(i64, i64, i64, bool)> = house.rows(|conn| {
        acts::table.order(acts::counter).select((acts::counter, acts::seq, acts::seen, acts::by_lead)).load(conn)
    });
    assert_eq!(kept, [(1, 1, 0, true), (2, 1, 1, false), (3, 2, 2, true)], "a refused act leaves no gap");
}

#[test]
fn house_3_my_sessions_says_what_to_do_when_there_is_none() {
    let house = TestApp::start();
    house.add_instructor();
    let nobody = house.signed_in("rafael@example.org");
    nobody.get("/my-sessions").must_be(200).must_say("No session of yours is near").must_say("14 days");
}
