//! One's own account: whoever changes how it is opened proves to be its owner, and its owner is told.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::words::Lang;
use waymark::jobs::Deliver;
use waymark::jobs::letters::KINDS;
use waymark::outside::post::Post;
use waymark::store::StoreError;
use waymark::store::schema::{accounts, guardians};

use crate::house::app::TestApp;
use crate::house::browser::Answered;
use crate::house::letters::{AppKey, all_due};
use crate::house::people::PASSWORD;

const NEW: &str = "five wet stones in a row";

fn ana(house: &TestApp) -> crate::house::browser::Browser {
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    house.signed_in("ana@example.org")
}

fn lets_in(house: &TestApp, email: &str, password: &str) -> bool {
    let fields = [("email", email), ("password", password)];
    house.stranger().submit("/sign-in", "/sign-in", &fields).status == 303
}

#[test]
fn s05_a_new_password_needs_the_one_of_now_and_may_end_every_other_sign_in() {
    let house = TestApp::start();
    let here = ana(&house);
    let there = house.signed_in("ana@example.org");
    let change = |fields: &[(&str, &str)]| here.submit("/account/password", "/account/password", fields);
    change(&[("password", NEW)]).must_be(422).must_say("This is not your password now");
    change(&[("current", "wrong horse on the ridge"), ("password", NEW)]).must_be(422);
    assert!(!lets_in(&house, "ana@example.org", NEW));
    assert_eq!(change(&[("current", PASSWORD), ("password", NEW), ("end_others", "yes")]).location(), "/account");
    here.get("/registrations").must_be(200);
    assert_eq!(there.get("/registrations").status, 303, "the other sign-in is over (S22)");
    assert!(lets_in(&house, "ana@example.org", NEW) && !lets_in(&house, "ana@example.org", PASSWORD));
    let letters = house.letters_out();
    let [(kind, letter)] = letters.as_slice() else { panic!("{} letters", letters.len()) };
    assert_eq!((kind.as_str(), letter.to.address.as_str()), ("password_changed", "ana@example.org"));
    let there = house.stranger();
    there.submit("/sign-in", "/sign-in", &[("email", "ana@example.org"), ("password", NEW)]).must_be(303);
    change(&[("current", NEW), ("password", PASSWORD)]).must_be(303);
    there.get("/registrations").must_be(200);
}

#[test]
fn s03_s01_a_change_of_password_follows_the_same_rules_as_the_first_one() {
    let house = TestApp::start();
    let browser = ana(&house);
    let change = |current: &str, password: &str| {
        browser.submit("/account/password", "/account/password", &[("current", current), ("password", password)])
    };
    for (password, words) in [
        ("eleven char", "12"),
        (&"x".repeat(129), "128"),
        ("1q2w3e4r5t6y", "Many people use"),
        ("Waymark2026!", "name"),
        ("", ""),
    ] {
        change(PASSWORD, password).must_be(422).must_say(words);
    }
    let long = "ü".repeat(128);
    change(PASSWORD, &long).must_be(303);
    assert!(lets_in(&house, "ana@example.org", &long));
    assert!(!lets_in(&house, "ana@example.org", &"Ü".repeat(128)), "case counts (S04)");
    assert!(!lets_in(&house, "ana@example.org", &"ü".repeat(127)), "every character counts (S04)");
    for password in ["abcdefghijklmnoprstv", "  twelve  sp  ", "🐎🐎🐎🐎🐎🐎🐎🐎🐎🐎🐎🐎"] {
        change(&long, password).must_be(303);
        assert!(lets_in(&house, "ana@example.org", password), "{password:?}");
        change(password, &long).must_be(303);
    }
}

#[test]
fn s05_a_sign_in_by_link_stands_in_for_the_password_for_five_minutes() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let by_link = |then: &str| {
        let browser = house.stranger();
        browser.submit("/sign-in/link", "/sign-in/link", &[("email", "ana@example.org")]).must_be(303);
        let link = house.link_in_the_letter();
        browser.submit(&link, &link, &[("then", then)]).must_be(303);
        browser
    };
    let late = by_link("password");
    house.app.clock.advance(TimeDelta::minutes(6));
    late.get("/account/password").must_say("Your password now");
    late.submit("/account/password", "/account/password", &[("password", NEW)]).must_be(422);
    late.submit("/account/address", "/account/address", &[("email", "new@example.org")]).must_be(422);
    let page = late.get("/account/second-step");
    let (drawn, key) = (page.field("drawn").expect("drawn"), AppKey::on(&page));
    late.post("/account/second-step", &[("drawn", &drawn), ("code", &key.code_at(&house))]).must_be(422);
    let in_time = by_link("password");
    house.app.clock.advance(TimeDelta::minutes(5));
    assert!(!in_time.get("/account/password").says("Your password now"));
    in_time.submit("/account/password", "/account/password", &[("password", NEW)]).must_be(303);
    assert!(lets_in(&house, "ana@example.org", NEW));
}

