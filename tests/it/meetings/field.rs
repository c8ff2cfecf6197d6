//! The field over two mornings: each child comes, is looked over and goes home on each; the last morning decides.

use diesel::prelude::*;
use waymark::domain::acts::Body;
use waymark::domain::registration::Outcome;
use waymark::domain::time::LocalTime;
use waymark::domain::words::Lang;
use waymark::store::StoreError;
use waymark::store::connection::AnyConn;
use waymark::store::schema::{acts, audit_rows, rider_facts};
use waymark::store::sessions::{NewMeeting, find_session, replace_meetings};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::field::Field;

/// Half past eight in Montana, 8:40 on the clock of the story, a week after the Saturday.
const SECOND_MORNING: &str = "2026-06-20T14:40:00";

impl TestApp {
    /// Gives a session a second morning, a week after its first.
    pub fn add_second_morning(&self, session: &str) {
        let session = session.to_owned();
        let give = move |conn: &mut AnyConn| {
            let view = find_session(conn, &session)?.expect("a session");
            let first = view.session.held_on;
            let meeting = |on: chrono::NaiveDate| {
                let wall = on.and_hms_opt(8, 30, 0).expect("a time of the morning");
                let zone = chrono_tz::America::Denver;
                NewMeeting {
                    local_start: wall.format("%Y-%m-%dT%H:%M").to_string(),
                    zone: zone.name().into(),
                    minutes: 270,
                    starts_at: LocalTime { wall, zone }.to_utc().expect("no clock jumps at 8:30"),
                }
            };
            let both = [meeting(first), meeting(first + chrono::Days::new(7))];
            replace_meetings(conn, view.session.id, first, &both)
        };
        self.app.store.write("second morning", give).expect("two meetings");
    }

    /// Moves the clock and signs Rafael in anew.
    pub fn lead_at(&self, instant: &str) -> Browser {
        self.app.clock.set(instant.parse().expect("an instant"));
        self.signed_in("rafael@example.org")
    }
}

/// The Saturday of the stories as the first of two mornings.
fn two_mornings(house: &TestApp) -> Field {
    let field = house.field_day();
    house.add_second_morning(&field.session);
    field
}

#[test]
fn saturday_1_each_child_comes_is_looked_over_and_goes_home_on_each_morning_and_what_was_learnt_stays() {
    let house = TestApp::start();
    let field = two_mornings(&house);
    field.lead.get(&field.at("")).must_say("Meeting 1 of 2").must_say("Not checked in");
    field.make_ready(&house);
    field.pass_lessons(&house, 1..=4);
    let out = [("adult", "Chidi Okafor")];
    field.tap(&house, &field.lead, "check_out", &out).must_be(303);
    field.lead.get("/my-sessions").must_say("Everybody is home. The next meeting is on Saturday, June 20.");

    let lead = house.lead_at(SECOND_MORNING);
    lead.get("/my-sessions").must_say("Today").must_say("1 child to check in");
    let roster = lead.get(&field.at(""));
    roster.must_say("Saturday, June 20").must_say("Meeting 2 of 2").must_say("Not checked in").must_say("0 of 1");
    // Nothing is marked before the child is there again, in gear that was looked over again.
    let mark = [("check", "5.1"), ("mark", "meets")];
    field.tap(&house, &lead, "mark", &mark).must_be(422).must_say("This rider is not checked in.");
    field.tap(&house, &lead, "check_in", &[]).must_be(303);
    lead.get(&field.at("")).must_say("Here. Gear not looked over");
    field.tap(&house, &lead, "mark", &mark).must_be(422).must_say("Missing: helmet, goggles or face shield");
    field.tap(&house, &lead, "gear", &[("all", "yes")]).must_be(303);
    field.tap(&house, &lead, "helmet_check", &[("all", "yes")]).must_be(303);
    for member in &field.team {
        field.area(&house, &lead, member, true).must_be(303);
    }
    // The fit check and the marks of the first morning stand.
    lead.get(&field.at("")).must_say("Here. Machine not looked over").must_say("machine 4");
    // Machine and site are looked over anew before the first engine of each morning.
    field.tap(&house, &lead, "mark", &mark).must_be(422).must_say("Look machine 4 over first.");
    field.look_over_machine(&house, &lead, "4", &[]).must_be(303);
    lead.get(&field.at("")).must_say("Riding-ready");
    let unsigned = field.tap(&house, &lead, "mark", &mark);
    unsigned.must_be(422).must_say("Nobody rides yet. The day list is not signed.");
    field.look_over(&lead, &[], true).must_be(303);
    field.tap(&house, &lead, "mark", &mark).must_be(303);
    let rider = lead.get(&field.of_zoe(""));
    rider.must_say("Earlier meetings").must_say("Saturday, June 13. Attended. Left with Chidi Okafor at 8:40 AM.");
    let kept: Vec<(i64, String)> =
        house.rows(|conn| acts::table.select((acts::meeting, acts::kind)).order(acts::id).load(conn));
    let of = |meeting: i64, kind: &str| kept.iter().filter(|act| **act == (meeting, kind.to_owned())).count();
    assert_eq!((of(1, "check_in"), of(2, "check_in"), of(1, "gear"), of(2, "gear")), (1, 1, 1, 1));
    assert_eq!((of(1, "fit"), of(2, "fit"), of(1, "check_out"), of(2, "check_out")), (1, 0, 1, 0));
    let details: Vec<String> = house.rows(|conn| {
        let of_the_second = audit_rows::detail.like("meeting 2%").and(audit_rows::subject.like("registration%"));
        audit_rows::table.filter(of_the_second).select(audit_rows::detail).order(audit_rows::id).load(conn)
    });
    assert_eq!(details, ["meeting 2", "meeting 2", "meeting 2 own list 1 not right 0", "meeting 2 5.1 meets"]);
}

