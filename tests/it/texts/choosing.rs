//! Who gets texts: adults who agreed, on their own page or before the office, and nobody where there is no gateway.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::services::places;
use waymark::store::schema::{guardians, texts};

use super::{Story, call_off, house, states, tried, walk_up};
use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::gateway::GatewayHouse;
use crate::house::season::rider;
use crate::walk_up::{but, send};

fn agreed(house: &TestApp) -> Vec<bool> {
    house.rows(|conn| guardians::table.order(guardians::id).select(guardians::texts_agreed_at.is_not_null()).load(conn))
}

/// Ingrid with a seat for Zoë, her address shown, signed in.
fn ingrid(house: &TestApp, session: &str) -> Browser {
    let browser = house.stranger();
    browser.register(session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    house.letters_out();
    browser
}

#[test]
fn family_7_without_a_gateway_nobody_reads_of_texts_and_nobody_gets_any() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let form = priya.get(&format!("/walk-up/{session}"));
    assert!(!form.says("text messages") && !form.body.contains("name=\"texts\""), "{}", form.words());
    // A tick that no page showed counts for nothing.
    let place = walk_up(&priya, &session, &[("texts", "yes")]);
    assert_eq!(agreed(&house), [false]);
    let sheet = priya.get(&place);
    assert!(!sheet.says("Text messages") && !sheet.says("texts"), "{}", sheet.words());
    priya.submit(&place, &place, &[("act", "texts")]).must_be(404);
    let ingrid = ingrid(&house, &session);
    let account = ingrid.get("/account");
    assert!(!account.says("Text messages") && !account.body.contains("/account/texts"), "{}", account.words());
    ingrid.post("/account/texts", &[("texts", "on")]).must_be(404);
    assert_eq!(agreed(&house), [false, false]);
    house.set("UPDATE guardians SET texts_agreed_at = '2026-06-01 12:00:00'");
    call_off(&priya, &session);
    let told = priya.get(&format!("/season/{session}/told"));
    assert!(!told.says("text on its way") && !told.says("told by text"), "{}", told.words());
    assert_eq!(states(&house), Vec::<String>::new());
}

#[test]
fn family_7_a_family_turns_texts_on_and_off_on_its_own_page_in_its_own_language() {
    let gateway = GatewayHouse::opened();
    let house = house(&gateway);
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    let ingrid = ingrid(&house, &session);
    let page = ingrid.get("/account");
    page.must_say("We can also text you when a session is called off or moved, or a seat is free");
    page.must_say("Your phone company may charge for each message.").must_say("You stop them here at any time");
    ingrid.post("/account/texts", &[("texts", "perhaps")]).must_be(303);
    assert_eq!(agreed(&house), [false]);
    for _ in 0..2 {
        ingrid.post("/account/texts", &[("texts", "on")]).must_be(303);
    }
    ingrid.get("/account").must_say("We also text you when").must_say("Send no more texts");
    ingrid.post("/account/texts", &[("texts", "off")]).must_be(303);
    assert_eq!(agreed(&house), [false]);
    let pressed: Vec<String> = house.actions().into_iter().filter(|action| action.starts_with("texts.")).collect();
    assert_eq!(pressed, ["texts.on", "texts.off"]);
    let spanish = ingrid.get("/account?lang=es");
    let spanish = if spanish.status == 303 { ingrid.follow(&spanish) } else { spanish };
    spanish.must_say("Mensajes de texto").must_say("puede cobrar por cada mensaje").must_say("Los detiene aquí");
    // Who is no family has nothing to agree to.
    let helper = house.person(Role::Helper);
    assert!(!helper.get("/account").says("Text messages"));
    helper.post("/account/texts", &[("texts", "on")]).must_be(404);
}

#[test]
fn family_7_who_agreed_and_has_letters_gets_both_and_who_did_not_agree_gets_letters_alone() {
    let gateway = GatewayHouse::opened();
    let house = house(&gateway);
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    let ingrid = ingrid(&house, &session);
    ingrid.get("/account");
    ingrid.post("/account/texts", &[("texts", "on")]).must_be(303);
    house.stranger().register(&session, &rider(), "marek@example.org");
    house.confirm("marek@example.org");
    house.letters_out();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    call_off(&priya, &session);
    assert_eq!(tried(&house), 1);
    let (to, text) = gateway.got()[0].said();
    assert_eq!(to, "+14065550118");
    assert!(
        text.contains("The session of Zo") && text.contains("on Sat, July 4 at Alder Flat is called off."),
        "{text}"
    );
    let letters = house.letters_out();
    assert_eq!(letters.iter().filter(|(kind, _)| kind == "session_cancelled").count(), 2);
    priya.get(&format!("/season/{session}/told")).must_say("letter sent told by text");
}

#[test]
fn family_7_reminders_that_are_off_are_off_for_texts_too() {
    let gateway = GatewayHouse::opened();
    let house = house(&gateway);
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    let ingrid = ingrid(&house, &session);
    ingrid.get("/account");
    ingrid.post("/account/texts", &[("texts", "on")]).must_be(303);
    ingrid.post("/account/reminders", &[("reminders", "off")]).must_be(303);
    house.at("2026-07-03T15:00:00");
    places::remind(&house.app).expect("the job");
    assert_eq!(tried(&house), 1);
    assert_eq!((gateway.got().len(), states(&house)), (0, vec!["moot".to_owned()]));
}

#[test]
fn family_7_staff_ask_the_adult_before_them_and_the_office_sees_and_ends_it() {
    let story = Story::open();
    story.priya.get(&format!("/walk-up/{}", story.session)).must_say("This adult agrees to text messages");
    let silent = walk_up(&story.priya, &story.session, &[("child_given", "Nina"), ("phone", "406 555 0188")]);
    assert_eq!(agreed(&story.house), [true, false]);
    assert_eq!(story.house.actions().iter().filter(|action| *action == "texts.on").count(), 1);
    story.priya.get(&story.place).must_say("Text messages yes, beside letters and calls");
    story.priya.get(&silent).must_say("Text messages no").must_say("They agree to text messages");
    story.press(&silent, "texts").must_be(303);
    story.press(&story.place, "no_texts").must_be(303);
    assert_eq!(agreed(&story.house), [false, true]);
    // What was typed stays when something else is wrong.
    let faulty = send(&story.priya, &story.session, &but(&[("texts", "yes"), ("birth_day", "31")]));
    let tick = faulty.must_be(422).body.split("name=\"texts\"").nth(1).and_then(|rest| rest.split('>').next());
    assert!(tick.is_some_and(|tick| tick.contains("checked")), "{tick:?}");
}

#[test]
fn family_7_what_is_owed_ends_when_the_adult_wants_no_more_or_has_another_telephone_or_stood_back() {
    for (how, sql) in [
        ("switched off", "UPDATE guardians SET texts_agreed_at = NULL"),
        ("another telephone", "UPDATE guardians SET phone = '+14065550199'"),
        ("stood back", "UPDATE guardianships SET state = 'revoked'"),
    ] {
        let story = Story::open();
        story.call_off();
        story.house.set(sql);
        assert_eq!(tried(&story.house), 1, "{how}");
        assert_eq!((story.gateway.got().len(), story.states()), (0, vec!["moot".to_owned()]), "{how}");
        let kept: Vec<String> = story.house.rows(|conn| texts::table.select(texts::phone).load(conn));
        assert_eq!(kept, ["+14065550171"]);
    }
}
