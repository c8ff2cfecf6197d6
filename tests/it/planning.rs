//! The coordinator plans: places, people's papers, machines, helmets, and a session whose seats the page explains.

pub mod office;

use waymark::domain::access::{Caller, Role};
use waymark::domain::words::Word;
use waymark::store::sessions::{find_session, meetings_of};
use waymark::store::staff::add_staff;
use waymark::store::{AnyConn, StoreError};

use crate::house::app::{TestApp, story_begins};
use crate::house::browser::Answered;
use crate::house::season::{rider, with};
use office::{Office, SESSION, SITE, changed};

/// Codes: ANSI INCITS 31, as in the Census Bureau's list of 2023.
#[test]
fn house_3_a_county_is_taken_by_its_name_or_its_code() {
    let office = Office::bare();
    for (typed, name, code) in [
        ("Missoula", "Missoula", "30063"),
        ("missoula county", "Missoula", "30063"),
        ("30063", "Missoula", "30063"),
        ("Lewis & Clark", "Lewis and Clark", "30049"),
        ("30001", "Beaverhead", "30001"),
    ] {
        let site = format!("Site of {typed}");
        office.add_site(&[("county", typed), ("name", &site)]).must_be(303);
        office.priya.get("/sites").must_say(&format!("{site} {name} {code}"));
    }
}

#[test]
fn house_3_a_county_of_no_such_name_or_of_another_state_is_refused_and_what_was_typed_stays() {
    let office = Office::bare();
    for typed in ["Atlantis", "56001", "3063", "300633"] {
        let again = office.add_site(&[("county", typed)]);
        again
            .must_be(422)
            .must_say("One answer needs another look")
            .must_say("There is no county of that name or code");
        assert_eq!(again.field("county").as_deref(), Some(typed));
        assert_eq!(again.field("hospital").as_deref(), Some("County Hospital, Missoula, 406 555 0190"));
    }
    office.priya.get("/sites").must_say("No site yet.");
}

/// Virginia has a Fairfax County (51059) and a Fairfax City (51600) that is in no county.
#[test]
fn house_3_a_name_of_two_counties_is_refused_with_the_label_and_code_of_each() {
    let office = Office::bare();
    office.meanwhile("UPDATE programs SET state_fips = '51'");
    let again = office.add_site(&[("county", "Fairfax")]);
    again.must_be(422).must_say("More than one county has that name.").must_say("51059").must_say("51600");
    again.must_say("Fairfax (city), VA");
    assert_eq!(again.field("county").as_deref(), Some("Fairfax"));
    office.add_site(&[("county", "51600")]).must_be(303);
    office.priya.get("/sites").must_say("51600");
}

#[test]
fn house_3_a_site_form_that_comes_back_names_each_answer_and_keeps_the_rest() {
    let office = Office::bare();
    let again = office.add_site(&[
        ("zip", "5984"),
        ("most_riders", "0"),
        ("name", ""),
        ("latitude", "46.87"),
        ("directions", "Left at <b>the barn</b>"),
    ]);
    again.must_be(422).must_say("4 answers need another look");
    for field in ["zip", "most_riders", "name", "longitude"] {
        assert!(again.body.contains(&format!("<a href=\"#{field}\">")), "{field}: {}", again.words());
    }
    assert!(!again.body.contains("<b>the barn"), "typed text is escaped");
    again.must_say("Left at <b>the barn</b>");
    assert_eq!(again.field("latitude").as_deref(), Some("46.87"));
}

