//! From one season to the next: the same sessions are planned 52 weeks later with one press, what is left open is shown, and rules
//! and texts that nobody read for a year ask to be read.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::domain::certification::CertificationKind;
use waymark::domain::ids::StaffId;
use waymark::domain::words::Word;
use waymark::store::connection::AnyConn;
use waymark::store::schema::{sessions, staff};
use waymark::store::staff::add_certification;

use crate::house::people::days;
use crate::planning::office::Office;

/// Two Saturdays in June, with Rafael, whose riding certification ends on June 10, 2027.
fn two_saturdays() -> Office {
    let office = Office::furnished();
    office.announce(&[]).must_be(303);
    office.announce(&[("held_day", "20")]).must_be(303);
    office
}

fn count(office: &Office, year: i32) -> i64 {
    let day = |month, day| chrono::NaiveDate::from_ymd_opt(year, month, day).expect("a day");
    let of = sessions::table.filter(sessions::held_on.between(day(1, 1), day(12, 31)));
    office.house.rows(|conn| of.count().get_result(conn))
}

/// Every paper of everybody goes on for years.
fn renew(office: &Office) {
    let everybody: Vec<StaffId> = office.house.rows(|conn| staff::table.select(staff::id).load(conn));
    let renew = move |conn: &mut AnyConn| {
        let kinds = CertificationKind::ALL.iter();
        let all = kinds.flat_map(|kind| everybody.iter().map(move |member| (*member, kind.as_str())));
        all.into_iter().try_for_each(|(member, kind)| add_certification(conn, member, kind, days(0), days(1400)))
    };
    office.house.app.store.write("renewed", renew).expect("papers");
}

#[test]
fn day_11_last_seasons_sessions_are_planned_again_52_weeks_later_by_one_press() {
    let office = two_saturdays();
    office.priya.get("/season?year=2026").must_say("The next season");
    // June 12, 2027 is the Saturday 52 weeks after June 13, 2026; his paper ends before.
    let page = office.priya.get("/season/turn?year=2026");
    page.must_say("0 of 2 can be planned now.").must_say("Saturday, June 12, 2027, Alder Flat");
    page.must_say("held through June 10, 2027");
    // What has run out by then is listed, with the way to whom it belongs.
    page.must_say("What has run out by Saturday, June 12, 2027");
    page.must_say("Rafael Tso Riding certification (held through June 10, 2027)");
    assert!(page.body.contains(&format!("href=\"/people/{}\"", office.reference_of("Rafael Tso"))));
    renew(&office);
    let page = office.priya.get("/season/turn?year=2026");
    page.must_say("2 of 2 can be planned now.").must_say("Saturday, June 19, 2027, Alder Flat");
    let (key, year) = (page.field("key").expect("a key"), ("year", "2026"));
    let names: Vec<String> = page
        .body
        .split("name=\"copy_")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .map(|reference| format!("copy_{reference}"))
        .collect();
    assert_eq!(names.len(), 2);
    let none = office.priya.post("/season/turn", &[("key", &key), year]);
    none.must_be(422).must_say("Tick at least one session");
    let press = || {
        let mut fields = vec![("key", key.as_str()), year];
        fields.extend(names.iter().map(|name| (name.as_str(), "yes")));
        office.priya.post("/season/turn", &fields)
    };
    assert_eq!(press().must_be(303).location(), "/season?year=2027");
    assert_eq!(count(&office, 2027), 2);
    // A double press plans nothing twice, and another look says that the site is taken.
    press().must_be(303);
    assert_eq!(count(&office, 2027), 2);
    office.priya.get("/season/turn?year=2026").must_say("0 of 2 can be planned now.");
    office.priya.get("/season?year=2027").must_say("Alder Flat").must_say("Rafael Tso");
    // A year that cannot be, and one without a session.
    office.priya.get("/season/turn?year=12").must_be(404);
    office.priya.get("/season/turn?year=2020").must_say("Season 2020 had no session.");
}

#[test]
fn day_11_a_session_that_was_held_and_not_closed_is_shown_as_left_open() {
    let office = two_saturdays();
    office.priya.get("/season/turn?year=2026").must_say("Every session of that season that was held is closed");
    office.house.app.clock.set("2026-06-16T15:00:00".parse().expect("an instant"));
    let page = office.house.signed_in("priya@example.org").get("/season/turn?year=2026");
    page.must_say("Left open in 2026 Saturday, June 13, 2026, Alder Flat");
    page.must_say("0 sessions are closed. They stay under season 2026");
    office.meanwhile("UPDATE sessions SET state = 'closed'");
    let page = office.house.signed_in("priya@example.org").get("/season/turn?year=2026");
    page.must_say("2 sessions are closed.").must_say("Every session of that season that was held is closed");
}

#[test]
fn day_11_rules_and_texts_that_nobody_read_for_a_year_ask_for_it_on_the_administrators_first_page() {
    let office = Office::bare();
    office.house.person(Role::Administrator);
    let admin = || office.house.signed_in("administrator@example.org");
    // The curriculum that ships starts in 2024.
    admin().get("/").must_say("Rules and texts to read again").must_say("Curriculum").must_say("a year old");
    admin().get("/season/turn").must_say("Rules, settings and texts").must_say("Consent to ride");
    admin().get("/season/turn").must_say("Settings of the program Last looked at: nobody has looked");
    admin().get("/season/turn").must_say("Emergency plans of the sites Last looked at: nobody has looked");
    admin().post("/season/turn/reviews/settings", &[]).must_be(303);
    admin().get("/season/turn").must_say("Settings of the program Last looked at: June 10, 2026");
    admin().post("/season/turn/reviews/curriculum", &[]).must_be(303);
    let page = admin().get("/season/turn");
    page.must_say("Curriculum Last looked at: June 10, 2026 looked at");
    office.house.app.clock.set("2027-06-09T15:00:00".parse().expect("an instant"));
    admin().get("/season/turn").must_say("Curriculum Last looked at: June 10, 2026 looked at");
    office.house.app.clock.set("2027-06-10T15:00:00".parse().expect("an instant"));
    admin().get("/season/turn").must_say("Curriculum Last looked at: June 10, 2026 It stays as it is");
    // Who plans sees the sessions and no rules.
    let priya = office.house.signed_in("priya@example.org");
    assert!(!priya.get("/season/turn").says("Rules, settings and texts"));
    priya.post("/season/turn/reviews/fit", &[]).must_be(403);
    admin().post("/season/turn/reviews/moon", &[]).must_be(404);
}
