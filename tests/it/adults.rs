//! The adults who answer for a child: one asks another, both sign when the program wants it, and custody that changes
//! counts at once.

mod alike;
mod custody;
mod health;
mod office;
mod twice;

use chrono::TimeDelta;
use waymark::domain::access::{Duty, Role};
use waymark::jobs::letters::Written;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{adults, rider, step, with};

/// A family with a confirmed seat and a second adult, and what the stories need of it.
struct Family {
    house: TestApp,
    session: String,
    ingrid: Browser,
    /// The address of the receipt.
    receipt: String,
    /// The address of the child's page.
    child: String,
}

/// Ingrid with a seat for Zoë, her address shown. A week from the Saturday of the stories, so that letters may follow.
fn family() -> Family {
    let house = TestApp::start();
    let session = house.add_session("young", 2, saturday() + TimeDelta::days(7));
    let ingrid = house.stranger();
    let receipt = ingrid.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    house.letters_out();
    let child = child_of(&ingrid);
    Family { house, session, ingrid, receipt, child }
}

/// The address of the page of a guardian's first child.
#[track_caller]
pub fn child_of(browser: &Browser) -> String {
    let page = browser.get("/riders");
    let found = page.body.split("href=\"/riders/").nth(1).and_then(|rest| rest.split('"').next());
    format!("/riders/{}", found.unwrap_or_else(|| panic!("no child: {}", page.words())))
}

/// Chidi, whom Ingrid asked to answer for her child too, and who accepted.
#[track_caller]
pub fn second_adult(house: &TestApp, ingrid: &Browser, child: &str) -> Browser {
    house.letters_out();
    ingrid.get(child).must_be(200);
    let asked = [("name", "Chidi"), ("email", "chidi@example.org"), ("language", "en")];
    ingrid.post(&format!("{child}/adults"), &asked).must_be(303);
    let link = link_in(&house.letters_out());
    let chidi = house.stranger();
    accept(&chidi, &link).must_be(303);
    house.letters_out();
    chidi
}

impl Family {
    /// Ingrid asks Chidi; gives the letters that went out.
    #[track_caller]
    fn ask_chidi(&self) -> Vec<(String, Written)> {
        self.ingrid.get(&self.child).must_be(200);
        let asked = [("name", "Chidi"), ("email", "chidi@example.org"), ("language", "en")];
        self.ingrid.post(&format!("{}/adults", self.child), &asked).must_be(303);
        self.house.letters_out()
    }

    /// Chidi accepts, and is signed in.
    #[track_caller]
    fn joined(&self) -> Browser {
        let link = link_in(&self.ask_chidi());
        let chidi = self.house.stranger();
        accept(&chidi, &link).must_be(303);
        self.house.letters_out();
        chidi
    }
}

/// The way of the link in the letter of an invitation.
#[track_caller]
fn link_in(letters: &[(String, Written)]) -> String {
    let (_, letter) = letters.iter().find(|(kind, _)| kind == "guardian_invited").expect("an invitation");
    let line = letter.text.lines().find(|line| line.contains("/invitations/")).expect("a link");
    let way = &line[line.find("/invitations/").expect("it is there")..];
    way.split('?').next().expect("a way").to_owned()
}

/// What Chidi writes when he accepts.
const CHIDI: [(&str, &str); 3] = [("given", "Chidi"), ("family", "Okafor"), ("phone", "(406) 555-0163")];

fn accept(browser: &Browser, link: &str) -> Answered {
    browser.submit(link, link, &CHIDI)
}

/// Rafael, who leads the session.
fn lead(family: &Family) -> Browser {
    let rafael = family.house.add_instructor();
    family.house.put_on(&family.session, rafael, Duty::Lead);
    family.house.signed_in("rafael@example.org")
}

/// The page of the child on the roster of its session.
fn on_the_roster(family: &Family) -> String {
    format!("/roster/{}/riders/{}", family.session, family.receipt.rsplit('/').next().expect("a reference"))
}

