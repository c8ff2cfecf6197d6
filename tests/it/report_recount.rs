//! A generated season, counted a second time county by county, course by course and grant by grant. The recount reads
//! sessions, registrations, riders, gear issues and certificates by SQL of its own, never the facts that reports are
//! made from, and must first find a fault that was planted in the facts.

use std::collections::BTreeMap;

use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use waymark::domain::acts::{Body, TurnedAwayFor};
use waymark::domain::registration::Outcome;
use waymark::domain::words::Lang;
use waymark::store::AnyConn;
use waymark::store::connection::{Purpose, open};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::saturday::{HeldSession, afternoon};

/// Numbers that look drawn and are the same in every run (SplitMix64).
struct Dice(u64);

impl Dice {
    fn up_to(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % below
    }

    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[usize::try_from(self.up_to(list.len() as u64)).expect("a place in the list")]
    }
}

/// Lewis and Clark, Missoula, Gallatin, Carbon, Yellowstone; and Ada in Idaho, which is another state.
const HOMES: [&str; 6] = ["30049", "30063", "30031", "30009", "30111", "16001"];
const SITES: [&str; 3] = ["30049", "30063", "30093"];
const GRANTS: [(&str, &str); 2] = [("RF-26", "A1"), ("=1+1", "B1")];

/// Five sessions in two years and two courses with up to nine riders each, closed. Prints how the cases fell.
fn season(house: &TestApp) -> Browser {
    let mut dice = Dice(20_260_613);
    let lead = house.add_instructor();
    house.add_coordinator();
    let lots = GRANTS.map(|(grant, lot)| (house.add_helmets(grant, lot), lot));
    let inez = house.add_guardian("inez@example.org", "Inés", "Lindqvist");
    let riders: Vec<_> = (0..24)
        .map(|number| {
            house.add_child(inez, (&format!("Child{number}"), "Lindqvist"), (2015, 9, 21), dice.of::<&str>(&HOMES))
        })
        .collect();
    let mut spread: BTreeMap<String, u64> = BTreeMap::new();
    let days = [-400, -7, 0, 7, 14].map(|day| saturday() + chrono::TimeDelta::days(day));
    let sessions = days.map(|day| house.add_held_session(lead, dice.of::<&str>(&SITES), day));
    for session in &sessions {
        let course = *dice.of(&["young", "older"]);
        *spread.entry(format!("course {course}")).or_default() += 1;
        let change = format!(
            "UPDATE sessions SET course_id = (SELECT id FROM courses WHERE code = '{course}') WHERE reference = '{}'",
            session.reference
        );
        execute(&mut open(&house.database.url, Purpose::Write).expect("a connection"), &change);
        for rider in riders.iter().skip(usize::try_from(dice.up_to(12)).expect("small")).take(9) {
            let seat = session.seat(*rider, inez, Lang::En);
            let ended = dice.up_to(6);
            let word = ["completed", "attended", "left early", "turned away", "stopped", "absent"][ended as usize];
            *spread.entry(word.to_owned()).or_default() += 1;
            match ended {
                0 => session.completed(&seat),
                1 => {
                    session.came(&seat);
                    session.went_home(&seat);
                }
                2 => ends(session, &seat, Outcome::LeftEarly, None),
                3 => ends(session, &seat, Outcome::TurnedAway, Some(TurnedAwayFor::Gear)),
                4 => ends(session, &seat, Outcome::ChoseToStop, None),
                _ => continue,
            }
            if ended != 3 && dice.up_to(3) > 0 {
                let lot = *dice.of(&lots);
                session.given(&seat, lot);
                *spread.entry(format!("helmet of {}", lot.1)).or_default() += 1;
            }
        }
    }
    println!("the generated season: {spread:?}");
    assert!(spread.len() == 10 && spread.values().all(|count| *count > 0), "every case must come up: {spread:?}");
    house.app.clock.set(afternoon(days[4]));
    let priya = house.signed_in("priya@example.org");
    for session in &sessions {
        close(&priya, session);
    }
    priya
}

