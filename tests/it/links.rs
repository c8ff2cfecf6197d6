//! Links that come by mail: once, for thirty minutes, for one account, and no word about whether an address is known.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::StoreError;
use waymark::store::schema::{accounts, link_tokens};

use crate::house::app::TestApp;
use crate::house::browser::Browser;
use crate::house::letters::AppKey;
use crate::house::people::PASSWORD;

fn ask(house: &TestApp, email: &str) -> String {
    let browser = house.stranger();
    let reply = browser.submit("/sign-in/link", "/sign-in/link", &[("email", email)]);
    let page = browser.follow(&reply);
    page.must_be(200);
    page.words()
}

fn press(browser: &Browser, link: &str) -> crate::house::browser::Answered {
    browser.submit("/sign-in", link, &[])
}

#[test]
fn s15_a_link_signs_in_once_and_looking_at_it_spends_nothing() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    ask(&house, "Ana@Example.org");
    let link = house.link_in_the_letter();
    let token = link.trim_start_matches("/links/");
    assert_eq!(token.len(), 43, "32 random bytes");
    let kept: Vec<Vec<u8>> = house
        .app
        .store
        .read(|conn| Ok::<_, StoreError>(link_tokens::table.select(link_tokens::token_hash).load(conn)?))
        .expect("the table");
    assert!(kept.len() == 1 && kept[0].len() == 32 && kept[0] != token.as_bytes(), "only a hash is kept");
    for _ in 0..3 {
        house.stranger().get(&link).must_be(200).must_say("Press the button to sign in on this device");
    }
    let browser = house.stranger();
    assert_eq!(press(&browser, &link).location(), "/");
    browser.get("/registrations").must_be(200);
    house.stranger().get(&link).must_be(410).must_say("This link works no more");
    let second = house.stranger();
    press(&second, &link).must_be(410);
    assert_eq!(second.get("/registrations").status, 303);
}

#[test]
fn s15_a_newer_link_a_half_hour_and_a_changed_letter_end_a_link() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    ask(&house, "ana@example.org");
    let old = house.link_in_the_letter();
    ask(&house, "ana@example.org");
    let new = house.link_in_the_letter();
    house.stranger().get(&old).must_be(410).must_say("a newer one took its place");
    house.app.clock.advance(TimeDelta::minutes(30) - TimeDelta::seconds(1));
    house.stranger().get(&new).must_be(200);
    house.app.clock.advance(TimeDelta::seconds(1));
    house.stranger().get(&new).must_be(410);
    press(&house.stranger(), &new).must_be(410);
    let last = new.chars().last().expect("a letter");
    let changed = format!("{}{}", &new[..new.len() - 1], if last == 'A' { 'B' } else { 'A' });
    for other in [changed.as_str(), "/links/x", "/links/%F0%9F%90%8E"] {
        house.stranger().get(other).must_be(410);
    }
}

#[test]
fn s15_a_link_opens_the_account_that_it_was_written_for_whoever_presses_it() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    house.add_guardian("bo@example.org", "Bo", "Lindqvist");
    ask(&house, "ana@example.org");
    let link = house.link_in_the_letter();
    let bo = house.signed_in("bo@example.org");
    press(&bo, &link).must_be(303);
    bo.get("/account").must_say("ana@example.org");
    // A link that was asked for by one person ends no link of another.
    ask(&house, "ana@example.org");
    let hers = house.link_in_the_letter();
    ask(&house, "bo@example.org");
    house.letters_out();
    house.stranger().get(&hers).must_be(200);
}

#[test]
fn s14_a_link_does_not_stand_in_for_the_second_step() {
    let house = TestApp::start();
    house.add_instructor();
    let browser = house.after_password("rafael@example.org");
    let page = browser.get("/sign-in/second-step");
    let (key, drawn) = (AppKey::on(&page), page.field("drawn").expect("drawn"));
    browser.post("/sign-in/second-step", &[("drawn", &drawn), ("code", &key.code_at(&house))]).must_be(303);
    house.letters_out();
    house.app.clock.advance(TimeDelta::minutes(1));
    ask(&house, "rafael@example.org");
    let link = house.link_in_the_letter();
    let thief = house.stranger();
    let reply = thief.submit(&link, &link, &[("then", "password")]);
    assert_eq!(reply.location(), "/sign-in/code?next=/account/password");
    for path in ["/my-sessions", "/account/password", "/account"] {
        assert!(thief.get(path).location().starts_with("/sign-in?next="), "{path} opens to the mailbox alone");
    }
    thief.submit("/sign-in/code", "/account/password", &[("password", "five wet stones in a row")]).must_be(401);
    let reply = thief.submit(
        "/sign-in/code",
        "/sign-in/code",
        &[("code", key.code_at(&house).as_str()), ("next", "/account/password")],
    );
    assert_eq!(reply.location(), "/account/password");
    let page = thief.follow(&reply);
    page.must_be(200);
    assert!(!page.says("Your password now"), "who came by link is not asked for a password that is lost");
}

