//! The consent texts: registration opens only when each text is approved in its language, new words are a new version, and
//! whoever has not signed yet is asked under the new one.

mod family;

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::schema::{audit_rows, consent_texts, consents};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{rider, step};

const APPROVAL: [(&str, &str); 4] =
    [("by", "Imogen Adeyemi, attorney"), ("on_month", "6"), ("on_day", "9"), ("on_year", "2026")];

fn text(kind: &str, version: u32, language: &str) -> String {
    format!("/consents/{kind}/versions/{version}/{language}")
}

fn approve(ana: &Browser, kind: &str, version: u32, language: &str) -> Answered {
    let path = text(kind, version, language);
    ana.submit(&path, &path, &APPROVAL)
}

/// The first step of a family, as far as it is let in.
fn first_step(house: &TestApp, session: &str, language: &'static str) -> Answered {
    house.stranger().speaking(language).get(&step(session, "rider"))
}

/// A new version of the consent to ride whose summary says these words.
fn new_version(ana: &Browser, english: &str, spanish: &str) -> Answered {
    ana.submit("/consents", "/consents/ride/draft", &[]).must_be(303);
    let part = "/consents/ride/draft/settings/summary";
    let revision = ana.get(part).field("revision").expect("a revision");
    ana.post(part, &[("revision", &revision), ("value_en", english), ("value_es", spanish)]).must_be(303);
    let revision = ana.get("/consents/ride/draft").field("revision").expect("a revision");
    ana.post("/consents/ride/draft/publish", &[("revision", &revision)])
}

#[test]
fn saturday_2_outside_a_demonstration_registration_opens_text_by_text_as_each_is_approved() {
    let house = TestApp::without_approval();
    let session = house.add_session("young", 6, saturday());
    let ana = house.person(Role::Administrator);
    ana.get("/consents").must_say("Registration is closed in English").must_say("nobody yet").must_say("sample");
    for language in ["en", "es"] {
        first_step(&house, &session, language).must_be(422);
    }
    first_step(&house, &session, "en").must_say("Registration is not open yet.");
    assert_eq!(approve(&ana, "ride", 1, "en").location(), "/consents");
    ana.get("/consents")
        .must_say("Registration is open in English")
        .must_say("Registration is closed in Spanish")
        .must_say("Imogen Adeyemi, attorney June 9, 2026");
    first_step(&house, &session, "en").must_be(200);
    first_step(&house, &session, "es").must_be(422);
    approve(&ana, "ride", 1, "es").must_be(303);
    first_step(&house, &session, "es").must_be(200);
    approve(&ana, "photo", 1, "en").must_be(303);
    house.stranger().register(&session, &rider(), "ingrid@example.org");
    ana.get(&text("ride", 1, "en")).must_say("Signed 1 time.");
}

#[test]
fn saturday_2_in_a_demonstration_registration_is_open_without_an_approval() {
    let house = TestApp::demonstration();
    let session = house.add_session("young", 6, saturday());
    let forget = |conn: &mut waymark::store::AnyConn| {
        let nobody =
            (consent_texts::approved_by.eq(None::<String>), consent_texts::approved_on.eq(None::<chrono::NaiveDate>));
        diesel::update(consent_texts::table).set(nobody).execute(conn).map_err(waymark::store::StoreError::from)
    };
    house.app.store.write("forget approvals", forget).expect("no approval");
    first_step(&house, &session, "en").must_be(200);
    let ana = house.person(Role::Administrator);
    ana.get("/consents").must_say("In a demonstration families sign without approval");
}

#[test]
fn saturday_2_an_approval_names_who_and_when_and_is_entered_once() {
    let house = TestApp::without_approval();
    let ana = house.person(Role::Administrator);
    let path = text("ride", 1, "en");
    for (field, typed, words) in [
        ("by", "", "Write who approved it"),
        ("by", "a\u{202E}b", "who approved it"),
        ("on_day", "", "Write the day"),
        ("on_day", "31", "There is no such day"),
        ("on_year", "2027", "has not come yet"),
    ] {
        let mut fields = APPROVAL.to_vec();
        fields.retain(|(name, _)| *name != field);
        fields.push((field, typed));
        let again = ana.submit(&path, &path, &fields);
        again.must_be(422).must_say(words);
        if field != "by" {
            assert_eq!(again.field("by").as_deref(), Some("Imogen Adeyemi, attorney"));
        }
    }
    approve(&ana, "ride", 1, "en").must_be(303);
    ana.post(&path, &APPROVAL).must_be(409).must_say("Somebody has entered an approval of this text already.");
    let rows: Vec<(String, String)> = house.rows(|conn| {
        let approvals = audit_rows::table.filter(audit_rows::action.eq("consent.approve"));
        approvals.select((audit_rows::subject, audit_rows::detail)).load(conn)
    });
    assert_eq!(rows, [("consent ride version 1 en".to_owned(), "on 2026-06-09".to_owned())]);
    for path in ["/consents/ride/versions/7/en", "/consents/ride/versions/1/fr", "/consents/moon/versions/1/en"] {
        assert_eq!(ana.get(path).status, 404, "{path}");
    }
    assert_eq!(house.person(Role::Coordinator).get("/consents").status, 403);
}

