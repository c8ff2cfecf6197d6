//! Staff register a child whose adult stands before them or is on the telephone; the adult signs on the screen.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::domain::place::PlaceReason;
use waymark::domain::registration::RegistrationState;
use waymark::store::schema::{accounts, contacts, guardians, measures, outbox, place_changes, registrations, riders};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{HOME, ride_signed, rider};

/// What staff type for Mateo and his mother, who has no address.
const WRITTEN: &[(&str, &str)] = &[
    ("child_given", "Mateo"),
    ("child_family", "Baeza"),
    ("birth_month", "2"),
    ("birth_day", "28"),
    ("birth_year", "2017"),
    ("county", HOME),
    ("ridden", "never"),
    ("given", "Rosa"),
    ("family", "Baeza"),
    ("phone", "(406) 555-0171"),
    ("email", ""),
    ("language", "es"),
    ("first_name", "Luz Baeza"),
    ("first_phone", "406 555 0172"),
    ("second_name", "Iván Soto"),
    ("second_phone", "406 555 0173"),
    ("any", "yes"),
    ("allergy", "yes"),
    ("allergy_what", "wasp venom"),
    ("injector", "no"),
    ("medicine", "no"),
    ("not_release", "Somebody Barred"),
];

/// The same with some answers changed.
pub fn but<'a>(changes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let kept = WRITTEN.iter().filter(|(name, _)| changes.iter().all(|(changed, _)| changed != name));
    kept.chain(changes).copied().collect()
}

/// A house with a session of so many seats, and Priya at the desk.
fn desk(seats: i64) -> (TestApp, String, Browser) {
    let house = TestApp::start();
    let session = house.add_session("young", seats, saturday());
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    (house, session, priya)
}

fn page_of(session: &str) -> String {
    format!("/walk-up/{session}")
}

/// Opens the page for its key, and sends what was typed.
pub fn send(browser: &Browser, session: &str, fields: &[(&str, &str)]) -> Answered {
    let key = browser.get(&page_of(session)).field("key").expect("a key");
    let mut all = fields.to_vec();
    all.push(("key", &key));
    browser.post(&page_of(session), &all)
}

/// Signs on the page that was turned round.
fn sign(browser: &Browser, way: &str, name: &str) -> Answered {
    let fields = ride_signed(&browser.get(way), name);
    let pairs: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    browser.post_whole(way, &pairs)
}

fn states(house: &TestApp) -> Vec<RegistrationState> {
    house.rows(|conn| registrations::table.order(registrations::id).select(registrations::state).load(conn))
}