#[test]
fn family_3_a_second_adult_joins_by_a_letter_and_the_first_one_is_told() {
    let family = family();
    let letters = family.ask_chidi();
    let [(kind, letter)] = letters.as_slice() else { panic!("{} letters", letters.len()) };
    assert_eq!((kind.as_str(), letter.to.address.as_str()), ("guardian_invited", "chidi@example.org"));
    assert_eq!(letter.subject, "Ingrid Lindqvist asks you to answer for Zoë Marisol");
    for text in [&letter.text, &letter.html] {
        assert!(text.contains("Hello Chidi,") && !text.contains("Okafor"), "first names of children only: {text}");
    }
    family.ingrid.get(&family.child).must_say("Chidi : asked at chidi@example.org, until Wednesday, June 17");
    let link = link_in(&letters);
    for _ in 0..3 {
        let page = family.house.stranger().get(&link);
        page.must_be(200).must_say("Ingrid Lindqvist asks you to answer for Zoë Marisol too.");
        page.must_say("You get an account with the address chidi@example.org.");
    }
    let chidi = family.house.stranger();
    let faulty = chidi.submit(&link, &link, &[("given", "Chidi"), ("family", "Okafor"), ("phone", "call me")]);
    faulty.must_be(422).must_say("Write a phone number with its area code");
    assert_eq!(faulty.field("given").as_deref(), Some("Chidi"));
    assert_eq!(accept(&chidi, &link).location(), "/riders");
    chidi.get("/riders").must_say("Zoë Marisol Okafor-Lindqvist");
    chidi.get(&family.receipt).must_be(200).must_say("Seat confirmed");
    chidi.get(&family.child).must_say("You Ingrid Lindqvist");
    family.ingrid.get(&family.child).must_say("You Chidi Okafor");
    let told = family.house.letters_out();
    let [(kind, letter)] = told.as_slice() else { panic!("{} letters", told.len()) };
    assert_eq!((kind.as_str(), letter.to.address.as_str()), ("guardian_joined", "ingrid@example.org"));
    assert!(letter.text.contains("You asked Chidi to answer for Zoë Marisol"), "{}", letter.text);
    family.house.stranger().get(&link).must_be(410).must_say("This link works no more");
    family.ingrid.get(&family.child).must_say("You Chidi Okafor");
}

#[test]
fn family_3_an_account_that_is_there_joins_and_nobody_else_does_whoever_is_signed_in() {
    let family = family();
    family.house.add_guardian("chidi@example.org", "Chidi", "Okafor");
    let link = link_in(&family.ask_chidi());
    // The link is opened on the computer on which Ingrid is signed in.
    let page = family.ingrid.get(&link);
    page.must_say("Your account, Chidi Okafor at chidi@example.org, is used.");
    assert!(page.field("given").is_none() && page.field("phone").is_none(), "nothing is asked twice");
    let done = family.ingrid.post(&link, &[]);
    assert_eq!(done.location(), "/invitations/done");
    family.ingrid.follow(&done).must_say("You answer for the child now");
    family.ingrid.get(&family.child).must_say("You Chidi Okafor");
    family.house.signed_in("chidi@example.org").get(&family.receipt).must_be(200);
}

#[test]
fn s19_a_member_of_the_staff_who_becomes_a_guardian_signs_in_anew() {
    let family = family();
    family.house.add_member("chidi@example.org", "Chidi", "Okafor", &[Role::Helper]);
    let helper = family.house.signed_in("chidi@example.org");
    helper.get("/my-sessions").must_be(200);
    let link = link_in(&family.ask_chidi());
    let other = family.house.stranger();
    assert!(other.get(&link).field("phone").is_some(), "a telephone is asked of who was no guardian");
    other.post(&link, &[("phone", "406 555 0163")]).must_be(303);
    helper.get("/my-sessions").must_be(303);
    family.house.signed_in("chidi@example.org").get(&family.receipt).must_be(200);
}

