//! Who pays for helmets: the record of a grant, which child may get a helmet, reports and what the program brings, the
//! property list, and what sessions will need.

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::domain::ids::{GuardianId, RiderId};
use waymark::domain::words::Lang;
use waymark::store::connection::{Purpose, open};
use waymark::store::migrations::execute;
use waymark::store::schema::registrations;

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::season::rider;
use crate::planning::office::{Office, changed};

const RECORD: &[(&str, &str)] = &[
    ("grant_code", "TF-26"),
    ("grant_name", "Trailhead Fund"),
    ("payer", "Trailhead Foundation"),
    ("award", "24-YOUTH-118"),
    ("title_holder", "The program"),
    ("starts_month", "1"),
    ("starts_day", "1"),
    ("starts_year", "2026"),
    ("ends_month", "12"),
    ("ends_day", "31"),
    ("ends_year", "2026"),
    ("federal_share", "80"),
    ("budget", "3,000.00"),
    ("helmets_target", "150"),
    ("match_wanted", "500"),
    ("hour_worth", "33.49"),
    ("mile_worth", "72.5"),
    ("least_age", "6"),
    ("most_age", "15"),
    ("again_after", "3"),
];

/// A grant with every part of its record, and 60 helmets at $42.50.
fn office() -> (Office, String) {
    let office = Office::bare();
    let added = office.priya.submit("/gear/grants/new", "/gear/grants", RECORD);
    added.must_be(303);
    office.add_lot(&[]).must_be(303);
    (office, added.location().to_owned())
}

#[test]
fn day_4_a_grant_says_what_was_spent_what_is_left_and_what_its_funder_asks_to_be_written_down() {
    let (office, grant) = office();
    let page = office.priya.get(&grant);
    for said in [
        "Trailhead Foundation",
        "24-YOUTH-118",
        "80.0 %",
        "Money for gear $3,000.00",
        "Spent on gear $2,550.00",
        "Left $450.00",
        "0 given of 150, 60 on hand",
        "an hour $33.49, a mile 72.5 cents",
        "Children of 6 to 15, from every county, not twice within 3 years.",
    ] {
        page.must_say(said);
    }
    office.priya.get("/gear/grants").must_say("TF-26").must_say("$450.00");
    // More spent than there was shows as less than nothing.
    let edit = format!("{grant}/edit");
    office.priya.submit(&edit, &edit, &changed(RECORD, &[("budget", "2000")])).must_be(303);
    office.priya.get(&grant).must_say("Left −$550.00");
}

#[test]
fn day_4_what_cannot_be_a_grant_is_told_at_its_field_and_two_windows_lose_nothing() {
    let (office, grant) = office();
    let edit = format!("{grant}/edit");
    for (changes, said) in [
        (vec![("ends_year", "2025")], "The last day comes before the first"),
        (vec![("least_age", "12"), ("most_age", "9")], "The greatest age is below the least"),
        (vec![("budget", "-5")], "budget"),
        (vec![("federal_share", "101")], "federal_share"),
        (vec![("hour_worth", "a lot")], "hour_worth"),
        (vec![("grant_code", "")], "Write the grant code"),
    ] {
        let answer = office.priya.submit(&edit, &edit, &changed(RECORD, &changes));
        answer.must_be(422);
        assert!(answer.says(said) || answer.body.contains(&format!("id=\"{said}-error\"")), "{changes:?}");
        let (field, typed) = changes[0];
        assert_eq!(answer.field(field).as_deref(), Some(typed));
    }
    office.priya.submit("/gear/grants/new", "/gear/grants", RECORD).must_be(422).must_say("TF-26 is taken already");
    let nowhere = changed(RECORD, &[("county_99999", "yes")]);
    office.priya.submit(&edit, &edit, &nowhere).must_be(404);
    // Two windows: the second one sees what the first one wrote, and loses nothing of its own.
    let page = office.priya.get(&edit);
    let seen = page.field("seen").expect("what the form was drawn from");
    let save = |changes: &[(&str, &str)]| {
        let with: Vec<(&str, &str)> = changes.iter().copied().chain([("seen", seen.as_str())]).collect();
        office.priya.post(&edit, &changed(RECORD, &with))
    };
    save(&[("award", "24-YOUTH-119"), ("county_30063", "yes")]).must_be(303);
    let second = save(&[("payer", "Somebody else")]);
    second.must_be(409).must_say("24-YOUTH-119").must_say("30063");
    assert_eq!(second.field("payer").as_deref(), Some("Somebody else"));
    office.priya.get(&grant).must_say("from Missoula");
}

