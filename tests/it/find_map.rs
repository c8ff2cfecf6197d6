//! The map of sessions against the list of the same search: the same sessions and counts, county by county.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Days;
use waymark::domain::access::Role;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser, unescaped};
use crate::house::season::{rider, site_in};

/// Counties of Montana (Census Bureau, list of 2023).
const COUNTIES: [(&str, &str); 22] = [
    ("30001", "Beaverhead"),
    ("30003", "Big Horn"),
    ("30009", "Carbon"),
    ("30011", "Carter"),
    ("30013", "Cascade"),
    ("30015", "Chouteau"),
    ("30023", "Deer Lodge"),
    ("30027", "Fergus"),
    ("30029", "Flathead"),
    ("30031", "Gallatin"),
    ("30041", "Hill"),
    ("30049", "Lewis and Clark"),
    ("30053", "Lincoln"),
    ("30059", "Meagher"),
    ("30063", "Missoula"),
    ("30067", "Park"),
    ("30075", "Powder River"),
    ("30081", "Ravalli"),
    ("30091", "Sheridan"),
    ("30093", "Silver Bow"),
    ("30105", "Valley"),
    ("30111", "Yellowstone"),
];

/// What a county has: its sessions, and the seats free in all of them.
type Counts = BTreeMap<String, (usize, i64)>;

/// One to three sessions a county; one is full, with a family in line, and one is called off.
fn house() -> TestApp {
    let house = TestApp::start();
    for (number, (code, name)) in (0..).zip(COUNTIES) {
        for turn in 0..=number % 3 {
            let day = saturday() + Days::new(u64::try_from(7 * (number + turn)).expect("a day to come"));
            house.add_session_at(site_in(code, &format!("{name} field"), None), 3 + i64::from(turn), day);
        }
    }
    let full = house.add_session_at(site_in("30067", "Small field", None), 1, saturday());
    for address in ["ingrid@example.org", "chidi@example.org"] {
        house.stranger().register(&full, &rider(), address);
    }
    let off = house.add_session_at(site_in("30011", "Wet field", None), 9, saturday());
    let priya = house.person(Role::Coordinator);
    let cancel = format!("/season/{off}/cancel");
    let page = priya.get(&cancel);
    let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
    let fields = [("key", &*key), ("seen", &seen), ("reason", "weather"), ("words", ""), ("words_language", "en")];
    priya.post(&cancel, &fields).must_be(303);
    house
}

fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    text.split(from).nth(1).and_then(|rest| rest.split(to).next()).unwrap_or_default()
}

/// The first number of a text; none is no number.
fn number(text: &str) -> i64 {
    let digits: String =
        text.chars().skip_while(|one| !one.is_ascii_digit()).take_while(char::is_ascii_digit).collect();
    digits.parse().unwrap_or(0)
}

/// The list's sessions by reference, and what it says of each county.
fn listed(page: &Answered) -> (BTreeSet<String>, Counts) {
    let (mut sessions, mut counts) = (BTreeSet::new(), Counts::new());
    for entry in page.body.split("<li class=\"entry").skip(1) {
        sessions.insert(between(entry, "href=\"/sessions/", "\"").to_owned());
        let place = unescaped(between(entry, "<span class=\"where\">", ",</span>"));
        let county = place.split(", ").nth(1).expect("a county").to_owned();
        let county = county.trim_start_matches("Condado de ").trim_end_matches(" County").to_owned();
        // "4 seats free" has a number; "Full, 1 waits" has one too and no seat.
        let badge = between(entry, "<p class=\"seats\">", "</p>");
        let seats = if badge.contains("state free") { number(between(badge, "</svg>", "<")) } else { 0 };
        let tally = counts.entry(county).or_insert((0, 0));
        *tally = (tally.0 + 1, tally.1 + seats);
    }
    (sessions, counts)
}

/// What the drawing's links say, "Park: 3 sessions, 5 seats free", with the way of each county.
fn drawn(page: &Answered) -> BTreeMap<String, (usize, i64, String)> {
    let svg = between(&page.body, "<svg class=\"fig\" viewBox", "</svg>");
    let link = |link: &str| {
        let words = unescaped(between(link, "aria-label=\"", "\""));
        let (county, counts) = words.split_once(": ").expect("a county and its counts");
        let (sessions, seats) = counts.split_once(", ").expect("sessions and seats");
        let way = unescaped(link.split('"').next().unwrap_or_default());
        (county.to_owned(), (usize::try_from(number(sessions)).unwrap(), number(seats), way))
    };
    svg.split("<a href=\"").skip(1).map(link).collect()
}

