//! How each child's day ends, through the front door: who may take the child, who must not, and which ends count as
//! taking part and as completing.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::AnyConn;
use waymark::store::registrations::add_contact;
use waymark::store::schema::{registrations, rider_facts};

use crate::house::app::TestApp;
use crate::house::browser::Answered;
use crate::house::field::Field;

fn list(house: &TestApp, field: &Field, kind: &'static str, ordinal: i64, name: &'static str) {
    let zoe = field.zoe.clone();
    let add = move |conn: &mut AnyConn| {
        let id =
            registrations::table.filter(registrations::reference.eq(&zoe)).select(registrations::id).first(conn)?;
        add_contact(conn, id, kind, ordinal, name, "")
    };
    house.app.store.write("list", add).expect("a contact");
}

fn close(field: &Field) -> Answered {
    field.lead.submit(&field.at("/close"), &field.at("/close"), &[])
}

/// Took part and completed, as the report counts Zoë.
fn counted(house: &TestApp, field: &Field) -> (String, i64, i64) {
    let zoe = field.zoe.clone();
    house.rows(|conn| {
        let columns = (rider_facts::outcome, rider_facts::participated, rider_facts::completed);
        rider_facts::table.filter(rider_facts::registration_ref.eq(zoe)).select(columns).first(conn)
    })
}

#[test]
fn saturday_1_the_people_whom_the_family_named_take_the_child_with_one_tap() {
    let house = TestApp::start();
    let field = house.field_day();
    list(&house, &field, "pick_up", 2, "Signe Lindqvist");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let page = field.lead.get(&field.of_zoe(""));
    for name in ["Ingrid Lindqvist", "Chidi Okafor", "Signe Lindqvist"] {
        page.must_say(&format!("Zoë Marisol leaves with {name}"));
    }
    field.tap(&house, &field.lead, "check_out", &[("adult", "Signe Lindqvist")]).must_be(303);
    field.lead.get(&field.of_zoe("")).must_say("Left with Signe Lindqvist at 8:40 AM");
    // Nobody takes a child who has gone.
    field.tap(&house, &field.lead, "check_out", &[("adult", "Ingrid Lindqvist")]).must_be(422);
}

#[test]
fn saturday_1_a_name_on_the_familys_list_is_refused_whatever_its_case_accents_and_spaces() {
    let house = TestApp::start();
    let field = house.field_day();
    list(&house, &field, "not_release", 1, "José Ángel Peña-Ruiz");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    for typed in [
        "José Ángel Peña-Ruiz",
        "JOSE ANGEL PENA RUIZ",
        "  jose   angel  pena-ruiz ",
        "Jose\u{301} A\u{301}ngel Pen\u{303}a Ruiz",
        "JoséÁngel PeñaRuiz",
        "joseangelpenaruiz",
        "Jose Angel Penaruiz",
        "Ruiz",
        "Peña",
    ] {
        let refused = field.tap(&house, &field.lead, "check_out", &[("adult", typed)]);
        refused.must_be(422).must_say("Do not let the child go.").must_say("do not release to José Ángel Peña-Ruiz");
    }
    assert_eq!(house.acts_kept("check_out"), 0);
    close(&field).must_be(422).must_say("Zoë Marisol Okafor-Lindqvist");
    field.tap(&house, &field.lead, "check_out", &[("adult", "Ingrid Lindqvist")]).must_be(303);
}

#[test]
fn saturday_1_a_session_does_not_close_while_a_child_is_on_the_site_however_the_day_ended() {
    for outcome in ["", "left_early", "chose_to_stop", "turned_away.behaviour"] {
        let house = TestApp::start();
        let field = house.field_day();
        field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
        if !outcome.is_empty() {
            field.tap(&house, &field.lead, "outcome", &[("outcome", outcome)]).must_be(303);
        }
        close(&field).must_be(422).must_say("These children are not checked out: Zoë Marisol Okafor-Lindqvist.");
        assert_eq!(house.rows(|conn| rider_facts::table.count().get_result::<i64>(conn)), 0, "{outcome}");
        field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
        close(&field).must_be(303);
        assert_eq!(house.rows(|conn| rider_facts::table.count().get_result::<i64>(conn)), 1, "{outcome}");
    }
}

