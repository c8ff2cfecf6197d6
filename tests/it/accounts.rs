//! Helping people into their accounts: what an administrator may do to another person's account, and what only two may.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::services::add_staff::first_link;
use waymark::store::StoreError;
use waymark::store::accounts::add_role;
use waymark::store::schema::{account_roles, accounts, audit_rows};
use waymark::web::routes::{LINES, Verb};

use crate::house::app::TestApp;
use crate::house::browser::Browser;
use crate::house::letters::AppKey;
use crate::house::people::PASSWORD;

fn administrator(house: &TestApp, name: &str) -> Browser {
    let email = format!("{name}@example.org");
    house.add_person(&email, name, "", &[Role::Administrator]);
    house.signed_in(&email)
}

/// Finds an account as an administrator does, and gives its page's address.
#[track_caller]
fn found(browser: &Browser, email: &str) -> String {
    browser.submit("/accounts", "/accounts", &[("email", email)]).location().to_owned()
}

/// Sets up a second step for somebody, in the way that they do.
fn sets_up(house: &TestApp, email: &str) -> (Browser, AppKey) {
    let browser = house.after_password(email);
    let page = browser.get("/sign-in/second-step");
    let (key, drawn) = (AppKey::on(&page), page.field("drawn").expect("drawn"));
    browser.post("/sign-in/second-step", &[("drawn", &drawn), ("code", &key.code_at(house))]).must_be(303);
    (browser, key)
}

#[test]
fn s17_an_administrator_starts_a_reset_and_never_sees_or_sets_a_password() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let ida = administrator(&house, "ida");
    let reply = ida.submit("/accounts", "/accounts", &[("email", "nobody@example.org")]);
    reply.must_be(422).must_say("No account has this address");
    assert_eq!(reply.field("email").as_deref(), Some("nobody@example.org"));
    let page = found(&ida, "Ana@example.org");
    assert!(!page.contains("ana"), "no address of a person stands in the address of a page: {page}");
    let shown = ida.get(&page);
    shown.must_be(200).must_say("Ana Ruiz").must_say("ana@example.org");
    assert!(!shown.body.contains("type=\"password\"") && !shown.body.contains("argon2"));
    ida.post(&format!("{page}/link"), &[]).must_be(303);
    let link = house.link_in_the_letter();
    let ana = house.stranger();
    ana.submit(&link, &link, &[("then", "password")]).must_be(303);
    let fields = [("password", "five wet stones in a row")];
    ana.submit("/account/password", "/account/password", &fields).must_be(303);
    // Every form that takes a password is the person's own, or makes an account.
    let administrators: Vec<&str> = LINES
        .iter()
        .filter(|line| line.verb == Verb::Post && line.path.starts_with("/accounts"))
        .map(|line| line.path)
        .collect();
    assert_eq!(administrators, ["/accounts", "/accounts/{account}", "/accounts/{account}/link"]);
    for fields in [[("deed", "set_password"), ("password", PASSWORD)], [("deed", ""), ("password_hash", "x")]] {
        ida.submit(&page, &page, &fields).must_be(400);
    }
}

