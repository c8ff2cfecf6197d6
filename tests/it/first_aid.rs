//! First aid: from any row of the roster to one child's health, contacts, place and plan, in the language of who helps.

use diesel::prelude::*;
use waymark::store::schema::{audit_rows, sites};

use crate::house::app::TestApp;

#[test]
fn day_10_the_emergency_page_of_a_child_carries_the_way_that_help_comes() {
    let house = TestApp::start();
    let field = house.field_day();
    let page = field.lead.get(&field.of_zoe("/health"));
    page.must_be(200).must_say("Spot with signal At the gate post").must_say("Meets the ambulance");
    page.must_say("Address 12 Lantern Street, Helena 59601").must_say("Nearest hospital Valley hospital");
    page.must_say("guardian").must_say("emergency contact");
    let place = |conn: &mut waymark::store::AnyConn| {
        diesel::update(sites::table).set((sites::latitude.eq(46.61), sites::longitude.eq(-112.02))).execute(conn)?;
        Ok::<_, waymark::store::StoreError>(())
    };
    house.app.store.write("where it is", place).expect("a place");
    field.lead.get(&field.of_zoe("/health")).must_say("Coordinates 46.61000, -112.02000");
}

#[test]
fn day_10_the_emergency_page_speaks_the_readers_language_and_leaves_the_familys_words_as_typed() {
    let house = TestApp::start();
    let field = house.field_day();
    let way = field.of_zoe("/health");
    let english = field.lead.get(&way);
    english.must_say("Conditions").must_say("bee stings").must_say("En español");
    assert!(!english.says("The family writes"));
    let spanish = field.lead.get(&format!("{way}?words=es"));
    spanish.must_be(200).must_say("Emergencia: Zoë").must_say("Problemas de salud").must_say("Está en: red bag");
    spanish.must_say("A quién llamar").must_say("contacto de emergencia").must_say("Hospital más cercano");
    // What the family typed is marked with the language that the family writes.
    spanish.must_say("La familia escribe en inglés. Lo que escribió queda tal cual.");
    assert!(spanish.body.contains("<dd lang=\"en\">bee stings</dd>"));
    // Who has chosen Spanish for every page gets it without asking.
    field.lead.get(&format!("{way}?lang=es")).must_be(303);
    field.lead.get(&way).must_say("Emergencia: Zoë");
    field.lead.get(&format!("{way}?words=en")).must_say("Emergency: Zoë");
    // Words that are no language are none.
    field.lead.get(&format!("{way}?words=klingon")).must_be(200);
}

#[test]
fn day_10_the_page_opens_to_the_sessions_own_people_alone_and_every_look_is_written_down() {
    let house = TestApp::start();
    let field = house.field_day();
    let way = field.of_zoe("/health");
    let looks = || -> i64 {
        house.rows(|conn| audit_rows::table.filter(audit_rows::action.eq("health.read")).count().get_result(conn))
    };
    assert_eq!(looks(), 0);
    field.lead.get(&way).must_be(200);
    field.lead.get(&format!("{way}?words=es")).must_be(200);
    house.signed_in("dewey@example.org").get(&way).must_be(404);
    house.stranger().get(&way).must_be(303);
    assert_eq!(looks(), 2);
}
