//! Reports, counted a second time from the tables that they were not made from. The recount reads registrations, acts
//! and gear issues by SQL of its own, and must first find a fault that was planted in the facts.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::process::{Command, Stdio};

use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use waymark::domain::access::Role;
use waymark::domain::acts::{Body, TurnedAwayFor};
use waymark::domain::registration::Outcome;
use waymark::domain::words::Lang;
use waymark::store::AnyConn;
use waymark::store::connection::{Purpose, open};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::python;
use crate::house::saturday::{HeldSession, Seat, afternoon};

/// Lewis and Clark, Missoula, Gallatin and Carbon (Census Bureau, county list of 2023; Montana has 56).
const HELENA: &str = "30049";
const MISSOULA: &str = "30063";
const GALLATIN: &str = "30031";
const CARBON: &str = "30009";

/// Two sessions in two counties: Ana rides in both, Bo in the first; Cleo leaves early, Dara is turned away, Eli does
/// not come. Ana completes twice and Bo once; Ana and Bo get helmets, each from another grant.
struct Season<'a> {
    first: HeldSession<'a>,
    second: HeldSession<'a>,
}

fn season(house: &TestApp) -> Season<'_> {
    let lead = house.add_instructor();
    house.add_coordinator();
    let (first_lot, second_lot) = (house.add_helmets("RF-26", "A1"), house.add_helmets("CS-26", "B1"));
    let first = house.add_held_session(lead, HELENA, saturday());
    let second = house.add_held_session(lead, MISSOULA, saturday() + chrono::TimeDelta::days(7));
    let inez = house.add_guardian("inez@example.org", "Inés", "Lindqvist");
    let child = |given, county| house.add_child(inez, (given, "Lindqvist"), (2015, 9, 21), county);
    let ana = child("Ana", HELENA);
    let sits = |rider| first.seat(rider, inez, Lang::En);
    let [ana_first, bo, cleo] = [ana, child("Bo", GALLATIN), child("Cleo", CARBON)].map(sits);
    let [dara, _eli] = [child("Dara", HELENA), child("Eli", HELENA)].map(sits);
    first.completed(&ana_first);
    first.completed(&bo);
    first.given(&ana_first, (first_lot, "A1"));
    first.given(&bo, (second_lot, "B1"));
    ends_with(&first, &cleo, Outcome::LeftEarly, None);
    ends_with(&first, &dara, Outcome::TurnedAway, Some(TurnedAwayFor::Gear));
    let ana_second = second.seat(ana, inez, Lang::En);
    second.completed(&ana_second);
    Season { first, second }
}

fn ends_with(session: &HeldSession<'_>, seat: &Seat, outcome: Outcome, why: Option<TurnedAwayFor>) {
    session.came(seat);
    session.act(seat, Body::Outcome { outcome, why });
    session.went_home(seat);
}

impl Season<'_> {
    fn close_both(&self, house: &TestApp) -> Browser {
        house.app.clock.set(afternoon(saturday() + chrono::TimeDelta::days(7)));
        let priya = house.signed_in("priya@example.org");
        for session in [&self.first, &self.second] {
            assert_eq!(priya.submit(&session.closing(), &session.closing(), &[]).status, 303);
        }
        priya
    }
}

/// Every link to rows on a report: where it leads, and the number in it.
fn links(page: &Answered) -> Vec<(String, i64)> {
    let ends = page.body.split("href=\"/reports/rows?").skip(1);
    ends.map(|rest| {
        let (query, words) = rest.split_once("\">").expect("a link ends");
        let digits: String = words.chars().take_while(|c| c.is_ascii_digit() || *c == ',').collect();
        let query = query.replace("&#38;", "&").replace("&amp;", "&");
        (format!("/reports/rows?{query}"), digits.replace(',', "").parse().expect("a number"))
    })
    .collect()
}

/// The figures of the lead sentence and the notes by name.
fn figures(page: &Answered) -> BTreeMap<String, i64> {
    let named = |path: &String| path.split("figure=").nth(1).and_then(|rest| rest.split('&').next()).map(str::to_owned);
    let whole = links(page).into_iter().filter(|(path, _)| !path.contains("county=") && !path.contains("grant="));
    whole.map(|(path, count)| (named(&path).expect("a figure"), count)).collect()
}

