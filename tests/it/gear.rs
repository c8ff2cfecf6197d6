//! The gear store: helmets received, moved, counted, lent, given, brought back and retired; what goes to a session and comes
//! back; the check on the head; the receipt.

use std::collections::BTreeMap;

use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use waymark::domain::access::Role;
use waymark::store::connection::{AnyConn, Purpose, open};
use waymark::store::migrations::{execute, migrate, migrate_next};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::database::TestDatabase;
use crate::house::field::Field;
use crate::planning::office::Office;

#[derive(QueryableByName)]
struct Counted {
    #[diesel(sql_type = Text)]
    spot: String,
    #[diesel(sql_type = BigInt)]
    n: i64,
}

fn counted(house: &TestApp, sql: &str) -> BTreeMap<String, i64> {
    let rows: Vec<Counted> = house.rows(|conn| diesel::sql_query(sql).load(conn));
    rows.into_iter().filter(|row| row.n != 0).map(|row| (row.spot, row.n)).collect()
}

/// Where helmets are, as the tables say.
fn standing(house: &TestApp) -> BTreeMap<String, i64> {
    counted(
        house,
        "SELECT 'shelf ' || p.name || ' ' || l.code AS spot, s.count AS n
         FROM gear_stock s JOIN storage_places p ON p.id = s.place_id JOIN gear_lots l ON l.id = s.lot_id
         UNION ALL
         SELECT 'out ' || e.reference || ' ' || l.code, g.count
         FROM gear_loads g JOIN sessions e ON e.id = g.session_id JOIN gear_lots l ON l.id = g.lot_id",
    )
}

/// The same, added up from everything that happened. Shares nothing with the program.
fn added_up(house: &TestApp) -> BTreeMap<String, i64> {
    counted(
        house,
        "SELECT spot, CAST(SUM(n) AS BIGINT) AS n FROM (
           SELECT 'shelf ' || p.name || ' ' || l.code AS spot, m.count AS n
           FROM gear_moves m JOIN storage_places p ON p.id = m.to_place_id JOIN gear_lots l ON l.id = m.lot_id
           UNION ALL
           SELECT 'shelf ' || p.name || ' ' || l.code, -m.count
           FROM gear_moves m JOIN storage_places p ON p.id = m.from_place_id JOIN gear_lots l ON l.id = m.lot_id
           UNION ALL
           SELECT 'out ' || e.reference || ' ' || l.code, m.count
           FROM gear_moves m JOIN sessions e ON e.id = m.session_id JOIN gear_lots l ON l.id = m.lot_id
           WHERE m.kind = 'loaded' OR (m.kind IN ('returned', 'taken_back', 'found') AND m.to_place_id IS NULL)
           UNION ALL
           SELECT 'out ' || e.reference || ' ' || l.code, -m.count
           FROM gear_moves m JOIN sessions e ON e.id = m.session_id JOIN gear_lots l ON l.id = m.lot_id
           WHERE m.kind = 'unloaded' OR (m.kind IN ('lent', 'given', 'retired', 'missing') AND m.from_place_id IS NULL)
         ) AS both_ways GROUP BY spot",
    )
}

#[track_caller]
fn adds_up(house: &TestApp) {
    assert_eq!(added_up(house), standing(house));
}

/// An office with 60 helmets of lot L1 in the store, and two trailers.
fn office() -> Office {
    let office = Office::bare();
    office.add_helmets("60");
    for name in ["Trailer 1", "Trailer 2"] {
        let fields = [("name", name), ("kind", "trailer")];
        office.priya.submit("/machines/places", "/machines/places", &fields).must_be(303);
    }
    office
}

impl Office {
    fn at_lot(&self, what: &str, fields: &[(&str, &str)]) -> Answered {
        let lot = self.lot("L1");
        self.priya.submit(&lot, &format!("{lot}/{what}"), fields)
    }

    /// The row of a place, as the forms send it.
    fn place(&self, name: &str) -> String {
        self.value_of("/gear/receive", name)
    }
}

