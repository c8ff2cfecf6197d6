//! What becomes of a place after registration: addresses are confirmed, seats come free and are offered in order, and
//! families answer by one press or not at all.

mod coming;
mod moving;
mod office;
mod together;

use std::sync::Barrier;

use chrono::{NaiveDateTime, TimeDelta};
use diesel::prelude::*;
use waymark::jobs::letters::Written;
use waymark::services::places;
use waymark::store::StoreError;
use waymark::store::schema::{accounts, audit_rows, guardianships, question_tokens, registrations, riders, sessions};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::people::PASSWORD;
use crate::house::season::{adults, health, rider, sizes, step, with};

/// The password of a family that registers.
pub const FAMILYS: &str = "lantern under seven larches";

impl TestApp {
    /// What comes round every few seconds.
    pub fn come_round(&self) {
        places::run(&self.app).expect("the job");
    }

    /// What nobody does from a page.
    pub fn set(&self, sql: &'static str) {
        let run = move |conn: &mut waymark::store::AnyConn| waymark::store::migrations::execute(conn, sql);
        self.app.store.write("meanwhile", run).expect("sound SQL");
    }

    pub fn at(&self, instant: &str) {
        self.app.clock.set(instant.parse::<NaiveDateTime>().expect("an instant"));
    }

    /// Seats taken and families waiting, as the session counts them, equal to what its registrations say.
    #[track_caller]
    fn counts(&self) -> (i64, i64) {
        let (counted, states): ((i64, i64), Vec<String>) = self
            .app
            .store
            .read(|conn| {
                let counted = sessions::table.select((sessions::seats_taken, sessions::waiting)).first(conn)?;
                Ok::<_, StoreError>((counted, registrations::table.select(registrations::state).load(conn)?))
            })
            .expect("a session");
        let of = |names: &[&str]| states.iter().filter(|state| names.contains(&state.as_str())).count();
        let real = (of(&["held", "confirmed", "offered"]), of(&["waitlisted"]));
        assert_eq!(counted, (real.0.try_into().unwrap(), real.1.try_into().unwrap()), "{states:?}");
        counted
    }

    pub fn actions(&self) -> Vec<String> {
        let rows = audit_rows::table.select(audit_rows::action).order(audit_rows::id);
        self.app.store.read(|conn| Ok::<_, StoreError>(rows.load(conn)?)).expect("audit rows")
    }
}

/// Another child, so that families differ.
fn child(given: &str) -> crate::house::season::Fields {
    with(rider(), "given", given)
}

/// A family with a place whose address is shown: its browser and its receipt.
fn family(house: &TestApp, session: &str, given: &str, email: &str) -> (Browser, String) {
    let browser = house.stranger();
    let receipt = browser.register(session, &child(given), email);
    house.confirm(email);
    (browser, receipt)
}

/// The short way of a family with a registration behind it: one of its children, with all answers as they were.
impl Browser {
    /// The first step of a session for the family's first child.
    fn try_known(&self, session: &str) -> Answered {
        let known = self.get(&step(session, "rider")).field("known").expect("the child is known");
        self.answer(session, "rider", &vec![("known", known), ("ridden", "few".to_owned())])
    }

    /// The first child once more, in another session; gives the receipt's address.
    #[track_caller]
    fn answer_for_known(&self, session: &str) -> String {
        self.try_known(session).must_be(303);
        self.answer_the_rest(session)
    }

    /// Another child of a family that is signed in; gives the receipt's address.
    #[track_caller]
    fn register_another(&self, session: &str, rider: &crate::house::season::Fields) -> String {
        self.answer(session, "rider", rider).must_be(303);
        self.answer_the_rest(session)
    }

    #[track_caller]
    pub fn answer_the_rest(&self, session: &str) -> String {
        self.answer(session, "health", &health()).must_be(303);
        self.answer_the_rest_after_health(session)
    }