#[test]
fn saturday_1_an_act_for_a_meeting_that_is_not_yet_or_not_at_all_is_refused() {
    let house = TestApp::start();
    let field = two_mornings(&house);
    let lead = &field.lead;
    let early = field.tap(&house, lead, "check_in", &[("meeting", "2")]);
    early
        .must_be(422)
        .must_say("That meeting is on Saturday, June 20, 2026. Nothing is entered for it before that day.");
    field.tap(&house, lead, "check_in", &[("meeting", "3")]).must_be(404);
    field.tap(&house, lead, "check_in", &[("meeting", "second")]).must_be(400);
    assert_eq!(house.acts_kept("check_in"), 0);
    // On the day before the second morning an act is one of the first.
    let lead = house.lead_at("2026-06-19T15:00:00");
    field.tap(&house, &lead, "check_in", &[]).must_be(303);
    let check_ins = acts::table.filter(acts::kind.eq("check_in")).select(acts::meeting);
    let meetings: Vec<i64> = house.rows(|conn| check_ins.load(conn));
    assert_eq!(meetings, [1]);
}

#[test]
fn saturday_1_a_session_closes_only_on_its_last_day_and_with_every_child_out_of_every_meeting() {
    let house = TestApp::start();
    let field = two_mornings(&house);
    let close = |lead: &Browser| lead.submit(&field.at(""), &field.at("/close"), &[]);
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let early = close(&field.lead);
    early.must_be(422).must_say("The session cannot close yet. Its last meeting is on Saturday, June 20, 2026.");
    field.lead.get(&field.at("/close")).must_say("The last meeting is on Saturday, June 20, 2026.");

    // A week later nobody has said who took the child home on the first morning.
    let lead = house.lead_at(SECOND_MORNING);
    lead.get("/my-sessions").must_say("1 child not home.");
    let roster = lead.get(&field.at(""));
    roster
        .must_say("Not checked out of an earlier meeting.")
        .must_say("Zoë Marisol Okafor-Lindqvist , Saturday, June 13");
    close(&lead).must_be(422).must_say("These children are not checked out: Zoë Marisol Okafor-Lindqvist.");
    lead.get(&field.at("/close")).must_say("Zoë Marisol Okafor-Lindqvist : Saturday, June 13");
    lead.get(&field.of_zoe("")).must_say("Who took Zoë Marisol that day?").must_say("left with Chidi Okafor");
    let late = [("meeting", "1"), ("adult", "Chidi Okafor"), ("back", &*format!("/riders/{}#earlier", field.zoe))];
    field.tap(&house, &lead, "check_out", &late).must_be(303);
    assert!(!lead.get(&field.at("")).says("Not checked out"), "nobody is left over");

    field.tap(&house, &lead, "check_in", &[]).must_be(303);
    close(&lead).must_be(422).must_say("not checked out");
    field.tap(&house, &lead, "check_out", &[("adult", "Chidi Okafor")]).must_be(303);
    close(&lead).must_be(303);
    lead.get(&field.at("/close")).must_say("Saturday, June 13: attended. Saturday, June 20: attended.");
}