#[test]
fn day_4_helmets_are_received_moved_counted_and_retired_and_the_page_tells_each() {
    let office = office();
    let [store, trailer] = ["Store", "Trailer 1"].map(|name| office.place(name));
    office.priya.get("/gear").must_say("Store 60").must_say("51 to 52 cm");
    office.at_lot("move", &[("move_from", &store), ("move_to", &trailer), ("move_count", "24")]).must_be(303);
    office.priya.get("/gear").must_say("Store 36, Trailer 1 24");
    office.at_lot("count", &[("count_at", &store), ("counted", "35")]).must_be(303);
    office.at_lot("count", &[("count_at", &trailer), ("counted", "25")]).must_be(303);
    let why = [("retire_from", trailer.as_str()), ("retire_count", "2"), ("retire_why", "Cracked in the trailer")];
    office.at_lot("retire", &why).must_be(303);
    let page = office.priya.get(&office.lot("L1"));
    for said in [
        "60 helmets came to Store",
        "24 helmets moved from Store to Trailer 1",
        "1 helmet missing from Store",
        "1 helmet found to Trailer 1",
        "2 helmets retired from Trailer 1: Cracked in the trailer",
        "Counted: 35 helmets: Store",
        "Priya",
    ] {
        page.must_say(said);
    }
    assert_eq!(office.house.helmets_on_hand(), 58);
    adds_up(&office.house);
}

#[test]
fn day_4_the_sums_of_what_happened_find_a_helmet_that_was_moved_behind_the_books() {
    let office = office();
    adds_up(&office.house);
    let plant = |sql: &str| {
        let mut conn = open(&office.house.database.url, Purpose::Write).expect("a connection");
        execute(&mut conn, sql).expect("a planted fault");
    };
    plant("UPDATE gear_stock SET count = count - 1");
    assert_ne!(added_up(&office.house), standing(&office.house));
    plant("UPDATE gear_stock SET count = count + 1");
    adds_up(&office.house);
    plant("UPDATE gear_moves SET count = count + 1");
    assert_ne!(added_up(&office.house), standing(&office.house));
}

#[test]
fn day_4_nothing_goes_below_nothing_nothing_moves_twice_and_what_was_typed_stays() {
    let office = office();
    let [store, trailer] = ["Store", "Trailer 1"].map(|name| office.place(name));
    let lot = office.lot("L1");
    let short = [("move_from", store.as_str()), ("move_to", &trailer), ("move_count", "61")];
    let answer = office.at_lot("move", &short);
    answer.must_be(422).must_say("Only 60 helmets of this lot are there");
    assert_eq!(answer.field("move_count").as_deref(), Some("61"));
    office.at_lot("retire", &[("retire_from", &store), ("retire_count", "5")]).must_be(422).must_say("Write why");
    for (what, field, typed) in
        [("move", "move_count", "-3"), ("count", "counted", "-1"), ("retire", "retire_count", "a few")]
    {
        let all = [
            ("move_from", store.as_str()),
            ("move_to", &trailer),
            ("count_at", &store),
            ("retire_from", &store),
            ("retire_why", "Cracked"),
            (field, typed),
        ];
        let answer = office.at_lot(what, &all);
        answer.must_be(422);
        assert_eq!(answer.field(field).as_deref(), Some(typed), "{what}");
    }
    let here = [("move_from", store.as_str()), ("move_to", &store), ("move_count", "1")];
    office.at_lot("move", &here).must_be(422).must_say("They are there already");
    let nowhere = [("move_from", store.as_str()), ("move_to", "999"), ("move_count", "1")];
    office.at_lot("move", &nowhere).must_be(404);
    // The second press of one finger: the page of the first one is old by then.
    let page = office.priya.get(&lot);
    let seen = page.field("seen").expect("what the page showed");
    let once = [("seen", seen.as_str()), ("move_from", &store), ("move_to", &trailer), ("move_count", "10")];
    let press = || office.priya.post(&format!("{lot}/move"), &once);
    press().must_be(303);
    press().must_be(409).must_say("changed");
    office.priya.get("/gear").must_say("Store 50, Trailer 1 10");
    adds_up(&office.house);
}

/// A day on the field with six helmets of TR-M in the store and two of TR-L, and the office at its desk.
struct Day {
    house: TestApp,
    field: Field,
    office: Browser,
}

