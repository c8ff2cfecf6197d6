//! Sessions over several meetings: planned with papers for every day, told to families whole, and read as one entry a
//! meeting by another program's calendar.

mod field;
mod proof;
mod versions;

use diesel::prelude::*;
use waymark::jobs::letters::KINDS;
use waymark::store::outbox::OutboxRow;
use waymark::store::schema::outbox;

use crate::exchange::{CALENDAR_READER, read_by};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{rider, with};
use crate::planning::office::Office;

/// The second of two mornings, a week after the Saturday of the stories. It starts and lasts as the first.
const SECOND: &[(&str, &str)] = &[("held2_month", "6"), ("held2_day", "20"), ("held2_year", "2026")];

/// The reference at the end of an address.
fn last_word(address: &str) -> String {
    address.rsplit('/').next().expect("a word").to_owned()
}

fn together<'a>(one: &[(&'a str, &'a str)], other: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    one.iter().chain(other).copied().collect()
}

/// A furnished office that announced a session; gives the session's reference.
fn announced(changes: &[(&str, &str)]) -> (Office, String) {
    let office = Office::furnished();
    let reference = last_word(office.announce(changes).location());
    (office, reference)
}

#[test]
fn saturday_1_two_mornings_are_planned_in_one_form_and_told_whole_wherever_the_session_is_shown() {
    let (office, session) = announced(SECOND);
    let both = ["Saturday, June 13, 2026, 8:30 AM to 1:00 PM", "Saturday, June 20, 2026, 8:30 AM to 1:00 PM"];
    let must_say_both = |page: &Answered| {
        page.must_be(200);
        both.iter().for_each(|day| drop(page.must_say(day).clone()));
    };
    must_say_both(&office.priya.get(&format!("/season/{session}")));
    office.priya.get("/season").must_say("2 mornings, through Sat June 20");
    let family = office.house.stranger();
    family.get("/sessions").must_say("2 mornings: Saturday, June 13; Saturday, June 20");
    let page = family.get(&format!("/sessions/{session}"));
    must_say_both(&page);
    page.must_say("Your child comes to all of them.");

    let receipt = family.register(&session, &rider(), "ingrid@example.org");
    office.house.confirm("ingrid@example.org");
    must_say_both(&family.get(&receipt));
    family.get("/registrations").must_say("2 mornings: Saturday, June 13; Saturday, June 20");
    let letter: OutboxRow =
        office.house.rows(|conn| outbox::table.select(OutboxRow::as_select()).order(outbox::id.desc()).first(conn));
    let kind = KINDS.iter().find(|kind| kind.name == letter.kind).expect("a kind of letter");
    let written = (kind.write)(&office.house.app, &letter).expect("a letter");
    for day in both {
        assert!(written.text.contains(day) && written.html.contains(day), "{}", written.text);
    }
    let spanish = office.house.stranger().speaking("es");
    spanish.get("/sessions").must_say("2 mañanas: sábado, 13 de junio; sábado, 20 de junio");
}

#[test]
fn saturday_1_meetings_that_run_into_the_afternoon_are_called_days() {
    let (office, _) = announced(&together(SECOND, &[("minutes2", "360")]));
    office.priya.get("/season").must_say("2 days, through Sat June 20");
    office.house.stranger().get("/sessions").must_say("2 days: Saturday, June 13; Saturday, June 20");
}

#[test]
fn saturday_1_the_leads_papers_must_hold_on_the_day_of_every_meeting() {
    let office = Office::furnished();
    office.meanwhile("UPDATE certifications SET valid_through = '2026-06-19' WHERE kind = 'first_aid'");
    office.announce(&[("starts", "2:00 PM")]).must_be(303);
    let again = office.announce(&together(SECOND, &[("starts", "8:00 AM")]));
    again.must_be(422).must_say("Rafael Tso cannot lead on Saturday, June 20, 2026");
    assert_eq!(again.field("held2_day").as_deref(), Some("20"), "what was typed stays");
    assert!(again.body.contains("<details open>"), "and is in sight");
    office.meanwhile("UPDATE certifications SET valid_through = '2026-06-20' WHERE kind = 'first_aid'");
    office.announce(&together(SECOND, &[("course", "older")])).must_be(303);
}

#[test]
fn saturday_1_the_sites_papers_must_hold_on_the_day_of_every_meeting() {
    let office = Office::furnished();
    office.meanwhile("UPDATE site_papers SET valid_through = '2026-06-19' WHERE kind = 'insurance'");
    office.announce(&[("starts", "2:00 PM")]).must_be(303);
    let again = office.announce(&together(SECOND, &[("course", "older")]));
    again.must_be(422).must_say("No session can be held at Alder Flat on Saturday, June 20, 2026");
    again.must_say("insurance (held through June 19, 2026)");
    office.meanwhile("UPDATE site_papers SET valid_through = '2026-06-20' WHERE kind = 'insurance'");
    office.announce(&together(SECOND, &[("course", "older")])).must_be(303);
}

#[test]
fn saturday_1_a_row_that_does_not_fit_is_named_at_its_own_field() {
    let office = Office::furnished();
    for (row, field, words) in [
        (("13", "2026"), "held2", "Saturday, June 13, 2026 does not fit."),
        (("12", "2026"), "held2", "Friday, June 12, 2026 does not fit."),
        (("31", "2026"), "held2", "There is no such day."),
        (("20", "26"), "held2_year", "Write all four digits of the year"),
    ] {
        let again = office.announce(&[("held2_month", "6"), ("held2_day", row.0), ("held2_year", row.1)]);
        again.must_be(422).must_say(words);
        assert!(again.body.contains(&format!("href=\"#{field}\"")), "{field}: {}", again.words());
    }
    let again = office.announce(&[("starts2", "9 AM sharp")]);
    again.must_be(422);
    for field in ["held2", "starts2"] {
        assert!(again.body.contains(&format!("href=\"#{field}\"")), "{field}: {}", again.words());
    }
    office.priya.get("/season").must_say("No session in 2026 yet.");
}

