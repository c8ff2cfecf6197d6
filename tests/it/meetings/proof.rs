//! Proof of an earlier part: the course asks, the family answers, staff look at it, and nobody starts without it.

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::season::{rider, step};
use crate::meetings::field::count_of;

fn ask_for(house: &TestApp, rule: &str) -> Browser {
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let fields = [("rule", rule), ("proof_en", "the online part"), ("proof_es", "la parte en línea")];
    priya.submit("/courses/young", "/courses/young", &fields).must_be(303);
    priya
}

/// The fields of the check page with an answer about the earlier part.
fn answered(family: &Browser, session: &str, answer: &str) -> Vec<(String, String)> {
    let mut fields = family.signed(session, "Ingrid Lindqvist");
    fields.push(("proof".into(), answer.into()));
    fields
}

#[test]
fn saturday_1_a_course_asks_for_an_earlier_part_in_both_languages_and_the_form_comes_back_when_a_title_is_missing() {
    let house = TestApp::start();
    let priya = ask_for(&house, "needed");
    priya.get("/courses").must_say("Needs proof of: the online part. Nobody starts without it.");
    let again = priya.submit("/courses/young", "/courses/young", &[("rule", "asked"), ("proof_en", "Part one")]);
    again.must_be(422).must_say("Write what the part is called in Spanish");
    assert_eq!(again.field("proof_en").as_deref(), Some("Part one"));
    priya.submit("/courses/young", "/courses/young", &[("rule", "always")]).must_be(422);
    priya.get("/courses/nothing").must_be(404);
    assert_eq!(count_of(&house, "course.proof"), 1);

    let session = house.add_session("young", 4, saturday());
    let page = house.stranger().get(&format!("/sessions/{session}"));
    page.must_say("Before the session the online part. Your child cannot start before staff have seen the proof.");
    house
        .stranger()
        .speaking("es")
        .get(&format!("/sessions/{session}"))
        .must_say("Antes de la sesión la parte en línea.");
    priya.submit("/courses/young", "/courses/young", &[("rule", "none")]).must_be(303);
    assert!(!house.stranger().get(&format!("/sessions/{session}")).says("online part"));
}

#[test]
fn saturday_1_the_family_answers_in_plain_words_and_no_answer_brings_the_page_back() {
    let house = TestApp::start();
    ask_for(&house, "asked");
    let session = house.add_session("young", 4, saturday());
    let family = house.stranger();
    family.answer_all(&session, &rider(), "ingrid@example.org");
    let page = family.get(&step(&session, "check"));
    page.must_say("Before the session: the online part").must_say("Yes, it is done").must_say("Not yet");
    page.must_say("It is done, and I will bring the paper");
    let again = family.sign(&session, &family.signed(&session, "Ingrid Lindqvist"));
    again.must_be(422).must_say("Say whether the earlier part is done");
    assert!(again.body.contains("href=\"#proof\""), "the summary leads to the question");
    assert_eq!(again.field("signature").as_deref(), Some("Ingrid Lindqvist"), "what was typed stays");
    family.sign(&session, &answered(&family, &session, "perhaps")).must_be(422);
    family.sign(&session, &answered(&family, &session, "will_bring")).must_be(303);
    let priya = house.signed_in("priya@example.org");
    priya.get(&format!("/season/{session}")).must_say("Not seen. The family brings it");

    let spanish = house.stranger().speaking("es");
    spanish.answer_all(&session, &rider(), "maria@example.org");
    spanish.get(&step(&session, "check")).must_say("Antes de la sesión: la parte en línea").must_say("Todavía no");
}

#[test]
fn saturday_1_nobody_starts_before_the_field_has_seen_a_proof_that_the_course_needs() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    field.tap(&house, &field.lead, "proof", &[("seen", "yes")]).must_be(422).must_say("asks for no proof");
    let priya = ask_for(&house, "needed");
    field.lead.get(&field.at("")).must_say("No start yet: proof not seen. The family has not answered.");
    field.lead.get(&field.of_zoe("")).must_say("Zoë Marisol does not start before you have seen it.");
    let mark = [("check", "5.1"), ("mark", "meets")];
    field
        .tap(&house, &field.lead, "mark", &mark)
        .must_be(422)
        .must_say("Nobody has seen the proof of the earlier part");
    field.tap(&house, &field.lead, "proof", &[("seen", "yes")]).must_be(303);
    field.tap(&house, &field.lead, "mark", &mark).must_be(303);
    assert!(!field.lead.get(&field.at("")).says("proof not seen"));
    assert_eq!(count_of(&house, "act.proof"), 1);
    let office = format!("/season/{}", field.session);
    priya.get(&office).must_say("Seen on the field");
    // A slip is taken back, and holds the rider back again.
    field.tap(&house, &field.lead, "proof", &[("seen", "no")]).must_be(303);
    field.tap(&house, &field.lead, "mark", &mark).must_be(422);
    priya.get(&office).must_say("Not seen on the field");
}

#[test]
fn saturday_1_the_office_marks_a_proof_as_seen_before_the_day_and_who_did_it_is_kept() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    let priya = ask_for(&house, "needed");
    let office = format!("/season/{}", field.session);
    let seen = format!("{office}/riders/{}/proof", field.zoe);
    let mark = [("check", "5.1"), ("mark", "meets")];
    priya.submit(&office, &seen, &[("seen", "yes")]).must_be(303);
    priya.get(&office).must_say("Seen by the office");
    field.tap(&house, &field.lead, "mark", &mark).must_be(303);
    priya.submit(&office, &seen, &[("seen", "no")]).must_be(303);
    field.tap(&house, &field.lead, "mark", &mark).must_be(422);
    assert_eq!(count_of(&house, "proof.see"), 2);
    // A registration of another session is none of this one.
    let other = house.add_session("young", 4, saturday());
    let wrong = format!("/season/{other}/riders/{}/proof", field.zoe);
    priya.submit(&office, &wrong, &[("seen", "yes")]).must_be(404);
    // Where proof is only asked for, a rider without it starts, and the roster still says so.
    priya.submit("/courses/young", "/courses/young", &[("rule", "asked"), ("proof_en", "a"), ("proof_es", "b")]);
    field.lead.get(&field.at("")).must_say("Proof not seen.").must_say("Riding-ready");
    field.tap(&house, &field.lead, "mark", &mark).must_be(303);
}
