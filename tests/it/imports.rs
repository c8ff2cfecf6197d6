//! Families that come in a spreadsheet file: looked at row by row, taken all at once or not at all, and taken back.

use chrono::{NaiveDate, TimeDelta};
use diesel::prelude::*;
use rust_xlsxwriter::{Format, Workbook};
use waymark::domain::access::Role;
use waymark::jobs::tidy;
use waymark::store::schema::{accounts, guardians, guardianships, imports, outbox, riders};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser, multipart};
use crate::house::season::rider;

const PAGE: &str = "/families/import";

/// A sheet as an office keeps it: a title, its own words, a semicolon between cells, a blank line and a total.
const SHEET: &str = "Riders of last season;;;;;;\n\
    Kid;DOB;Where from;Mother or father;Cell #;Mail;Shirt\n\
    Baeza, Mateo;2/28/2017;Lewis and Clark;Rosa Baeza;406 555 0171;rosa@example.org;M\n\
    Nina Baeza;4/27/2016;30049;Rosa Baeza;(406) 555-0171;;S\n\
    ;;;;;;\n\
    Jude St. James;12/1/2015;Lewis and Clark County;James St. James;406-555-0180;;L\n\
    Total;3;;;;;\n";

/// The office, signed in.
fn office() -> (TestApp, Browser) {
    let house = TestApp::start();
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    (house, priya)
}

fn send(browser: &Browser, body: &[u8]) -> Answered {
    browser.send_parts(PAGE, body)
}

/// Chooses a file and presses the button.
fn bring(browser: &Browser, name: &str, bytes: &[u8]) -> Answered {
    browser.bring(PAGE, name, bytes)
}

/// What the columns of `SHEET` are.
const COLUMNS: [(&str, &str); 8] = [
    ("column_0", "child_name"),
    ("column_1", "birth_date"),
    ("column_2", "county"),
    ("column_3", "adult_name"),
    ("column_4", "phone"),
    ("column_5", "email"),
    ("column_6", ""),
    ("order", "month_first"),
];

/// Brings a file, says what its columns are, and gives the way of its import.
fn brought(browser: &Browser, name: &str, bytes: &[u8]) -> String {
    let columns = bring(browser, name, bytes).must_be(303).location().to_owned();
    browser.submit(&columns, &columns, &COLUMNS).must_be(303).location().to_owned()
}

/// Presses the button under the rows.
fn add(browser: &Browser, way: &str, more: &[(&str, &str)]) -> Answered {
    let page = browser.get(way);
    let seen = page.field("seen").unwrap_or_else(|| panic!("no press: {}", page.words()));
    let mut all = vec![("seen", seen.as_str())];
    all.extend_from_slice(more);
    browser.post(way, &all)
}

/// Children and adults that are here.
fn here(house: &TestApp) -> (i64, i64) {
    house.rows(|conn| Ok((riders::table.count().get_result(conn)?, guardians::table.count().get_result(conn)?)))
}

