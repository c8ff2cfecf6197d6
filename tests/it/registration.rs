//! A family registers a child through the front door, without scripts: the way, its refusals, and what is kept.

use chrono::{NaiveDate, TimeDelta};
use diesel::prelude::*;
use waymark::jobs::letters::KINDS;
use waymark::store::StoreError;
use waymark::store::connection::{AnyConn, Purpose, open};
use waymark::store::outbox::OutboxRow;
use waymark::store::schema::{accounts, audit_rows, consents, drafts, health_notes, outbox, registrations, sessions};

use crate::house::app::{TestApp, saturday};
use crate::house::season::{adults, health, rider, sizes, step, with};

const CANARY: &str = "KESTREL7QUARTZ";

impl TestApp {
    fn look<T>(&self, work: impl FnOnce(&mut AnyConn) -> QueryResult<T>) -> T {
        self.app.store.read(|conn| work(conn).map_err(StoreError::from)).expect("a read")
    }

    fn count_registrations(&self) -> i64 {
        self.look(|conn| registrations::table.count().get_result(conn))
    }

    fn letters(&self) -> Vec<OutboxRow> {
        self.look(|conn| outbox::table.select(OutboxRow::as_select()).order(outbox::id).load(conn))
    }
}

#[test]
fn house_3_a_stranger_finds_a_session_and_registers_a_child_without_an_account() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.get("/").must_be(200).must_say("Alder Flat").must_say("How it works");
    browser.get("/sessions").must_be(200).must_say("4 seats free").must_say("Lewis and Clark County");
    let page = browser.get(&format!("/sessions/{session}"));
    page.must_be(200).must_say("8:30 AM to 1:00 PM, MDT").must_say("Ages 6 to 9").must_say("What to bring");
    page.must_say("nobody under 16 rides an ATV").must_say("e2022059279");

    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let shown = browser.get(&receipt);
    shown.must_be(200).must_say("Zoë Marisol is registered").must_say("Seat confirmed").must_say("What happens next");
    shown.must_say("Saturday, June 13, 2026").must_say(receipt.rsplit('/').next().unwrap());
    browser.get("/registrations").must_be(200).must_say("Zoë Marisol Okafor-Lindqvist");
    browser.get("/riders").must_be(200).must_say("Born September 21, 2016");
    let file = browser.get(&format!("{receipt}/calendar.ics"));
    file.must_be(200);
    assert_eq!(file.header("content-type"), Some("text/calendar; charset=utf-8"));
    assert!(file.body.contains("DTSTART;TZID=America/Denver:20260613T083000"), "{}", file.body);

    let taken: i64 = house.look(|conn| sessions::table.select(sessions::seats_taken).first(conn));
    assert_eq!((taken, house.count_registrations(), house.letters().len()), (1, 1, 2), "one asks, one confirms");
    let actions: Vec<String> =
        house.look(|conn| audit_rows::table.select(audit_rows::action).order(audit_rows::id).load(conn));
    for action in ["account.open", "registration.make", "consent.sign", "sign_in.open"] {
        assert!(actions.iter().any(|found| found == action), "{action} is not in {actions:?}");
    }
    let left: i64 = house.look(|conn| drafts::table.count().get_result(conn));
    assert_eq!(left, 0, "the draft went with the registration");
}

#[test]
fn house_3_a_guardian_who_is_signed_in_registers_the_known_child_again_in_five_pages() {
    let house = TestApp::start();
    let first = house.add_session("young", 4, saturday());
    let second = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let browser = house.stranger();
    browser.register(&first, &rider(), "ingrid@example.org");
    let page = browser.get(&step(&second, "rider"));
    page.must_say("Which child?").must_say("Zoë Marisol Okafor-Lindqvist");
    let known = page.field("known").expect("a known child");
    let answers = vec![("known", known), ("ridden", "few".to_owned())];
    assert_eq!(browser.answer(&second, "rider", &answers).location(), step(&second, "health"));
    browser.answer(&second, "health", &health()).must_be(303);
    let page = browser.get(&step(&second, "adults"));
    page.must_say("You are signed in as Ingrid Lindqvist");
    assert!(!page.body.contains("type=\"password\""), "no password is asked twice");
    let contacts: Vec<_> = adults("").into_iter().filter(|(name, _)| name.contains('_')).collect();
    browser.answer(&second, "adults", &contacts).must_be(303);
    browser.answer(&second, "sizes", &sizes()).must_be(303);
    let fields = browser.signed(&second, "ingrid lindqvist");
    let receipt = browser.sign(&second, &fields);
    browser.follow(&receipt).must_be(200).must_say("Saturday, June 20, 2026");
    let (people, places) = house.look(|conn| {
        Ok((accounts::table.count().get_result::<i64>(conn)?, registrations::table.count().get_result::<i64>(conn)?))
    });
    assert_eq!((people, places), (1, 2));
    assert_eq!(browser.get("/riders").body.matches("Born ").count(), 1, "one child stays one child");
}

