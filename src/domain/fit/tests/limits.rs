//! Every limit below, at and above, with the source of each.

use super::*;
use crate::domain::words::Word;

/// Each numeric limit below, at and above. Lengths in micrometres, angles in tenths of a degree.
/// R and R2 rows test the named source; M and C rows test the shipped default.
#[test]
fn house_4_every_numeric_limit_holds_below_at_and_above() {
    use Finding::{Met, NotMet};
    for (word, number, expected, source) in [
        ("standing_clearance", 73_660, NotMet, "Minnesota DNR: 2.9 in against 3 in"),
        ("standing_clearance", 76_000, NotMet, "Minnesota DNR: 76.0 mm against 76.2 mm"),
        ("standing_clearance", 76_199, NotMet, "Minnesota DNR"),
        ("standing_clearance", 76_200, Met, "Minnesota DNR: 3.0 in"),
        ("standing_clearance", 78_740, Met, "Minnesota DNR: 3.1 in"),
        ("standing_clearance_most", 152_399, Met, "extension leaflet: 6 in (R2)"),
        ("standing_clearance_most", 152_400, Met, "extension leaflet (R2)"),
        ("standing_clearance_most", 152_401, NotMet, "extension leaflet (R2)"),
        ("lever_reach", -1, NotMet, "Minnesota DNR: joint beyond the lever"),
        ("lever_reach", 0, Met, "Minnesota DNR"),
        ("lever_reach", 1, Met, "Minnesota DNR"),
        ("foot_brake_reach", -1, NotMet, "Bernard 2010, foot against pedal (M)"),
        ("foot_brake_reach", 0, Met, "Bernard 2010 (M)"),
        ("foot_brake_reach", 1, Met, "Bernard 2010 (M)"),
        ("bar_to_knee", 199_999, NotMet, "Bernard 2010: 200 mm (M)"),
        ("bar_to_knee", 200_000, Met, "Bernard 2010 (M)"),
        ("bar_to_knee", 200_001, Met, "Bernard 2010 (M)"),
        ("elbow_bend", 899, NotMet, "Bernard 2010: 90 to 135 degrees (M)"),
        ("elbow_bend", 900, Met, "Bernard 2010 (M)"),
        ("elbow_bend", 1_350, Met, "Bernard 2010 (M)"),
        ("elbow_bend", 1_351, NotMet, "Bernard 2010 (M)"),
        ("upright_reach", 299, Met, "de Moura Araujo 2023: 30 degrees (M)"),
        ("upright_reach", 300, Met, "de Moura Araujo 2023 (M)"),
        ("upright_reach", 301, NotMet, "de Moura Araujo 2023 (M)"),
        ("knee_bend", 449, NotMet, "Oregon rule: 45 degrees (R2)"),
        ("knee_bend", 450, Met, "Oregon rule (R2)"),
        ("knee_bend", 451, Met, "Oregon rule (R2)"),
        ("thigh_level", -101, NotMet, "common practice: 10 degrees (C)"),
        ("thigh_level", -100, Met, "common practice (C)"),
        ("thigh_level", 100, Met, "common practice (C)"),
        ("thigh_level", 101, NotMet, "common practice (C)"),
    ] {
        assert_eq!(finding_of_number(word, number), expected, "{word} {number}: {source}");
    }
}

/// Design: a quarter inch (6.35 mm) either side of a length limit; angles are never measured again.
#[test]
fn house_4_close_to_a_length_limit_the_result_stands_until_the_second_measurement() {
    let rules = shipped_rules();
    let judge = |observation| {
        reason_of(&verdict(&rules, &with(all_met(&rules), "standing_clearance", observation)), "standing_clearance")
    };
    for (number, finding, again) in [
        (69_849, Finding::NotMet, false),
        (69_850, Finding::NotMet, true),
        (76_200, Finding::Met, true),
        (82_550, Finding::Met, true),
        (82_551, Finding::Met, false),
    ] {
        let reason = judge(Observation::measured(number));
        assert_eq!((reason.finding, reason.measure_again), (finding, again), "{number}");
    }
    let second = judge(Observation::measured(76_500).again(76_100));
    assert_eq!((second.finding, second.measure_again, second.number), (Finding::NotMet, false, Some(76_100)));
    let angle = verdict(&rules, &with(all_met(&rules), "knee_bend", Observation::measured(450)));
    assert!(!angle.measure_again());
}

#[test]
fn house_3_both_ends_of_the_clearance_come_from_one_number() {
    let rules = shipped_rules();
    let mut check = with(all_met(&rules), "standing_clearance", Observation::measured(170_000));
    check.observations.remove(&key("standing_clearance_most"));
    let found = verdict(&rules, &check);
    assert_eq!(reason_of(&found, "standing_clearance").finding, Finding::Met);
    assert_eq!(reason_of(&found, "standing_clearance_most").finding, Finding::NotMet);
    assert_eq!(found.outcome, Outcome::NotYet);
}

/// The category table; T at 14 is second-hand. Machine states are ours.
#[test]
fn house_4_age_and_machine_state_hold_back_whatever_fits() {
    let rules = shipped_rules();
    for (age, category, outcome) in [
        (5, Category::Y6, Outcome::NotYet),
        (6, Category::Y6, Outcome::MayStart),
        (11, Category::Y12, Outcome::NotYet),
        (12, Category::Y12, Outcome::MayStart),
        (13, Category::T, Outcome::NotYet),
        (14, Category::T, Outcome::MayStart),
        (15, Category::G, Outcome::NotYet),
        (15, Category::S, Outcome::NotYet),
    ] {
        let found = verdict(&rules, &FitCheck { age, category, ..all_met(&rules) });
        assert_eq!(found.outcome, outcome, "{age} on {category:?}");
    }
    for &state in MachineState::ALL {
        let found = verdict(&rules, &FitCheck { machine_state: state, ..all_met(&rules) });
        assert_eq!(found.outcome == Outcome::MayStart, state == MachineState::Ready);
    }
}

