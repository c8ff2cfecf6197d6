//! The season as the office sees it: a calendar, a table and a file of the same sessions, and the rules that keep two
//! sessions apart.

mod changes;
mod patterns;

use std::collections::BTreeMap;

use waymark::domain::access::{Duty, Role};
use waymark::store::migrations::execute;

use crate::exchange::{TABLE_READER, read_by};
use crate::house::app::TestApp;
use crate::house::people::days;
use crate::planning::office::Office;

/// Three sessions in June and one in August, one of them called off; who plans, signed in.
fn season() -> (TestApp, crate::house::browser::Browser, Vec<String>) {
    let house = TestApp::start();
    house.add_coordinator();
    let rafael = house.add_instructor();
    let noor = house.add_member("noor@example.org", "Noor", "Moreau", &[Role::FirstAid]);
    let kinds = [("young", 12, 3), ("older", 8, 10), ("young", 6, 17), ("young", 10, 66)];
    let made: Vec<String> =
        kinds.iter().map(|(course, seats, on)| house.add_session(course, *seats, days(*on))).collect();
    house.put_on(&made[0], rafael, Duty::Lead);
    house.put_on(&made[0], noor, Duty::FirstAid);
    house.put_on(&made[1], noor, Duty::Lead);
    let of = |at: usize| format!("WHERE reference = '{}'", made[at]);
    meanwhile(&house, format!("UPDATE sessions SET seats_taken = 12, waiting = 2 {}", of(0)));
    meanwhile(&house, format!("UPDATE sessions SET seats_taken = 3 {}", of(1)));
    meanwhile(&house, format!("UPDATE sessions SET state = 'cancelled' {}", of(2)));
    for kind in ["owner_permission", "insurance"] {
        let rows = format!("SELECT id, '{kind}', '2026-01-01', '2026-12-31' FROM sites");
        meanwhile(&house, format!("INSERT INTO site_papers (site_id, kind, valid_from, valid_through) {rows}"));
    }
    let elsewhere = "UPDATE sites SET county = '30063', name = 'Juniper \"Draw\", north'";
    meanwhile(&house, format!("{elsewhere} WHERE id = (SELECT site_id FROM sessions {})", of(3)));
    let priya = house.signed_in("priya@example.org");
    (house, priya, made)
}

/// SQL in the database behind the pages, for what no page of ours does.
fn meanwhile(house: &TestApp, sql: String) {
    house.app.store.write("meanwhile", move |conn| execute(conn, &sql)).expect("sound SQL");
}

/// The cells of each row of a table's body, in words.
fn rows_of(body: &str) -> Vec<Vec<String>> {
    let tbody = body.split("<tbody>").nth(1).and_then(|rest| rest.split("</tbody>").next()).expect("a table's body");
    let cell = |text: &str| {
        let answered =
            crate::house::browser::Answered { status: 200, headers: vec![], body: format!("<{text}"), bytes: vec![] };
        answered.words()
    };
    let cells = |row: &str| {
        row.split("<t")
            .filter(|part| part.starts_with("h ") || part.starts_with("d>") || part.starts_with("d "))
            .map(cell)
            .collect()
    };
    tbody.split("<tr>").skip(1).map(cells).collect()
}

#[test]
fn saturday_4_the_table_says_of_each_session_what_is_taken_and_what_it_lacks_and_its_sums_are_its_rows() {
    let (_house, priya, _) = season();
    let page = priya.get("/season?year=2026");
    page.must_say("4 sessions by day").must_say("January 1 to December 31, 2026. Announced, closed and called off.");
    let rows = rows_of(&page.body);
    assert_eq!(rows.len(), 4);
    assert_eq!(rows[0][3..6], ["Rafael Tso", "12 of 12", "2"]);
    assert_eq!(rows[0][7], "too few instructors", "a lead, a first-aider and their papers, and 12 seats taken");
    assert_eq!(rows[1][7], "no second adult");
    assert_eq!(rows[2][7], "", "a session that is called off lacks nothing");
    assert_eq!(rows[3][7], "no lead, no second adult");
    let number =
        |cell: &str, at: usize| cell.split(" of ").nth(at).and_then(|n| n.parse::<i64>().ok()).expect("a number");
    let sum = |at: usize| rows.iter().map(|row| number(&row[4], at)).sum::<i64>();
    page.must_say(&format!("All rows {} of {} 2", sum(0), sum(1)));
    assert_eq!((sum(0), sum(1)), (15, 36));
}

