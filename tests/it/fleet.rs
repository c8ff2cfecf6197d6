//! The fleet: the record of a machine, faults that keep it standing, repairs, its meter, its place and its tag.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::StoreError;
use waymark::store::connection::{Purpose, open};
use waymark::store::migrations::{execute, migrate, migrate_next};
use waymark::store::schema::{machine_defects, machines};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::database::TestDatabase;
use crate::house::qr::codes_on;

/// What the form of a record sends for machine 7.
const RECORD: &[(&str, &str)] = &[
    ("number", "7"),
    ("make_model", "Alder 70"),
    ("serial", "WMK23000000000007"),
    ("category", "Y-6+"),
    ("seats", "one"),
    ("label", "there"),
    ("built_month", "3"),
    ("built_day", "14"),
    ("built_year", "2023"),
    ("engine_cc", "69.5"),
    ("dry_weight", "190"),
    ("seat_height", "24"),
    ("seat_to_rest", "16"),
    ("grip_to_lever", "2 1/4"),
    ("rest_to_pedal", "7"),
    ("limiter", "10"),
    ("limiter_set_month", "4"),
    ("limiter_set_day", "2"),
    ("limiter_set_year", "2026"),
    ("limiter_by", "Rafael Tso"),
    ("tire_front", "4"),
    ("tire_rear", "3.5"),
];

struct Fleet {
    house: TestApp,
    priya: Browser,
}

fn record(changes: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let changed = |(name, value): &(&'static str, &'static str)| {
        let other = changes.iter().find(|(changed, _)| changed == name);
        (*name, other.map_or(*value, |(_, other)| *other))
    };
    RECORD.iter().map(changed).collect()
}

impl Fleet {
    fn new() -> Self {
        let house = TestApp::start();
        house.add_coordinator();
        let priya = house.signed_in("priya@example.org");
        Self { house, priya }
    }

    fn add(&self, changes: &[(&'static str, &'static str)]) -> Answered {
        self.priya.submit("/machines/new", "/machines", &record(changes))
    }

    /// Machine 7; its address.
    fn seven(&self) -> String {
        self.add(&[]).must_be(303).location().to_owned()
    }

    fn edit(&self, machine: &str, changes: &[(&'static str, &'static str)]) -> Answered {
        let page = format!("{machine}/edit");
        self.priya.submit(&page, &page, &record(changes))
    }
}

/// How many steps of the tables come before the one of this name.
fn steps_before(name: &str) -> usize {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/migrations/sqlite");
    let entries = std::fs::read_dir(folder).expect("the migrations");
    let mut steps: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().into_string().expect("a plain name")).collect();
    steps.sort();
    steps.iter().position(|step| step.ends_with(name)).expect("the step")
}

/// Somebody's press on the page of a machine.
fn press(who: &Browser, machine: &str, what: &str, fields: &[(&str, &str)]) -> Answered {
    who.submit(machine, &format!("{machine}/{what}"), fields)
}

#[test]
fn day_1_a_machine_keeps_its_record_and_the_standard_under_which_it_was_built() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    let page = fleet.priya.get(&seven);
    // 83 FR 8336: made from 1 January 2019 on; 89 FR 4188: from 1 January 2025 on.
    page.must_say("Machine 7").must_say("Alder 70, Y-6+").must_say("ANSI/SVIA 1-2017");
    page.must_say("The rider alone (Type I)").must_say("WMK23000000000007").must_say("There, and it can be read");
    page.must_say("10 mph, set April 2, 2026 by Rafael Tso").must_say("front 4 psi, rear 3.5 psi");
    page.must_say("2 1/4 in").must_say("Not read yet").must_say("Added to the fleet");
    fleet.edit(&seven, &[]).must_be(303);
    assert!(!fleet.priya.get(&seven).says("Record changed"), "nothing was changed");
    fleet.edit(&seven, &[("limiter", "8"), ("limiter_set_month", "6"), ("built_year", "2025")]).must_be(303);
    let page = fleet.priya.get(&seven);
    page.must_say("8 mph, set June 2, 2026 by Rafael Tso").must_say("ANSI/SVIA 1-2023");
    page.must_say("Record changed: build date, limiter").must_say("Priya Castellanos");
    fleet.priya.get("/machines").must_say("1 machine by number").must_say("7 , Alder 70");
}