/// atvsafety.gov, the old engine rule; off as shipped.
#[test]
fn house_4_the_old_engine_rule_holds_back_only_when_it_is_on() {
    let off = shipped_rules();
    let on = FitRules { use_engine_rule: true, ..off.clone() };
    for (age, engine, outcome) in [
        (10, Some(490), Outcome::MayStart),
        (10, Some(700), Outcome::NotYet),
        (12, Some(900), Outcome::MayStart),
        (12, Some(901), Outcome::NotYet),
        (12, None, Outcome::NotYet),
        (16, None, Outcome::MayStart),
    ] {
        let check = FitCheck { age, engine_tenth_cc: engine, ..all_met(&on) };
        assert_eq!(verdict(&on, &check).outcome, outcome, "{age}, {engine:?}");
        assert_eq!(verdict(&off, &check).outcome, Outcome::MayStart);
    }
}

#[test]
fn house_3_the_weight_ratio_is_shown_and_never_judged() {
    let rules = shipped_rules();
    for ratio in [1, 400, 5_000] {
        let found = verdict(&rules, &with(all_met(&rules), "weight_ratio", Observation::measured(ratio)));
        let reason = reason_of(&found, "weight_ratio");
        assert_eq!(
            (found.outcome, reason.finding, reason.number),
            (Outcome::MayStart, Finding::ShownOnly, Some(ratio))
        );
        assert_eq!((reason.limit, reason.mark), (None, SourceMark::C));
    }
}

/// Common practice, a setting: six months.
/// The top speeds of the categories: ANSI/SVIA 1 category table, second-hand; 15 and 30 mph also on atvsafety.gov.
#[test]
fn day_2_a_machine_that_goes_faster_than_its_category_may_is_not_started_on() {
    let rules = shipped_rules();
    for (category, limiter, finding) in [
        (Category::Y6, Some(150), Finding::Met),
        (Category::Y6, Some(151), Finding::NotMet),
        (Category::Y6, None, Finding::NotMeasured),
        (Category::Y10, Some(300), Finding::Met),
        (Category::Y10, Some(301), Finding::NotMet),
        (Category::T, Some(380), Finding::Met),
        (Category::T, Some(381), Finding::NotMet),
    ] {
        let check = FitCheck { age: 16, category, limiter_tenth_mph: limiter, ..all_met(&rules) };
        let found = verdict(&rules, &check);
        let reason = found.reasons.iter().find(|reason| reason.about == About::Limiter(category)).expect("a reason");
        assert_eq!((reason.finding, reason.mandatory), (finding, true), "{category:?} {limiter:?}");
        assert_eq!(found.outcome == Outcome::MayStart, finding == Finding::Met, "{category:?} {limiter:?}");
    }
    // Categories for adults have no top speed.
    let check = FitCheck { age: 16, category: Category::G, limiter_tenth_mph: None, ..all_met(&rules) };
    assert_eq!(verdict(&rules, &check).outcome, Outcome::MayStart);
}

#[test]
fn house_4_a_fit_check_is_stale_after_six_months() {
    let rules = shipped_rules();
    for (checked, on, stale) in [
        (day(2026, 1, 10), day(2026, 7, 10), false),
        (day(2026, 1, 10), day(2026, 7, 11), true),
        (day(2025, 8, 31), day(2026, 2, 28), false),
        (day(2025, 8, 31), day(2026, 3, 1), true),
    ] {
        assert_eq!(is_stale(&rules, checked, on), stale, "{checked} to {on}");
    }
}

#[test]
fn house_3_planning_estimates_only_what_was_measured() {
    let rules = shipped_rules();
    let machine = Dimensions {
        seat_to_rest: Some(Length::from_mm(400)),
        rest_to_pedal: Some(Length::from_mm(230)),
        dry_weight: Some(Mass::from_g(100_000)),
        grip_to_lever: None,
    };
    let rider = Measures {
        inseam: Some(Length::from_mm(480)),
        foot: Some(Length::from_mm(215)),
        weight: Some(Mass::from_g(32_000)),
        hand: Some(Length::from_mm(120)),
        ..Measures::none_on(day(2026, 7, 4))
    };
    let likely = likely_fit(&rules, &rider, &machine);
    let lines: Vec<_> =
        likely.reasons.iter().map(|r| (r.criterion.as_str(), r.finding, r.number, r.margin, r.is_close)).collect();
    assert_eq!(
        lines,
        [
            ("standing_clearance", Finding::Met, Some(80_000), Some(3_800), true),
            ("standing_clearance_most", Finding::Met, Some(80_000), Some(72_400), false),
            ("lever_reach", Finding::NotMeasured, None, None, false),
            ("foot_brake_reach", Finding::NotMet, Some(-15_000), Some(-15_000), false),
            ("weight_ratio", Finding::ShownOnly, Some(320), None, false),
        ]
    );
    assert!(likely.is_unlikely() && !likely.is_likely());
    let unknown = likely_fit(&rules, &Measures::none_on(day(2026, 7, 4)), &machine);
    assert!(!unknown.is_unlikely() && !unknown.is_likely());
}
