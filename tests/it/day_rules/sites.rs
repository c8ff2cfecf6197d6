//! A site's papers keep a session from being announced, as a person's do; its emergency plan shows to staff and to
//! nobody else.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::schema::{audit_rows, emergency_plans, outbox};

use crate::house::app::TestApp;
use crate::house::season::rider;
use crate::planning::office::{Office, SITE, changed};

/// An office with machines and helmets and one site without papers; gives the site's path.
fn without_papers() -> (Office, String) {
    let office = Office::bare();
    let added = office.add_site_without_papers(&[]);
    let site = added.location().trim_end_matches("#papers").to_owned();
    office.add_machines(1..=9);
    office.add_helmets("60");
    (office, site)
}

/// Which papers block is a setting; the two that ship are common practice, no source.
#[test]
fn saturday_1_a_site_without_its_papers_takes_no_session_and_the_page_names_paper_and_date() {
    let (office, site) = without_papers();
    office.priya.get(&site).must_say("No session can be held here today.").must_say("owner's permission (missing)");
    let refused = office.announce(&[]);
    refused.must_be(422).must_say("No session can be held at Alder Flat on Saturday, June 13, 2026.");
    refused.must_say("owner's permission (missing), insurance (missing)");
    assert!(refused.body.contains("<a href=\"#site\">"), "the summary leads to the site");
    assert_eq!(refused.field("starts").as_deref(), Some("8:30 AM"), "what was typed is still there");

    office.add_site_paper(&site, "owner_permission", ["12", "31", "2026"]).must_be(303);
    office.add_site_paper(&site, "insurance", ["6", "12", "2026"]).must_be(303);
    let refused = office.announce(&[]);
    refused.must_be(422).must_say("insurance (held through June 12, 2026)");
    assert!(!refused.says("owner's permission ("));
    // On its last day a paper holds.
    office.announce(&[("held_day", "12")]).must_be(303);
    office.add_site_paper(&site, "insurance", ["6", "13", "2026"]).must_be(303);
    office.announce(&[]).must_be(303);
}

#[test]
fn saturday_1_a_paper_that_the_owner_takes_back_blocks_from_that_day_on() {
    let (office, site) = without_papers();
    for kind in ["owner_permission", "insurance"] {
        office.add_site_paper(&site, kind, ["12", "31", "2026"]).must_be(303);
    }
    office.priya.get(&site).must_say("Owner's permission holds through December 31, 2026");
    office.priya.submit(&site, &format!("{site}/papers/1/take-back"), &[]).must_be(303);
    office.priya.get(&site).must_say("Owner's permission taken back on June 10, 2026");
    office.announce(&[]).must_be(422).must_say("owner's permission (taken back on June 10, 2026)");
    // Twice is told, and a paper that is not there is no paper.
    office.priya.submit(&site, &format!("{site}/papers/1/take-back"), &[]).must_be(409);
    for place in ["0", "3", "99999999999"] {
        office.priya.submit(&site, &format!("{site}/papers/{place}/take-back"), &[]).must_be(404);
    }
}

#[test]
fn saturday_1_which_papers_of_a_site_block_is_a_setting() {
    let (office, site) = without_papers();
    office.house.person(Role::Administrator).set_program("site_papers", &[("value_use_permit", "yes")]).must_be(303);
    office.announce(&[]).must_be(422).must_say("land-use permit (missing)");
    office.add_site_paper(&site, "use_permit", ["12", "31", "2026"]).must_be(303);
    office.announce(&[]).must_be(303);
    // A program from before there were papers of sites asks for the shipped ones.
    office.meanwhile("UPDATE programs SET settings = replace(settings, '\"site_papers\":[\"use_permit\"],', '')");
    office.announce(&[("held_day", "20")]).must_be(422).must_say("owner's permission (missing), insurance (missing)");
}

#[test]
fn saturday_1_a_form_of_a_site_that_comes_back_keeps_what_was_typed() {
    let (office, site) = without_papers();
    let papers = format!("{site}/papers");
    let paper = [("kind", ""), ("from_month", "6"), ("from_day", "31"), ("from_year", "2026"), ("through_month", "6")];
    let again = office.priya.submit(&site, &papers, &paper);
    again.must_be(422).must_say("Choose what the paper shows");
    assert_eq!(again.field("from_day").as_deref(), Some("31"));
    let backwards = [
        ("kind", "insurance"),
        ("from_month", "6"),
        ("from_day", "14"),
        ("from_year", "2026"),
        ("through_month", "6"),
        ("through_day", "13"),
        ("through_year", "2026"),
    ];
    office.priya.submit(&site, &papers, &backwards).must_be(422).must_say("The last day comes before the first");

    let edit = format!("{site}/edit");
    let facts = changed(SITE, &[("name", "Alder Flat North"), ("most_riders", "0"), ("county", "30001")]);
    let again = office.priya.submit(&edit, &edit, &facts);
    again.must_be(422);
    assert_eq!(again.field("name").as_deref(), Some("Alder Flat North"));
    let facts = changed(SITE, &[("name", "Alder Flat North"), ("county", "30001"), ("time_zone", "Pacific/Honolulu")]);
    office.priya.submit(&edit, &edit, &facts).must_be(303);
    let page = office.priya.get(&site);
    page.must_say("Alder Flat North").must_say("Missoula 30063").must_say("America/Denver");

    let plan = format!("{site}/plan");
    let again = office.priya.submit(&plan, &plan, &[("gate_code", "4455#"), ("landing_place", "North field")]);
    again.must_be(422).must_say("Write where a phone works").must_say("who meets the ambulance");
    assert_eq!(again.field("gate_code").as_deref(), Some("4455#"));
}