    #[track_caller]
    pub fn answer_the_rest_after_health(&self, session: &str) -> String {
        let contacts: Vec<_> = adults("").into_iter().filter(|(name, _)| name.contains('_')).collect();
        self.answer(session, "adults", &contacts).must_be(303);
        self.answer(session, "sizes", &sizes()).must_be(303);
        let fields = self.signed(session, "Ingrid Lindqvist");
        self.sign(session, &fields).location().to_owned()
    }
}

/// A family that comes back after its login has ended.
pub fn back(house: &TestApp, email: &str) -> Browser {
    let browser = house.stranger();
    browser.submit("/sign-in", "/sign-in", &[("email", email), ("password", FAMILYS)]).must_be(303);
    browser
}

fn sign_in(house: &TestApp, email: &str, password: &str) -> Answered {
    house.stranger().submit("/sign-in", "/sign-in", &[("email", email), ("password", password)])
}

#[test]
fn family_2_a_new_family_registers_first_and_confirms_its_address_after() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    let page = browser.get(&receipt);
    page.must_be(200).must_say("A seat is held for Zoë Marisol").must_say("Confirm your address");
    page.must_say("A letter is on its way to ingrid@example.org. Open its link by June 10, 2026, 11:00 AM.");
    browser.get("/").must_say("Please answer").must_say("Open the link in our letter by June 10, 2026, 11:00 AM");
    assert_eq!(house.counts(), (1, 0), "a held seat is taken");

    let question = house.question_to("ingrid@example.org");
    for _ in 0..3 {
        house.stranger().get(&question).must_be(200).must_say("Is this your address?").must_say("Zoë Marisol");
    }
    browser.get(&receipt).must_say("Seat held");
    let done = house.stranger();
    let answered = done.submit(&question, &question, &[("answer", "yes")]);
    done.follow(&answered).must_be(200).must_say("Your address is confirmed");
    browser.get(&receipt).must_say("Zoë Marisol is registered").must_say("Seat confirmed").must_say("you confirmed");
    let letters = house.letters_out();
    let [(kind, letter)] = letters.as_slice() else { panic!("{} letters", letters.len()) };
    assert_eq!((kind.as_str(), letter.subject.as_str()), ("registered", "Zoë Marisol is registered"));
    let files: Vec<&str> = letter.enclosures.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(files, ["session.ics", "signed.txt"], "the calendar comes with the seat, and a copy of what was signed");
    house.stranger().get(&question).must_be(410).must_say("This question is closed");
    done.post(&question, &[("answer", "no")]).must_be(410);
    assert_eq!(house.counts(), (1, 0));
    sign_in(&house, "ingrid@example.org", FAMILYS).must_be(303);
    let actions = house.actions();
    assert!(actions.contains(&"place.confirm".to_owned()), "{actions:?}");
}

#[test]
fn s09_an_address_that_nobody_has_shown_opens_nothing_by_password_but_a_link_shows_it() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    let words = |reply: &Answered, email: &str| reply.words().replace(email, "ADDRESS");
    let unshown = sign_in(&house, "ingrid@example.org", FAMILYS);
    let unknown = sign_in(&house, "nobody@example.org", FAMILYS);
    assert_eq!((unshown.status, unknown.status), (422, 422));
    assert_eq!(words(&unshown, "ingrid@example.org"), words(&unknown, "nobody@example.org"));
    house.letters_out();
    house.stranger().submit("/sign-in/link", "/sign-in/link", &[("email", "ingrid@example.org")]).must_be(303);
    let link = house.link_in_the_letter();
    let other = house.stranger();
    other.submit("/sign-in", &link, &[]).must_be(303);
    other.get(&receipt).must_be(200).must_say("Seat confirmed");
    // Somebody else may have registered with this address: neither their password nor their login opens the account.
    sign_in(&house, "ingrid@example.org", FAMILYS).must_be(422);
    assert_eq!(browser.get(&receipt).status, 303);
    other.get("/account").must_say("You have none. You sign in with a link by mail.");
}