#[test]
fn day_1_a_record_that_cannot_be_is_told_at_its_field_and_keeps_what_was_typed() {
    let fleet = Fleet::new();
    for (changes, words) in [
        (&[("built_year", "2027")][..], "This day is yet to come. Write the day on the plate"),
        (&[("limiter_set_year", "2027")], "This day is yet to come. Write when it was set"),
        (&[("limiter_set_year", "2022")], "This day is before the machine was built"),
        (&[("limiter", "")], "Write the speed to which it was set"),
        (&[("limiter_set_day", "")], "Write the day"),
        (&[("dry_weight", "heavy")], "the dry weight"),
        (&[("seat_to_rest", "")], "Write the seat above the footrests"),
        (&[("seat_to_rest", "40")], "The footrests would lie in the ground"),
        (&[("label", "")], "Choose whether the warning label is there"),
        (&[("tire_rear", "soft")], "the rear tires"),
        (&[("category", "Y-99")], "Choose the category"),
        (&[("number", "")], "Write the number"),
    ] {
        let back = fleet.add(changes);
        back.must_be(422).must_say(words);
        assert_eq!(back.field("make_model").as_deref(), Some("Alder 70"), "{changes:?}");
    }
    fleet.priya.get("/machines").must_say("No machine yet");
    let seven = fleet.seven();
    fleet.add(&[]).must_be(422).must_say("7 is taken already");
    fleet.add(&[("number", "8")]).must_be(303);
    fleet.edit(&seven, &[("number", "8")]).must_be(422).must_say("8 is taken already");
    fleet.edit(&seven, &[("built_year", "2027")]).must_be(422).must_say("yet to come");
    fleet.priya.get(&seven).must_say("Machine 7");
}

#[test]
fn day_1_two_who_change_a_record_at_once_see_each_other() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    let page = format!("{seven}/edit");
    fleet.priya.get(&page);
    let seen = fleet.priya.get(&page).field("seen").expect("what the form was drawn from");
    fleet.edit(&seven, &[("tire_front", "5")]).must_be(303);
    let mut late = record(&[("limiter_by", "Marit Solberg")]);
    late.push(("seen", &seen));
    let back = fleet.priya.post(&page, &late);
    back.must_be(409).must_say("Front tires in psi").must_say("5");
    fleet.priya.get(&seven).must_say("by Rafael Tso").must_say("front 5 psi");
}

