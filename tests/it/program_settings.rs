//! The administrator sets the program's own rules and publishes new fit rules and cautions: each value with its unit both
//! ways, its source, what ships and what it is now; what is set is what holds.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::schema::{audit_rows, programs, rulebooks};

use crate::house::app::{TestApp, saturday, story_begins};
use crate::house::browser::{Answered, Browser};
use crate::house::season::{rider, with};

fn set(ana: &Browser, path: &str, fields: &[(&str, &str)]) -> Answered {
    let page = ana.get(path);
    let revision = page.field("revision").unwrap_or_else(|| panic!("{path}: {}", page.words()));
    let mut all = vec![("revision", revision.as_str())];
    all.extend_from_slice(fields);
    ana.post(path, &all)
}

fn program(ana: &Browser, key: &str, value: &str) -> Answered {
    set(ana, &format!("/program/settings/{key}"), &[("value", value)])
}

fn publish(ana: &Browser, book: &str, day: &str) {
    let fields = [("starts_month", "6"), ("starts_day", day), ("starts_year", "2026")];
    set(ana, &format!("/rules/{book}/draft/publish"), &fields).must_be(303);
}

#[test]
fn saturday_2_each_setting_shows_its_value_its_source_and_what_ships() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    let page = ana.get("/program");
    page.must_be(200).must_say("Riders an instructor, young riders 4 riders Common practice (no source)");
    page.must_say("Years that a helmet is used 5 years Common practice; no federal rule (no source)");
    page.must_say("1 March in common years").must_say("14 days").must_say("Change Name of the program");
    program(&ana, "helmet_years", "7").must_be(303);
    ana.get("/program").must_say("7 years ships as 5 years");
    ana.get("/program/settings/helmet_years")
        .must_say("Now 7 years Ships as 5 years")
        .must_say("From 1 year to 10 years.");
    assert_eq!(ana.get("/program/settings/moon").status, 404);
}

#[test]
fn saturday_2_the_name_and_the_office_stand_on_every_page_at_once_in_both_languages() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    program(&ana, "name", "Larch Creek Riders").must_be(303);
    program(&ana, "office_phone", "406.555.0177").must_be(303);
    program(&ana, "office_email", "Ask@Larch.example.org").must_be(303);
    let hours = [("value_en", "Mondays 9 to 12."), ("value_es", "Los lunes de 9 a 12.")];
    set(&ana, "/program/settings/office_hours", &hours).must_be(303);
    let home = house.stranger().get("/");
    home.must_say("Larch Creek Riders").must_say("(406) 555-0177").must_say("ask@larch.example.org");
    home.must_say("Mondays 9 to 12.");
    assert!(home.body.contains("href=\"tel:+14065550177\""));
    house.stranger().speaking("es").get("/").must_say("Los lunes de 9 a 12.");
    let half = set(&ana, "/program/settings/office_hours", &[("value_en", "Tuesdays."), ("value_es", " ")]);
    half.must_be(422).must_say("Write the Spanish words").must_say("Tuesdays.");
    house.stranger().get("/").must_say("Mondays 9 to 12.");
}

#[test]
fn u10_a_value_that_cannot_be_used_comes_back_with_its_words_and_is_not_kept() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    let long = "a".repeat(121);
    for (key, typed, words) in [
        ("helmet_years", "0", "Write 1 year or more"),
        ("helmet_years", "11", "Write 10 years or less"),
        ("helmet_years", "five", "Write a number, such as 4"),
        ("ratio_young", "", "Write an answer here"),
        ("ratio_older", "9223372036854775808", "Write a number"),
        ("staff_window", "-14", "Write 2 days or more"),
        ("leap_rule", "june", "Choose one of the list"),
        ("office_phone", "555", "Write a phone number with its area code"),
        ("office_email", "office", "Write an e-mail address"),
        ("office_email", "a@b.org\r\nBcc: x@y.org", "Write an e-mail address"),
        ("name", &long, "Write at most 120 letters"),
        ("name", "Our\u{202E}program", "Take out the characters"),
    ] {
        let answered = program(&ana, key, typed);
        answered.must_be(422).must_say("One answer needs another look").must_say(words);
        assert!(answered.body.contains("<title>Error:"), "{key}");
        if !typed.is_empty() && !typed.contains('\r') && key != "leap_rule" {
            assert_eq!(answered.field("value").as_deref(), Some(typed), "{key}");
        }
    }
    let revision: i64 = house.rows(|conn| programs::table.select(programs::revision).first(conn));
    assert_eq!(revision, 1, "nothing was written");
}

