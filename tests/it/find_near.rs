//! Families look for a session near home: miles from a county that they choose. Where a device is never comes here.

use chrono::{Days, NaiveDate};

use crate::exchange::{CALENDAR_READER, read_by};
use crate::house::app::{TestApp, saturday};
use crate::house::browser::Answered;
use crate::house::season::site_in;

/// Park County's position in seed/counties/points.csv. A degree of latitude is 111,195 metres, or 69.09 miles, on a
/// sphere of the mean radius.
const PARK: (f64, f64) = (45.246, -110.591);

/// North of Park County by so many degrees.
fn north(degrees: f64) -> Option<(f64, f64)> {
    Some((PARK.0 + degrees, PARK.1))
}

fn week(number: u64) -> NaiveDate {
    saturday() + Days::new(7 * number)
}

/// Four sites: 138.2 miles from Park, 51.8, 34.5, and one without coordinates in Park itself, on Saturdays in turn.
fn house() -> TestApp {
    let house = TestApp::start();
    house.add_session_at(site_in("30015", "Far Bench", north(2.0)), 4, week(0));
    house.add_session_at(site_in("30059", "Middle Draw", north(0.75)), 4, week(1));
    house.add_session_at(site_in("30031", "Near Creek", north(0.5)), 4, week(2));
    house.add_session_at(site_in("30067", "Home Field", None), 4, week(3));
    house
}

/// The sites of the list in their order, each with what is said of its distance.
fn listed(page: &Answered, away: &str) -> Vec<(String, String)> {
    let entries = page.body.split("<li class=\"entry").skip(1);
    let between = |text: &str, from: &str, to: &str| {
        text.split(from).nth(1).and_then(|rest| rest.split(to).next()).unwrap_or_default().to_owned()
    };
    let distance = |entry: &str| {
        let lines = entry.split("<p class=\"plain\">").map(|line| line.split('<').next().unwrap_or_default());
        lines.filter(|line| line.contains(away)).collect::<String>()
    };
    entries
        .map(|entry| (between(entry, "/sessions/", "<").split('>').nth(1).unwrap().into(), distance(entry)))
        .collect()
}

fn told(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    pairs.iter().map(|(site, away)| ((*site).to_owned(), (*away).to_owned())).collect()
}

#[test]
fn family_1_the_list_tells_how_far_each_session_is_from_a_chosen_county_and_keeps_to_a_reach() {
    let house = house();
    let browser = house.stranger();
    let all = browser.get("/sessions");
    assert_eq!(all.body.matches(" data-at=\"").count(), 56, "every county of Montana can be looked from");
    assert!(!all.says("miles away") && !all.says("straight line"), "nobody chose a county");
    let by_day = [
        ("Far Bench", "About 140 miles away"),
        ("Middle Draw", "About 50 miles away"),
        ("Near Creek", "About 35 miles away"),
        ("Home Field", "Under 5 miles away"),
    ];
    let list = |query: &str| listed(browser.get(&format!("/sessions?near=30067{query}")).must_be(200), " miles");
    assert_eq!(list(""), told(&by_day));
    browser.get("/sessions?near=30067").must_say("in a straight line from the middle of Park County");
    let nearest: Vec<_> = by_day.into_iter().rev().collect();
    assert_eq!(list("&sort=distance"), told(&nearest));
    browser.get("/sessions?near=30067&sort=distance").must_say("4 sessions, June 13, 2026 to July 4, 2026");
    // What is told as about 50 miles lies within 50, although it is 51.8.
    for (within, count) in [("25", 1), ("50", 3), ("100", 3), ("200", 4), ("", 4)] {
        assert_eq!(list(&format!("&within={within}")), told(&by_day[4 - count..]), "within {within}");
    }
    // The county of the session and the county to look from are two things.
    assert_eq!(list("&county=30031&within=50"), told(&by_day[2..3]));
    browser.get("/sessions?near=30011&within=25").must_be(200).must_say("No session fits what you look for");
    let spanish = house.stranger().speaking("es").get("/sessions?near=30067&sort=distance&within=50");
    let expected = [
        ("Home Field", "A menos de 5 millas"),
        ("Near Creek", "A unas 35 millas"),
        ("Middle Draw", "A unas 50 millas"),
    ];
    assert_eq!(listed(&spanish, " millas"), told(&expected));
    spanish.must_say("en línea recta desde el centro del condado de Park");
}

