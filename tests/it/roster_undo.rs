//! Undo: for ten seconds the page says what was done and takes it back with one press; both stay on record.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::domain::session::SessionState;
use waymark::store::StoreError;
use waymark::store::acts::take_late_acts;
use waymark::store::connection::AnyConn;
use waymark::store::schema::{audit_rows, gear_issues, gear_stock};
use waymark::store::sessions::{find_session, set_state};

use crate::house::app::TestApp;
use crate::house::browser::Answered;
use crate::house::field::Field;

fn later(house: &TestApp, seconds: i64) {
    house.app.clock.set(house.app.clock.now() + chrono::TimeDelta::seconds(seconds));
}

fn offers_undo(page: &Answered) -> bool {
    page.body.contains("value=\"undo\"")
}

#[test]
fn u21_one_press_takes_back_what_was_just_done_and_the_history_shows_both() {
    let house = TestApp::start();
    let field = house.field_day();
    let lead = &field.lead;
    later(&house, 11);
    assert!(!offers_undo(&lead.get(&field.at(""))), "nothing was done just now");
    field.tap(&house, lead, "check_in", &[]).must_be(303);
    later(&house, 4);
    let page = lead.get(&field.at(""));
    page.must_say("Zoë Marisol: checked in").must_say("1 of 1 in");
    assert!(page.body.contains("data-left=\"6\""), "six of the ten seconds are left");
    let undone = field.press_undo(lead, &page);
    assert_eq!(undone.location(), field.at(""), "the same page comes back");
    let page = lead.get(&field.at(""));
    page.must_say("Undone. Zoë Marisol: checked in").must_say("0 of 1 in").must_say("Not checked in");
    assert!(!offers_undo(&page), "an undo is not undone");
    assert_eq!((house.acts_kept("check_in"), house.acts_kept("undo")), (1, 1), "nothing is erased");
    let history = lead.get(&field.of_zoe("/history"));
    history.must_be(200).must_say("Undo: Checked in").must_say("Rafael Tso, lead. Undone").must_say("8:40 AM");
    assert!(history.body.contains("<del>Checked in</del>"), "what was undone is struck");
    let details: Vec<String> = house
        .rows(|conn| audit_rows::table.filter(audit_rows::action.eq("act.undo")).select(audit_rows::detail).load(conn));
    assert_eq!(details.len(), 1);
    assert!(details[0].starts_with("check_in "), "{details:?}");
}

#[test]
fn u21_the_page_offers_ten_seconds_and_the_server_takes_an_undo_a_little_later_on_a_slow_line() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = field.lead.get(&field.at(""));
    later(&house, 10);
    assert!(!offers_undo(&field.lead.get(&field.at(""))), "the ten seconds are over");
    later(&house, 20);
    field.press_undo(&field.lead, &page).must_be(303);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = field.lead.get(&field.at(""));
    later(&house, 31);
    field.press_undo(&field.lead, &page).must_be(422).must_say("The time to undo this is over");
    field.lead.get(&field.at("")).must_say("1 of 1 in");
}

#[test]
fn u21_nobody_else_undoes_an_act_and_a_double_press_undoes_once() {
    let house = TestApp::start();
    let field = house.field_day();
    let other = house.staff_of(&field, "Bea", Role::Instructor, Duty::Instructor);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = field.lead.get(&field.at(""));
    assert!(!offers_undo(&other.get(&field.at(""))), "the offer is for the one who did it");
    field.press_undo(&other, &page).must_be(422).must_say("Only the person who entered this may undo it");
    assert_eq!(house.acts_kept("undo"), 0);
    for _ in 0..3 {
        field.press_undo(&field.lead, &page).must_be(303);
    }
    assert_eq!(house.acts_kept("undo"), 1);
    // An act of another session is none here.
    let unknown = house.act_id();
    let about = [("act", "undo"), ("act_id", unknown.as_str()), ("of", unknown.as_str()), ("back", "")];
    field.lead.post(&field.at("/acts"), &about).must_be(404);
    field
        .lead
        .post(&field.at("/acts"), &[("act", "undo"), ("act_id", &unknown), ("of", "1"), ("back", "")])
        .must_be(400);
}

#[test]
fn u21_an_act_on_which_something_newer_stands_is_not_undone() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = field.lead.get(&field.at(""));
    field.tap(&house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
    field.press_undo(&field.lead, &page).must_be(422).must_say("Something newer was entered for this rider");
    // Once the newer one is taken back, the older one may be.
    let newer = field.lead.get(&field.at(""));
    newer.must_say("Zoë Marisol: all six pieces of gear are on");
    field.press_undo(&field.lead, &newer).must_be(303);
    field.press_undo(&field.lead, &page).must_be(303);
    field.lead.get(&field.at("")).must_say("Not checked in");
}