#[test]
fn saturday_2_two_tabs_on_one_setting_give_a_clear_page_and_lose_nothing() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    let path = "/program/settings/ratio_young";
    let stale = ana.get(path).field("revision").expect("a revision");
    program(&ana, "helmet_years", "6").must_be(303);
    let told = ana.post(path, &[("revision", stale.as_str()), ("value", "3")]);
    told.must_be(409).must_say("This was changed in another window").must_say("Now 4 riders");
    assert_eq!(told.field("value").as_deref(), Some("3"));
    let revision = told.field("revision").expect("a revision");
    ana.post(path, &[("revision", revision.as_str()), ("value", "3")]).must_be(303);
    ana.get("/program").must_say("3 riders ships as 4 riders").must_say("6 years ships as 5 years");
    let details: Vec<String> = house.rows(|conn| {
        audit_rows::table.filter(audit_rows::action.eq("program.set")).select(audit_rows::detail).load(conn)
    });
    assert_eq!(details, ["setting helmet_years", "setting ratio_young"]);
}

/// Attack of S27 with the window as the program set it.
#[test]
fn s27_the_days_in_which_staff_see_their_session_are_the_ones_that_the_program_set() {
    let house = TestApp::start();
    let session = house.add_session("young", 6, story_begins().date() + chrono::TimeDelta::days(20));
    let rafael = house.add_instructor();
    house.put_on(&session, rafael, Duty::Lead);
    let lead = house.signed_in("rafael@example.org");
    let roster = format!("/roster/{session}");
    assert_eq!(lead.get(&roster).status, 404);
    let ana = house.person(Role::Administrator);
    program(&ana, "staff_window", "20").must_be(303);
    lead.get(&roster).must_be(200);
    lead.get("/my-sessions").must_say("Alder Flat");
    lead.get("/my-sessions").must_say("You see your own sessions from 20 days before to 20 days after");
    program(&ana, "staff_window", "19").must_be(303);
    lead.get("/my-sessions").must_say("It shows here from 19 days before its day");
    assert_eq!(lead.get(&roster).status, 404);
}

/// R36: 1 March in common years follows a state statute; 28 February is in use elsewhere.
#[test]
fn r36_the_birthday_of_a_leap_day_child_is_the_one_that_the_program_set() {
    let house = TestApp::start();
    let day = chrono::NaiveDate::from_ymd_opt(2027, 2, 28).expect("a day");
    let session = house.add_session("young", 6, day);
    let ana = house.person(Role::Administrator);
    // Five years old by the one rule, six by the other, on the day of the session.
    let child = with(with(with(rider(), "birth_month", "2"), "birth_day", "29"), "birth_year", "2020");
    let child = with(with(child, "birth_year", "2016"), "given", "Leaf");
    let least = 11;
    house
        .app
        .store
        .write("set ages", move |conn| {
            use waymark::store::schema::courses;
            let young = courses::table.filter(courses::code.eq("young"));
            let set = (courses::least_age.eq(least), courses::most_age.eq(15));
            diesel::update(young).set(set).execute(conn).map_err(waymark::store::StoreError::from)
        })
        .expect("ages");
    let step = crate::house::season::step(&session, "rider");
    let answer = |house: &TestApp| {
        let stranger = house.stranger();
        let pairs: Vec<(&str, &str)> = child.iter().map(|(name, value)| (*name, value.as_str())).collect();
        stranger.submit(&step, &step, &pairs)
    };
    answer(&house).must_be(422).must_say("A rider must be 11 or older");
    program(&ana, "leap_rule", "last_of_february").must_be(303);
    answer(&house).must_be(303);
}