#[test]
fn s09_asking_for_a_link_says_the_same_for_known_unknown_disabled_and_staff() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    house.add_coordinator();
    let gone = house.add_person("gone@example.org", "Gone", "", &[Role::Guardian]);
    let shut = move |conn: &mut waymark::store::AnyConn| {
        let one = accounts::table.filter(accounts::id.eq(gone));
        diesel::update(one).set(accounts::disabled_at.eq(chrono::NaiveDateTime::default())).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("disable", shut).expect("disabled");
    let pages: Vec<String> = ["ana@example.org", "nobody@example.org", "gone@example.org", "priya@example.org"]
        .iter()
        .map(|email| ask(&house, email))
        .collect();
    assert!(pages.windows(2).all(|pair| pair[0] == pair[1]), "{pages:#?}");
    let reached: Vec<String> = house.letters_out().into_iter().map(|(_, letter)| letter.to.address).collect();
    assert_eq!(reached, ["ana@example.org", "priya@example.org"]);
    let browser = house.stranger();
    let page = browser.submit("/sign-in/link", "/sign-in/link", &[("email", "not an address")]);
    page.must_be(422).must_say("Write a whole e-mail address");
    assert_eq!(page.field("email").as_deref(), Some("not an address"), "what was typed is kept");
}

#[test]
fn s41_one_mailbox_gets_five_letters_in_a_quarter_of_an_hour_and_the_page_says_the_same() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let pages: Vec<String> = (0..12).map(|_| ask(&house, "ana@example.org")).collect();
    assert!(pages.windows(2).all(|pair| pair[0] == pair[1]));
    let rows = house.letters_out();
    assert_eq!(rows.len(), 1, "four of five were replaced before they were written: nobody is owed a dead link");
    house.app.clock.advance(TimeDelta::minutes(15));
    ask(&house, "ana@example.org");
    assert_eq!(house.letters_out().len(), 1);
}

#[test]
fn s15_a_letter_that_is_written_twice_carries_two_links_that_both_serve() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    ask(&house, "ana@example.org");
    let first = house.link_in_the_letter();
    let back = |conn: &mut waymark::store::AnyConn| {
        use waymark::store::schema::outbox;
        diesel::update(outbox::table).set(outbox::state.eq("due")).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("due again", back).expect("due");
    let second = house.link_in_the_letter();
    assert_ne!(first, second);
    house.stranger().get(&first).must_be(200);
    press(&house.stranger(), &second).must_be(303);
    press(&house.stranger(), &first).must_be(410);
}

#[test]
fn s08_ten_wrong_passwords_slow_one_account_and_the_right_one_serves_after_a_quarter_of_an_hour() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    house.add_guardian("bo@example.org", "Bo", "Lindqvist");
    let try_with = |email: &str, password: &str| {
        let fields = [("email", email), ("password", password)];
        house.stranger().submit("/sign-in", "/sign-in", &fields)
    };
    for email in ["ana@example.org", "nobody@example.org"] {
        let statuses: Vec<u16> = (0..14).map(|n| try_with(email, &format!("wrong horse {n}")).status).collect();
        assert_eq!(statuses[..10], [422; 10], "{email}");
        assert_eq!(statuses[10..], [429; 4], "{email}");
    }
    let slowed = try_with("ana@example.org", PASSWORD);
    slowed.must_be(429).must_say("There were too many wrong tries. Wait 16 minutes");
    assert_eq!(slowed.field("email").as_deref(), Some("ana@example.org"), "what was typed is kept");
    try_with("bo@example.org", PASSWORD).must_be(303);
    ask(&house, "ana@example.org");
    let link = house.link_in_the_letter();
    press(&house.stranger(), &link).must_be(303);
    house.app.clock.advance(TimeDelta::minutes(15));
    try_with("ana@example.org", PASSWORD).must_be(303);
}

#[test]
fn s08_fifty_wrong_passwords_from_one_network_address_slow_it_for_every_account() {
    let house = TestApp::with(&[("WAYMARK_SERVER_TRUSTED_PROXIES", "127.0.0.1")]);
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let try_from = |address: &str, email: &str, password: &str| {
        let browser = house.stranger();
        let token = browser.get("/sign-in").form_token().expect("a form");
        let fields = [("form_token", token.as_str()), ("email", email), ("password", password)];
        let body = crate::house::browser::encoded(&fields);
        let headers = [("sec-fetch-site", "same-origin"), ("x-forwarded-for", address)];
        browser.send("POST", "/sign-in", &headers, &body).status
    };
    let statuses: Vec<u16> = (0..52)
        .map(|n| try_from("203.0.113.7", &format!("guess{n}@example.org"), "wrong horse on the ridge"))
        .collect();
    assert_eq!(statuses[..50], [422; 50]);
    assert_eq!(statuses[50..], [429; 2]);
    assert_eq!(try_from("203.0.113.7", "ana@example.org", PASSWORD), 429);
    assert_eq!(try_from("203.0.113.8", "ana@example.org", PASSWORD), 303, "another address does not feel it");
    house.app.clock.advance(TimeDelta::minutes(15));
    assert_eq!(try_from("203.0.113.7", "ana@example.org", PASSWORD), 303);
}