#[test]
fn day_1_a_fault_takes_a_machine_out_of_use_at_once_and_the_last_repair_puts_it_back() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    fleet.house.add_instructor();
    let rafael = fleet.house.signed_in("rafael@example.org");
    let helper = fleet.house.person(Role::Helper);
    press(&helper, &seven, "faults", &[("what", " ")]).must_be(422).must_say("Write what is wrong");
    press(&helper, &seven, "faults", &[("what", "Front brake does not hold")]).must_be(303);
    // A second press of the same finger.
    press(&helper, &seven, "faults", &[("what", "Front brake does not hold")]).must_be(303);
    let page = rafael.get(&seven);
    page.must_say("out of use").must_say("One fault keeps it standing").must_say("Front brake does not hold");
    rafael.get("/machines").must_say("out of use").must_say("Front brake does not hold");
    press(&rafael, &seven, "faults", &[("what", "Chain guard is loose")]).must_be(303);
    rafael.get(&seven).must_say("2 faults keep it standing");
    // A helper sees no button for it, and cannot press it either.
    assert!(!helper.get(&seven).says("It is mended"));
    helper.get(&seven).must_say("Park it and tell the lead");
    helper.post(&format!("{seven}/faults/1/mend"), &[("note", "Looks fine")]).must_be(403);
    press(&rafael, &seven, "faults/1/mend", &[("note", "")]).must_be(422).must_say("Write what was done");
    press(&rafael, &seven, "faults/1/mend", &[("note", "New cable, tried three times")]).must_be(303);
    rafael.get(&seven).must_say("out of use").must_say("One fault keeps it standing");
    press(&rafael, &seven, "faults/2/mend", &[("note", "Tightened")]).must_be(303);
    let page = rafael.get(&seven);
    page.must_say("ready").must_say("Mended: Front brake does not hold. New cable, tried three times");
    assert!(!page.says("keep it standing") && !page.says("keeps it standing"));
    rafael.post(&format!("{seven}/faults/2/mend"), &[("note", "Again")]).must_be(409);
    rafael.post(&format!("{seven}/faults/2/mend"), &[("note", "")]).must_be(409);
    rafael.post(&format!("{seven}/faults/9/mend"), &[("note", "What?")]).must_be(404);
    let kept: Vec<(String, String)> = fleet.house.rows(|conn| {
        machine_defects::table
            .order(machine_defects::ordinal)
            .select((machine_defects::what, machine_defects::note))
            .load(conn)
    });
    assert_eq!(kept.len(), 2, "{kept:?}");
}

#[test]
fn day_1_nobody_starts_on_a_machine_with_a_fault_and_it_gives_no_seat() {
    let fleet = Fleet::new();
    let session = fleet.house.add_session("young", 4, saturday());
    let member = fleet.house.add_instructor();
    fleet.house.put_on(&session, member, Duty::Lead);
    let rafael = fleet.house.signed_in("rafael@example.org");
    let family = fleet.house.stranger();
    family.register(&session, &crate::house::season::rider(), "ingrid@example.org");
    fleet.house.confirm("ingrid@example.org");
    let seven = fleet.seven();
    let roster = rafael.get(&format!("/roster/{session}"));
    let rider = roster.body.split("/riders/").nth(1).and_then(|rest| rest.split('"').next()).expect("a rider");
    let fit = format!("/roster/{session}/riders/{rider}/fit/7");
    assert!(!rafael.get(&fit).says("the machine is not ready"));
    press(&rafael, &seven, "faults", &[("what", "Throttle sticks")]).must_be(303);
    rafael.get(&fit).must_say("not ready");
}

#[test]
fn day_1_the_hour_meter_runs_on_and_a_new_one_is_said() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    press(&fleet.priya, &seven, "hours", &[("hours", "many")]).must_be(422).must_say("the hours");
    press(&fleet.priya, &seven, "hours", &[("hours", "120.5")]).must_be(303);
    let back = press(&fleet.priya, &seven, "hours", &[("hours", "119")]);
    back.must_be(422).must_say("The meter showed 120.5 hours before");
    assert_eq!(back.field("hours").as_deref(), Some("119"));
    press(&fleet.priya, &seven, "hours", &[("hours", "2"), ("new_meter", "yes")]).must_be(303);
    let page = fleet.priya.get(&seven);
    page.must_say("Hour meter: 2").must_say("Hour meter: 120.5");
}

#[test]
fn day_1_a_machine_is_kept_in_a_store_or_a_trailer() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    let add = |name: &str, kind: &str| {
        fleet.priya.submit("/machines/places", "/machines/places", &[("name", name), ("kind", kind)])
    };
    fleet.priya.get("/machines/places").must_say("Store");
    add("", "").must_be(422).must_say("Write its name").must_say("Choose what it is");
    add("Trailer 2", "trailer").must_be(303);
    add("Trailer 2", "store").must_be(422).must_say("Trailer 2 is taken already");
    let place = fleet.priya.get(&seven);
    let option = place.body.split("<option ").find(|option| option.contains(">Trailer 2<"));
    let value = option.and_then(|rest| rest.split('"').nth(1)).expect("a place to choose").to_owned();
    press(&fleet.priya, &seven, "place", &[("place", &value)]).must_be(303);
    fleet.priya.get(&seven).must_say("Kept Trailer 2").must_say("Kept now: Trailer 2");
    fleet.priya.get("/machines").must_say("Trailer 2");
    fleet.priya.post(&format!("{seven}/place"), &[("place", "4711")]).must_be(404);
    press(&fleet.priya, &seven, "place", &[("place", "")]).must_be(303);
    fleet.priya.get(&seven).must_say("Kept nowhere in particular");
}

