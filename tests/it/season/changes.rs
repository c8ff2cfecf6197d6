//! A planned session is moved or called off, and every family is told once, whatever happens to the button.

use std::collections::BTreeSet;

use chrono::{NaiveDateTime, TimeDelta};
use diesel::prelude::*;
use waymark::jobs::letters::KINDS;
use waymark::store::outbox::{Claim, OutboxRow, claim_letters};
use waymark::store::schema::{outbox, session_changes};

use crate::exchange::read_by;
use crate::house::browser::{Answered, Browser};
use crate::house::season::{Fields, adults, health, rider, sizes, with};
use crate::planning::office::Office;

/// A session of two seats at Alder Flat with Zoë in it, Łukasz of the same family too, and Suri in line.
struct Story {
    office: Office,
    session: String,
    ingrid: Browser,
    receipt: String,
}

fn story() -> Story {
    let office = Office::furnished();
    let noor = office.add_teacher("Noor");
    let session = office.announce(&[("most", "2"), (&noor, "first_aid")]);
    let session = session.location().trim_start_matches("/season/").to_owned();
    let ingrid = office.house.stranger();
    let receipt = ingrid.register(&session, &rider(), "ingrid@example.org");
    let second = with(with(rider(), "given", "Łukasz"), "birth_year", "2018");
    register_brother(&ingrid, &session, &second);
    let third = with(with(rider(), "given", "Suri"), "birth_year", "2017");
    office.house.stranger().register(&session, &third, "marek@example.org");
    Story { office, session, ingrid, receipt }
}

/// A second child of the same family, by the adult who is signed in already.
fn register_brother(ingrid: &Browser, session: &str, brother: &Fields) {
    let contacts: Fields = adults("").into_iter().filter(|(name, _)| name.contains('_')).collect();
    for (name, answers) in [("rider", brother), ("health", &health()), ("adults", &contacts), ("sizes", &sizes())] {
        ingrid.answer(session, name, answers).must_be(303);
    }
    let fields = ingrid.signed(session, "Ingrid Lindqvist");
    ingrid.sign(session, &fields).must_be(303);
}

const SMOKE: &[(&str, &str)] = &[("reason", "air"), ("words", "Smoke from the ridge fire."), ("words_language", "en")];

/// The reason with more fields.
fn smoke<'a>(more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    more.iter().chain(SMOKE).copied().collect()
}

/// A letter as its kind writes it.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Letter {
    kind: String,
    to: String,
    subject: String,
    text: String,
    media: String,
    file: Vec<u8>,
}

impl Story {
    fn page(&self, below: &str) -> String {
        format!("/season/{}/{below}", self.session)
    }