#[test]
fn s17_a_lost_second_step_is_taken_away_by_two_administrators_together() {
    let house = TestApp::start();
    house.add_instructor();
    let (rafael, _) = sets_up(&house, "rafael@example.org");
    house.letters_out();
    let (ida, otis) = (administrator(&house, "ida"), administrator(&house, "otis"));
    let page = found(&ida, "rafael@example.org");
    let lose = [("deed", "lose_second_step")];
    ida.submit(&page, &page, &lose).must_be(303);
    let told = ida.get(&page);
    told.must_say("ida told that both are lost");
    assert!(!told.says("I spoke to them and agree"), "who asked is not offered to agree");
    ida.submit(&page, &page, &lose).must_be(422).must_say("Another administrator has to agree");
    rafael.get("/my-sessions").must_be(200);
    house.app.clock.advance(TimeDelta::hours(24));
    let otis_late = house.signed_in("otis@example.org");
    otis_late.get(&page).must_say("one tells, another agrees within a day");
    otis_late.submit(&page, &page, &lose).must_be(303);
    house.signed_in("ida@example.org").submit(&page, &page, &lose).must_be(303);
    drop(otis);
    let letters = house.letters_out();
    assert_eq!(letters.iter().map(|(kind, _)| kind.as_str()).collect::<Vec<_>>(), ["second_step_off"]);
    let again = house.stranger();
    let fields = [("email", "rafael@example.org"), ("password", PASSWORD)];
    let reply = again.submit("/sign-in", "/sign-in", &fields);
    assert_eq!(reply.location(), "/sign-in/second-step?next=/", "the password alone still opens nothing");
    let actions: Vec<String> = house
        .app
        .store
        .read(|conn| {
            Ok::<_, StoreError>(audit_rows::table.select(audit_rows::action).order(audit_rows::id).load(conn)?)
        })
        .expect("the log");
    for action in ["second_step.lose", "second_step.agree_lost"] {
        assert!(actions.iter().any(|found| found == action), "{action} is not in the log: {actions:?}");
    }
}

#[test]
fn s17_nobody_agrees_to_the_loss_of_their_own_second_step() {
    let house = TestApp::start();
    let ida = administrator(&house, "ida");
    house.add_person("otis@example.org", "otis", "", &[Role::Administrator]);
    let (otis, _) = sets_up(&house, "otis@example.org");
    let page = found(&ida, "otis@example.org");
    ida.submit(&page, &page, &[("deed", "lose_second_step")]).must_be(303);
    otis.get(&page).must_say("Your own account is changed here");
    otis.submit("/account", &page, &[("deed", "lose_second_step")]).must_be(422);
}