#[test]
fn s30_a_link_serves_nobody_once_it_is_taken_back_too_old_or_its_asker_may_decide_no_more() {
    let family = family();
    let link = link_in(&family.ask_chidi());
    let page = family.ingrid.get(&family.child);
    let way = page.body.split("action=\"").find(|part| part.contains("/take-back")).expect("a form");
    let way = way.split('"').next().expect("its way").to_owned();
    family.ingrid.post(&way, &[]).must_be(303);
    family.ingrid.post(&way, &[]).must_be(303);
    family.house.stranger().get(&link).must_be(410);

    let link = link_in(&family.ask_chidi());
    family.house.app.clock.advance(TimeDelta::days(7));
    family.house.stranger().get(&link).must_be(410);

    let again = family.house.stranger();
    again.submit("/sign-in", "/sign-in", &[("email", "ingrid@example.org"), ("password", super::places::FAMILYS)]);
    again.get(&family.child).must_be(200);
    let asked = [("name", "Chidi"), ("email", "chidi@example.org"), ("language", "es")];
    again.post(&format!("{}/adults", family.child), &asked).must_be(303);
    let letters = family.house.letters_out();
    assert!(
        letters[0].1.text.contains("le pide que responda por Zoë Marisol") || letters[0].1.subject.contains("le pide")
    );
    let link = link_in(&letters);
    family.house.set("UPDATE guardianships SET state = 'revoked'");
    family.house.stranger().get(&link).must_be(410);
    family.house.set("UPDATE guardianships SET state = 'active'");
    family.house.stranger().get(&link).must_be(200);
}

#[test]
fn family_3_nobody_is_flooded_with_invitations_and_an_unshown_address_sends_none() {
    let family = family();
    for number in 1..=5 {
        family.ingrid.get(&family.child);
        let email = format!("friend{number}@example.org");
        let asked = [("name", "A friend"), ("email", email.as_str()), ("language", "en")];
        family.ingrid.post(&format!("{}/adults", family.child), &asked).must_be(303);
    }
    let asked = [("name", "Sixth"), ("email", "sixth@example.org"), ("language", "en")];
    let page = family.ingrid.post(&format!("{}/adults", family.child), &asked);
    page.must_be(429).must_say("You have asked five people today.");
    assert_eq!(page.field("email").as_deref(), Some("sixth@example.org"), "what was typed stays");
    family.house.letters_out();

    let otto = family.house.stranger();
    otto.register(&family.session, &with(rider(), "given", "Otto"), "otto@example.org");
    let child = child_of(&otto);
    otto.get(&child);
    let page = otto.post(&format!("{child}/adults"), &asked);
    page.must_be(409).must_say("Confirm your own address first.");
    assert!(family.house.letters_out().iter().all(|(kind, _)| kind != "guardian_invited"));
}

#[test]
fn s26_another_familys_child_is_not_found_on_any_of_its_pages() {
    let family = family();
    let otto = family.house.stranger();
    otto.register(&family.session, &with(rider(), "given", "Otto"), "otto@example.org");
    family.house.confirm("otto@example.org");
    otto.get("/riders");
    let asked = [("name", "Otto"), ("email", "otto@example.org"), ("language", "en")];
    for child in [family.child.clone(), "/riders/nothing".to_owned()] {
        otto.get(&child).must_be(404);
        otto.get(&format!("{child}/adults")).must_be(404);
        otto.get(&format!("{child}/leave")).must_be(404);
        otto.get("/riders");
        otto.post(&format!("{child}/adults"), &asked).must_be(404);
        otto.post(&format!("{child}/leave"), &[]).must_be(404);
    }
    // A brother's tick carries his name, and he is asked for along with her.
    family
        .ingrid
        .answer(&family.session, "rider", &with(with(rider(), "given", "Mateo"), "birth_year", "2017"))
        .must_be(303);
    family.ingrid.answer_the_rest(&family.session);
    family.ingrid.get(&format!("{}/adults", family.child)).must_say("Also for Mateo");
    // An own child with another family's ticked along: the tick is none of this family's.
    let own = child_of(&otto);
    let foreign = format!("also-{}", family.child.rsplit('/').next().expect("a reference"));
    otto.get(&own);
    let mut asked = asked.to_vec();
    asked.push((foreign.as_str(), "yes"));
    otto.post(&format!("{own}/adults"), &asked).must_be(303);
    let letters = family.house.letters_out();
    assert!(letters[0].1.subject.contains("Otto") && !letters[0].1.subject.contains("Zoë"), "{}", letters[0].1.subject);
    let pending = family.ask_chidi();
    let page = family.ingrid.get(&family.child);
    let way = page.body.split("action=\"").find(|part| part.contains("/take-back")).expect("a form");
    otto.get("/riders");
    otto.post(way.split('"').next().expect("its way"), &[]).must_be(404);
    family.house.stranger().get(&link_in(&pending)).must_be(200);
}