#[test]
fn saturday_2_new_fit_rules_hold_for_sessions_planned_after_them() {
    let house = TestApp::start();
    let before = house.field_day();
    let ana = house.person(Role::Administrator);
    let list = ana.get("/rules/fit");
    list.must_be(200).must_say("Version 1").must_say("in force");
    ana.post("/rules/fit/draft", &[("version", "1")]).must_be(303);
    let draft = ana.get("/rules/fit/draft");
    draft.must_say("Measure again within 1/4 in (6.4 mm)").must_say("Common practice (no source)");
    draft.must_say("Fixed, because the source was read").must_say("at least 3 in (76.2 mm)");
    draft.must_say("T: speed with the limiter left open");
    let at = |key: &str| format!("/rules/fit/draft/settings/{key}");
    set(&ana, &at("seeing_over.weight"), &[("value", "mandatory")]).must_be(303);
    set(&ana, &at("bar_to_knee.at_least"), &[("value", "7 in")]).must_be(303);
    set(&ana, &at("T.limited_mph"), &[("value", "20")]).must_be(303);
    set(&ana, &at("T.limited_mph"), &[("value", "39")])
        .must_be(422)
        .must_say("The lower figure would be over the upper");
    set(&ana, &at("Y-6+.least_age"), &[("value", "5")]).must_be(422).must_say("Write 6 years or more");
    set(&ana, &at("stale_after"), &[("value", "3")]).must_be(303);
    assert_eq!(ana.get(&at("standing_clearance.at_least")).status, 404, "a limit that was read is no setting");
    let draft = ana.get("/rules/fit/draft");
    draft.must_say("7 in (177.8 mm) ships as 7 7/8 in (200.0 mm)").must_say("20 mph (32.2 km/h) ships as left open");
    ana.get("/rules/fit/draft/publish").must_say("Sees over the bars: mandatory or advisory");
    publish(&ana, "fit", "13");
    // The field day keeps its rules: a rider who does not see over may start.
    before.tap(&house, &before.lead, "check_in", &[]).must_be(303);
    before.fit(&house, &before.lead, &[("seen_seeing_over", "not_met")]);
    before.lead.get(&before.of_zoe("/fit/4")).must_say("Sees over the bars note l advisory");
    let later = house.add_session("young", 6, saturday() + chrono::TimeDelta::days(7));
    let bodies: Vec<String> = house.rows(|conn| {
        use waymark::store::schema::sessions;
        sessions::table
            .inner_join(rulebooks::table.on(rulebooks::id.eq(sessions::fit_id)))
            .filter(sessions::reference.eq_any([&before.session, &later]))
            .order(sessions::held_on)
            .select(rulebooks::body)
            .load(conn)
    });
    assert!(bodies[0].contains("\"stale_after_months\":6") && bodies[1].contains("\"stale_after_months\":3"));
}

#[test]
fn saturday_2_the_last_mandatory_criterion_cannot_be_made_advisory() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    ana.submit("/rules/fit", "/rules/fit/draft", &[("version", "1")]).must_be(303);
    let at = |key: &str| format!("/rules/fit/draft/settings/{key}.weight");
    for key in ["feet_on_rests", "standing_clearance", "lever_reach", "foot_brake_reach"] {
        set(&ana, &at(key), &[("value", "advisory")]).must_be(303);
    }
    set(&ana, &at("full_lock"), &[("value", "advisory")])
        .must_be(422)
        .must_say("Leave it mandatory. It is the last one");
}

#[test]
fn saturday_2_a_caution_is_worded_anew_and_none_is_left_out() {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    ana.submit("/rules/cautions", "/rules/cautions/draft", &[("version", "1")]).must_be(303);
    let draft = ana.get("/rules/cautions/draft");
    for page in ["Every page", "Fit check", "Machines", "Weather", "Registration", "Consent", "Certificates", "Reports"]
    {
        draft.must_say(&format!("Change {page}"));
    }
    let path = "/rules/cautions/draft/settings/skills";
    set(&ana, path, &[("value_en", "Full gear, always."), ("value_es", "")])
        .must_be(422)
        .must_say("Write the Spanish words");
    set(&ana, path, &[("value_en", "Full gear, always."), ("value_es", "Siempre con el equipo completo.")])
        .must_be(303);
    publish(&ana, "cautions", "10");
    let session = house.add_session("young", 6, saturday());
    let priya = house.person(Role::Coordinator);
    priya.get(&format!("/roster/{session}/lessons/1")).must_say("Full gear, always.");
    let body: String = house.rows(|conn| {
        let newest = rulebooks::table.filter(rulebooks::kind.eq("cautions")).order(rulebooks::version.desc());
        newest.select(rulebooks::body).first(conn)
    });
    let read: waymark::domain::cautions::Cautions = serde_json::from_str(&body).expect("all of them");
    for key in waymark::domain::cautions::CautionKey::ALL {
        assert!(!read.of(key).en.is_empty());
    }
}