#[test]
fn u21_an_undone_helmet_is_back_in_its_lot_and_may_be_given_again() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("TR-M", 1, june_first());
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(&house, &field.lead, "measures", &[("head", "55 cm")]).must_be(303);
    let stock = || -> (i64, i64) {
        house.rows(|conn| {
            Ok((gear_stock::table.select(gear_stock::count).first(conn)?, gear_issues::table.count().get_result(conn)?))
        })
    };
    let give = || field.tap(&house, &field.lead, "helmet", &[("lot", "TR-M"), ("way", "given")]);
    give().must_be(303);
    assert_eq!(stock(), (0, 1));
    let page = field.lead.get(&field.of_zoe(""));
    page.must_say("Helmet given from lot TR-M");
    field.press_undo(&field.lead, &page).must_be(303);
    assert_eq!(stock(), (1, 0));
    field.lead.get(&field.of_zoe("")).must_say("Lot TR-M, 1 left");
    give().must_be(303);
    assert_eq!(stock(), (0, 1));
}

fn june_first() -> chrono::NaiveDate {
    chrono::NaiveDate::from_ymd_opt(2026, 6, 1).expect("a day")
}

#[test]
fn u21_a_mark_taken_back_leaves_the_mark_before_it_and_a_slip_of_stopped_is_taken_back() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    let mark = |mark: &str| field.tap(&house, &field.lead, "mark", &[("check", "1.1"), ("mark", mark)]);
    let lesson = field.at("/lessons/1?check=1.1");
    mark("meets").must_be(303);
    mark("stopped").must_be(303);
    let page = field.lead.get(&lesson);
    page.must_say("Stopped for safety at").must_say("Zoë Marisol: check 1.1 stopped for safety");
    let undone = field.press_undo(&field.lead, &page);
    assert_eq!(undone.location(), lesson, "at the same check");
    let page = field.lead.get(&lesson);
    assert!(!page.says("Stopped for safety at"));
    assert!(page.body.contains("mark meets\" name=\"mark\" value=\"not_tried\" aria-pressed=\"true\""), "meets stands");
}

fn turn(house: &TestApp, field: &Field, from: SessionState, to: SessionState) {
    let (reference, now) = (field.session.clone(), house.app.clock.now());
    let turn = move |conn: &mut AnyConn| {
        let id = find_session(conn, &reference)?.expect("a session").session.id;
        set_state(conn, id, &[from], to, (to == SessionState::Closed).then_some(now))?;
        if to == SessionState::Reopened {
            take_late_acts(conn, id)?;
        }
        Ok::<_, StoreError>(())
    };
    house.app.store.write("turn", turn).expect("it turns");
}

#[test]
fn u21_what_a_closing_counted_is_not_undone_and_what_came_late_may_be() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    let page = field.lead.get(&field.at(""));
    turn(&house, &field, SessionState::Announced, SessionState::Closed);
    field.press_undo(&field.lead, &page).must_be(422).must_say("This session is closed already");
    field.tap(&house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
    let page = field.lead.get(&field.at(""));
    page.must_say("1 entry waits");
    field.press_undo(&field.lead, &page).must_be(303);
    assert!(!field.lead.get(&field.at("")).says("waits"), "nothing waits any more");
    turn(&house, &field, SessionState::Closed, SessionState::Reopened);
    field.lead.get(&field.of_zoe("/history")).must_say("Undo: All six pieces of gear are on");
    let kept = ["check_in", "check_out", "gear", "undo"].map(|kind| house.acts_kept(kind));
    assert_eq!(kept, [1, 1, 1, 1], "nothing is erased");
    // Worked out anew, the day has no gear: only the check-in and the check-out count.
    field.tap(&house, &field.lead, "check_in", &[("returned", "yes")]).must_be(303);
    field.lead.get(&field.of_zoe("")).must_say("Nobody has looked yet");
}

/// The roll call of two as a form sends it: both names are on the list, with what was said of each.
fn roll_call(house: &TestApp, field: &Field, names: [&str; 2], said: &[(&str, &str)], all: &str) -> Answered {
    let id = house.act_id();
    let called = names.map(|rider| (format!("called_{rider}"), "yes".to_owned()));
    let said = said.iter().map(|(rider, answer)| (format!("answer_{rider}"), (*answer).to_owned()));
    let about = [("act", "roll_call"), ("act_id", &id), ("back", "/roll-call"), ("all", all)];
    let rest: Vec<(String, String)> = called.into_iter().chain(said).collect();
    let fields: Vec<(&str, &str)> =
        about.into_iter().chain(rest.iter().map(|(name, value)| (&**name, &**value))).collect();
    field.lead.post(&field.at("/acts"), &fields)
}