#[test]
fn u35_family_10_a_sheet_is_looked_at_row_by_row_taken_at_once_and_writes_to_nobody() {
    let (house, priya) = office();
    priya.get("/families").must_say("Families from a file");
    let columns = bring(&priya, "last season.csv", SHEET.as_bytes()).must_be(303).location().to_owned();
    let page = priya.get(&columns);
    page.must_say("Columns of last season.csv").must_say("Read as Text in UTF-8 with semicolons");
    page.must_say("For example: Baeza, Mateo · Nina Baeza · Jude St. James").must_say("3 rows.");
    assert!(!house.database.holds("Jude"), "sealed while it is looked at");
    let chosen = |name: &str| {
        page.body
            .split(&format!("name=\"{name}\""))
            .nth(1)
            .and_then(|rest| rest.split("</select>").next())
            .expect("a choice")
            .to_owned()
    };
    assert!(chosen("column_1").contains("value=\"birth_date\" selected"), "DOB is understood");
    assert!(chosen("column_4").contains("value=\"phone\" selected"), "and so is Cell #");
    let wrong = priya.submit(
        &columns,
        &columns,
        &[("column_0", "child_name"), ("column_1", "child_name"), ("order", "month_first")],
    );
    wrong.must_be(422).must_say("Two columns are said to be: Child's name, whole");
    wrong.must_say("Say which column has the birth date").must_say("Say which column has the adult's phone");
    let way = priya.submit(&columns, &columns, &COLUMNS).must_be(303).location().to_owned();
    let rows = priya.get(&way);
    rows.must_say("3 children, 2 new adults").must_say("Mateo Baeza , born February 28, 2017");
    rows.must_say("Added, with a new family").must_say("Added to the family of row 3");
    rows.must_say("Row 1: above the headings").must_say("Row 5: blank").must_say("Row 7: totals");
    rows.must_say("Cannot be taken none");
    assert_eq!(here(&house), (0, 0), "looking changes nothing");
    assert_eq!(add(&priya, &way, &[]).must_be(303).location(), PAGE);
    assert_eq!(here(&house), (3, 2));
    priya.get(PAGE).must_say("last season.csv 3 children, 2 new adults");
    let kept: Vec<(String, String, NaiveDate, String)> = house.rows(|conn| {
        let all = riders::table.order(riders::id);
        all.select((riders::given_name, riders::family_name, riders::birth_date, riders::county)).load(conn)
    });
    let day = |year, month, day| NaiveDate::from_ymd_opt(year, month, day).expect("a day");
    assert_eq!(kept[0], ("Mateo".into(), "Baeza".into(), day(2017, 2, 28), "30049".into()));
    assert_eq!(kept[2], ("Jude".into(), "St. James".into(), day(2015, 12, 1), "30049".into()));
    let more: (i64, i64, i64) = house.rows(|conn| {
        let letters = outbox::table.count().get_result(conn)?;
        let opened = accounts::table.filter(accounts::given_name.eq("Rosa")).count().get_result(conn)?;
        Ok((letters, opened, imports::table.filter(imports::body.is_not_null()).count().get_result(conn)?))
    });
    assert_eq!(more, (0, 0, 0), "no letter, no account, and the file is gone");
    for action in ["import.bring", "import.take"] {
        assert!(house.actions().contains(&action.to_owned()), "{action}");
    }
    assert_eq!(priya.get(&way).must_be(303).location(), PAGE, "a page of before leads to the list");
    assert_eq!(priya.post(&way, &[("seen", "x")]).must_be(303).location(), PAGE, "and its button does nothing again");
    assert_eq!(here(&house), (3, 2));
}

#[test]
fn u35_the_next_file_is_understood_and_adds_only_what_is_new() {
    let (house, priya) = office();
    let way = brought(&priya, "one.csv", SHEET.as_bytes());
    add(&priya, &way, &[]).must_be(303);
    let rows = SHEET.split("Total").next().expect("rows");
    let more = format!(
        "{rows}Lena Baeza;1/5/2018;Lewis and Clark;Baeza, Rosa;4065550171;;\nmateo  BAEZA;28 Feb 2017;;Rosa Baeza;406 555 0171;;\n"
    );
    let columns = bring(&priya, "two.csv", more.as_bytes()).must_be(303).location().to_owned();
    let page = priya.get(&columns);
    let kid = page.body.split("name=\"column_0\"").nth(1).expect("a column");
    assert!(
        kid.split("</select>").next().is_some_and(|one| one.contains("value=\"child_name\" selected")),
        "remembered"
    );
    let county = [("column_2", "county"), ("county", "30049")];
    let mut fields = COLUMNS.to_vec();
    fields.retain(|(name, _)| *name != "column_2");
    fields.extend(county);
    let way = priya.submit(&columns, &columns, &fields).must_be(303).location().to_owned();
    let rows = priya.get(&way);
    rows.must_say("1 child, 0 new adults").must_say("4 here already").must_say("Added to a family that is here");
    priya
        .get(&format!("{way}?show=same"))
        .must_say("Rows that change nothing")
        .must_say("Here already: nothing changes");
    add(&priya, &way, &[]).must_be(303);
    assert_eq!(here(&house), (4, 2));
}

