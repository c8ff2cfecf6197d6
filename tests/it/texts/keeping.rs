//! What is kept of texts: told to who they are about, removed with the rest, and in no log.

use chrono::{Datelike, TimeDelta};
use diesel::prelude::*;
use serde_json::Value;
use waymark::outside::clock::Clock;
use waymark::services::retention::remove_old;
use waymark::store::migrations::execute;
use waymark::store::schema::{guardians, texts};
use waymark::store::{AnyConn, Store, Tenancy};

use super::{BODY, SECRET, Story, house, settings, tried};
use crate::house::app::saturday;
use crate::house::gateway::{GatewayHouse, Manner};
use crate::house::program::Installed;
use crate::house::season::{add_announced, rider, with};

#[test]
fn family_8_texts_are_told_to_their_reader_and_go_when_the_family_is_deleted() {
    let gateway = GatewayHouse::opened();
    let house = house(&gateway);
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    let ingrid = house.stranger();
    ingrid.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    house.letters_out();
    ingrid.get("/account");
    ingrid.post("/account/texts", &[("texts", "on")]).must_be(303);
    house.add_coordinator();
    super::call_off(&house.signed_in("priya@example.org"), &session);
    assert_eq!(tried(&house), 1);
    ingrid.get("/account/data").must_say("Text messages 1");
    let whole: Value = serde_json::from_str(&ingrid.get("/account/data.json").body).expect("JSON");
    let text = &whole["held"]["texts"][0];
    assert_eq!((text["kind"].as_str(), text["state"].as_str()), (Some("called_off"), Some("sent")));
    assert_eq!(text["phone"], "+14065550118");
    assert!(whole["held"]["guardians"][0]["texts_agreed_at"].is_string());
    ingrid.get("/account/data");
    ingrid.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(303);
    house.at("2026-07-06T15:00:00");
    let priya = house.signed_in("priya@example.org");
    let list = priya.get("/families/deletions");
    let way = list.body.split("action=\"/families/deletions/").nth(1).and_then(|rest| rest.split('"').next());
    let wish = way.unwrap_or_else(|| panic!("no wish: {}", list.words())).to_owned();
    priya.post(&format!("/families/deletions/{wish}"), &[(&format!("spoken-{wish}"), "yes")]).must_be(303);
    let left: i64 = house.rows(|conn| texts::table.count().get_result(conn));
    let agreed: Vec<bool> = house.rows(|conn| guardians::table.select(guardians::texts_agreed_at.is_null()).load(conn));
    assert_eq!((left, agreed), (0, vec![true]));
    assert!(!house.database.holds("+14065550118"), "the telephone is gone");
}

#[test]
fn s56_texts_are_removed_with_the_people_to_call_and_kept_under_a_legal_hold() {
    let story = Story::open();
    story.call_off();
    assert_eq!(tried(&story.house), 1);
    let left = || story.house.rows(|conn| texts::table.count().get_result::<i64>(conn));
    let night = |days: i64| {
        let at = saturday() + TimeDelta::days(21 + days);
        story.house.at(&format!("{at}T09:00:00"));
        remove_old(&story.house.app).expect("the job");
    };
    let way = format!("/season/{}/hold", story.session);
    story.priya.get(&way);
    story.priya.post(&way, &[("holds", "yes"), ("note", "A fall")]).must_be(303);
    night(401);
    assert_eq!(left(), 1);
    let ana = story.house.person(waymark::domain::access::Role::Administrator);
    ana.get("/program/retention").must_say("Text messages none, and 1 kept back by a legal hold");
    let priya = story.house.signed_in("priya@example.org");
    priya.get(&way);
    priya.post(&way, &[("holds", "no"), ("note", "Closed")]).must_be(303);
    ana.get("/program/retention").must_say("Text messages 1 kept 400 days after the session");
    night(401);
    assert_eq!(left(), 0);
}

#[test]
fn s56_a_registration_that_came_to_no_seat_goes_with_its_texts() {
    let story = Story::with(GatewayHouse::opened(), 1);
    let waits = [("texts", "yes"), ("child_given", "Nina"), ("phone", "406 555 0188")];
    let nina = super::walk_up(&story.priya, &story.session, &waits);
    story.press(&story.place, "give_up").must_be(303);
    assert_eq!(tried(&story.house), 1);
    story.press(&nina, "leave").must_be(303);
    story.house.at("2026-10-10T09:00:00");
    remove_old(&story.house.app).expect("the job");
    assert_eq!(story.states(), Vec::<String>::new());
}

