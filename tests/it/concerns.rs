//! A concern about an adult of the program is read by two named people, by nobody of the session and never by the one it is about;
//! the state's own number stands first, and one press ends somebody's access.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::schema::{audit_rows, concerns};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;

struct Story {
    house: TestApp,
    field: Field,
    office: Browser,
}

impl Story {
    /// Priya and Marta are named; Rafael leads Zoë's session, and Marta is its first-aider.
    fn begins() -> Self {
        let house = TestApp::start();
        house.add_coordinator();
        let field = house.field_day();
        house.staff_of(&field, "Marta", Role::FirstAid, Duty::FirstAid);
        let office = house.person(Role::Administrator);
        let story = Self { house, field, office };
        story.name(&["priya@example.org", "marta@example.org"]).must_be(303);
        story
    }

    fn name(&self, readers: &[&str; 2]) -> Answered {
        let page = self.office.get("/program/concerns");
        let revision = page.field("revision").expect("a revision");
        let [first, second] = readers.map(|email| self.house.reference_of(email));
        let line = [("agency", "Montana’s child line"), ("phone", "(406) 555-0177")];
        let mut fields = vec![("first", first.as_str()), ("second", second.as_str()), ("revision", revision.as_str())];
        fields.extend(line);
        self.office.post("/program/concerns", &fields)
    }

    fn family(&self) -> Browser {
        let browser = self.house.stranger();
        let fields = [("email", "ingrid@example.org"), ("password", "lantern under seven larches")];
        browser.submit("/sign-in", "/sign-in", &fields).must_be(303);
        browser
    }

    /// Somebody writes one about a person of the program, or about somebody by words.
    fn write(&self, who: &Browser, person: &str, about: &str) -> Answered {
        let person = if person.is_empty() { String::new() } else { self.house.reference_of(person) };
        let seen = "Took a child behind the trailer alone, twice.";
        let fields = [("person", person.as_str()), ("about", about), ("seen", seen), ("when", ""), ("children", "")];
        who.submit("/concerns/new", "/concerns", &fields)
    }

    fn newest(&self) -> String {
        let of = concerns::table.order(concerns::id.desc()).select(concerns::reference);
        let reference: String = self.house.rows(|conn| of.first(conn));
        format!("/concerns/{reference}")
    }
}

#[test]
fn day_9_a_family_writes_a_concern_and_only_the_two_who_were_named_read_it() {
    let story = Story::begins();
    let Story { house, field, office } = &story;
    let family = story.family();
    let form = family.get("/concerns/new");
    form.must_say("Is a child in danger now?").must_say("Montana’s child line").must_say("(406) 555-0177");
    form.must_say("Only these people read it: Priya Castellanos, Marta Ward.");
    // A family chooses among those whom it has met.
    form.must_say("Rafael Tso").must_say("Dewey Blackwater");
    assert!(!form.says("Ana administrator"), "nobody else of the staff is shown to a family");
    house.letters_out();
    story.write(&family, "rafael@example.org", "").must_be(303);
    family.get("/concerns/sent").must_say("Thank you. It is kept.");
    let concern = story.newest();
    // The letters say nothing of it.
    let letters = house.letters_out();
    let mut to: Vec<&str> = letters.iter().map(|(_, letter)| letter.to.address.as_str()).collect();
    to.sort_unstable();
    assert_eq!(to, ["marta@example.org", "priya@example.org"]);
    for (kind, letter) in &letters {
        assert_eq!(kind, "concern_written");
        let whole = format!("{} {}", letter.subject, letter.text);
        assert!(["trailer", "Rafael", "Ingrid", "concern about"].iter().all(|word| !whole.contains(word)), "{whole}");
    }
    let priya = house.signed_in("priya@example.org");
    priya.get("/").must_say("For you alone").must_say("Something waits for you to read");
    let page = priya.get(&concern);
    page.must_say("About Rafael Tso")
        .must_say("Took a child behind the trailer alone, twice.")
        .must_say("Written by Ingrid");
    house.signed_in("marta@example.org").get(&concern).must_be(200);
    // Nobody else learns that there is one: not the session's lead, not the office, not who wrote it.
    for other in [&field.lead, office, &house.signed_in("dewey@example.org")] {
        other.get(&concern).must_be(404);
        assert_eq!(other.get("/concerns").location(), "/concerns/new");
        assert!(!other.get("/").says("For you alone"));
        other.submit("/account", &format!("{concern}/notes"), &[("words", "I was told")]).must_be(404);
        other.submit("/account", &format!("{concern}/end-access"), &[]).must_be(404);
    }
    family.get(&concern).must_be(403);
    // It lies sealed, and the log says that one was written and read, no more.
    let kept: Vec<u8> = house.rows(|conn| concerns::table.select(concerns::body).first(conn));
    assert!(!kept.windows(7).any(|part| part == b"trailer"));
    let told: Vec<(String, String)> = house.rows(|conn| {
        let of = audit_rows::table.filter(audit_rows::action.like("concern.%"));
        of.order(audit_rows::id).select((audit_rows::action, audit_rows::detail)).load(conn)
    });
    assert!(told.iter().any(|(action, _)| action == "concern.read"), "{told:?}");
    assert!(told.iter().filter(|(action, _)| action != "concern.readers").all(|(_, detail)| detail.is_empty()));
}