#[test]
fn s18_a_new_address_is_used_once_its_mailbox_answers_and_both_mailboxes_are_told() {
    let house = TestApp::start();
    let browser = ana(&house);
    let fields = [("email", "Ana.New@example.org"), ("current", PASSWORD)];
    let reply = browser.submit("/account/address", "/account/address", &fields);
    browser.follow(&reply).must_be(200).must_say("Look into your new mailbox");
    browser.get("/account").must_say("ana@example.org");
    let link = house.link_in_the_letter();
    let reply: Answered = house.stranger().submit(&link, &link, &[]);
    house.stranger().follow(&reply).must_say("Your account has the new address");
    browser.get("/account").must_say("ana.new@example.org");
    assert!(lets_in(&house, "ana.new@example.org", PASSWORD) && !lets_in(&house, "ana@example.org", PASSWORD));
    let kept: Option<String> = house
        .app
        .store
        .read(|conn| Ok::<_, StoreError>(guardians::table.select(guardians::email).first(conn)?))
        .expect("the guardian");
    assert_eq!(kept.as_deref(), Some("ana.new@example.org"), "letters about the child go there too");
    let post = Post::by_setting(&house.app.settings.mail.way).expect("a folder");
    let deliver = Deliver::new(house.app.clone(), post, KINDS).expect("a sender");
    actix_web::rt::System::new().block_on(all_due(&deliver));
    let mut to: Vec<String> = std::fs::read_dir(house.mail())
        .expect("letters")
        .map(|entry| std::fs::read_to_string(entry.expect("a letter").path()).expect("a letter"))
        .filter_map(|letter| letter.lines().find(|line| line.starts_with("To:")).map(str::to_owned))
        .collect();
    to.sort();
    assert!(to.len() == 2 && to[0].contains("<ana.new@") && to[1].contains("<ana@example.org>"), "{to:?}");
}

#[test]
fn s09_a_taken_address_is_answered_like_a_free_one_and_gets_no_letter() {
    let house = TestApp::start();
    let browser = ana(&house);
    house.add_guardian("bo@example.org", "Bo", "Lindqvist");
    let ask = |email: &str| {
        let fields = [("email", email), ("current", PASSWORD)];
        let reply = browser.submit("/account/address", "/account/address", &fields);
        browser.follow(&reply).words()
    };
    assert_eq!(ask("bo@example.org"), ask("free@example.org"));
    let letters = house.letters_out();
    let reached: Vec<&str> = letters.iter().map(|(_, letter)| letter.to.address.as_str()).collect();
    assert_eq!(reached, ["free@example.org"]);
    // Two people ask for one free address: the second to press finds it taken.
    let link =
        letters[0].1.text.split("/links/").nth(1).and_then(|rest| rest.split_whitespace().next()).expect("a link");
    let take = |conn: &mut waymark::store::AnyConn| {
        let other = accounts::table.filter(accounts::email.eq("bo@example.org"));
        let free = (accounts::sign_in_name.eq("free@example.org"), accounts::email.eq("free@example.org"));
        diesel::update(other).set(free).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("take", take).expect("taken");
    let link = format!("/links/{link}");
    house.stranger().submit(&link, &link, &[]).must_be(410);
    browser.get("/account").must_say("ana@example.org");
}

#[test]
fn s22_one_press_ends_every_other_sign_in() {
    let house = TestApp::start();
    let here = ana(&house);
    let others = [house.signed_in("ana@example.org"), house.signed_in("ana@example.org")];
    here.get("/sign-ins").must_say("3 sign-ins");
    here.submit("/sign-ins", "/account/sign-out-elsewhere", &[]).must_be(303);
    here.get("/sign-ins").must_say("One sign-in");
    assert!(others.iter().all(|other| other.get("/account").status == 303));
}

#[test]
fn u27_the_pages_and_letters_of_an_account_speak_spanish_to_who_reads_it() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let speaks = |conn: &mut waymark::store::AnyConn| {
        diesel::update(accounts::table).set(accounts::language.eq(Lang::Es)).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("language", speaks).expect("Spanish");
    let browser = house.stranger().speaking("es");
    browser.get("/sign-in/link").must_say("Entrar con un enlace");
    browser.submit("/sign-in/link", "/sign-in/link", &[("email", "ana@example.org")]).must_be(303);
    let (_, letter) = house.letters_out().pop().expect("a letter");
    assert_eq!(letter.subject, "Su enlace para entrar");
    assert!(letter.html.contains("lang=\"es\"") && letter.text.contains("Abra este enlace antes de 30 minutos"));
    let link = letter.text.split("/links/").nth(1).and_then(|rest| rest.split_whitespace().next()).expect("a link");
    let link = format!("/links/{link}");
    browser.submit(&link, &link, &[]).must_be(303);
    browser.get("/account").must_say("Su cuenta").must_say("Segundo paso");
    browser.get("/account/second-step").must_say("Configure su segundo paso");
}

#[test]
fn s05_who_has_no_password_is_led_to_a_link_and_can_change_the_account_after_it() {
    let house = TestApp::start();
    let browser = ana(&house);
    let without = |conn: &mut waymark::store::AnyConn| {
        diesel::update(accounts::table).set(accounts::password_hash.eq(None::<String>)).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("no password", without).expect("none");
    for path in ["/account/password", "/account/address", "/account/second-step"] {
        assert_eq!(browser.get(path).location(), "/account/by-link", "{path}");
    }
    let fields = [("password", NEW), ("current", "")];
    assert_eq!(browser.submit("/account", "/account/password", &fields).location(), "/account/by-link");
    let page = browser.get("/account/by-link");
    page.must_be(200).must_say("You have no password yet");
    let email = page.field("email").expect("the account's own address");
    browser.post("/sign-in/link", &[("email", &email)]).must_be(303);
    let link = house.link_in_the_letter();
    browser.submit(&link, &link, &[("then", "password")]).must_be(303);
    browser.submit("/account/password", "/account/password", &[("password", NEW)]).must_be(303);
    assert!(lets_in(&house, "ana@example.org", NEW));
}