fn ends(session: &HeldSession<'_>, seat: &crate::house::saturday::Seat, outcome: Outcome, why: Option<TurnedAwayFor>) {
    session.came(seat);
    session.act(seat, Body::Outcome { outcome, why });
    session.went_home(seat);
}

fn close(priya: &Browser, session: &HeldSession<'_>) {
    assert_eq!(priya.submit(&session.closing(), &session.closing(), &[]).status, 303);
}

fn execute(conn: &mut AnyConn, sql: &str) {
    diesel::sql_query(sql).execute(conn).expect("the statement runs");
}

/// A figure, perhaps of one county, with its number. What is nought is left out.
type Counts = BTreeMap<(String, String), i64>;

/// Every number on a report that leads to rows.
fn shown(page: &Answered) -> Counts {
    let mut counts = Counts::new();
    for rest in page.must_be(200).body.split("href=\"/reports/rows?").skip(1) {
        let (query, words) = rest.split_once("\">").expect("a link ends");
        let digits: String = words.chars().take_while(|c| c.is_ascii_digit() || *c == ',').collect();
        let query = query.replace("&#38;", "&").replace("&amp;", "&");
        let part =
            |name: &str| query.split('&').find_map(|pair| pair.strip_prefix(name)).unwrap_or_default().to_owned();
        let count = digits.replace(',', "").parse().expect("a number");
        // The table of helmets by grant is compared by narrowing the report to each grant.
        let by_grant = page.body.contains("<option value=\"\" selected>All grants") && !part("grant=").is_empty();
        if count > 0 && !by_grant {
            counts.insert((part("figure="), part("county=")), count);
        }
    }
    counts
}

#[derive(QueryableByName)]
struct Counted {
    #[diesel(sql_type = Text)]
    county: String,
    #[diesel(sql_type = BigInt)]
    n: i64,
}

/// What a report is narrowed to.
#[derive(Clone, Copy, Debug)]
struct Narrowed {
    from: &'static str,
    to: &'static str,
    course: &'static str,
    grant: &'static str,
}

impl Narrowed {
    fn address(&self) -> String {
        let grant = self.grant.replace('=', "%3D").replace('+', "%2B");
        format!("/reports?from={}&to={}&course={}&grant={grant}", self.from, self.to, self.course)
    }
}