#[test]
fn u35_rows_that_cannot_be_taken_stop_the_press_until_the_office_leaves_them_out() {
    let (house, priya) = office();
    let sheet = format!("{SHEET}Ada Okafor;27/4/2016;Elsewhere;Smith, Jr.;call me;nobody;\n");
    let way = brought(&priya, "faulty.csv", sheet.as_bytes());
    let page = priya.get(&format!("{way}?show=faulty"));
    page.must_say("Ada Okafor · 27/4/2016 · Elsewhere · Smith, Jr. · call me · nobody");
    for words in [
        "the birth date has day and month the other way round",
        "no county of the state has this name or code",
        "the adult's name cannot be parted into given and family name",
        "the phone is missing, or no number with its area code",
        "the e-mail address is none",
    ] {
        page.must_say(words);
    }
    let refused = add(&priya, &way, &[]);
    refused.must_be(422).must_say("Say that the rows that cannot be taken stay out").must_say("Error:");
    assert_eq!(here(&house), (0, 0), "all or nothing");
    add(&priya, &way, &[("leave_out", "yes")]).must_be(303);
    assert_eq!(here(&house), (3, 2));
}

#[test]
fn u35_a_press_is_about_the_rows_that_its_page_showed() {
    let (house, priya) = office();
    let first = brought(&priya, "one.csv", SHEET.as_bytes());
    let second = brought(&priya, "two.csv", SHEET.as_bytes());
    let seen = priya.get(&second).field("seen").expect("a press");
    add(&priya, &first, &[]).must_be(303);
    let moved = priya.post(&second, &[("seen", &seen)]);
    moved
        .must_be(409)
        .must_say("Families changed since this page was drawn.")
        .must_say("Nothing in this file would be added.");
    assert_eq!(here(&house), (3, 2));
    priya.post(&format!("{second}/leave"), &[]).must_be(303);
    priya.get(&second).must_be(404);
}

#[test]
fn u35_an_import_is_taken_back_but_for_children_who_are_registered_since() {
    let (house, priya) = office();
    let way = brought(&priya, "one.csv", SHEET.as_bytes());
    add(&priya, &way, &[]).must_be(303);
    let session = house.add_session("young", 4, saturday());
    let mateo: String =
        house.rows(|conn| riders::table.filter(riders::given_name.eq("Mateo")).select(riders::reference).first(conn));
    let form = format!("/walk-up/{session}?rider={mateo}");
    let key = priya.get(&form).field("key").expect("a key");
    let answers = [
        ("key", key.as_str()),
        ("known", &mateo),
        ("ridden", "never"),
        ("first_name", "Luz"),
        ("first_phone", "406 555 0172"),
        ("second_name", "Ivan"),
        ("second_phone", "406 555 0173"),
        ("any", "no"),
        ("injector", "no"),
        ("medicine", "no"),
    ];
    let receipt = priya.post(&format!("/walk-up/{session}"), &answers).must_be(303).location().to_owned();
    priya.get(&receipt).must_say("Rosa Baeza a letter is on its way");
    house.confirm("rosa@example.org");
    let undone = priya.post(&format!("{way}/undo"), &[]).must_be(303).location().to_owned();
    priya.get(&undone).must_say("Taken back: 2 children went. One stays, because it is in use by now.");
    assert_eq!(here(&house), (1, 1), "Mateo and his mother stay");
    let left: i64 = house.rows(|conn| guardianships::table.count().get_result(conn));
    assert_eq!(left, 1);
    priya.get(PAGE).must_say("taken back");
    priya.post(&format!("{way}/undo"), &[]).must_be(409);
    assert!(house.actions().contains(&"import.undo".to_owned()));
}

