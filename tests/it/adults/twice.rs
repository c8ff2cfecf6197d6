//! A child that two adults entered on their own: the office sees it, makes one child of the two, and can undo it.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::schema::{guardianships, kept_health, registrations, rider_facts, riders};

use super::{accept, child_of, link_in};
use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{Fields, adults, health, rider, sizes, step, with};

/// Zoë, entered by Ingrid for one session and by Chidi, with another form of her name and day and month swapped, for
/// another; and Priya of the office.
struct Twice {
    house: TestApp,
    ingrid: Browser,
    chidi: Browser,
    priya: Browser,
}

/// Zoë as Ingrid enters her.
fn zoe() -> Fields {
    with(with(with(rider(), "birth_month", "9"), "birth_day", "4"), "birth_year", "2017")
}

/// Zoë as Chidi enters her.
fn zoe_again() -> Fields {
    let swapped = with(with(zoe(), "birth_month", "4"), "birth_day", "9");
    with(with(swapped, "given", "ZOE MARISOL"), "family", "Okafor Lindqvist")
}

fn chidis(email: &str) -> Fields {
    with(with(with(adults(email), "given", "Chidi"), "family", "Okafor"), "phone", "(406) 555-0163")
}

/// The steps of a registration by Chidi, up to what he signs.
fn up_to_signing(chidi: &Browser, session: &str) -> Vec<(String, String)> {
    for (name, answers) in
        [("rider", zoe_again()), ("health", health()), ("adults", chidis("chidi@example.org")), ("sizes", sizes())]
    {
        chidi.answer(session, name, &answers).must_be(303);
    }
    chidi.signed(session, "Chidi Okafor")
}

#[track_caller]
fn registered_by_chidi(chidi: &Browser, session: &str) -> String {
    let fields = up_to_signing(chidi, session);
    chidi.sign(session, &fields).location().to_owned()
}

