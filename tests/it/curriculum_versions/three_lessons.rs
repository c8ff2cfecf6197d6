//! A curriculum of three lessons with titles of its own runs the whole chain: roster, marks, closing, certificate. Nothing
//! on the way knows how many lessons there are.

use waymark::domain::access::Role;

use super::{DRAFT, TODAY, arrange, publish, save, with_draft};

#[test]
fn saturday_2_a_curriculum_of_three_lessons_runs_from_the_roster_to_the_certificate() {
    let (house, ana) = with_draft();
    // What is left of the lessons: the controls, moving off, braking.
    for _ in 0..3 {
        arrange(&ana, &[("do", "remove_lesson"), ("lesson", "1")]).must_be(303);
    }
    for lesson in (4..=8).rev() {
        arrange(&ana, &[("do", "remove_lesson"), ("lesson", &lesson.to_string())]).must_be(303);
    }
    for (number, english, spanish) in [
        (1, "Knowing the controls", "Conocer los controles"),
        (2, "The first yards", "Los primeros metros"),
        (3, "Halting at a cone", "Detenerse ante un cono"),
    ] {
        let path = format!("{DRAFT}/lessons/{number}");
        save(&ana, &path, &[("title_en", english), ("title_es", spanish)]).must_be(303);
    }
    ana.get(DRAFT).must_say("Ready to be published");
    publish(&ana, TODAY).must_be(303);

    let field = house.field_day();
    let lead = &field.lead;
    field.make_ready(&house);
    let roster = lead.get(&field.at(""));
    roster.must_be(200).must_say("Knowing the controls").must_say("The first yards").must_say("Halting at a cone");
    for gone in ["Rider and machine match", "Trail ride", "Lesson 4", "eleven", "of 11"] {
        assert!(!roster.says(gone), "{gone:?} is on the roster: {}", roster.words());
    }
    let lesson = lead.get(&field.at("/lessons/3"));
    lesson.must_say("3. Halting at a cone").must_say("Comes first 1. Knowing the controls");
    assert_eq!(lead.get(&field.at("/lessons/4")).status, 404);

    // The third waits for the first: no mark before it is met.
    field.tap(&house, lead, "mark", &[("check", "3.1"), ("mark", "meets")]).must_be(422);
    field.pass_lessons(&house, 1..=2);
    let before_all = [("check", "3.1"), ("mark", "meets")];
    field.tap(&house, lead, "mark", &before_all).must_be(303);
    for check in ["3.2", "3.3"] {
        field.tap(&house, lead, "mark", &[("check", check), ("mark", "meets")]).must_be(303);
    }
    field.tap(&house, lead, "mark", &[("check", "3.4"), ("mark", "practice")]).must_be(303);
    field.tap(&house, lead, "mark", &[("check", "3.4"), ("mark", "meets")]).must_be(303);
    field.tap(&house, lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);

    let close = field.at("/close");
    let closed = lead.submit(&close, &close, &[]);
    let closed = lead.follow(&closed);
    closed.must_be(200).must_say("Session closed");
    let code = closed.body.split("href=\"/c/").nth(1).and_then(|rest| rest.split('"').next()).expect("a certificate");
    house.stranger().get(&format!("/c/{code}")).must_be(200).must_say("June 13, 2026");
    let paper = lead.get(&format!("/certificates/{code}/paper.pdf"));
    assert!(paper.status == 200 && paper.bytes.starts_with(b"%PDF"), "{}", paper.status);
    house
        .person(Role::Coordinator)
        .get("/reports?from=2026-06-01&to=2026-06-30")
        .must_say("Every required skill was met 1 time");
}
