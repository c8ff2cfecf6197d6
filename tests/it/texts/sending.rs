//! What becomes of a text when the gateway is down, slow, rude or gone, or when our own process dies: once at most, and never
//! lost silently. The clock is set by hand; only a gateway's silence is waited for, one second.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::store::schema::texts;
use waymark::store::texts::{TextClaim, claim_texts, set_text_handed};

use super::{Story, all_due, texting, tried, tried_after, walk_up};
use crate::house::gateway::{GatewayHouse, Manner};

fn tries(story: &Story) -> Vec<i64> {
    story.house.rows(|conn| texts::table.order(texts::id).select(texts::tries).load(conn))
}

#[test]
fn r08_a_text_waits_for_a_gateway_that_is_down_and_goes_out_once_when_it_is_back() {
    let mut story = Story::with(GatewayHouse::closed(), 4);
    story.call_off();
    assert_eq!(tried(&story.house), 1);
    for longest in [1, 2, 4, 8, 15, 15] {
        let mut waited = 1;
        while tried_after(&story.house, TimeDelta::minutes(1)) == 0 {
            waited += 1;
        }
        assert!((longest * 3 / 4..=longest).contains(&waited), "{waited} of at most {longest} minutes");
    }
    let page = story.first_page();
    page.must_say("Texts that did not arrive").must_say("Rosa Baeza, Alder Flat, July 4, 2026");
    page.must_say("The text that the session is called off is not out yet").must_say("(406) 555-0171");
    assert!(page.body.contains("href=\"tel:+14065550171\""), "one tap calls");
    story.told().must_say("text on its way");
    story.gateway.open();
    assert_eq!(tried_after(&story.house, TimeDelta::minutes(15)), 1);
    assert_eq!((story.gateway.got().len(), story.states()), (1, vec!["sent".to_owned()]));
    assert!(!story.first_page().says("Texts that did not arrive"));
    assert_eq!(tried_after(&story.house, TimeDelta::hours(1)), 0);
}

#[test]
fn r10_a_text_is_given_up_after_a_day_and_then_nobody_sends_it() {
    let mut story = Story::with(GatewayHouse::closed(), 4);
    story.call_off();
    let asked = story.house.app.clock.now();
    while story.states() == ["due"] {
        assert!(story.house.app.clock.now() < asked + TimeDelta::hours(25), "it is given up after a day");
        tried_after(&story.house, TimeDelta::minutes(15));
    }
    assert!(story.house.app.clock.now() >= asked + TimeDelta::hours(24));
    assert_eq!(story.states(), ["stopped"]);
    story.first_page().must_say("given up").must_say("could not be sent for a day. Call them.");
    story.gateway.open();
    assert_eq!(tried_after(&story.house, TimeDelta::hours(1)), 0);
    assert_eq!(story.gateway.got().len(), 0);
}

#[test]
fn r10_a_gateway_that_is_busy_or_broken_is_asked_again_and_takes_the_text_once() {
    for status in [429, 500, 503] {
        let story = Story::open();
        story.gateway.behave(Manner::Answers(status));
        story.call_off();
        assert_eq!(tried(&story.house), 1);
        assert_eq!((story.states(), tries(&story)), (vec!["due".to_owned()], vec![1]), "{status}");
        assert_eq!(tried(&story.house), 0, "not at once");
        story.gateway.behave(Manner::Answers(200));
        assert_eq!(tried_after(&story.house, TimeDelta::minutes(1)), 1);
        assert_eq!((story.gateway.got().len(), story.states()), (2, vec!["sent".to_owned()]), "{status}");
    }
}

#[test]
fn r10_a_text_that_the_gateway_refuses_is_a_task_of_the_office_at_once() {
    for status in [400, 401, 404, 422] {
        let story = Story::open();
        story.gateway.behave(Manner::Answers(status));
        story.call_off();
        assert_eq!(tried(&story.house), 1);
        assert_eq!(story.states(), ["stopped"], "{status}");
        let page = story.first_page();
        page.must_say("Texts that did not arrive").must_say("refused").must_say("was refused by the gateway");
        assert!(page.body.contains(&format!("href=\"/season/{}/told\"", story.session)));
        story.told().must_say("text did not arrive");
        assert_eq!(tried_after(&story.house, TimeDelta::hours(2)), 0);
        // Called is called.
        let told = format!("/season/{}/told", story.session);
        let priya = story.house.signed_in("priya@example.org");
        priya.submit(&told, &format!("{told}/1"), &[]).must_be(303);
        assert!(!story.first_page().says("Texts that did not arrive"));
    }
}

#[test]
fn s57_a_gateway_that_sends_us_elsewhere_is_not_followed() {
    let story = Story::open();
    story.gateway.behave(Manner::Elsewhere);
    story.call_off();
    assert_eq!(tried(&story.house), 1);
    let got = story.gateway.got();
    assert_eq!(got.len(), 1, "{got:?}");
    assert_eq!(story.states(), ["stopped"]);
}