#[test]
fn family_1_a_search_from_nowhere_or_by_unknown_words_is_answered_at_its_field() {
    let house = house();
    let (english, spanish) = (house.stranger(), house.stranger().speaking("es"));
    for (query, field, words, palabras) in [
        ("near=99999", "near", "Choose a county of the list", "Elija un condado de la lista"),
        ("near=06037", "near", "Choose a county of the list", "Elija un condado de la lista"),
        ("near=Park&within=25", "near", "Choose a county of the list", "Elija un condado de la lista"),
        ("within=25", "near", "Choose the county to measure from", "Elija el condado desde donde se mide"),
        ("near=30067&within=30", "within", "Choose a distance of the list", "Elija una distancia de la lista"),
        ("near=30067&within=-25", "within", "Choose a distance of the list", "Elija una distancia de la lista"),
        ("near=30067&sort=size", "sort", "Choose an order: day or distance", "Elija un orden: día o distancia"),
        ("view=globe", "view", "Choose the list or the map", "Elija la lista o el mapa"),
    ] {
        for (browser, said) in [(&english, words), (&spanish, palabras)] {
            let page = browser.get(&format!("/sessions?{query}"));
            page.must_be(422).must_say(said);
            assert!(page.body.contains(&format!("<a href=\"#{field}\">")), "{query}: the summary leads to the field");
            assert!(page.body.contains(&format!(" id=\"{field}\"")), "{query}: the field is there");
            assert!(page.body.contains(&format!("id=\"{field}-error\"")), "{query}: the words stand at it");
            assert!(!page.body.contains("<li class=\"entry"), "{query}: nothing is shown as found");
        }
        for file in ["calendar.ics", "sessions.json"] {
            english.get(&format!("/sessions/{file}?{query}")).must_be(400);
        }
    }
    // An order without a county is no fault: there is nothing to measure.
    english.get("/sessions?sort=distance").must_be(200).must_say("4 sessions");
}

/// Independent reader: PyPI icalendar.
#[test]
fn family_1_the_files_of_a_search_near_home_hold_the_same_sessions_in_the_same_order() {
    let house = house();
    let browser = house.stranger();
    let query = "near=30067&within=50&sort=distance";
    let page = browser.get(&format!("/sessions?{query}"));
    let json = format!("/sessions/sessions.json?{query}");
    let calendar = format!("/sessions/calendar.ics?{query}&words=en");
    for file in [&json, &calendar] {
        assert!(page.body.contains(&format!("href=\"{}\"", file.replace('&', "&#38;"))), "{file}");
    }
    let list: serde_json::Value = serde_json::from_str(&browser.get(&json).must_be(200).body).expect("JSON");
    let sites: Vec<_> = list["sessions"].as_array().unwrap().iter().map(|one| (&one["site"], &one["miles"])).collect();
    assert_eq!(
        serde_json::json!(sites),
        serde_json::json!([["Home Field", 0], ["Near Creek", 35], ["Middle Draw", 50]])
    );
    let entries = read_by(CALENDAR_READER, &browser.get(&calendar).must_be(200).bytes);
    let days: Vec<_> =
        entries.as_array().unwrap().iter().map(|one| one["start"].as_str().unwrap()[..10].to_owned()).collect();
    assert_eq!(days, [3, 2, 1].map(|number| week(number).to_string()));
    let everywhere = browser.get("/sessions/sessions.json");
    assert!(!everywhere.body.contains("\"miles\""), "nobody chose a county");
    // What belongs to the page alone is no part of a file's address.
    let map = browser.get("/sessions?near=30067&view=map");
    assert!(map.body.contains("href=\"/sessions/sessions.json?near=30067\""), "{}", map.words());
}

#[test]
fn s45_only_the_page_that_looks_for_a_session_may_ask_the_device_where_it_is() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let may = |path: &str| {
        let answered = browser.get(path);
        let policy = answered.header("permissions-policy").expect("a policy").to_owned();
        assert!(policy.contains("camera=()") && policy.contains("screen-wake-lock=()"), "{policy}");
        (policy.contains("geolocation=(self)"), answered.body.contains("/js/near.js"))
    };
    for path in ["/sessions", "/sessions?near=30067&view=map", "/sessions?within=25"] {
        assert_eq!(may(path), (true, true), "{path}");
    }
    for path in ["/", &format!("/sessions/{session}"), "/help", "/sign-in", "/sessions/sessions.json"] {
        assert_eq!(may(path), (false, false), "{path}");
    }
}