/// Ages by the calendar; the course is for ages 6 to 9 on the first day.
#[test]
fn u11_age_on_the_day_is_told_early_on_a_page_that_says_why_and_what_next() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    for (year, month, day, expected) in [
        ("2020", "6", "13", None),
        ("2020", "6", "14", Some("A rider must be 6 or older on Saturday, June 13, 2026.")),
        ("2016", "6", "14", None),
        ("2016", "6", "13", Some("This course is for riders up to 9 years old on Saturday, June 13, 2026.")),
    ] {
        let browser = house.stranger();
        let born = [("birth_year", year), ("birth_month", month), ("birth_day", day)];
        let answers = born.into_iter().fold(rider(), |all, (name, value)| with(all, name, value));
        let answered = browser.answer(&session, "rider", &answers);
        match expected {
            None => assert_eq!(answered.location(), step(&session, "health"), "{year}-{month}-{day}"),
            Some(words) => {
                answered.must_be(422).must_say(words).must_say("Look for another session");
                let back = browser.get(&step(&session, "rider"));
                assert_eq!(back.field("given").as_deref(), Some("Zoë Marisol"), "the answers are kept");
            }
        }
    }
}

/// 1 March counts as the birthday of 29 February in a common year: the shipped setting.
#[test]
fn r36_a_child_born_on_a_leap_day_is_of_age_on_the_first_of_march() {
    let house = TestApp::start();
    house.app.store.write("from seven", set_least_age).unwrap();
    for (held_on, status) in [((2027, 2, 28), 422), ((2027, 3, 1), 303)] {
        let (year, month, day) = held_on;
        let session = house.add_session("young", 4, NaiveDate::from_ymd_opt(year, month, day).unwrap());
        let born = [("birth_year", "2020"), ("birth_month", "2"), ("birth_day", "29")];
        let answers = born.into_iter().fold(rider(), |all, (name, value)| with(all, name, value));
        house.stranger().answer(&session, "rider", &answers).must_be(status);
    }
}

fn set_least_age(conn: &mut AnyConn) -> Result<(), StoreError> {
    use waymark::store::schema::courses;
    diesel::update(courses::table.filter(courses::code.eq("young"))).set(courses::least_age.eq(7)).execute(conn)?;
    Ok(())
}

#[test]
fn house_3_a_full_session_gives_an_honest_place_in_line() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday());
    house.stranger().register(&session, &rider(), "first@example.org");
    let second = house.stranger();
    second.get(&format!("/sessions/{session}")).must_say("Full, nobody waits").must_say("first in line");
    let receipt = second.register(&session, &rider(), "second@example.org");
    second.get(&receipt).must_be(200).must_say("is on the waitlist").must_say("Place 1 in line");
    let third = house.stranger();
    third.get(&step(&session, "rider")).must_say("Full. Place 2 in line.");
    let receipt = third.register(&session, &rider(), "third@example.org");
    third.get(&receipt).must_say("Place 2 in line");
    let kinds: Vec<String> = house.letters().into_iter().map(|letter| letter.kind).collect();
    assert_eq!(kinds, ["address_asked"; 3]);
}

