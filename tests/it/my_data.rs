//! Somebody sees and takes along all that is held about them and their children, and nothing of anybody else.

use std::collections::{BTreeMap, BTreeSet};

use chrono::TimeDelta;
use diesel::prelude::*;
use serde_json::Value;
use waymark::domain::access::Role;
use waymark::store::held::{HELD, LEFT_OUT};
use waymark::store::schema::deletions;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::season::{adults, health, rider, step, with};

/// The columns of each table, as the schema declares them.
fn schema() -> BTreeMap<String, BTreeSet<String>> {
    let text =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/store/schema.rs")).expect("the schema");
    let tables = text.split("diesel::table! {").skip(1).map(|table| {
        let lines: Vec<&str> = table.lines().map(str::trim).take_while(|line| *line != "}").collect();
        let head = lines.iter().find(|line| line.ends_with('{')).expect("a head");
        let name = head.split(' ').next().expect("a name").to_owned();
        let columns = lines.iter().filter_map(|line| line.split_once(" -> ")).map(|(column, _)| column.to_owned());
        (name, columns.collect())
    });
    tables.collect()
}

#[test]
fn family_8_every_column_of_the_schema_is_told_or_left_out_for_a_reason() {
    let schema = schema();
    assert!(schema.len() > 60 && schema.values().all(|columns| !columns.is_empty()), "{}", schema.len());
    let told: BTreeMap<&str, BTreeSet<&str>> =
        HELD.iter().map(|(table, columns)| (*table, columns.iter().copied().collect())).collect();
    let left_out: BTreeSet<&str> = LEFT_OUT.iter().map(|(name, _)| *name).collect();
    assert!(LEFT_OUT.iter().all(|(_, why)| why.len() > 10));
    let mut faults = Vec::new();
    for (table, columns) in &schema {
        for column in columns {
            let is_told = told.get(table.as_str()).is_some_and(|columns| columns.contains(column.as_str()));
            let is_left = left_out.contains(table.as_str()) || left_out.contains(format!("{table}.{column}").as_str());
            if is_told == is_left {
                faults.push(format!("{table}.{column}: {}", if is_told { "told and left out" } else { "forgotten" }));
            }
        }
    }
    let is_there = |name: &str| match name.split_once('.') {
        Some((table, column)) => schema.get(table).is_some_and(|columns| columns.contains(column)),
        None => schema.contains_key(name),
    };
    faults.extend(left_out.iter().filter(|name| !is_there(name)).map(|name| format!("{name}: not in the schema")));
    assert_eq!(faults, Vec::<String>::new());
}

/// A family with a word of its own in every field that it fills in.
fn family(house: &TestApp, session: &str, mark: &str) -> Browser {
    let browser = house.stranger();
    let email = format!("{}@example.org", mark.to_lowercase());
    let own = |what: &str| format!("{mark} {what}");
    let child = with(with(rider(), "given", &own("child")), "family", &own("kin"));
    browser.answer(session, "rider", &child).must_be(303);
    let told = with(with(health(), "allergy_what", &own("allergy")), "injector_where", &own("bag"));
    let told = with(with(with(told, "more", &own("more")), "needs", &own("needs")), "keep", "yes");
    browser.answer(session, "health", &told).must_be(303);
    let mut people = adults(&email);
    for field in ["given", "family", "day_name", "first_name", "second_name", "pick_up_name", "not_release"] {
        people = with(people, field, &own(field));
    }
    let people = with(people, "day_phone", "406 555 0171");
    browser.answer(session, "adults", &people).must_be(303);
    browser.answer(session, "sizes", &crate::house::season::sizes()).must_be(303);
    let fields = browser.signed(session, &format!("{} {}", own("given"), own("family")));
    browser.sign(session, &fields).must_be(303);
    house.confirm(&email);
    browser
}

