//! Reminders before a session, the question whether a child still comes, and the way to want no reminders.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::jobs::letters::Written;
use waymark::services::places;

use super::{back, family};
use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;

/// The day of these stories: the Saturday three weeks after that of the others, 4 July 2026, 8:30 AM at the site.
fn session(house: &TestApp, seats: i64) -> String {
    house.add_session("young", seats, saturday() + TimeDelta::days(21))
}

/// What goes out at an instant (UTC): the site's clock is six hours behind.
fn out_at(house: &TestApp, instant: &str) -> Vec<(String, Written)> {
    house.at(instant);
    places::remind(&house.app).expect("the job");
    house.letters_out()
}

fn kinds(letters: &[(String, Written)]) -> Vec<&str> {
    letters.iter().map(|(kind, _)| kind.as_str()).collect()
}

#[test]
fn r35_reminders_go_out_once_each_at_nine_oclock_of_the_site() {
    let house = TestApp::start();
    let session = session(&house, 2);
    family(&house, &session, "Mia", "mia@example.org");
    house.letters_out();
    for (instant, expected) in [
        ("2026-06-27T14:59:59", &[][..]),
        ("2026-06-27T15:00:00", &["reminder_week"][..]),
        ("2026-06-27T15:01:00", &[]),
        ("2026-06-28T15:00:00", &[]),
        ("2026-06-29T14:59:59", &[]),
        ("2026-06-29T15:00:00", &["still_coming"]),
        ("2026-06-30T15:00:00", &[]),
        ("2026-07-02T15:00:00", &["still_coming"]),
        ("2026-07-03T14:59:59", &[]),
        ("2026-07-03T20:00:00", &["reminder_day"]),
        ("2026-07-03T21:00:00", &[]),
        ("2026-07-04T15:00:00", &[]),
    ] {
        assert_eq!(kinds(&out_at(&house, instant)), expected, "{instant}");
    }
}

/// A letter that waited while the relay was down is not sent once it is of no use.
#[test]
fn family_7_a_reminder_of_what_is_over_does_not_go_out() {
    let house = TestApp::start();
    let session = session(&house, 2);
    family(&house, &session, "Mia", "mia@example.org");
    house.letters_out();
    house.at("2026-07-03T15:00:00");
    places::remind(&house.app).expect("the job");
    house.at("2026-07-05T15:00:00");
    assert_eq!(kinds(&house.letters_out()), [""; 0], "the session is over");
}

/// The family calls before it drives to machines that are too big; it is told in its language, and only when a machine is
/// there to compare with.
#[test]
fn day_3_a_week_before_a_family_whom_no_machine_may_fit_is_asked_to_call() {
    for (seat_to_rest, is_warned) in [(590_000, true), (430_000, false)] {
        let house = TestApp::start();
        let session = session(&house, 2);
        house.add_atv("4", "Y-6+", "ready");
        let set = move |conn: &mut waymark::store::AnyConn| {
            let column = waymark::store::schema::machines::seat_to_rest_um;
            diesel::update(waymark::store::schema::machines::table).set(column.eq(seat_to_rest)).execute(conn)?;
            Ok::<_, waymark::store::StoreError>(())
        };
        house.app.store.write("seat", set).expect("a change");
        house.stranger().register(&session, &crate::house::season::rider(), "zoe@example.org");
        house.confirm("zoe@example.org");
        house.letters_out();
        let letters = out_at(&house, "2026-06-27T15:00:00");
        let [(_, letter)] = letters.as_slice() else { panic!("{} letters", letters.len()) };
        for body in [&letter.text, &letter.html] {
            assert_eq!(body.contains("our machines may not fit Zoë Marisol"), is_warned, "{body}");
            assert_eq!(body.contains("Please call us before the day: (406) 555-"), is_warned, "{body}");
            assert!(!body.contains("23 5/8"), "no size stands in a letter");
        }
    }
}

