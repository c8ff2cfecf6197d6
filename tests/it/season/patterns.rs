//! Patterns and series: what a session is made of is kept, and sessions of many days are planned with one press.

use diesel::prelude::*;
use waymark::store::schema::{pattern_sessions, sessions};

use crate::house::browser::Answered;
use crate::planning::office::{Office, changed};

impl Office {
    /// Keeps a pattern of a Saturday morning at the first site, led by Rafael with Dewey's help.
    fn keep_pattern(&self, changes: &[(&str, &str)]) -> Answered {
        let site = self.value_of("/patterns/new", "Alder Flat, Missoula");
        let lead = self.reference_of("Rafael Tso");
        let dewey = format!("duty_{}", self.reference_of("Dewey Blackwater"));
        let fields = [
            ("name", "Alder Flat, Saturday mornings"),
            ("course", "young"),
            ("site", &site),
            ("starts", "8:30 AM"),
            ("minutes", "270"),
            ("language", "en"),
            ("lead", &lead),
            (&dewey, "helper"),
            ("most", ""),
        ];
        self.priya.submit("/patterns/new", "/patterns", &changed(&fields, changes))
    }

    fn kept_pattern(&self) -> String {
        let kept = self.keep_pattern(&[]);
        kept.must_be(303);
        kept.location().to_owned()
    }

    /// How many sessions there are.
    fn sessions(&self) -> i64 {
        self.house.rows(|conn| sessions::table.count().get_result(conn))
    }

    /// Presses the button of a series that is shown.
    fn press(&self, pattern: &str, shown: &Answered) -> Answered {
        let (key, planned) = (shown.field("key").expect("a key"), shown.field("planned").expect("days"));
        self.priya.post(&format!("{pattern}/series"), &[("key", &key), ("planned", &planned)])
    }
}

/// Every Saturday from 13 June through 11 July 2026: five days.
const FIVE: &str = "how=weeks&weeks=1&from_month=6&from_day=13&from_year=2026&through_month=7&through_day=11&\
                    through_year=2026";

#[test]
fn saturday_4_a_planned_session_is_kept_as_a_pattern_and_the_pattern_changes_no_session() {
    let office = Office::furnished();
    office.priya.get("/patterns").must_say("No pattern yet.").must_say("Make a pattern");
    let second = [("held2_month", "6"), ("held2_day", "14"), ("held2_year", "2026"), ("minutes2", "180")];
    let session = office.announce(&second).location().trim_start_matches("/season/").to_owned();
    office.priya.get(&format!("/season/{session}")).must_say("Keep as a pattern");
    let form = office.priya.get(&format!("/patterns/new?session={session}"));
    assert_eq!(form.field("name").as_deref(), Some("Alder Flat, ages 6 to 9"));
    for (field, value) in
        [("starts", "8:30 AM"), ("minutes", "270"), ("after2", "1"), ("starts2", "8:30 AM"), ("minutes2", "180")]
    {
        assert_eq!(form.field(field).as_deref(), Some(value), "{field}");
    }
    let kept = office.keep_pattern(&[("after2", "1"), ("minutes2", "180")]);
    let pattern = kept.location().to_owned();
    let page = office.priya.follow(&kept);
    page.must_say("8:30 AM to 1:00 PM").must_say("8:30 AM to 11:30 AM, the day after");
    page.must_say("Rafael Tso leads").must_say("Dewey Blackwater helps").must_say("Nothing is planned from it yet.");
    let again = office.keep_pattern(&[]);
    again.must_be(422).must_say("There is a pattern called Alder Flat, Saturday mornings already.");
    assert!(again.body.contains("href=\"#name\""), "{}", again.words());
    let other = office.keep_pattern(&[("name", ""), ("after2", "0")]);
    other.must_be(422).must_say("Write the name of the pattern").must_say("the days after the first meeting");
    let edit = office.priya.get(&format!("{pattern}/edit"));
    assert_eq!(edit.field("after2").as_deref(), Some("1"));
    let one = office.priya.get(&format!("/season/new?{}&day=2026-07-04", pattern.replace("/patterns/", "pattern=")));
    assert_eq!(one.field("held2_day").as_deref(), Some("5"), "a session of the pattern's two meetings");
    office.priya.post(&format!("{pattern}/remove"), &[]).must_be(303);
    office.priya.get(&pattern).must_be(404);
    assert_eq!(office.sessions(), 1, "the session stays");
}

