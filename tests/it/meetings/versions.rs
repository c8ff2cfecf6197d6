//! A session keeps the rules and texts that it was held under, also after they change; a new one uses the new ones.

use chrono::NaiveDate;
use waymark::domain::words::Lang;
use waymark::store::StoreError;
use waymark::store::connection::AnyConn;
use waymark::store::consents::{NewConsentText, add_consent_text, find_newest_consent_text};
use waymark::store::rulebooks::{add_rulebook, find_rulebook, find_rulebook_on};

use crate::house::app::{TestApp, saturday, story_begins};
use crate::house::season::{rider, with};

/// A new version of a rulebook from a day on: the present one with some words changed.
fn new_version(house: &TestApp, kind: &'static str, starts_on: NaiveDate, words: (&'static str, &'static str)) {
    let add = move |conn: &mut AnyConn| {
        let present = find_rulebook_on(conn, kind, saturday())?.expect("a version that holds");
        let body = find_rulebook(conn, present)?;
        assert!(body.contains(words.0), "{kind} says {}", words.0);
        add_rulebook(conn, kind, 2, starts_on, &body.replace(words.0, words.1), story_begins())?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("new version", add).expect("a version");
}

/// A new version of the consent to ride, approved.
fn new_consent(house: &TestApp, words: (&'static str, &'static str)) {
    let add = move |conn: &mut AnyConn| {
        let old = find_newest_consent_text(conn, "ride", Lang::En)?.expect("a text");
        assert!(old.body.contains(words.0));
        let new = NewConsentText {
            kind: old.kind,
            version: old.version + 1,
            language: old.language,
            body: old.body.replace(words.0, words.1).replace("\"version\":1", "\"version\":2"),
            shown_hash: "f".repeat(64),
            sample: old.sample,
            approved_by: old.approved_by,
            approved_on: old.approved_on,
        };
        add_consent_text(conn, &new)
    };
    house.app.store.write("new consent", add).expect("a text");
}

#[test]
fn saturday_1_a_session_keeps_its_curriculum_fit_rules_and_cautions_after_they_change_and_a_new_one_has_the_new() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    let pages = ["/lessons/1", &format!("/riders/{}/fit/4", field.zoe)];
    let before: Vec<String> = pages.iter().map(|page| field.lead.get(&field.at(page)).words()).collect();
    let page = house.stranger().get(&format!("/sessions/{}", field.session)).words();

    let later = saturday() + chrono::Days::new(7);
    new_version(&house, "curriculum", later, ("Rider and machine match", "Rider meets machine"));
    new_version(&house, "fit", later, ("Both feet on the rests", "Both feet flat on the rests"));
    new_version(&house, "cautions", later, ("nobody under 16 rides an ATV", "no child under 16 rides an ATV"));
    let after: Vec<String> = pages.iter().map(|page| field.lead.get(&field.at(page)).words()).collect();
    assert_eq!(before, after, "the old session's lesson and fit pages");
    assert_eq!(house.stranger().get(&format!("/sessions/{}", field.session)).words(), page);

    // The day before the new version starts still has the old; the day itself has the new.
    for (held_on, title, caution) in [
        (later.pred_opt().expect("a day"), "Rider and machine match", "nobody under 16 rides an ATV"),
        (later, "Rider meets machine", "no child under 16 rides an ATV"),
    ] {
        let session = house.add_session("young", 4, held_on);
        house.put_on(
            &session,
            house.add_member(
                &format!("{held_on}@example.org"),
                "Bram",
                "Ward",
                &[waymark::domain::access::Role::Instructor],
            ),
            waymark::domain::access::Duty::Lead,
        );
        let lead = house.signed_in(&format!("{held_on}@example.org"));
        lead.get(&format!("/roster/{session}/lessons/1")).must_be(200).must_say(title);
        house.stranger().get(&format!("/sessions/{session}")).must_say(caution);
    }
}

