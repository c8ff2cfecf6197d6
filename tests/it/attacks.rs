//! One attack for each way in which values do harm: pairs that do not fit, fields that a form does not have, text that
//! means something to a program further on, more requests than anybody makes.

use chrono::NaiveDate;
use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::schema::{account_roles, accounts, guardians, registrations, riders, sessions};
use waymark::web::limits::Limit;
use waymark::web::routes::LINES;

use crate::bad_input::POLYGLOT;
use crate::house::app::{TestApp, saturday, story_begins};
use crate::house::browser::{Browser, escaped};
use crate::house::crawl::{Found, Visitor};
use crate::house::forms::tags;
use crate::house::season::{adults, rider, sizes, step, with};

#[test]
fn s33_values_that_are_right_alone_and_wrong_together_are_refused_at_the_server() {
    let house = TestApp::start();
    // The course for 6 to 9: six on the Saturday itself, ten the day after.
    for (born, taken) in [((2020, 6, 13), true), ((2020, 6, 14), false), ((2016, 6, 14), true), ((2016, 6, 13), false)]
    {
        let session = house.add_session("young", 4, saturday());
        let (year, month, day) = (born.0.to_string(), born.1.to_string(), born.2.to_string());
        let child = with(with(with(rider(), "birth_year", &year), "birth_month", &month), "birth_day", &day);
        let answered = house.stranger().answer(&session, "rider", &child);
        assert_eq!(answered.status == 303, taken, "born {born:?}: {}", answered.words());
    }
    let session = house.add_session("young", 4, saturday());
    let stranger = house.stranger();
    // A county of another state than the program's own, and a day that no month has.
    stranger.answer(&session, "rider", &with(rider(), "county", "06001")).must_be(422);
    stranger.answer(&session, "rider", &with(with(rider(), "birth_month", "2"), "birth_day", "31")).must_be(422);
    stranger.answer(&session, "rider", &rider()).must_be(303);
    stranger.answer(&session, "health", &crate::house::season::health()).must_be(303);
    // A name without its telephone.
    stranger.answer(&session, "adults", &with(adults("a@example.org"), "pick_up_phone", "")).must_be(422);
    stranger.answer(&session, "adults", &adults("a@example.org")).must_be(303);
    // A measure, and that it is not known.
    stranger.answer(&session, "sizes", &with(sizes(), "height", "9 ft 11")).must_be(422);
}

#[test]
fn s29_fields_that_a_form_does_not_have_change_nothing() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let extra = [
        ("role", "administrator"),
        ("roles", "administrator"),
        ("capacity", "999"),
        ("verified", "1"),
        ("state", "confirmed"),
        ("place", "1"),
        ("price", "0"),
        ("guardian_id", "1"),
        ("account_id", "1"),
        ("session_id", "1"),
        ("created_at", "2000-01-01T00:00:00"),
    ];
    let more = |fields: crate::house::season::Fields| {
        let mut all = fields;
        all.extend(extra.iter().map(|(name, value)| (*name, (*value).to_owned())));
        all
    };
    browser.answer(&session, "rider", &more(rider())).must_be(303);
    browser.answer(&session, "health", &more(crate::house::season::health())).must_be(303);
    browser.answer(&session, "adults", &more(adults("ingrid@example.org"))).must_be(303);
    browser.answer(&session, "sizes", &more(sizes())).must_be(303);
    let mut fields = browser.signed(&session, "Ingrid Lindqvist");
    fields.extend(extra.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
    assert_eq!(browser.sign(&session, &fields).status, 303);
    let roles: Vec<Role> = house.rows(|conn| account_roles::table.select(account_roles::role).load(conn));
    assert_eq!(roles, [Role::Guardian]);
    let seats: Vec<(i64, i64)> =
        house.rows(|conn| sessions::table.select((sessions::capacity, sessions::seats_taken)).load(conn));
    assert_eq!(seats, [(4, 1)]);
    let made: Vec<chrono::NaiveDateTime> = house.rows(|conn| {
        let mut all: Vec<chrono::NaiveDateTime> = accounts::table.select(accounts::created_at).load(conn)?;
        all.extend(guardians::table.select(guardians::created_at).load::<chrono::NaiveDateTime>(conn)?);
        all.extend(riders::table.select(riders::created_at).load::<chrono::NaiveDateTime>(conn)?);
        Ok(all)
    });
    assert_eq!(made, [story_begins(); 3]);
    assert_eq!(house.rows(|conn| registrations::table.count().get_result::<i64>(conn)), 1);
}