#[test]
fn house_3_a_session_keeps_its_wall_time_its_instant_and_the_rules_of_its_day() {
    let office = Office::furnished();
    let announced = office.announce(&[]);
    let page = office.priya.follow(&announced);
    page.must_be(200).must_say("Saturday, June 13, 2026, 8:30 AM to 1:00 PM").must_say("(America/Denver)");
    page.must_say("Rafael Tso leads").must_say("Dewey Blackwater helps").must_say("Missoula 30063");
    let reference = announced.location().trim_start_matches("/season/").to_owned();
    let (view, meetings) = read(&office.house, move |conn| {
        let view = find_session(conn, &reference)?.expect("the session");
        let meetings = meetings_of(conn, view.session.id)?;
        Ok((view, meetings))
    });
    // 8:30 AM in Montana in June is UTC-6 (daylight saving, 15 U.S.C. 260a).
    assert_eq!(meetings[0].starts_at.to_string(), "2026-06-13 14:30:00");
    assert_eq!((meetings[0].local_start.as_str(), meetings.len()), ("2026-06-13T08:30", 1));
    assert_eq!((view.session.seats_taken, view.session.waiting, view.session.capacity), (0, 0, 4));
    let rulebooks = [view.session.curriculum_id, view.session.fit_id, view.session.cautions_id];
    assert!(rulebooks[0] != rulebooks[1] && rulebooks[1] != rulebooks[2], "each kind has its own: {rulebooks:?}");
    office.priya.get("/season").must_say("1 session by day").must_say("Sat June 13 8:30 AM").must_say("0 of 4");
    office.priya.get("/season?year=2027").must_say("No session in 2027 yet.");
}

fn read<T>(house: &TestApp, work: impl FnOnce(&mut AnyConn) -> Result<T, StoreError>) -> T {
    house.app.store.read(work).expect("rows")
}

/// Riders that one instructor may teach at ages 6 to 9: 4 as shipped, a setting (common practice, no source).
#[test]
fn house_3_the_limit_that_binds_is_named_and_every_limit_shows_its_number() {
    for (site, machines, helmets, most, seats, sentence) in [
        ("3", 9, "60", "", "3 seats.", "The site takes no more riders."),
        ("12", 9, "60", "", "4 seats.", "The instructors may teach no more riders."),
        ("12", 2, "60", "", "2 seats.", "There are no more machines"),
        ("12", 9, "1", "", "1 seat.", "There are no more helmets on hand."),
        ("12", 9, "60", "2", "2 seats.", "You wanted no more."),
    ] {
        let office = Office::bare();
        office.add_site(&[("most_riders", site)]).must_be(303);
        office.add_machines(1..=machines);
        office.add_helmets(helmets);
        let page = office.priya.follow(&office.announce(&[("most", most)]));
        page.must_say(&format!("{seats} {sentence}"));
        page.must_say(&format!("Site {site}")).must_say(&format!("Machines {machines}"));
        page.must_say(&format!("Helmets {helmets}")).must_say("1 instructor with 4 riders each");
        assert_eq!(page.words().matches("(binds)").count(), 1, "{}", page.words());
    }
}

#[test]
fn house_3_only_people_who_teach_raise_the_limit_of_instructors() {
    let office = Office::furnished();
    let teacher = office.add_teacher("Noor");
    let helped = office.priya.follow(&office.announce(&[(&teacher, "helper")]));
    helped.must_say("4 seats. The instructors").must_say("Noor Moreau helps");
    let taught = office.priya.follow(&office.announce(&[(&teacher, "instructor"), ("held_day", "20")]));
    taught.must_say("8 seats. The instructors").must_say("2 instructors with 4 riders each");
}

/// 9 machines on Saturday, 60 helmets in all: 4 of each are promised to the first session.
#[test]
fn house_3_machines_of_the_day_and_helmets_of_the_season_are_not_promised_twice() {
    let office = Office::furnished();
    office.announce(&[]).must_be(303);
    let same_day = office.priya.follow(&office.announce(&[("starts", "2:00 PM"), ("most", "3")]));
    same_day.must_say("Machines 5").must_say("Helmets 56");
    let next_week = office.priya.follow(&office.announce(&[("held_day", "20")]));
    next_week.must_say("Machines 9").must_say("Helmets 53");
    office.meanwhile("UPDATE sessions SET state = 'cancelled'");
    let after = office.priya.follow(&office.announce(&[("held_day", "27")]));
    after.must_say("Helmets 60");
}

/// Least ages of the categories: ANSI/SVIA 1 (facts of `seed/fit.toml`).
#[test]
fn house_3_only_ready_machines_that_the_youngest_of_the_course_may_ride_count() {
    let office = Office::furnished();
    for (number, category, state) in
        [("51", "Y-10+", "ready"), ("52", "Y-12+", "ready"), ("53", "G", "ready"), ("54", "Y-6+", "out_of_use")]
    {
        let added = office.add_machine(&[("number", number), ("category", category)]);
        if state == "out_of_use" {
            let page = added.location().to_owned();
            office.priya.submit(&page, &format!("{page}/faults"), &[("what", "No brakes")]).must_be(303);
        }
    }
    office.priya.follow(&office.announce(&[])).must_say("Machines 9");
    let older = office.priya.follow(&office.announce(&[("course", "older"), ("held_day", "20")]));
    older.must_say("Machines 10").must_say("1 instructor with 6 riders each");
}

