//! Rules that hold for every case, over generated fit checks. Each run prints its spread and asserts
//! that both outcomes and both sides of every limit occurred.

use super::*;
use crate::domain::words::Word;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::test_runner::{Config, TestRunner};
use std::cell::RefCell;

const CASES: u32 = 4_000;

/// How often each thing occurred.
type Spread = RefCell<BTreeMap<String, u32>>;

fn count(spread: &Spread, what: String) {
    *spread.borrow_mut().entry(what).or_insert(0) += 1;
}

fn print(title: &str, spread: &Spread) {
    println!("{title}, {CASES} cases:");
    for (what, times) in spread.borrow().iter() {
        println!("  {what}: {times}");
    }
}

fn times(spread: &Spread, what: &str) -> u32 {
    spread.borrow().get(what).copied().unwrap_or(0)
}

fn runner() -> TestRunner {
    let config = Config { cases: CASES, failure_persistence: None, ..Config::default() };
    let seed = proptest::test_runner::TestRng::deterministic_rng(config.rng_algorithm);
    TestRunner::new_with_rng(config, seed)
}

fn ends(limit: Limit) -> (i64, i64) {
    match limit {
        Limit::AtLeast(end) | Limit::AtMost(end) => (end, end),
        Limit::Band(least, most) => (least, most),
    }
}

/// A number near a limit: one unit off, exactly on, or up to 20000 away.
fn near(limit: Limit) -> impl Strategy<Value = i64> {
    let (least, most) = ends(limit);
    let end = select(vec![least, most]);
    let off = prop_oneof![3 => -1_i64..=1, 3 => -20_000_i64..=20_000, 1 => -300_i64..=300];
    (end, off).prop_map(|(end, off)| end + off)
}

fn seen() -> impl Strategy<Value = Seen> {
    let note = select(vec!["thumb brake".to_owned(), String::new()]);
    prop_oneof![
        30 => Just(Seen::Met),
        1 => Just(Seen::NotMet),
        1 => Just(Seen::NotMeasured),
        1 => note.prop_map(|note| Seen::MetWithAdaptation { note }),
    ]
}

fn observation(criterion: &Criterion) -> BoxedStrategy<Observation> {
    let Some(limit) = criterion.number.as_ref().and_then(|number| number.limit) else {
        return seen().prop_map(Observation::tapped).boxed();
    };
    let number = prop_oneof![4 => Just(None), 1 => near(limit).prop_map(Some)];
    let second = prop_oneof![4 => Just(None), 1 => near(limit).prop_map(Some)];
    (seen(), number, second)
        .prop_map(|(seen, number, second)| Observation { seen, number, second_number: number.and(second) })
        .boxed()
}

/// Any fit check; the lead may have overridden any advisory criterion.
fn fit_check(rules: &FitRules) -> impl Strategy<Value = FitCheck> + use<> {
    let observed: Vec<_> = rules.criteria.iter().map(observation).collect();
    let keys: Vec<_> = rules.criteria.iter().map(|criterion| criterion.key.clone()).collect();
    let advisory: Vec<_> = rules.criteria.iter().filter(|c| !c.mandatory).map(|c| c.key.clone()).collect();
    let overridden = proptest::sample::subsequence(advisory.clone(), 0..=advisory.len());
    let rules = rules.clone();
    let state = prop_oneof![12 => Just(MachineState::Ready), 1 => select(MachineState::ALL.to_vec())];
    let engine = prop_oneof![1 => Just(None), 3 => (400_i64..1_200).prop_map(Some)];
    let limiter = prop_oneof![1 => Just(None), 12 => Just(Some(100)), 3 => (50_i64..400).prop_map(Some)];
    (observed, 4_i64..18, select(Category::ALL.to_vec()), state, (engine, limiter), overridden).prop_map(
        move |(observed, age, category, machine_state, (engine_tenth_cc, limiter_tenth_mph), overridden)| FitCheck {
            observations: keys.iter().cloned().zip(observed).collect(),
            age,
            category,
            machine_state,
            engine_tenth_cc,
            limiter_tenth_mph,
            overrides: overridden
                .iter()
                .map(|key| Override::of(&rules, key, OverrideBy::Lead, "A reason").expect("advisory, by the lead"))
                .collect(),
        },
    )
}