fn twice_in(sessions: impl FnOnce(&TestApp) -> [String; 2]) -> Twice {
    let house = TestApp::start();
    let sessions = sessions(&house);
    let (ingrid, chidi) = (house.stranger(), house.stranger());
    ingrid.register(&sessions[0], &zoe(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    registered_by_chidi(&chidi, &sessions[1]);
    house.confirm("chidi@example.org");
    house.letters_out();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    Twice { house, ingrid, chidi, priya }
}

fn twice() -> Twice {
    twice_in(|house| [7, 14].map(|days| house.add_session("young", 4, saturday() + TimeDelta::days(days))))
}

impl Twice {
    /// The page on which the two entries stand side by side, by the office's list.
    #[track_caller]
    fn compared(&self) -> String {
        let list = self.priya.get("/families/twice");
        let found = list.body.split("href=\"/families/twice/").nth(1).and_then(|rest| rest.split('"').next());
        format!("/families/twice/{}", found.unwrap_or_else(|| panic!("nobody: {}", list.words())))
    }

    fn say(&self, page: &str, verdict: &str) -> Answered {
        self.priya.get(page);
        self.priya.post(page, &[("verdict", verdict), ("spoken", "yes")])
    }

    /// Makes one child of the two, Ingrid's entry staying; gives its page for the office.
    #[track_caller]
    fn merged(&self) -> String {
        let page = self.compared();
        self.say(&page, "first").must_be(303).location().to_owned()
    }

    #[track_caller]
    fn part(&self, child: &str) {
        let entry = self.priya.get(child).field("entry").expect("an entry that can be parted");
        self.priya.post(&format!("{child}/part"), &[("entry", &entry)]).must_be(303);
    }

    /// The children of an adult and their places, as the adult reads them.
    fn places_of(&self, adult: &Browser) -> (usize, usize) {
        let page = adult.get("/riders");
        let count = |words: &str| page.body.matches(words).count();
        (count("href=\"/riders/"), count("href=\"/registrations/"))
    }

    /// How many adults stand to children, whatever way, and how many rows of children there are.
    fn rows(&self) -> (i64, i64) {
        self.house
            .rows(|conn| Ok((guardianships::table.count().get_result(conn)?, riders::table.count().get_result(conn)?)))
    }
}

#[test]
fn u37_two_entries_of_a_child_become_one_with_both_histories_and_are_parted_again() {
    let twice = twice();
    let list = twice.priya.get("/families/twice");
    list.must_say("Zoë Marisol Okafor-Lindqvist").must_say("ZOE MARISOL Okafor Lindqvist");
    list.must_say("They have the same names and a birth date with day and month swapped.");
    let page = twice.compared();
    let sheet = twice.priya.get(&page);
    sheet.must_say("Ingrid Lindqvist: Answers for the child, also for what the other entry holds");
    sheet.must_say("Chidi Okafor: Answers for the child, also for what the other entry holds");
    assert!(!sheet.says("bee stings"), "health notes are for the team of the day");
    let nothing = twice.priya.post(&page, &[]);
    nothing.must_be(422).must_say("Choose what they are").must_say("Error:");
    let unspoken = twice.priya.post(&page, &[("verdict", "second")]);
    unspoken.must_be(422).must_say("Speak with the adults first");
    assert!(unspoken.body.contains("value=\"second\" checked"), "what was chosen stays");
    assert_eq!((twice.places_of(&twice.ingrid), twice.places_of(&twice.chidi)), ((1, 1), (1, 1)));
    let before = twice.rows();

    let child = twice.merged();
    let one = twice.priya.get(&child);
    one.must_say("Entered twice before").must_say("Chidi Okafor").must_say("Ingrid Lindqvist");
    one.must_say("Zoë Marisol Okafor-Lindqvist").must_say("September 4, 2017");
    assert_eq!(one.body.matches("/riders/").count(), 2, "both registrations");
    for adult in [&twice.ingrid, &twice.chidi] {
        assert_eq!(twice.places_of(adult), (1, 2), "{}", adult.get("/riders").words());
        adult.get("/riders").must_say("Zoë Marisol Okafor-Lindqvist");
    }
    twice.priya.get("/families/twice").must_say("No two entries look like one child.");
    // The page of before leads to the child, whatever is pressed on it.
    assert_eq!(twice.priya.get(&page).location(), child);
    assert_eq!(twice.say(&page, "two").location(), child);

    twice.part(&child);
    assert_eq!((twice.places_of(&twice.ingrid), twice.places_of(&twice.chidi)), ((1, 1), (1, 1)));
    twice.chidi.get("/riders").must_say("ZOE MARISOL Okafor Lindqvist");
    assert_eq!(twice.rows(), before);
    assert!(!twice.priya.get(&child).says("Entered twice before"));
    assert_eq!(twice.priya.post(&format!("{child}/part"), &[("entry", "gone")]).location(), child);
    let actions = twice.house.actions();
    let told = |action: &str| actions.iter().filter(|one| *one == action).count();
    assert_eq!((told("rider.merge"), told("rider.part")), (1, 1));
}

#[test]
fn u37_an_old_address_of_an_entry_that_went_leads_to_the_child() {
    let twice = twice();
    let (own, other) = (child_of(&twice.ingrid), child_of(&twice.chidi));
    twice.merged();
    twice.chidi.get(&other).must_be(200).must_say("Ingrid Lindqvist");
    twice.chidi.get(&own).must_be(200);
    let office = other.replace("/riders/", "/families/");
    twice.priya.get(&office).must_be(200).must_say("Entered twice before");
}

#[test]
fn u37_in_one_session_an_entry_gives_its_place_up_before_the_two_become_one() {
    let twice = twice_in(|house| {
        let session = house.add_session("young", 4, saturday() + TimeDelta::days(7));
        [session.clone(), session]
    });
    let page = twice.compared();
    for verdict in ["first", "second"] {
        let refused = twice.say(&page, verdict);
        refused.must_be(409).must_say("Both entries have a place at Alder Flat on Saturday, June 20, 2026");
        assert!(refused.body.contains(&format!("value=\"{verdict}\" checked")));
    }
    let receipt = twice.chidi.get("/riders");
    let receipt = receipt.body.split("href=\"/registrations/").nth(1).and_then(|rest| rest.split('"').next());
    let give_up = format!("/registrations/{}/give-up", receipt.expect("a receipt"));
    twice.chidi.get(&give_up);
    twice.chidi.post(&give_up, &[("sure", "yes")]).must_be(303);
    twice.say(&page, "second").must_be(409).must_say("the other entry has the place. Keep that entry");
    let child = twice.say(&page, "first").must_be(303).location().to_owned();
    let one = twice.priya.get(&child);
    assert_eq!(one.body.matches("/riders/").count(), 2, "the place that was given up is history: {}", one.words());
    assert_eq!(twice.places_of(&twice.chidi), (1, 1), "a child has one place in a session");
    twice.part(&child);
    assert_eq!((twice.places_of(&twice.ingrid), twice.places_of(&twice.chidi)), ((1, 1), (1, 1)));
}

#[test]
fn u37_two_entries_with_places_at_the_same_time_do_not_become_one_before_one_is_given_up() {
    let twice = twice_in(|house| {
        let day = saturday() + TimeDelta::days(7);
        [house.add_session("young", 4, day), house.add_session("young", 4, day)]
    });
    let page = twice.compared();
    let refused = twice.say(&page, "first");
    refused.must_be(409).must_say("This rider has a place at Alder Flat on Saturday, June 20, 2026, at the same time.");
    assert_eq!((twice.places_of(&twice.ingrid), twice.places_of(&twice.chidi)), ((1, 1), (1, 1)));
}

#[test]
fn s30_what_the_office_decided_about_an_adult_holds_when_two_entries_become_one_and_when_they_part() {
    let twice = twice();
    let decide = |child: &str, name: &str, state: &str| {
        let pages = (1..3).map(|number| format!("{child}/adults/{number}"));
        let page = pages.into_iter().find(|page| twice.priya.get(page).says(name)).expect("the adult");
        let form = twice.priya.get(&page);
        let seen = form.field("seen").expect("how it stands");
        twice.priya.post(&page, &[("seen", &seen), ("state", state), ("note", "Order seen")]).must_be(303);
    };
    let chidis_entry = child_of(&twice.chidi).replace("/riders/", "/families/");
    decide(&chidis_entry, "Chidi Okafor", "restricted");
    let page = twice.compared();
    let sheet = twice.priya.get(&page);
    sheet.must_say("Chidi Okafor: Restricted").must_say("Ingrid Lindqvist: Answers for the child, also for");
    let child = twice.merged();
    assert_eq!(twice.places_of(&twice.chidi), (0, 0), "restricted for the one child");
    assert_eq!(twice.places_of(&twice.ingrid), (1, 2));
    // The office finds Ingrid to blame since, and Chidi free; then the entries part.
    decide(&child, "Ingrid Lindqvist", "revoked");
    assert_eq!(twice.places_of(&twice.ingrid), (0, 0));
    twice.part(&child);
    assert_eq!(twice.places_of(&twice.ingrid), (0, 0), "decided since, so it stays decided");
    assert_eq!(twice.places_of(&twice.chidi), (0, 0));
    twice.priya.get(&child).must_say("Ended");
    twice.priya.get(&chidis_entry).must_say("Restricted").must_say("Nobody may decide for this child now.");
}

#[test]
fn u37_two_who_are_two_are_not_asked_about_again() {
    let twice = twice();
    let page = twice.compared();
    twice.priya.get(&page);
    twice.priya.post(&page, &[("verdict", "two")]).must_be(303);
    twice.priya.get("/families/twice").must_say("No two entries look like one child.");
    twice.priya.post(&page, &[("verdict", "two")]).must_be(303);
    // Said in error: the page still makes one of them.
    twice.say(&page, "second").must_be(303);
    twice.ingrid.get("/riders").must_say("ZOE MARISOL Okafor Lindqvist");
}

#[test]
fn s25_only_the_office_makes_one_child_of_two_entries() {
    let twice = twice();
    let page = twice.compared();
    let child = child_of(&twice.ingrid).replace("/riders/", "/families/");
    for role in [Role::Instructor, Role::FirstAid, Role::Helper, Role::GrantManager] {
        let browser = twice.house.person(role);
        browser.get("/");
        browser.get("/families/twice").must_be(403);
        browser.get(&page).must_be(403);
        browser.post(&page, &[("verdict", "first"), ("spoken", "yes")]).must_be(403);
        browser.post(&format!("{child}/part"), &[("entry", "x")]).must_be(403);
    }
    twice.ingrid.get("/riders");
    twice.ingrid.post(&page, &[("verdict", "first"), ("spoken", "yes")]).must_be(403);
    assert_eq!(twice.places_of(&twice.ingrid), (1, 1));
}

#[test]
fn s54_health_answers_kept_for_either_entry_are_forgotten_when_they_become_one() {
    let twice = twice();
    let third = twice.house.add_session("young", 4, saturday() + TimeDelta::days(21));
    twice.chidi.get(&step(&third, "rider"));
    let known = child_of(&twice.chidi).replace("/riders/", "");
    twice.chidi.answer(&third, "rider", &with(zoe_again(), "known", &known)).must_be(303);
    twice.chidi.answer(&third, "health", &with(health(), "keep", "yes")).must_be(303);
    twice.chidi.answer(&third, "adults", &chidis("chidi@example.org")).must_be(303);
    twice.chidi.answer(&third, "sizes", &sizes()).must_be(303);
    let fields = twice.chidi.signed(&third, "Chidi Okafor");
    twice.chidi.sign(&third, &fields).must_be(303);
    let kept = || twice.house.rows(|conn| kept_health::table.count().get_result::<i64>(conn));
    assert_eq!(kept(), 1);
    twice.merged();
    assert_eq!(kept(), 0);
}

#[test]
fn u37_an_adult_who_was_asked_about_the_entry_that_went_joins_the_child() {
    let twice = twice();
    let way = child_of(&twice.chidi);
    twice.chidi.get(&way);
    let asked = [("name", "Signe"), ("email", "signe@example.org"), ("language", "en")];
    twice.chidi.post(&format!("{way}/adults"), &asked).must_be(303);
    let link = link_in(&twice.house.letters_out());
    let child = twice.merged();
    let signe = twice.house.stranger();
    accept(&signe, &link).must_be(303);
    assert_eq!(twice.places_of(&signe), (1, 2));
    twice.part(&child);
    assert_eq!(twice.places_of(&signe), (1, 1), "who joined the child stays with the entry that stayed");
}

/// Several times, because it is about two who press at once: what is registered is never lost to its family.
#[test]
fn s35_a_registration_sent_while_its_child_becomes_one_with_another_is_found_by_its_family() {
    for _ in 0..4 {
        let twice = twice();
        let third = twice.house.add_session("young", 4, saturday() + TimeDelta::days(21));
        let known = child_of(&twice.chidi).replace("/riders/", "");
        twice.chidi.answer(&third, "rider", &with(zoe_again(), "known", &known)).must_be(303);
        twice.chidi.answer(&third, "health", &health()).must_be(303);
        twice.chidi.answer(&third, "adults", &chidis("chidi@example.org")).must_be(303);
        twice.chidi.answer(&third, "sizes", &sizes()).must_be(303);
        let fields = twice.chidi.signed(&third, "Chidi Okafor");
        let page = twice.compared();
        let (chidi, session) = (twice.chidi.copy(), third.clone());
        let sent = std::thread::spawn(move || chidi.sign(&session, &fields));
        let said = twice.say(&page, "first");
        let sent = sent.join().expect("an answer");
        said.must_be(303);
        let expected = if sent.status == 303 { 3 } else { 2 };
        assert!([303, 404].contains(&sent.status), "{}: {}", sent.status, sent.words());
        assert_eq!(twice.places_of(&twice.chidi), (1, expected));
        assert_eq!(twice.places_of(&twice.ingrid), (1, expected));
    }
}

/// Counted from the base table, by the demonstration's closed sessions.
#[test]
fn u37_reports_count_one_child_once_its_entries_are_one() {
    let house = TestApp::populated();
    let priya = house.person(Role::Coordinator);
    let different = || {
        let keys: Vec<String> =
            house.rows(|conn| rider_facts::table.select(rider_facts::rider_key).distinct().load(conn));
        keys
    };
    let before = different();
    let entries: Vec<(i64, i64, String)> = house.rows(|conn| {
        let of_counted = registrations::table.inner_join(riders::table).filter(riders::report_key.eq_any(&before));
        let held = of_counted.select((registrations::rider_id, registrations::session_id, riders::reference));
        held.order(registrations::rider_id).load(conn)
    });
    let children: Vec<_> = entries.chunk_by(|one, other| one.0 == other.0).collect();
    let apart = |other: &&&[(i64, i64, String)]| {
        other.iter().all(|(_, session, _)| children[0].iter().all(|(_, own, _)| own != session))
    };
    let two = [&children[0][0].2, &children.iter().find(apart).expect("a child of other sessions")[0].2];
    let page = format!("/families/twice/{}/{}", two[0], two[1]);
    priya.get(&page).must_be(200);
    let merged = priya.post(&page, &[("verdict", "first"), ("spoken", "yes")]);
    let child = merged.must_be(303).location().to_owned();
    assert_eq!(different().len(), before.len() - 1);
    let entry = priya.get(&child).field("entry").expect("an entry");
    priya.post(&format!("{child}/part"), &[("entry", &entry)]).must_be(303);
    assert_eq!(different().len(), before.len());
}