    /// The fields that the page of a change would send, with some of them changed.
    fn fields(&self, below: &str, changes: &[(&str, &str)]) -> Vec<(String, String)> {
        let page = self.office.priya.get(&self.page(below));
        let mut fields: Vec<(String, String)> = Vec::new();
        for name in ["key", "seen", "held_day", "held_year", "starts", "minutes"] {
            fields.extend(page.field(name).map(|value| (name.to_owned(), value)));
        }
        if below == "move" {
            fields.push(("held_month".into(), "6".into()));
            fields.push(("site".into(), self.office.value_of("/season/new", "Alder Flat, Missoula")));
            self.office.priya.get(&self.page(below));
        }
        fields.retain(|(name, _)| !changes.iter().any(|(other, _)| other == name));
        fields.extend(changes.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
        fields
    }

    fn press(&self, below: &str, fields: &[(String, String)]) -> Answered {
        let pairs: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        self.office.priya.post(&self.page(below), &pairs)
    }

    fn letters_asked_for(&self, kind: &str) -> i64 {
        self.office.house.rows(|conn| outbox::table.filter(outbox::kind.eq(kind)).count().get_result(conn))
    }

    /// Every letter that is due now.
    fn letters(&self) -> Vec<Letter> {
        let app = &self.office.house.app;
        let now = app.clock.now();
        let claim = Claim { holder: "story".into(), now, until: now + TimeDelta::minutes(1), most: 50, early: true };
        let due: Vec<OutboxRow> = app.store.write("claim", move |conn| claim_letters(conn, &claim)).expect("letters");
        let written = |row: &OutboxRow| {
            let kind = KINDS.iter().find(|kind| kind.name == row.kind).expect("a known kind");
            let letter = (kind.write)(app, row).expect("words");
            let (media, file) =
                letter.enclosures.into_iter().next().map(|one| (one.media, one.bytes)).unwrap_or_default();
            let (kind, to, subject, text) = (row.kind.clone(), letter.to.address, letter.subject, letter.text);
            Letter { kind, to, subject, text, media, file }
        };
        due.iter().map(written).collect()
    }

    /// Ingrid's letter of a kind, among those that are due.
    fn letter_to_ingrid(&self, kind: &str) -> Letter {
        let found = self.letters().into_iter().find(|one| one.kind == kind && one.to == "ingrid@example.org");
        found.expect("Ingrid's letter")
    }
}

#[test]
fn r23_a_session_called_off_with_two_presses_two_tabs_and_a_retry_tells_each_family_once() {
    let story = story();
    let page = story.office.priya.get(&story.page("cancel"));
    page.must_say("Riders with a seat 2").must_say("Riders in line 1").must_say("Families told by letter 2");
    page.must_say("Call off and tell 2 families").must_say("Team told by letter 3 people");
    // Two tabs, each with a key of its own.
    let (first, other) = (story.fields("cancel", SMOKE), story.fields("cancel", SMOKE));
    for press in 0..3 {
        let answered = story.press("cancel", &first);
        assert_eq!(answered.location(), story.page("told"), "press {press}");
    }
    story.press("cancel", &other).must_be(409).must_say("This session is closed, called off or over.");
    assert_eq!(story.letters_asked_for("session_cancelled"), 2, "one a family, though one has two children");
    assert_eq!(story.letters_asked_for("session_cancelled_team"), 3);
    let changes: i64 = story.office.house.rows(|conn| session_changes::table.count().get_result(conn));
    assert_eq!(changes, 1);
    let mut altered = first;
    altered.retain(|(name, _)| name != "words");
    story.press("cancel", &altered).must_be(422).must_say("This form was sent before with other answers.");
    story.office.priya.get("/season").must_say("called off");
}

#[test]
fn r11_a_letter_that_is_written_twice_says_the_same_under_one_id() {
    let story = story();
    story.press("cancel", &story.fields("cancel", SMOKE)).must_be(303);
    let ids: Vec<String> = story.office.house.rows(|conn| outbox::table.select(outbox::message_id).load(conn));
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "each letter has an id of its own");
    // A letter with a question carries a new token each time; both serve.
    let told = || story.letters().into_iter().filter(|letter| letter.kind != "address_asked").collect::<Vec<_>>();
    let once = told();
    story.office.house.app.clock.advance(TimeDelta::minutes(2));
    let again = told();
    assert_eq!(once, again, "the same words, the same UID and SEQUENCE");
}

/// Independent reader: PyPI icalendar.
const READER: &str = r"
import sys, json, icalendar
cal = icalendar.Calendar.from_ical(sys.stdin.buffer.read())
print(json.dumps({'method': str(cal.get('METHOD', '')), 'events': sorted([{'uid': str(e['UID']), 'seq': int(e['SEQUENCE']),
    'status': str(e['STATUS']), 'organizer': str(e.get('ORGANIZER', '')), 'start': e['DTSTART'].dt.strftime('%Y-%m-%dT%H:%M'),
    'stamp': e['DTSTAMP'].dt.strftime('%Y-%m-%dT%H:%M'), 'faults': e.errors} for e in cal.walk('VEVENT')],
    key=lambda e: e['uid'])}))
";

/// RFC 5546 3.2.1 and 3.2.5: the same UID, a higher SEQUENCE, an ORGANIZER, METHOD PUBLISH or CANCEL, and STATUS CANCELLED
/// of an entry that is called off. RFC 6047 2.4: the media type names the method.
#[test]
fn u33_a_move_and_then_a_calling_off_replace_the_entry_under_its_id_with_a_higher_sequence() {
    let story = story();
    let file = |path: &str| read_by(READER, &story.ingrid.get(&format!("{path}/calendar.ics")).bytes);
    let before = file(&story.receipt);
    let uid = before["events"][0]["uid"].as_str().expect("an id").to_owned();
    assert_eq!(before["events"][0]["seq"], 0);
    assert_eq!(before["method"], "");
    story.press("move", &story.fields("move", &smoke(&[("held_day", "20")]))).must_be(303);
    let Letter { subject, text, media, file: bytes, .. } = story.letter_to_ingrid("session_moved");
    assert_eq!(subject, "The session of June 13, 2026 has moved");
    for words in
        ["Saturday, June 13, 2026, 8:30 AM", "Now: Saturday, June 20, 2026", "Smoke or bad air", "Zoë", "Łukasz"]
    {
        assert!(text.contains(words), "{words:?} is not in {text}");
    }
    assert_eq!(media, "text/calendar; charset=utf-8; method=PUBLISH");
    let moved = read_by(READER, &bytes);
    assert_eq!(moved["method"], "PUBLISH");
    assert_eq!(moved["events"].as_array().map(Vec::len), Some(2), "an entry for each child");
    let own = |read: &serde_json::Value| {
        read["events"]
            .as_array()
            .expect("entries")
            .iter()
            .find(|entry| entry["uid"] == uid.as_str())
            .cloned()
            .expect("ours")
    };
    let entry = own(&moved);
    assert_eq!(entry["seq"], 1);
    assert_eq!(entry["start"], "2026-06-20T08:30");
    assert_eq!(entry["status"], "CONFIRMED");
    assert_eq!(entry["faults"], serde_json::json!([]));
    assert!(entry["organizer"].as_str().is_some_and(|who| who.starts_with("mailto:")), "{entry}");
    assert_eq!(file(&story.receipt)["events"][0]["seq"], 1, "the page gives the same entry");

    story.press("cancel", &story.fields("cancel", SMOKE)).must_be(303);
    let Letter { subject, text, media, file: bytes, .. } = story.letter_to_ingrid("session_cancelled");
    assert_eq!(subject, "The session of June 20, 2026 is called off");
    assert!(text.contains("Please do not come."), "{text}");
    assert_eq!(media, "text/calendar; charset=utf-8; method=CANCEL");
    let gone = read_by(READER, &bytes);
    assert_eq!(gone["method"], "CANCEL");
    let entry = own(&gone);
    assert_eq!(entry["seq"], 2);
    assert_eq!(entry["status"], "CANCELLED");
}