#[test]
fn u22_a_roll_call_checks_in_who_answered_and_one_undo_takes_all_back() {
    let house = TestApp::start();
    let field = house.field_day();
    let chidi = house.second_rider(&field, "chidi@example.org");
    let both = [field.zoe.as_str(), chidi.as_str()];
    let page = field.lead.get(&field.at("/roll-call"));
    page.must_be(200).must_say("Nobody is here until you say so").must_say("All 2 are here");
    assert!(!page.body.contains(" checked>"), "no child is here because nobody looked");
    roll_call(&house, &field, both, &[], "").must_be(422).must_say("Nobody is said to be here");
    roll_call(&house, &field, both, &[(&field.zoe, "not_here")], "").must_be(422);
    assert_eq!(house.acts_kept("check_in"), 0);
    roll_call(&house, &field, both, &[(&field.zoe, "here")], "").must_be(303);
    assert_eq!(house.acts_kept("check_in"), 1, "of whom nothing was said stays on the list");
    let page = field.lead.get(&field.at("/roll-call"));
    page.must_say("Zoë Marisol: checked in").must_say("1 of 2 in");
    field.press_undo(&field.lead, &page).must_be(303);
    field.lead.get(&field.at("")).must_say("0 of 2 in");
}

#[test]
fn saturday_3_one_press_checks_in_all_only_by_their_true_number() {
    let house = TestApp::start();
    let field = house.field_day();
    let chidi = house.second_rider(&field, "chidi@example.org");
    let both = [field.zoe.as_str(), chidi.as_str()];
    for wrong in ["1", "3", "all", "2.0", "-2"] {
        let again = roll_call(&house, &field, both, &[], wrong);
        again.must_be(422).must_say("Nobody is checked in yet").must_say("All 2 are here");
    }
    // Without scripts the button still named both when one was said to be missing: the page asks once more.
    let again = roll_call(&house, &field, both, &[(&chidi, "not_here")], "2");
    again.must_be(422).must_say("All but 1 are here: check in 1");
    assert_eq!(again.body.matches(" checked>").count(), 1, "what was said is kept");
    assert_eq!(house.acts_kept("check_in"), 0);
    roll_call(&house, &field, both, &[(&chidi, "not_here")], "1").must_be(303);
    field.lead.get(&field.at("")).must_say("1 of 2 in");
    // The list as an older page had it: Zoë is in already, and each child counts once.
    roll_call(&house, &field, both, &[], "2").must_be(303);
    field.lead.get(&field.at("/roll-call")).must_say("Nobody is left to check in").must_say("2 of 2 in");
}

/// A page of the morning pressed after a child was handed to an adult says nothing new of that child.
#[test]
fn saturday_3_a_roll_call_of_an_old_page_does_not_bring_back_a_child_who_went_home() {
    let house = TestApp::start();
    let field = house.field_day();
    let chidi = house.second_rider(&field, "chidi@example.org");
    let both = [field.zoe.as_str(), chidi.as_str()];
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    let again = roll_call(&house, &field, both, &[], "2");
    again.must_be(422).must_say("Zoë Marisol was checked out already, so nothing was entered.");
    field.lead.get(&field.at("")).must_say("1 rider here").must_say("Home");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(422).must_say("was checked out already");
    let page = field.lead.get(&field.of_zoe(""));
    page.must_say("Left with Chidi Okafor").must_say("Zoë Marisol is back: check in again");
    field.tap(&house, &field.lead, "check_in", &[("returned", "yes")]).must_be(303);
    let page = field.lead.get(&field.of_zoe(""));
    assert!(!page.says("is back: check in again") && !page.says("Left with"), "{}", page.words());
    assert_eq!(house.acts_kept("check_in"), 3);
}

#[test]
fn u22_a_double_press_of_a_roll_call_is_one_entry_for_each_child_and_one_undo() {
    let house = TestApp::start();
    let field = house.field_day();
    let chidi = house.second_rider(&field, "chidi@example.org");
    let (zoe_called, chidi_called) = (format!("called_{}", field.zoe), format!("called_{chidi}"));
    let id = house.act_id();
    let about = [("act", "roll_call"), ("act_id", id.as_str()), ("back", "/roll-call"), ("all", "2")];
    let fields: Vec<_> = about.into_iter().chain([(&*zoe_called, "yes"), (&*chidi_called, "yes")]).collect();
    for _ in 0..2 {
        field.lead.post(&field.at("/acts"), &fields).must_be(303);
    }
    assert_eq!(house.acts_kept("check_in"), 2, "each child has an entry of its own, and a double press makes no more");
    let page = field.lead.get(&field.at("/roll-call"));
    page.must_say("2 riders checked in").must_say("Nobody is left to check in").must_say("2 of 2 in");
    field.press_undo(&field.lead, &page).must_be(303);
    field.lead.get(&field.at("")).must_say("Undone. 2 riders checked in").must_say("0 of 2 in");
    assert_eq!((house.acts_kept("check_in"), house.acts_kept("undo")), (2, 2));
}

#[test]
fn s27_the_history_and_the_roll_call_are_for_the_sessions_own_staff() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_member("bea@example.org", "Bea", "Ward", &[Role::Instructor]);
    let bea = house.signed_in("bea@example.org");
    for page in [field.of_zoe("/history"), field.at("/roll-call")] {
        bea.get(&page).must_be(404);
        field.lead.get(&page).must_be(200);
    }
    field.lead.get(&field.of_zoe("/history")).must_say("Nothing was entered about Zoë Marisol yet");
}
