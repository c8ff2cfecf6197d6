//! What families told goes when it is old enough, but for sessions under a legal hold; the log says how many, not what.

use chrono::{Days, NaiveDate, TimeDelta};
use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::services::retention::{remove_by_night, remove_old};
use waymark::store::schema::{audit_rows, consents, contacts, health_notes, kept_health, measures, registrations};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::season::{health, rider, step, with};

/// A word that stands in a contact's name and nowhere else.
const CANARY: &str = "Quetzalcoatl";

/// The session of a Saturday in which Zoë is seated, with one more in line, and who registered her.
fn house() -> (TestApp, String, Browser, String) {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday());
    let ingrid = house.stranger();
    let receipt = ingrid.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let otto = house.stranger();
    otto.answer_all(&session, &with(rider(), "given", "Otto"), "otto@example.org");
    let adults = with(crate::house::season::adults("otto@example.org"), "first_name", CANARY);
    otto.answer(&session, "adults", &adults).must_be(303);
    let fields = otto.signed(&session, "Ingrid Lindqvist");
    otto.sign(&session, &fields).must_be(303);
    house.confirm("otto@example.org");
    (house, session, ingrid, receipt)
}

/// The night of so many days after the Saturday.
fn night(house: &TestApp, days: u64) {
    let day = saturday().checked_add_days(Days::new(days)).expect("a day");
    house.at(&format!("{day}T09:00:00"));
    remove_by_night(&house.app).expect("the job");
}

/// Rows of health notes, registrations, contacts, measures and consents.
fn rows(house: &TestApp) -> [i64; 5] {
    house.rows(|conn| {
        Ok([
            health_notes::table.count().get_result(conn)?,
            registrations::table.count().get_result(conn)?,
            contacts::table
                .select(contacts::registration_id)
                .distinct()
                .load::<i64>(conn)?
                .len()
                .try_into()
                .expect("few"),
            measures::table.count().get_result(conn)?,
            consents::table
                .select(consents::registration_id)
                .distinct()
                .load::<i64>(conn)?
                .len()
                .try_into()
                .expect("few"),
        ])
    })
}

/// The shipped days (common practice, no source) and, for signed texts, the worked example of majority, limitation period
/// and margin: born 2016-09-21, 18 in 2034, four years on.
#[test]
fn s56_each_kind_goes_on_the_first_night_after_its_time_and_not_a_night_before() {
    let (house, ..) = house();
    assert_eq!(rows(&house), [2, 2, 2, 2, 2]);
    for (days, expected) in [
        (30, [2, 2, 2, 2, 2]),
        (31, [0, 2, 2, 2, 2]),
        (90, [0, 2, 2, 2, 2]),
        (91, [0, 1, 1, 1, 1]),
        (400, [0, 1, 1, 1, 1]),
        (401, [0, 1, 0, 0, 1]),
    ] {
        night(&house, days);
        assert_eq!(rows(&house), expected, "{days} days after the session");
    }
    let until = NaiveDate::from_ymd_opt(2038, 9, 21).expect("a day");
    let days = u64::try_from((until - saturday()).num_days()).expect("later");
    night(&house, days);
    assert_eq!(rows(&house), [0, 1, 0, 0, 1]);
    night(&house, days + 1);
    assert_eq!(rows(&house), [0, 1, 0, 0, 0], "what was counted stays");
}

#[test]
fn s56_nothing_goes_by_day_so_that_the_office_can_look_first() {
    let (house, ..) = house();
    let day = saturday().checked_add_days(Days::new(31)).expect("a day");
    // The program's home is six hours behind UTC in summer.
    for (utc, goes) in [("06:59:59", false), ("11:00:00", false), ("20:00:00", false), ("10:59:59", true)] {
        house.at(&format!("{day}T{utc}"));
        remove_by_night(&house.app).expect("the job");
        assert_eq!(rows(&house)[0] == 0, goes, "{utc}");
    }
}