impl Day {
    fn begins() -> Self {
        let house = TestApp::start();
        let field = house.field_day();
        house.add_lot_of("TR-M", 6, chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day"));
        house.add_lot_of("TR-L", 2, chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day"));
        let office = house.person(Role::Coordinator);
        field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
        field.tap(&house, &field.lead, "measures", &[("head", "55 cm")]).must_be(303);
        Self { house, field, office }
    }

    fn gear_page(&self) -> String {
        format!("/season/{}/gear", self.field.session)
    }

    fn store(&self) -> String {
        let body = self.office.get("/gear/receive").body;
        let option = body.split("<option ").find(|option| option.contains(">Store<")).expect("the store");
        option.split('"').nth(1).expect("a value").to_owned()
    }

    fn load(&self, counts: &[(&str, &str)]) -> Answered {
        let store = self.store();
        let mut fields = vec![("from", store.as_str())];
        fields.extend_from_slice(counts);
        self.office.submit(&self.gear_page(), &format!("{}/out", self.gear_page()), &fields)
    }

    fn unload(&self, counts: &[(&str, &str)]) -> Answered {
        let store = self.store();
        let mut fields = vec![("to", store.as_str())];
        fields.extend_from_slice(counts);
        self.office.submit(&self.gear_page(), &format!("{}/back", self.gear_page()), &fields)
    }

    fn tap(&self, kind: &str, fields: &[(&str, &str)]) -> Answered {
        self.field.tap(&self.house, &self.field.lead, kind, fields)
    }

    fn page(&self) -> Answered {
        self.field.lead.get(&self.field.of_zoe("/helmet"))
    }
}

#[test]
fn day_4_a_session_hands_out_what_was_loaded_for_it_and_the_rest_comes_back_as_counted() {
    let day = Day::begins();
    // Before anything is loaded the roster offers helmets from every shelf.
    day.page().must_say("Lot TR-M, 6 left").must_say("Lot TR-L, 2 left");
    day.office.get(&day.gear_page()).must_be(200).must_say("Nothing was loaded yet");
    // The sheet for the trailer says what the riders need, by size, and which machines go.
    day.office.get(&day.gear_page()).must_say("What the riders need").must_say("1 rider whose head nobody wrote down");
    day.load(&[("out_lotTR-M", "")]).must_be(422).must_say("Write how many of one lot go");
    day.load(&[("out_lotTR-M", "7")]).must_be(422).must_say("Only 6 helmets of this lot are there");
    day.load(&[("out_lotTR-M", "4")]).must_be(303);
    day.office.get(&day.gear_page()).must_say("4 helmets are out with the session");
    let page = day.page();
    page.must_say("Lot TR-M, 4 left");
    assert!(!page.says("Lot TR-L"), "what stays in the store is not on the field");
    day.tap("helmet", &[("lot", "TR-L"), ("way", "lent")]).must_be(422).must_say("No helmet of this kind is left");
    day.tap("helmet", &[("lot", "TR-M"), ("way", "lent")]).must_be(303);
    day.office
        .get(&day.gear_page())
        .must_say("3 helmets are out")
        .must_say("Lent and not back")
        .must_say("Zoë Marisol");
    adds_up(&day.house);
    // Of three in the boxes two are there. The lent one is not among them.
    day.unload(&[("back_lotTR-M", "")]).must_be(422).must_say("Write how many came back");
    day.unload(&[("back_lotTR-M", "2")]).must_be(303);
    day.office
        .get("/gear/lots/lotTR-M")
        .must_say("1 helmet missing")
        .must_say("2 helmets came back from a session to Store");
    adds_up(&day.house);
    // What a child brings later is still with the session, and is fetched from there.
    day.tap("helmet_back", &[("lot", "TR-M"), ("how", "in_order")]).must_be(303);
    day.office.get(&day.gear_page()).must_say("1 helmet is out with the session");
    day.unload(&[("back_lotTR-M", "1")]).must_be(303);
    assert_eq!(day.house.helmets_on_hand(), 7);
    adds_up(&day.house);
}

#[test]
fn day_4_a_lent_helmet_comes_back_once_and_a_damaged_one_is_never_worn_again() {
    let day = Day::begins();
    let lend = || day.tap("helmet", &[("lot", "TR-M"), ("way", "lent")]);
    let back = |how: &str| day.tap("helmet_back", &[("lot", "TR-M"), ("how", how)]);
    back("in_order").must_be(422).must_say("This rider has no such helmet");
    lend().must_be(303);
    back("in_order").must_be(303);
    back("in_order").must_be(422).must_say("This helmet is back already");
    assert_eq!(day.house.helmets_on_hand(), 8);
    lend().must_be(303);
    back("damaged").must_be(303);
    day.page().must_say("Helmet back, damaged, lot TR-M");
    assert_eq!(day.house.helmets_on_hand(), 7);
    lend().must_be(303);
    back("lost").must_be(303);
    assert_eq!(day.house.helmets_on_hand(), 6);
    day.tap("helmet_back", &[("lot", "TR-M"), ("how", "eaten")]).must_be(400);
    day.office.get("/gear/lots/lotTR-M").must_say("1 helmet retired").must_say("1 helmet not brought back");
    adds_up(&day.house);
}

#[test]
fn day_4_a_lent_helmet_that_is_brought_after_the_session_was_closed_is_on_hand_again() {
    let day = Day::begins();
    day.tap("helmet", &[("lot", "TR-M"), ("way", "lent")]).must_be(303);
    assert_eq!(day.house.helmets_on_hand(), 7);
    let mut conn = open(&day.house.database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, "UPDATE sessions SET state = 'closed'").expect("a closed session");
    day.tap("helmet_back", &[("lot", "TR-M"), ("how", "in_order")]).must_be(303);
    assert_eq!(day.house.helmets_on_hand(), 8);
    day.tap("helmet_back", &[("lot", "TR-M"), ("how", "in_order")])
        .must_be(422)
        .must_say("This helmet is back already");
    adds_up(&day.house);
}

#[test]
fn day_4_no_wheel_turns_before_the_helmet_on_the_head_was_found_right() {
    let day = Day::begins();
    let field = &day.field;
    field.sign_day_list(&day.house);
    day.tap("gear", &[("all", "yes")]).must_be(303);
    field.fit(&day.house, &field.lead, &[]).must_be(303);
    field.pass_lessons(&day.house, 1..=4);
    let ride = || day.tap("mark", &[("check", "5.1"), ("mark", "meets")]);
    ride().must_be(422).must_say("Nobody has checked the helmet");
    day.page().must_say("Not checked yet");
    // Point by point: the strap is not right, and the child says so too.
    let asked = ["label", "shell", "level", "cheeks", "gaps", "strap", "senses"];
    let names: Vec<(String, String)> =
        asked.iter().map(|key| (format!("asked_{key}"), format!("right_{key}"))).collect();
    let mut fields = vec![("lot", ""), ("size", "yes")];
    for (asked, right) in &names {
        fields.push((asked, "yes"));
        if right != "right_strap" {
            fields.push((right, "yes"));
        }
    }
    day.tap("helmet_check", &fields).must_be(303);
    day.page().must_say("Not right").must_say("strap, the child says it is not comfortable");
    ride().must_be(422).must_say("is not right");
    // A stop for safety is always taken.
    day.tap("mark", &[("check", "5.1"), ("mark", "stopped")]).must_be(303);
    day.tap("helmet_check", &[("all", "yes")]).must_be(303);
    day.page().must_say("Checked, right");
    let again = [("check", "5.2"), ("mark", "meets")];
    day.tap("mark", &again).must_be(303);
    // Another helmet on the head is another check; the measured head has the last word about its size.
    day.tap("helmet", &[("lot", "TR-M"), ("way", "lent")]).must_be(303);
    day.tap("mark", &[("check", "5.3"), ("mark", "meets")]).must_be(422).must_say("Nobody has checked the helmet");
    day.tap("measures", &[("head", "57 cm")]).must_be(303);
    day.tap("helmet_check", &[("all", "yes"), ("lot", "TR-M")]).must_be(303);
    day.page().must_say("Not right").must_say("size");
    day.tap("helmet_check", &[("all", "yes"), ("lot", "TR-L")]).must_be(422).must_say("This rider has no such helmet");
    day.tap("helmet_check", &[("asked_moon", "yes")]).must_be(404);
    day.office.get("/rules/helmet_check").must_be(403);
    let ana = day.house.person(Role::Administrator);
    ana.get("/rules/helmet_check/versions/1").must_be(200).must_say("Strap").must_say("room for two fingers");
}

#[test]
fn day_4_an_adult_signs_for_a_helmet_on_the_turned_page_in_either_language_or_on_paper() {
    let day = Day::begins();
    let field = &day.field;
    let way = |lang: &str| field.of_zoe(&format!("/receipt/{lang}"));
    field.lead.get(&way("en")).must_be(200).must_say("There is nothing to sign for Zoë Marisol");
    day.tap("helmet", &[("lot", "TR-M"), ("way", "given")]).must_be(303);
    day.page().must_say("Nobody has signed for it");
    let spanish = field.lead.get(&way("es"));
    spanish
        .must_say("Casco para Zoë Marisol")
        .must_say("Se va a casa con el niño")
        .must_say("no lo usa después del 31 de enero de 2031");
    assert!(!spanish.body.contains("/my-sessions"), "the turned page has no way into the staff's pages");
    let id = spanish.field("act_id").expect("the form");
    let sign = |fields: &[(&str, &str)]| {
        let mut all = vec![("act_id", id.as_str()), ("lot_TR-M", "yes")];
        all.extend_from_slice(fields);
        field.lead.post(&way("es"), &all)
    };
    sign(&[("signer", "Chidi Okafor")]).must_be(422).must_say("Marque que lo recibió");
    sign(&[("signer", " "), ("got_it", "yes")]).must_be(422).must_say("Escriba su nombre");
    sign(&[("signer", "Chidi Okafor"), ("got_it", "yes")]).must_be(303);
    sign(&[("signer", "Chidi Okafor"), ("got_it", "yes")]).must_be(303);
    assert_eq!(day.house.acts_kept("receipt"), 1, "two presses are one signature");
    day.page().must_say("Chidi Okafor signed for it");
    field.lead.get(&way("fr")).must_be(404);
    // The one that is lent besides is signed for on the sheet.
    day.tap("helmet", &[("lot", "TR-L"), ("way", "lent")]).must_be(303);
    day.tap("receipt", &[("lot", "TR-L"), ("signer", "")]).must_be(422).must_say("Write who signed");
    day.tap("receipt", &[("lot", "TR-L"), ("signer", "Ingrid Lindqvist")]).must_be(303);
    day.page().must_say("Ingrid Lindqvist signed for it");
    let audit: Vec<String> = day.house.rows(|conn| {
        use waymark::store::schema::audit_rows;
        audit_rows::table.filter(audit_rows::action.eq("act.receipt")).select(audit_rows::detail).load(conn)
    });
    assert_eq!(audit, ["lot TR-M screen", "lot TR-L paper"], "no name in the log");
}

#[test]
fn day_4_helmets_of_before_stand_on_a_shelf_and_those_of_riders_stay_theirs() {
    const BEFORE: &str = "
        INSERT INTO grants (code, name, starts_on, ends_on, helmets_target)
            VALUES ('G', 'Fund', '2026-01-01', '2026-12-31', 5);
        INSERT INTO gear_lots (code, grant_id, model, size_label, least_head_um, most_head_um, standard, made_month,
                unit_cost_cents, received, on_hand)
            SELECT 'OLD', id, 'Alder shell', 'M', 540000, 560000, 'DOT', '2026-01-01', 4200, 7, 7 FROM grants;";
    let database = TestDatabase::bare();
    let steps = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/migrations/sqlite")).expect("the steps");
    let before = steps.filter(|step| {
        let name = step.as_ref().expect("a step").file_name();
        name.to_string_lossy().as_ref() < "2026-11-30-000033"
    });
    migrate_next(&database.url, before.count()).expect("the steps before");
    let mut conn = open(&database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, BEFORE).expect("helmets of before");
    drop(conn);
    migrate(&database.url).expect("the steps after");
    let mut conn = open(&database.url, Purpose::Read).expect("a connection");
    let rows = |conn: &mut AnyConn, sql: &str| -> Vec<(String, i64)> {
        let rows: Vec<Counted> = diesel::sql_query(sql).load(conn).expect("rows");
        rows.into_iter().map(|row| (row.spot, row.n)).collect()
    };
    let shelves = "SELECT p.name || ' ' || l.code AS spot, s.count AS n FROM gear_stock s
        JOIN storage_places p ON p.id = s.place_id JOIN gear_lots l ON l.id = s.lot_id";
    assert_eq!(rows(&mut conn, shelves), [("Store OLD".to_owned(), 7)]);
    let moves = "SELECT kind AS spot, count AS n FROM gear_moves";
    assert_eq!(rows(&mut conn, moves), [("received".to_owned(), 7)]);
}