#[test]
fn day_9_who_reads_concerns_never_reads_one_about_themselves() {
    let story = Story::begins();
    let Story { house, field, .. } = &story;
    house.letters_out();
    story.write(&field.lead, "priya@example.org", "").must_be(303);
    let concern = story.newest();
    let letters = house.letters_out();
    let to: Vec<&str> = letters.iter().map(|(_, letter)| letter.to.address.as_str()).collect();
    assert_eq!(to, ["marta@example.org"], "the one it is about gets no letter");
    let priya = house.signed_in("priya@example.org");
    priya.get(&concern).must_be(404);
    priya.get("/concerns").must_say("Nobody has written one.");
    assert!(!priya.get("/").says("For you alone"));
    house.signed_in("marta@example.org").get(&concern).must_say("About Priya Castellanos");
    // Staff write about anybody but themselves.
    let form = field.lead.get("/concerns/new");
    form.must_say("Priya Castellanos").must_say("Marta Ward");
    let own = house.reference_of("rafael@example.org");
    assert!(!form.body.contains(&format!("value=\"{own}\"")));
    let about_self = [("person", own.as_str()), ("about", ""), ("seen", "Nothing")];
    field.lead.submit("/concerns/new", "/concerns", &about_self).must_be(404);
}

#[test]
fn day_9_one_press_ends_somebodys_access_on_every_phone_at_once() {
    let story = Story::begins();
    let Story { house, field, .. } = &story;
    story.write(&story.family(), "rafael@example.org", "").must_be(303);
    let concern = story.newest();
    let marta = house.signed_in("marta@example.org");
    field.lead.get(&field.at("")).must_be(200);
    marta.submit(&concern, &format!("{concern}/end-access"), &[]).must_be(303);
    let gone = field.lead.get(&field.at(""));
    assert_ne!(gone.status, 200, "{}", gone.words());
    marta.get(&concern).must_say("Rafael Tso (access ended)");
    // What was done is added, and nothing of it goes.
    let add = |words: &str| marta.submit(&concern, &format!("{concern}/notes"), &[("words", words)]);
    add("").must_be(422).must_say("Write what is added");
    add("Called the state line at 9:10, number 4471.").must_be(303);
    house.signed_in("priya@example.org").get(&concern).must_say("number 4471");
    marta.submit(&concern, &format!("{concern}/settle"), &[]).must_be(303);
    marta.get(&concern).must_say("Settled by Marta Ward");
    marta.post(&format!("{concern}/settle"), &[]).must_be(409);
    assert!(!marta.get("/").says("For you alone"));
}

#[test]
fn day_9_what_is_missing_is_said_and_nothing_typed_is_lost_in_both_languages() {
    let story = Story::begins();
    let family = story.family();
    let empty =
        family.submit("/concerns/new", "/concerns", &[("person", ""), ("about", ""), ("seen", ""), ("when", "Noon")]);
    empty.must_be(422).must_say("Write what you saw or heard").must_say("Choose a person, or write who it is about");
    assert!(empty.body.contains("Noon"), "what was typed stays");
    let spanish = family.follow(&family.get("/concerns/new?lang=es"));
    spanish.must_say("Una preocupación sobre un adulto").must_say("¿Un menor está en peligro ahora?");
    // Somebody whom no list names.
    story.write(&family, "", "A man with a red cap who helps with the cones").must_be(303);
    let priya = story.house.signed_in("priya@example.org");
    let page = priya.get(&story.newest());
    page.must_say("A man with a red cap");
    assert!(!page.says("End the access"), "nobody of the staff is named");
    story.house.stranger().get("/concerns/new").must_be(303);
}

#[test]
fn day_9_two_different_people_are_named_and_no_number_ships() {
    let house = TestApp::start();
    house.add_coordinator();
    let office = house.person(Role::Administrator);
    office.get("/program").must_say("Who reads them, and your state’s number");
    let form = house.signed_in("priya@example.org").get("/concerns/new");
    form.must_say("Look it up and call it. Do not wait for us.").must_say("Nobody is named yet who reads it.");
    let priya = house.reference_of("priya@example.org");
    let revision = office.get("/program/concerns").field("revision").expect("a revision");
    let twice = [
        ("first", priya.as_str()),
        ("second", priya.as_str()),
        ("agency", "State line"),
        ("phone", ""),
        ("revision", revision.as_str()),
    ];
    let refused = office.post("/program/concerns", &twice);
    refused.must_be(422).must_say("Choose two different people").must_say("Write the number");
    assert!(refused.body.contains("value=\"State line\""), "what was typed stays");
    house.signed_in("priya@example.org").get("/program/concerns").must_be(403);
}
