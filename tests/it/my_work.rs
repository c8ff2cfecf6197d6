//! Staff say when they are away, and see their papers and the hours that they taught; the office plans nobody on a day away, and
//! brings papers in from a file.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::migrations::execute;
use waymark::store::schema::{audit_rows, certifications};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::planning::office::Office;

fn away(who: &Browser, from: [&str; 3], through: [&str; 3]) -> Answered {
    let fields = [
        ("from_month", from[0]),
        ("from_day", from[1]),
        ("from_year", from[2]),
        ("through_month", through[0]),
        ("through_day", through[1]),
        ("through_year", through[2]),
    ];
    who.submit("/my-work", "/my-work/away", &fields)
}

#[test]
fn day_5_nobody_is_planned_on_a_day_away_and_a_session_says_that_it_lacks_them() {
    let office = Office::furnished();
    let rafael = office.house.signed_in("rafael@example.org");
    rafael.get("/my-work").must_say("None. The office may plan you on any day.").must_say("holds through");
    office.announce(&[]).must_be(303);
    away(&rafael, ["6", "12", "2026"], ["6", "14", "2026"]).must_be(303);
    rafael.get("/my-work").must_say("June 12, 2026 to June 14, 2026");
    // The session that counts on him says so, on the office's first page and in the season.
    office.priya.get("/").must_say("Rafael Tso is away");
    office.priya.get("/season?year=2026").must_say("Rafael Tso is away");
    let person = office.house.reference_of("rafael@example.org");
    office.priya.get(&format!("/people/{person}")).must_say("June 12, 2026 to June 14, 2026");
    // On the day before he can be planned, on a day away he cannot.
    office.announce(&[("held_day", "11")]).must_be(303);
    let refused = office.announce(&[("held_day", "14")]);
    refused.must_be(422).must_say("Rafael Tso is away through June 14, 2026.");
    let page = rafael.get("/my-work");
    let form = page.body.split("action=\"/my-work/away/").nth(1).and_then(|rest| rest.split('"').next());
    rafael.post(&format!("/my-work/away/{}", form.expect("a way back")), &[]).must_be(303);
    office.announce(&[("held_day", "14")]).must_be(303);
    assert!(!office.priya.get("/").says("Rafael Tso is away"));
}

#[test]
fn day_5_days_that_cannot_be_are_said_at_their_field_and_what_was_typed_stays() {
    let house = TestApp::start();
    house.add_instructor();
    let rafael = house.signed_in("rafael@example.org");
    let turned = away(&rafael, ["6", "20", "2026"], ["6", "12", "2026"]);
    turned.must_be(422).must_say("The last day comes before the first.");
    assert_eq!(turned.field("from_day").as_deref(), Some("20"));
    away(&rafael, ["", "", ""], ["6", "31", "2026"]).must_be(422);
    away(&rafael, ["5", "1", "2026"], ["5", "9", "2026"]).must_be(422);
    let long = away(&rafael, ["7", "1", "2026"], ["7", "2", "2027"]);
    long.must_be(422).must_say("at most a year");
    assert_eq!(long.field("through_year").as_deref(), Some("2027"));
    // Another's row is not his to take back, and a grant manager has no field work.
    house.add_member("noor@example.org", "Noor", "Moreau", &[Role::FirstAid]);
    let noor = house.signed_in("noor@example.org");
    away(&rafael, ["7", "1", "2026"], ["7", "4", "2026"]).must_be(303);
    noor.post("/my-work/away/1/take-back", &[]).must_be(303);
    rafael.get("/my-work").must_say("July 1, 2026 to July 4, 2026");
    house.person(Role::GrantManager).get("/my-work").must_be(403);
}

