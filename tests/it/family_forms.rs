//! The forms of families: one thing a page, what must be answered and what may be left out, dates, names, addresses.

use std::collections::BTreeSet;

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::forms::{Kind, forms, tags};
use crate::house::season::{Fields, adults, health, rider, sizes, step, with};

const STEPS: [&str; 5] = ["rider", "health", "adults", "sizes", "check"];

/// A browser with every step answered, and the session.
fn answered(house: &TestApp) -> (Browser, String) {
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer_all(&session, &rider(), "ingrid@example.org");
    (browser, session)
}

fn count(page: &Answered, name: &str) -> usize {
    tags(&page.body).iter().filter(|tag| tag.name == name).count()
}

#[test]
fn u09_each_step_is_one_page_with_a_heading_a_way_back_and_one_button_to_go_on() {
    let house = TestApp::start();
    let (browser, session) = answered(&house);
    let mut before = format!("/sessions/{session}");
    for name in STEPS {
        let page = browser.get(&step(&session, name));
        assert_eq!(count(&page, "h1"), 1, "{name}");
        let back = tags(&page.body).into_iter().find(|tag| tag.get("class") == Some("back")).expect("a way back");
        assert_eq!(back.get("href"), Some(before.as_str()), "{name}");
        let mains = tags(&page.body).into_iter().filter(|tag| tag.get("class") == Some("button main")).count();
        assert_eq!(mains, 1, "{name}");
        before = step(&session, name);
    }
}

#[test]
fn u09_going_back_loses_nothing_and_coming_forward_again_sends_nothing_twice() {
    let house = TestApp::start();
    let (browser, session) = answered(&house);
    for (name, field, kept) in [
        ("sizes", "weight", "63"),
        ("adults", "second_phone", "406 555 0164"),
        ("health", "allergy_what", "bee stings"),
        ("rider", "given", "Zoë Marisol"),
    ] {
        assert_eq!(browser.get(&step(&session, name)).field(field).as_deref(), Some(kept), "{name}");
    }
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let receipt = browser.sign(&session, &fields).location().to_owned();
    // Back to the last page, and the button pressed once more: the same place, not another.
    assert_eq!(browser.sign(&session, &fields).location(), receipt);
    let registrations = browser.get("/registrations");
    assert_eq!(registrations.body.matches("href=\"/registrations/").count(), 1);
}

#[test]
fn u12_a_birth_date_is_a_month_by_name_and_two_numbers_and_never_a_calendar() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    for (lang, september) in [("en", "September"), ("es", "septiembre")] {
        let page = browser.get(&format!("{}?lang={lang}", step(&session, "rider")));
        let page = if page.status == 303 { browser.get(page.location()) } else { page };
        let form = forms("/", &page.body).into_iter().find(|form| form.field("birth_year").is_some()).expect("a form");
        let kind = |name: &str| form.field(name).expect("a part of the date").kind;
        assert_eq!(
            (kind("birth_month"), kind("birth_day"), kind("birth_year")),
            (Kind::Chosen, Kind::Typed, Kind::Typed)
        );
        let months = tags(&page.body).into_iter().filter(|tag| tag.name == "option" && tag.text.contains(september));
        assert_eq!(months.count(), 1, "months have names");
        assert!(!page.body.contains("type=\"date\""));
        for part in ["birth_day", "birth_year"] {
            let tag = tags(&page.body).into_iter().find(|tag| tag.get("name") == Some(part)).expect("a field");
            assert_eq!((tag.get("inputmode"), tag.get("type")), (Some("numeric"), Some("text")), "{part}");
        }
        // The example has a day that no month has the number of, so that nobody swaps the two.
        let example = tags(&page.body).into_iter().find(|tag| tag.get("id") == Some("birth-hint")).expect("an example");
        let numbers: Vec<u32> =
            example.text.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok()).collect();
        assert!(numbers.iter().any(|day| (13..=31).contains(day)), "{}", example.text);
    }
    browser.get("/?lang=en");
    let short = browser.answer(&session, "rider", &with(rider(), "birth_year", "16"));
    short.must_be(422).must_say("Write all four digits of the year, such as 2016");
    let never = browser.answer(&session, "rider", &with(with(rider(), "birth_month", "2"), "birth_day", "30"));
    never.must_be(422);
    assert_eq!(never.field("birth_day").as_deref(), Some("30"));
}

#[test]
fn u13_a_telephone_is_taken_as_people_write_it_and_a_name_is_not_spelled_for_anybody() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    browser.answer(&session, "rider", &rider()).must_be(303);
    browser.answer(&session, "health", &health()).must_be(303);
    for written in ["(406) 555-0118", "406.555.0118", "406 555 0118", "+1 406-555-0118", "4065550118"] {
        browser.answer(&session, "adults", &with(adults("ingrid@example.org"), "phone", written)).must_be(303);
    }
    for name in ["rider", "adults"] {
        let page = browser.get(&step(&session, name));
        let typed = tags(&page.body).into_iter().filter(|tag| tag.name == "input" && tag.get("type") == Some("text"));
        let checked: Vec<String> = typed
            .filter(|tag| tag.get("spellcheck") != Some("false") && tag.get("inputmode") != Some("numeric"))
            .filter_map(|tag| tag.get("name").map(str::to_owned))
            .collect();
        assert_eq!(checked, [""; 0], "{name}");
        assert!(!tags(&page.body).iter().any(|tag| tag.get("name") == Some("title")), "nobody has a title");
    }
}