#[test]
fn u39_the_address_holds_the_view_and_the_file_holds_exactly_the_rows_that_are_seen() {
    let (_house, priya, _) = season();
    for (query, count, first) in [
        ("year=2026", 4, "Sat June 13"),
        ("year=2026&sort=-day", 4, "Sat Aug. 15"),
        ("year=2026&sort=-taken", 4, "Sat June 13"),
        ("year=2026&sort=taken", 4, "Sat June 27"),
        ("year=2026&county=30063", 1, "Sat Aug. 15"),
        ("year=2026&course=older", 1, "Sat June 20"),
        ("year=2026&state=cancelled", 1, "Sat June 27"),
        ("year=2026&course=young&sort=site", 3, "Sat June 13"),
        ("year=2026&sort=nonsense&state=nonsense", 4, "Sat June 13"),
    ] {
        let page = priya.get(&format!("/season?{query}"));
        let rows = rows_of(&page.body);
        assert_eq!(rows.len(), count, "{query}");
        assert!(rows[0][0].starts_with(first), "{query}: {:?}", rows[0]);
        let file = priya.get(&format!("/season.csv?{query}"));
        assert_eq!(file.header("content-type"), Some("text/csv; charset=utf-8; header=present"));
        // Independent reader: Python's csv module in strict mode.
        let read = read_by(TABLE_READER, &file.bytes);
        let read = read.as_array().expect("rows");
        assert_eq!(read.len(), count + 1, "{query}");
        for (row, cells) in rows.iter().zip(&read[1..]) {
            let cell = |at: usize| cells[at].as_str().expect("text");
            assert_eq!(row[2], cell(5), "the county");
            assert_eq!(row[3], cell(8), "the lead");
            assert_eq!(row[4], format!("{} of {}", cell(9), cell(10)));
            assert_eq!(row[5], cell(11));
            assert_eq!(row[6], cell(12));
            assert_eq!(row[7], cell(13));
            assert!(row[1].starts_with(cell(4)), "the site");
        }
    }
    let filtered = priya.get("/season?year=2026&county=30063&sort=site");
    filtered.must_say("County: Missoula.").must_say("Show all 4");
    assert!(filtered.body.contains("<option value=\"30063\" selected>"), "the filter stays chosen");
    let head =
        filtered.body.split("href=\"").find(|link| link.contains("sort=-site")).expect("a heading that turns round");
    assert!(head.contains("county=30063"), "sorting keeps the filter: {head}");
    assert!(filtered.body.contains("aria-sort=\"ascending\""));
}

#[test]
fn saturday_4_the_calendar_is_a_table_a_month_with_each_session_on_its_day() {
    let (_house, priya, made) = season();
    let page = priya.get("/season?year=2026&view=calendar");
    page.must_say("June 2026 3 meetings.").must_say("August 2026 1 meeting.");
    assert!(!page.says("July 2026"), "a month without a meeting has no table");
    let tables: Vec<&str> = page.body.split("<table class=\"month\"").skip(1).collect();
    assert_eq!(tables.len(), 2);
    for table in &tables {
        assert!(table.contains("<caption>"));
        assert_eq!(table.matches("<th scope=\"col\"").count(), 7, "seven columns with names");
        for week in table.split("<tbody>").nth(1).expect("weeks").split("<tr>").skip(1) {
            assert_eq!(week.matches("<td").count(), 7, "{week}");
        }
    }
    // 13 June 2026 is a Saturday, the last column of a week that begins on Sunday.
    let cells: BTreeMap<&str, &str> = made
        .iter()
        .filter_map(|reference| {
            let cell = page.body.split("<td").find(|cell| cell.contains(&format!("/season/{reference}\"")))?;
            Some((reference.as_str(), cell))
        })
        .collect();
    assert_eq!(cells.len(), 4, "each session stands in a cell");
    let cell = cells[made[0].as_str()];
    assert!(
        cell.contains("Sat </span>13") && cell.contains("12 of 12 seats") && cell.contains("Lewis and Clark"),
        "{cell}"
    );
    assert!(cells[made[1].as_str()].contains("no second adult"));
    assert!(cells[made[2].as_str()].contains("called off"));
    let filtered = priya.get("/season?year=2026&view=calendar&county=30063");
    filtered.must_say("August 2026").must_say("County: Missoula.");
    assert!(!filtered.says("June 2026"));
    priya.get("/season?year=2026&view=calendar&county=30001").must_say("No session of 2026 fits what you look for.");
    priya.get("/season?year=2031&view=calendar").must_say("No session in 2031 yet.");
}

#[test]
fn saturday_4_a_site_is_not_taken_twice_at_a_time_and_a_person_is_not_planned_at_two_sites_a_day() {
    let office = Office::furnished();
    office.add_site(&[("name", "Juniper Draw"), ("county", "Ravalli")]).must_be(303);
    office.announce(&[("most", "2")]).must_be(303);
    let again = office.announce(&[("starts", "12:00 PM"), ("most", "2")]);
    again.must_be(422).must_say("Alder Flat holds another session at that time on Saturday, June 13, 2026.");
    assert!(again.body.contains("<a href=\"#site\">"), "{}", again.words());
    let juniper = office.value_of("/season/new", "Juniper Draw, Ravalli");
    let elsewhere = office.announce(&[("site", &juniper), ("starts", "3:00 PM"), ("most", "2")]);
    elsewhere.must_be(422).must_say("Rafael Tso is planned at Alder Flat already on Saturday, June 13, 2026.");
    assert!(elsewhere.body.contains("<a href=\"#lead\">"), "{}", elsewhere.words());
    let noor = office.add_teacher("Noor");
    let lead = noor.trim_start_matches("duty_").to_owned();
    let dewey = format!("duty_{}", office.reference_of("Dewey Blackwater"));
    let there = office.announce(&[("site", &juniper), ("lead", &lead), ("most", "2")]);
    there.must_be(422).must_say("Dewey Blackwater is planned at Alder Flat already");
    let ida = office.add_teacher("Ida");
    let with_ida = [("site", juniper.as_str()), ("lead", &lead), ("most", "2"), (&dewey, ""), (&ida, "helper")];
    office.announce(&with_ida).must_be(303);
    let helper = office.announce(&[("starts", "2:00 PM"), ("most", "2"), (&noor, "helper")]);
    helper.must_be(422).must_say("Noor Moreau is planned at Juniper Draw already");
    assert!(helper.body.contains(&format!("<a href=\"#{noor}\">")), "{}", helper.words());
    // An afternoon with the same team at the same field is common practice, no source.
    office.announce(&[("starts", "1:00 PM"), ("most", "2")]).must_be(303);
    office.meanwhile("UPDATE sessions SET state = 'cancelled'");
    office.announce(&[("most", "2")]).must_be(303);
}
