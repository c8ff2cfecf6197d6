//! The door before every page, attacked from outside: headers, cookies, malformed requests, limits, errors.

use waymark::domain::access::Role;

use crate::house::app::TestApp;
use crate::house::armour;
use crate::house::browser::Answered;

fn assert_armoured(answered: &Answered, what: &str) {
    assert_eq!(armour::gaps(answered), Vec::<String>::new(), "{what}");
}

#[test]
fn s44_s45_s47_every_answer_carries_the_headers_errors_too() {
    let house = TestApp::start();
    let stranger = house.stranger();
    let evil = [("origin", "https://evil.example")];
    for (verb, path, body) in [
        ("GET", "/health/live", ""),
        ("GET", "/no-such-page", ""),
        ("GET", "/static/none/none.css", ""),
        ("PUT", "/health/live", ""),
        ("POST", "/no-such-page", "a=1"),
        ("OPTIONS", "/health/ready", ""),
    ] {
        let answered = stranger.send(verb, path, &evil, body);
        assert_armoured(&answered, &format!("{verb} {path} -> {}", answered.status));
    }
}

#[test]
fn saturday_3_only_pages_of_the_field_may_keep_the_screen_on() {
    let house = TestApp::start();
    let field = house.field_day();
    let may = |path: &str| {
        let answered = field.lead.get(path);
        let policy = answered.header("permissions-policy").expect("a policy").to_owned();
        assert!(policy.contains("camera=()"), "{policy}");
        let is_field = answered.body.contains("class=\"field-page");
        (answered.status, is_field, answered.body.contains("/js/awake.js"), policy.contains("screen-wake-lock=(self)"))
    };
    let pages =
        ["", "/lessons/1", "/area", "/day-list", "/groups", "/counts", "/emergency", "/roll-call", "/grid", "/close"];
    let riders = ["", "/fit", "/health", "/history"].map(|page| field.of_zoe(page));
    for path in pages.map(|page| field.at(page)).iter().chain(&riders) {
        assert_eq!(may(path), (200, true, true, true), "{path}");
    }
    for path in ["/sessions", "/help", "/certificates"] {
        assert_eq!(may(path), (200, false, false, false), "{path}");
    }
}

#[test]
fn s45_strict_transport_is_promised_only_where_the_public_address_has_tls() {
    let plain = TestApp::start();
    assert_eq!(plain.stranger().get("/health/live").header("strict-transport-security"), None);
    let over_tls = TestApp::with(&[("WAYMARK_SERVER_PUBLIC_URL", "https://ride.example.org")]);
    let answered = over_tls.stranger().get("/health/live");
    let promise = answered.header("strict-transport-security").expect("HSTS");
    let age: u64 = promise.split(['=', ';']).nth(1).and_then(|age| age.parse().ok()).expect("an age");
    assert!(age >= 31_536_000 && promise.contains("includeSubDomains"), "{promise}");
}

#[test]
fn s23_cookies_are_closed_to_scripts_and_bound_to_the_host_where_there_is_tls() {
    for (url, prefix, secure) in [("https://ride.example.org", "__Host-", true), ("http://localhost:8080", "", false)] {
        let house = TestApp::with(&[("WAYMARK_SERVER_PUBLIC_URL", url)]);
        let pages = ["/no-such-page", "/health/live?lang=es", "/health/live?scheme=sun"];
        let mut seen = 0;
        for answered in pages.map(|path| house.stranger().get(path)) {
            for (_, cookie) in answered.headers.iter().filter(|(name, _)| name == "set-cookie") {
                seen += 1;
                assert!(cookie.starts_with(prefix), "{cookie}");
                assert_eq!(cookie.contains("Secure"), secure, "{cookie}");
                for part in ["HttpOnly", "SameSite=Lax", "Path=/"] {
                    assert!(cookie.contains(part), "{part} is missing in {cookie}");
                }
                assert!(!cookie.contains("Domain"), "{cookie}");
            }
        }
        assert_eq!(seen, 3);
    }
}

#[test]
fn s40_a_choice_of_language_leads_back_to_the_same_site_only() {
    let house = TestApp::start();
    let answered = house.stranger().get("/health/live?next=//evil.example&lang=es");
    assert_eq!((answered.status, answered.header("location")), (303, Some("/health/live?next=//evil.example")));
    for path in ["//evil.example?lang=es", "/%5Cevil.example?lang=es"] {
        let answered = house.stranger().get(path);
        assert_eq!((answered.status, answered.header("location")), (404, None), "{path}");
    }
}

#[test]
fn house_1_a_page_speaks_the_language_that_the_reader_chose_or_the_browser_asks() {
    let house = TestApp::start();
    let spanish = house.stranger();
    spanish.get("/health/live?lang=es");
    assert!(spanish.get("/no-such-page").body.contains("<html lang=\"es\""));
    let asks = |list| house.stranger().send("GET", "/no-such-page", &[("accept-language", list)], "").body;
    assert!(asks("es-MX,es;q=0.9,en;q=0.8").contains("<html lang=\"es\""));
    assert!(asks("de-DE,de;q=0.9").contains("<html lang=\"en\""));
}

#[test]
fn s60_an_error_page_names_no_cause_and_no_version() {
    let house = TestApp::start();
    let stranger = house.stranger();
    for path in ["/.git/config", "/static/", "/metrics", "/no-such-page", "/static/../../etc/passwd", "/index.php"] {
        let answered = stranger.get(path);
        assert_eq!(answered.status, 404, "{path}");
        for word in ["actix", "diesel", "panicked", env!("CARGO_PKG_VERSION")] {
            assert!(!answered.body.contains(word), "{path}: {word}");
        }
    }
    let json = stranger.send("GET", "/no-such-page", &[("accept", "application/json")], "");
    assert_eq!(json.header("content-type"), Some("application/problem+json"));
    assert!(json.body.contains("\"status\":404"), "{}", json.body);
}

#[test]
fn s48_what_a_signed_in_person_sees_is_not_stored() {
    let house = TestApp::start();
    let coordinator = house.person(Role::Coordinator);
    for path in ["/no-such-page", "/health/live"] {
        assert_eq!(coordinator.get(path).header("cache-control"), Some("no-store"), "{path}");
    }
}

#[test]
fn house_2_ready_says_no_while_a_migration_waits() {
    let house = TestApp::start();
    assert_eq!(house.stranger().get("/health/ready").status, 200);
    let forget = |conn: &mut _| {
        waymark::store::migrations::execute(conn, "DELETE FROM __diesel_schema_migrations")
            .map_err(waymark::services::Failure::from)
    };
    house.app.store.write("forget migrations", forget).expect("the table is there");
    let answered = house.stranger().get("/health/ready");
    assert_eq!((answered.status, answered.header("retry-after")), (503, Some("5")));
    assert_eq!(house.stranger().get("/health/live").status, 200);
}