#[derive(QueryableByName)]
struct N {
    #[diesel(sql_type = BigInt)]
    n: i64,
}

#[derive(QueryableByName)]
struct Marked {
    #[diesel(sql_type = BigInt)]
    registration_id: i64,
    #[diesel(sql_type = Text)]
    body: String,
}

/// Closed sessions of a period as a condition.
const HELD: &str = "s.state = 'closed' AND s.held_on BETWEEN '2026-01-01' AND '2026-12-31'";
const TOOK_PART: &str = "r.outcome IN ('attended', 'late', 'left_early', 'chose_to_stop')";

/// Counts everything a second time. Shares no code with the report: the tables are those that the facts came from.
fn recount(conn: &mut AnyConn) -> BTreeMap<String, i64> {
    let of = |what: &str, more: &str| {
        format!(
            "SELECT COUNT({what}) AS n FROM registrations r JOIN sessions s ON s.id = r.session_id \
             JOIN sites p ON p.id = s.site_id JOIN riders c ON c.id = r.rider_id WHERE {HELD} AND {more}"
        )
    };
    let helmets = format!(
        "SELECT COUNT(*) AS n FROM gear_issues g JOIN registrations r ON r.id = g.registration_id \
         JOIN sessions s ON s.id = r.session_id WHERE {HELD} AND g.way = 'given'"
    );
    let queries = [
        ("sessions", format!("SELECT COUNT(*) AS n FROM sessions s WHERE {HELD}")),
        ("participations", of("*", TOOK_PART)),
        ("by_site", of("*", TOOK_PART)),
        ("by_home", of("*", TOOK_PART)),
        ("riders", of("DISTINCT r.rider_id", TOOK_PART)),
        ("turned_away", of("*", "r.outcome = 'turned_away'")),
        ("absent", of("*", "r.outcome = 'absent'")),
        ("counties_by_site", of("DISTINCT p.county", &format!("{TOOK_PART} AND p.county LIKE '30%'"))),
        ("counties_by_home", of("DISTINCT c.county", &format!("{TOOK_PART} AND c.county LIKE '30%'"))),
        ("helmets", helmets),
    ];
    let mut count = |sql: &str| diesel::sql_query(sql).get_result::<N>(conn).expect("a count").n;
    let mut counts: BTreeMap<String, i64> =
        queries.iter().map(|(name, sql)| ((*name).to_owned(), count(sql))).collect();
    counts.insert("completions".into(), completions(conn));
    counts
}

/// Who met every required check by the latest mark, from the bare acts and the curriculum's file.
fn completions(conn: &mut AnyConn) -> i64 {
    let file: toml::Value = toml::from_str(include_str!("../../seed/curriculum.toml")).expect("TOML");
    let checks = file["lessons"].as_array().expect("lessons").iter().flat_map(|lesson| lesson["checks"].as_array());
    let required: BTreeSet<String> = checks
        .flatten()
        .filter(|check| check["required"].as_bool() == Some(true))
        .map(|check| check["code"].as_str().expect("a code").to_owned())
        .collect();
    let sql = format!(
        "SELECT a.registration_id AS registration_id, a.body AS body FROM acts a \
         JOIN registrations r ON r.id = a.registration_id JOIN sessions s ON s.id = a.session_id \
         WHERE {HELD} AND a.kind = 'mark' AND a.standing = 'taken' AND r.outcome IN ('attended', 'late') \
         ORDER BY a.counter"
    );
    let marks: Vec<Marked> = diesel::sql_query(sql).load(conn).expect("marks");
    let mut latest: BTreeMap<i64, BTreeMap<String, String>> = BTreeMap::new();
    for mark in marks {
        let body: serde_json::Value = serde_json::from_str(&mark.body).expect("JSON");
        let word = |name: &str| body[name].as_str().expect("a word").to_owned();
        latest.entry(mark.registration_id).or_default().insert(word("check"), word("mark"));
    }
    let meets = |marks: &BTreeMap<String, String>| {
        required.iter().all(|check| marks.get(check).is_some_and(|mark| mark == "meets"))
    };
    i64::try_from(latest.values().filter(|marks| meets(marks)).count()).expect("few")
}

