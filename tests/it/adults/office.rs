//! The office finds a child and decides how its adults stand to it.

use waymark::domain::access::Role;

use super::family;
use crate::house::browser::Browser;

fn search(priya: &Browser, who: &str) -> crate::house::browser::Answered {
    priya.submit("/families", "/families", &[("who", who)])
}

#[test]
fn family_3_the_office_finds_a_child_by_the_beginnings_of_names_or_a_telephone() {
    let family = family();
    family.house.add_coordinator();
    let priya = family.house.signed_in("priya@example.org");
    for who in ["zoe", "ZOË OKA", "lindqvist zo", "okafor-lindqvist", "ingrid", "406 555 0118", "5550118", "zoë 0118"]
    {
        search(&priya, who).must_be(200).must_say("One child").must_say("with Ingrid Lindqvist");
    }
    for who in ["zoey", "oe", "406 555 0119", "118", "otto", "zoe 0119", "-"] {
        search(&priya, who).must_say("Nobody found");
    }
    let empty = search(&priya, "  ");
    empty.must_be(422).must_say("Write a name or a telephone");
    let page = search(&priya, "zoe");
    let way = page.body.split("href=\"/families/").last().and_then(|rest| rest.split('"').next()).expect("a way");
    assert!(!way.to_lowercase().contains("zo"), "no name stands in an address");
    let sheet = priya.get(&format!("/families/{way}"));
    sheet.must_say("Ingrid Lindqvist").must_say("Answers for the child").must_say("Alder Flat, June 20, 2026");
    assert!(!sheet.says("bee stings"), "health notes are for the team of the day");
}

#[test]
fn s25_only_the_office_decides_how_an_adult_stands_to_a_child() {
    let family = family();
    let way = family.child.replace("/riders/", "/families/");
    let sent = [("seen", "active"), ("state", "revoked"), ("note", "Because")];
    let no_office = [Role::Instructor, Role::FirstAid, Role::Helper, Role::GrantManager];
    for browser in no_office.into_iter().map(|role| family.house.person(role)) {
        browser.get("/");
        browser.get(&way).must_be(403);
        browser.get(&format!("{way}/adults/1")).must_be(403);
        browser.post(&format!("{way}/adults/1"), &sent).must_be(403);
    }
    family.ingrid.get("/riders");
    family.ingrid.post(&format!("{way}/adults/1"), &sent).must_be(403);
    family.ingrid.get(&family.receipt).must_be(200);
}

#[test]
fn family_3_a_decision_has_its_reason_and_two_who_decide_at_once_do_not_undo_each_other() {
    let family = family();
    family.house.add_coordinator();
    let priya = family.house.signed_in("priya@example.org");
    let page = format!("{}/adults/1", family.child.replace("/riders/", "/families/"));
    priya.get(&page).must_be(200).must_say("How does this adult stand to the child?");
    let without = priya.post(&page, &[("seen", "active"), ("state", "revoked"), ("note", " ")]);
    without.must_be(422).must_say("Write why");
    family.ingrid.get(&family.receipt).must_be(200);
    let unclear = priya.post(&page, &[("seen", "restricted"), ("state", "forever"), ("note", "Because")]);
    unclear.must_be(422);
    assert_eq!(unclear.field("seen").as_deref(), Some("restricted"), "what the form was drawn from stays");
    priya.post(&page, &[("state", "revoked"), ("note", "Because")]).must_be(400);
    let sent = [("seen", "active"), ("state", "restricted"), ("note", "Order seen")];
    priya.post(&page, &sent).must_be(303);
    let late = priya.post(&page, &[("seen", "active"), ("state", "active"), ("note", "All well")]);
    late.must_be(409).must_say("Somebody else decided about this adult meanwhile.");
    family.ingrid.get(&family.receipt).must_be(404);
    for wrong in ["0", "2", "99"] {
        priya.get(&page.replace("/adults/1", &format!("/adults/{wrong}"))).must_be(404);
    }
    let actions = family.house.actions();
    assert_eq!(actions.iter().filter(|action| *action == "guardian.decide").count(), 1);
}
