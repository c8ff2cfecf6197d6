//! What a family told is put right: by itself on its own pages, or by the office for a family that called.

use diesel::prelude::*;
use waymark::domain::access::Duty;
use waymark::domain::registration::Outcome;
use waymark::domain::words::Lang;
use waymark::store::schema::{audit_rows, certificates, contacts, guardians, registrations, riders};
use waymark::store::{AnyConn, StoreError};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::saturday::afternoon;
use crate::house::season::{HOME, health, rider, with};

/// Ingrid with a confirmed seat for Zoë.
struct Family {
    house: TestApp,
    session: String,
    ingrid: Browser,
    receipt: String,
    child: String,
}

fn family() -> Family {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let ingrid = house.stranger();
    let receipt = ingrid.register(&session, &rider(), "ingrid@example.org");
    house.confirm("ingrid@example.org");
    let child = crate::adults::child_of(&ingrid);
    Family { house, session, ingrid, receipt, child }
}

impl Family {
    /// The page of the child's place, for the office.
    fn sheet(&self) -> String {
        format!("/season/{}{}", self.session, self.receipt.replace("/registrations/", "/riders/"))
    }

    /// The page of the child, for the office.
    fn entry(&self) -> String {
        self.child.replace("/riders/", "/families/")
    }

    /// Priya of the office.
    fn office(&self) -> Browser {
        self.house.add_coordinator();
        self.house.signed_in("priya@example.org")
    }

    /// Somebody wrote down how the day ended for the child.
    fn end_the_day(&self) {
        let end = |conn: &mut AnyConn| -> Result<(), StoreError> {
            let ended = diesel::update(registrations::table).set(registrations::outcome.eq(Outcome::Attended));
            ended.execute(conn)?;
            Ok(())
        };
        self.house.app.store.write("end the day", end).expect("a written outcome");
    }

    /// What the log says was changed, the oldest first.
    fn changes(&self) -> Vec<(String, String)> {
        self.house.rows(|conn| {
            audit_rows::table
                .filter(audit_rows::action.like("%.change").or(audit_rows::action.eq("registration.people")))
                .order(audit_rows::id)
                .select((audit_rows::action, audit_rows::detail))
                .load(conn)
        })
    }
}

/// Changes a form as it stands: everything that the page shows is sent again, but for these answers.
#[track_caller]
fn change(browser: &Browser, page: &str, answers: &[(&str, &str)]) -> Answered {
    let shown = browser.get(page);
    shown.must_be(200);
    let form = crate::house::forms::forms(page, &shown.body).into_iter().find(|form| form.action == page);
    let form = form.unwrap_or_else(|| panic!("{page} has no form of its own"));
    let changed = |name: &str| answers.iter().find(|(changed, _)| *changed == name).map(|(_, value)| *value);
    let mut all = Vec::new();
    for field in &form.fields {
        if let Some(value) = changed(&field.name).or(field.value.as_deref()).filter(|_| field.name != "form_token") {
            all.push((field.name.as_str(), value));
        }
    }
    let missing = answers.iter().find(|(name, _)| form.field(name).is_none());
    assert!(missing.is_none(), "{page} has no field {missing:?}");
    browser.post(page, &all)
}

#[test]
fn family_8_a_family_puts_its_childs_name_and_county_right() {
    let family = family();
    let edit = format!("{}/edit", family.child);
    assert!(family.ingrid.get(&family.child).body.contains(&edit), "a way leads there");
    let page = family.ingrid.get(&edit);
    page.must_say("What we know about Zoë Marisol");
    assert_eq!(page.field("family").as_deref(), Some("Okafor-Lindqvist"));
    assert_eq!(page.field("birth_year").as_deref(), Some("2016"));
    let faulty = change(&family.ingrid, &edit, &[("given", " "), ("birth_year", "17")]);
    faulty.must_be(422).must_say("Write the child's name").must_say("Write all four digits of the year");
    assert_eq!(faulty.field("family").as_deref(), Some("Okafor-Lindqvist"), "what was typed stays");
    assert!(faulty.body.contains("<title>Error: "));
    let done = change(&family.ingrid, &edit, &[("given", "Zoé"), ("county", "30063")]);
    assert_eq!(done.must_be(303).location(), family.child);
    family.ingrid.get(&family.child).must_say("Zoé Okafor-Lindqvist").must_say("Missoula");
    family.ingrid.get(&family.receipt).must_say("Zoé");
    // Nothing changed is nothing written down.
    change(&family.ingrid, &edit, &[]).must_be(303);
    assert_eq!(family.changes(), [("rider.change".to_owned(), "name county".to_owned())], "what, and never to what");
    let stranger = family.house.stranger();
    stranger.register(&family.session, &with(rider(), "given", "Somebody"), "other@example.org");
    stranger.get(&edit).must_be(404);
}