fn count_sides(spread: &Spread, found: &Verdict) {
    count(spread, format!("outcome {:?}", found.outcome));
    for reason in &found.reasons {
        let About::Criterion(key) = &reason.about else {
            continue;
        };
        count(spread, format!("finding {:?}", reason.finding));
        if let (Some(number), Some(limit)) = (reason.number, reason.limit) {
            let (least, most) = ends(limit);
            for (name, end) in [("lower", least), ("upper", most)] {
                let side = match number.cmp(&end) {
                    std::cmp::Ordering::Less => "below",
                    std::cmp::Ordering::Equal => "at",
                    std::cmp::Ordering::Greater => "above",
                };
                count(spread, format!("{} {side} its {name} end", key.as_str()));
            }
        }
    }
}

fn assert_every_side(rules: &FitRules, spread: &Spread) {
    for outcome in [Outcome::MayStart, Outcome::NotYet] {
        assert!(times(spread, &format!("outcome {outcome:?}")) > 0, "{outcome:?} never occurred");
    }
    let limited = rules.criteria.iter().filter(|c| c.number.as_ref().is_some_and(|number| number.limit.is_some()));
    for criterion in limited {
        for side in ["below", "at", "above"] {
            for end in ["lower", "upper"] {
                let what = format!("{} {side} its {end} end", criterion.key.as_str());
                assert!(times(spread, &what) > 0, "{what} never occurred");
            }
        }
    }
}

/// The verdict rebuilt from the reasons alone, by a second reading of the rule than the one under test.
fn rebuilt(reasons: &[Reason]) -> Outcome {
    let passes = |reason: &Reason| match reason.finding {
        Finding::Met | Finding::MetWithAdaptation | Finding::ShownOnly => true,
        Finding::NotMeasured => !reason.mandatory,
        Finding::NotMet | Finding::AdaptationNotNamed => !reason.mandatory && reason.overridden.is_some(),
    };
    if reasons.iter().all(passes) { Outcome::MayStart } else { Outcome::NotYet }
}

#[test]
fn house_3_the_reasons_alone_reproduce_the_verdict_in_any_order() {
    let rules = FitRules { use_engine_rule: true, ..shipped_rules() };
    let spread = Spread::default();
    let shuffled = (fit_check(&rules), any::<Vec<Index>>());
    runner()
        .run(&shuffled, |(check, swaps)| {
            let found = verdict(&rules, &check);
            count_sides(&spread, &found);
            let mut reasons = found.reasons.clone();
            for (place, swap) in swaps.iter().enumerate() {
                let (a, b) = (place % reasons.len(), swap.index(reasons.len()));
                reasons.swap(a, b);
            }
            prop_assert_eq!(verdict_from_reasons(&reasons), found.outcome);
            prop_assert_eq!(rebuilt(&reasons), found.outcome);
            for reason in &found.reasons {
                let recomputed = reason.limit.zip(reason.number).map(|(limit, number)| limit.margin(number));
                prop_assert_eq!(recomputed, reason.margin);
                if reason.margin.is_some_and(|margin| margin < 0) {
                    prop_assert_eq!(reason.finding, Finding::NotMet);
                }
            }
            let mut backwards = rules.clone();
            backwards.criteria.reverse();
            prop_assert_eq!(verdict(&backwards, &check).outcome, found.outcome);
            Ok(())
        })
        .expect("holds for every case");
    print("Reasons reproduce the verdict", &spread);
    assert_every_side(&rules, &spread);
}

/// Each limit as its source states it: the number of ends tells one-sided from band criteria.
#[test]
fn house_3_one_sided_criteria_are_monotone_and_bands_accept_one_interval() {
    let rules = shipped_rules();
    let spread = Spread::default();
    for criterion in &rules.criteria {
        let Some(limit) = criterion.number.as_ref().and_then(|number| number.limit) else {
            continue;
        };
        let (least, most) = ends(limit);
        let ladder = proptest::collection::vec(near(limit), 1..12);
        let mut few = TestRunner::new_with_rng(
            Config { cases: 200, failure_persistence: None, ..Config::default() },
            proptest::test_runner::TestRng::deterministic_rng(Config::default().rng_algorithm),
        );
        few.run(&ladder, |mut numbers| {
            numbers.extend([least - 1, least, most, most + 1]);
            numbers.sort_unstable();
            let passes = |number: &i64| finding_in(&rules, &criterion.key, *number) == Finding::Met;
            let mut steps: Vec<bool> = numbers.iter().map(passes).collect();
            steps.iter().for_each(|step| count(&spread, format!("{} passes: {step}", criterion.key.as_str())));
            steps.dedup();
            let expected: &[bool] = match limit {
                Limit::AtLeast(_) => &[false, true],
                Limit::AtMost(_) => &[true, false],
                Limit::Band(..) => &[false, true, false],
            };
            prop_assert_eq!(steps.as_slice(), expected);
            Ok(())
        })
        .expect("holds for every case");
        for side in [true, false] {
            assert!(times(&spread, &format!("{} passes: {side}", criterion.key.as_str())) > 0);
        }
    }
    print("Rising numbers", &spread);
}