#[test]
fn saturday_4_families_read_on_their_page_and_in_public_what_changed_and_what_they_can_do() {
    let story = story();
    story.press("move", &story.fields("move", &smoke(&[("held_day", "20")]))).must_be(303);
    let page = story.ingrid.get(&story.receipt);
    page.must_say("This session has moved.")
        .must_say("Before: Saturday, June 13, 2026, 8:30 AM to 1:00 PM, Alder Flat.");
    page.must_say("The office adds: “Smoke from the ridge fire.”").must_say("Saturday, June 20, 2026");
    story.press("cancel", &story.fields("cancel", SMOKE)).must_be(303);
    let public = format!("/sessions/{}", story.session);
    story.ingrid.get(&story.receipt).must_say("This session is called off.").must_say("Please do not come.");
    let page = story.office.house.stranger().get(&public);
    page.must_say("This session is called off.").must_say("Look for another session near home.");
    let spanish = story.office.house.stranger().speaking("es").get(&public);
    spanish.must_say("Esta sesión se canceló.").must_say("Hay humo o aire malo.");
    spanish.must_say("La oficina agrega, en inglés: «Smoke from the ridge fire.»");
    assert!(!spanish.says("Zoë"), "no child is named in public");
}

#[test]
fn saturday_4_a_move_is_refused_with_words_where_the_new_place_does_not_hold() {
    let story = story();
    let again = |changes: &[(&str, &str)]| story.press("move", &story.fields("move", &smoke(changes)));
    again(&[]).must_be(422).must_say("Day, time and site are the ones that hold already.");
    again(&[("held_day", "9")]).must_be(422).must_say("June 9, 2026 is over.");
    again(&[("starts", "")]).must_be(422).must_say("Write when it starts");
    story.office.meanwhile("UPDATE certifications SET valid_through = '2026-06-19' WHERE kind = 'first_aid'");
    again(&[("held_day", "20")]).must_be(422).must_say("Rafael Tso cannot lead on Saturday, June 20, 2026.");
    story.office.meanwhile("UPDATE certifications SET valid_through = '2026-12-31' WHERE kind = 'first_aid'");
    story.office.meanwhile("UPDATE site_papers SET valid_through = '2026-06-19' WHERE kind = 'insurance'");
    let site = again(&[("held_day", "20")]);
    site.must_be(422).must_say("No session can be held at Alder Flat on Saturday, June 20, 2026");
    story.office.meanwhile("UPDATE site_papers SET valid_through = '2030-12-31' WHERE kind = 'insurance'");
    story.office.add_site(&[("name", "Three Pines"), ("most_riders", "1")]).must_be(303);
    let small = story.office.value_of("/season/new", "Three Pines");
    let refused = again(&[("held_day", "20"), ("site", &small)]);
    refused.must_be(422).must_say("2 seats are taken, but the site would leave only 1.");
    assert_eq!(refused.field("held_day").as_deref(), Some("20"), "what was typed stays");
    story.office.meanwhile("UPDATE riders SET birth_date = '2020-06-12' WHERE given_name = 'Łukasz'");
    let young = again(&[("held_day", "11")]);
    young.must_be(422).must_say("Some riders would be under 6 on the new day: Łukasz");
    let nothing: Vec<(&str, &str)> = vec![("reason", ""), ("held_day", "20")];
    story.press("move", &story.fields("move", &nothing)).must_be(422).must_say("Choose the reason");
    let other = [("reason", "other"), ("words", ""), ("words_language", "en"), ("held_day", "20")];
    story.press("move", &story.fields("move", &other)).must_be(422).must_say("Say the reason in your own words");
    assert_eq!(story.letters_asked_for("session_moved"), 0, "nobody was told of what did not happen");
    story.office.priya.get(&format!("/season/{}", story.session)).must_say("Saturday, June 13, 2026");
}