#[test]
fn s27_staff_see_a_session_from_fourteen_days_before_its_first_meeting_to_fourteen_after_its_last() {
    let house = TestApp::start();
    let field = two_mornings(&house);
    for (day, sees) in [
        ("2026-05-29T18:00:00", false),
        ("2026-05-30T18:00:00", true),
        ("2026-06-27T18:00:00", true),
        ("2026-07-04T18:00:00", true),
        ("2026-07-05T18:00:00", false),
    ] {
        let lead = house.lead_at(day);
        let status = if sees { 200 } else { 404 };
        lead.get(&field.at("")).must_be(status);
        assert_eq!(lead.get("/my-sessions").says("Alder Flat"), sees, "{day}");
    }
}

/// One rider's two mornings, and what is counted of them.
type Story = (&'static str, &'static [(i64, Outcome)], Outcome, bool, bool);

#[test]
fn saturday_1_the_last_morning_decides_and_a_registration_is_one_participation_at_most() {
    use Outcome::{Absent, Attended, ChoseToStop, Late, LeftEarly, TurnedAway};
    // Name, set on which morning, in the end, took part, completed; every required check is met by everybody.
    let stories: &[Story] = &[
        ("Ada", &[(1, Attended), (2, Attended)], Attended, true, true),
        ("Bela", &[(1, Attended), (2, Absent)], Absent, false, false),
        ("Cleo", &[(1, Absent), (2, Late)], Late, true, true),
        ("Dag", &[(1, LeftEarly), (2, Attended)], Attended, true, true),
        ("Ebo", &[(1, Attended), (2, LeftEarly)], LeftEarly, true, false),
        ("Finn", &[(1, Attended), (2, TurnedAway)], TurnedAway, false, false),
        ("Gus", &[(1, TurnedAway), (2, ChoseToStop)], ChoseToStop, true, false),
    ];
    let house = TestApp::start();
    let rafael = house.add_instructor();
    let held = house.add_held_session(rafael, "30063", saturday());
    house.add_second_morning(&held.reference);
    for (name, mornings, ..) in stories {
        let guardian = house.add_guardian(&format!("{name}@example.org"), "Ana", "Moreau");
        let child = house.add_child(guardian, (name, "Moreau"), (2014, 5, 4), "30049");
        let seat = held.seat(child, guardian, Lang::En);
        held.met_all_but(&seat, &[]);
        for (meeting, outcome) in *mornings {
            let came = !matches!(outcome, Absent | TurnedAway);
            if came {
                held.act_at(*meeting, &seat, Body::CheckIn { late: *outcome == Late });
            }
            if !matches!(outcome, Attended | Late | Absent) {
                held.act_at(*meeting, &seat, Body::Outcome { outcome: *outcome, why: None });
            }
            if came {
                held.act_at(*meeting, &seat, Body::CheckOut { adult: "Ana Moreau".into() });
            }
        }
    }
    let lead = house.lead_at("2026-06-20T21:00:00");
    lead.submit(&held.closing(), &held.closing(), &[]).must_be(303);
    let page = lead.get(&held.closing());
    page.must_say("Saturday, June 13: attended. Saturday, June 20: absent. The last meeting decides.");
    page.must_say("3 completed the course.");
    let facts: Vec<(Outcome, i64, i64)> = house.rows(|conn| {
        rider_facts::table
            .select((rider_facts::outcome, rider_facts::participated, rider_facts::completed))
            .order(rider_facts::id)
            .load(conn)
    });
    assert_eq!(facts.len(), stories.len(), "one row a registration");
    for (_, _, outcome, took_part, completed) in stories {
        let expected = (*outcome, i64::from(*took_part), i64::from(*completed));
        let rows = |list: &[(Outcome, i64, i64)]| list.iter().filter(|row| **row == expected).count();
        let told = stories.iter().filter(|story| story.2 == *outcome).count();
        assert_eq!(rows(&facts), told, "{expected:?} among {facts:?}");
    }
    let counted: i64 = facts.iter().map(|(_, participated, _)| participated).sum();
    assert_eq!(counted, 5);
}

/// A read that the stories of this folder share.
pub fn count_of(house: &TestApp, action: &str) -> i64 {
    let work = |conn: &mut AnyConn| {
        audit_rows::table.filter(audit_rows::action.eq(action)).count().get_result(conn).map_err(StoreError::from)
    };
    house.app.store.read(work).expect("a read")
}