/// The table of product "Decided" 3: a participation is attended, late, left early or chose to stop; only attended and
/// late can complete. Every required skill check is met in each row, so that the outcome alone decides.
#[test]
fn saturday_1_each_outcome_counts_for_taking_part_and_completing_as_decided() {
    for (check_in, outcome, stored, participated, completed) in [
        ("", "", "attended", 1, 1),
        ("yes", "", "late", 1, 1),
        ("", "left_early", "left_early", 1, 0),
        ("", "chose_to_stop", "chose_to_stop", 1, 0),
        ("", "turned_away.gear", "turned_away", 0, 0),
        ("", "turned_away.consent", "turned_away", 0, 0),
        ("", "turned_away.fit", "turned_away", 0, 0),
        ("", "turned_away.behaviour", "turned_away", 0, 0),
    ] {
        let house = TestApp::start();
        let field = house.field_day();
        let late: &[(&str, &str)] = if check_in.is_empty() { &[] } else { &[("late", "yes")] };
        field.tap(&house, &field.lead, "check_in", late).must_be(303);
        field.tap(&house, &field.lead, "gear", &[("all", "yes")]).must_be(303);
        field.tap(&house, &field.lead, "helmet_check", &[("all", "yes")]).must_be(303);
        field.fit(&house, &field.lead, &[]).must_be(303);
        field.pass_every_check(&house);
        if !outcome.is_empty() {
            field.tap(&house, &field.lead, "outcome", &[("outcome", outcome)]).must_be(303);
        }
        field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
        close(&field).must_be(303);
        assert_eq!(counted(&house, &field), (stored.to_owned(), participated, completed), "{outcome}");
        let certificates: i64 = house.rows(|conn| waymark::store::schema::certificates::table.count().get_result(conn));
        assert_eq!(certificates, completed, "{outcome}");
    }
}

#[test]
fn saturday_1_a_child_who_never_came_is_absent_and_one_who_came_after_all_is_not() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "outcome", &[("outcome", "absent")]).must_be(303);
    close(&field).must_be(303);
    assert_eq!(counted(&house, &field), ("absent".to_owned(), 0, 0));

    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "outcome", &[("outcome", "absent")]).must_be(303);
    field.tap(&house, &field.lead, "check_in", &[("late", "yes")]).must_be(303);
    // Absent is no end for a child who is here.
    field.tap(&house, &field.lead, "outcome", &[("outcome", "absent")]).must_be(422);
    field.tap(&house, &field.lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    close(&field).must_be(303);
    assert_eq!(counted(&house, &field), ("late".to_owned(), 1, 0));
}

#[test]
fn saturday_1_turning_a_rider_away_wants_its_reason_and_rests_with_those_who_run_the_session() {
    let house = TestApp::start();
    let field = house.field_day();
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    field.tap(&house, &field.lead, "outcome", &[("outcome", "turned_away")]).must_be(422).must_say("Write a note");
    field.tap(&house, &field.lead, "outcome", &[("outcome", "")]).must_be(422).must_say("Choose how the day ended.");
    field.tap(&house, &field.lead, "outcome", &[("outcome", "turned_away.weather")]).must_be(400);
    assert_eq!(house.acts_kept("outcome"), 0);
    house.add_member("cy@example.org", "Cy", "Ward", &[Role::Instructor]);
    let other = house.signed_in("cy@example.org");
    let answered = field.tap(&house, &other, "outcome", &[("outcome", "left_early")]);
    assert!(matches!(answered.status, 403 | 404));
}