#[test]
fn day_4_a_helmet_goes_home_only_with_a_child_that_the_grant_names_and_is_lent_to_any() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("TR-M", 9, chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day"));
    let set = |sql: &str| {
        let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
        execute(&mut conn, sql).expect("the grant's rule");
    };
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let give = || field.tap(&house, &field.lead, "helmet", &[("lot", "TR-M"), ("way", "given")]);
    // Zoë is nine and lives in the county of the code 30049.
    for (rule, undo, said) in [
        ("least_age = 10", "least_age = NULL", "for children from age 10"),
        ("most_age = 8", "most_age = NULL", "for children up to age 8"),
        ("ends_on = '2026-06-12'", "ends_on = '2026-12-31'", "outside the period"),
    ] {
        set(&format!("UPDATE grants SET {rule}"));
        give().must_be(422).must_say(said);
        set(&format!("UPDATE grants SET {undo}"));
    }
    set("INSERT INTO grant_counties (grant_id, county_set, county) SELECT id, 2023, '30063' FROM grants");
    give().must_be(422).must_say("for children of other counties");
    field.tap(&house, &field.lead, "helmet", &[("lot", "TR-M"), ("way", "lent")]).must_be(303);
    set("INSERT INTO grant_counties (grant_id, county_set, county) SELECT id, 2023, '30049' FROM grants");
    give().must_be(303);
    assert_eq!(house.acts_kept("helmet"), 2, "what was refused left nothing behind");
}