fn execute(conn: &mut AnyConn, sql: &str) {
    diesel::sql_query(sql).execute(conn).expect("the statement runs");
}

#[test]
fn house_3_every_figure_equals_a_recount_that_first_finds_a_planted_fault() {
    let house = TestApp::start();
    let season = season(&house);
    let priya = season.close_both(&house);
    let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
    for (plant, figure) in [
        ("UPDATE rider_facts SET participated = 0, completed = 0 WHERE home_county = '30031'", "participations"),
        ("UPDATE rider_facts SET helmets = 0, grant_id = NULL", "helmets"),
        ("UPDATE rider_facts SET rider_key = 'same'", "riders"),
        ("UPDATE session_facts SET held_on = '2025-12-31'", "sessions"),
    ] {
        execute(&mut conn, plant);
        assert_ne!(
            figures(&priya.get("/reports")).get(figure),
            recount(&mut conn).get(figure),
            "the recount is blind to {plant}"
        );
        for session in [&season.first, &season.second] {
            let reopen = format!("/season/{}/reopen", session.reference);
            assert_eq!(priya.submit(&session.closing(), &reopen, &[]).status, 303);
            assert_eq!(priya.submit(&session.closing(), &session.closing(), &[]).status, 303);
        }
    }
    let shown = figures(&priya.get("/reports"));
    assert_eq!(shown, recount(&mut conn));
    let expected = [
        ("absent", 1),
        ("by_home", 4),
        ("by_site", 4),
        ("completions", 3),
        ("counties_by_home", 3),
        ("counties_by_site", 2),
        ("helmets", 2),
        ("participations", 4),
        ("riders", 3),
        ("sessions", 2),
        ("turned_away", 1),
    ];
    let expected: BTreeMap<String, i64> = expected.into_iter().map(|(name, n)| (name.to_owned(), n)).collect();
    assert_eq!(shown, expected, "as the story tells it");
    priya.get("/reports").must_say("reached 2 of 56 counties by site").must_say("3 different riders");
}

#[test]
fn house_3_every_figure_opens_to_as_many_rows_and_no_row_names_a_child() {
    let house = TestApp::start();
    let season = season(&house);
    let priya = season.close_both(&house);
    let page = priya.get("/reports?from=2026-06-01&to=6/30/2026");
    page.must_be(200).must_say("June 1, 2026 to June 30, 2026");
    let links = links(&page);
    assert!(links.len() > 20, "{links:?}");
    for (path, figure) in links {
        let rows = priya.get(&path);
        let counted = rows.must_be(200).body.matches("class=\"counted\"").count();
        assert_eq!(i64::try_from(counted).expect("few"), figure, "{path}");
        for name in ["Ana", "Bo ", "Cleo", "Dara", "Eli", "Lindqvist", "Inés"] {
            assert!(!rows.words().replace("Castellanos", "").contains(name), "{name} behind {path}");
        }
    }
    let grants = [("RF-26", 1), ("CS-26", 1)];
    for (grant, helmets) in grants {
        let rows = priya.get(&format!("/reports/rows?figure=helmets&from=2026-01-01&to=2026-12-31&grant={grant}"));
        assert_eq!(rows.body.matches("class=\"counted\"").count(), helmets, "{grant}");
    }
}

#[test]
fn house_3_a_reopened_session_is_not_counted_and_the_month_sums_follow() {
    let house = TestApp::start();
    let season = season(&house);
    let priya = season.close_both(&house);
    let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
    let sums = "SELECT CAST(COALESCE(SUM(participations + 100 * completions + 10000 * helmets), 0) AS BIGINT) AS n \
                FROM month_sums";
    let mut sum = || diesel::sql_query(sums).get_result::<N>(&mut conn).expect("a sum").n;
    assert_eq!(sum(), 4 + 100 * 3 + 10_000 * 2);
    let reopen = format!("/season/{}/reopen", season.first.reference);
    priya.submit(&season.first.closing(), &reopen, &[]).location();
    assert_eq!(sum(), 1 + 100);
    let figures_now = figures(&priya.get("/reports"));
    assert_eq!((figures_now["sessions"], figures_now["participations"], figures_now["helmets"]), (1, 1, 0));
    priya.submit(&season.first.closing(), &season.first.closing(), &[]).location();
    assert_eq!(sum(), 4 + 100 * 3 + 10_000 * 2);
}

