//! The session on Letter paper: riders, gear boxes, marks, counts and help, with a code that names nobody.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::schema::{audit_rows, registrations, sessions};
use waymark::store::{AnyConn, StoreError};

use crate::house::app::TestApp;
use crate::house::paper::{codes_of, inside, pages_of};
use crate::house::qr::codes_on;

#[test]
fn u25_the_paper_has_riders_gear_marks_counts_and_the_way_to_help() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.tap(&house, &field.lead, "mark", &[("check", "1.1"), ("mark", "meets")]).must_be(303);
    let paper = field.lead.get(&field.at("/print"));
    paper
        .must_be(200)
        .must_say("Day sheet: Alder Flat")
        .must_say("Zoë Marisol Okafor-Lindqvist")
        .must_say("9, (406) 555-");
    paper.must_say("Allergy: bee stings").must_say("Made June 13, 2026, 8:40 AM, after entry 9");
    paper.must_say("Lessons 1 to 4: Alder Flat").must_say("1.1 Reads the age label").must_say("Before lesson 11");
    paper.must_say("12 Lantern Street, Helena 59601").must_say("Valley hospital").must_say("call 911 first");
    assert!(paper.body.contains("<td class=\"box first\">M</td>"), "what was marked stands on it");
    assert_eq!(paper.body.matches("<td class=\"box\">✓</td>").count(), 8, "here, six pieces of gear, helmet checked");
}

#[test]
fn u25_the_code_on_paper_leads_to_the_record_and_names_nobody() {
    let house = TestApp::start();
    let field = house.field_day();
    let paper = field.lead.get(&field.at("/print"));
    let told = codes_on(&paper.body, "qr-box");
    let record = format!("{}/roster/{}", house.app.settings.server.public_url, field.session);
    // Every sheet of the paper bears it.
    assert!(!told.is_empty() && told.iter().all(|said| *said == record), "{told:?}");
}

#[test]
fn u25_health_stands_on_paper_for_the_readers_who_may_and_each_print_is_noted() {
    let house = TestApp::start();
    let field = house.field_day();
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let paper = helper.get(&field.at("/print"));
    paper.must_be(200).must_say("Health is left out").must_say("Zoë Marisol Okafor-Lindqvist 9, (406)");
    assert!(!paper.says("bee stings") && !paper.body.contains("c-health"));
    field.lead.get(&field.at("/print")).must_say("bee stings");
    house.add_member("bea@example.org", "Bea", "Ward", &[Role::Instructor]);
    house.signed_in("bea@example.org").get(&field.at("/print")).must_be(404);
    let noted: Vec<String> = house.rows(|conn| {
        let printed = audit_rows::table.filter(audit_rows::action.eq("roster.print")).order(audit_rows::id);
        printed.select(audit_rows::detail).load(conn)
    });
    assert_eq!(noted, ["without health flags", "with health flags"]);
}