/// Seats by fit: a machine that nobody of the course could be tried on gives no seat.
#[test]
fn day_3_a_machine_whose_limiter_nobody_wrote_down_or_that_is_too_fast_for_its_category_gives_no_seat() {
    let office = Office::furnished();
    let announced = |day: &str| office.priya.follow(&office.announce(&[("held_day", day)]));
    announced("13").must_say("Machines 9");
    office.meanwhile("UPDATE machines SET limiter_tenths_mph = NULL WHERE number IN ('01', '02')");
    announced("20").must_say("Machines 7");
    // A Y-6+ goes 15 mph at most (ANSI/SVIA 1, second-hand).
    office.meanwhile("UPDATE machines SET limiter_tenths_mph = 151 WHERE number = '03'");
    announced("27").must_say("Machines 6");
}

#[test]
fn day_3_the_session_and_the_first_page_say_how_many_riders_can_have_a_machine_that_fits() {
    let office = Office::furnished();
    let session = office.announce(&[]).location().to_owned();
    let reference = session.trim_start_matches("/season/").to_owned();
    let none = office.priya.get(&session);
    assert!(!none.says("By their measures"), "nobody is registered");
    office.house.stranger().register(&reference, &rider(), "ingrid@example.org");
    office.house.confirm("ingrid@example.org");
    office.priya.get(&session).must_say("By their measures every rider can have a machine at once.");
    let first_page = || office.house.signed_in("priya@example.org").get("/");
    assert!(!first_page().says("Riders whom no machine may fit"));
    office.meanwhile("UPDATE machines SET seat_to_rest_um = 590000, seat_height_um = 800000");
    office.priya.get(&session).must_say("By their measures 0 of 1 riders can have a machine at once.");
    let page = first_page();
    page.must_say("Riders whom no machine may fit").must_say("1 rider without a machine");
    assert!(page.body.contains(&format!("href=\"{session}/machines\"")));
}

#[test]
fn day_5_the_season_says_which_session_has_too_few_instructors_or_machines_for_its_seats() {
    let office = Office::furnished();
    let session = office.announce(&[]).location().to_owned();
    office.meanwhile("UPDATE sessions SET capacity = 12, seats_taken = 4");
    assert!(!office.priya.get("/season").says("too few instructors"));
    office.meanwhile("UPDATE sessions SET seats_taken = 5");
    office.priya.get("/season").must_say("too few instructors");
    office.priya.get(&session).must_say("5 seats are taken, and those who can teach on the day may teach 4.");
    office.meanwhile("UPDATE sessions SET seats_taken = 3");
    let machine = office.value_in(&format!("{session}/machines"), "machine_");
    let send = [(machine.as_str(), "yes")];
    office.priya.submit(&format!("{session}/machines"), &format!("{session}/machines"), &send).must_be(303);
    office.priya.get("/season").must_say("too few machines");
    office.priya.get(&session).must_say("3 seats are taken, and 1 machine goes and can be ridden.");
}

#[test]
fn house_3_a_session_without_a_seat_is_not_announced() {
    let office = Office::bare();
    office.add_site(&[]).must_be(303);
    let again = office.announce(&[]);
    again.must_be(422).must_say("The session would have no seats: no machine can be used.");
    office.priya.get("/season").must_say("No session in 2026 yet.");
}