#[test]
fn u35_a_child_whom_the_office_said_to_be_another_is_taken_back_all_the_same() {
    let (house, priya) = office();
    let session = house.add_session("young", 4, saturday());
    house.stranger().register(&session, &rider(), "ingrid@example.org");
    let sheet = "Kid;DOB;Where from;Mother or father;Cell #;Mail;Shirt\n\
        Zoë Marisol Okafor-Lindqvist;9/21/2016;Lake;Ewa O’Dell;406 555 0190;;\n";
    let way = brought(&priya, "one.csv", sheet.as_bytes());
    priya.get(&way).must_say("1 may be here with other adults").must_say("look at Entered twice");
    add(&priya, &way, &[]).must_be(303);
    let list = priya.get("/families/twice");
    let pair = list.body.split("href=\"/families/twice/").nth(1).and_then(|rest| rest.split('"').next());
    let pair = format!("/families/twice/{}", pair.expect("two who may be one"));
    priya.submit(&pair, &pair, &[("verdict", "two")]).must_be(303);
    assert_eq!(here(&house), (2, 2));
    let undone = priya.submit(PAGE, &format!("{way}/undo"), &[]).must_be(303).location().to_owned();
    priya.get(&undone).must_say("Taken back: 1 child went.");
    assert_eq!(here(&house), (1, 1));
}

#[test]
fn u35_a_file_goes_after_a_day_and_taking_back_ends_after_thirty() {
    let (house, priya) = office();
    let left = brought(&priya, "left.csv", SHEET.as_bytes());
    let way = brought(&priya, "one.csv", SHEET.as_bytes());
    add(&priya, &way, &[]).must_be(303);
    house.app.clock.advance(TimeDelta::hours(23));
    tidy::run(&house.app).expect("tidy");
    let priya = house.signed_in("priya@example.org");
    priya.get(&left).must_be(200);
    house.app.clock.advance(TimeDelta::hours(2));
    tidy::run(&house.app).expect("tidy");
    house.signed_in("priya@example.org").get(&left).must_be(404);
    let names: Vec<String> = house.rows(|conn| imports::table.select(imports::name).load(conn));
    assert_eq!(names, ["one.csv"]);
    house.app.clock.advance(TimeDelta::days(29));
    let priya = house.signed_in("priya@example.org");
    assert!(!priya.get(PAGE).says("Take back"), "the days are over");
    priya.post(&format!("{way}/undo"), &[]).must_be(409);
    tidy::run(&house.app).expect("tidy");
    assert!(!priya.get(PAGE).says("one.csv"));
    assert_eq!(here(&house), (3, 2), "what came stays");
}

#[test]
fn u35_a_workbook_brings_its_own_days_and_numbers() {
    let (house, priya) = office();
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let day = Format::new().set_num_format("m/d/yyyy");
    for (column, heading) in ["First name", "Last name", "Birthday", "County", "Parent", "Phone"].iter().enumerate() {
        sheet.write(0, u16::try_from(column).expect("few"), *heading).expect("a cell");
    }
    sheet.write(1, 0, "Łukasz").expect("a cell");
    sheet.write(1, 1, "O’Dell, Jr.").expect("a cell");
    // Day 42429 of the calendar from 1900 (ECMA-376 part 1, 18.17.4.1).
    sheet.write_with_format(1, 2, 42_429, &day).expect("a cell");
    sheet.write(1, 3, "Lewis and Clark").expect("a cell");
    sheet.write(1, 4, "Ewa O’Dell").expect("a cell");
    sheet.write(1, 5, 4_065_550_190_f64).expect("a cell");
    let bytes = book.save_to_buffer().expect("a workbook");
    let columns = bring(&priya, "riders.xlsx", &bytes).must_be(303).location().to_owned();
    let page = priya.get(&columns);
    page.must_say("Workbook, sheet “Sheet1”").must_say("For example: 2016-02-29").must_say("For example: 4065550190");
    let told = [
        ("column_0", "child_given"),
        ("column_1", "child_family"),
        ("column_2", "birth_date"),
        ("column_3", "county"),
        ("column_4", "adult_name"),
        ("column_5", "phone"),
        ("order", "month_first"),
    ];
    let way = priya.submit(&columns, &columns, &told).must_be(303).location().to_owned();
    priya.get(&way).must_say("Łukasz O’Dell, Jr. , born February 29, 2016").must_say("(406) 555-0190");
    add(&priya, &way, &[]).must_be(303);
    assert_eq!(here(&house), (1, 1));
}