#[test]
fn r09_a_text_that_was_handed_over_without_an_answer_is_never_sent_again_and_shown_to_the_office() {
    for manner in [Manner::Drops, Manner::Babbles, Manner::Silent, Manner::Drips] {
        let story = Story::open();
        story.gateway.behave(manner);
        story.call_off();
        assert_eq!(tried(&story.house), 1);
        assert_eq!((story.gateway.got().len(), story.states()), (1, vec!["unsure".to_owned()]), "{manner:?}");
        let page = story.first_page();
        page.must_say("Texts that did not arrive").must_say("not sure").must_say("may not have arrived");
        story.told().must_say("text may not have arrived");
        story.gateway.behave(Manner::Answers(200));
        for _ in 0..30 {
            assert_eq!(tried_after(&story.house, TimeDelta::hours(1)), 0, "{manner:?}");
        }
        assert_eq!(story.gateway.got().len(), 1, "{manner:?}");
    }
}

#[test]
fn r09_an_answer_without_an_end_is_an_answer() {
    let story = Story::open();
    story.gateway.behave(Manner::Floods);
    story.call_off();
    assert_eq!(tried(&story.house), 1);
    assert_eq!(story.states(), ["sent"], "only its head is read");
}

#[test]
fn r10_a_gateway_that_is_silent_to_one_holds_no_other_text_up() {
    let story = Story::open();
    for number in 1..=5 {
        let phone = format!("406 555 018{number}");
        walk_up(&story.priya, &story.session, &[("texts", "yes"), ("child_given", "Nina"), ("phone", &phone)]);
    }
    story.gateway.behave(Manner::Silent);
    story.call_off();
    let before = std::time::Instant::now();
    assert_eq!(tried(&story.house), 6);
    assert!(before.elapsed() < std::time::Duration::from_secs(5), "four at a time, a second each");
    assert_eq!(story.states(), ["unsure"; 6]);
}

#[test]
fn r11_a_text_of_a_process_that_died_before_it_was_handed_over_goes_out_and_after_that_it_does_not() {
    for (is_handed, expected) in [(false, "sent"), (true, "unsure")] {
        let story = Story::open();
        story.call_off();
        let now = story.house.app.clock.now();
        let died = move |conn: &mut waymark::store::AnyConn| {
            let claim = TextClaim { holder: "dead".into(), now, until: now + TimeDelta::minutes(5), most: 5 };
            let claimed = claim_texts(conn, &claim)?;
            assert_eq!(claimed.len(), 1);
            if is_handed {
                assert!(set_text_handed(conn, claimed[0].id, "dead", now)?);
            }
            Ok::<_, waymark::store::StoreError>(())
        };
        story.house.app.store.write("died", died).expect("a claim");
        assert_eq!(tried_after(&story.house, TimeDelta::minutes(4)), 0, "it is still the dead one's");
        assert_eq!(tried_after(&story.house, TimeDelta::minutes(1)), usize::from(!is_handed));
        assert_eq!(story.states(), [expected]);
        assert_eq!(story.gateway.got().len(), usize::from(!is_handed));
        if is_handed {
            story.first_page().must_say("may not have arrived");
        }
    }
}

#[test]
fn r11_a_process_that_was_overtaken_hands_nothing_over() {
    let story = Story::open();
    story.call_off();
    let now = story.house.app.clock.now();
    let late = now + TimeDelta::minutes(5);
    let overtaken = move |conn: &mut waymark::store::AnyConn| {
        let claim = |holder: &str, now, until| TextClaim { holder: holder.into(), now, until, most: 5 };
        let first = claim_texts(conn, &claim("slow", now, late))?;
        let second = claim_texts(conn, &claim("quick", late, late + TimeDelta::minutes(5)))?;
        assert_eq!((first.len(), second.len()), (1, 1));
        assert!(!set_text_handed(conn, first[0].id, "slow", late)?, "the claim is over");
        assert!(set_text_handed(conn, first[0].id, "quick", late)?);
        assert!(!set_text_handed(conn, first[0].id, "quick", late)?, "once");
        Ok::<_, waymark::store::StoreError>(())
    };
    story.house.app.store.write("overtaken", overtaken).expect("claims");
}

#[test]
fn house_1_two_runners_share_the_texts_and_send_each_once() {
    let story = Story::with(GatewayHouse::opened(), 20);
    for number in 10..20 {
        let phone = format!("406 555 01{number}");
        walk_up(&story.priya, &story.session, &[("texts", "yes"), ("child_given", "Nina"), ("phone", &phone)]);
    }
    story.call_off();
    let (one, two) = (texting(&story.house), texting(&story.house));
    let both = async { tokio::join!(all_due(&one), all_due(&two)) };
    let (by_one, by_two) = actix_web::rt::System::new().block_on(both);
    assert_eq!(by_one + by_two, 11);
    let mut to: Vec<String> = story.gateway.got().iter().map(|got| got.said().0).collect();
    to.sort();
    to.dedup();
    assert_eq!((story.gateway.got().len(), to.len()), (11, 11));
    assert_eq!(story.states(), ["sent"; 11]);
}