#[test]
fn saturday_2_new_words_wait_for_their_approval_and_then_ask_whoever_has_not_signed_yet() {
    let house = TestApp::start();
    let session = house.add_session("young", 6, saturday());
    let signed_before = house.stranger();
    signed_before.register(&session, &rider(), "ingrid@example.org");
    let half_way = house.stranger();
    half_way.answer_all(&session, &rider(), "signe@example.org");
    let form = half_way.signed(&session, "Ingrid Lindqvist");

    let ana = house.person(Role::Administrator);
    assert_eq!(
        new_version(&ana, "Riding can kill. You decide.", "Manejar puede matar. Usted decide.").location(),
        text("ride", 2, "en")
    );
    ana.get("/consents")
        .must_say("Version 2, English waits for approval")
        .must_say("Version 1, English sample families sign it");
    // Not approved: families go on signing the text that is.
    assert!(!half_way.get(&step(&session, "check")).says("Riding can kill. You decide."));
    approve(&ana, "ride", 2, "en").must_be(303);
    ana.get("/consents")
        .must_say("Version 1, English sample no longer used")
        .must_say("Version 2, Spanish waits for approval");

    let asked = half_way.sign(&session, &form);
    asked.must_be(409).must_say("The consent text changed while you were reading.");
    let again = half_way.get(&step(&session, "check"));
    again.must_be(200).must_say("Riding can kill. You decide.");
    let form = half_way.signed(&session, "Ingrid Lindqvist");
    half_way.sign(&session, &form).must_be(303);
    // Each signature keeps the text that was read; the first one stands as it was.
    let versions: Vec<(i64, String, String)> = house.rows(|conn| {
        consents::table
            .inner_join(consent_texts::table.on(consent_texts::id.eq(consents::text_id)))
            .filter(consent_texts::kind.eq("ride"))
            .order(consents::id)
            .select((consent_texts::version, consents::shown_hash, consent_texts::shown_hash))
            .load(conn)
    });
    assert_eq!(versions.iter().map(|(version, ..)| *version).collect::<Vec<_>>(), [1, 2]);
    assert!(versions.iter().all(|(_, signed, text)| signed == text));
    // Spanish families sign the approved text of their own language still.
    first_step(&house, &session, "es").must_be(200);
}

#[test]
fn saturday_2_a_clause_is_added_and_taken_out_and_an_empty_one_holds_the_version_back() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    ana.submit("/consents", "/consents/ride/draft", &[]).must_be(303);
    let draft = "/consents/ride/draft";
    let revision = || ana.get(draft).field("revision").expect("a revision");
    let added = ana.post("/consents/ride/draft/clauses", &[("revision", &revision()), ("do", "add")]);
    let clause = added.location().to_owned();
    assert_eq!(clause, "/consents/ride/draft/settings/clause.own_1");
    ana.get(draft).must_say("Write the words of the empty part, in both languages");
    ana.post("/consents/ride/draft/publish", &[("revision", &revision())]).must_be(422).must_say("Still missing");
    let words = [("value_en", "My child brings water."), ("value_es", "")];
    let mut fields = vec![("revision", "x")];
    fields.extend(words);
    let now = revision();
    fields[0] = ("revision", &now);
    ana.post(&clause, &fields).must_be(422).must_say("Write the Spanish words").must_say("My child brings water.");
    fields[2] = ("value_es", "Mi hijo lleva agua.");
    ana.post(&clause, &fields).must_be(303);
    let stale = ana.post(&clause, &fields);
    stale.must_be(409).must_say("This was changed in another window").must_say("Mi hijo lleva agua.");
    let now = revision();
    ana.post("/consents/ride/draft/clauses", &[("revision", &now), ("do", "remove"), ("clause", "clause.release")])
        .must_be(303);
    assert!(!ana.get(draft).says("I give up claims"));
    ana.post("/consents/ride/draft/undo", &[("revision", &revision())]).must_be(303);
    ana.get(draft).must_say("I give up claims");
    ana.post("/consents/ride/draft/publish", &[("revision", &revision())]).must_be(303);
    ana.get(&text("ride", 2, "es"))
        .must_be(200)
        .must_say("Mi hijo lleva agua.")
        .must_say("Nobody has approved it yet.");
    assert_eq!(ana.get(draft).status, 404);
}