#[test]
fn s09_registering_looks_the_same_whether_the_address_is_known_unknown_unshown_or_shut() {
    let house = TestApp::start();
    let other = house.add_session("young", 12, saturday());
    house.add_guardian("known@example.org", "Ana", "Ruiz");
    house.add_guardian("shut@example.org", "Bo", "Ruiz");
    let shut = |conn: &mut waymark::store::AnyConn| {
        diesel::update(accounts::table.filter(accounts::email.eq("shut@example.org")))
            .set(accounts::disabled_at.eq(NaiveDateTime::default()))
            .execute(conn)?;
        Ok::<_, StoreError>(())
    };
    house.app.store.write("shut", shut).expect("shut");
    house.stranger().register(&other, &child("Otto"), "unshown@example.org");
    let seen: Vec<String> = ["known", "shut", "unshown", "unknown"]
        .iter()
        .map(|who| {
            let email = format!("{who}@example.org");
            let session = house.add_session("young", 12, saturday());
            let browser = house.stranger();
            browser.answer_all(&session, &rider(), &email);
            let check = browser.get(&step(&session, "check")).words();
            let fields = browser.signed(&session, "Ingrid Lindqvist");
            let reply = browser.sign(&session, &fields);
            let receipt = reply.location().to_owned();
            let shown = browser.get(&receipt).words();
            let all = format!("{check} {} {shown} {}", reply.status, browser.get("/account").words());
            let reference = receipt.rsplit('/').next().unwrap_or_default();
            all.replace(&email, "ADDRESS").replace(reference, "REFERENCE")
        })
        .collect();
    for (who, words) in ["shut", "unshown", "unknown"].iter().zip(&seen[1..]) {
        assert_eq!(&seen[0], words, "{who}");
    }
    assert!(seen[0].contains("A letter is on its way to ADDRESS"), "{}", seen[0]);
}

#[test]
fn s09_what_was_registered_with_a_known_address_goes_into_its_account_once_its_owner_says_so() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    house.add_guardian("ingrid@example.org", "Ingrid", "Lindqvist");
    let stranger = house.stranger();
    let receipt = stranger.register(&session, &rider(), "ingrid@example.org");
    let owner = house.signed_in("ingrid@example.org");
    owner.get(&receipt).must_be(404);
    owner.get("/registrations").must_say("You have no registrations yet");
    let question = house.question_to("ingrid@example.org");
    house.stranger().get(&question).must_say("You have an account with this address");
    house.answer(&question, "yes").must_be(303);
    owner.get(&receipt).must_be(200).must_say("Seat confirmed");
    owner.get("/riders").must_say("Zoë Marisol Okafor-Lindqvist");
    owner.get(&format!("{receipt}/consent")).must_be(200).must_say("Ingrid Lindqvist");
    assert_eq!(stranger.get(&receipt).status, 303, "the login of the account that was joined has ended");
    sign_in(&house, "ingrid@example.org", FAMILYS).must_be(422);
    sign_in(&house, "ingrid@example.org", PASSWORD).must_be(303);
    assert_eq!(house.counts(), (1, 0));
}

#[test]
fn s09_the_same_child_registered_twice_by_a_known_family_keeps_one_place() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let later = house.add_session("young", 4, saturday() + TimeDelta::days(7));
    let (owner, first) = family(&house, &session, "Zoë Marisol", "ingrid@example.org");
    let again = house.stranger().register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    owner.get(&first).must_say("Seat confirmed");
    owner.get(&again).must_be(200).must_say("has no place any more").must_say("this child had a place already");
    let other = house.stranger().register(&later, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    owner.get(&other).must_be(200).must_say("Seat confirmed");
    let (ties, children): (i64, i64) = house
        .app
        .store
        .read(|conn| {
            let ties = guardianships::table.count().get_result(conn)?;
            Ok::<_, StoreError>((ties, riders::table.count().get_result(conn)?))
        })
        .expect("counts");
    assert_eq!((ties, children), (2, 2), "the third registration is about the child that was known");
}