#[test]
fn saturday_4_a_page_older_than_the_last_change_changes_nothing() {
    let story = story();
    let (first, other) =
        (story.fields("move", &smoke(&[("held_day", "20")])), story.fields("move", &smoke(&[("held_day", "27")])));
    story.press("move", &first).must_be(303);
    story.press("move", &other).must_be(409).must_say("Somebody changed this session after you opened the page.");
    assert_eq!(story.letters_asked_for("session_moved"), 2);
}

#[test]
fn saturday_4_a_session_with_families_is_edited_in_its_team_and_seats_and_one_without_freely() {
    let story = story();
    let page = story.office.priya.get(&story.page("edit"));
    page.must_say("Edit a session");
    let site = story.office.value_of("/season/new", "Alder Flat, Missoula");
    let lead = story.office.reference_of("Rafael Tso");
    let dewey = format!("duty_{}", story.office.reference_of("Dewey Blackwater"));
    let edit = |story: &Story, changes: &[(&str, &str)]| {
        let page = story.office.priya.get(&story.page("edit"));
        let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
        let fields = [
            ("key", key.as_str()),
            ("seen", seen.as_str()),
            ("site", site.as_str()),
            ("lead", lead.as_str()),
            (dewey.as_str(), "helper"),
            ("course", "young"),
            ("held_month", "6"),
            ("held_day", "13"),
            ("held_year", "2026"),
            ("starts", "8:30 AM"),
            ("minutes", "270"),
            ("language", "en"),
            ("most", "4"),
        ];
        story.office.priya.post(&story.page("edit"), &crate::planning::office::changed(&fields, changes))
    };
    edit(&story, &[("held_day", "20")]).must_be(422).must_say("Families are registered. Move the session");
    edit(&story, &[("most", "1")]).must_be(422).must_say("2 seats are taken already.");
    edit(&story, &[]).must_be(303);
    story.office.priya.get(&format!("/season/{}", story.session)).must_say("4 seats.");
    story.office.meanwhile("UPDATE registrations SET state = 'cancelled', place = NULL");
    story.office.meanwhile("UPDATE sessions SET seats_taken = 0, waiting = 0");
    edit(&story, &[("held_day", "27"), ("starts", "10:00 AM")]).must_be(303);
    story.office.priya.get(&format!("/season/{}", story.session)).must_say("Saturday, June 27, 2026, 10:00 AM");
    assert_eq!(story.letters_asked_for("session_moved"), 0);
}

#[test]
fn saturday_4_the_office_sees_whom_no_letter_reached_and_ticks_each_call_once() {
    let story = story();
    story.office.meanwhile("UPDATE guardians SET email = NULL WHERE email = 'marek@example.org'");
    let page = story.office.priya.get(&story.page("cancel"));
    page.must_say("Families told by letter 1").must_say("Families to call 1");
    story.press("cancel", &story.fields("cancel", SMOKE)).must_be(303);
    let list = story.office.priya.get(&story.page("told"));
    list.must_say("The session is called off.").must_say("for Suri").must_say("no e-mail address");
    list.must_say("letter on its way");
    let path =
        list.body.split("action=\"").filter_map(|rest| rest.split('"').next()).find(|path| path.contains("/told/"));
    let number =
        list.body.split("no e-mail address").next().and_then(|head| head.rsplit("id=\"n-").next()).expect("a line");
    let number = number.split('"').next().expect("a number");
    assert!(path.is_some());
    for _ in 0..2 {
        story.office.priya.post(&story.page(&format!("told/{number}")), &[]).must_be(303);
    }
    story.office.priya.get(&story.page("told")).must_say("Called June 10, 2026");
    let ticks: Vec<NaiveDateTime> = story.office.house.rows(|conn| {
        use waymark::store::schema::tellings;
        tellings::table
            .filter(tellings::called_at.is_not_null())
            .select(tellings::called_at.assume_not_null())
            .load(conn)
    });
    assert_eq!(ticks.len(), 1);
    story.office.priya.post(&story.page("told/99"), &[]).must_be(404);
}