#[test]
fn day_4_the_same_child_gets_another_helmet_only_after_the_years_that_the_grant_says() {
    let house = TestApp::start();
    let field = house.field_day();
    house.add_lot_of("TR-M", 9, chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day"));
    let (rider, guardian): (RiderId, GuardianId) = house.rows(|conn| {
        let own = registrations::table.filter(registrations::reference.eq(&field.zoe));
        own.select((registrations::rider_id, registrations::guardian_id)).first(conn)
    });
    // Zoë got one in spring.
    let ana = house.add_member("ana@example.org", "Ana", "Ruiz", &[Role::Instructor]);
    let lot = house.add_helmets("OLD-GRANT", "OLD");
    let held = house.add_held_session(ana, "30063", chrono::NaiveDate::from_ymd_opt(2026, 5, 2).expect("a day"));
    let seat = held.seat(rider, guardian, Lang::En);
    held.given(&seat, (lot, "OLD"));
    let mut conn = open(&house.database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, "UPDATE grants SET again_after_years = 3").expect("the grant's rule");
    field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
    let give = || field.tap(&house, &field.lead, "helmet", &[("lot", "TR-M"), ("way", "given")]);
    give().must_be(422).must_say("This child got a helmet on May 2, 2026").must_say("from May 2, 2029 on");
    execute(&mut conn, "UPDATE grants SET again_after_years = NULL").expect("the grant's rule");
    give().must_be(303);
}

#[test]
fn day_4_a_report_is_due_on_the_first_page_until_it_is_sent() {
    let (office, grant) = office();
    let first_page = || office.house.signed_in("priya@example.org").get("/");
    let due = |year: &str, what: &str| {
        let fields = [("due_what", what), ("due_month", "7"), ("due_day", "31"), ("due_year", year)];
        office.priya.submit(&grant, &format!("{grant}/dues"), &fields)
    };
    due("2026", "").must_be(422).must_say("Write what is to be sent");
    due("2026", "Helmets by county").must_be(303);
    due("2027", "Last report").must_be(303);
    let page = first_page();
    page.must_say("For those who pay Trailhead Fund: Helmets by county").must_say("By Friday, July 31, 2026");
    assert!(!page.says("Last report"), "a year ahead nobody has to think of it");
    let shown = office.priya.get(&grant);
    let number =
        shown.body.split("/dues/").nth(1).and_then(|rest| rest.split('"').next()).expect("a report").to_owned();
    let sent = |done: &str| {
        let way = format!("{grant}/dues/{number}");
        office.priya.submit(&grant, &way, &[("done", done)]).must_be(303);
    };
    sent("yes");
    assert!(!first_page().says("For those who pay"));
    office.priya.get(&grant).must_say("sent June 10, 2026");
    sent("no");
    first_page().must_say("For those who pay");
    office.priya.post(&format!("{grant}/dues/4711"), &[("done", "yes")]).must_be(404);
}

#[test]
fn day_4_what_the_program_brings_is_worth_what_the_grant_says_on_that_day() {
    let (office, grant) = office();
    let brings = |changes: &[(&str, &str)]| {
        let fields = [
            ("kind", "hours"),
            ("amount", "7.5"),
            ("brought", "Saturday at Alder Flat"),
            ("on_month", "6"),
            ("on_day", "6"),
            ("on_year", "2026"),
        ];
        office.priya.submit(&grant, &format!("{grant}/matches"), &changed(&fields, changes))
    };
    brings(&[]).must_be(303);
    brings(&[("kind", "miles"), ("amount", "112.4"), ("brought", "Helena and back")]).must_be(303);
    brings(&[("kind", "money"), ("amount", "100.50"), ("brought", "Fuel")]).must_be(303);
    let page = office.priya.get(&grant);
    page.must_say("7.5 hours, worth $251.18").must_say("112.4 miles, worth $81.49").must_say("Brought $433.17");
    brings(&[("on_day", "11")]).must_be(422);
    brings(&[("amount", "1.25")]).must_be(422);
    brings(&[("brought", "")]).must_be(422).must_say("Write what it was for");
    // A rate that changes later changes nothing that stands; without one nothing can be counted.
    let edit = format!("{grant}/edit");
    office.priya.submit(&edit, &edit, &changed(RECORD, &[("hour_worth", "")])).must_be(303);
    office.priya.get(&grant).must_say("Brought $433.17");
    brings(&[]).must_be(422).must_say("The grant does not say what this counts for");
    let shown = office.priya.get(&grant);
    let way = shown.body.split("/matches/").nth(1).and_then(|rest| rest.split('"').next()).expect("a line").to_owned();
    let take_back = || office.priya.post(&format!("{grant}/matches/{way}"), &[]);
    take_back().must_be(303);
    take_back().must_be(404);
    office.priya.get(&grant).must_say("Brought $181.99");
}

/// The property record of 2 CFR 200.313(d)(1): a description, a number that identifies it, the source of funding with the award's
/// number, who holds title, the day it came, its cost, the federal share of the cost, where it is, its use and condition, and
/// what became of it. (d)(2): a physical inventory at least once every two years.
#[test]
fn day_4_the_property_list_has_what_the_federal_rule_asks_and_says_when_a_count_is_due() {
    let (office, _) = office();
    let manager = office.house.person(Role::GrantManager);
    let rows = |who: &Browser| -> Vec<Vec<String>> {
        let answer = who.get("/gear/property.csv");
        answer.must_be(200);
        let text = answer.body.trim_start_matches('\u{feff}').to_owned();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
        reader.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect()).collect()
    };
    let table = rows(&manager);
    let cell = |table: &[Vec<String>], name: &str| {
        let at = table[0].iter().position(|column| column == name).unwrap_or_else(|| panic!("no column {name}"));
        table[1][at].clone()
    };
    for (column, holds) in [
        ("description", "Helmet, Hollow H2, size Youth M"),
        ("lot", "L1"),
        ("grant", "TF-26"),
        ("payer", "Trailhead Foundation"),
        ("award_number", "24-YOUTH-118"),
        ("title_holder", "The program"),
        ("received_on", "2026-06-10"),
        ("cost", "2550.00"),
        ("federal_share_percent", "80.0"),
        ("where", "Store 60"),
        ("given", "0"),
        ("condition", "in order"),
        ("gone", "0"),
        ("last_gone_on", ""),
        ("last_counted_on", ""),
        ("count_due", "no"),
    ] {
        assert_eq!(cell(&table, column), holds, "{column}");
    }
    manager.get("/gear/property").must_be(200).must_say("24-YOUTH-118");
    let lot = office.lot("L1");
    let place = office.value_of("/gear/receive", "Store");
    let press = |what: &str, fields: &[(&str, &str)]| office.priya.submit(&lot, &format!("{lot}/{what}"), fields);
    press("retire", &[("retire_from", &place), ("retire_count", "2"), ("retire_why", "Cracked, sold as scrap for $4")])
        .must_be(303);
    let table = rows(&office.priya);
    assert_eq!((cell(&table, "gone"), cell(&table, "last_gone_on")), ("2".into(), "2026-06-10".into()));
    // (d)(1): "any ultimate disposition data including the date of disposal and sale price".
    assert_eq!(cell(&table, "gone_how"), "Cracked, sold as scrap for $4");
    // Two years to the day are in time; a day later a count is due, until somebody counts.
    office.house.app.clock.set("2028-06-10T15:00:00".parse().expect("an instant"));
    let priya = office.house.signed_in("priya@example.org");
    assert_eq!(cell(&rows(&priya), "count_due"), "no");
    office.house.app.clock.set("2028-06-11T15:00:00".parse().expect("an instant"));
    let priya = office.house.signed_in("priya@example.org");
    assert_eq!(cell(&rows(&priya), "count_due"), "yes");
    priya.get("/gear/property").must_say("count is due");
    priya.submit(&lot, &format!("{lot}/count"), &[("count_at", &place), ("counted", "58")]).must_be(303);
    assert_eq!(cell(&rows(&priya), "count_due"), "no");
}

