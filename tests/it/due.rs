//! The first page after signing in: what is due today and this week, for each role, and what it says when nothing is.

use chrono::NaiveDateTime;
use waymark::domain::access::{Duty, Role};
use waymark::domain::words::Lang;
use waymark::store::migrations::execute;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::people::days;
use crate::house::season::{rider, with};
use crate::planning::office::Office;

/// SQL in the database behind the pages, for what no page of ours does.
fn meanwhile(house: &TestApp, sql: &str) {
    let sql = sql.to_owned();
    house.app.store.write("meanwhile", move |conn| execute(conn, &sql)).expect("sound SQL");
}

/// Nine in the morning in Montana, `n` days after the stories begin on 10 June 2026.
fn morning(house: &TestApp, n: i64) {
    let at: NaiveDateTime = days(n).and_hms_opt(15, 0, 0).expect("a time");
    house.app.clock.set(at);
}

fn again(house: &TestApp, email: &str) -> Browser {
    house.signed_in(email)
}

#[test]
fn saturday_4_the_office_reads_that_nothing_is_due_and_what_comes_next() {
    let office = Office::furnished();
    let page = office.priya.get("/");
    page.must_say("Due today").must_say("Wednesday, June 10, 2026").must_say("Nothing is due today.");
    page.must_say("No session is planned. Plan one from the season's page.");
    office.announce(&[("held_day", "27")]).must_be(303);
    let page = office.priya.get("/");
    page.must_say("Nothing is due today. The next session is on Saturday, June 27, 2026, at Alder Flat.");
    assert!(!page.says("The rest of this week"));
    office.announce(&[]).must_be(303);
    let page = office.priya.get("/");
    page.must_say("The rest of this week Saturday, June 13, 2026, 8:30 AM to 1:00 PM, Alder Flat");
    page.must_say("Rafael Tso leads. 0 of 4 seats taken.").must_say("Nothing is due today.");
}

#[test]
fn saturday_4_the_office_sees_each_thing_that_is_due_with_the_way_to_it() {
    let office = Office::furnished();
    let house = &office.house;
    let session = office.announce(&[]).location().to_owned();
    let due = |n: i64, heading: &str, words: &str, way: &str| {
        morning(house, n);
        let page = again(house, "priya@example.org").get("/");
        page.must_say(heading).must_say(words);
        assert!(page.body.contains(&format!("href=\"{way}")), "{heading}: no way to {way}");
        assert!(!page.says("Nothing is due today."), "{heading}");
    };
    let absent = |heading: &str| assert!(!again(house, "priya@example.org").get("/").says(heading), "{heading}");
    absent("Sessions that lack");
    meanwhile(house, "UPDATE certifications SET valid_through = '2026-06-12' WHERE kind = 'first_aid'");
    due(0, "Sessions that lack people or papers", "Papers of Rafael Tso, no second adult", &session);
    due(0, "Papers of people", "First-aid card (holds through June 12, 2026)", "/people");
    meanwhile(house, "UPDATE certifications SET valid_through = '2027-06-12' WHERE kind = 'first_aid'");
    absent("Papers of people");
    absent("Sessions that lack");
    meanwhile(house, "UPDATE site_papers SET valid_through = '2026-08-09' WHERE kind = 'insurance'");
    absent("Papers of sites runs out");
    due(0, "Papers of sites", "Insurance (holds through August 9, 2026)", "/sites");
    meanwhile(house, "UPDATE site_papers SET valid_through = '2026-08-10' WHERE kind = 'insurance'");
    absent("Papers of sites");
    meanwhile(house, "UPDATE site_papers SET valid_through = '2027-08-10' WHERE kind = 'insurance'");
    meanwhile(house, "UPDATE sessions SET waiting = 2");
    due(0, "Families that wait for a seat", "2 wait", &session);
    meanwhile(house, "UPDATE sessions SET waiting = 0");
    due(3, "Sessions today", "8:30 AM to 1:00 PM, Alder Flat", &session.replace("/season/", "/roster/"));
    due(4, "Sessions not closed", "not closed", &format!("{}/close", session.replace("/season/", "/roster/")));
    meanwhile(house, "UPDATE sessions SET state = 'closed'");
    again(house, "priya@example.org").get("/").must_say("Nothing is due today.");
}