#[test]
fn family_8_a_birth_date_must_fit_every_place_and_stays_once_the_child_has_taken_part() {
    let family = family();
    let edit = format!("{}/edit", family.child);
    let born = |browser: &Browser, page: &str, year: &str| change(browser, page, &[("birth_year", year)]);
    let refused = born(&family.ingrid, &edit, "2001");
    refused.must_be(422).must_say("This course is for riders up to 9 years old on");
    assert_eq!(refused.field("birth_year").as_deref(), Some("2001"));
    assert!(refused.body.contains("href=\"#birth\""), "the summary leads to the date");
    born(&family.ingrid, &edit, "2024").must_be(422).must_say("A rider must be 6 or older on");
    born(&family.ingrid, &edit, "2017").must_be(303);
    // Once the day has ended for the child, its age was relied on.
    family.end_the_day();
    born(&family.ingrid, &edit, "2016").must_be(422).must_say("The child has taken part in a session.");
    change(&family.ingrid, &edit, &[("given", "Zoé")]).must_be(303);
    let priya = family.office();
    born(&priya, &format!("{}/edit", family.entry()), "2016").must_be(303);
    family.ingrid.get(&family.child).must_say("2016");
}

#[test]
fn family_8_two_children_of_a_family_do_not_become_one_by_a_change() {
    let family = family();
    let brother = with(with(rider(), "given", "Łukasz"), "known", "");
    family.ingrid.answer_all(&family.session, &brother, "ingrid@example.org");
    let fields = family.ingrid.signed(&family.session, "Ingrid Lindqvist");
    family.ingrid.sign(&family.session, &fields).must_be(303);
    let edit = format!("{}/edit", family.child);
    let one = family.ingrid.get(&edit).field("given").expect("a name");
    let other = if one == "Łukasz" { "Zoë Marisol" } else { "Łukasz" };
    let refused = change(&family.ingrid, &edit, &[("given", other)]);
    refused.must_be(422).must_say("Another child of the family has this name and birth date.");
}

#[test]
fn u13_the_certificate_bears_the_name_that_the_family_chose_and_else_the_childs_own() {
    let house = TestApp::start();
    house.app.clock.set(afternoon(saturday()));
    let lead = house.add_instructor();
    let held = house.add_held_session(lead, HOME, saturday());
    let guardian = house.add_guardian("ingrid@example.org", "Ingrid", "Lindqvist");
    let seats = ["Zoë", "Łukasz"].map(|name| {
        let child = house.add_child(guardian, (name, "Okafor"), (2014, 5, 3), HOME);
        held.seat(child, guardian, Lang::En)
    });
    let ingrid = house.signed_in("ingrid@example.org");
    let page = ingrid.get("/riders");
    let ways: Vec<&str> =
        page.body.split("href=\"/riders/").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let zoe = ways.iter().map(|way| format!("/riders/{way}")).find(|way| ingrid.get(way).says("Zoë Okafor"));
    let zoe = zoe.expect("her page");
    change(&ingrid, &format!("{zoe}/edit"), &[("paper_name", "Zoë Marisol Okafor-Lindqvist")]).must_be(303);
    ingrid.get(&zoe).must_say("Name on the certificate").must_say("Zoë Marisol Okafor-Lindqvist");
    for seat in &seats {
        held.completed(seat);
    }
    let closing = held.closing();
    let rafael = house.signed_in("rafael@example.org");
    rafael.submit(&closing, &closing, &[("sure", "yes")]).must_be(303);
    let mut names: Vec<String> = house.rows(|conn| certificates::table.select(certificates::rider_name).load(conn));
    names.sort();
    assert_eq!(names, ["Zoë Marisol Okafor-Lindqvist", "Łukasz Okafor"]);
}