#[test]
fn saturday_1_a_certificate_and_the_report_stay_as_they_were_given_when_the_curriculum_changes() {
    let house = TestApp::start();
    let rafael = house.add_instructor();
    house.add_coordinator();
    let held = house.add_held_session(rafael, "30063", saturday());
    let guardian = house.add_guardian("ana@example.org", "Ana", "Moreau");
    let child = house.add_child(guardian, ("Ada", "Moreau"), (2014, 5, 4), "30049");
    let seat = held.seat(child, guardian, Lang::En);
    held.completed(&seat);
    house.app.clock.set("2026-06-13T22:00:00".parse().expect("an instant"));
    let lead = house.signed_in("rafael@example.org");
    let priya = house.signed_in("priya@example.org");
    lead.submit(&held.closing(), &held.closing(), &[]).must_be(303);
    let closing = lead.get(&held.closing());
    let code = closing.body.split("/certificates/").nth(1).and_then(|rest| rest.split('/').next()).expect("a code");
    let paper = || lead.get(&format!("/certificates/{code}/paper.pdf")).bytes;
    let report = || priya.get("/reports").words();
    let (first_paper, first_report, check) = (paper(), report(), lead.get(&format!("/c/{code}")).words());
    assert!(first_paper.starts_with(b"%PDF"));

    let later = saturday() + chrono::Days::new(1);
    new_version(&house, "curriculum", later, ("Rider and machine match", "Rider meets machine"));
    new_version(&house, "cautions", later, ("nobody under 16 rides an ATV", "no child under 16 rides an ATV"));
    assert_eq!(paper(), first_paper, "the same bytes");
    assert_eq!((report(), lead.get(&format!("/c/{code}")).words()), (first_report, check));
    assert_eq!(lead.get(&held.closing()).words(), closing.words());
}

#[test]
fn saturday_1_a_consent_that_was_signed_shows_exactly_its_text_and_the_next_family_signs_the_new_one() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let family = house.stranger();
    let receipt = family.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let copy = format!("{receipt}/consent");
    let first = family.get(&copy);
    first
        .must_be(200)
        .must_say("Ingrid Lindqvist")
        .must_say("Version 1")
        .must_say("I know that riding can do serious harm.");
    first.must_say(&crate::meetings::shown_hash("ride.en"));

    new_consent(&house, ("I know that riding can do serious harm.", "I understand that riding can hurt my child."));
    let text = |page: &crate::house::browser::Answered| {
        let words = page.words();
        words[words.find("Consent and release").expect("the text")..].to_owned()
    };
    assert_eq!(text(&family.get(&copy)), text(&first), "the copy of what was signed");
    let next = house.stranger();
    let receipt = next.register(&session, &with(rider(), "given", "Ada"), "other@example.org");
    house.confirm("other@example.org");
    let second = next.get(&format!("{receipt}/consent"));
    second.must_say("I understand that riding can hurt my child.").must_say("Version 2");
    assert!(!second.says("I know that riding can do serious harm."));
    // What one family signed is nothing for another.
    next.get(&copy).must_be(404);
    let spanish = house.stranger().speaking("es");
    let receipt = spanish.register(&session, &with(rider(), "given", "Inés"), "ines@example.org");
    house.confirm("ines@example.org");
    spanish.get(&format!("{receipt}/consent")).must_say("Lo que usted firmó").must_say("Versión 1");
}

/// Born on 29 February: a state statute counts 1 March in common years, other places 28 February (bar R36).
#[test]
fn r36_a_leap_day_child_is_old_enough_on_the_day_that_the_programs_setting_names() {
    for (rule, on_the_28th, on_the_1st) in [("first_of_march", 303, 422), ("last_of_february", 422, 422)] {
        let house = TestApp::start();
        let set = move |conn: &mut AnyConn| {
            let sql = format!("UPDATE programs SET settings = replace(settings, '\"first_of_march\"', '\"{rule}\"')");
            waymark::store::migrations::execute(conn, &sql)
        };
        house.app.store.write("set the rule", set).expect("a setting");
        house.app.clock.set("2026-02-01T15:00:00".parse().expect("an instant"));
        // The course for the young ends with nine years; this child becomes ten in 2026.
        for ((month, day), status) in [((2, 28), on_the_28th), ((3, 1), on_the_1st)] {
            let held_on = NaiveDate::from_ymd_opt(2026, month, day).expect("a day");
            let session = house.add_session("young", 4, held_on);
            let mut leap = with(rider(), "birth_month", "2");
            leap = with(with(leap, "birth_day", "29"), "birth_year", "2016");
            let answered = house.stranger().answer(&session, "rider", &leap);
            answered.must_be(status);
            let older = house.add_session("older", 4, held_on);
            let other = if status == 303 { 422 } else { 303 };
            house.stranger().answer(&older, "rider", &leap).must_be(other);
        }
    }
}