#[test]
fn s21_s22_an_administrator_ends_sign_ins_and_shuts_an_account_from_the_next_request_on() {
    let house = TestApp::start();
    house.add_coordinator();
    let (here, there) = (house.signed_in("priya@example.org"), house.signed_in("priya@example.org"));
    let ida = administrator(&house, "ida");
    let page = found(&ida, "priya@example.org");
    ida.get(&page).must_say("coordinator");
    ida.submit(&page, &page, &[("deed", "end_sign_ins")]).must_be(303);
    for browser in [&here, &there] {
        assert!(browser.get("/season").location().starts_with("/sign-in"));
    }
    let here = house.signed_in("priya@example.org");
    let old = here.copy();
    here.submit("/account", "/sign-out", &[]).must_be(303);
    assert!(old.get("/season").location().starts_with("/sign-in"), "an old cookie after signing out");
    let here = house.signed_in("priya@example.org");
    ida.submit(&page, &page, &[("deed", "shut")]).must_be(303);
    assert!(here.get("/season").location().starts_with("/sign-in"));
    ida.get(&page).must_say("This account is shut");
    let fields = [("email", "priya@example.org"), ("password", PASSWORD)];
    house.stranger().submit("/sign-in", "/sign-in", &fields).must_be(422);
    ida.submit(&page, &page, &[("deed", "open")]).must_be(303);
    house.signed_in("priya@example.org").get("/season").must_be(200);
    // A role that is taken away opens nothing from the next request on.
    let here = house.signed_in("priya@example.org");
    here.get("/season").must_be(200);
    let without = |conn: &mut waymark::store::AnyConn| {
        diesel::delete(account_roles::table.filter(account_roles::role.eq(Role::Coordinator))).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("role", without).expect("the role is gone");
    here.get("/season").must_be(403);
}

#[test]
fn s17_the_last_administrator_is_not_shut_out_and_nobody_else_sees_the_pages() {
    let house = TestApp::start();
    let ida = administrator(&house, "ida");
    let page = found(&ida, "ida@example.org");
    ida.submit("/account", &page, &[("deed", "shut")])
        .must_be(422)
        .must_say("the only open account of an administrator");
    ida.get(&page).must_be(200);
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    for path in ["/accounts", page.as_str()] {
        priya.get(path).must_be(403);
    }
    priya.submit("/account", &page, &[("deed", "shut")]).must_be(403);
    assert!(!priya.get("/people").says("Find the account"));
    ida.get("/people").must_say("Find the account");
    ida.get("/accounts/2345bcdfghjkm").must_be(404);
}

#[test]
fn s10_a_fresh_installation_has_no_account_and_its_first_one_is_made_once_with_a_link() {
    let house = TestApp::start();
    let count = || {
        let read =
            |conn: &mut waymark::store::AnyConn| Ok::<i64, StoreError>(accounts::table.count().get_result(conn)?);
        house.app.store.read(read).expect("a count")
    };
    assert_eq!(count(), 0);
    // Pairs that every scanner tries first; common practice, no source.
    for (email, password) in [
        ("admin@example.org", "admin"),
        ("admin", "admin"),
        ("admin", "password"),
        ("root", "root"),
        ("administrator@localhost", "changeme"),
        ("waymark@example.org", "waymark"),
        ("demo@example.org", "demo"),
        ("office@example.org", "12345678"),
    ] {
        let fields = [("email", email), ("password", password)];
        house.stranger().submit("/sign-in", "/sign-in", &fields).must_be(422);
    }
    let way = |whole: &str| format!("/first-account/{}", whole.split("/first-account/").nth(1).expect("a token"));
    let old = way(&first_link(&house.app).expect("a link"));
    let link = way(&first_link(&house.app).expect("a newer one"));
    house.stranger().get(&old).must_be(410).must_say("waymark staff first");
    let browser = house.stranger();
    browser.get(&link).must_be(200).must_say("The first administrator");
    let fields = |password: &'static str| {
        [
            ("given", "Ida"),
            ("family", "Brandt"),
            ("email", "ida@example.org"),
            ("phone", "406-555-0142"),
            ("password", password),
        ]
    };
    let again = browser.post(&link, &fields("too brief"));
    again.must_be(422).must_say("Write at least 12 characters");
    assert_eq!(again.field("email").as_deref(), Some("ida@example.org"), "what was typed is kept");
    let mut taken = fields(PASSWORD);
    taken[2].1 = "ana@example.org";
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    browser.post(&link, &taken).must_be(422).must_say("an account with this address exists already");
    let reply = browser.post(&link, &fields(PASSWORD));
    assert_eq!(reply.location(), "/sign-in/second-step?next=/program");
    browser.follow(&reply).must_be(200).must_say("Set up your second step");
    assert!(browser.get("/program").location().starts_with("/sign-in?next="), "not before the second step");
    let thief = house.stranger();
    thief.get(&link).must_be(410);
    thief.submit("/sign-in", &link, &fields(PASSWORD)).must_be(410);
    assert_eq!(count(), 2, "the family's and the administrator's");
    assert!(first_link(&house.app).is_err(), "there is an administrator now");
    let as_letter = format!("/links/{}", link.trim_start_matches("/first-account/"));
    house.stranger().get(&as_letter).must_be(410);
}

#[test]
fn s11_a_lent_role_does_not_let_a_family_login_grow_into_the_staff() {
    let house = TestApp::start();
    house.add_guardian("ana@example.org", "Ana", "Ruiz");
    let ana = house.after_password("ana@example.org");
    ana.get("/registrations").must_be(200);
    let lend = |conn: &mut waymark::store::AnyConn| {
        let id = accounts::table.select(accounts::id).first(conn)?;
        add_role(conn, id, Role::Administrator)
    };
    house.app.store.write("lend", lend).expect("the role");
    assert_eq!(ana.get("/program").status, 303, "a login without a second step opens nothing of the staff");
}
