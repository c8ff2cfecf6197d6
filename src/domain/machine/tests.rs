//! Tests of machines: ages by category, the old engine rule, editions, and stored words.

use super::*;
use crate::domain::fit::shipped_rules;
use crate::domain::people::{LeapRule, age_on};

fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
}

/// Under 6 never: atvsafety.gov. Y categories and G, S: the ANSI/SVIA 1 category table (second-hand).
/// T from 14 with an adult: second-hand. U: from memory. The last four test the shipped defaults.
#[test]
fn house_4_each_category_starts_at_its_least_age() {
    let rules = shipped_rules().categories;
    for (category, least) in [
        (Category::Y6, 6),
        (Category::Y10, 10),
        (Category::Y12, 12),
        (Category::T, 14),
        (Category::G, 16),
        (Category::S, 16),
        (Category::U, 16),
    ] {
        assert_eq!(rules.allowed_by_age(category, least), Ok(()));
        let refusal = AgeRefusal { category, age: least - 1, least };
        assert_eq!(rules.allowed_by_age(category, least - 1), Err(refusal));
    }
    assert!(rules.allowed_by_age(Category::T, 13).is_err());
    assert!(rules.allowed_by_age(Category::G, 15).is_err() && rules.allowed_by_age(Category::S, 15).is_err());
}

/// Federal advice (under 6 never) and the category table, on the day before the birthday and on it.
#[test]
fn house_4_the_age_is_that_of_the_day_of_the_session() {
    let rules = shipped_rules().categories;
    let on = day(2026, 7, 4);
    for (birth, category, allowed) in [
        (day(2020, 7, 5), Category::Y6, false),
        (day(2020, 7, 4), Category::Y6, true),
        (day(2014, 7, 5), Category::Y12, false),
        (day(2014, 7, 4), Category::Y12, true),
    ] {
        let age = age_on(birth, on, LeapRule::default());
        assert_eq!(rules.allowed_by_age(category, age).is_ok(), allowed, "born {birth}");
    }
    for &category in Category::ALL {
        assert!(rules.allowed_by_age(category, 5).is_err());
    }
}

#[test]
fn house_4_no_setting_lowers_the_age_of_six() {
    let mut rule = shipped_rules().categories.of(Category::Y6).expect("shipped").clone();
    rule.least_age = 3;
    let rules = CategoryRules(vec![rule]);
    assert!(!rules.are_whole());
    assert_eq!(rules.allowed_by_age(Category::Y6, 5).map_err(|refusal| refusal.least), Err(6));
}

/// Top speeds 15, 30, 30 and 38 mph (second-hand); the limited speed of T stays open because sources disagree.
#[test]
fn house_4_speeds_are_data_with_a_source() {
    let rules = shipped_rules().categories;
    for (category, limited, unlimited) in [
        (Category::Y6, Some(10), Some(15)),
        (Category::Y10, Some(15), Some(30)),
        (Category::Y12, Some(15), Some(30)),
        (Category::G, None, None),
    ] {
        let rule = rules.of(category).expect("shipped");
        assert_eq!((rule.limited_mph, rule.unlimited_mph), (limited, unlimited));
        assert!(!rule.source.is_empty());
    }
    assert_eq!(rules.of(Category::T).expect("shipped").unlimited_mph, Some(38));
}

/// atvsafety.gov: under 6 none, 6 to 11 under 70 cc, 12 to 15 from 70 to 90 cc, 16 and over any.
#[test]
fn house_4_the_old_engine_rule_holds_at_its_limits() {
    for (age, tenth_cc, allowed) in [
        (5, 490, false),
        (6, 490, true),
        (6, 699, true),
        (6, 700, false),
        (11, 700, false),
        (12, 700, true),
        (12, 900, true),
        (12, 901, false),
        (12, 910, false),
        (13, 490, true),
        (15, 901, false),
        (16, 901, true),
    ] {
        assert_eq!(engine_rule::allows(age, tenth_cc), allowed, "age {age}, {tenth_cc} tenths of a cc");
    }
    assert!(!shipped_rules().use_engine_rule);
}

/// 16 CFR 1420.3(a) for 2025; 83 FR 8336 for 2019; 77 FR 12197 for 30 April 2012; 73 FR 67385 for the first rule.
#[test]
fn house_4_the_edition_follows_the_day_of_manufacture() {
    for (built, expected) in [
        (day(2008, 11, 13), None),
        (day(2008, 11, 14), Some(Edition::V2007)),
        (day(2012, 4, 29), Some(Edition::V2007)),
        (day(2012, 4, 30), Some(Edition::V2010)),
        (day(2018, 12, 31), Some(Edition::V2010)),
        (day(2019, 1, 1), Some(Edition::V2017)),
        (day(2024, 12, 31), Some(Edition::V2017)),
        (day(2025, 1, 1), Some(Edition::V2023)),
    ] {
        assert_eq!(edition(built), expected, "{built}");
    }
    assert_eq!(Edition::V2023.as_str(), "ANSI/SVIA 1-2023");
}

#[test]
fn house_3_stored_words_read_back() {
    for &category in Category::ALL {
        assert_eq!(Category::from_word(category.as_str()), Some(category));
        assert_eq!(serde_json::to_string(&category).expect("a word"), format!("{:?}", category.as_str()));
    }
    for &state in MachineState::ALL {
        assert_eq!(MachineState::from_word(state.as_str()), Some(state));
        assert_eq!(state.may_be_ridden(), state == MachineState::Ready);
    }
    assert_eq!(Category::from_word("Y-8+"), None);
}