#[test]
fn saturday_1_the_gate_code_is_in_no_audit_row_no_letter_and_on_no_page_of_a_family() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let site = priya.get("/sites").body;
    let site = site.split("href=\"/sites/").find(|rest| !rest.starts_with("new") && rest.contains("Alder Flat"));
    let site = site.and_then(|rest| rest.split('"').next()).expect("a site").to_owned();
    let plan = format!("/sites/{site}/plan");
    let words = [
        ("signal_spot", "canary-signal at the gate post"),
        ("device", "canary-radio in the red box"),
        ("gate_code", "canary-7731"),
        ("landing_place", "canary-field"),
        ("meets_ambulance", "canary-hal at the road"),
    ];
    priya.submit(&plan, &plan, &words).must_be(303);
    for (_, said) in words {
        priya.get(&format!("/sites/{site}")).must_say(said);
    }
    let family = house.stranger();
    family.register(&field.session, &rider(), "second@example.org");
    for page in ["/", "/sessions", "/riders", "/registrations", &format!("/sessions/{}", field.session)] {
        assert!(!family.get(page).body.contains("canary"), "{page}");
    }
    for role in [Role::Guardian, Role::Instructor, Role::GrantManager] {
        let other = house.person(role);
        assert!(matches!(other.get(&format!("/sites/{site}")).status, 403 | 404), "{role}");
        assert!(matches!(other.get(&plan).status, 403 | 404), "{role}");
    }
    let rows: Vec<(String, String, String)> = house.rows(|conn| {
        audit_rows::table.select((audit_rows::action, audit_rows::subject, audit_rows::detail)).load(conn)
    });
    assert!(rows.iter().any(|(action, _, _)| action == "site.plan"));
    assert!(!format!("{rows:?}").contains("canary"), "{rows:?}");
    // Letters are written from kinds and numbers alone; none of either names a site's plan.
    let letters: Vec<String> = house.rows(|conn| outbox::table.select(outbox::kind).load(conn));
    assert!(!letters.is_empty() && letters.iter().all(|kind| !kind.contains("plan")), "{letters:?}");
    let versions: Vec<i64> = house.rows(|conn| emergency_plans::table.select(emergency_plans::version).load(conn));
    assert!(versions.iter().all(|version| *version >= 1));
}

/// Two people of the office have the same form open. The second to save sees what the first one wrote, with their own
/// answers kept, and nothing is written over it unread.
#[test]
fn saturday_7_two_windows_on_one_site_plan_or_course_lose_nothing() {
    let office = Office::furnished();
    let site = format!("/sites/{}", office.value_of("/season/new", "Alder Flat, Missoula"));
    let forms = [
        (format!("{site}/edit"), changed(SITE, &[("hospital", "North hospital")]), ("hospital", "South hospital")),
        (
            format!("{site}/plan"),
            vec![("signal_spot", "North gate"), ("gate_code", "1111"), ("meets_ambulance", "Hal")],
            ("gate_code", "2222"),
        ),
        (
            "/courses/older".to_owned(),
            vec![("rule", "asked"), ("proof_en", "Part one"), ("proof_es", "Parte uno")],
            ("proof_en", "The first part"),
        ),
    ];
    for (page, first, (name, second)) in forms {
        let seen = office.priya.get(&page).field("seen").expect("what the form was drawn from");
        office.priya.submit(&page, &page, &first).must_be(303);
        let mut later = changed(&first, &[(name, second)]);
        later.push(("seen", &seen));
        let stale = office.priya.post(&page, &later);
        stale.must_be(409).must_say("This was changed in another window since you opened it.");
        let kept = first.iter().find(|(field, _)| *field == name).map(|(_, value)| *value).unwrap_or_default();
        stale.must_say("What stands there now:").must_say(kept);
        assert_eq!(stale.field(name).as_deref(), Some(second), "{page}: the answer is kept");
        assert_eq!(office.priya.get(&page).field(name).as_deref(), Some(kept), "{page}: nothing was written");
        let read = stale.field("seen").expect("the new one");
        let again = changed(&later[..later.len() - 1], &[]);
        office.priya.post(&page, &[again, vec![("seen", &read)]].concat()).must_be(303);
        assert_eq!(office.priya.get(&page).field(name).as_deref(), Some(second), "{page}");
    }
}