#[test]
fn family_8_the_file_holds_every_word_of_the_family_and_none_of_another() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let (ingrid, otto) = (family(&house, &session, "Larch"), family(&house, &session, "Willow"));
    for (browser, own, other) in [(&ingrid, "Larch", "Willow"), (&otto, "Willow", "Larch")] {
        let page = browser.get("/account/data");
        page.must_be(200).must_say("This is what we hold").must_say("Children 1").must_say("Health answers 1");
        let file = browser.get("/account/data.json");
        file.must_be(200);
        assert!(file.header("content-disposition").is_some_and(|sent| sent.starts_with("attachment")));
        assert!(file.header("cache-control").is_some_and(|sent| sent.contains("no-store")));
        let whole: Value = serde_json::from_str(&file.body).expect("JSON");
        let held = &whole["held"];
        for what in [
            "child",
            "kin",
            "allergy",
            "bag",
            "more",
            "needs",
            "given",
            "family",
            "day_name",
            "first_name",
            "second_name",
            "pick_up_name",
            "not_release",
        ] {
            assert!(file.body.contains(&format!("{own} {what}")), "{what}");
        }
        assert!(file.body.contains(&format!("{}@example.org", own.to_lowercase())));
        assert!(!file.body.contains(other) && !file.body.contains(&other.to_lowercase()), "nothing of the others");
        assert_eq!(held["kept_health"][0]["answers"]["allergy_what"], format!("{own} allergy"));
        assert_eq!(held["measures"][0]["weight_g"], 28_576, "63 lb");
        assert_eq!(held["consents"].as_array().map(Vec::len), Some(1));
        assert!(held["sign_ins"].as_array().is_some_and(|rows| !rows.is_empty()));
        for secret in ["token_hash", "password_hash", "report_key", "row_key"] {
            assert!(!file.body.contains(secret), "{secret}");
        }
    }
    assert_eq!(house.actions().iter().filter(|action| *action == "data.take").count(), 2);
    ingrid.follow(&ingrid.get("/account/data?lang=es")).must_say("Esto es lo que guardamos").must_say("Niños 1");
}

#[test]
fn s26_who_may_not_decide_for_a_child_any_more_takes_nothing_of_it_along() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let ingrid = family(&house, &session, "Larch");
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let child = super::adults::child_of(&ingrid).replace("/riders/", "/families/");
    let page = format!("{child}/adults/1");
    let seen = priya.get(&page).field("seen").expect("how it stands");
    priya.post(&page, &[("seen", &seen), ("state", "restricted"), ("note", "Order of the court, June 9")]).must_be(303);
    let file = ingrid.get("/account/data.json");
    for gone in ["Larch child", "Larch allergy", "Larch first_name", "Order of the court"] {
        assert!(!file.body.contains(gone), "{gone}");
    }
    assert!(file.body.contains("Larch given"), "what is about the adult stays");
    ingrid.get(&step(&session, "rider")).must_be(200);
}

#[test]
fn family_8_staff_take_their_own_papers_along_and_strangers_nothing() {
    let house = TestApp::start();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    priya.get("/account/data").must_say("You on the staff 1");
    let whole: Value = serde_json::from_str(&priya.get("/account/data.json").body).expect("JSON");
    assert_eq!(whole["held"]["staff"].as_array().map(Vec::len), Some(1));
    assert_eq!(whole["held"]["riders"].as_array().map(Vec::len), Some(0));
    let stranger = house.stranger();
    for way in ["/account/data", "/account/data.json"] {
        let answered = stranger.get(way);
        assert!(answered.status == 303 && answered.location().starts_with("/sign-in"), "{way}: {}", answered.status);
    }
}

/// Every plain word of the family, in any table.
fn words_left(house: &TestApp, mark: &str) -> Vec<String> {
    let own = ["child", "kin", "given", "family", "day_name", "first_name", "pick_up_name", "not_release"];
    own.iter().map(|what| format!("{mark} {what}")).filter(|word| house.database.holds(word)).collect()
}