#[test]
fn u38_family_10_a_family_without_an_address_is_registered_on_one_page_and_signs_on_the_screen() {
    let (house, session, priya) = desk(2);
    priya.get(&format!("/season/{session}")).must_say("Register a child");
    let page = priya.get(&page_of(&session));
    page.must_say("Alder Flat, June 13, 2026. 2 seats left.").must_say("Without one, this family is called.");
    let done = send(&priya, &session, WRITTEN);
    let receipt = done.must_be(303).location().to_owned();
    let page = priya.get(&receipt);
    page.must_say("Mateo Baeza is registered").must_say("A seat").must_say("no letters: this family is called");
    page.must_say("Not signed. Without it Mateo cannot ride.");
    assert!(page.body.contains("<svg class=\"scan\""), "a code for the gate");
    assert_eq!(states(&house), [RegistrationState::Confirmed]);
    let kept: (i64, i64, i64, i64) = house.rows(|conn| {
        let people = contacts::table.count().get_result(conn)?;
        let sized = measures::table.count().get_result(conn)?;
        let letters = outbox::table.count().get_result(conn)?;
        let families = accounts::table.filter(accounts::given_name.eq("Rosa")).count().get_result(conn)?;
        Ok((people, sized, letters, families))
    });
    assert_eq!(kept, (3, 0, 0, 0), "two to call and one barred; no sizes, no letter, no account");
    let reasons: Vec<PlaceReason> = house.rows(|conn| place_changes::table.select(place_changes::reason).load(conn));
    assert_eq!(reasons, [PlaceReason::StaffRegistered]);
    let registration = receipt.rsplit('/').next().expect("a reference").to_owned();
    priya.get(&format!("/season/{session}/riders/{registration}")).must_say("registered by staff, with a seat");
    // The screen is turned round: in her language, with no way into the staff's pages.
    let way = format!("{receipt}/sign/es");
    assert!(priya.get(&receipt).body.contains(&way), "the adult's language comes first");
    let turned = priya.get(&way);
    turned.must_say("Rosa Baeza, lea y firme por Mateo").must_say("Usted decide, sabiendo esto.");
    assert!(!turned.body.contains("/season") && !turned.body.contains("/sign-out"), "no way into the office");
    priya.get(&format!("{receipt}/sign/en")).must_say("Rosa Baeza, please read and sign for Mateo");
    priya.get(&format!("{receipt}/sign/fr")).must_be(404);
    let wrong = sign(&priya, &way, "Priya Castellanos");
    wrong.must_be(422);
    assert_eq!(wrong.field("signature").as_deref(), Some("Priya Castellanos"), "what was typed stays");
    assert_eq!(sign(&priya, &way, "Rosa Baeza").must_be(303).location(), receipt);
    priya.get(&receipt).must_say("Consent Signed");
    let left = priya.get(&way);
    left.must_say("Fotos de su hijo o hija (opcional)");
    assert!(left.field("ride_hash").is_none(), "only the pictures are left, and nobody has to agree to them");
    let signed = house.actions();
    assert_eq!(signed.iter().filter(|action| *action == "consent.sign").count(), 1);
}

#[test]
fn s28_u38_staff_write_health_answers_down_and_cannot_read_them_back() {
    let (house, session, priya) = desk(2);
    let receipt = send(&priya, &session, WRITTEN).must_be(303).location().to_owned();
    let registration = receipt.rsplit('/').next().expect("a reference");
    let child: String = house.rows(|conn| riders::table.select(riders::reference).first(conn));
    for place in [
        receipt.clone(),
        format!("{receipt}/sign/en"),
        page_of(&session),
        format!("/season/{session}/riders/{registration}"),
        format!("/families/{child}"),
        format!("{}?rider={child}", page_of(&session)),
    ] {
        assert!(!priya.get(&place).body.contains("wasp venom"), "{place}");
    }
    assert!(!house.database.holds("wasp venom"), "sealed wherever it is kept");
    let rafael = house.add_instructor();
    house.put_on(&session, rafael, Duty::Lead);
    let lead = house.signed_in("rafael@example.org");
    let emergency = lead.get(&format!("/roster/{session}/riders/{registration}/health"));
    emergency.must_be(200).must_say("wasp venom");
}

#[test]
fn u38_a_family_with_an_address_keeps_its_seat_whoever_owns_it() {
    let (house, session, priya) = desk(4);
    let written = but(&[("email", "rosa@example.org"), ("language", "en")]);
    let receipt = send(&priya, &session, &written).must_be(303).location().to_owned();
    priya.get(&receipt).must_say("a letter is on its way; it asks whether the address is right");
    house.confirm("rosa@example.org");
    assert_eq!(states(&house), [RegistrationState::Confirmed]);
    let shown: i64 = house
        .rows(|conn| accounts::table.filter(accounts::sign_in_name.eq("rosa@example.org")).count().get_result(conn));
    assert_eq!(shown, 1, "the address opens the account now");
    // Another family, whose address is somebody else's.
    let other = but(&[("child_given", "Nina"), ("given", "Olek"), ("email", "elsewhere@example.org")]);
    send(&priya, &session, &other).must_be(303);
    let question = house.question_to("elsewhere@example.org");
    assert_eq!(house.answer(&question, "no").location(), "/answers/done/address-no");
    assert_eq!(states(&house), [RegistrationState::Confirmed; 2], "a slip of the office costs nobody a seat");
    let reached: Vec<(Option<String>, bool)> = house.rows(|conn| {
        let of = guardians::table.filter(guardians::given_name.eq("Olek"));
        of.select((guardians::email, guardians::account_id.is_not_null())).load(conn)
    });
    assert_eq!(reached, [(None, false)], "nothing more is written there");
}

