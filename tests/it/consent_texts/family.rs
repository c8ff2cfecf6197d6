//! A family takes a consent back, signs again, is asked anew when the text changes, and gets a copy each time.

use diesel::prelude::*;
use sha2::{Digest, Sha256};
use waymark::domain::access::Role;
use waymark::jobs::letters::Written;
use waymark::store::schema::{audit_rows, consents};

use super::{approve, new_version};
use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{ride_signed, rider};

/// Ingrid with a seat for Zoë, her address shown; the letters of so far.
fn family(house: &TestApp) -> (Browser, String, Vec<(String, Written)>) {
    let session = house.add_session("young", 2, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    (browser, receipt, house.letters_out())
}

fn ride_of(page: &Answered) -> String {
    page.body.split("?text=").nth(1).and_then(|rest| rest.split('"').next()).expect("a way to take it back").to_owned()
}

fn enclosed(letter: &Written) -> String {
    let file = letter.enclosures.iter().find(|file| file.name == "signed.txt").expect("a copy");
    String::from_utf8(file.bytes.clone()).expect("text")
}

/// The four parts of an electronic signature (15 U.S.C. 7001(c), (d): what was agreed to is kept and can be reproduced):
/// the copy holds the very text whose SHA-256 is on it, recomputed here.
#[test]
fn u16_a_copy_of_what_was_signed_comes_by_mail_and_its_fingerprint_is_that_of_its_text() {
    let house = TestApp::start();
    let (_, _, letters) = family(&house);
    let (kind, letter) = letters.first().expect("a letter");
    assert_eq!(kind, "registered");
    assert!(letter.text.contains("A copy of what you signed comes with this letter."));
    let copy = enclosed(letter);
    let (text, rest) = copy.split_once("\nSigned by: ").expect("a signature");
    let hash: String = Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
    assert!(rest.starts_with("Ingrid Lindqvist, June 10, 2026"), "{rest}");
    assert!(rest.contains(&format!("Fingerprint (SHA-256): {hash}")), "{hash}: {rest}");
    for secret in ["bee stings", "red bag", "Zoë"] {
        assert!(!copy.contains(secret), "{secret}");
    }
}

#[test]
fn family_5_a_consent_is_taken_back_after_a_second_look_and_can_be_signed_again() {
    let house = TestApp::start();
    let (ingrid, receipt, _) = family(&house);
    let page = ingrid.get(&format!("{receipt}/consent"));
    let text = ride_of(&page);
    assert!(!page.says("Read and sign"), "the consent to ride stands");
    let way = format!("{receipt}/withdraw");
    ingrid.get(&format!("{way}?text={text}")).must_be(200).must_say("Without it nobody lets your child ride.");
    ingrid.get(&format!("{way}?text=00")).must_be(404);
    ingrid.get(&format!("{receipt}/consent"));
    ingrid.post(&way, &[("text", "00")]).must_be(404);
    ingrid.post(&way, &[("text", &text)]).must_be(303);
    ingrid.post(&way, &[("text", &text)]).must_be(409);
    ingrid.get(&format!("{receipt}/consent")).must_say("Taken back").must_say("Read and sign");
    ingrid.get("/").must_say("is not signed. Nobody starts without it.").must_say("Read and sign");
    ingrid.get(&receipt).must_say("Seat confirmed");
    let letters = house.letters_out();
    assert_eq!(letters[0].0, "consent_withdrawn");
    assert!(letters[0].1.text.contains("You took a consent for Zoë Marisol back."));

    let page = ingrid.get(&format!("{receipt}/sign"));
    page.must_be(200).must_say("Sign for Zoë Marisol").must_say("under 16");
    let right = ride_signed(&page, "Ingrid Lindqvist");
    let without: Vec<_> = right.iter().filter(|(name, _)| !name.starts_with("ride-")).cloned().collect();
    let again = ingrid.send_signature(&receipt, &without);
    again.must_be(422).must_say("Tick paragraph 1");
    assert_eq!(again.field("signature").as_deref(), Some("Ingrid Lindqvist"));
    let other: Vec<_> = ride_signed(&page, "Somebody Else");
    ingrid.send_signature(&receipt, &other).must_be(422);
    assert_eq!(ingrid.send_signature(&receipt, &right).location(), format!("{receipt}/consent"));
    let page = ingrid.get(&format!("{receipt}/consent"));
    assert!(!page.says("Taken back"), "{}", page.words());
    assert!(!ingrid.get("/").says("Nobody starts without it."));
    let letters = house.letters_out();
    assert_eq!(letters[0].0, "consent_signed");
    assert!(enclosed(&letters[0].1).contains("Signed by: Ingrid Lindqvist"));
    let actions: Vec<String> = house.rows(|conn| {
        let about = audit_rows::action.like("consent.%");
        audit_rows::table.filter(about).order(audit_rows::id).select(audit_rows::action).load(conn)
    });
    assert_eq!(actions, ["consent.sign", "consent.withdraw", "consent.sign"]);
}

#[test]
fn family_5_when_the_text_changes_the_family_is_asked_to_sign_the_new_one_and_the_old_copy_stays() {
    let house = TestApp::start();
    let (ingrid, receipt, _) = family(&house);
    assert!(!ingrid.get("/").says("new text"));
    let ana = house.person(Role::Administrator);
    new_version(&ana, "You agree anew that your child rides.", "Usted acepta de nuevo que su niño monte.").must_be(303);
    assert!(!ingrid.get("/").says("new text"), "nobody has approved it yet");
    approve(&ana, "ride", 2, "en").must_be(303);
    ingrid.get("/").must_say("The consent has a new text.").must_say("Read and sign");
    let page = ingrid.get(&format!("{receipt}/sign"));
    page.must_say("You agree anew that your child rides.");
    ingrid.send_signature(&receipt, &ride_signed(&page, "Ingrid Lindqvist")).must_be(303);
    assert!(!ingrid.get("/").says("new text"));
    ingrid.get(&format!("{receipt}/consent")).must_say("Version 1").must_say("Version 2");
    assert_eq!(house.rows(|conn| consents::table.count().get_result::<i64>(conn)), 2);
    let late = ingrid.send_signature(&receipt, &ride_signed(&page, "Ingrid Lindqvist"));
    assert_eq!(late.location(), format!("{receipt}/consent"), "it is signed already");
}

#[test]
fn family_5_a_text_that_changes_while_it_is_read_is_shown_anew_and_nothing_is_signed() {
    let house = TestApp::start();
    let (ingrid, receipt, _) = family(&house);
    let text = ride_of(&ingrid.get(&format!("{receipt}/consent")));
    ingrid.post(&format!("{receipt}/withdraw"), &[("text", &text)]).must_be(303);
    let page = ingrid.get(&format!("{receipt}/sign"));
    let fields = ride_signed(&page, "Ingrid Lindqvist");
    let ana = house.person(Role::Administrator);
    new_version(&ana, "You agree anew that your child rides.", "Usted acepta de nuevo que su niño monte.").must_be(303);
    approve(&ana, "ride", 2, "en").must_be(303);
    let again = ingrid.send_signature(&receipt, &fields);
    again.must_be(409).must_say("You agree anew that your child rides.");
    assert_eq!(again.field("signature").as_deref(), Some("Ingrid Lindqvist"));
    assert_eq!(again.body.matches("checked").count(), 0, "ticks belong to the text that was read");
    ingrid.get("/").must_say("Nobody starts without it.");
}

#[test]
fn s26_another_family_signs_and_takes_back_nothing_and_after_the_session_nobody_signs() {
    let house = TestApp::start();
    let (ingrid, receipt, _) = family(&house);
    let text = ride_of(&ingrid.get(&format!("{receipt}/consent")));
    house.add_guardian("marek@example.org", "Marek", "Nowak");
    let marek = house.signed_in("marek@example.org");
    marek.get("/");
    for way in ["sign", "consent"] {
        marek.get(&format!("{receipt}/{way}")).must_be(404);
    }
    marek.get("/");
    marek.post(&format!("{receipt}/withdraw"), &[("text", &text)]).must_be(404);
    marek.post(&format!("{receipt}/sign"), &[("signature", "Marek Nowak")]).must_be(404);
    ingrid.get(&receipt);
    ingrid.post(&format!("{receipt}/withdraw"), &[("text", &text)]).must_be(303);
    house.app.clock.set("2026-06-14T12:00:00".parse().expect("an instant"));
    let back = house.stranger();
    let answers = [("email", "ingrid@example.org"), ("password", "lantern under seven larches")];
    back.submit("/sign-in", "/sign-in", &answers).must_be(303);
    assert_eq!(back.get(&format!("{receipt}/sign")).location(), format!("{receipt}/consent"));
    assert!(!back.get(&format!("{receipt}/consent")).says("Read and sign"));
}

/// Bar S41: nobody makes the program write to somebody else's address as often as they like.
#[test]
fn s41_an_address_that_nobody_has_shown_gets_no_letter_about_a_consent() {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday());
    let stranger = house.stranger();
    let receipt = stranger.register(&session, &rider(), "ingrid@example.org");
    house.letters_out();
    for _ in 0..3 {
        let text = ride_of(&stranger.get(&format!("{receipt}/consent")));
        stranger.post(&format!("{receipt}/withdraw"), &[("text", &text)]).must_be(303);
        let page = stranger.get(&format!("{receipt}/sign"));
        stranger.send_signature(&receipt, &ride_signed(&page, "Ingrid Lindqvist")).must_be(303);
    }
    let kinds: Vec<String> = house.letters_out().into_iter().map(|(kind, _)| kind).collect();
    assert_eq!(kinds, [""; 0], "no letter");
}
