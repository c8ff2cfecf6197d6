//! Who may be entered twice, beside every two entries compared one by one by the test itself.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, NaiveDate};
use diesel::prelude::*;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use waymark::domain::access::Guardianship;
use waymark::domain::ids::{GuardianId, RiderId};
use waymark::domain::same_child::{Known, likeness};
use waymark::domain::words::Lang;
use waymark::services::merges::compare_changed;
use waymark::store::StoreError;
use waymark::store::families::{
    NewGuardian, NewRider, add_guardian, add_guardianship, add_rider, adults_of, find_guardian, find_guardianship,
    find_rider, set_guardian, set_rider,
};
use waymark::store::schema::{children_apart, counties, guardians, guardianships, riders};

use crate::house::app::TestApp;
use crate::house::browser::Browser;

const GIVEN: [&str; 5] = ["Zoë", "Zoe", "Otto", "Ottilie", "Ana"];
const FAMILY: [&str; 3] = ["Okafor", "Okafor-Lind", "Lind"];
const PHONES: [&str; 4] = ["+14065550111", "+14065550112", "+14065550113", "+14065550114"];

/// A house with so many children of names and days that meet often, each with an adult of its own or of another child.
fn crowd(count: usize) -> (TestApp, Browser) {
    let house = TestApp::start();
    house.add_coordinator();
    let now = house.app.clock.now();
    let made = house.app.store.write("a crowd", move |conn| -> Result<(), StoreError> {
        let mut random = StdRng::seed_from_u64(7);
        let (county_set, county): (i64, String) =
            counties::table.select((counties::county_set, counties::fips)).first(conn)?;
        let mut adults: Vec<GuardianId> = Vec::new();
        for number in 0..count {
            let guardian = match adults.is_empty() || random.random_bool(0.7) {
                true => {
                    let email =
                        random.random_bool(0.5).then(|| format!("adult{}@example.org", random.random_range(0..9)));
                    let new = NewGuardian {
                        account_id: None,
                        given_name: "Pat".into(),
                        family_name: FAMILY[random.random_range(0..3)].into(),
                        phone: PHONES[random.random_range(0..4)].into(),
                        email,
                        language: Lang::En,
                        created_at: now,
                        texts_agreed_at: None,
                    };
                    add_guardian(conn, &new)?
                }
                false => adults[random.random_range(0..adults.len())],
            };
            adults.push(guardian);
            let (year, month, day) =
                (random.random_range(2014..2016), random.random_range(1..4), random.random_range(1..4));
            let new = NewRider {
                reference: format!("crowd{number:07}"),
                report_key: format!("crowd {number}"),
                given_name: GIVEN[random.random_range(0..5)].into(),
                family_name: FAMILY[random.random_range(0..3)].into(),
                birth_date: NaiveDate::from_ymd_opt(year, month, day).expect("a day"),
                county_set,
                county: county.clone(),
                paper_name: String::new(),
                created_at: now,
            };
            add_rider(conn, &new, guardian)?;
        }
        Ok(())
    });
    made.expect("they are written");
    let priya = house.signed_in("priya@example.org");
    (house, priya)
}

type Entry = (RiderId, String, String, String, NaiveDate);

/// Every two entries that may be one child, by their references, as read from the base tables.
fn every_two_compared(house: &TestApp) -> BTreeSet<(String, String)> {
    house.rows(|conn| {
        let entries: Vec<Entry> = riders::table
            .select((riders::id, riders::reference, riders::given_name, riders::family_name, riders::birth_date))
            .order(riders::id)
            .load(conn)?;
        let ties: Vec<(RiderId, GuardianId, String, Option<String>)> = guardianships::table
            .inner_join(guardians::table)
            .select((guardianships::rider_id, guardians::id, guardians::phone, guardians::email))
            .load(conn)?;
        let apart: BTreeSet<(RiderId, RiderId)> = children_apart::table
            .select((children_apart::one_id, children_apart::other_id))
            .load(conn)?
            .into_iter()
            .collect();
        let mut marks: BTreeMap<RiderId, BTreeSet<String>> = BTreeMap::new();
        for (rider, guardian, phone, email) in ties {
            marks
                .entry(rider)
                .or_default()
                .extend([Some(guardian.raw().to_string()), Some(phone), email].into_iter().flatten());
        }
        let known = |(id, _, given, family, born): &Entry| {
            marks.get(id).map(|marks| Known::new(&format!("{given} {family}"), *born, marks.clone()))
        };
        let mut found = BTreeSet::new();
        for (at, one) in entries.iter().enumerate() {
            for other in &entries[at + 1..] {
                let (Some(of_one), Some(of_other)) = (known(one), known(other)) else { continue };
                if likeness(&of_one, &of_other).is_some() && !apart.contains(&(one.0, other.0)) {
                    found.insert((one.1.clone(), other.1.clone()));
                }
            }
        }
        Ok(found)
    })
}

