//! The form door that every form stands behind, attacked from outside at the sign-in form.

use waymark::domain::access::Role;

use crate::house::app::TestApp;
use crate::house::browser::Browser;
use crate::house::people::PASSWORD;

const OURS: (&str, &str) = ("sec-fetch-site", "same-origin");

fn fields(email: &str, password: &str) -> String {
    format!("email={email}&password={}", password.replace(' ', "+"))
}

#[test]
fn s19_signing_in_gives_a_new_token_and_leads_on_within_the_site() {
    let house = TestApp::start();
    drop(house.person(Role::Guardian));
    for (next, place) in [("/health/live", "/health/live"), ("//evil.example", "/"), ("https:evil", "/"), ("", "/")] {
        let browser = house.stranger().with_cookie("waymark=chosen-by-someone-else");
        let sent = format!("{}&next={next}", fields("guardian@example.org", PASSWORD));
        let answered = browser.post_from("/sign-in", "/sign-in", &sent);
        assert_eq!((answered.status, answered.header("location")), (303, Some(place)), "{next}");
        let set: Vec<_> = answered.headers.iter().filter(|(_, value)| value.starts_with("waymark=")).collect();
        assert!(set.len() == 1 && !set[0].1.contains("chosen-by-someone-else"), "{set:?}");
        assert!(browser.get("/sign-in").body.contains("Ana guardian"));
    }
}

#[test]
fn s09_a_wrong_password_and_an_unknown_address_get_the_same_words() {
    let house = TestApp::start();
    drop(house.person(Role::Guardian));
    let words = |email: &str| {
        let answered = house.stranger().post_from("/sign-in", "/sign-in", &fields(email, "not the password at all"));
        assert_eq!(answered.status, 422);
        assert!(!answered.body.contains("not the password"), "a password comes back");
        let body = answered.body.replace(email, "");
        let token = answered.form_token().expect("the form again").to_owned();
        body.replace(&token, "")
    };
    assert_eq!(words("guardian@example.org"), words("nobody@example.org"));
}

#[test]
fn s21_a_token_serves_no_more_after_signing_out() {
    let house = TestApp::start();
    let person = house.person(Role::Guardian);
    let copy = person.copy();
    let answered = person.post_from("/sign-in", "/sign-out", "");
    assert_eq!(answered.status, 303);
    assert_eq!(answered.header("clear-site-data"), Some("\"cache\", \"storage\""));
    assert!(copy.get("/sign-in").body.find("Ana guardian").is_none());
}

fn token_of(browser: &Browser, path: &str) -> String {
    browser.get(path).form_token().expect("a form").to_owned()
}

#[test]
fn s46_a_form_needs_our_own_page_and_the_token_of_its_own_reader() {
    let house = TestApp::start();
    let person = house.person(Role::Guardian);
    let other = token_of(&house.person(Role::Helper), "/sign-in");
    let visitor = token_of(&house.stranger(), "/sign-in");
    let own = token_of(&person, "/sign-in");
    let host = house.url.trim_start_matches("http://").to_owned();
    let origin = format!("http://{host}");
    for (headers, token) in [
        (&[][..], &own),
        (&[("sec-fetch-site", "cross-site")], &own),
        (&[("sec-fetch-site", "same-site")], &own),
        (&[("origin", "null")], &own),
        (&[("origin", "https://evil.example")], &own),
        (&[OURS], &other),
        (&[OURS], &visitor),
        (&[OURS], &String::new()),
    ] {
        let answered = person.send("POST", "/sign-out", headers, &format!("form_token={token}"));
        assert_eq!(answered.status, 403, "{headers:?}");
    }
    let as_text = [OURS, ("content-type", "text/plain")];
    assert_eq!(person.send("POST", "/sign-out", &as_text, &format!("form_token={own}")).status, 400);
    assert!(person.get("/sign-in").body.contains("Ana guardian"), "a refused form signed out");
    let by_origin = [("origin", origin.as_str())];
    assert_eq!(person.send("POST", "/sign-out", &by_origin, &format!("form_token={own}")).status, 303);
}