#[test]
fn s34_the_last_step_alone_leads_to_the_first_missing_one() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.get(&step(&session, "rider")).must_be(200);
    let sent = [("key", "abc"), ("signature", "Ingrid Lindqvist")];
    assert_eq!(browser.post(&step(&session, "check"), &sent).location(), step(&session, "rider"));
    browser.answer(&session, "rider", &rider()).must_be(303);
    assert_eq!(browser.post(&step(&session, "check"), &sent).location(), step(&session, "health"));
    assert_eq!(browser.get(&step(&session, "adults")).location(), step(&session, "health"));
    browser.answer(&session, "health", &health()).must_be(303);
    assert_eq!(browser.get(&step(&session, "check")).location(), step(&session, "adults"));
    browser.answer(&session, "adults", &adults("ingrid@example.org")).must_be(303);
    browser.answer(&session, "sizes", &sizes()).must_be(303);
    let mut fields = browser.signed(&session, "Ingrid Lindqvist");
    fields.retain(|(name, _)| name != "ride-risks");
    browser.sign(&session, &fields).must_be(422).must_say("Tick paragraph 2 if you agree");
    let fields = browser.signed(&session, "Somebody Else");
    browser.sign(&session, &fields).must_be(422).must_say("Type the guardian's name as above");
    assert_eq!(house.count_registrations(), 0, "no seat without a signature");
}

#[test]
fn r23_the_same_key_gives_the_same_page_and_another_body_is_refused() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer_all(&session, &rider(), "ingrid@example.org");
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let first = browser.sign(&session, &fields);
    let again = browser.sign(&session, &fields);
    assert_eq!(first.location(), again.location(), "Back and send again");
    browser.follow(&again).must_be(200).must_say("A seat is held");
    let other: Vec<_> = fields
        .iter()
        .map(|(name, value)| {
            (name.clone(), if name == "signature" { "INGRID LINDQVIST".into() } else { value.clone() })
        })
        .collect();
    browser.sign(&session, &other).must_be(422).must_say("This form was sent before with other answers");
    assert_eq!((house.count_registrations(), house.letters().len()), (1, 1), "one registration, one letter");
}

#[test]
fn u11_a_child_who_has_a_place_is_told_so_early() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.register(&session, &rider(), "ingrid@example.org");
    let answered = browser.answer(&session, "rider", &rider());
    answered
        .must_be(409)
        .must_say("This child is registered already")
        .must_say("This rider already has a place in this session")
        .must_say("My registrations");
    assert_eq!(house.count_registrations(), 1);
}

#[test]
fn s26_another_familys_registration_answers_like_one_that_is_not_there() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let one = house.stranger();
    let receipt = one.register(&session, &rider(), "one@example.org");
    let other = house.stranger();
    let own = other.register(&session, &rider(), "other@example.org");
    let missing = receipt.replace(receipt.rsplit('/').next().unwrap(), "2345bcdfghjkm");
    let plain = |body: &str| {
        let cut =
            |text: &str| text.split("value=\"").map(|part| &part[part.find('"').unwrap_or(0)..]).collect::<String>();
        cut(body).replace(&receipt, "HERE").replace(&missing, "HERE")
    };
    for tail in ["", "/calendar.ics"] {
        let theirs = other.get(&format!("{receipt}{tail}"));
        let nowhere = other.get(&format!("{missing}{tail}"));
        assert_eq!((theirs.status, nowhere.status), (404, 404));
        assert_eq!(plain(&theirs.body), plain(&nowhere.body));
    }
    let known = one.get(&step(&session, "rider")).field("known").expect("the first family's child");
    let answers = vec![("known", known), ("ridden", "few".to_owned())];
    other.answer(&session, "rider", &answers).must_be(404);
    other.get(&own).must_be(200);
    assert!(!other.get("/registrations").body.contains(receipt.rsplit('/').next().unwrap()));
}