#[test]
fn saturday_7_two_windows_on_one_pattern_lose_nothing() {
    let office = Office::furnished();
    let pattern = office.kept_pattern();
    let edit = format!("{pattern}/edit");
    let page = office.priya.get(&edit);
    let seen = page.field("seen").expect("what the form was drawn from");
    let (site, lead) = (office.value_of(&edit, "Alder Flat, Missoula"), office.reference_of("Rafael Tso"));
    let dewey = format!("duty_{}", office.reference_of("Dewey Blackwater"));
    let with = |seen: &str, minutes: &str, name: &str| {
        let fields = [
            ("seen", seen),
            ("name", name),
            ("course", "young"),
            ("site", &site),
            ("starts", "8:30 AM"),
            ("minutes", minutes),
            ("language", "en"),
            ("lead", &lead),
            (&dewey, "helper"),
            ("most", ""),
        ];
        office.priya.post(&edit, &fields)
    };
    with(&seen, "240", "Alder Flat, Saturday mornings").must_be(303);
    let stale = with(&seen, "270", "Alder Flat, early");
    stale.must_be(409).must_say("This was changed in another window since you opened it.");
    stale.must_say("What stands there now: Name of the pattern Alder Flat, Saturday mornings Length in minutes 240");
    assert!(!stale.says("What stands there now: Course"), "what is the same is not told");
    assert_eq!(stale.field("name").as_deref(), Some("Alder Flat, early"));
    with(&stale.field("seen").expect("the new one"), "270", "Alder Flat, early").must_be(303);
    office.priya.get(&pattern).must_say("Alder Flat, early").must_say("8:30 AM to 1:00 PM");
}

#[test]
fn saturday_4_a_series_shows_what_each_day_lacks_before_anything_is_written() {
    let office = Office::furnished();
    let pattern = office.kept_pattern();
    office.announce(&[("held_day", "20")]).must_be(303);
    office.meanwhile("UPDATE certifications SET valid_through = '2026-07-03' WHERE kind = 'first_aid'");
    let looked = office.priya.get(&format!("{pattern}/series?{FIVE}"));
    looked.must_be(200).must_say("2 of 5 days can be planned").must_say("Nothing is written yet.");
    looked.must_say("Saturday, June 20, 2026. Choose another time or site.");
    looked.must_say("Rafael Tso cannot lead on Saturday, July 4, 2026").must_say("held through July 3, 2026");
    looked.must_say("3 days are left out.").must_say("Plan 2 sessions");
    assert_eq!(office.sessions(), 1, "looking plans nothing");
    assert_eq!(looked.field("planned").as_deref(), Some("2026-06-13 2026-06-27"));
    let done = office.press(&pattern, &looked);
    assert_eq!(done.location(), format!("{pattern}#planned"));
    assert_eq!(office.sessions(), 3);
    office.priya.get(&pattern).must_say("2 sessions planned from it").must_say("0 of 4");
    office.priya.get("/season").must_say("3 sessions by day");
    let none = office.priya.get(&format!("{pattern}/series?{FIVE}"));
    none.must_say("0 of 5 days can be planned").must_say("None of these days can be planned.");
    assert!(none.field("planned").is_none(), "there is no button for nothing");
}

/// Ten helmets, four riders an instructor: the third day has two left, the fourth none.
#[test]
fn saturday_4_earlier_days_of_a_series_take_their_helmets() {
    let office = Office::bare();
    office.add_site(&[]).must_be(303);
    office.add_machines(1..=9);
    office.add_helmets("10");
    let pattern = office.kept_pattern();
    let looked = office.priya.get(&format!("{pattern}/series?{FIVE}"));
    looked.must_say("3 of 5 days can be planned").must_say("There are no more helmets on hand.");
    office.press(&pattern, &looked).must_be(303);
    let planned: Vec<i64> =
        office.house.rows(|conn| sessions::table.order(sessions::held_on).select(sessions::capacity).load(conn));
    assert_eq!(planned, [4, 4, 2]);
}