/// Counts all figures from the tables in which people and phones wrote.
fn recount(conn: &mut AnyConn, what: Narrowed) -> Counts {
    let mut held = format!("s.state = 'closed' AND s.held_on BETWEEN '{}' AND '{}'", what.from, what.to);
    if !what.course.is_empty() {
        held += &format!(" AND k.code = '{}'", what.course);
    }
    let by_grant = format!(
        "EXISTS (SELECT 1 FROM gear_issues gi JOIN gear_lots gl ON gl.id = gi.lot_id JOIN grants gr ON gr.id = gl.grant_id \
         WHERE gi.registration_id = r.id AND gi.way = 'given' AND gr.code = '{}')",
        what.grant
    );
    let narrowed = if what.grant.is_empty() { "1 = 1".to_owned() } else { by_grant };
    let took_part = "r.outcome IN ('attended', 'late', 'left_early', 'chose_to_stop')";
    let given = "EXISTS (SELECT 1 FROM gear_issues gi WHERE gi.registration_id = r.id AND gi.way = 'given')";
    let completed = "EXISTS (SELECT 1 FROM certificates ce WHERE ce.registration_id = r.id AND ce.revoked_at IS NULL)";
    let of = |county: &str, what: &str, more: &str| {
        format!(
            "SELECT {county} AS county, COUNT({what}) AS n FROM registrations r JOIN sessions s ON s.id = r.session_id \
             JOIN courses k ON k.id = s.course_id JOIN sites p ON p.id = s.site_id JOIN riders c ON c.id = r.rider_id \
             WHERE {held} AND {narrowed} AND {more} GROUP BY 1"
        )
    };
    let sessions = |county: &str| {
        let seen = if what.grant.is_empty() {
            "1 = 1".to_owned()
        } else {
            format!("EXISTS (SELECT 1 FROM registrations r WHERE r.session_id = s.id AND {narrowed})")
        };
        format!(
            "SELECT {county} AS county, COUNT(*) AS n FROM sessions s JOIN courses k ON k.id = s.course_id \
             JOIN sites p ON p.id = s.site_id WHERE {held} AND {seen} GROUP BY 1"
        )
    };
    let in_state = |county: &str| format!("{took_part} AND {county} LIKE '30%'");
    let queries = [
        ("sessions", sessions("''")),
        ("sessions", sessions("p.county")),
        ("participations", of("''", "*", took_part)),
        ("by_site", of("''", "*", took_part)),
        ("by_site", of("p.county", "*", took_part)),
        ("by_home", of("''", "*", took_part)),
        ("by_home", of("c.county", "*", took_part)),
        ("riders", of("''", "DISTINCT r.rider_id", took_part)),
        ("completions", of("''", "*", completed)),
        ("completions", of("c.county", "*", completed)),
        ("helmets", of("''", "*", given)),
        ("helmets", of("c.county", "*", given)),
        ("turned_away", of("''", "*", "r.outcome = 'turned_away'")),
        ("absent", of("''", "*", "r.outcome = 'absent'")),
        ("counties_by_site", of("''", "DISTINCT p.county", &in_state("p.county"))),
        ("counties_by_home", of("''", "DISTINCT c.county", &in_state("c.county"))),
    ];
    let mut counts = Counts::new();
    for (figure, sql) in queries {
        let rows: Vec<Counted> = diesel::sql_query(&sql).load(conn).unwrap_or_else(|error| panic!("{error}: {sql}"));
        for row in rows.into_iter().filter(|row| row.n > 0) {
            counts.insert((figure.to_owned(), row.county), row.n);
        }
    }
    counts
}

#[test]
fn saturday_5_every_figure_of_every_county_course_and_grant_equals_a_recount_from_the_base_tables() {
    let house = TestApp::start();
    let priya = season(&house);
    let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
    let year = Narrowed { from: "2026-01-01", to: "2026-12-31", course: "", grant: "" };
    let before = shown(&priya.get(&year.address()));
    assert_eq!(before, recount(&mut conn, year));
    execute(&mut conn, "CREATE TABLE kept AS SELECT * FROM rider_facts");
    for plant in [
        "home_county = '30001' WHERE home_county = '30049'",
        "site_county = '30001' WHERE site_county = '30063'",
        "helmets = 7 WHERE helmets = 1",
        "completed = 0 WHERE home_county = '30031'",
        "participated = 0, completed = 0 WHERE outcome = 'left_early'",
        "rider_key = 'same'",
    ] {
        execute(&mut conn, &format!("UPDATE rider_facts SET {plant}"));
        assert_ne!(shown(&priya.get(&year.address())), recount(&mut conn, year), "the recount is blind to {plant}");
        execute(&mut conn, "DELETE FROM rider_facts");
        execute(&mut conn, "INSERT INTO rider_facts SELECT * FROM kept");
    }
    execute(&mut conn, "UPDATE rider_facts SET grant_id = (SELECT MIN(id) FROM grants) WHERE helmets = 1");
    let narrow = Narrowed { grant: "RF-26", ..year };
    assert_ne!(shown(&priya.get(&narrow.address())), recount(&mut conn, narrow), "the recount is blind to grants");
    execute(&mut conn, "DELETE FROM rider_facts");
    execute(&mut conn, "INSERT INTO rider_facts SELECT * FROM kept");
    let mut compared = 0;
    for (from, to) in [("2026-01-01", "2026-12-31"), ("2025-01-01", "2026-12-31"), ("2026-06-13", "2026-06-13")] {
        for course in ["", "young", "older"] {
            for grant in ["", "RF-26", "=1+1"] {
                let what = Narrowed { from, to, course, grant };
                let counted = recount(&mut conn, what);
                assert_eq!(shown(&priya.get(&what.address())), counted, "{what:?}");
                compared += counted.len();
            }
        }
    }
    println!("{compared} figures of 27 reports compared");
    assert!(compared > 300);
}