#[test]
fn s28_s54_a_word_in_the_health_notes_is_nowhere_but_on_the_familys_own_draft() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer(&session, "rider", &rider()).must_be(303);
    let told = ["allergy_what", "injector_where", "needs", "more"];
    let answers = told.into_iter().fold(health(), |all, name| with(all, name, CANARY));
    browser.answer(&session, "health", &answers).must_be(303);
    assert!(browser.get(&step(&session, "health")).body.contains(CANARY), "the family reads its own answer");
    assert!(!house.stranger().get(&step(&session, "rider")).body.contains(CANARY));
    browser.answer(&session, "adults", &adults("ingrid@example.org")).must_be(303);
    browser.answer(&session, "sizes", &sizes()).must_be(303);
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let receipt = browser.sign(&session, &fields).location().to_owned();
    for path in ["/", "/sessions", "/riders", "/registrations", &receipt, &format!("{receipt}/calendar.ics")] {
        assert!(!browser.get(path).body.contains(CANARY), "{path}");
    }
    let (row_key, sealed): (Vec<u8>, Vec<u8>) =
        house.look(|conn| health_notes::table.select((health_notes::row_key, health_notes::body)).first(conn));
    let key: [u8; 16] = row_key.try_into().expect("sixteen bytes");
    let note = house.app.cipher.open("health_notes", "body", &key, &sealed).expect("the note opens at its own place");
    assert!(String::from_utf8_lossy(&note).contains(CANARY), "the note is kept");
    assert!(house.app.cipher.open("health_notes", "body", &[0; 16], &sealed).is_err(), "and at no other");
    for letter in house.letters() {
        let kind = KINDS.iter().find(|kind| kind.name == letter.kind).expect("a kind that can be written");
        let written = (kind.write)(&house.app, &letter).expect("words");
        assert!(!format!("{written:?}").contains(CANARY) && !written.text.contains("Okafor"), "{}", written.text);
    }
    assert_no_canary_in_files(&house);
}

fn assert_no_canary_in_files(house: &TestApp) {
    let Some(path) = house.database.url.file() else { return };
    drop(open(&house.database.url, Purpose::Read).expect("a reader"));
    for ending in ["", "-wal"] {
        let mut name = path.as_os_str().to_owned();
        name.push(ending);
        let bytes = std::fs::read(&name).unwrap_or_default();
        assert!(ending == "-wal" || !bytes.is_empty(), "the database is a file");
        assert!(!bytes.windows(CANARY.len()).any(|window| window == CANARY.as_bytes()), "{name:?}");
    }
}

#[test]
fn u31_the_letter_says_the_same_twice_and_holds_the_first_name_only() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    house.stranger().register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let letter = house.letters().pop().expect("a letter");
    let kind = KINDS.iter().find(|kind| kind.name == letter.kind).expect("a kind");
    let written = (kind.write)(&house.app, &letter).expect("words");
    assert_eq!(written.to.address, "ingrid@example.org");
    assert_eq!(written.subject, "Zoë Marisol is registered");
    for words in ["Saturday, June 13, 2026, 8:30 AM to 1:00 PM, MDT", "Alder Flat", "/registrations/"] {
        assert!(written.text.contains(words) && written.html.contains(words), "{words}: {}", written.text);
    }
    for hidden in ["Okafor", "bee", "red bag", "2016"] {
        assert!(!written.text.contains(hidden) && !written.html.contains(hidden), "{hidden}");
    }
    let calendar = String::from_utf8(written.enclosures[0].bytes.clone()).unwrap();
    assert!(calendar.starts_with("BEGIN:VCALENDAR") && !calendar.contains("Okafor"));
    assert!(written.html.len() + written.text.len() + calendar.len() < 30_000);
    assert!(!written.html.contains("<img"), "nothing is loaded from afar");
}

#[test]
fn u16_a_spanish_family_signs_the_spanish_text_and_its_hash_is_kept() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger().speaking("es");
    browser.get("/").must_say("Cursos de manejo para jóvenes");
    browser.answer_all(&session, &rider(), "ingrid@example.org");
    let page = browser.get(&step(&session, "check"));
    page.must_say("Revise sus respuestas y firme").must_say("Inscribir a Zoë Marisol").must_say("español");
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let receipt = browser.sign(&session, &fields);
    browser.follow(&receipt).must_be(200).must_say("Hay un lugar apartado para Zoë Marisol");
    let kept: (String, String, String) = house
        .look(|conn| consents::table.select((consents::shown_hash, consents::signed_name, consents::zone)).first(conn));
    let shown = waymark_consent("ride.es");
    assert_eq!(kept, (shown, "Ingrid Lindqvist".into(), "America/Denver".into()));
    assert_eq!(house.letters()[0].language, waymark::domain::words::Lang::Es);
}

