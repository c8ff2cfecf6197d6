//! Families look for a session without an account: the list by month and by seats left, and the same search as files that
//! other programs fetch. The files are read back by programs that are not ours.

use chrono::TimeDelta;
use waymark::domain::access::Role;

use crate::exchange::{CALENDAR_READER, read_by};
use crate::house::app::{TestApp, saturday};
use crate::house::season::rider;

#[test]
fn family_1_the_list_is_narrowed_to_a_month_and_to_sessions_with_seats() {
    let house = TestApp::start();
    let full = house.add_session("young", 1, saturday());
    house.add_session("young", 4, saturday() + TimeDelta::days(7));
    house.add_session("young", 4, saturday() + TimeDelta::days(30));
    house.stranger().register(&full, &rider(), "ingrid@example.org");
    let browser = house.stranger();
    browser.get("/sessions").must_say("3 sessions").must_say("June 2026").must_say("July 2026");
    browser.get("/sessions?month=2026-06").must_say("2 sessions, June 13, 2026 to June 20, 2026");
    browser.get("/sessions?month=2026-06&seats=yes").must_say("One session, June 20, 2026");
    let ticked = browser.get("/sessions?seats=yes");
    assert!(ticked.body.contains("value=\"yes\" checked"), "the choice is kept");
    browser.get("/sessions?month=2026-08").must_say("No session fits what you look for");
    for wrong in ["June", "2026-13", "2026", "-", "0000-00"] {
        browser.get(&format!("/sessions?month={wrong}")).must_be(422).must_say("Choose a month of the list");
    }
    browser.speaking("es").get("/sessions?month=2026-06").must_say("junio de 2026").must_say("Solo con lugares libres");
}

/// Independent reader: PyPI icalendar.
#[test]
fn family_1_the_calendar_of_a_search_is_read_by_a_second_library_and_follows_a_session_that_is_called_off() {
    let house = TestApp::start();
    let june = house.add_session("young", 4, saturday());
    let july = house.add_session("older", 4, saturday() + TimeDelta::days(30));
    let stranger = house.stranger();
    let page = stranger.get("/sessions?age=8");
    assert!(page.body.contains("href=\"/sessions/calendar.ics?age=8&#38;words=en\""), "{}", page.words());
    let read = |path: &str| read_by(CALENDAR_READER, &stranger.get(path).must_be(200).bytes);
    let all = read("/sessions/calendar.ics");
    assert_eq!(all.as_array().map(Vec::len), Some(2));
    assert_eq!(all[0]["summary"], "Youth ATV riding course, ages 6 to 9");
    assert_eq!((&all[0]["start"], &all[0]["seq"]), (&"2026-06-13T14:30:00".into(), &0.into()));
    assert!(all[0]["uid"].as_str().is_some_and(|uid| uid.starts_with(&format!("session-{june}-1@"))), "{all}");
    assert_eq!(read("/sessions/calendar.ics?age=8").as_array().map(Vec::len), Some(1));
    let spanish = read("/sessions/calendar.ics?words=es");
    assert_ne!(spanish[0]["summary"], all[0]["summary"]);
    let priya = house.person(Role::Coordinator);
    let cancel = format!("/season/{july}/cancel");
    let page = priya.get(&cancel);
    let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
    let fields = [("key", &*key), ("seen", &seen), ("reason", "weather"), ("words", ""), ("words_language", "en")];
    priya.post(&cancel, &fields).must_be(303);
    let after = read("/sessions/calendar.ics");
    assert_eq!((&after[1]["uid"], &after[1]["status"]), (&all[1]["uid"], &"CANCELLED".into()));
    assert_eq!(after[1]["seq"], 1, "calendars replace the entry they have");
}

#[test]
fn family_1_the_list_as_data_says_what_the_page_says_and_no_name_of_a_person() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    house.stranger().register(&session, &rider(), "ingrid@example.org");
    let answered = house.stranger().get("/sessions/sessions.json");
    assert_eq!(answered.must_be(200).header("content-type"), Some("application/json"));
    let list: serde_json::Value = serde_json::from_str(&answered.body).expect("JSON");
    let one = &list["sessions"][0];
    assert_eq!(one["reference"], session.as_str());
    assert_eq!(one["address"], format!("{}/sessions/{session}", house.app.settings.server.public_url));
    assert_eq!((&one["seats_left"], &one["takes_registrations"]), (&3.into(), &true.into()));
    assert_eq!((&one["county"]["code"], &one["language"]), (&"30049".into(), &"en".into()));
    assert_eq!(one["meetings"][0]["starts"], "2026-06-13T08:30:00-06:00");
    for name in ["Zo", "Ingrid", "Okafor", "Rafael"] {
        assert!(!answered.body.contains(name), "{name}");
    }
    assert_eq!(house.stranger().get("/sessions/sessions.json?age=12").body, r#"{"sessions":[]}"#);
}

/// RFC 9110 8.8.3 and 13.1.2: the tag names the bytes, and who has them is only told so.
#[test]
fn family_1_the_files_may_be_kept_by_anybody_and_are_sent_again_only_when_they_changed() {
    let house = TestApp::start();
    let session = house.add_session("young", 4, saturday());
    for path in ["/sessions/calendar.ics", "/sessions/sessions.json"] {
        let stranger = house.stranger();
        let first = stranger.get(path);
        assert_eq!(first.must_be(200).header("cache-control"), Some("public, max-age=300"), "{path}");
        assert_eq!(first.header("set-cookie"), None, "{path}: it belongs to nobody");
        let tag = first.header("etag").expect("a tag").to_owned();
        let again = |tag: &str| stranger.send("GET", path, &[("if-none-match", tag)], "");
        let same = again(&tag);
        assert_eq!((same.must_be(304).body.as_str(), same.header("etag")), ("", Some(tag.as_str())), "{path}");
        assert_eq!(again("*").status, 304);
        assert_eq!(again("\"other\"").must_be(200).body, first.body, "the same sessions give the same bytes");
        let wrong = [format!("{path}?age=nine"), format!("{path}?month=June"), format!("{path}?age=8&age=9")];
        for wrong in wrong {
            stranger.get(&wrong).must_be(400);
        }
    }
    let before = house.stranger().get("/sessions/sessions.json").header("etag").map(str::to_owned);
    house.stranger().register(&session, &rider(), "ingrid@example.org");
    assert_ne!(house.stranger().get("/sessions/sessions.json").header("etag").map(str::to_owned), before);
}