#[test]
fn saturday_1_a_machine_is_promised_on_every_day_of_a_session() {
    let office = Office::furnished();
    let teacher = office.add_teacher("Bram");
    office.announce(&together(SECOND, &[(&teacher, "instructor"), ("most", "8")])).must_be(303);
    // Nine machines, eight of them promised on both Saturdays; a session of two afternoons meets the second one.
    let crossing =
        [("starts", "2:00 PM"), ("held_day", "19"), ("held2_month", "6"), ("held2_day", "20"), ("held2_year", "2026")];
    let page = office.priya.follow(&office.announce(&crossing));
    page.must_say("1 seat.").must_say("Machines 1");
    let between = office.priya.follow(&office.announce(&[("held_day", "16")]));
    between.must_say("4 seats.").must_say("Machines 9");
}

/// A rider of the course for the young until the next summer.
fn young() -> Vec<(&'static str, String)> {
    with(rider(), "birth_year", "2018")
}

/// What a second library reads from a family's calendar file.
fn calendar_of(family: &Browser, receipt: &str) -> serde_json::Value {
    let file = family.get(&format!("{receipt}/calendar.ics"));
    file.must_be(200);
    read_by(CALENDAR_READER, &file.bytes)
}

fn hours(read: &serde_json::Value) -> Vec<(String, String)> {
    let text = |value: &serde_json::Value| value.as_str().expect("text").to_owned();
    let entries = read.as_array().expect("entries");
    entries.iter().map(|entry| (text(&entry["start"]), text(&entry["end"]))).collect()
}

/// Independent reader: PyPI icalendar.
#[test]
fn saturday_1_the_calendar_file_has_an_entry_for_each_meeting_under_an_id_that_stays() {
    let (office, session) = announced(SECOND);
    let family = office.house.stranger();
    let receipt = family.register(&session, &rider(), "ingrid@example.org");
    office.house.confirm("ingrid@example.org");
    let read = calendar_of(&family, &receipt);
    let expected = [("2026-06-13T14:30:00", "2026-06-13T19:00:00"), ("2026-06-20T14:30:00", "2026-06-20T19:00:00")];
    assert_eq!(hours(&read), expected.map(|(start, end)| (start.to_owned(), end.to_owned())));
    let id = |read: &serde_json::Value, place: usize| read[place]["uid"].as_str().expect("an id").to_owned();
    assert_ne!(id(&read, 0), id(&read, 1));
    // A later download, in the other language: the same two ids.
    office.house.app.clock.set("2026-06-10T15:20:00".parse().expect("an instant"));
    let again = calendar_of(&family.speaking("es"), &receipt);
    assert_eq!((id(&again, 0), id(&again, 1)), (id(&read, 0), id(&read, 1)));
}

/// Changes of 2026 and 2027: 15 U.S.C. 260a. Independent reader: PyPI icalendar.
#[test]
fn r35_two_mornings_on_both_sides_of_a_clock_change_are_read_at_their_own_hours() {
    for (days, expected) in [
        (
            [("10", "31", "2026"), ("11", "1", "2026")],
            [("2026-10-31T14:30:00", "2026-10-31T19:00:00"), ("2026-11-01T15:30:00", "2026-11-01T20:00:00")],
        ),
        (
            [("3", "13", "2027"), ("3", "14", "2027")],
            [("2027-03-13T15:30:00", "2027-03-13T20:00:00"), ("2027-03-14T14:30:00", "2027-03-14T19:00:00")],
        ),
    ] {
        let [first, second] = days;
        let (office, session) = announced(&[
            ("held_month", first.0),
            ("held_day", first.1),
            ("held_year", first.2),
            ("held2_month", second.0),
            ("held2_day", second.1),
            ("held2_year", second.2),
        ]);
        let family = office.house.stranger();
        let receipt = family.register(&session, &young(), "ingrid@example.org");
        office.house.confirm("ingrid@example.org");
        family.get(&receipt).must_say("8:30 AM to 1:00 PM, MDT").must_say("8:30 AM to 1:00 PM, MST");
        let read = hours(&calendar_of(&family, &receipt));
        assert_eq!(read, expected.map(|(start, end)| (start.to_owned(), end.to_owned())));
    }
}

/// 1:30 AM comes twice on 1 November 2026; two hours after 12:30 AM daylight time it comes the second time.
#[test]
fn r35_a_meeting_that_ends_in_the_hour_that_comes_twice_has_its_true_length() {
    let office = Office::furnished();
    let night = [("held_month", "11"), ("held_day", "1"), ("starts", "12:30 AM"), ("minutes", "120")];
    let session = last_word(office.announce(&night).location());
    let family = office.house.stranger();
    let receipt = family.register(&session, &young(), "ingrid@example.org");
    office.house.confirm("ingrid@example.org");
    let read = hours(&calendar_of(&family, &receipt));
    assert_eq!(read, [("2026-11-01T06:30:00".to_owned(), "2026-11-01T08:30:00".to_owned())]);
}

/// SHA-256 in hex of a shipped consent text as it is shown.
fn shown_hash(name: &str) -> String {
    use sha2::{Digest, Sha256};
    let path = format!("{}/seed/consents/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a shipped text");
    let text: waymark::domain::consent::ConsentText = toml::from_str(&text).expect("a sound text");
    Sha256::digest(text.shown_text().as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}