#[test]
fn s42_a_malformed_form_is_refused_whole() {
    let house = TestApp::start();
    let stranger = house.stranger();
    let token = token_of(&stranger, "/sign-in");
    for broken in ["email=a&email=b", "email[]=a", "email=%FF", "email=%00", "email=%4"] {
        let body = format!("form_token={token}&password=x&{broken}");
        assert_eq!(stranger.send("POST", "/sign-in", &[OURS], &body).status, 400, "{broken}");
    }
    assert_eq!(stranger.get("/sign-in?next=a&next=b").status, 400);
}

#[test]
fn s42_what_a_person_can_type_is_never_a_fault_of_ours() {
    let house = TestApp::start();
    let long = "a".repeat(30_000);
    for odd in ["1e9", "-1", "9223372036854775808", "%F0%9F%90%8E", "%E2%80%AE", "a%CC%81", "%0D%0AX", &long] {
        let answered = house.stranger().post_from("/sign-in", "/sign-in", &format!("email={odd}&password={odd}"));
        assert_eq!(answered.status, 422, "{}", &odd[..odd.len().min(20)]);
    }
}

#[test]
fn s50_a_form_longer_than_the_limit_is_turned_away() {
    let house = TestApp::with(&[("WAYMARK_SERVER_FORM_BYTES", "5000")]);
    let stranger = house.stranger();
    let long = format!("email={}", "a".repeat(5000));
    let answered = stranger.send("POST", "/sign-in", &[OURS], &long);
    assert_eq!(answered.status, 413);
    assert!(answered.header("content-security-policy").is_some());
}

#[test]
fn s41_guessing_is_slowed_for_one_address_and_not_for_another() {
    let house = TestApp::with(&[
        ("WAYMARK_RATES_SIGN_IN_PER_MINUTE", "6"),
        ("WAYMARK_RATES_SIGN_IN_BURST", "5"),
        ("WAYMARK_SERVER_TRUSTED_PROXIES", "127.0.0.1"),
    ]);
    let guess = |address: &str| {
        let told = [OURS, ("x-forwarded-for", address)];
        house.stranger().send("POST", "/sign-in", &told, "email=a&password=b").status
    };
    let busy: Vec<u16> = (0..8).map(|_| guess("203.0.113.7")).collect();
    assert_eq!((busy[4], busy[7]), (403, 429), "{busy:?}");
    assert_eq!(guess("203.0.113.8"), 403);
    let told = [OURS, ("x-forwarded-for", "203.0.113.7")];
    let answered = house.stranger().send("POST", "/sign-in", &told, "email=a");
    let wait: u64 = answered.header("retry-after").and_then(|wait| wait.parse().ok()).expect("Retry-After");
    assert!((1..=60).contains(&wait), "{wait}");
}

#[test]
fn s60_a_forged_forwarded_address_gives_no_fresh_start() {
    let house = TestApp::with(&[("WAYMARK_RATES_SIGN_IN_PER_MINUTE", "6"), ("WAYMARK_RATES_SIGN_IN_BURST", "5")]);
    let guess = |number: u8| {
        let forged = format!("203.0.113.{number}");
        house.stranger().send("POST", "/sign-in", &[OURS, ("x-forwarded-for", &forged)], "email=a").status
    };
    let answers: Vec<u16> = (0..8).map(guess).collect();
    assert_eq!(answers[7], 429, "{answers:?}");
}

#[test]
fn house_2_buttons_for_roles_are_only_there_in_a_demonstration() {
    let house = TestApp::start();
    let page = house.stranger().get("/sign-in");
    assert_eq!(page.status, 200);
    assert!(!page.body.contains("/sign-in/demo"));
    let answered = house.stranger().post_from("/sign-in", "/sign-in/demo", "role=administrator");
    assert_eq!(answered.status, 422);
}
