//! Signing in, out, and seeing one's sign-ins: through the front door.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::StoreError;
use waymark::store::schema::{accounts, sign_ins};

use crate::house::app::TestApp;
use crate::house::forms::{Kind, forms};
use crate::house::people::PASSWORD;

#[test]
fn house_1_a_coordinator_signs_in_sees_the_sign_in_and_ends_it() {
    let house = TestApp::start();
    house.add_coordinator();
    let browser = house.signed_in("priya@example.org");
    let listed = browser.get("/sign-ins");
    listed.must_be(200).must_say("One sign-in").must_say("(this one)");
    let number = listed.body.split("/sign-ins/").nth(1).and_then(|rest| rest.split('/').next()).expect("a number");
    browser.post(&format!("/sign-ins/{number}/end"), &[]).must_be(303);
    assert_eq!(browser.get("/sign-ins").location(), "/sign-in?next=/sign-ins");
}

#[test]
fn s09_unknown_wrong_and_disabled_answer_alike_and_keep_the_address() {
    let house = TestApp::start();
    house.add_coordinator();
    house.add_person("gone@example.org", "Gone", "", &[Role::Guardian]);
    house
        .app
        .store
        .write("disable", |conn| {
            diesel::update(accounts::table.filter(accounts::email.eq("gone@example.org")))
                .set(accounts::disabled_at.eq(chrono::NaiveDateTime::default()))
                .execute(conn)?;
            Ok::<_, StoreError>(())
        })
        .expect("disabled");
    let answers: Vec<_> = [
        ("nobody@example.org", PASSWORD),
        ("priya@example.org", "wrong horse on the ridge"),
        ("gone@example.org", PASSWORD),
        ("not an address", PASSWORD),
    ]
    .map(|(email, password)| {
        let reply = house.stranger().submit("/sign-in", "/sign-in", &[("email", email), ("password", password)]);
        reply.must_be(422).must_say("This address and this password do not belong together.");
        assert_eq!(reply.field("email").as_deref(), Some(email), "what was typed is kept");
        reply.words().replace(email, "ADDRESS")
    })
    .into_iter()
    .collect();
    assert!(answers.windows(2).all(|pair| pair[0] == pair[1]), "{answers:#?}");
}

#[test]
fn s19_the_token_is_new_at_each_sign_in_and_only_its_hash_is_stored() {
    let house = TestApp::start();
    house.add_coordinator();
    let browser = house.signed_in("priya@example.org");
    let first = browser.cookie("waymark").expect("a token");
    assert_eq!(first.len(), 43, "256 bits in base64");
    browser.submit("/sign-in", "/sign-in", &[("email", "priya@example.org"), ("password", PASSWORD)]);
    let second = browser.cookie("waymark").expect("a token");
    assert_ne!(first, second);
    let hashes: Vec<Vec<u8>> = house
        .app
        .store
        .read(|conn| Ok::<_, StoreError>(sign_ins::table.select(sign_ins::token_hash).load(conn)?))
        .expect("rows");
    assert!(hashes.iter().all(|hash| hash.len() == 32 && hash != first.as_bytes()));
}

#[test]
fn s20_staff_sign_ins_end_after_thirty_idle_minutes_and_twelve_hours() {
    let house = TestApp::start();
    house.add_coordinator();
    let browser = house.signed_in("priya@example.org");
    let is_in = || browser.get("/sign-ins").status == 200;
    house.app.clock.advance(TimeDelta::minutes(30) - TimeDelta::seconds(1));
    assert!(is_in(), "one second before the idle limit");
    house.app.clock.advance(TimeDelta::minutes(30));
    assert!(!is_in(), "at the idle limit");
    let browser = house.signed_in("priya@example.org");
    let is_in = || browser.get("/sign-ins").status == 200;
    for _ in 0..28 {
        house.app.clock.advance(TimeDelta::minutes(25));
        assert!(is_in(), "used every 25 minutes");
    }
    house.app.clock.advance(TimeDelta::minutes(20) - TimeDelta::seconds(1));
    assert!(is_in(), "one second before twelve hours");
    house.app.clock.advance(TimeDelta::seconds(1));
    assert!(!is_in(), "at twelve hours");
}