#[test]
fn u14_an_address_is_asked_where_it_has_a_use_and_its_county_comes_from_a_list() {
    let house = TestApp::start();
    let (browser, session) = answered(&house);
    for name in STEPS {
        let page = browser.get(&step(&session, name));
        for field in ["street", "city", "zip", "state"] {
            assert!(page.field(field).is_none(), "a family's {field} has no use");
        }
    }
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let page = priya.get("/sites/new");
    let form = forms("/", &page.body).into_iter().find(|form| form.field("street").is_some()).expect("a form");
    let kind = |name: &str| form.field(name).map(|field| field.kind);
    assert_eq!((kind("street"), kind("city"), kind("zip")), (Some(Kind::Typed), Some(Kind::Typed), Some(Kind::Typed)));
    let page = browser.get(&step(&session, "rider"));
    let form = forms("/", &page.body).into_iter().find(|form| form.field("county").is_some()).expect("a form");
    let county = form.field("county").expect("a county");
    assert_eq!(county.kind, Kind::Chosen);
    assert_eq!(county.offers.iter().filter(|code| code.len() == 5).count(), 56, "every county of the state");
}

/// Fields that are asked for only after another answer: they carry no mark, because their hint says when.
const AFTER_ANOTHER: [&str; 4] = ["allergy_what", "injector_where", "medicine_what", "head"];

/// The fields of a page that one types or chooses, and those whose label says that they may be left out.
fn marked(page: &Answered) -> (BTreeSet<String>, BTreeSet<String>) {
    let form = forms("/", &page.body).into_iter().find(|form| form.posts && form.fields.len() > 3).expect("a form");
    let all = form.fields.iter().filter(|field| matches!(field.kind, Kind::Typed | Kind::Secret));
    let all: BTreeSet<String> = all.map(|field| field.name.clone()).collect();
    let is_optional = |name: &String| {
        let label =
            page.body.split(&format!("<label for=\"{name}\">")).nth(1).and_then(|rest| rest.split("</label>").next());
        label.is_some_and(|label| label.contains("class=\"optional\""))
    };
    let optional = all.iter().filter(|name| is_optional(name)).cloned().collect();
    (all, optional)
}

#[test]
fn u15_what_may_be_left_out_says_so_and_everything_else_is_needed() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let leave_out = |mut fields: Fields, names: &BTreeSet<String>| {
        fields.retain(|(name, _)| !names.contains(*name));
        fields
    };
    let (mut needed, mut free) = (0, 0);
    for (name, answers) in
        [("rider", rider()), ("health", health()), ("adults", adults("ingrid@example.org")), ("sizes", sizes())]
    {
        let page = browser.get(&step(&session, name));
        assert!(!page.body.contains("</label>*") && !page.body.contains("*</label>"), "nothing is starred");
        let (all, optional) = marked(&page);
        let bare = leave_out(answers, &optional);
        for field in all.iter().filter(|field| !optional.contains(*field) && !AFTER_ANOTHER.contains(&field.as_str())) {
            let without = leave_out(bare.clone(), &BTreeSet::from([field.clone()]));
            let refused = browser.answer(&session, name, &without);
            assert_eq!(refused.status, 422, "{name} without {field}: {}", refused.words());
            let stem = field.split('_').next().unwrap_or_default();
            let told = refused.body.contains(&format!("href=\"#{field}\""))
                || refused.body.contains(&format!("href=\"#{stem}"));
            assert!(told, "{name} without {field} does not lead there");
            needed += 1;
        }
        browser.answer(&session, name, &bare).must_be(303);
        free += optional.len();
    }
    println!("{needed} answers are needed, {free} may be left out");
    assert!(needed >= 12 && free >= 8, "{needed} needed, {free} free");
}

#[test]
fn u17_the_receipt_says_what_happens_next_what_to_bring_and_whom_to_call_and_is_there_when_bookmarked() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let receipt = browser.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let page = browser.get(&receipt);
    let reference = receipt.rsplit('/').next().expect("a reference");
    page.must_say(reference).must_say("What happens next").must_say("What to bring").must_say("(406) 555-0100");
    assert!(page.body.contains(&format!("href=\"{receipt}/calendar.ics\"")));
    browser.get(&format!("{receipt}/calendar.ics")).must_be(200);
    // Days later, from a bookmark, in another browser: sign in, and there it is.
    let later = house.stranger();
    let away = later.get(&receipt);
    assert_eq!(away.must_be(303).location(), format!("/sign-in?next={receipt}"));
    let login =
        [("email", "ingrid@example.org"), ("password", "lantern under seven larches"), ("next", receipt.as_str())];
    let back = later.submit("/sign-in", "/sign-in", &login);
    assert_eq!(back.must_be(303).location(), receipt);
    later.get(&receipt).must_say(reference);
}

#[test]
fn u06_help_stands_in_the_same_place_on_every_page_of_families() {
    let house = TestApp::start();
    let (browser, session) = answered(&house);
    let mut pages: Vec<String> = STEPS.iter().map(|name| step(&session, name)).collect();
    pages.extend(["/", "/sessions", "/sign-in", "/help", "/no-such-page", "/sign-in/link"].map(str::to_owned));
    pages.push(format!("/sessions/{session}"));
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    let receipt = browser.sign(&session, &fields).location().to_owned();
    pages.extend([receipt.clone(), format!("{receipt}/give-up"), "/riders".into(), "/account".into()]);
    for page in &pages {
        let shown = browser.get(page);
        let shown = if shown.status == 303 { browser.get(shown.location()) } else { shown };
        let foot = shown.body.split("</main>").nth(1).unwrap_or_default();
        let help = foot.split("class=\"help\"").nth(1).unwrap_or_default();
        assert!(help.contains("href=\"tel:") && help.contains("href=\"mailto:"), "{page}: {}", shown.words());
        assert!(help.find("tel:") < help.find("mailto:"), "{page}");
    }
}