#[test]
fn day_1_a_machine_leaves_the_fleet_with_a_reason_and_comes_back_with_its_faults() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    press(&fleet.priya, &seven, "faults", &[("what", "Frame is cracked")]).must_be(303);
    press(&fleet.priya, &seven, "retire", &[("why", "")]).must_be(422).must_say("Write why");
    press(&fleet.priya, &seven, "retire", &[("why", "Sold")]).must_be(303);
    fleet.priya.get(&seven).must_say("retired").must_say("Left the fleet: Sold");
    fleet.priya.post(&format!("{seven}/retire"), &[("why", "Sold")]).must_be(409);
    fleet
        .priya
        .post(&format!("{seven}/faults"), &[("what", "Rust")])
        .must_be(409)
        .must_say("no longer part of the fleet");
    assert!(!fleet.priya.get("/machines/tags").says("Alder 70"));
    press(&fleet.priya, &seven, "return", &[("why", "Bought back")]).must_be(303);
    fleet.priya.get(&seven).must_say("out of use").must_say("Back in the fleet: Bought back");
    fleet.priya.get("/machines/tags").must_say("Alder 70");
}

#[test]
fn day_1_the_tag_of_each_machine_opens_its_page() {
    let fleet = Fleet::new();
    let seven = fleet.seven();
    let eight = fleet.add(&[("number", "8"), ("serial", "")]).must_be(303).location().to_owned();
    let base = fleet.house.app.settings.server.public_url.trim_end_matches('/').to_owned();
    let told = codes_on(&fleet.priya.get("/machines/tags").body, "tag-code");
    assert_eq!(told, [format!("{base}{seven}"), format!("{base}{eight}")]);
    fleet.priya.get(&seven).must_be(200).must_say("Machine 7");
    // Whoever finds a tag and is nobody of the staff learns nothing.
    assert_ne!(fleet.house.stranger().get(&seven).status, 200);
}

#[test]
fn day_1_machines_of_before_have_an_address_and_a_fault_that_can_be_mended() {
    let database = TestDatabase::bare();
    migrate_next(&database.url, steps_before("_fleet")).expect("the steps before");
    let mut conn = open(&database.url, Purpose::Write).expect("a connection");
    for (number, state) in [("1", "ready"), ("2", "out_of_use")] {
        let sql = format!(
            "INSERT INTO machines (number, make_model, category, built_on, engine_cc_tenths, dry_weight_g, seat_height_um,
                seat_to_rest_um, state) VALUES ('{number}', 'Alder', 'Y-6+', '2023-03-01', 690, 1, 1, 1, '{state}')"
        );
        execute(&mut conn, &sql).expect("an old machine");
    }
    drop(conn);
    migrate(&database.url).expect("the later steps");
    let store = database.store();
    let found = store.read(|conn| -> Result<_, StoreError> {
        let references: Vec<String> = machines::table.order(machines::id).select(machines::reference).load(conn)?;
        let faults: Vec<(i64, String)> =
            machine_defects::table.select((machine_defects::ordinal, machine_defects::what)).load(conn)?;
        Ok((references, faults))
    });
    let (references, faults) = found.expect("rows");
    assert_eq!(references, ["m1", "m2"]);
    assert_eq!(faults, [(1, "Out of use before faults were written down".to_owned())]);
}