#[test]
fn s56_what_went_stands_in_no_page_of_the_file_and_the_log_says_how_many() {
    let (house, ..) = house();
    let seen = |house: &TestApp| house.database.holds(CANARY);
    assert!(seen(&house), "the search finds what is there");
    night(&house, 31);
    night(&house, 91);
    assert!(!seen(&house), "nothing of it is left");
    let told: Vec<String> = house.rows(|conn| {
        let of_job = audit_rows::table.filter(audit_rows::action.eq("retention.remove"));
        of_job.order(audit_rows::id).select(audit_rows::detail).load(conn)
    });
    assert_eq!(told.len(), 2);
    assert!(told[0].starts_with("2 health notes, 0 places in line,"), "{}", told[0]);
    assert!(told[1].starts_with("0 health notes, 1 places in line,"), "{}", told[1]);
    night(&house, 92);
    assert_eq!(
        house.actions().iter().filter(|action| *action == "retention.remove").count(),
        2,
        "a night with nothing"
    );
}

#[test]
fn s56_a_session_under_a_legal_hold_keeps_everything_until_the_hold_ends() {
    let (house, session, ..) = house();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let way = format!("/season/{session}/hold");
    priya.get(&way).must_say("A legal hold keeps them.");
    priya.post(&way, &[("holds", "yes"), ("note", " ")]).must_be(422).must_say("Write why").must_say("Error:");
    priya.post(&way, &[("holds", "perhaps"), ("note", "x")]).must_be(400);
    priya.post(&way, &[("holds", "yes"), ("note", "A fall at the second turn")]).must_be(303);
    priya.get(&way).must_say("Nothing of this session is removed.").must_say("A fall at the second turn");
    priya.get(&format!("/season/{session}")).must_say("Legal hold Nothing of this session is removed.");
    let late = priya.post(&way, &[("holds", "yes"), ("note", "Once more")]);
    late.must_be(409).must_say("Somebody else changed the hold meanwhile.");
    for days in [31, 91, 401] {
        night(&house, days);
        assert_eq!(rows(&house), [2, 2, 2, 2, 2], "{days}");
    }
    let priya = house.signed_in("priya@example.org");
    let ana = house.person(Role::Administrator);
    let dry = ana.get("/program/retention");
    dry.must_say("Health answers none, and 2 kept back by a legal hold");
    priya.get(&way);
    priya.post(&way, &[("holds", "no"), ("note", "The insurer closed the file")]).must_be(303);
    let dry = ana.get("/program/retention");
    dry.must_say("Health answers 2 kept 30 days after the session").must_say("Registrations that came to no seat 1");
    assert_eq!(rows(&house), [2, 2, 2, 2, 2], "looking removes nothing");
    remove_old(&house.app).expect("the job");
    assert_eq!(rows(&house), [0, 1, 0, 0, 1]);
}

#[test]
fn s56_health_answers_kept_for_the_next_time_run_out_too() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let ingrid = house.stranger();
    ingrid.answer_all(&session, &rider(), "ingrid@example.org");
    ingrid.get(&step(&session, "health"));
    ingrid.answer(&session, "health", &with(health(), "keep", "yes")).must_be(303);
    let fields = ingrid.signed(&session, "Ingrid Lindqvist");
    ingrid.sign(&session, &fields).must_be(303);
    let kept_at: chrono::NaiveDateTime = house.rows(|conn| kept_health::table.select(kept_health::kept_at).first(conn));
    let kept = || house.rows(|conn| kept_health::table.count().get_result::<i64>(conn));
    let run_at = |at: chrono::NaiveDateTime| {
        house.at(&at.format("%Y-%m-%dT%H:%M:%S").to_string());
        remove_old(&house.app).expect("the job");
    };
    run_at(kept_at + TimeDelta::days(550));
    assert_eq!(kept(), 1);
    run_at(kept_at + TimeDelta::days(550) + TimeDelta::seconds(1));
    assert_eq!(kept(), 0);
}

#[test]
fn s25_only_the_office_holds_and_only_an_administrator_sees_what_goes() {
    let (house, session, ingrid, receipt) = house();
    let way = format!("/season/{session}/hold");
    for role in [Role::Instructor, Role::FirstAid, Role::Helper, Role::GrantManager] {
        let browser = house.person(role);
        browser.get("/");
        browser.get(&way).must_be(403);
        browser.post(&way, &[("holds", "yes"), ("note", "x")]).must_be(403);
        browser.get("/program/retention").must_be(403);
    }
    house.person(Role::Coordinator).get("/program/retention").must_be(403);
    ingrid.get(&receipt).must_be(200);
    ingrid.get(&way).must_be(403);
}