#[test]
fn r23_one_press_plans_a_whole_series_once_and_a_day_that_went_takes_nothing_with_it() {
    let office = Office::furnished();
    let pattern = office.kept_pattern();
    let query = format!("{pattern}/series?{FIVE}");
    let (first, other) = (office.priya.get(&query), office.priya.get(&query));
    for press in 0..3 {
        assert_eq!(office.press(&pattern, &first).location(), format!("{pattern}#planned"), "press {press}");
    }
    assert_eq!(office.sessions(), 5);
    let links: i64 = office.house.rows(|conn| pattern_sessions::table.count().get_result(conn));
    assert_eq!(links, 5);
    let late = office.press(&pattern, &other);
    late.must_be(422).must_say("Alder Flat holds another session at that time on Saturday, June 13, 2026.");
    late.must_say("0 of 5 days can be planned");
    // One day of five is taken meanwhile: all or none.
    office.meanwhile("UPDATE sessions SET state = 'cancelled'");
    let shown = office.priya.get(&query);
    office.announce(&[("held_month", "7"), ("held_day", "4")]).must_be(303);
    office.press(&pattern, &shown).must_be(422).must_say("4 of 5 days can be planned");
    assert_eq!(office.sessions(), 6);
    let altered = [("key", first.field("key").expect("a key")), ("planned", "2026-08-01".into())];
    let altered: Vec<(&str, &str)> = altered.iter().map(|(name, value)| (*name, value.as_str())).collect();
    office.priya.post(&format!("{pattern}/series"), &altered).must_be(422).must_say("sent before with other answers");
}

#[test]
fn saturday_4_days_that_cannot_be_read_bring_the_form_back_with_what_was_typed() {
    let office = Office::furnished();
    let pattern = office.kept_pattern();
    let series = |query: &str| office.priya.get(&format!("{pattern}/series?{query}"));
    series("").must_be(200).must_say("Look at these days");
    let own = series("how=days&days=6%2F13%2F2026%0D%0AJune+27%2C+2026%0D%0A2026-06-13");
    own.must_be(200).must_say("2 of 2 days can be planned");
    assert_eq!(own.field("planned").as_deref(), Some("2026-06-13 2026-06-27"));
    let wrong = series("how=days&days=the+first+Saturday");
    wrong.must_be(422).must_say("\u{201c}the first Saturday\u{201d} is no day.").must_say("the first Saturday");
    assert!(wrong.body.contains("<details open>"), "and is in sight");
    series("how=days&days=").must_be(422);
    series("how=weeks").must_be(422);
    series(&FIVE.replace("through_month=7", "through_month=5"))
        .must_be(422)
        .must_say("The last day comes before the first");
    series(&FIVE.replace("through_year=2026", "through_year=2029")).must_be(422).must_say("more than 60 sessions");
    series(&FIVE.replace("weeks=1", "weeks=0")).must_be(422);
    let nothing = office.priya.post(&format!("{pattern}/series"), &[("key", "k"), ("planned", "soon")]);
    nothing.must_be(422).must_say("Choose the days first");
    office.priya.get("/patterns/nobody/series").must_be(404);
    assert_eq!(office.sessions(), 0);
}

#[test]
fn r23_a_double_press_announces_one_session() {
    let office = Office::furnished();
    let key = office.priya.get("/season/new").field("key").expect("a key");
    let (first, again) = (office.announce(&[("key", &key)]), office.announce(&[("key", &key)]));
    assert_eq!(first.location(), again.location());
    assert_eq!(office.sessions(), 1);
    let other = office.announce(&[("key", &key), ("held_day", "20")]);
    other.must_be(422).must_say("This form was sent before with other answers.");
    assert_ne!(other.field("key").as_deref(), Some(key.as_str()), "the page comes back with a key of its own");
}