/// The table's rows, its total apart.
fn tabled(page: &Answered) -> (Counts, (usize, i64)) {
    let table = between(&page.body, "<tbody>", "</table>");
    let cells = |row: &str| {
        let mut cells = row.split("<td class=\"n\">").skip(1).map(number);
        let (sessions, seats) = (cells.next().expect("sessions"), cells.next().expect("seats"));
        (usize::try_from(sessions).unwrap(), seats)
    };
    let (rows, total) = table.split_once("<tfoot>").expect("a total");
    let row =
        |row: &str| (unescaped(row.split("</a>").next().and_then(|link| link.rsplit('>').next()).unwrap()), cells(row));
    (rows.split("<tr>").skip(1).map(row).collect(), cells(total))
}

fn heading(page: &Answered) -> String {
    between(&page.body, "<h2 id=\"found\">", "</h2>").to_owned()
}

fn compared(browser: &Browser, query: &str) -> (usize, usize) {
    let list = browser.get(&format!("/sessions?{query}"));
    let map = browser.get(&format!("/sessions?{query}&view=map"));
    assert_eq!(heading(&list), heading(&map), "{query}");
    let (sessions, counts) = listed(list.must_be(200));
    let drawing = drawn(map.must_be(200));
    let said: Counts =
        drawing.iter().map(|(county, (sessions, seats, _))| (county.clone(), (*sessions, *seats))).collect();
    assert_eq!(said, counts, "{query}: the drawing and the list");
    let (rows, total) = tabled(&map);
    assert_eq!(rows, counts, "{query}: the table and the list");
    let sum = counts.values().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    assert_eq!(total, sum, "{query}: the table's total");
    // Each county's way leads to the very sessions of the list.
    let mut reached = BTreeSet::new();
    for (county, (count, _, way)) in &drawing {
        let (own, of) = listed(browser.get(way).must_be(200));
        assert_eq!((own.len(), of.keys().collect::<Vec<_>>()), (*count, vec![county]), "{way}");
        reached.extend(own);
    }
    assert_eq!(reached, sessions, "{query}: the sessions that the map leads to");
    (drawing.len(), sessions.len())
}

#[test]
fn family_1_the_map_says_what_the_list_says_in_both_languages_and_leads_to_the_same_sessions() {
    let house = house();
    let (english, spanish) = (house.stranger(), house.stranger().speaking("es"));
    for browser in [&english, &spanish] {
        assert_eq!(compared(browser, "age="), (22, 45));
        assert_eq!(compared(browser, "seats=yes"), (22, 43));
        assert_eq!(compared(browser, "county=30067"), (1, 2));
    }
    let (counties, sessions) = compared(&english, "near=30067&within=100&sort=distance&seats=yes");
    assert!((3..22).contains(&counties) && sessions < 43, "{counties} counties, {sessions} sessions");
    let map = english.get("/sessions?view=map");
    assert!(map.body.contains("aria-label=\"Park: 2 sessions, 3 seats free\""), "{}", map.words());
    let mapa = spanish.get("/sessions?view=map");
    assert!(mapa.body.contains("aria-label=\"Park: 2 sesiones, 3 lugares libres\""), "{}", mapa.words());
}

#[test]
fn family_1_the_map_outlines_the_chosen_county_marks_full_ones_otherwise_and_is_kept_by_the_form() {
    let house = TestApp::start();
    let full = house.add_session_at(site_in("30067", "Small field", None), 1, saturday());
    house.stranger().register(&full, &rider(), "ingrid@example.org");
    house.add_session_at(site_in("30111", "Wide field", None), 5, saturday());
    let browser = house.stranger();
    let shapes = |page: &Answered| {
        ["class=\"near\"", "class=\"pin-c\"", "class=\"pin-off\""].map(|one| page.body.matches(one).count())
    };
    // Two drawings of the rings, one for a wide page and one for a phone, and the legend.
    let plain = browser.get("/sessions?view=map");
    assert_eq!(shapes(&plain), [0, 3, 3]);
    assert!(plain.body.contains("<input type=\"hidden\" name=\"view\" value=\"map\">"), "Show keeps the map");
    plain.must_say("Number of sessions, no seat free").must_say("Number of sessions, some with seats free");
    let near = browser.get("/sessions?near=30111&view=map&sort=distance");
    assert_eq!(shapes(&near), [2, 3, 3]);
    // The outline is that of the chosen county, whose link it surrounds.
    let outline = between(&near.body, "<path class=\"near\" d=\"", "\"");
    let chosen = between(&near.body, "aria-label=\"Yellowstone: 1 session, 5 seats free\"", "</a>");
    assert!(outline.len() > 20 && chosen.contains(&format!(" d=\"{outline}\"")), "{outline} and {chosen}");
    near.must_say("The county you chose").must_say("Under 5 miles away");
    assert!(near.body.contains("href=\"/sessions?near=30111&#38;sort=distance\""), "the list of the same search");
    assert_eq!(shapes(&browser.get("/sessions?near=30111&seats=yes&view=map")), [2, 3, 0]);
    let nothing = browser.get("/sessions?age=17&view=map");
    nothing.must_be(200).must_say("No session fits what you look for");
    assert!(!nothing.body.contains("county-map"), "nothing is drawn where nothing was found");
}