#[test]
fn family_8_a_family_asks_for_deletion_and_the_office_deletes_what_may_go() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let (larch, willow) = (family(&house, &session, "Larch"), family(&house, &session, "Willow"));
    larch.get("/account/data").must_say("Have it deleted");
    let unsure = larch.post("/account/data/delete", &[("wants", "yes")]);
    unsure.must_be(422).must_say("Tick that you want it deleted").must_say("Error:");
    larch.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(303);
    larch.get("/account/data").must_say("You asked for deletion on").must_say("Keep my data");
    larch.post("/account/data/delete", &[("wants", "no")]).must_be(303);
    larch.get("/account/data").must_say("Have it deleted");
    larch.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(303);
    larch.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(303);

    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    priya.get("/").must_say("One family asks");
    let list = priya.get("/families/deletions");
    list.must_say("Larch given Larch family").must_say("A place of Larch child Larch kin at Alder Flat");
    assert!(!list.body.contains("action=\"/families/deletions/"), "first the place is given up");
    assert_eq!(list.body.matches("id=\"wish-").count(), 1, "one wish, however often it was pressed");
    let receipt = larch.get("/riders");
    let receipt = receipt.body.split("href=\"/registrations/").nth(1).and_then(|rest| rest.split('"').next());
    let give_up = format!("/registrations/{}/give-up", receipt.expect("a receipt"));
    larch.get(&give_up);
    larch.post(&give_up, &[("sure", "yes")]).must_be(303);
    let list = priya.get("/families/deletions");
    let way = list.body.split("action=\"/families/deletions/").nth(1).and_then(|rest| rest.split('"').next());
    let way = format!("/families/deletions/{}", way.expect("a wish"));
    let tick = format!("spoken-{}", way.trim_start_matches("/families/deletions/"));
    priya.post(&way, &[]).must_be(422).must_say("Speak with the family first").must_say("Error:");
    priya.post(&way, &[(&tick, "yes")]).must_be(303);

    assert_eq!(larch.get("/account/data").status, 303, "signed out");
    assert_eq!(words_left(&house, "Larch"), Vec::<String>::new(), "nothing was signed for a seat that was used");
    assert!(!house.database.holds("larch@example.org"));
    assert_eq!(words_left(&house, "Willow").len(), 8, "another family keeps everything");
    willow.get("/account/data").must_say("Children 1");
    priya.post(&way, &[(&tick, "yes")]).must_be(404);
    priya.get("/families/deletions").must_say("No family asks for it.");
    // The address is free: the family may come back as a new one.
    family(&house, &session, "Larch").get("/account/data").must_say("Children 1");
}

#[test]
fn family_8_nothing_of_a_session_under_a_legal_hold_is_deleted() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let larch = family(&house, &session, "Larch");
    larch.get("/account/data");
    larch.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(303);
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let hold = format!("/season/{session}/hold");
    priya.get(&hold);
    priya.post(&hold, &[("holds", "yes"), ("note", "A fall")]).must_be(303);
    let list = priya.get("/families/deletions");
    list.must_say("A legal hold at Alder Flat");
    assert!(!list.body.contains("action=\"/families/deletions/"));
    // The button of a page of before.
    let wish: String = house.rows(|conn| deletions::table.select(deletions::reference).first(conn));
    priya.post(&format!("/families/deletions/{wish}"), &[]).must_be(409).must_say("Something stands in the way now.");
    assert_eq!(words_left(&house, "Larch").len(), 8);
    larch.get("/account/data.json").must_be(200);
}

#[test]
fn s30_an_adult_who_must_not_take_a_child_home_keeps_the_name_by_which_the_field_knows_them() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let larch = family(&house, &session, "Larch");
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let child = super::adults::child_of(&larch).replace("/riders/", "/families/");
    let page = format!("{child}/adults/1");
    let seen = priya.get(&page).field("seen").expect("how it stands");
    priya.post(&page, &[("seen", &seen), ("state", "restricted"), ("note", "Order of the court, June 9")]).must_be(303);
    larch.get("/account/data");
    larch.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(303);
    let wish: String = house.rows(|conn| deletions::table.select(deletions::reference).first(conn));
    priya.get("/families/deletions");
    priya.post(&format!("/families/deletions/{wish}"), &[(&format!("spoken-{wish}"), "yes")]).must_be(303);
    priya.get(&child).must_say("Larch given Larch family").must_say("the child is not released to this adult");
    assert_eq!(words_left(&house, "Larch").len(), 8, "the child and its place stay");
    assert!(!house.database.holds("larch@example.org"));
}

#[test]
fn s25_only_the_office_deletes_and_only_families_ask() {
    let house = TestApp::start();
    for role in [Role::FirstAid, Role::Helper, Role::GrantManager, Role::Guardian] {
        let browser = house.person(role);
        browser.get("/");
        browser.get("/families/deletions").must_be(403);
        browser.post("/families/deletions/x", &[]).must_be(403);
    }
    let hal = house.person(Role::Instructor);
    assert!(!hal.get("/account/data").says("Have it deleted"));
    hal.post("/account/data/delete", &[("wants", "yes"), ("sure", "yes")]).must_be(403);
}