#[test]
fn house_3_a_lead_is_taken_on_the_last_day_of_a_paper_and_refused_the_day_after() {
    let office = Office::furnished();
    office.meanwhile("DELETE FROM certifications WHERE kind = 'first_aid'");
    office.add_paper("Rafael Tso", "first_aid", ("6", "13")).must_be(303);
    office.announce(&[]).must_be(303);
    let again = office.announce(&[("held_day", "14")]);
    again.must_be(422).must_say("Rafael Tso cannot lead on Sunday, June 14, 2026.");
    again.must_say("first-aid card (held through June 13, 2026)");
    assert!(again.body.contains("<a href=\"#lead\">"), "{}", again.words());
    assert_eq!(again.field("held_day").as_deref(), Some("14"), "what was typed stays");
    assert_eq!(again.field("starts").as_deref(), Some("8:30 AM"));
    assert!(again.body.contains(" selected>Rafael Tso</option>"));
    office.priya.get("/season").must_say("1 session by day");
    office.add_paper("Rafael Tso", "first_aid", ("12", "31")).must_be(303);
    office.announce(&[("held_day", "14")]).must_be(303);
}

#[test]
fn house_3_nobody_joins_the_team_whose_papers_do_not_hold_on_the_day() {
    let office = Office::furnished();
    let teacher = office.add_teacher("Noor");
    office.meanwhile("UPDATE certifications SET revoked_on = '2026-06-12' WHERE kind = 'riding' AND staff_id = 4");
    let again = office.announce(&[(&teacher, "instructor")]);
    again.must_be(422).must_say("Noor Moreau cannot be on the team on Saturday, June 13, 2026.");
    again.must_say("riding certification (taken back on June 12, 2026)");
    assert!(again.body.contains(&format!("<a href=\"#{teacher}\">")), "{}", again.words());
    office.announce(&[(&teacher, "helper")]).must_be(303);
}

#[test]
fn house_3_who_teaches_only_beside_a_lead_is_not_offered_and_not_taken_as_one() {
    let office = Office::furnished();
    let account = office.house.add_person("wren@example.org", "Wren", "Abara", &[Role::Instructor]);
    let add = move |conn: &mut _| add_staff(conn, account, "+14065550109", true, story_begins());
    office.house.app.store.write("add member", add).expect("a member");
    for kind in ["riding", "first_aid", "background", "child_protection"] {
        office.add_paper("Wren Abara", kind, ("12", "31")).must_be(303);
    }
    let wren = office.reference_of("Wren Abara");
    office.priya.get("/season/new").must_say("Wren Abara Not at this session Teaches Helps First aid");
    let form = office.priya.get("/season/new").body;
    assert!(!form.contains(&format!("value=\"{wren}\"")), "Wren is offered as a lead");
    office.announce(&[("lead", &wren)]).must_be(422).must_say("Wren Abara teaches beside a lead and cannot lead yet.");
    let beside = office.priya.follow(&office.announce(&[(&format!("duty_{wren}"), "instructor")]));
    beside.must_say("2 instructors with 4 riders each");
}

/// Clocks go from 2 to 3 a.m. on 14 March 2027 and back on 7 November 2027 (15 U.S.C. 260a).
#[test]
fn r35_a_time_that_the_clocks_skip_is_refused_kindly_and_of_two_the_first_is_taken() {
    let office = Office::furnished();
    office.meanwhile("UPDATE certifications SET valid_through = '2029-01-01'");
    let spring = [("held_month", "3"), ("held_day", "14"), ("held_year", "2027"), ("minutes", "60")];
    let again = office.announce(&changed(&spring, &[("starts", "2:30 AM")]));
    again.must_be(422).must_say("That time does not exist on Sunday, March 14, 2027, because clocks are set forward.");
    assert!(again.body.contains("<a href=\"#starts\">"), "{}", again.words());
    assert_eq!(again.field("starts").as_deref(), Some("2:30 AM"));
    let autumn = [("held_month", "11"), ("held_day", "7"), ("held_year", "2027"), ("starts", "1:30 AM")];
    let taken = office.announce(&autumn);
    let reference = taken.location().trim_start_matches("/season/").to_owned();
    let meetings = read(&office.house, move |conn| {
        let id = find_session(conn, &reference)?.expect("the session").session.id;
        meetings_of(conn, id)
    });
    assert_eq!(meetings[0].starts_at.to_string(), "2027-11-07 07:30:00", "the first of the two, UTC-6");
}