#[test]
fn day_4_a_helmet_of_a_month_to_come_is_not_received_and_what_was_typed_stays() {
    let office = Office::furnished();
    let later = [("lot_code", "L9"), ("made_month", "7"), ("made_year", "2026")];
    let back = office.add_lot(&later);
    back.must_be(422).must_say("This month is yet to come. Write the month on the label inside the helmet.");
    assert_eq!(back.field("lot_code").as_deref(), Some("L9"));
    office.add_lot(&[("lot_code", "L9"), ("made_month", "6"), ("made_year", "2026")]).must_be(303);
}

#[test]
fn day_4_the_office_reads_which_size_runs_out_and_what_to_order() {
    let office = Office::furnished();
    let needs = || -> Answered { office.priya.get("/gear/needs") };
    needs().must_be(200).must_say("No seat is taken in a session to come");
    let session = office.announce(&[]).location().trim_start_matches("/season/").to_owned();
    office.house.stranger().register(&session, &rider(), "ingrid@example.org");
    needs()
        .must_say("For every head that is written down there is a helmet")
        .must_say("Of 1 rider nobody wrote the head");
    let head = |um: i64| {
        let mut conn = open(&office.house.database.url, Purpose::Write).expect("a connection");
        execute(&mut conn, &format!("UPDATE measures SET head_um = {um}")).expect("a head");
    };
    // 60 helmets for heads of 51 to 52 cm.
    head(515_000);
    needs().must_say("there is a helmet").must_say("60 59").must_say("Alder Flat");
    head(560_000);
    needs()
        .must_say("A size runs out at Alder Flat")
        .must_say("1 for a head of 56.0 cm: the program never had that size");
    office
        .add_lot(&[("lot_code", "L2"), ("size_label", "M"), ("least_head", "55 cm"), ("most_head", "57 cm")])
        .must_be(303);
    needs().must_say("there is a helmet");
    // What is past its use is on hand and helps nobody, but its size is known.
    let mut conn = open(&office.house.database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, "UPDATE gear_lots SET made_month = '2020-01-01' WHERE code = 'L2'").expect("an old lot");
    needs().must_say("A size runs out").must_say("1 of Hollow H2, size M, for heads of 55 to 57 cm");
    needs().must_say("The first one lacks on June 13, 2026 at Alder Flat.");
    // Five years after their month helmets are past their use (common practice, no source; a setting): on the session's day.
    execute(&mut conn, "UPDATE gear_lots SET made_month = '2021-05-01' WHERE code = 'L2'").expect("an old lot");
    needs().must_say("A size runs out");
    execute(&mut conn, "UPDATE gear_lots SET made_month = '2021-06-01' WHERE code = 'L2'").expect("a lot of June");
    needs().must_say("there is a helmet");
    execute(&mut conn, "UPDATE sessions SET held_on = '2026-07-04', last_on = '2026-07-04'").expect("a later day");
    needs().must_say("A size runs out");
    office.house.person(Role::Instructor).get("/gear/needs").must_be(403);
}