/// The pairs of the office's list, and whether all entries were compared.
fn listed(priya: &Browser) -> (BTreeSet<(String, String)>, bool) {
    let page = priya.get("/families/twice");
    page.must_be(200);
    let ways = page.body.split("href=\"/families/twice/").skip(1).filter_map(|rest| rest.split('"').next());
    let pair = |way: &str| way.split_once('/').map(|(one, other)| (one.to_owned(), other.to_owned()));
    (ways.filter_map(pair).collect(), !page.says("are still being compared"))
}

#[test]
fn u37_the_list_is_that_of_every_two_compared_whether_the_job_has_come_round_or_not_and_after_every_change() {
    let (house, priya) = crowd(44);
    let expected = every_two_compared(&house);
    println!("{} of {} pairs are alike", expected.len(), 44 * 43 / 2);
    assert!(expected.len() > 10, "{} pairs", expected.len());
    assert_eq!(listed(&priya), (expected.clone(), true), "before the job");
    compare_changed(&house.app).expect("the job");
    assert_eq!(listed(&priya), (expected.clone(), true), "after the job");
    let (one, other) = expected.first().cloned().expect("a pair");
    let id = |reference: String| {
        house.rows(move |conn| {
            riders::table.filter(riders::reference.eq(&reference)).select(riders::id).first::<RiderId>(conn)
        })
    };
    let (one, other) = (id(one), id(other));
    let (mut before, mut changed) = (expected, 0);
    type Change = fn(&mut waymark::store::AnyConn, RiderId, RiderId) -> Result<(), StoreError>;
    let changes: [(&str, Change); 5] = [
        ("another name", |conn, one, _| {
            let row = find_rider(conn, one)?;
            set_rider(conn, one, ("Nils", "Berg", ""), row.birth_date, (row.county_set, &row.county))
        }),
        ("the name and birth date of the other", |conn, one, other| {
            let row = find_rider(conn, other)?;
            let names = (row.given_name.as_str(), row.family_name.as_str(), "");
            set_rider(conn, one, names, row.birth_date, (row.county_set, &row.county))
        }),
        ("a telephone that nobody has", |conn, _, _| {
            let all: Vec<GuardianId> = guardians::table.select(guardians::id).load(conn)?;
            for (at, guardian) in all.into_iter().enumerate() {
                let row = find_guardian(conn, guardian)?;
                set_guardian(conn, &row, ("Pat", "Berg"), &format!("+1406555{at:04}"))?;
            }
            Ok(())
        }),
        ("a namesake of another year, in another family", |conn, one, _| {
            let row = find_rider(conn, one)?;
            let far: RiderId = riders::table.order(riders::id.desc()).select(riders::id).first(conn)?;
            let born = row.birth_date.with_year(2010).expect("a day of 2010");
            set_rider(conn, far, (&row.given_name, &row.family_name, ""), born, (row.county_set, &row.county))
        }),
        ("the adults of that one, who now answer for the child too", |conn, one, _| {
            let since = riders::table.select(riders::created_at).first(conn)?;
            let far: RiderId = riders::table.order(riders::id.desc()).select(riders::id).first(conn)?;
            for adult in adults_of(conn, far)? {
                if find_guardianship(conn, adult.guardian.id, one)?.is_none() {
                    add_guardianship(conn, adult.guardian.id, one, Guardianship::Active, since)?;
                }
            }
            Ok(())
        }),
    ];
    for (what, change) in changes {
        house.app.store.write("a change", move |conn| change(conn, one, other)).expect("it is written");
        let now = every_two_compared(&house);
        changed += usize::from(now != before);
        assert_eq!(listed(&priya).0, now, "{what}, before the job");
        compare_changed(&house.app).expect("the job");
        assert_eq!(listed(&priya), (now.clone(), true), "{what}, after the job");
        before = now;
    }
    assert!(changed >= 4, "only {changed} changes told");
}

#[test]
fn u37_when_many_came_at_once_the_list_says_how_many_are_yet_to_be_compared() {
    let (house, priya) = crowd(120);
    priya.get("/families/twice").must_say("70 new entries are still being compared");
    compare_changed(&house.app).expect("the job");
    let (pairs, all) = listed(&priya);
    let expected = every_two_compared(&house);
    assert!(all && expected.len() > 100, "{} pairs", expected.len());
    match expected.len() > 200 {
        true => assert!(pairs.len() == 200 && pairs.is_subset(&expected)),
        false => assert_eq!(pairs, expected),
    }
}