/// The hash of a shipped text, made here from the file itself.
fn waymark_consent(name: &str) -> String {
    use sha2::{Digest, Sha256};
    let path = format!("{}/seed/consents/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text: waymark::domain::consent::ConsentText = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    Sha256::digest(text.shown_text().as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn u10_what_cannot_be_used_comes_back_with_what_was_typed() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let answers = with(with(with(rider(), "birth_year", "16"), "ridden", ""), "county", "99999");
    let page = browser.answer(&session, "rider", &answers);
    page.must_be(422)
        .must_say("Write all four digits of the year, such as 2016")
        .must_say("Choose how much this child has ridden");
    assert!(page.body.contains("<title>Error: "), "the title says so");
    assert!(
        page.body.contains("role=\"alert\"") && page.body.contains("href=\"#birth_year\""),
        "the summary leads there"
    );
    assert_eq!(page.field("given").as_deref(), Some("Zoë Marisol"));
    assert_eq!(page.field("birth_year").as_deref(), Some("16"));
    browser.answer(&session, "rider", &rider()).must_be(303);
    let page = browser.answer(&session, "health", &with(health(), "injector_where", " "));
    page.must_be(422).must_say("Write where the auto-injector is kept");
    assert_eq!(page.field("allergy_what").as_deref(), Some("bee stings"));
    browser.answer(&session, "health", &health()).must_be(303);
    let page = browser.answer(&session, "adults", &with(adults("no address"), "password", "seven elk"));
    page.must_be(422).must_say("Write a whole e-mail address").must_say("Write at least 12 characters");
    assert_eq!(page.field("password").as_deref(), Some(""), "a password is never shown again");
    assert!(!page.body.contains("novalidate=\"false\"") && page.body.contains("novalidate"));
}

#[test]
fn house_3_pounds_taken_for_kilograms_are_asked_about_once_and_may_be_kept() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    for (name, answers) in [("rider", rider()), ("health", health()), ("adults", adults("ingrid@example.org"))] {
        browser.answer(&session, name, &answers).must_be(303);
    }
    let metric = with(with(with(sizes(), "units", "metric"), "height", "132"), "inseam", "60");
    let page = browser.answer(&session, "sizes", &metric);
    page.must_be(422).must_say("Did you mean 63.0 lb?").must_say("These sizes are right");
    assert_eq!(page.field("weight").as_deref(), Some("63"));
    let kept = browser.answer(&session, "sizes", &with(metric, "confirmed", "yes"));
    assert_eq!(kept.location(), step(&session, "check"));
}

#[test]
fn u16_a_change_from_the_check_page_comes_back_to_it_in_one_step() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer_all(&session, &rider(), "ingrid@example.org");
    let check = browser.get(&step(&session, "check"));
    let change = format!("{}?from=check", step(&session, "rider"));
    assert!(check.body.contains(&change), "{}", check.body);
    let page = browser.get(&change);
    assert_eq!(page.field("given").as_deref(), Some("Zoë Marisol"), "filled in");
    assert_eq!(page.field("from").as_deref(), Some("check"));
    let answers = with(with(rider(), "given", "Zoë"), "from", "check");
    assert_eq!(browser.answer(&session, "rider", &answers).location(), step(&session, "check"));
    browser.get(&step(&session, "check")).must_say("Register Zoë").must_say("bee stings");
}

#[test]
fn house_3_who_has_an_account_signs_in_on_the_way_and_the_answers_come_along() {
    let house = TestApp::start();
    house.add_guardian("ingrid@example.org", "Ingrid", "Lindqvist");
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer(&session, "rider", &rider()).must_be(303);
    browser.answer(&session, "health", &health()).must_be(303);
    browser.get(&step(&session, "adults")).must_say("I have an account: sign in and come back here");
    let login = [("email", "ingrid@example.org"), ("password", crate::house::people::PASSWORD)];
    browser.submit("/sign-in", "/sign-in", &login).must_be(303);
    let page = browser.get(&step(&session, "rider"));
    assert_eq!(page.field("given").as_deref(), Some("Zoë Marisol"), "the draft came along");
    browser.get(&step(&session, "adults")).must_be(200).must_say("You are signed in as Ingrid Lindqvist");
}