/// What a query is made of may not come from a value: the text of each is written in the source.
fn queries_built_from_values(file: &str, text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let lines: Vec<&str> = text.lines().collect();
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| !line.trim_start().starts_with("//")) {
        let before = lines[at.saturating_sub(3)..=at].join(" ");
        let asks = ["sql_query(", "sql::<", "batch_execute("].iter().any(|call| line.contains(call));
        let is_written = line.contains("sql_query(\"") || line.contains("_str!(");
        if asks && !is_written && before.contains("format!(") {
            faults.push(format!("{file}:{}: {}", at + 1, line.trim()));
        }
    }
    faults
}

#[test]
fn s36_no_query_is_built_from_values() {
    let planted =
        "let sql = format!(\"SELECT * FROM riders WHERE name = '{name}'\");\ndiesel::sql_query(sql).load(conn)?;";
    assert_eq!(queries_built_from_values("planted.rs", planted).len(), 1);
    let mut faults = Vec::new();
    let mut folders = vec![std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder of the house") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = std::fs::read_to_string(&path).expect("a source file");
                faults.extend(queries_built_from_values(&path.display().to_string(), &text));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn s36_quotes_and_wildcards_in_queries_find_nothing_more_than_plain_words() {
    let house = TestApp::populated();
    let visitor = Visitor::arrive(&house, Role::Coordinator);
    let entries = |body: &str| body.matches("class=\"entry").count();
    let all = entries(&visitor.browser.get("/sessions").body);
    assert!(all > 3, "{all} sessions");
    for hostile in ["%25", "_", "'", "' OR 1=1--", "30049' OR '1'='1", "30049'--", "*", "\\"] {
        let answered = visitor.browser.get(&format!("/sessions?county={}", escaped(hostile)));
        assert_eq!((answered.status, entries(&answered.body)), (200, 0), "county={hostile}");
        let answered = visitor.browser.get(&format!("/sessions?age={}", escaped(hostile)));
        assert_eq!(answered.status, 422, "age={hostile}");
    }
}

/// Fails where a page lets a name become a picture, a script or a handler.
#[track_caller]
fn holds_no_program(who: &Browser, address: &str) {
    let answered = who.get(address);
    assert_eq!(answered.status, 200, "{address}: {:?}", answered.header("location"));
    for tag in tags(&answered.body) {
        let is_ours = tag.name != "script" || tag.get("src").is_some();
        let acts = tag.attributes.iter().any(|(name, _)| name.starts_with("on"));
        assert!(tag.name != "img" && is_ours && !acts, "{address}: <{}", tag.name);
    }
}

/// A child whose name means something to HTML, addresses, scripts, tables, calendars and headers of letters.
#[test]
fn s37_a_name_that_is_a_program_stays_a_name_on_every_page_and_in_every_file() {
    let house = TestApp::start();
    let session = house.add_session("young", 6, saturday());
    let rafael = house.add_instructor();
    house.put_on(&session, rafael, Duty::Lead);
    let browser = house.stranger();
    let child = with(with(rider(), "given", POLYGLOT), "family", "'; DROP TABLE riders; --");
    let receipt = browser.register(&session, &child, "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let kept: Vec<String> = house.rows(|conn| riders::table.select(riders::given_name).load(conn));
    assert_eq!(kept, [POLYGLOT], "the name is kept as it was typed");
    let calendar = browser.get(&format!("{receipt}/calendar.ics"));
    assert_eq!(calendar.status, 200);
    let properties =
        calendar.body.lines().filter(|line| line.starts_with("SUMMARY") || line.starts_with("DESCRIPTION"));
    assert_eq!(properties.count(), 2, "{}", calendar.body);
    for address in [receipt.clone(), "/registrations".into(), "/riders".into(), step(&session, "rider")] {
        holds_no_program(&browser, &address);
    }
    house.app.clock.set("2026-06-13T14:40:00".parse().expect("an instant"));
    let lead = house.signed_in("rafael@example.org");
    let zoe = receipt.rsplit('/').next().expect("a reference");
    let roster = format!("/roster/{session}");
    for below in ["", "/lessons/1", &format!("/riders/{zoe}"), &format!("/riders/{zoe}/fit"), "/close"] {
        holds_no_program(&lead, &format!("{roster}{below}"));
    }
    assert!(lead.get(&roster).says(POLYGLOT), "the name is not on the roster");
}

/// Every kind of address that is counted for itself: signing in, registering (seats and places in line), checking a
/// certificate, taking files away. The office is written to by mail and phone, so there is no form to flood.
#[test]
fn s41_a_thousand_requests_of_each_counted_kind_meet_a_limit_that_others_do_not_feel() {
    // The limits that ship, not the wide ones of the stories.
    let rates =
        [("SIGN_IN", "20", "50"), ("REGISTER", "20", "40"), ("CERTIFICATE_CHECK", "30", "30"), ("EXPORT", "20", "20")];
    let mut settings = vec![("WAYMARK_SERVER_TRUSTED_PROXIES".to_owned(), "127.0.0.1")];
    for (name, per_minute, burst) in rates {
        settings.push((format!("WAYMARK_RATES_{name}_PER_MINUTE"), per_minute));
        settings.push((format!("WAYMARK_RATES_{name}_BURST"), burst));
    }
    let settings: Vec<(&str, &str)> = settings.iter().map(|(name, value)| (name.as_str(), *value)).collect();
    let house = TestApp::with(&settings);
    let browser = house.stranger();
    for limit in [Limit::SignIn, Limit::Register, Limit::CertificateCheck, Limit::Export] {
        let line = LINES.iter().find(|line| line.limit == limit).expect("a line that is counted so");
        let path = line.path.replace("{reference}", "x").replace("{code}", "0000000000000000000000");
        let ask = |address: &str| browser.send(line.verb.as_str(), &path, &[("x-forwarded-for", address)], "");
        let answers: Vec<_> = (0..1000).map(|_| ask("203.0.113.7")).collect();
        let limited: Vec<_> = answers.iter().filter(|answered| answered.status == 429).collect();
        assert!(limited.len() > 900, "{path}: {} of 1000 were turned away", limited.len());
        for answered in limited {
            let wait: u64 = answered.header("retry-after").and_then(|wait| wait.parse().ok()).expect("Retry-After");
            assert!((1..=60).contains(&wait), "{path}: {wait}");
        }
        assert_ne!(ask("203.0.113.8").status, 429, "{path}: another address is turned away");
        let page = browser.send("GET", "/sessions", &[("x-forwarded-for", "203.0.113.7")], "");
        assert_eq!(page.status, 200, "{path}: the same address still looks at sessions");
    }
}

#[test]
fn s33_a_day_that_no_calendar_has_is_refused_in_every_form_that_asks_for_one() {
    let house = TestApp::populated();
    let visitor = Visitor::arrive(&house, Role::Coordinator);
    let found = Found::by(&visitor);
    let mut asked = 0;
    for form in found.forms.values().flatten() {
        let days = form.fields.iter().filter_map(|field| field.name.strip_suffix("_day"));
        for day in days {
            for (month, number, year) in
                [("2", "31", "2026"), ("2", "29", "2026"), ("13", "1", "2026"), ("6", "0", "2026"), ("6", "1", "0000")]
            {
                let value = |name: &str| match name.strip_prefix(day) {
                    Some("_month") => month.to_owned(),
                    Some("_day") => number.to_owned(),
                    Some("_year") => year.to_owned(),
                    _ => form.field(name).and_then(|field| field.value.clone()).unwrap_or_default(),
                };
                let fields = form.fields.iter().filter(|field| field.name != "form_token");
                let values: Vec<(String, String)> =
                    fields.map(|field| (field.name.clone(), value(&field.name))).collect();
                let answered = visitor.send(form, &values);
                assert_eq!(answered.status, 422, "{} {day} {year}-{month}-{number}", form.action);
                asked += 1;
            }
        }
    }
    assert!(asked >= 20, "{asked} days were tried");
    assert!(NaiveDate::from_ymd_opt(2026, 2, 31).is_none());
}
