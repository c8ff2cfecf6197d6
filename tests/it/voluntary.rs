//! The program's own questions: families see them in their language before they sign, and answer or do not.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::schema::voluntary_answers;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{adults, health, rider, sizes, step};

const WRITTEN: [(&str, &str); 4] = [
    ("words_en", "How did you hear of the program?"),
    ("words_es", "¿Cómo supo del programa?"),
    ("choices_en", "At school\nFrom a neighbor\nElsewhere"),
    ("choices_es", "En la escuela\nPor un vecino\nEn otra parte"),
];

/// An administrator who asks one question; gives its reference.
fn asked(house: &TestApp) -> (Browser, String) {
    let ana = house.person(Role::Administrator);
    ana.get("/program/questions").must_say("Nothing is asked. Registration has one page less.");
    ana.post("/program/questions", &WRITTEN).must_be(303);
    let page = ana.get("/program/questions");
    let found = page.body.split("action=\"/program/questions/").nth(1).and_then(|rest| rest.split('"').next());
    let question = found.unwrap_or_else(|| panic!("no question: {}", page.words())).to_owned();
    (ana, question)
}

/// A stranger who has answered every step that is always asked; gives where that led.
fn up_to_the_questions(browser: &Browser, session: &str, email: &str) -> Answered {
    for (name, answers) in [("rider", rider()), ("health", health()), ("adults", adults(email))] {
        browser.answer(session, name, &answers).must_be(303);
    }
    browser.answer(session, "sizes", &sizes())
}

fn answers(house: &TestApp) -> Vec<Option<i64>> {
    house.rows(|conn| {
        voluntary_answers::table.order(voluntary_answers::registration_id).select(voluntary_answers::choice).load(conn)
    })
}

#[test]
fn family_4_a_family_answers_the_programs_questions_or_does_not_and_the_office_reads_sums() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let (ana, question) = asked(&house);
    let ingrid = house.stranger();
    assert_eq!(up_to_the_questions(&ingrid, &session, "ingrid@example.org").location(), step(&session, "questions"));
    let page = ingrid.get(&step(&session, "questions"));
    page.must_say("You do not have to answer.")
        .must_say("How did you hear of the program?")
        .must_say("From a neighbor");
    page.must_say("I would rather not say").must_say("Step 5 of 6");
    ingrid.copy().speaking("es").get(&step(&session, "questions")).must_say("¿Cómo supo del programa?");
    ingrid.get(&step(&session, "check")).must_be(303);
    for wrong in ["4", "0", "At school", "1,2"] {
        let told = ingrid.post(&step(&session, "questions"), &[(&question, wrong)]);
        told.must_be(422).must_say("Choose one of the answers, or none").must_say("Error:");
    }
    let kept = ingrid.post(&step(&session, "questions"), &[(&question, "2")]);
    assert_eq!(kept.location(), step(&session, "check"));
    let check = ingrid.get(&step(&session, "check"));
    check.must_say("How did you hear of the program? From a neighbor");
    assert!(check.body.contains("/register/questions?from=check"));
    let fields = ingrid.signed(&session, "Ingrid Lindqvist");
    ingrid.sign(&session, &fields).must_be(303);
    // Another family goes on without a word.
    let otto = house.stranger();
    up_to_the_questions(&otto, &session, "otto@example.org").must_be(303);
    otto.get(&step(&session, "questions"));
    otto.post(&step(&session, "questions"), &[]).must_be(303);
    otto.get(&step(&session, "check")).must_say("How did you hear of the program? I would rather not say");
    let fields = otto.signed(&session, "Ingrid Lindqvist");
    otto.sign(&session, &fields).must_be(303);
    assert_eq!(answers(&house), [Some(2), None]);
    let sums = ana.get("/program/questions");
    sums.must_say("At school 0 From a neighbor 1 Elsewhere 0 No answer 1");
    assert!(!sums.says("Zoë") && !sums.says("Lindqvist"), "sums name nobody");
}

#[test]
fn family_4_a_question_that_is_not_asked_any_more_costs_no_page_and_keeps_its_answers() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let (ana, question) = asked(&house);
    let way = format!("/program/questions/{question}");
    let ingrid = house.stranger();
    up_to_the_questions(&ingrid, &session, "ingrid@example.org");
    ana.get("/program/questions");
    ana.post(&way, &[("asked", "no")]).must_be(303);
    ana.get("/program/questions").must_say("Not asked any more.");
    // Who stands before the question goes on, by the link and by the form of the page that is open still.
    assert_eq!(ingrid.get(&step(&session, "questions")).location(), step(&session, "check"));
    assert_eq!(ingrid.post(&step(&session, "questions"), &[(&question, "1")]).location(), step(&session, "check"));
    ingrid.get(&step(&session, "check")).must_be(200).must_say("Step 5 of 5");
    ana.post(&way, &[("asked", "yes")]).must_be(303);
    let fields = ingrid.signed(&session, "Ingrid Lindqvist");
    ingrid.sign(&session, &fields).must_be(303);
    assert_eq!(answers(&house), [], "asked again after the family had gone on");
    ana.post(&way, &[("asked", "perhaps")]).must_be(400);
    ana.post("/program/questions/nothing", &[("asked", "no")]).must_be(404);
}

#[test]
fn family_4_a_question_that_cannot_be_asked_comes_back_with_what_was_typed() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    ana.get("/program/questions");
    let with = |name: &'static str, value: &'static str| {
        WRITTEN.map(|(own, text)| (own, if own == name { value } else { text }))
    };
    for (name, value, words) in [
        ("words_en", " ", "Write the question in English"),
        ("words_es", "", "Write the question in Spanish"),
        ("choices_en", "At school", "Write 2 to 12 answers, one on each line"),
        ("choices_es", "En la escuela\nPor un vecino", "Write as many answers in Spanish as in English"),
        ("choices_en", "At school\nat School\nElsewhere", "Write each answer once"),
    ] {
        let told = ana.post("/program/questions", &with(name, value));
        told.must_be(422).must_say(words).must_say("Error:");
        let other = if name == "words_en" { "words_es" } else { "words_en" };
        let typed = WRITTEN.iter().find(|(own, _)| *own == other).expect("a field").1;
        assert_eq!(told.field(other).as_deref(), Some(typed));
    }
    ana.get("/program/questions").must_say("Nothing is asked.");
}

#[test]
fn s25_only_an_administrator_decides_what_families_are_asked() {
    let house = TestApp::start();
    for role in [Role::Coordinator, Role::Instructor, Role::Guardian, Role::GrantManager] {
        let browser = house.person(role);
        browser.get("/");
        browser.get("/program/questions").must_be(403);
        browser.post("/program/questions", &WRITTEN).must_be(403);
        browser.post("/program/questions/x", &[("asked", "no")]).must_be(403);
    }
}