#[test]
fn saturday_4_the_office_calls_those_whom_no_letter_reached_and_prints_for_those_without_an_address() {
    let house = TestApp::start();
    house.add_coordinator();
    let lead = house.add_instructor();
    let session = house.add_held_session(lead, "30063", saturday());
    let guardian = house.add_guardian("inez@example.org", "Inés", "Okafor");
    let zoe = house.add_child(guardian, ("Zoë", "Okafor"), (2013, 4, 2), "30063");
    let seat = session.seat(zoe, guardian, Lang::En);
    session.completed(&seat);
    morning(&house, 3);
    let rafael = house.signed_in("rafael@example.org");
    meanwhile(&house, "UPDATE guardians SET email = NULL");
    rafael.submit(&session.closing(), &session.closing(), &[]).must_be(303);
    morning(&house, 4);
    let page = house.signed_in("priya@example.org").get("/");
    page.must_say("Certificates to hand over Zoë Okafor").must_say("Inés Okafor gets no e-mail. Print it, then call");
    assert!(page.body.contains("/paper.pdf\""), "the way to the paper");
    meanwhile(&house, "UPDATE guardians SET email = 'inez@example.org'");
    meanwhile(&house, "UPDATE outbox SET state = 'stopped'");
    let page = house.signed_in("priya@example.org").get("/");
    assert!(!page.says("Certificates to hand over"));
    page.must_say("Letters that did not reach Inés Okafor, inez@example.org");
    page.must_say("The letter with a certificate did not reach the family.");
}

#[test]
fn saturday_4_people_to_call_after_a_change_stand_on_the_first_page_until_they_were_called() {
    let office = Office::furnished();
    let session = office.announce(&[]).location().trim_start_matches("/season/").to_owned();
    office.house.stranger().register(&session, &rider(), "ingrid@example.org");
    office.meanwhile("UPDATE guardians SET email = NULL");
    let page = office.priya.get(&format!("/season/{session}/cancel"));
    let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
    let fields = [("key", key.as_str()), ("seen", &seen), ("reason", "air"), ("words", ""), ("words_language", "en")];
    office.priya.post(&format!("/season/{session}/cancel"), &fields).must_be(303);
    let page = office.priya.get("/");
    page.must_say("People to call Alder Flat, June 13, 2026").must_say("1 to call");
    assert!(page.body.contains(&format!("href=\"/season/{session}/told\"")));
    office.priya.post(&format!("/season/{session}/told/1"), &[]).must_be(303);
    assert!(!office.priya.get("/").says("People to call"));
}

#[test]
fn saturday_4_the_lead_reads_what_the_day_asks_and_the_helper_that_nothing_does() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_member("ida@example.org", "Ida", "Ward", &[Role::Helper]);
    let idle = house.signed_in("ida@example.org").get("/");
    idle.must_say("Nothing is due today.").must_say("You are on the team of no session in the next two weeks.");
    let page = field.lead.get("/");
    page.must_say("Your sessions today 8:30 AM, Alder Flat").must_say("1 child to check in.");
    page.must_say("nobody rides yet").must_say("Sign the day list");
    assert!(page.body.contains(&format!("href=\"/roster/{}/day-list\"", field.session)));
    field.sign_day_list(&house);
    let page = field.lead.get("/");
    page.must_say("day list signed");
    assert!(!page.says("Sign the day list"));
    morning(&house, 4);
    let rafael = house.signed_in("rafael@example.org");
    rafael.get("/").must_say("Not closed yet Alder Flat, Lewis and Clark, June 13, 2026").must_say("Close the session");
    meanwhile(&house, "UPDATE sessions SET state = 'closed'");
    rafael.get("/").must_say("Nothing is due today.");
    meanwhile(&house, "UPDATE certifications SET valid_through = '2026-07-01' WHERE kind = 'riding'");
    rafael.get("/").must_say("Your papers Riding certification (holds through July 1, 2026)").must_say("runs out");
    let dewey = house.signed_in("dewey@example.org").get("/");
    assert!(!dewey.says("Your papers"), "a helper needs no riding certification");
    meanwhile(&house, "UPDATE certifications SET valid_through = '2026-06-13' WHERE kind = 'background'");
    let dewey = house.signed_in("dewey@example.org").get("/");
    dewey.must_say("Background check (held through June 13, 2026)").must_say("does not hold");
}