#[test]
fn s19_staff_whose_address_gets_a_family_sign_in_anew() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    house.add_instructor();
    let staff = house.signed_in("rafael@example.org");
    house.stranger().register(&session, &rider(), "rafael@example.org");
    house.confirm("rafael@example.org");
    assert_eq!(staff.get("/my-sessions").status, 303, "another role, another login");
    let anew = house.signed_in("rafael@example.org");
    anew.get("/registrations").must_be(200).must_say("Zoë Marisol");
    anew.get("/my-sessions").must_be(200);
}

#[test]
fn family_2_who_did_not_register_takes_everything_back_with_one_press() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday());
    let stranger = house.stranger();
    let receipt = stranger.register(&session, &rider(), "not.me@example.org");
    let (second, waits) = family(&house, &session, "Otto", "otto@example.org");
    stranger.register(&house.add_session("young", 4, saturday() + TimeDelta::days(7)), &rider(), "");
    let question = house.question_to("not.me@example.org");
    let browser = house.stranger();
    let answered = browser.submit(&question, &question, &[("answer", "no")]);
    browser.follow(&answered).must_be(200).must_say("All is taken back");
    assert_eq!(stranger.get(&receipt).status, 303, "the login is over");
    second.get(&waits).must_say("A seat is free for Otto");
    let states: Vec<String> = house
        .app
        .store
        .read(|conn| {
            Ok::<_, StoreError>(registrations::table.select(registrations::state).order(registrations::id).load(conn)?)
        })
        .expect("states");
    assert_eq!(states, ["cancelled", "offered", "cancelled"]);
}

#[test]
fn family_6_a_seat_that_nobody_confirms_goes_to_the_first_in_line() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday());
    let lost = house.stranger().register(&session, &child("Mia"), "mia@example.org");
    let late = house.question_to("mia@example.org");
    let (second, receipt) = family(&house, &session, "Otto", "otto@example.org");
    second.get(&receipt).must_say("Place 1 in line");
    house.app.clock.advance(TimeDelta::hours(2) - TimeDelta::seconds(1));
    house.come_round();
    let second = back(&house, "otto@example.org");
    second.get(&receipt).must_say("Place 1 in line");
    house.app.clock.advance(TimeDelta::seconds(1));
    house.answer(&late, "yes").must_be(303);
    assert_eq!(house.counts(), (1, 1), "late is late, also before the job has come round");
    let first = back(&house, "mia@example.org");
    first.get(&lost).must_say("Seat held");
    house.come_round();
    assert_eq!(house.counts(), (1, 0));
    let letters = house.letters_out();
    let told: Vec<_> = letters.iter().map(|(kind, letter)| (kind.as_str(), letter.to.address.as_str())).collect();
    assert_eq!(
        told,
        [("seat_offered", "otto@example.org"), ("hold_ran_out", "mia@example.org")],
        "a letter about a place in line that is no more is not sent"
    );
    let offer = &letters[0].1;
    assert!(offer.text.contains("Take it by June 12, 2026, 9:00 AM"), "{}", offer.text);
    first.get(&lost).must_be(200).must_say("Mia has no place any more").must_say("the time to answer was over");
    first.get(&step(&session, "rider")).must_say("Which child?");
    second.get(&receipt).must_be(200).must_say("A seat is free for Otto").must_say("Take it by June 12, 2026, 9:00 AM");
    house.come_round();
    assert!(house.letters_out().is_empty(), "nobody is told twice");
}

impl TestApp {
    #[track_caller]
    fn answer_too_late(&self, question: &str) {
        self.stranger().get(question).must_be(410);
        let browser = self.stranger();
        browser.get("/sign-in");
        browser.post(question, &[("answer", "yes")]).must_be(410);
    }
}