/// Every figure opens to as many rows, however it is narrowed, and the file of the rows has as many lines.
#[test]
fn saturday_5_every_figure_opens_to_its_rows_and_the_totals_equal_the_columns() {
    let house = TestApp::start();
    let priya = season(&house);
    for what in ["", "&course=young", "&grant=RF-26", "&grant=%3D1%2B1", "&course=older&grant=RF-26"] {
        let page = priya.get(&format!("/reports?from=2025-01-01&to=2026-12-31{what}"));
        for rest in page.body.split("href=\"/reports/rows?").skip(1) {
            let (query, words) = rest.split_once("\">").expect("a link ends");
            let digits: String = words.chars().take_while(char::is_ascii_digit).collect();
            let figure: usize = digits.parse().expect("a number");
            let query = query.replace("&#38;", "&").replace("&amp;", "&");
            let rows = priya.get(&format!("/reports/rows?{query}"));
            assert_eq!(rows.must_be(200).body.matches("class=\"counted\"").count(), figure, "{query}");
            let file = priya.get(&format!("/reports/rows.csv?{query}"));
            assert_eq!(file.must_be(200).body.trim_end().lines().count() - 1, figure, "{query}");
        }
        let columns = shown(&page);
        for figure in ["sessions", "by_site", "by_home", "completions", "helmets"] {
            let of_counties = columns.iter().filter(|((name, county), _)| name == figure && !county.is_empty());
            let total = columns.get(&(figure.to_owned(), String::new())).copied().unwrap_or(0);
            assert_eq!(of_counties.map(|(_, count)| count).sum::<i64>(), total, "{figure} {what}");
        }
    }
}

#[test]
fn saturday_5_what_narrows_a_report_is_kept_and_what_is_no_choice_is_told_at_its_field() {
    let house = TestApp::start();
    let priya = season(&house);
    let page = priya.get("/reports?from=2026-06-01&to=2026-06-30&course=older&grant=RF-26&by=site");
    page.must_be(200)
        .must_say("Course older. Only riders with a helmet of grant RF-26.")
        .must_say("Where the riders rode");
    for chosen in
        ["<option value=\"older\" selected", "<option value=\"RF-26\" selected", "<option value=\"site\" selected"]
    {
        assert!(page.body.contains(chosen), "{chosen}");
    }
    let page = priya.get("/reports?course=golf&grant=none&by=bus&from=soon");
    page.must_be(422).must_say("Choose a course from the list").must_say("Choose a grant from the list");
    page.must_say("Choose home or site").must_say("Write the first day");
    assert_eq!(page.field("from"), Some("soon".into()));
    priya.get("/reports/counties.csv?course=golf").must_be(400);
    for bad in ["&page=0x1", "&page=-1", "&order=name", "&county=3006"] {
        let query = format!("figure=by_home&from=2026-01-01&to=2026-12-31{bad}");
        priya.get(&format!("/reports/rows?{query}")).must_be(400);
    }
    let empty = priya.get("/reports/rows?figure=by_home&from=2026-01-01&to=2026-12-31&course=golf&page=99");
    empty.must_be(200).must_say("Nothing was counted here");
}