#[test]
fn saturday_4_sessions_of_the_week_and_of_the_next_stand_apart_for_those_who_teach() {
    let house = TestApp::start();
    let rafael = house.add_instructor();
    for on in [5, 10] {
        let session = house.add_session("young", 6, days(on));
        house.put_on(&session, rafael, Duty::Lead);
    }
    let page = house.signed_in("rafael@example.org").get("/");
    page.must_say("Nothing is due today. Your next session is on Monday, June 15, 2026");
    page.must_say("The rest of this week Monday, June 15, 2026");
    assert!(!page.says("June 20"), "the week after stays out");
}

#[test]
fn saturday_4_a_family_reads_in_its_language_what_the_next_session_of_each_child_still_needs() {
    let office = Office::furnished();
    let session = office.announce(&[]).location().trim_start_matches("/season/").to_owned();
    let later = office.announce(&[("held_day", "27")]).location().trim_start_matches("/season/").to_owned();
    let ingrid = office.house.stranger();
    ingrid.register(&later, &rider(), "ingrid@example.org");
    office.house.confirm("ingrid@example.org");
    let page = ingrid.get("/");
    page.must_say("Due today").must_say("Your children's next sessions Zoë Marisol: Saturday, June 27, 2026, 8:30 AM");
    page.must_say("Nothing is due today.").must_say("everything is here").must_say("Alder Flat, Lolo.");
    page.must_say("On the day, Zoë Marisol goes home with you or with: Chidi Okafor.");
    let marek = office.house.stranger();
    marek.register(&session, &with(rider(), "given", "Suri"), "marek@example.org");
    office.house.confirm("marek@example.org");
    assert!(!ingrid.get("/").says("Suri") && !marek.get("/").says("Zoë"), "each family sees its own");
    office.meanwhile("DELETE FROM consents");
    let page = ingrid.get("/");
    page.must_say("something is missing").must_say("The consent for Zoë Marisol is not signed.");
    assert!(!page.says("Nothing is due today."));
    let spanish = ingrid.copy().speaking("es");
    spanish.get("/?lang=es");
    spanish
        .get("/")
        .must_say("Pendiente para hoy")
        .must_say("falta algo")
        .must_say("El permiso para Zoë Marisol no está firmado.");
    office.meanwhile(
        "UPDATE courses SET proof_rule = 'needed', proof_en = 'the online part', proof_es = 'la parte en línea'",
    );
    marek.get("/").must_say("Proof of the online part is still missing.");
    office.meanwhile("UPDATE sessions SET state = 'cancelled'");
    let off = marek.get("/");
    off.must_say("Called off Suri: Saturday, June 13, 2026");
    assert!(!off.says("Nothing is due today."));
}