#[test]
fn family_6_a_freed_seat_is_offered_at_once_in_order_of_arrival_and_an_unanswered_offer_moves_on() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday() + TimeDelta::days(7));
    let (holder, seat) = family(&house, &session, "Mia", "mia@example.org");
    let (one, first) = family(&house, &session, "Otto", "otto@example.org");
    let (two, second) = family(&house, &session, "Ada", "ada@example.org");
    let (three, third) = family(&house, &session, "Lew", "lew@example.org");
    three.get(&third).must_say("Place 3 in line");
    house.letters_out();

    holder.get(&format!("{seat}/give-up")).must_be(200).must_say("Give up Mia's place?");
    holder.post(&format!("{seat}/give-up"), &[]).must_be(303);
    holder.get(&seat).must_say("Mia has no place any more");
    one.get(&first).must_say("A seat is free for Otto").must_say("Take it by June 11, 2026, 8:00 PM");
    two.get(&second).must_say("Place 1 in line");
    let offer = house.question_to("otto@example.org");
    assert_eq!(house.counts(), (1, 2), "an offered seat is taken");

    // Nights do not count: twelve hours until Wednesday at 9 PM, twelve from Thursday at 8 AM. In UTC six hours more.
    house.at("2026-06-12T01:59:59");
    house.come_round();
    back(&house, "otto@example.org").get(&first).must_say("A seat is free for Otto");
    house.at("2026-06-12T02:00:00");
    house.answer_too_late(&offer);
    house.come_round();
    house.answer_too_late(&offer);
    let (two, three) = (back(&house, "ada@example.org"), back(&house, "lew@example.org"));
    two.get(&second).must_say("A seat is free for Ada");
    assert_eq!(house.counts(), (1, 1));

    let offer = house.question_to("ada@example.org");
    let browser = house.stranger();
    browser.get(&offer).must_be(200).must_say("Do you take the seat?").must_say("Ada");
    let left = browser.submit(&offer, &offer, &[("answer", "no")]);
    browser.follow(&left).must_say("The seat goes to another child");
    three.get(&third).must_say("A seat is free for Lew");
    let offer = house.question_to("lew@example.org");
    let taken = house.answer(&offer, "yes");
    assert_eq!(taken.location(), "/answers/done/offer-yes");
    three.get(&third).must_say("Seat confirmed").must_say("you took the seat");
    let kinds: Vec<String> = house.letters_out().into_iter().map(|(kind, _)| kind).collect();
    assert_eq!(kinds, ["registered"], "the seat is confirmed by a letter");
    assert_eq!(house.counts(), (1, 0));
}

#[test]
fn family_6_a_family_answers_an_offer_on_its_own_page_and_no_other_family_can() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday() + TimeDelta::days(7));
    let (holder, seat) = family(&house, &session, "Mia", "mia@example.org");
    let (one, first) = family(&house, &session, "Otto", "otto@example.org");
    holder.get("/");
    for way in ["give-up", "offer", "letter"] {
        holder.post(&format!("{first}/{way}"), &[("answer", "yes")]).must_be(404);
    }
    one.post(&format!("{first}/offer"), &[("answer", "yes")]).must_be(410);
    holder.post(&format!("{seat}/give-up"), &[]).must_be(303);
    one.post(&format!("{first}/offer"), &[]).must_be(303);
    one.get(&first).must_say("A seat is free for Otto");
    one.post(&format!("{first}/offer"), &[("answer", "yes")]).must_be(303);
    one.get(&first).must_say("Seat confirmed");
    one.post(&format!("{first}/offer"), &[("answer", "no")]).must_be(410);
    assert_eq!(house.counts(), (1, 0));
}