#[test]
fn s50_u35_what_is_no_sheet_is_named_and_what_no_form_sends_is_refused() {
    let (house, priya) = office();
    for (name, bytes, words) in [
        ("page.csv", &b"<!DOCTYPE html><html><script>alert(1)</script></html>"[..], "web page"),
        ("riders.xlsx", &b"%PDF-1.7\n1 0 obj"[..], "PDF"),
        ("photo.csv", &b"\xff\xd8\xff\xe0\x00\x10JFIF\x00"[..], "picture"),
        ("empty.csv", &b""[..], "The file is empty"),
        ("heading.csv", &b"Name,Phone\n"[..], "nothing below the heading"),
    ] {
        let told = bring(&priya, name, bytes);
        told.must_be(422).must_say("Error:");
        assert!(told.words().contains(words), "{name}: {}", told.words());
    }
    let token = priya.get(PAGE).form_token().expect("a form");
    let token = token.as_bytes();
    send(&priya, &multipart(&[("form_token", None, token)])).must_be(422).must_say("Choose a file");
    let fits = vec![b'a'; 10_000 * 1024];
    let fits = send(&priya, &multipart(&[("form_token", None, token), ("file", Some("big.csv"), &fits)]));
    fits.must_be(422);
    let big = vec![b'a'; 10_001 * 1024];
    send(&priya, &multipart(&[("form_token", None, token), ("file", Some("big.csv"), &big)])).must_be(413);
    let sheet = SHEET.as_bytes();
    for (parts, status) in [
        (vec![("file", Some("a.csv"), sheet)], 403),
        (vec![("form_token", None, &b"wrong"[..]), ("file", Some("a.csv"), sheet)], 403),
        (vec![("form_token", None, token), ("file", Some("a.csv"), sheet), ("file", Some("b.csv"), sheet)], 400),
        (vec![("form_token", None, token), ("form_token", None, token), ("file", Some("a.csv"), sheet)], 400),
        (vec![("form_token", None, token), ("other", None, sheet)], 422),
    ] {
        send(&priya, &multipart(&parts)).must_be(status);
    }
    let headers = [("sec-fetch-site", "same-origin"), ("content-type", "multipart/form-data; boundary=edge")];
    priya
        .send_bytes("POST", PAGE, &headers, b"--edge\r\nContent-Disposition: form-data; name=\"file\"\r\n\r\nno end")
        .must_be(400);
    priya.post(PAGE, &[("file", "text")]).must_be(400);
    let kept: i64 = house.rows(|conn| imports::table.count().get_result(conn));
    assert_eq!(kept, 0, "nothing of all this is kept");
    // A name that a file brings is shown as a name, and leads nowhere.
    let way = bring(&priya, "../../<b>etc.csv", sheet).must_be(303).location().to_owned();
    let page = priya.get(&way);
    page.must_say("<b>etc.csv");
    assert!(!page.body.contains("<b>etc"), "and is no markup");
}

#[test]
fn s25_u35_files_of_families_are_for_the_office_alone() {
    let (house, priya) = office();
    let way = brought(&priya, "one.csv", SHEET.as_bytes());
    house.add_instructor();
    let rafael = house.signed_in("rafael@example.org");
    let grants = house.person(Role::GrantManager);
    for browser in [&rafael, &grants] {
        browser.get(PAGE).must_be(403);
        browser.get(&way).must_be(403);
        browser.post(&way, &[("seen", "x")]).must_be(403);
    }
    assert_eq!(here(&house).0, 0);
    priya.get("/families/import/nothing").must_be(404);
    priya.get("/families/import/nothing/columns").must_be(404);
}