#[test]
fn u38_what_cannot_be_used_is_told_at_once_with_everything_that_was_typed() {
    let (house, session, priya) = desk(1);
    let empty = send(&priya, &session, &[]);
    empty.must_be(422).must_say("Error:");
    for words in [
        "Write the child's name",
        "Write the month, day and year",
        "Choose the home county",
        "Choose how much this child has ridden",
        "Write the adult's name",
        "Choose the language that the adult reads",
        "Write this person's name (the first person to call)",
        "Write this person's name (the second person to call)",
        "Write a phone number with its area code, such as 406 555 0142 (the adult's phone)",
        "Choose whether there is a health condition",
        "Choose whether there is an auto-injector",
        "Choose whether there is medicine on the day",
    ] {
        empty.must_say(words);
    }
    let faulty = send(&priya, &session, &but(&[("phone", "call me"), ("birth_day", "31")]));
    faulty.must_be(422).must_say("Write a phone number with its area code");
    assert_eq!(faulty.field("child_given").as_deref(), Some("Mateo"));
    assert_eq!(faulty.field("phone").as_deref(), Some("call me"));
    assert_eq!(faulty.field("allergy_what").as_deref(), Some("wasp venom"), "typed a moment ago, and not lost");
    let young = send(&priya, &session, &but(&[("birth_year", "2023")]));
    young.must_say("Nobody was registered.").must_say("Error:");
    young.must_be(409);
    assert_eq!(young.field("child_given").as_deref(), Some("Mateo"));
    assert_eq!(states(&house), []);
    // A full session: the next one waits, and nobody is told otherwise.
    send(&priya, &session, WRITTEN).must_be(303);
    priya.get(&page_of(&session)).must_say("Full: place 1 in line.");
    let second = send(&priya, &session, &but(&[("child_given", "Nina")])).must_be(303).location().to_owned();
    priya.get(&second).must_say("Place 1 in line");
}

#[test]
fn u38_one_press_is_one_registration_however_often_it_is_sent() {
    let (house, session, priya) = desk(4);
    let key = priya.get(&page_of(&session)).field("key").expect("a key");
    let all = but(&[("key", &key)]);
    let first = priya.post(&page_of(&session), &all).must_be(303).location().to_owned();
    assert_eq!(priya.post(&page_of(&session), &all).must_be(303).location(), first);
    let other = but(&[("key", &key), ("child_given", "Nina")]);
    priya.post(&page_of(&session), &other).must_be(409).must_say("Nobody was registered.");
    assert_eq!(states(&house).len(), 1);
    // The same key of another person is another key.
    house.add_member("ana@example.org", "Ana", "Ruiz", &[Role::Administrator]);
    let ana = house.signed_in("ana@example.org");
    ana.get(&page_of(&session)).must_be(200);
    assert_ne!(ana.post(&page_of(&session), &other).must_be(303).location(), first);
}