#[test]
fn u13_a_chosen_name_is_asked_for_on_the_way_checked_and_may_be_long() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    let browser = house.stranger();
    let long = "Wilhelmina-Ngọc ".repeat(7);
    let named = with(with(with(rider(), "given", &long), "family", ""), "paper_name", "Mina of the Ridge");
    browser.answer_all(&session, &named, "ingrid@example.org");
    let check = browser.get(&crate::house::season::step(&session, "check"));
    check.must_say("Name on the certificate").must_say("Mina of the Ridge").must_say(long.trim());
    let fields = browser.signed(&session, "Ingrid Lindqvist");
    browser.sign(&session, &fields).must_be(303);
    let kept: Vec<(String, String)> =
        house.rows(|conn| riders::table.select((riders::given_name, riders::paper_name)).load(conn));
    assert_eq!(
        kept,
        [(long.trim().to_owned(), "Mina of the Ridge".to_owned())],
        "one name of 111 characters is a name"
    );
}

#[test]
fn family_8_whom_to_call_is_changed_until_the_day_has_ended_and_the_field_sees_it_at_once() {
    let family = family();
    let rafael = family.house.add_instructor();
    family.house.put_on(&family.session, rafael, Duty::Lead);
    let people = format!("{}/people", family.receipt);
    assert!(family.ingrid.get(&family.receipt).body.contains(&people), "a way leads there");
    let page = family.ingrid.get(&people);
    assert_eq!(page.field("first_name").as_deref(), Some("Chidi Okafor"));
    assert_eq!(page.field("first_phone").as_deref(), Some("(406) 555-0163"));
    let same = change(&family.ingrid, &people, &[("second_phone", "406 555 0163")]);
    same.must_be(422).must_say("Write another phone than the first person's");
    assert_eq!(same.field("second_phone").as_deref(), Some("406 555 0163"));
    let answers = [("first_name", "Ruth Haugen"), ("first_phone", "406.555.0199"), ("not_release", "Somebody Barred")];
    assert_eq!(change(&family.ingrid, &people, &answers).must_be(303).location(), family.receipt);
    let lead = family.house.signed_in("rafael@example.org");
    let row = format!("/roster/{}{}", family.session, family.receipt.replace("/registrations/", "/riders/"));
    lead.get(&format!("{row}/health")).must_say("Ruth Haugen").must_say("(406) 555-0199");
    let barred = contacts::table.filter(contacts::kind.eq("not_release")).select(contacts::name);
    assert_eq!(family.house.rows(|conn| barred.load::<String>(conn)), ["Somebody Barred"]);
    let chidis: i64 =
        family.house.rows(|conn| contacts::table.filter(contacts::name.eq("Chidi Okafor")).count().get_result(conn));
    assert_eq!(chidis, 1, "he still takes the child home");
    assert_eq!(family.changes(), [("registration.people".to_owned(), String::new())]);
    family.end_the_day();
    family.ingrid.get(&people).must_be(409);
    family.ingrid.get("/registrations");
    family.ingrid.post(&people, &[("first_name", "Nobody")]).must_be(409);
    assert!(!family.ingrid.get(&family.receipt).body.contains(&people), "no way leads there any more");
}

#[test]
fn s28_health_answers_are_changed_by_who_wrote_them_and_read_back_by_nobody_of_the_office() {
    let family = family();
    let rafael = family.house.add_instructor();
    family.house.put_on(&family.session, rafael, Duty::Lead);
    let way = format!("{}/health", family.receipt);
    let page = family.ingrid.get(&way);
    assert_eq!(page.field("allergy_what").as_deref(), Some("bee stings"), "a mother reads what she wrote");
    change(&family.ingrid, &way, &[("injector", "yes"), ("injector_where", "")]).must_be(422);
    let answers = [("medicine", "yes"), ("medicine_what", "canary syrup at noon")];
    change(&family.ingrid, &way, &answers).must_be(303);
    let lead = family.house.signed_in("rafael@example.org");
    let row = format!("/roster/{}{}", family.session, family.receipt.replace("/registrations/", "/riders/"));
    lead.get(&format!("{row}/health")).must_say("canary syrup at noon").must_say("bee stings");
    let priya = family.office();
    let desk = format!("{}/health", family.sheet());
    assert!(priya.get(&family.sheet()).body.contains(&desk));
    let blank = priya.get(&desk);
    blank.must_be(200).must_say("Write every answer anew.");
    assert!(!blank.says("canary") && !blank.says("bee stings"));
    assert_eq!((blank.field("medicine_what").as_deref(), blank.field("allergy_what").as_deref()), (Some(""), Some("")));
    let told = with(with(health(), "allergy_what", "canary pollen"), "keep", "");
    let told: Vec<(&str, &str)> = told.iter().map(|(name, value)| (*name, value.as_str())).collect();
    priya.post(&desk, &told).must_be(303);
    assert!(!priya.get(&desk).says("canary"), "what goes in does not come out");
    lead.get(&format!("{row}/health")).must_say("canary pollen");
    assert!(!family.house.database.holds("canary"), "sealed, and in no log");
    assert_eq!(
        family.changes(),
        [("health.change".to_owned(), String::new()), ("health.change".to_owned(), String::new())]
    );
}