#[test]
fn saturday_5_the_map_says_in_words_and_in_a_table_what_it_shows() {
    let house = TestApp::start();
    let priya = season(&house);
    let page = priya.get("/reports?from=2026-01-01&to=2026-12-31");
    page.must_be(200);
    let map =
        page.body.split("<figure class=\"map county-map\">").nth(1).and_then(|rest| rest.split("</figure>").next());
    let map = map.expect("a map");
    assert_eq!(map.matches("<path class=\"border").count(), 56, "Montana has 56 counties");
    assert!(map.contains("role=\"img\" aria-labelledby=\"map-title map-about\""));
    assert!(map.contains("<title id=\"map-title\">Map of Montana: took part, by home county</title>"));
    let counts = shown(&page);
    let reached = counts[&("counties_by_home".to_owned(), String::new())];
    page.must_say(&format!("{reached} of 56 counties reached"));
    page.must_say("The table below gives the same numbers").must_say("nobody");
    for ((figure, county), count) in &counts {
        if figure == "by_home" && county.starts_with("30") {
            assert!(map.contains(&format!(">{count}</text>")), "{county} has {count}");
        }
    }
    let shaded = map.matches("fill=\"url(#shade-").count() + map.matches("border t3").count();
    assert_eq!(i64::try_from(shaded).expect("few"), reached, "a county is shaded when it is reached");
    let empty = priya.get("/reports?from=2020-01-01&to=2020-12-31");
    empty.must_be(200).must_say("There is nothing to count yet").must_say("0 of 56 counties reached");
}

/// Connecticut had eight counties in the set of 2017 and has nine planning regions in that of 2023: a year that was
/// written by one set is read by it.
#[test]
fn saturday_5_a_year_keeps_the_county_set_in_which_it_was_written() {
    let house = TestApp::start();
    let priya = season(&house);
    let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, "UPDATE programs SET state_fips = '09'");
    for table in ["session_facts", "rider_facts"] {
        let old = format!("UPDATE {table} SET county_set = 2017, site_county = '09001' WHERE held_on < '2026-01-01'");
        execute(&mut conn, &old);
    }
    let of = |year: &str| priya.get(&format!("/reports?from={year}-01-01&to={year}-12-31&by=site"));
    let old = of("2025");
    old.must_be(200).must_say("County set of 2017").must_say("Windham").must_say("1 of 8 counties reached");
    assert!(!old.says("Code 09001"), "Fairfax County of old has its name");
    let new = of("2026");
    new.must_be(200).must_say("County set of 2023").must_say("Western Connecticut").must_say("0 of 9 counties reached");
}

/// WCAG 1.3.1: a caption, and a scope on every head, in each table of the report and its rows.
#[test]
fn u02_tables_of_a_report_have_captions_and_heads_with_a_scope() {
    let house = TestApp::start();
    let priya = season(&house);
    let rows = |figure| format!("/reports/rows?figure={figure}&from=2026-01-01&to=2026-12-31");
    for path in ["/reports?from=2026-01-01&to=2026-12-31".to_owned(), rows("sessions"), rows("riders"), rows("helmets")]
    {
        let page = priya.get(&path);
        let tables = page.must_be(200).body.matches("<table>").count();
        assert!(tables > 0, "{path}");
        assert_eq!(page.body.matches("<caption id=").count(), tables, "{path}");
        let heads = page.body.matches("<th").count() - page.body.matches("<thead").count();
        assert_eq!(page.body.matches("<th scope=").count(), heads, "{path}");
    }
}

/// Source of the characters: OWASP's page on CSV injection.
#[test]
fn s39_a_grant_whose_code_is_a_formula_is_harmless_in_both_files() {
    let house = TestApp::start();
    let priya = season(&house);
    let rows = priya.get("/reports/rows.csv?figure=helmets&from=2026-01-01&to=2026-12-31&grant=%3D1%2B1");
    let cells: Vec<&str> = rows.must_be(200).body.lines().skip(1).filter_map(|line| line.rsplit(',').next()).collect();
    assert!(!cells.is_empty() && cells.iter().all(|cell| *cell == "'=1+1"), "{cells:?}");
    let table = priya.get("/reports/counties.csv?from=2026-01-01&to=2026-12-31&grant=%3D1%2B1");
    assert!(table.must_be(200).body.lines().skip(1).all(|line| line.contains(",'=1+1,")), "{}", table.body);
    assert!(table.body.contains(",30049,"), "codes are text of five digits");
}