#[test]
fn saturday_1_the_day_list_is_edited_published_from_a_day_and_kept_by_sessions_announced_before() {
    let house = TestApp::start();
    let field = house.field_day();
    let reference = field.session.clone();
    let keep = move |conn: &mut waymark::store::AnyConn| {
        let session = waymark::store::sessions::find_session(conn, &reference)?.expect("a session").session;
        waymark::store::point_lists::keep_point_lists(conn, session.id, session.held_on)
    };
    house.app.store.write("keep list", keep).expect("kept as planning keeps it");
    let ana = house.person(Role::Administrator);
    ana.get("/program").must_say("Day list What is looked at before the first engine starts");
    ana.get("/rules/day_list").must_say("Version 1").must_say("1 0");
    ana.submit("/rules/day_list", "/rules/day_list/draft", &[("version", "1")]).must_be(303);
    let draft = "/rules/day_list/draft";
    let points = |act: &str, point: &str| {
        let revision = ana.get(draft).field("revision").expect("a revision");
        ana.post(&format!("{draft}/points"), &[("revision", &revision), ("do", act), ("point", point)])
    };
    ana.get(draft).must_say("1. Holes, ruts and rocks").must_say("Common practice (no source)");
    let added = points("add_point", "").must_be(303).location().to_owned();
    assert_eq!(added, format!("{draft}/settings/own_1.title"));
    let lacking = ana.get(draft);
    lacking.must_say("2 things are still missing.").must_say("Point 10 : Write its name in both languages.");
    let from_today = [("starts_month", "6"), ("starts_day", "13"), ("starts_year", "2026")];
    let mut fields = vec![("revision", "2")];
    fields.extend(from_today);
    let stopped = ana.post(&format!("{draft}/publish"), &fields);
    stopped.must_be(422).must_say("2 things are missing. It cannot be published yet.");
    set(&ana, &added, &[("value_en", "Bees and wasps"), ("value_es", "")]).must_be(422).must_say("Bees and wasps");
    set(&ana, &added, &[("value_en", "Bees and wasps"), ("value_es", "Abejas y avispas")]).must_be(303);
    let words = [("value_en", "No nest near the path."), ("value_es", "Sin nidos cerca.")];
    set(&ana, &format!("{draft}/settings/own_1.look_for"), &words).must_be(303);
    points("remove_point", "extinguisher").must_be(303);
    points("point_later", "holes").must_be(303);
    assert_eq!(points("remove_point", "moon").status, 404);
    let before = ana.get(&format!("{draft}/publish"));
    before.must_say("Fire extinguisher there taken out").must_say("Order of the points Holes, ruts and rocks, Wires");
    before.must_say("Name of point 9 nothing Bees and wasps");
    // An older window of the same draft changes nothing.
    let stale = [("revision", "1"), ("do", "remove_point"), ("point", "holes")];
    ana.post(&format!("{draft}/points"), &stale).must_be(409).must_say("2. Holes, ruts and rocks");
    set(&ana, &format!("{draft}/publish"), &from_today).must_be(303);
    ana.get("/rules/day_list").must_say("Version 2").must_say("Version 1");
    ana.get("/rules/day_list/versions/2").must_say("Starts June 13, 2026").must_say("Bees and wasps Abejas y avispas");
    // The session that was announced before keeps its list; one that is made afterwards signs the new one.
    let own = field.lead.get(&field.at("/day-list"));
    own.must_say("Fire extinguisher");
    assert!(!own.says("Bees and wasps"));
    let later = house.add_session("young", 6, saturday());
    house.put_on(&later, house.add_member("dee@example.org", "Dee", "Ward", &[Role::Instructor]), Duty::Lead);
    let new = house.signed_in("dee@example.org").get(&format!("/roster/{later}/day-list"));
    new.must_say("Bees and wasps").must_say("No nest near the path.");
    assert!(!new.says("Fire extinguisher"));
    let told: Vec<String> = house.rows(|conn| {
        let rows = audit_rows::table.filter(audit_rows::subject.eq("day_list draft"));
        rows.order(audit_rows::id).select(audit_rows::detail).load(conn)
    });
    let expected = ["from version 1", "point added", "setting own_1.title", "setting own_1.look_for"];
    assert_eq!(told[..4], expected, "keys and numbers, never what was typed");
}
