//! What instructors teach from: every lesson with its drawing and words in both languages, the talks that a course needs, and the
//! numbers of stopping and slopes, all of it from settings.

use waymark::domain::access::Role;

use crate::house::app::TestApp;

#[test]
fn day_8_the_page_to_teach_from_has_every_lesson_the_talks_and_the_numbers_with_their_source() {
    let house = TestApp::start();
    let office = house.person(Role::Administrator);
    house.add_instructor();
    let rafael = house.signed_in("rafael@example.org");
    let page = rafael.follow(&rafael.get("/teaching"));
    page.must_be(200).must_say("1 Rider and machine match").must_say("11 Trail ride as a group");
    // Topics of an approved course (Utah Administrative Code R650-412-3) and federal consumer advice.
    for talk in [
        "What the law asks",
        "Roads",
        "One seat, one rider.",
        "No alcohol and no drugs",
        "Leave gates as you found them",
    ] {
        page.must_say(talk);
    }
    // Rows 66, 67 and 72 of the check values: 2.04 m and 8.744 m at 10 mph on 0.5, 4.59 m at 15 mph.
    page.must_say("10 mph 29 ft, 8.7 m 7 ft, 2.0 m").must_say("16 ft, 4.6 m").must_say("Noon 1994, quoted");
    page.must_say("15°, 27 %").must_say("Does not stop");
    // The ground is the program's setting.
    office.set_program("riding_packed_dirt", &[("value", "400")]).must_be(303);
    rafael.follow(&rafael.get("/teaching")).must_say("packed dirt 0.4,").must_say("9 ft, 2.5 m");
    office.set_program("riding_wet_grass", &[("value", "50")]).must_be(422);
    house.add_guardian("ingrid@example.org", "Ingrid", "Okafor");
    house.signed_in("ingrid@example.org").get("/teaching/1").must_be(403);
}

#[test]
fn day_8_a_lesson_has_its_drawing_with_sizes_what_meets_what_does_not_and_what_comes_first() {
    let house = TestApp::start();
    house.add_instructor();
    let rafael = house.signed_in("rafael@example.org");
    let page = rafael.get("/teaching/1/6");
    page.must_be(200).must_say("6. Braking to a mark").must_say("Stopping at a mark").must_say("16 ft (5 m)");
    assert!(
        page.body
            .contains("aria-label=\"A gate of two cones, passed at 10 mph or less, and a mark 16 ft (5 m) past it.")
    );
    page.must_say("Meets").must_say("Not yet").must_say("Comes first 1. Rider and machine match");
    let spanish = rafael.get("/teaching/1/6?words=es");
    spanish.must_say("Parar en una marca").must_say("Cumple").must_say("Todavía no");
    rafael.get("/teaching/1/9").must_say("Hard stop").must_say("Round an obstacle").must_say("9 ft (2.6 m)");
    // A lesson that names no size has no drawing.
    assert!(!rafael.get("/teaching/1/2").body.contains("<figure class=\"setup\""));
    for missing in ["/teaching/1/12", "/teaching/9", "/teaching/9/1", "/teaching/9/cards"] {
        rafael.get(missing).must_be(404);
    }
}

#[test]
fn day_8_the_cards_hold_every_lesson_in_the_language_that_is_taught() {
    let house = TestApp::start();
    house.add_instructor();
    let rafael = house.signed_in("rafael@example.org");
    let cards = rafael.get("/teaching/1/cards");
    assert_eq!(cards.must_be(200).body.matches("<article class=\"card\"").count(), 11);
    cards.must_say("Version 1. Only with a certified instructor, on a prepared area, in full gear.");
    let spanish = rafael.get("/teaching/1/cards?words=es");
    spanish.must_say("Frenar en una marca").must_say("Versión 1. Solo con un instructor certificado");
}