#[test]
fn s56_no_log_holds_the_gateways_secret_or_anybodys_telephone_or_the_words_of_a_text() {
    let gateway = GatewayHouse::opened();
    let installed = Installed::seeded();
    let own = settings(gateway.port);
    let secret = &own[2].1;
    let written = format!(
        "[log]\nfilter = \"debug\"\n[texts]\nurl = \"http://127.0.0.1:{}/send?key=canary\"\nbody = '{BODY}'\n\
         authorization_file = \"{secret}\"\nseconds = 1\n",
        gateway.port,
    );
    std::fs::write(installed.folder.join("waymark.toml"), written).expect("settings");
    let (code, out, fault) = installed.run(&["doctor"]);
    assert_eq!((code, out.contains("texts: fine")), (Some(0), true), "{out}{fault}");
    assert_eq!(gateway.got(), [], "the doctor sends nothing");
    let held_on = Clock::system().today(chrono_tz::America::Denver) + TimeDelta::days(30);
    let store = Store::open(&installed.database.url, Tenancy::Beside).expect("the store opens");
    let session = add_announced(&store, "young", 4, held_on);
    let mut running = installed.serve();
    let child = with(with(rider(), "given", "Canaryana"), "birth_year", &(held_on.year() - 8).to_string());
    running.stranger().register(&session, &child, "ingrid@example.org");
    for (status, expected) in [(202, "text sent"), (400, "text ended"), (503, "text put off")] {
        gateway.behave(Manner::Answers(status));
        store.write("owe", owe).expect("a text is owed");
        running.wait_for(expected);
    }
    gateway.behave(Manner::Drops);
    store.write("owe", owe).expect("a text is owed");
    running.wait_for("unsure");
    let (ended, log) = running.stop();
    assert_eq!(ended.code(), Some(0));
    let texts = gateway.texts();
    assert!(texts.len() >= 4 && texts.iter().all(|text| text.contains("Canaryana")), "{texts:?}");
    assert!(gateway.got().iter().all(|got| got.header("authorization") == Some(SECRET)));
    let whole = log.join("\n").to_lowercase();
    for canary in ["canary", "4065550118", "555-0118", "bearer"] {
        assert!(!whole.contains(canary), "{canary} is in the log:\n{whole}");
    }
}

/// A reminder that is owed for the only place, as the job would ask for it.
fn owe(conn: &mut AnyConn) -> Result<(), waymark::store::StoreError> {
    for sql in [
        "UPDATE texts SET state = 'moot' WHERE state = 'due'",
        "UPDATE guardians SET texts_agreed_at = '2026-06-01 12:00:00'",
        "UPDATE registrations SET state = 'confirmed'",
        "INSERT INTO texts (kind, guardian_id, phone, session_id, held_on, registration_id, language, state, tries, due_at,
             created_at)
         SELECT 'reminder', guardians.id, guardians.phone, sessions.id, sessions.held_on, registrations.id, 'en', 'due', 0,
             CURRENT_TIMESTAMP, CURRENT_TIMESTAMP
         FROM registrations JOIN sessions ON sessions.id = registrations.session_id
             JOIN guardians ON guardians.id = registrations.guardian_id",
    ] {
        execute(conn, sql)?;
    }
    Ok(())
}

#[test]
fn house_1_doctor_says_of_a_gateway_whether_anything_answers_there() {
    let mut gateway = GatewayHouse::closed();
    let installed = Installed::seeded();
    let written = format!("[texts]\nurl = \"http://127.0.0.1:{}/send\"\nbody = '{BODY}'\n", gateway.port);
    std::fs::write(installed.folder.join("waymark.toml"), written).expect("settings");
    let (code, out, fault) = installed.run(&["doctor"]);
    assert_eq!(code, Some(1));
    assert!(out.contains(&format!("texts: the gateway 127.0.0.1:{} does not answer", gateway.port)), "{out}");
    assert_eq!(fault, "waymark: 1 of 7 things need a hand\n");
    gateway.open();
    assert_eq!(installed.run(&["doctor"]).0, Some(0));
    let broken = "[texts]\nurl = \"http://gateway.example.org/\"\nbody = 'x'\n";
    std::fs::write(installed.folder.join("waymark.toml"), broken).expect("settings");
    let (code, out, fault) = installed.run(&["doctor"]);
    assert_ne!(code, Some(0), "{out}");
    assert!(fault.contains("texts.url") && fault.contains("texts.body"), "every fault at once: {fault}");
}