#[test]
fn family_7_a_reminder_says_when_where_how_to_get_there_and_what_to_bring_in_text_and_html() {
    let house = TestApp::start();
    let session = session(&house, 2);
    family(&house, &session, "Mia", "mia@example.org");
    house.letters_out();
    let letters = out_at(&house, "2026-06-27T15:00:00");
    let [(_, letter)] = letters.as_slice() else { panic!("{} letters", letters.len()) };
    assert_eq!(letter.subject, "Coming up: Mia rides on Saturday, July 4");
    let off = letter.unsubscribe.as_deref().expect("a way to want no more");
    for said in [
        "Saturday, July 4, 2026, 8:30 AM to 1:00 PM",
        "12 Lantern Street",
        "Second gate after the bridge.",
        "What to bring",
        "/registrations/",
        off,
    ] {
        assert!(letter.text.contains(said), "{said}: {}", letter.text);
        assert!(letter.html.contains(said), "{said}: {}", letter.html);
    }
    assert!(letter.html.contains(&format!("<a href=\"{off}\"")), "a way to press: {}", letter.html);
    for secret in ["Okafor", "bee stings", "red bag", "2016"] {
        assert!(!letter.text.contains(secret) && !letter.html.contains(secret), "{secret}");
    }
}

#[test]
fn family_6_who_says_yes_is_asked_no_more_and_the_office_sees_it() {
    let house = TestApp::start();
    house.add_coordinator();
    let session = session(&house, 2);
    let (_, receipt) = family(&house, &session, "Mia", "mia@example.org");
    family(&house, &session, "Otto", "otto@example.org");
    house.letters_out();
    house.at("2026-06-29T15:00:00");
    places::remind(&house.app).expect("the job");
    let question = house.question_to("mia@example.org");
    for _ in 0..3 {
        house.stranger().get(&question).must_be(200).must_say("Is Mia still coming?");
    }
    let mia = back(&house, "mia@example.org");
    mia.get("/").must_say("Please answer").must_say("Tell us if you still come.");
    mia.get(&receipt).must_say("Still coming?").must_say("Yes, we come");
    let yes = house.answer(&question, "yes");
    house.stranger().follow(&yes).must_be(200).must_say("Thank you. See you there.");
    let page = mia.get(&receipt);
    page.must_say("you said that you come");
    assert!(!page.says("Yes, we come"), "nothing is asked any more");
    let priya = house.signed_in("priya@example.org");
    priya.get(&format!("/season/{session}")).must_say("Mia Okafor-Lindqvist 9 seat comes");
    priya.get(&format!("/season/{session}")).must_say("Otto Okafor-Lindqvist 9 seat has not said");
    assert_eq!(kinds(&out_at(&house, "2026-07-02T15:00:00")), ["still_coming"], "Otto's family alone is asked again");
    house.at("2026-07-03T16:00:00");
    let due = house.signed_in("priya@example.org").get("/");
    due.must_say("Families to ask").must_say("1 family has not said whether the child comes.");
}

#[test]
fn family_6_who_does_not_come_frees_the_seat_for_the_next_by_one_press() {
    let house = TestApp::start();
    let session = session(&house, 1);
    family(&house, &session, "Mia", "mia@example.org");
    let (_, second) = family(&house, &session, "Otto", "otto@example.org");
    house.letters_out();
    house.at("2026-06-29T15:00:00");
    places::remind(&house.app).expect("the job");
    let question = house.question_to("mia@example.org");
    let no = house.answer(&question, "no");
    house.stranger().follow(&no).must_say("The seat goes to another child");
    assert_eq!(house.counts(), (1, 0));
    assert_eq!(kinds(&house.letters_out()), ["seat_offered", "place_given_up"]);
    back(&house, "otto@example.org").get(&second).must_say("A seat is free for Otto");
    house.stranger().get(&question).must_be(410);
}

#[test]
fn family_6_a_family_says_on_its_own_page_whether_it_comes_until_the_session_begins() {
    let house = TestApp::start();
    let session = session(&house, 2);
    let (_, receipt) = family(&house, &session, "Mia", "mia@example.org");
    let (_, other) = family(&house, &session, "Otto", "otto@example.org");
    house.at("2026-07-04T14:29:59");
    let mia = back(&house, "mia@example.org");
    let way = format!("{receipt}/coming");
    mia.get(&receipt);
    mia.post(&format!("{other}/coming"), &[("answer", "no")]).must_be(404);
    mia.post(&way, &[("answer", "perhaps")]).must_be(303);
    mia.post(&way, &[("answer", "yes")]).must_be(303);
    house.at("2026-07-04T14:30:00");
    mia.post(&way, &[("answer", "no")]).must_be(410);
    mia.get(&receipt).must_say("Seat confirmed");
    assert_eq!(house.counts(), (2, 0));
}