#[test]
fn house_3_registration_stays_closed_until_the_text_is_approved() {
    let house = TestApp::without_approval();
    let session = house.add_session("young", 4, saturday());
    house.stranger().get(&format!("/sessions/{session}")).must_be(200);
    house.stranger().get(&step(&session, "rider")).must_be(422).must_say("Registration is not open yet");
}

#[test]
fn u07_the_guardians_fields_carry_their_tokens_and_the_childs_do_not() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let tag = |body: &str, name: &str| {
        let found = body.split('<').find(|tag| tag.starts_with("input") && tag.contains(&format!("name=\"{name}\"")));
        found.unwrap_or_else(|| panic!("no field {name}")).to_owned()
    };
    let page = browser.get(&step(&session, "rider"));
    for name in ["given", "family", "birth_day", "birth_year"] {
        assert!(tag(&page.body, name).contains("autocomplete=\"off\""), "{name}");
    }
    assert!(tag(&page.body, "birth_year").contains("inputmode=\"numeric\"") && !page.body.contains("type=\"date\""));
    browser.answer(&session, "rider", &rider()).must_be(303);
    browser.answer(&session, "health", &health()).must_be(303);
    let page = browser.get(&step(&session, "adults"));
    for (name, token) in [
        ("given", "given-name"),
        ("family", "family-name"),
        ("phone", "tel"),
        ("email", "email"),
        ("password", "new-password"),
    ] {
        assert!(tag(&page.body, name).contains(&format!("autocomplete=\"{token}\"")), "{name}");
    }
}

#[test]
fn house_3_the_list_is_filtered_by_county_age_and_language_at_a_stable_address() {
    let house = TestApp::start();
    house.add_session("young", 4, saturday());
    house.add_session("older", 4, saturday() + TimeDelta::days(1));
    let browser = house.stranger();
    browser.get("/sessions").must_say("2 sessions, June 13, 2026 to June 14, 2026");
    browser.get("/sessions?age=8").must_say("One session, June 13, 2026");
    browser.get("/sessions?county=30049&age=12&taught=en").must_say("One session, June 14, 2026");
    let none = browser.get("/sessions?county=&age=4&taught=es");
    none.must_be(200).must_say("No session fits what you look for").must_say("Show all sessions");
    browser.get("/sessions?age=9&county=%27").must_be(200);
    browser.get("/sessions?age=nine").must_be(422).must_say("Write a number, such as 8");
    browser.get("/sessions/2345bcdfghjkm").must_be(404);
}

#[test]
fn u05_a_second_child_needs_no_people_typed_again_and_what_another_guardian_wrote_stays_hidden() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.register(&session, &rider(), "ingrid@example.org");
    let page = browser.get(&step(&session, "rider"));
    let county = page.body.split("name=\"county\"").nth(1).expect("a list of counties");
    assert!(county.contains(&format!("value=\"{}\" selected", crate::house::season::HOME)), "the home is known");
    let brother = with(with(rider(), "given", "Łukasz"), "known", "");
    browser.answer(&session, "rider", &brother).must_be(303);
    browser.answer(&session, "health", &health()).must_be(303);
    let page = browser.get(&step(&session, "adults"));
    page.must_be(200).must_say("Filled in from your last registration.");
    for (field, kept) in [
        ("first_name", "Chidi Okafor"),
        ("first_phone", "(406) 555-0163"),
        ("second_phone", "(406) 555-0164"),
        ("pick_up_name", "Chidi Okafor"),
        ("pick_up_too_name", ""),
    ] {
        assert_eq!(page.field(field).as_deref(), Some(kept), "{field}");
    }
    let other = house.stranger();
    other.answer(&session, "rider", &rider()).must_be(303);
    other.answer(&session, "health", &health()).must_be(303);
    let page = other.get(&step(&session, "adults"));
    assert!(!page.says("Filled in") && page.field("first_name").as_deref() == Some(""));
}