/// The file has the rows and the order of the page: here the counties with most riders first.
#[test]
fn u39_the_county_file_is_what_is_seen_and_five_thousand_rows_are_paged_without_a_gap() {
    let house = TestApp::start();
    let priya = season(&house);
    let address = "from=2026-01-01&to=2026-12-31&order=by_home";
    let page = priya.get(&format!("/reports?{address}"));
    let seen: Vec<&str> =
        page.body.split("<tr><th scope=\"row\">").skip(1).filter_map(|row| row.split('<').next()).collect();
    let file = priya.get(&format!("/reports/counties.csv?{address}"));
    let names: Vec<&str> = file.body.lines().skip(1).filter_map(|line| line.split(',').nth(2)).collect();
    assert_eq!(names.len(), 57, "56 counties of Montana and one elsewhere");
    assert_eq!(seen[..names.len()], names);
    many_rows(&house);
    let path = "/reports/rows?figure=participations&from=2024-01-01&to=2024-12-31&order=home";
    let first = priya.get(path);
    first.must_say("Rows 1 to 100 of 5,000").must_say("Page 1 of 50");
    assert_eq!(first.body.matches("class=\"counted\"").count(), 100);
    assert!(first.body.contains("rel=\"next\"") && !first.body.contains("rel=\"prev\""));
    let last = priya.get(&format!("{path}&page=50"));
    last.must_say("Rows 4,901 to 5,000 of 5,000");
    assert!(!last.body.contains("rel=\"next\"") && last.body.contains("rel=\"prev\""));
    let listed: std::collections::BTreeSet<String> = (1..=50)
        .flat_map(|number| {
            let page = priya.get(&format!("{path}&page={number}"));
            page.body
                .split("class=\"counted\"><th scope=\"row\">")
                .skip(1)
                .map(|rest| rest[..6].to_owned())
                .collect::<Vec<_>>()
        })
        .collect();
    assert_eq!(listed.len(), 5000, "no row is missing and none comes twice");
    let file = priya.get(&path.replace("rows?", "rows.csv?"));
    assert_eq!(file.body.lines().count(), 5001, "a head and every row of every page");
}

/// Five thousand facts of another year, straight into the table.
fn many_rows(house: &TestApp) {
    let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
    for part in (0..5000).collect::<Vec<u32>>().chunks(500) {
        let rows: Vec<String> = part
            .iter()
            .map(|n| format!("('z{n:05}', 'key{}', '2024-05-{:02}', '300{:02}')", n / 2, n % 28 + 1, n % 55 * 2 + 1))
            .map(|cells| cells.replace("'300", "'30"))
            .collect();
        let first = "(SELECT MIN(id) FROM sessions)";
        let insert = format!(
            "WITH made (registration_ref, rider_key, held_on, home_county) AS (VALUES {}) INSERT INTO rider_facts \
             (session_id, registration_ref, rider_key, held_on, county_set, site_county, home_county, course_id, outcome, \
             participated, completed, helmets) SELECT {first}, registration_ref, rider_key, CAST(held_on AS DATE), 2023, \
             '30049', home_county, (SELECT MIN(id) FROM courses), 'attended', 1, 0, 0 FROM made",
            rows.join(", ")
        );
        let insert = if house.database.url.to_string().starts_with("postgres") {
            insert
        } else {
            insert.replace("CAST(held_on AS DATE)", "held_on")
        };
        execute(&mut conn, &insert);
    }
}