/// Three give up, three answer, and the job comes round, all in the same moment.
#[test]
fn s35_seats_given_up_and_answered_at_once_keep_every_count_true_and_the_order_of_arrival() {
    let house = TestApp::start();
    let session = house.add_session("young", 3, saturday() + TimeDelta::days(7));
    let families: Vec<(Browser, String)> = ["Mia", "Otto", "Ada", "Lew", "Ines", "Noor", "Tam", "Bo"]
        .iter()
        .map(|given| family(&house, &session, given, &format!("{}@example.org", given.to_lowercase())))
        .collect();
    assert_eq!(house.counts(), (3, 5));
    let at_once = |acts: &[(usize, &str, &str)]| {
        let start = Barrier::new(acts.len() + 2);
        std::thread::scope(|scope| {
            for (number, way, said) in acts {
                let (start, (browser, receipt)) = (&start, &families[*number]);
                let (browser, path) = (browser.copy(), format!("{receipt}/{way}"));
                scope.spawn(move || {
                    browser.get(receipt).must_be(200);
                    start.wait();
                    browser.post(&path, &[("answer", said)]).must_be(303);
                });
            }
            for _ in 0..2 {
                let (start, house) = (&start, &house);
                scope.spawn(move || {
                    start.wait();
                    house.come_round();
                });
            }
        });
    };
    let states = || -> Vec<String> {
        let rows = registrations::table.select(registrations::state).order(registrations::id);
        house.app.store.read(|conn| Ok::<_, StoreError>(rows.load(conn)?)).expect("states")
    };
    at_once(&[(0, "give-up", ""), (1, "give-up", ""), (2, "give-up", "")]);
    assert_eq!(house.counts(), (3, 2));
    assert_eq!(states()[3..], ["offered", "offered", "offered", "waitlisted", "waitlisted"], "in order of arrival");
    at_once(&[(3, "offer", "yes"), (4, "offer", "no"), (5, "offer", "yes")]);
    assert_eq!(house.counts(), (3, 1));
    assert_eq!(states()[3..], ["confirmed", "cancelled", "confirmed", "offered", "waitlisted"]);
}

#[test]
fn u33_giving_up_takes_the_entry_out_of_the_calendar_with_a_higher_sequence() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let seated = house.letters_out();
    browser.post(&format!("{receipt}/give-up"), &[]).must_be(303);
    let over = house.letters_out();
    let read = |letters: &[(String, Written)]| {
        let file = String::from_utf8(letters.last().expect("a letter").1.enclosures[0].bytes.clone()).expect("text");
        let line = |name: &str| {
            let found = file.lines().find_map(|line| line.strip_prefix(name));
            found.unwrap_or_else(|| panic!("no {name} in {file}")).to_owned()
        };
        (line("UID:"), line("SEQUENCE:").parse::<u32>().expect("a number"), line("STATUS:"))
    };
    let (before, after) = (read(&seated), read(&over));
    assert_eq!(before.0, after.0, "one entry");
    assert!(after.1 > before.1, "{before:?} {after:?}");
    assert_eq!(after.2, "CANCELLED");
}

#[test]
fn family_6_who_gave_a_place_up_registers_again_under_the_same_reference() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    browser.post(&format!("{receipt}/give-up"), &[]).must_be(303);
    browser.post(&format!("{receipt}/give-up"), &[]).must_be(409);
    assert_eq!(browser.get(&format!("{receipt}/give-up")).location(), receipt, "there is nothing to give up");
    let known = browser.get(&step(&session, "rider")).field("known").expect("the child is known");
    browser.answer(&session, "rider", &vec![("known", known), ("ridden", "few".to_owned())]).must_be(303);
    let told = with(health(), "allergy_what", "wasps");
    browser.answer(&session, "health", &told).must_be(303);
    let contacts: Vec<_> = adults("").into_iter().filter(|(name, _)| name.contains('_')).collect();
    browser.answer(&session, "adults", &contacts).must_be(303);
    browser.answer(&session, "sizes", &sizes()).must_be(303);
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    assert_eq!(browser.sign(&session, &fields).location(), receipt);
    browser.get(&receipt).must_be(200).must_say("Seat confirmed").must_say("you gave the place up");
    assert_eq!(house.counts(), (1, 0));
}