#[test]
fn saturday_4_a_family_without_a_session_is_shown_the_way_to_one_and_to_its_certificates() {
    let house = TestApp::start();
    let lead = house.add_instructor();
    let session = house.add_held_session(lead, "30063", saturday());
    let guardian = house.add_guardian("inez@example.org", "Inés", "Okafor");
    let empty = house.signed_in("inez@example.org").get("/");
    empty.must_say("Nothing is due today. No session is coming up for your children.").must_say("See all sessions");
    let zoe = house.add_child(guardian, ("Zoë", "Okafor"), (2013, 4, 2), "30063");
    let seat = session.seat(zoe, guardian, Lang::En);
    session.completed(&seat);
    morning(&house, 3);
    house.signed_in("rafael@example.org").submit(&session.closing(), &session.closing(), &[]).must_be(303);
    let page = house.signed_in("inez@example.org").get("/");
    page.must_say("Certificates that are ready Zoë, June 13, 2026").must_say("ready");
    morning(&house, 90);
    let page = house.signed_in("inez@example.org").get("/");
    assert!(!page.says("Certificates that are ready"), "what is old stands under the registrations");
}

#[test]
fn saturday_4_the_administrator_sees_texts_without_approval_and_drafts_and_else_that_nothing_waits() {
    let house = TestApp::without_approval();
    house.add_member("tobias@example.org", "Tobias", "Fairweather", &[Role::Administrator]);
    let tobias = house.signed_in("tobias@example.org");
    let page = tobias.get("/");
    page.must_say("Texts without an approval Consent to ride, English").must_say("Consent to ride, Spanish");
    page.must_say("Families cannot sign it in this language. Enter who approved it, and when.");
    assert!(!page.says("Nothing is due today."));
    let house = TestApp::start();
    house.add_member("tobias@example.org", "Tobias", "Fairweather", &[Role::Administrator]);
    let tobias = house.signed_in("tobias@example.org");
    // Rules that ship begin years ago: whoever starts a program reads each once.
    for book in
        ["curriculum", "fit", "day_list", "look_over", "helmet_check", "cautions", "settings", "emergency_plans"]
    {
        tobias.get("/").must_say("Rules and texts to read again");
        tobias.post(&format!("/season/turn/reviews/{book}"), &[]).must_be(303);
    }
    tobias.get("/").must_say("Nothing is due today.");
    tobias.submit("/curriculum", "/curriculum/draft", &[("version", "1")]).must_be(303);
    tobias.get("/").must_say("Drafts that wait Curriculum").must_say("draft open");
}

#[test]
fn saturday_4_strangers_keep_the_public_page_and_who_only_reports_is_told_where_the_reports_are() {
    let house = TestApp::start();
    let page = house.stranger().get("/");
    page.must_say("Riding courses for young people").must_say("How it works");
    assert!(!page.says("Due today"));
    let anneke = house.person(Role::GrantManager).get("/");
    anneke.must_say("Nothing is due today. Reports stand ready whenever you need them.");
    assert!(anneke.body.contains("href=\"/reports\""));
}

#[test]
fn day_11_who_only_reports_reads_which_report_and_which_count_is_due() {
    let office = Office::furnished();
    let grant = office.priya.get("/gear/grants").body;
    let grant = grant.split("href=\"/gear/grants/").skip(1).filter_map(|rest| rest.split('"').next());
    let grant = grant.into_iter().find(|way| *way != "new").map(|way| format!("/gear/grants/{way}")).expect("a grant");
    let manager = || again(&office.house, "grant_manager@example.org").get("/");
    office.house.person(Role::GrantManager);
    manager().must_say("Nothing is due today. Reports stand ready whenever you need them.");
    let fields = [("due_what", "Helmets by county"), ("due_month", "7"), ("due_day", "31"), ("due_year", "2026")];
    office.priya.submit(&grant, &format!("{grant}/dues"), &fields).must_be(303);
    let page = manager();
    page.must_say("For those who pay Trailhead Fund: Helmets by county By Friday, July 31, 2026. report due");
    assert!(!page.says("Nothing is due today.") && page.body.contains("href=\"/gear/property\""));
    assert!(!page.body.contains("href=\"/gear/grants/"), "no way that does not open");
    office.house.app.clock.set("2028-06-11T15:00:00".parse().expect("an instant"));
    manager().must_say("Helmets of lot L1 The last count was two years ago or longer. count due");
}