#[test]
fn house_3_a_session_form_that_comes_back_keeps_what_was_typed() {
    let office = Office::furnished();
    let teacher = office.add_teacher("Noor");
    let again = office.announce(&[
        ("held_day", "31"),
        ("starts", "noonish"),
        ("minutes", "5"),
        ("most", "many"),
        (&teacher, "helper"),
        ("language", "es"),
    ]);
    again.must_be(422).must_say("4 answers need another look").must_say("There is no such day.");
    for (field, typed) in [("held_day", "31"), ("starts", "noonish"), ("minutes", "5"), ("most", "many")] {
        assert_eq!(again.field(field).as_deref(), Some(typed));
    }
    let chosen = |words: &str| again.body.contains(&format!(" selected>{words}</option>"));
    assert!(chosen("Helps") && chosen("Rafael Tso") && chosen("Alder Flat, Missoula"), "{}", again.words());
    assert!(again.body.contains("value=\"es\" checked"));
    office.announce(&[("held_day", "9")]).must_be(422).must_say("June 9, 2026 is over. Choose a day to come.");
    office.announce(&[("site", "2345bcdfghjkm")]).must_be(404);
    office.announce(&[("course", "")]).must_be(422).must_say("Choose the course");
    office.priya.get("/season").must_say("No session in 2026 yet.");
}

#[test]
fn house_3_a_number_or_code_is_taken_once() {
    let office = Office::furnished();
    office.add_machine(&[("number", "01")]).must_be(422).must_say("01 is taken already.");
    office.add_grant(&[]).must_be(422).must_say("TF-26 is taken already.");
    office.add_lot(&[]).must_be(422).must_say("L1 is taken already.");
    office.priya.get("/gear").must_say("Hollow H2, Youth M");
    let lot = office.lot("L1");
    office.priya.get(&lot).must_say("$42.50 each").must_say("Made February 2026");
    office.priya.get("/machines").must_say("9 machines by number").must_say("13 1/2 in");
    for number in ["100", "20", "Spare"] {
        office.add_machine(&[("number", number)]).must_be(303);
    }
    let words = office.priya.get("/machines").words();
    let place =
        |number: &str| words.find(&format!("{number} , Brisk")).unwrap_or_else(|| panic!("no {number}: {words}"));
    assert!(place("09") < place("20") && place("20") < place("100") && place("100") < place("Spare"));
}

#[test]
fn house_3_the_list_of_people_says_how_each_paper_stands_today() {
    let office = Office::bare();
    office.meanwhile("UPDATE certifications SET valid_through = '2026-06-09' WHERE kind = 'background'");
    office.meanwhile("DELETE FROM certifications WHERE kind = 'riding'");
    let page = office.priya.get("/people");
    page.must_say("as it stands on June 10, 2026").must_say("lapsed held through June 9, 2026");
    page.must_say("valid through June 10, 2027").must_say("missing");
    office.add_paper("Rafael Tso", "background", ("0", "1")).must_be(422).must_say("There is no such day.");
    office.priya.get("/people/2345bcdfghjkm").must_be(404);
}

#[test]
fn s28_the_office_sees_who_comes_and_in_which_order_but_no_health_notes() {
    let office = Office::furnished();
    let page = office.announce(&[("most", "1")]).location().to_owned();
    office.priya.get(&page).must_say("Nobody is registered yet.");
    let session = page.trim_start_matches("/season/");
    let second = with(with(rider(), "given", "Łukasz"), "birth_year", "2019");
    office.house.stranger().register(session, &rider(), "ingrid@example.org");
    office.house.stranger().register(session, &second, "marek@example.org");
    let seen = office.priya.get(&page);
    // Born 21 September 2016 and 2019: 9 and 6 completed years on 13 June 2026.
    seen.must_say("1 taken, 1 waiting.").must_say("Zoë Marisol Okafor-Lindqvist 9 seat");
    seen.must_say("Łukasz Okafor-Lindqvist 6 waits 1");
    for path in [page.as_str(), "/season"] {
        let body = office.priya.get(path).body;
        for word in ["bee stings", "red bag", "injector", "allergy"] {
            assert!(!body.contains(word), "{path} tells {word}");
        }
    }
}