#[test]
fn u38_the_office_registers_a_child_that_it_knows_without_typing_the_family_again() {
    let (house, session, priya) = desk(4);
    let ingrid = house.stranger();
    ingrid.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    house.letters_out();
    let next = house.add_session("young", 3, saturday() + TimeDelta::days(14));
    let child: String = house.rows(|conn| riders::table.select(riders::reference).first(conn));
    let page = priya.get(&format!("/families/{child}"));
    page.must_say("Register for the family");
    let way = format!("{}?rider={child}", page_of(&next));
    assert!(page.body.contains(&way.replace('&', "&amp;")), "{}", page.words());
    assert!(!page.body.contains(&format!("/walk-up/{session}")), "she has a place there");
    let form = priya.get(&way);
    form.must_say("Register Zoë Marisol Okafor-Lindqvist").must_say("Ingrid Lindqvist, (406) 555-0118");
    assert_eq!(form.field("first_name").as_deref(), Some("Chidi Okafor"), "the people of the last time stand there");
    let key = form.field("key").expect("a key");
    let answers = [
        ("key", key.as_str()),
        ("known", &child),
        ("ridden", "few"),
        ("first_name", "Chidi Okafor"),
        ("first_phone", "406 555 0163"),
        ("second_name", "Signe Lindqvist"),
        ("second_phone", "406 555 0164"),
        ("any", "no"),
        ("injector", "no"),
        ("medicine", "no"),
    ];
    let receipt = priya.post(&page_of(&next), &answers).must_be(303).location().to_owned();
    let children: i64 = house.rows(|conn| riders::table.count().get_result(conn));
    assert_eq!(children, 1);
    let letters = house.letters_out();
    assert!(letters.iter().any(|(kind, letter)| kind == "registered" && letter.to.address == "ingrid@example.org"));
    // She reads it among her own, and signs at home.
    let own = receipt.replace(&page_of(&next), "/registrations");
    ingrid.get(&own).must_be(200);
    ingrid.sign_for(&own, "Ingrid Lindqvist").must_be(303);
    priya.get(&receipt).must_say("Consent Signed");
    // Registered once is registered.
    let again = priya.get(&way);
    let key = again.field("key").expect("a key");
    let mut again = answers.to_vec();
    again[0].1 = &key;
    priya.post(&page_of(&next), &again).must_say("Nobody was registered.");
}

#[test]
fn s25_u38_walk_ups_are_for_the_sessions_own_staff_and_known_families_for_the_office_alone() {
    let (house, session, priya) = desk(4);
    let elsewhere = house.add_session("young", 2, saturday() + TimeDelta::days(1));
    let rafael = house.add_instructor();
    house.put_on(&session, rafael, Duty::Instructor);
    let dewey = house.add_member("dewey@example.org", "Dewey", "Harjo", &[Role::Helper]);
    house.put_on(&session, dewey, Duty::Helper);
    let receipt = send(&priya, &session, WRITTEN).must_be(303).location().to_owned();
    let child: String = house.rows(|conn| riders::table.select(riders::reference).first(conn));
    let rafael = house.signed_in("rafael@example.org");
    rafael.get(&format!("/roster/{session}")).must_say("Register a child who walks up");
    rafael.get(&page_of(&session)).must_be(200);
    rafael.get(&page_of(&elsewhere)).must_be(404);
    rafael.get(&format!("{}?rider={child}", page_of(&session))).must_be(404);
    rafael.get(&receipt).must_be(200);
    rafael.get(&receipt.replace(&session, &elsewhere)).must_be(404);
    priya.get(&receipt.replace(&session, &elsewhere)).must_be(404);
    let dewey = house.signed_in("dewey@example.org");
    assert!(!dewey.get(&format!("/roster/{session}")).says("Register a child who walks up"));
    dewey.get(&page_of(&session)).must_be(403);
    dewey.get(&receipt).must_be(403);
    dewey.get(&format!("{receipt}/sign/es")).must_be(403);
    // A day after, nobody is registered any more.
    house.at("2026-06-14T12:00:00");
    let priya = house.signed_in("priya@example.org");
    let over = priya.get(&page_of(&session));
    assert!((400..500).contains(&over.status), "{}", over.status);
    assert!(!priya.get(&format!("/roster/{session}")).says("Register a child who walks up"));
}

#[test]
fn s30_u38_a_child_for_whom_nobody_decides_is_not_registered() {
    let (house, session, priya) = desk(4);
    send(&priya, &session, WRITTEN).must_be(303);
    let next = house.add_session("young", 3, saturday() + TimeDelta::days(14));
    let child: String = house.rows(|conn| riders::table.select(riders::reference).first(conn));
    let adult = format!("/families/{child}/adults/1");
    let decided = [("state", "restricted"), ("note", "Order of the county court, seen 2026-06-01")];
    priya.submit(&adult, &adult, &decided).must_be(303);
    let refused = priya.get(&format!("{}?rider={child}", page_of(&next)));
    refused.must_say("Nobody may decide for this child now.");
    assert!((400..500).contains(&refused.status), "{}", refused.status);
    assert!(!priya.get(&format!("/families/{child}")).says("Register for the family"));
}
