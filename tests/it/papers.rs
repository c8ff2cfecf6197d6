//! People of the staff are written to before a paper of theirs runs out: 90, 60, 30 and 7 days before (a program may choose
//! others; common practice, no source), once each, by day, and never about one that was renewed.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::domain::words::Lang;
use waymark::services::paper_reminders::remind;
use waymark::store::StoreError;
use waymark::store::schema::{accounts, audit_rows};
use waymark::store::staff::add_certification;

use crate::house::app::TestApp;
use crate::house::people::{Member, days};
use crate::planning::office::Office;

/// Rafael, whose riding certification alone runs out, on June 10, 2027; his other papers go on for years.
fn rafael(house: &TestApp) -> Member {
    let rafael = house.add_instructor();
    for kind in ["first_aid", "background", "child_protection"] {
        add(house, rafael, kind, 366, 2000);
    }
    rafael
}

fn add(house: &TestApp, member: Member, kind: &'static str, from: i64, through: i64) {
    let add = move |conn: &mut _| add_certification(conn, member.staff, kind, days(from), days(through));
    house.app.store.write("a paper", add).expect("a paper");
}

/// The job's turn at a moment, UTC, and the letters that went out: to whom, and their subject.
fn turn(house: &TestApp, at: &str) -> Vec<String> {
    house.app.clock.set(at.parse().expect("an instant"));
    remind(&house.app).expect("the job");
    house.letters_out().into_iter().map(|(_, letter)| format!("{}: {}", letter.to.address, letter.subject)).collect()
}

const OF_RIDING: &str = "rafael@example.org: Your riding certification runs out on June 10, 2027";

/// June 10, 2027 less 90, 60, 30 and 7 days, by the calendar: March 12, April 11, May 11 and June 3.
#[test]
fn day_5_staff_hear_90_60_30_and_7_days_before_a_paper_runs_out_once_each_and_by_day() {
    let house = TestApp::start();
    rafael(&house);
    for (at, letters) in [
        ("2027-03-11T20:00:00", 0),
        // Six in the morning and nine at night in Missoula.
        ("2027-03-12T12:00:00", 0),
        ("2027-03-13T03:00:00", 0),
        ("2027-03-12T16:00:00", 1),
        ("2027-03-12T17:00:00", 0),
        ("2027-04-10T16:00:00", 0),
        ("2027-04-11T16:00:00", 1),
        // The server was off on May 11.
        ("2027-05-14T16:00:00", 1),
        ("2027-06-03T16:00:00", 1),
        ("2027-06-10T16:00:00", 0),
        ("2027-06-11T16:00:00", 0),
    ] {
        assert_eq!(turn(&house, at), vec![OF_RIDING; letters], "{at}");
    }
    let told: Vec<String> = house.rows(|conn| {
        let of = audit_rows::table.filter(audit_rows::action.eq("paper.remind"));
        of.order(audit_rows::id).select(audit_rows::detail).load(conn)
    });
    let line = |days| format!("riding through 2027-06-10, {days} days before");
    assert_eq!(told, [90, 60, 30, 7].map(line));
}

#[test]
fn day_5_the_letter_says_until_when_and_what_follows_in_the_readers_language() {
    let house = TestApp::start();
    let member = rafael(&house);
    house.app.clock.set("2027-06-09T16:00:00".parse().expect("an instant"));
    remind(&house.app).expect("the job");
    let english = house.letters_out().pop().expect("a letter").1;
    for said in ["Rafael Tso", "holds through June 10, 2027: one more day.", "nobody can plan you", "(406) 555-0100"] {
        assert!(english.text.contains(said), "{said}: {}", english.text);
    }
    let spanish = move |conn: &mut _| {
        let of = accounts::table.filter(accounts::id.eq(member.account));
        Ok::<_, StoreError>(diesel::update(of).set(accounts::language.eq(Lang::Es)).execute(conn)?)
    };
    house.app.store.write("he reads Spanish", spanish).expect("his language");
    add(&house, member, "riding", 366, 370);
    house.app.clock.set("2027-06-12T16:00:00".parse().expect("an instant"));
    remind(&house.app).expect("the job");
    let letter = house.letters_out().pop().expect("a letter").1;
    assert_eq!(letter.subject, "Su certificación de manejo vence el 15 de junio de 2027");
    assert!(letter.text.contains("quedan 3 días"), "{}", letter.text);
}