#[test]
fn s25_only_the_coordinator_and_the_administrator_plan() {
    let office = Office::furnished();
    let (site, lead) = (office.value_of("/season/new", "Alder Flat, Missoula"), office.reference_of("Rafael Tso"));
    let dewey = format!("duty_{}", office.reference_of("Dewey Blackwater"));
    let fields = changed(SESSION, &[("site", &site), ("lead", &lead), (&dewey, "helper")]);
    for role in Role::ALL.iter().filter(|role| !matches!(role, Role::Public | Role::Partner)) {
        let person = office.house.person(*role);
        let plans = matches!(role, Role::Coordinator | Role::Administrator);
        let (read, done) = if plans { (200, 303) } else { (403, 403) };
        let told = |answered: &Answered| format!("{}: {}", role.as_str(), answered.status);
        for path in ["/season", "/season/new", "/sites", "/sites/new", "/people", "/machines/new", "/gear"] {
            let answered = person.get(path);
            assert_eq!(answered.status, read, "{path} {}", told(&answered));
        }
        // The token of a page that opens to everybody signed in, so that the role alone decides.
        // Two sessions do not share a site at one time.
        let day = if *role == Role::Administrator { "20" } else { "13" };
        let posted = person.submit("/sign-ins", "/season", &changed(&fields, &[("held_day", day)]));
        assert_eq!(posted.status, done, "session {}", told(&posted));
        let posted = person.submit("/sign-ins", "/sites", SITE);
        assert_eq!(posted.status, done, "site {}", told(&posted));
    }
}

/// The route table closes these pages already; the services must not rely on it.
#[test]
fn s25_the_services_of_the_office_refuse_strangers_by_themselves() {
    use waymark::services::{Failure, fleet, gear, people, plan_session, season, sites};
    let house = TestApp::start();
    let (app, nobody) = (&house.app, Caller::anonymous());
    assert!(matches!(season::list(app, &nobody, &season::Wanted::year(2026)), Err(Failure::NotAllowed)));
    assert!(matches!(season::find(app, &nobody, "2345bcdfghjkm"), Err(Failure::NotAllowed)));
    assert!(matches!(plan_session::choices(app, &nobody), Err(Failure::NotAllowed)));
    assert!(matches!(sites::list(app, &nobody), Err(Failure::NotAllowed)));
    assert!(matches!(sites::choices(app, &nobody), Err(Failure::NotAllowed)));
    assert!(matches!(people::list(app, &nobody), Err(Failure::NotAllowed)));
    assert!(matches!(people::find(app, &nobody, "2345bcdfghjkm"), Err(Failure::NotAllowed)));
    assert!(matches!(fleet::list(app, &nobody), Err(Failure::NotAllowed)));
    assert!(matches!(gear::list(app, &nobody), Err(Failure::NotAllowed)));
}

#[test]
fn saturday_1_a_session_is_announced_with_two_adults_and_a_first_aider_and_not_before() {
    let office = Office::furnished();
    let dewey = format!("duty_{}", office.reference_of("Dewey Blackwater"));
    let alone = office.announce(&[(&dewey, "")]);
    alone.must_be(422).must_say("Never one adult alone with children. Add a second adult to the team.");
    assert!(alone.body.contains("<a href=\"#lead\">"), "{}", alone.words());
    // A program may let people lead without a first-aid card; somebody on the team must have one that holds on the day.
    office.set_papers("lead", &["riding", "background", "child_protection"]);
    office.meanwhile("DELETE FROM certifications WHERE kind = 'first_aid'");
    office
        .announce(&[])
        .must_be(422)
        .must_say("Nobody on the team has a first-aid card that holds on Saturday, June 13");
    office.add_paper("Dewey Blackwater", "first_aid", ("6", "12")).must_be(303);
    office.announce(&[]).must_be(422).must_say("Nobody on the team has a first-aid card");
    office.add_paper("Dewey Blackwater", "first_aid", ("6", "13")).must_be(303);
    office.announce(&[]).must_be(303);
}

#[test]
fn saturday_1_the_papers_of_a_duty_are_the_programs_setting() {
    let office = Office::furnished();
    office.meanwhile("DELETE FROM certifications WHERE kind = 'first_aid' AND staff_id = 3");
    office.announce(&[]).must_be(303);
    office.set_papers("helper", &["background", "child_protection", "first_aid"]);
    let again = office.announce(&[("held_day", "20")]);
    again.must_be(422).must_say("Dewey Blackwater cannot be on the team on Saturday, June 20, 2026.");
    again.must_say("first-aid card (missing)");
}