#[test]
fn house_3_days_that_cannot_be_used_are_kept_with_what_is_wrong() {
    let house = TestApp::start();
    let priya = house.person(Role::GrantManager);
    let page = priya.get("/reports?from=soon&to=2026-13-01");
    page.must_be(422).must_say("Write the first day, such as 2026-05-01").must_say("Write the last day");
    assert_eq!((page.field("from"), page.field("to")), (Some("soon".into()), Some("2026-13-01".into())));
    let page = priya.get("/reports?from=2026-05-02&to=2026-05-01");
    page.must_be(422).must_say("The last day comes before the first");
    let page = priya.get("/reports");
    page.must_be(200).must_say("There is nothing to count yet");
    assert_eq!((page.field("from"), page.field("to")), (Some("2026-01-01".into()), Some("2026-12-31".into())));
    for bad in ["figure=riders", "figure=names&from=2026-01-01&to=2026-12-31", "figure=riders&from=x&to=y"] {
        priya.get(&format!("/reports/rows?{bad}")).must_be(400);
    }
    priya.get("/reports/rows?figure=by_home&from=2026-01-01&to=2026-12-31&county=1%20OR%201").must_be(400);
}

#[test]
fn house_4_the_county_file_is_read_back_by_another_reader_with_codes_as_text_and_equal_sums() {
    let house = TestApp::start();
    let season = season(&house);
    let priya = season.close_both(&house);
    let file = priya.get("/reports/counties.csv?from=2026-06-01&to=2026-06-30");
    file.must_be(200);
    let disposition = "attachment; filename=\"counties_2026-06-01_2026-06-30.csv\"";
    assert_eq!(file.header("content-disposition"), Some(disposition));
    assert_eq!(file.header("content-type"), Some("text/csv; charset=utf-8; header=present"));
    let lines = file.bytes.iter().filter(|byte| **byte == b'\n').count();
    assert_eq!(file.bytes.windows(2).filter(|pair| pair == b"\r\n").count(), lines, "every line ends by CR and LF");
    let rows = read_by_python(&file.bytes);
    assert_eq!(rows.len(), 56, "Montana has 56 counties");
    let sum = |column: &str| rows.iter().map(|row| row[column].parse::<i64>().expect("a number")).sum::<i64>();
    let sums =
        ["sessions", "participations_by_site", "participations_by_home", "completions_by_home", "helmets_by_home"];
    assert_eq!(sums.map(sum), [2, 4, 4, 3, 2]);
    let helena = rows.iter().find(|row| row["county_fips"] == HELENA).expect("a row");
    assert_eq!((helena["county_name"].as_str(), helena["participations_by_site"].as_str()), ("Lewis and Clark", "3"));
    for row in &rows {
        assert_eq!((row["from"].as_str(), row["to"].as_str()), ("2026-06-01", "2026-06-30"));
        assert!(row["county_fips"].len() == 5 && row["county_set"] == "2023");
    }
}

/// Rows by column name, as Python's csv module reads them.
fn read_by_python(bytes: &[u8]) -> Vec<BTreeMap<String, String>> {
    let program = "import csv, io, json, sys\n\
                   text = sys.stdin.buffer.read().decode('utf-8-sig')\n\
                   print(json.dumps(list(csv.DictReader(io.StringIO(text, newline='')))))";
    let mut child = Command::new(python::interpreter())
        .args(["-c", program])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the test interpreter of Python; tests/run makes it");
    child.stdin.take().expect("a pipe").write_all(bytes).expect("the reader takes its input");
    let done = child.wait_with_output().expect("the reader ends");
    serde_json::from_slice(&done.stdout).expect("the reader prints JSON")
}