fn finding_in(rules: &FitRules, key: &CriterionKey, number: i64) -> Finding {
    let check = with(all_met(rules), key.as_str(), Observation::measured(number));
    reason_of(&verdict(rules, &check), key.as_str()).finding
}

/// A longer leg, hand or foot never turns a "met" at the lower end into a "not met".
#[test]
fn house_3_a_longer_leg_never_fails_the_least_clearance() {
    let rules = shipped_rules();
    let spread = Spread::default();
    let sizes = (300_000_i64..900_000, 0_i64..100_000, 250_000_i64..700_000);
    runner()
        .run(&sizes, |(inseam, longer, seat)| {
            let machine = Dimensions { seat_to_rest: Some(Length::from_um(seat)), ..Dimensions::default() };
            let rider = |um| Measures { inseam: Some(Length::from_um(um)), ..Measures::none_on(day(2026, 7, 4)) };
            let of = |um| likely_fit(&rules, &rider(um), &machine).reasons[0].clone();
            let (short, long) = (of(inseam), of(inseam + longer));
            count(&spread, format!("short {:?}, long {:?}", short.finding, long.finding));
            prop_assert_eq!(short.criterion.as_str(), "standing_clearance");
            prop_assert!(!(short.finding == Finding::Met && long.finding == Finding::NotMet));
            prop_assert_eq!(short.finding == Finding::Met, inseam - seat >= 76_200);
            Ok(())
        })
        .expect("holds for every case");
    print("A longer leg", &spread);
    for what in ["short NotMet, long NotMet", "short NotMet, long Met", "short Met, long Met"] {
        assert!(times(&spread, what) > 0, "{what} never occurred");
    }
}

/// No override and no adaptation without a name lets a rider start past a mandatory criterion.
#[test]
fn house_3_nobody_starts_past_a_mandatory_criterion_or_the_least_age() {
    let rules = shipped_rules();
    let spread = Spread::default();
    runner()
        .run(&fit_check(&rules), |check| {
            let found = verdict(&rules, &check);
            let age_refused = rules.categories.allowed_by_age(check.category, check.age).is_err();
            let mandatory_open = rules.criteria.iter().filter(|criterion| criterion.mandatory).any(|criterion| {
                let observation = &check.observations[&criterion.key];
                let limit = criterion.number.as_ref().and_then(|number| number.limit);
                let number_fails =
                    limit.zip(observation.deciding_number()).is_some_and(|(limit, number)| !limit.allows(number));
                let said_no = observation.seen == Seen::NotMet;
                let unseen = observation.deciding_number().is_none() && observation.seen == Seen::NotMeasured;
                let unnamed = matches!(&observation.seen, Seen::MetWithAdaptation { note } if note.is_empty());
                number_fails || said_no || unseen || unnamed
            });
            let overridden = found.reasons.iter().any(|reason| reason.overridden.is_some());
            count(&spread, format!("{:?}, age refused {age_refused}, mandatory open {mandatory_open}", found.outcome));
            count(&spread, format!("{:?}, overridden {overridden}", found.outcome));
            if age_refused || mandatory_open || !check.machine_state.may_be_ridden() {
                prop_assert_eq!(found.outcome, Outcome::NotYet);
            }
            let mandatory_lifted = found.reasons.iter().any(|reason| reason.mandatory && reason.overridden.is_some());
            prop_assert!(!mandatory_lifted);
            Ok(())
        })
        .expect("holds for every case");
    print("Mandatory criteria and ages", &spread);
    for what in [
        "MayStart, age refused false, mandatory open false",
        "NotYet, age refused true, mandatory open false",
        "NotYet, age refused false, mandatory open true",
        "MayStart, overridden true",
        "MayStart, overridden false",
    ] {
        assert!(times(&spread, what) > 0, "{what} never occurred");
    }
}