#[test]
fn day_5_nobody_hears_of_a_paper_that_another_goes_on_from_and_a_letter_that_waited_is_dropped() {
    let house = TestApp::start();
    let member = rafael(&house);
    house.app.clock.set("2027-05-20T16:00:00".parse().expect("an instant"));
    remind(&house.app).expect("the job");
    // Renewed before the letter went out: from the day after.
    add(&house, member, "riding", 366, 1100);
    assert_eq!(house.letters_out().len(), 0, "the letter is moot");
    assert_eq!(turn(&house, "2027-06-05T16:00:00"), Vec::<String>::new());
    // A helper is asked for other papers, and somebody whose account is shut for none.
    let dewey = house.add_member("dewey@example.org", "Dewey", "Blackwater", &[Role::Helper]);
    let letters = turn(&house, "2027-06-05T17:00:00");
    assert_eq!(letters.len(), 2, "{letters:?}");
    assert!(letters.iter().all(|letter| letter.starts_with("dewey@")), "{letters:?}");
    let shut = move |conn: &mut _| {
        let of = accounts::table.filter(accounts::id.eq(dewey.account));
        let now = days(0).and_hms_opt(0, 0, 0);
        Ok::<_, StoreError>(diesel::update(of).set(accounts::disabled_at.eq(now)).execute(conn)?)
    };
    house.app.store.write("shut", shut).expect("shut");
    let turned = house.person(Role::Administrator).set_program("paper_last_days", &[("value", "3")]);
    turned.must_be(303);
    assert_eq!(turn(&house, "2027-06-08T16:00:00"), Vec::<String>::new());
}

#[test]
fn day_5_a_paper_that_the_office_sets_aside_counts_for_nothing_until_it_counts_again_and_one_taken_back_never_does() {
    let office = Office::furnished();
    office.announce(&[]).must_be(303);
    let rafael = format!("/people/{}", office.reference_of("Rafael Tso"));
    let page = office.priya.get(&rafael);
    let way = page
        .body
        .split("action=\"")
        .filter_map(|rest| rest.split('"').next())
        .find(|way| way.contains("/papers/"))
        .expect("a paper to decide about")
        .to_owned();
    let decide = |standing: &str| office.priya.post(&way, &[("standing", standing)]);
    let lacks = || office.priya.get("/season").says("papers of Rafael Tso");
    assert!(!lacks());
    decide("set_aside").must_be(303);
    office.priya.get(&rafael).must_say("set aside since June 10, 2026").must_say("It counts again");
    assert!(lacks(), "the session says whose papers do not hold");
    office.announce(&[("held_day", "20")]).must_be(422).must_say("Rafael Tso cannot lead on Saturday, June 20, 2026.");
    decide("counts").must_be(303);
    assert!(!lacks());
    decide("taken_back").must_be(303);
    office.priya.get(&rafael).must_say("taken back on June 10, 2026");
    assert!(lacks());
    decide("counts").must_be(422).must_say("This paper was taken back for good. Add the new one beside it.");
    decide("gone").must_be(400);
    office.priya.post(&format!("{rafael}/papers/4711"), &[("standing", "counts")]).must_be(404);
    let log: Vec<String> = office.house.actions().into_iter().filter(|action| action == "paper.standing").collect();
    assert_eq!(log.len(), 3, "each decision is in the log, and none that was refused");
}

#[test]
fn day_5_who_teaches_only_beside_a_lead_may_lead_once_the_office_says_so() {
    let office = Office::furnished();
    let rafael = format!("/people/{}", office.reference_of("Rafael Tso"));
    let beside = |word: &str| office.priya.submit(&rafael, &format!("{rafael}/teaching"), &[("beside", word)]);
    beside("yes").must_be(303);
    office.priya.get(&rafael).must_say("Rafael Tso teaches only beside a lead, and leads nowhere.");
    assert!(!office.priya.get("/season/new").body.contains(">Rafael Tso</option>"), "nobody is offered as lead");
    beside("no").must_be(303);
    office.priya.get(&rafael).must_say("may teach alone, and lead where the papers hold");
    office.announce(&[]).must_be(303);
    // Whoever leads a session that is announced and may not any more is named on the season.
    assert!(!office.priya.get("/season").says("Rafael Tso may not lead"));
    beside("yes").must_be(303);
    office.priya.get("/season").must_say("Rafael Tso may not lead");
    beside("perhaps").must_be(400);
}