#[test]
fn s30_what_one_adult_wrote_is_not_shown_to_the_other_and_a_stranger_finds_nothing() {
    let family = family();
    let chidi = crate::adults::second_adult(&family.house, &family.ingrid, &family.child);
    chidi.get(&family.receipt).must_be(200);
    for what in ["people", "health"] {
        let way = format!("{}/{what}", family.receipt);
        assert!(!chidi.get(&family.receipt).body.contains(&way));
        chidi.get(&way).must_be(404);
        chidi.post(&way, &[("any", "no")]).must_be(404);
    }
    change(&chidi, &format!("{}/edit", family.child), &[("given", "Zoé")]).must_be(303);
    family.ingrid.get(&family.child).must_say("Zoé Okafor-Lindqvist");
}

#[test]
fn family_8_an_adult_changes_name_and_telephone_and_the_office_does_it_for_who_calls() {
    let family = family();
    family.ingrid.get("/account").must_say("Ingrid Lindqvist").must_say("(406) 555-0118");
    let page = family.ingrid.get("/account/about");
    assert!(page.body.contains("autocomplete=\"tel\"") && page.body.contains("autocomplete=\"given-name\""));
    change(&family.ingrid, "/account/about", &[("phone", "call me")]).must_be(422).must_say("area code");
    change(&family.ingrid, "/account/about", &[("family", "Lindqvist-Moe"), ("phone", "406 555 0155")]).must_be(303);
    family.ingrid.get("/account").must_say("Ingrid Lindqvist-Moe").must_say("(406) 555-0155");
    let priya = family.office();
    let about = format!("{}/adults/1/about", family.entry());
    assert!(priya.get(&family.entry()).body.contains(&about));
    let page = priya.get(&about);
    assert_eq!(page.field("phone").as_deref(), Some("(406) 555-0155"));
    assert!(!page.body.contains("autocomplete=\"tel\""), "a browser does not fill its owner's in");
    change(&priya, &about, &[("phone", "406 555 0156")]).must_be(303);
    priya.get(&format!("{}/adults/9/about", family.entry())).must_be(404);
    let kept: Vec<String> = family.house.rows(|conn| guardians::table.select(guardians::phone).load(conn));
    assert_eq!(kept, ["+14065550156"]);
    let said: Vec<String> = family.changes().into_iter().map(|(action, what)| format!("{action} {what}")).collect();
    assert_eq!(said, ["adult.change name phone", "adult.change phone"]);
    // From now on she signs with her new name.
    family.ingrid.get(&family.receipt).must_be(200);
}

#[test]
fn u06_a_signed_in_page_knows_when_its_sign_in_ends_and_others_say_nothing() {
    let family = family();
    let told = |browser: &Browser, page: &str| {
        let body = browser.get(page).body;
        body.split("data-idle-minutes=\"").nth(1).and_then(|rest| rest.split('"').next()).map(str::to_owned)
    };
    assert_eq!(
        told(&family.ingrid, "/riders").as_deref(),
        Some("55"),
        "an hour, less the five minutes that nobody writes down"
    );
    assert_eq!(told(&family.office(), "/season").as_deref(), Some("25"));
    assert_eq!(told(&family.house.stranger(), "/sessions"), None);
    assert_eq!(family.ingrid.send("HEAD", "/account", &[], "").status, 200, "what the button asks for keeps it");
}