#[test]
fn u26_the_forms_of_a_session_of_twelve_riders_are_ten_letter_pages_at_most() {
    let house = TestApp::start();
    let field = house.field_day();
    let seats = |conn: &mut AnyConn| {
        diesel::update(sessions::table).set(sessions::capacity.eq(12)).execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("seats for twelve", seats).expect("seats");
    for nth in 2..=12 {
        house.second_rider(&field, &format!("family-{nth}@example.org"));
    }
    let file = field.lead.get(&field.at("/packet.pdf"));
    file.must_be(200);
    assert_eq!(file.header("content-type"), Some("application/pdf"));
    let pages = pages_of(&file.bytes);
    let heads: Vec<&str> = pages.iter().filter_map(|page| page.lines().find(|line| !line.trim().is_empty())).collect();
    assert!(pages.len() <= 10, "{} pages: {heads:?}", pages.len());
    let of_page = |what: &str| pages.iter().filter(|page| page.trim_start().starts_with(what)).collect::<Vec<_>>();
    for what in [
        "Roster",
        "Signing in and out",
        "Fit on the machine",
        "Skills, lessons 1 to 11",
        "Helmets and receipts",
        "Weather and head counts",
        "What went wrong",
        "Emergency",
    ] {
        assert!(!of_page(what).is_empty(), "{what} is missing in {pages:?}");
    }
    // Every rider has a row on each sheet of riders and a number on each page with numbers across, and each of the 48 checks one row.
    for what in ["Roster", "Signing in and out", "Helmets and receipts", "Emergency"] {
        let rows = of_page(what).iter().map(|page| page.matches("Okafor-Lindqvist").count()).sum::<usize>();
        assert!(rows >= 12, "{what}: {rows} riders");
    }
    for page in of_page("Skills").into_iter().chain(of_page("Fit")) {
        assert!(page.matches("Zoë").count() >= 12, "who is 12? {page}");
    }
    let skills: String = of_page("Skills").into_iter().cloned().collect();
    let checks = skills.lines().filter(|line| {
        let first = line.split_whitespace().next().unwrap_or_default();
        first
            .split_once('.')
            .is_some_and(|(lesson, check)| lesson.parse::<u16>().is_ok() && check.parse::<u16>().is_ok())
    });
    assert_eq!(checks.count(), 48, "checks of the curriculum that ships");
    for (nth, page) in pages.iter().enumerate() {
        assert!(page.contains(&format!("Page {} of {}", nth + 1, pages.len())), "{page}");
        assert!(page.contains("Made June 13, 2026, 8:40 AM, after entry "), "{page}");
    }
}

#[test]
fn u25_every_form_is_black_in_letters_of_eleven_points_and_its_code_names_nobody() {
    let house = TestApp::start();
    let field = house.field_day();
    let file = field.lead.get(&field.at("/packet.pdf"));
    let record = format!("{}/roster/{}", house.app.settings.server.public_url, field.session);
    let (codes, pages) = (codes_of(&file.bytes), pages_of(&file.bytes));
    assert_eq!(codes, vec![record; pages.len()], "every page leads back");
    let written = inside(&file.bytes);
    let (mut sizes, mut inks) = (Vec::new(), Vec::new());
    for line in written.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            [_, size, "Tf"] => sizes.push(size.parse::<f32>().expect("a size")),
            [red, green, blue, "rg" | "RG"] => {
                inks.push([*red, *green, *blue].map(|part| part.parse::<f32>().expect("an ink")))
            }
            _ => {}
        }
    }
    assert!(
        sizes.len() > 100 && sizes.iter().all(|size| *size >= 11.0),
        "{:?}",
        sizes.iter().copied().fold(f32::MAX, f32::min)
    );
    assert!(inks.len() > 100 && inks.iter().all(|ink| *ink == [0.0; 3]), "{inks:?}");
    let size = written.lines().filter(|line| line.contains("/MediaBox")).count();
    assert!(size >= 1 && !written.contains("/Image"), "no picture of a page, letters and lines");
}

#[test]
fn u25_the_forms_say_who_may_take_a_child_and_keep_health_from_readers_who_may_not_know() {
    let house = TestApp::start();
    let field = house.field_day();
    let reference = field.zoe.clone();
    let not = move |conn: &mut AnyConn| {
        let id = registrations::table
            .filter(registrations::reference.eq(&reference))
            .select(registrations::id)
            .first(conn)?;
        waymark::store::registrations::add_contact(conn, id, "not_release", 1, "Marcus Webb", "")
    };
    house.app.store.write("not released to", not).expect("a contact");
    let whole = pages_of(&field.lead.get(&field.at("/packet.pdf")).bytes).concat();
    assert!(whole.contains("NOT to: Marcus Webb"), "{whole}");
    assert!(whole.contains("Home with: ") && whole.contains("bee stings"), "{whole}");
    assert!(whole.contains("Valley hospital") && whole.contains("call 911 first"), "{whole}");
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let without = pages_of(&helper.get(&field.at("/packet.pdf")).bytes).concat();
    assert!(!without.contains("bee stings") && without.contains("Health is left out"), "{without}");
    house.add_member("bea@example.org", "Bea", "Ward", &[Role::Instructor]);
    house.signed_in("bea@example.org").get(&field.at("/packet.pdf")).must_be(404);
    let noted: Vec<String> = house.rows(|conn| {
        let printed = audit_rows::table.filter(audit_rows::action.eq("roster.packet")).order(audit_rows::id);
        printed.select(audit_rows::detail).load(conn)
    });
    assert_eq!(noted, ["with health flags", "without health flags"]);
}