#[test]
fn family_3_the_program_may_want_every_adults_signature_and_then_asks_for_it() {
    let family = family();
    let chidi = family.joined();
    let rafael = lead(&family);
    let page = on_the_roster(&family);
    assert!(!rafael.get(&page).says("No signed consent stands"), "as shipped, one adult signs");
    family.house.person(Role::Administrator).set_program("signers", &[("value", "all")]).must_be(303);
    rafael.get(&page).must_say("No signed consent stands");
    chidi.get("/").must_say("Nobody starts without it.").must_say("Read and sign");
    family.ingrid.get("/").must_say("The other adult has not. Nobody starts without both.");
    family.ingrid.get(&format!("{}/consent", family.receipt)).must_be(200);
    chidi.sign_for(&family.receipt, "Chidi Okafor").must_be(303);
    assert!(!rafael.get(&page).says("No signed consent stands"));
    family.house.letters_out();

    // The next session: who did not register is asked by letter.
    let later = family.house.add_session("young", 2, saturday() + TimeDelta::days(21));
    let known = family.ingrid.get(&step(&later, "rider")).field("known").expect("the child is known");
    let answers = vec![("known", known), ("ridden", "few".to_owned())];
    family.ingrid.answer(&later, "rider", &answers).must_be(303);
    let receipt = family.ingrid.answer_the_rest(&later);
    let letters = family.house.letters_out();
    let (_, letter) = letters.iter().find(|(kind, _)| kind == "sign_too").expect("Chidi is asked");
    assert_eq!(letter.to.address, "chidi@example.org");
    assert!(letter.text.contains(&format!("{receipt}/sign")) && letter.subject.contains("Zoë Marisol"));
    chidi.sign_for(&receipt, "Chidi Okafor").must_be(303);
    assert!(!chidi.get("/").says("Read and sign"));
}

#[test]
fn family_3_the_adult_on_the_day_is_named_beforehand_as_the_program_wants_it() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let anne = house.person(Role::Administrator);
    let at_adults = |email: &str| {
        let browser = house.stranger();
        browser.answer(&session, "rider", &rider()).must_be(303);
        browser.answer(&session, "health", &crate::house::season::health()).must_be(303);
        assert!(!email.is_empty());
        browser
    };
    let browser = at_adults("ingrid@example.org");
    browser
        .get(&step(&session, "adults"))
        .must_say("Who is there on the day? (optional)".trim_end_matches(" (optional)"));
    browser.answer(&session, "adults", &adults("ingrid@example.org")).must_be(303);

    anne.set_program("day_adult", &[("value", "needed")]).must_be(303);
    let missing = browser.answer(&session, "adults", &adults("ingrid@example.org"));
    missing.must_be(422).must_say("Write this person's name");
    let named = with(adults("ingrid@example.org"), "day_name", "Ruth Okafor");
    browser.answer(&session, "adults", &with(named, "day_phone", "406 555 0177")).must_be(303);
    browser.answer(&session, "sizes", &crate::house::season::sizes()).must_be(303);
    browser.get(&step(&session, "check")).must_say("There on the day Ruth Okafor, (406) 555-0177");
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let receipt = browser.sign(&session, &fields).location().to_owned();
    house.confirm("ingrid@example.org");
    let rafael = house.add_instructor();
    house.put_on(&session, rafael, Duty::Lead);
    let page = format!("/roster/{session}/riders/{}/health", receipt.rsplit('/').next().expect("a reference"));
    house.signed_in("rafael@example.org").get(&page).must_say("is there on the day").must_say("Ruth Okafor");

    anne.set_program("day_adult", &[("value", "unasked")]).must_be(303);
    let other = at_adults("otto@example.org");
    assert!(!other.get(&step(&session, "adults")).says("Who is there on the day?"));
    other.answer(&session, "adults", &adults("otto@example.org")).must_be(303);
}