#[test]
fn family_6_a_place_is_given_up_until_the_session_begins_and_not_after() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let (_, receipt) = family(&house, &session, "Mia", "mia@example.org");
    house.at("2026-06-13T14:30:00");
    let browser = back(&house, "mia@example.org");
    browser.get(&format!("{receipt}/give-up")).must_be(200);
    browser.post(&format!("{receipt}/give-up"), &[]).must_be(409).must_say("Back to the registration");
    house.at("2026-06-13T14:29:59");
    browser.post(&format!("{receipt}/give-up"), &[]).must_be(303);
}

#[test]
fn family_6_near_the_start_nobody_waits_for_an_answer_and_no_seat_is_offered() {
    let house = TestApp::start();
    let session = house.add_session("young", 1, saturday());
    house.at("2026-06-13T12:30:00");
    let browser = house.stranger();
    let receipt = browser.register(&session, &child("Mia"), "mia@example.org");
    let question = house.question_to("mia@example.org");
    browser.get(&receipt).must_be(200).must_say("Seat confirmed");
    let other = house.stranger();
    let waits = other.register(&session, &child("Otto"), "otto@example.org");
    browser.post(&format!("{receipt}/give-up"), &[]).must_be(303);
    house.come_round();
    other.get(&waits).must_say("Place 1 in line");
    assert_eq!(house.counts(), (0, 1));
    house.answer(&question, "yes").must_be(303);
    back(&house, "mia@example.org");
}

#[test]
fn s41_the_letter_that_asks_for_the_address_is_sent_five_times_in_a_quarter_of_an_hour() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    let again = format!("{receipt}/letter");
    for _ in 0..4 {
        browser.post(&again, &[]).must_be(303);
    }
    browser.post(&again, &[]).must_be(429);
    let questions: Vec<String> = house.letters_out().into_iter().map(|(kind, _)| kind).collect();
    assert_eq!(questions, ["address_asked"; 5]);
    house.app.clock.advance(TimeDelta::minutes(16));
    browser.post(&again, &[]).must_be(303);
    house.confirm("ingrid@example.org");
    browser.post(&again, &[]).must_be(409);
}

#[test]
fn family_2_a_wrong_address_is_mended_on_the_way_and_the_new_one_confirms_the_place() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "inrgid@example.org");
    browser.get(&receipt).must_say("Use another address");
    let asked = [("email", "ingrid@example.org"), ("current", FAMILYS)];
    browser.submit("/account/address", "/account/address", &asked).must_be(303);
    let letters = house.letters_out();
    let text = &letters.iter().find(|(kind, _)| kind == "address_link").expect("a link").1.text;
    let link = text.lines().find(|line| line.contains("/links/")).expect("its way");
    browser.submit("/sign-in", &link[link.find("/links/").expect("there")..], &[]).must_be(303);
    browser.get(&receipt).must_say("Seat confirmed");
    sign_in(&house, "ingrid@example.org", FAMILYS).must_be(303);
}

#[test]
fn s15_a_question_keeps_the_hash_of_its_token_alone_and_an_unknown_one_is_closed() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    house.stranger().register(&session, &rider(), "ingrid@example.org");
    let question = house.question_to("ingrid@example.org");
    let token = question.trim_start_matches("/answers/").split('?').next().expect("a token");
    assert_eq!(token.len(), 43, "32 random bytes");
    let hashes: Vec<Vec<u8>> = house
        .app
        .store
        .read(|conn| Ok::<_, StoreError>(question_tokens::table.select(question_tokens::token_hash).load(conn)?))
        .expect("hashes");
    assert!(hashes.len() == 1 && hashes[0].len() == 32 && hashes[0] != token.as_bytes());
    for other in ["/answers/x", "/answers/%F0%9F%90%8E", "/answers/done"] {
        house.stranger().get(other).must_be(410);
    }
    house.stranger().get("/answers/done/nothing").must_be(404);
}