fn path_of(address: &str) -> String {
    address[address.find("/reminders/").expect("its way")..].to_owned()
}

/// RFC 8058, section 3.1 and 3.2: the mail program sends one POST with that body and no cookie, and is not sent elsewhere; a
/// GET changes nothing.
#[test]
fn u32_one_post_without_a_cookie_turns_reminders_off_at_once_and_looking_changes_nothing() {
    let house = TestApp::start();
    let session = session(&house, 2);
    family(&house, &session, "Mia", "mia@example.org");
    house.letters_out();
    let letters = out_at(&house, "2026-06-27T15:00:00");
    let way = path_of(letters[0].1.unsubscribe.as_deref().expect("a way"));
    house.watch_changes();
    let before = house.writes();
    for _ in 0..3 {
        house.stranger().get(&way).must_be(200).must_say("Reminders come by e-mail");
    }
    assert_eq!(house.writes(), before, "looking writes nothing");
    let robot = Browser::new(&house.url);
    let sent = robot.send("POST", &way, &[], "List-Unsubscribe=One-Click");
    sent.must_be(200).must_say("No reminders come");
    assert_eq!(sent.header("location"), None);
    house.stranger().get(&way).must_say("No reminders come").must_say("still come, because you need them");
    assert!(house.actions().contains(&"reminders.off".to_owned()));
    let asked = out_at(&house, "2026-06-29T15:00:00");
    assert_eq!(kinds(&asked), ["still_coming"], "a letter about a place goes on");
    assert!(asked[0].1.unsubscribe.is_none());
    assert_eq!(kinds(&out_at(&house, "2026-07-03T15:00:00")), [""; 0]);

    let mia = back(&house, "mia@example.org");
    mia.get("/account").must_say("We do not remind you before sessions.");
    mia.post("/account/reminders", &[("reminders", "on")]).must_be(303);
    mia.get("/account").must_say("We remind you before each session.");
    for wrong in ["/reminders/x".to_owned(), format!("{way}A"), way.replace("/reminders/", "/reminders/A")] {
        house.stranger().get(&wrong).must_be(404);
        robot.send("POST", &wrong, &[], "List-Unsubscribe=One-Click").must_be(404);
    }
}

/// The answer was about another day: it is forgotten with the question, and both come anew before the new day.
#[test]
fn family_7_a_session_or_a_place_that_moves_is_asked_about_anew_and_not_before_its_time() {
    let house = TestApp::start();
    house.add_coordinator();
    let (one, two) = (session(&house, 2), house.add_session("young", 2, saturday() + TimeDelta::days(28)));
    let (_, receipt) = family(&house, &one, "Mia", "mia@example.org");
    family(&house, &one, "Otto", "otto@example.org");
    house.letters_out();
    house.at("2026-06-29T15:00:00");
    places::remind(&house.app).expect("the job");
    let letters = house.letters_out();
    assert_eq!(kinds(&letters), ["still_coming", "still_coming"]);
    let mia = back(&house, "mia@example.org");
    mia.get(&receipt).must_say("Still coming?");
    let way = format!("{receipt}/move");
    mia.submit(&way, &way, &[("session", &two)]).must_be(303);
    assert!(!mia.get(&receipt).says("Still coming?"), "the new day is far");
    let old = letters[0].1.text.lines().find(|line| line.contains("/answers/")).expect("a question").to_owned();
    let old = &old[old.find("/answers/").expect("its way")..];
    house.stranger().get(old.split('?').next().expect("a path")).must_be(410);
    house.letters_out();
    assert_eq!(kinds(&out_at(&house, "2026-07-04T15:00:00")), ["reminder_week"], "of the new day, for Mia");
    assert_eq!(kinds(&out_at(&house, "2026-07-06T15:00:00")), ["still_coming"]);
    back(&house, "mia@example.org").get(&receipt).must_say("Still coming?");
}
