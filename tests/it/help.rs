//! The help pages: at the same place on every page, in the reader's language, and every link in them leads somewhere.

use waymark::domain::access::Role;
use waymark::web::routes::LINES;

use crate::house::app::TestApp;

const PAGES: [&str; 6] = ["/help", "/help/family", "/help/briefing", "/help/agreement", "/help/field", "/help/office"];

fn links_in(body: &str) -> Vec<String> {
    let of = |text: &str| text.split('"').next().unwrap_or_default().to_owned();
    body.split("<a href=\"").skip(1).map(of).filter(|link| link.starts_with('/')).collect()
}

#[test]
fn saturday_10_help_stands_at_the_foot_of_every_first_page_with_the_office_beside_it() {
    let house = TestApp::start();
    for (who, browser) in [("nobody", house.stranger()), ("an instructor", house.person(Role::Instructor))] {
        for path in ["/", "/sessions", "/sign-in", "/no-such-page"] {
            let body = browser.get(path).body;
            let foot = body.split("<footer").nth(1).unwrap_or_default();
            assert!(foot.contains("href=\"/help\""), "{who} finds no help at the foot of {path}");
            assert!(foot.contains("href=\"tel:"), "{who} finds no phone at the foot of {path}");
        }
    }
}

#[test]
fn saturday_10_a_family_reads_its_help_in_english_and_spanish() {
    let house = TestApp::start();
    house.stranger().get("/help/family").must_be(200).must_say("Find a session").must_say("What to bring");
    let spanish = house.stranger().speaking("es").get("/help/family");
    spanish.must_be(200).must_say("Encuentre una sesión").must_say("Qué llevar");
    assert!(!spanish.says("Find a session"));
}

#[test]
fn saturday_10_the_help_says_who_decides_and_names_no_result_safe() {
    let house = TestApp::start();
    for path in PAGES {
        let page = house.stranger().get(path);
        page.must_be(200).must_say("A certified instructor decides");
        let words = page.words().to_lowercase().replace("stopped for safety", "");
        assert!(!words.split(|c: char| !c.is_alphabetic()).any(|word| word == "safe"), "{path} says safe");
    }
}

#[test]
fn saturday_10_every_link_in_the_help_leads_to_a_page_of_the_table() {
    let house = TestApp::start();
    let mut seen = 0;
    for path in PAGES {
        let page = house.stranger().get(path);
        let main = page.body.split("<main").nth(1).and_then(|rest| rest.split("</main>").next()).unwrap_or_default();
        for link in links_in(main) {
            assert!(LINES.iter().any(|line| line.path == link), "{path} leads to {link}, which is no page");
            seen += 1;
        }
    }
    assert!(seen >= 8, "only {seen} links looked at");
}

/// Pediatrics 150(4), 2022, e2022059279, and the advice that the Consumer Product Safety Commission gives: no road, no
/// passenger, a machine made for the age, helmet and gear, no alcohol or drugs, an adult who watches.
#[test]
fn family_5_adults_read_a_sheet_of_ten_minutes_and_print_a_promise_in_both_languages() {
    let house = TestApp::start();
    let english = house.stranger().get("/help/briefing");
    for said in ["Lock the keys away", "One seat is for one rider", "public road", "Watch every ride", "e2022059279"] {
        english.must_be(200).must_say(said);
    }
    english.must_say("Nobody here can tell you that your own ATV is right for your child.");
    english.must_say("Our promise about riding at home");
    let spanish = house.stranger().speaking("es").get("/help/briefing");
    spanish.must_be(200).must_say("Guarde las llaves").must_say("Aquí nadie puede decirle que su propio ATV es bueno");
    let promise = house.stranger().get("/help/agreement");
    promise
        .must_say("I, the rider, promise")
        .must_say("I, the adult, promise")
        .must_say("The program does not keep it.");
    assert_eq!(promise.body.matches("<form").count(), 0, "it is for paper");
    house.stranger().speaking("es").get("/help/agreement").must_say("Nuestra promesa para montar en casa");
}