#[test]
fn s22_ending_a_sign_in_on_another_device_ends_it_at_once_and_nobody_ends_another_persons() {
    let house = TestApp::start();
    house.add_coordinator();
    house.add_instructor();
    let (here, there) = (house.signed_in("priya@example.org"), house.signed_in("priya@example.org"));
    let stranger = house.signed_in("rafael@example.org");
    let listed = here.get("/sign-ins");
    let numbers: Vec<_> =
        listed.body.split("action=\"/sign-ins/").skip(1).filter_map(|rest| rest.split('/').next()).collect();
    assert_eq!(numbers.len(), 2);
    for number in &numbers {
        stranger.submit("/sign-ins", &format!("/sign-ins/{number}/end"), &[]).must_be(404);
    }
    let mine: i64 = numbers.iter().filter_map(|n| n.parse().ok()).min().expect("the older one");
    there.submit("/sign-ins", &format!("/sign-ins/{mine}/end"), &[]).must_be(303);
    assert_eq!(here.get("/sign-ins").status, 303, "the old cookie is worth nothing");
    assert_eq!(there.get("/sign-ins").status, 200);
}

#[test]
fn house_2_the_demonstrations_buttons_sign_in_as_a_role_and_no_other_program_has_them() {
    let house = TestApp::demonstration();
    house.add_coordinator();
    let browser = house.stranger();
    browser
        .get("/sign-in")
        .must_say("This is a demonstration on this machine alone.")
        .must_say("Sign in as the coordinator");
    browser.post("/sign-in/demo", &[("role", "coordinator"), ("next", "/sign-ins")]).must_be(303);
    browser.get("/sign-ins").must_be(200);
    let real = TestApp::start();
    real.add_coordinator();
    let browser = real.stranger();
    assert!(!browser.get("/sign-in").says("demonstration"));
    browser.post("/sign-in/demo", &[("role", "coordinator")]).must_be(422).must_say("only open in a demonstration");
    assert_eq!(browser.get("/sign-ins").status, 303);
}

#[test]
fn s40_signing_in_leads_only_to_pages_of_ours() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    for (next, leads_to) in [
        ("/registrations?x=1", "/registrations?x=1"),
        ("//evil.example", "/"),
        ("https://evil.example", "/"),
        ("/\\evil", "/"),
    ] {
        let fields = [("email", "ana@example.org"), ("password", PASSWORD), ("next", next)];
        let reply = house.stranger().submit("/sign-in", "/sign-in", &fields);
        assert_eq!(reply.location(), leads_to);
    }
}

/// S16: what gets somebody in is a password, a link, a code. No question, no hint, and no child's birth date.
#[test]
fn s16_no_way_into_an_account_asks_a_secret_question_or_a_birth_date() {
    let house = TestApp::start();
    house.add_coordinator();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let stranger = house.stranger();
    let halfway = house.after_password("priya@example.org");
    stranger.submit("/sign-in/link", "/sign-in/link", &[("email", "ana@example.org")]).must_be(303);
    let link = house.link_in_the_letter();
    let inside = house.signed_in("ana@example.org");
    for (browser, page, typed) in [
        (&stranger, "/sign-in", vec!["email", "password"]),
        (&stranger, "/sign-in/link", vec!["email"]),
        (&stranger, link.as_str(), vec!["then"]),
        (&halfway, "/sign-in/second-step", vec!["code", "password"]),
        (&inside, "/account/password", vec!["current", "password"]),
        (&inside, "/account/address", vec!["current", "email"]),
        (&inside, "/account/second-step", vec!["code", "password"]),
    ] {
        let read = browser.get(page);
        read.must_be(200);
        let mut asked: Vec<String> = forms(page, &read.body)
            .into_iter()
            .filter(|form| form.posts)
            .flat_map(|form| form.fields)
            .filter(|field| matches!(field.kind, Kind::Typed | Kind::Secret | Kind::Chosen) && !field.name.is_empty())
            .map(|field| field.name)
            .collect();
        asked.sort();
        assert_eq!(asked, typed, "{page}");
    }
}