/// Taught hours count once for each instructor and session, for lead and assistant both (common practice, no source).
#[test]
fn day_5_taught_hours_count_once_a_session_for_lead_and_instructor() {
    let house = TestApp::start();
    let rafael = house.add_instructor();
    let noor = house.add_member("noor@example.org", "Noor", "Moreau", &[Role::Instructor]);
    house.add_coordinator();
    for (duty, other) in [(Duty::Lead, Duty::Instructor), (Duty::Helper, Duty::Lead)] {
        let session = house.add_session("young", 6, saturday());
        house.put_on(&session, rafael, duty);
        house.put_on(&session, noor, other);
    }
    let open = house.add_session("young", 6, saturday());
    house.put_on(&open, rafael, Duty::Lead);
    let closed = format!("UPDATE sessions SET state = 'closed' WHERE reference <> '{open}'");
    house.app.store.write("meanwhile", move |conn| execute(conn, &closed)).expect("sound SQL");
    let page = house.signed_in("rafael@example.org").get("/my-work");
    page.must_say("2026 4.5 hours").must_say("led, 4.5 hours").must_say("helped, 4.5 hours");
    house.signed_in("noor@example.org").get("/my-work").must_say("2026 9 hours");
    let person = house.reference_of("noor@example.org");
    house.signed_in("priya@example.org").get(&format!("/people/{person}")).must_say("2026 9 hours");
}

const SHEET: &str = "Name,E-mail,Certification,Issued,Expires\n\
    Rafael Tso,Rafael@example.org,First aid / CPR,5/1/2026,5/1/2028\n\
    Rafael Tso,rafael@example.org,background check,2026-01-15,2029-01-14\n\
    Rafael Tso,rafael@example.org,first aid,5/1/2026,5/1/2028\n\
    Nobody,nobody@example.org,first aid,5/1/2026,5/1/2028\n\
    Rafael Tso,rafael@example.org,driver,5/1/2026,5/1/2028\n\
    Rafael Tso,rafael@example.org,child protection,5/1/2026,4/1/2026\n";

#[test]
fn day_5_papers_of_a_sheet_are_looked_at_row_by_row_and_added_at_once() {
    let house = TestApp::start();
    house.add_coordinator();
    house.add_instructor();
    let priya = house.signed_in("priya@example.org");
    priya.get("/people").must_say("Papers from a file");
    let count = || house.rows(|conn| certifications::table.count().get_result::<i64>(conn));
    let before = count();
    let page = priya.bring("/people/import", "papers.csv", SHEET.as_bytes());
    page.must_be(200).must_say("2 of 6 can be added. 3 cannot; they stay out.").must_say("added to Rafael Tso");
    page.must_say("the same as row 2").must_say("nobody of the staff signs in with this address");
    page.must_say("write riding, first aid, background or child protection").must_say("look at its days");
    page.must_say("Columns that say nothing about a paper: Name.");
    assert_eq!(count(), before, "a look adds nothing");
    let sheet = page.field("sheet").expect("rows to add");
    priya.post("/people/import/take", &[("sheet", &sheet)]).must_be(303);
    assert_eq!(count(), before + 2);
    // The second press of the same page adds nothing, and says so.
    priya.post("/people/import/take", &[("sheet", &sheet)]).must_be(409).must_say("Papers changed since");
    assert_eq!(count(), before + 2);
    let person = house.reference_of("rafael@example.org");
    priya.get(&format!("/people/{person}")).must_say("through May 1, 2028").must_say("through January 14, 2029");
    let told: Vec<String> = house.rows(|conn| {
        let of = audit_rows::table.filter(audit_rows::action.eq("paper.add"));
        of.order(audit_rows::id).select(audit_rows::detail).load(conn)
    });
    assert_eq!(told, ["first_aid through 2028-05-01, from a file", "background through 2029-01-14, from a file"]);
}

#[test]
fn day_5_a_file_that_is_no_sheet_of_papers_is_refused_with_why() {
    let house = TestApp::start();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    let bring = |name: &str, bytes: &[u8]| priya.bring("/people/import", name, bytes);
    bring("papers.csv", b"Mail,Paper\na@example.org,riding\n").must_be(422).must_say("First day, Last day");
    bring("papers.pdf", b"%PDF-1.7 \x00\x01").must_be(422);
    bring("", b"").must_be(422).must_say("Choose a file");
    priya.post("/people/import/take", &[("sheet", "no\tsuch")]).must_be(400);
}
