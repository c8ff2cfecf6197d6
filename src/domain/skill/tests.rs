//! Marks by table, and by generated histories held against a second, step-by-step reading of the rule.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::*;
use crate::domain::words::Word;

fn shipped() -> Curriculum {
    static READ_ONCE: LazyLock<Curriculum> =
        LazyLock::new(|| toml::from_str(include_str!("../../../seed/curriculum.toml")).unwrap());
    READ_ONCE.clone()
}

fn code(text: &str) -> CheckCode {
    CheckCode::parse(text).unwrap()
}

fn act(number: u8) -> ActId {
    [number; 16]
}

/// A mark by an instructor who is not the lead; act and counter share one number.
fn marking(number: u8, check: &str, mark: Mark) -> Marking {
    let order = OrderKey { counter: number.into(), device: "phone".into(), seq: number.into() };
    Marking {
        what: Marked::Check(code(check)),
        mark,
        by_lead: false,
        reason: None,
        clears: None,
        order,
        act: act(number),
    }
}

fn clearing(number: u8, check: &str, stop: u8) -> Marking {
    let plain = marking(number, check, Mark::Meets);
    Marking { by_lead: true, reason: Some("Rode it calmly twice".into()), clears: Some(act(stop)), ..plain }
}

fn attempts(markings: &[Marking]) -> Vec<Attempt> {
    let curriculum = shipped();
    markings.iter().flat_map(|marking| marking.attempts(&curriculum).unwrap()).collect()
}

/// Every required check met, by acts numbered from 1.
fn all_met(curriculum: &Curriculum) -> Vec<Marking> {
    curriculum.required_checks().zip(1..).map(|(check, n)| marking(n, &check.code.to_string(), Mark::Meets)).collect()
}

#[test]
fn house_3_words_of_marks_are_stored_and_read_back() {
    let stored: Vec<&str> = Mark::ALL.iter().map(|mark| mark.as_str()).collect();
    assert_eq!(stored, ["meets", "practice", "not_tried", "stopped"]);
    let words: Vec<&str> = Mark::ALL.iter().map(|mark| mark.words()).collect();
    assert_eq!(words, ["meets", "needs practice", "not tried", "stopped for safety"]);
    for mark in Mark::ALL.iter().copied() {
        assert_eq!(Mark::from_word(mark.as_str()), Some(mark));
        assert_eq!(serde_json::to_string(&mark).unwrap(), format!("\"{}\"", mark.as_str()));
    }
    assert_eq!(Mark::from_word("Meets"), None);
}

#[test]
fn house_3_the_latest_attempt_decides_and_a_stop_stays_until_the_lead_clears_it() {
    use Mark::{Meets, NeedsPractice, NotTried, StoppedForSafety};
    let m = |number, mark| marking(number, "6.3", mark);
    let stopped = |acts: &[u8]| Standing::Stopped { open: acts.iter().copied().map(act).collect() };
    let without = |change: fn(&mut Marking)| {
        let mut spoiled = clearing(2, "6.3", 1);
        change(&mut spoiled);
        spoiled
    };
    let cases = vec![
        (vec![m(1, NeedsPractice), m(2, Meets)], Standing::Meets),
        (vec![m(1, Meets), m(2, NeedsPractice)], Standing::NeedsPractice),
        (vec![m(1, Meets), m(2, NotTried)], Standing::NotTried),
        (vec![m(1, Meets), m(2, StoppedForSafety)], stopped(&[2])),
        (vec![m(1, StoppedForSafety), m(2, Meets), m(3, NeedsPractice)], stopped(&[1])),
        (vec![m(1, StoppedForSafety), clearing(2, "6.3", 1)], Standing::Meets),
        (vec![m(1, StoppedForSafety), clearing(2, "6.3", 1), m(3, NeedsPractice)], Standing::NeedsPractice),
        (vec![m(1, StoppedForSafety), without(|c| c.by_lead = false)], stopped(&[1])),
        (vec![m(1, StoppedForSafety), without(|c| c.reason = Some(" ".into()))], stopped(&[1])),
        (vec![m(1, StoppedForSafety), without(|c| c.reason = None)], stopped(&[1])),
        (vec![m(1, StoppedForSafety), without(|c| c.clears = None)], stopped(&[1])),
        (vec![m(1, StoppedForSafety), without(|c| c.clears = Some([9; 16]))], stopped(&[1])),
        (vec![m(1, StoppedForSafety), without(|c| c.mark = NeedsPractice)], stopped(&[1])),
        (vec![clearing(1, "6.3", 2), m(2, StoppedForSafety)], stopped(&[2])),
        (vec![m(1, StoppedForSafety), m(2, StoppedForSafety), clearing(3, "6.3", 2)], stopped(&[1])),
        (
            vec![m(1, StoppedForSafety), m(2, StoppedForSafety), clearing(3, "6.3", 2), clearing(4, "6.3", 1)],
            Standing::Meets,
        ),
        (vec![m(1, StoppedForSafety), clearing(2, "6.3", 1), m(3, StoppedForSafety)], stopped(&[3])),
        (vec![m(1, StoppedForSafety), clearing(2, "6.4", 1)], stopped(&[1])),
    ];
    for (number, (markings, expected)) in cases.into_iter().enumerate() {
        assert_eq!(standing(&attempts(&markings))[&code("6.3")], expected, "case {number}");
    }
}

#[test]
fn house_3_a_whole_lesson_mark_covers_each_check_of_its_lesson_where_it_is_taken() {
    let curriculum = shipped();
    for lesson in curriculum.lessons() {
        let whole = Marking { what: Marked::Lesson(lesson.number), ..marking(1, "1.1", Mark::Meets) };
        match whole.attempts(&curriculum) {
            Ok(made) => {
                assert!(lesson.whole_lesson_marks);
                let covered: Vec<CheckCode> = made.iter().map(|attempt| attempt.check).collect();
                assert_eq!(covered, lesson.checks.iter().map(|check| check.code).collect::<Vec<_>>());
            }
            Err(refusal) => {
                assert!(!lesson.whole_lesson_marks);
                assert_eq!(refusal, MarkRefusal::WholeLessonNotTaken { lesson: lesson.number });
            }
        }
    }
    let unknown = Marking { what: Marked::Lesson(99), ..marking(1, "1.1", Mark::Meets) };
    assert_eq!(unknown.attempts(&curriculum), Err(MarkRefusal::UnknownLesson { lesson: 99 }));
    let unknown = marking(1, "99.1", Mark::Meets).attempts(&curriculum);
    assert_eq!(unknown, Err(MarkRefusal::UnknownCheck { code: code("99.1") }));
}

#[test]
fn house_3_no_riding_mark_before_stop_switch_brake_and_stop_signal() {
    let curriculum = shipped();
    let before: Vec<CheckCode> = curriculum.before_wheels().map(|check| check.code).collect();
    for skipped in &before {
        let met: Vec<Marking> =
            all_met(&curriculum).into_iter().filter(|m| m.what != Marked::Check(*skipped)).collect();
        let refusal = may_mark(&curriculum, &attempts(&met), &marking(200, "5.1", Mark::Meets));
        assert_eq!(refusal, Err(MarkRefusal::BeforeWheels { missing: vec![*skipped] }));
    }
    let nothing_done = |mark| may_mark(&curriculum, &[], &marking(1, "5.1", mark));
    assert_eq!(nothing_done(Mark::NeedsPractice), Err(MarkRefusal::BeforeWheels { missing: before }));
    assert!(nothing_done(Mark::StoppedForSafety).is_ok(), "a stop is always taken");
    assert!(nothing_done(Mark::NotTried).is_ok(), "not tried says that nothing moved");
    assert!(may_mark(&curriculum, &[], &marking(1, "4.3", Mark::Meets)).is_ok());
}

#[test]
fn house_3_a_riding_lesson_waits_for_the_required_checks_it_needs() {
    let curriculum = shipped();
    let after = |skipped: &str, tried: &str| {
        let met = all_met(&curriculum).into_iter().filter(|m| m.what != Marked::Check(code(skipped)));
        may_mark(&curriculum, &attempts(&met.collect::<Vec<_>>()), &marking(200, tried, Mark::Meets))
    };
    let waits = |lesson, missing: &str| Err(MarkRefusal::PrerequisiteLesson { lesson, missing: vec![code(missing)] });
    assert_eq!(after("1.1", "5.1").map(drop), waits(5, "1.1"));
    assert_eq!(after("6.2", "9.1").map(drop), waits(9, "6.2"));
    assert_eq!(after("7.1", "9.1").map(drop), waits(9, "7.1"));
    assert_eq!(after("10.3", "11.1").map(drop), waits(11, "10.3"));
    assert!(after("8.1", "9.1").is_ok(), "lesson 9 does not need lesson 8");
    assert!(after("2.4", "5.1").is_ok(), "an optional check holds nobody back");
}

#[test]
fn house_3_clearing_a_stop_asks_for_lead_name_and_reason() {
    let curriculum = shipped();
    let mut done = all_met(&curriculum);
    done.push(marking(150, "6.3", Mark::StoppedForSafety));
    let after = |marking: &Marking| may_mark(&curriculum, &attempts(&done), marking).map(drop);
    let code = code("6.3");
    let good = clearing(160, "6.3", 150);
    assert_eq!(after(&good), Ok(()));
    assert_eq!(after(&Marking { by_lead: false, ..good.clone() }), Err(MarkRefusal::OnlyLeadClears { code }));
    assert_eq!(after(&Marking { reason: None, ..good.clone() }), Err(MarkRefusal::ReasonNeeded { code }));
    for clears in [None, Some(act(1))] {
        let refusal = MarkRefusal::MustNameStop { code, open: vec![act(150)] };
        assert_eq!(after(&Marking { clears, ..good.clone() }), Err(refusal));
    }
    assert_eq!(after(&marking(160, "6.3", Mark::NeedsPractice)), Ok(()), "what was seen is kept, the stop stays");
    assert_eq!(after(&marking(140, "6.3", Mark::Meets)), Ok(()), "a mark ordered before the stop is not held by it");
}

#[test]
fn house_3_a_whole_lesson_stop_is_cleared_check_by_check_or_by_one_whole_mark() {
    let curriculum = shipped();
    let stop = Marking { what: Marked::Lesson(2), ..marking(1, "2.1", Mark::StoppedForSafety) };
    let one = attempts(&[stop.clone(), clearing(2, "2.1", 1)]);
    assert_eq!(standing(&one)[&code("2.1")], Standing::Meets);
    assert_eq!(standing(&one)[&code("2.2")], Standing::Stopped { open: vec![act(1)] });
    let whole = Marking { what: Marked::Lesson(2), ..clearing(2, "2.1", 1) };
    let made = may_mark(&curriculum, &attempts(std::slice::from_ref(&stop)), &whole).unwrap();
    assert_eq!(made.len(), curriculum.lesson(2).unwrap().checks.len());
    assert!(standing(&attempts(&[stop, whole])).values().all(|standing| *standing == Standing::Meets));
}

#[test]
fn house_3_a_refused_mark_is_told_by_the_first_thing_to_do() {
    use crate::domain::refusal::{MarkRefusal as Told, Refusal};
    let before = MarkRefusal::BeforeWheels { missing: vec![code("4.4"), code("4.5")] };
    assert_eq!(Refusal::from(before), Refusal::Mark(Told::BeforeWheels { check: "4.4".into() }));
    let first = MarkRefusal::PrerequisiteLesson { lesson: 9, missing: vec![code("6.2"), code("7.1")] };
    assert_eq!(Refusal::from(first), Refusal::Mark(Told::LessonFirst { lesson: 6 }));
    assert_eq!(Refusal::from(MarkRefusal::UnknownLesson { lesson: 99 }), Refusal::Mark(Told::UnknownCheck));
}

#[test]
fn house_3_completion_names_each_required_check_that_is_missing_and_why() {
    let curriculum = shipped();
    let mut done = all_met(&curriculum);
    assert_eq!(completion(&curriculum, &attempts(&done)), Completion::Completed);
    done.push(marking(150, "6.3", Mark::StoppedForSafety));
    done.push(marking(151, "2.1", Mark::NeedsPractice));
    done.push(marking(152, "11.5", Mark::NeedsPractice));
    done.retain(|m| m.what != Marked::Check(code("10.2")));
    let missing = vec![(code("2.1"), Why::NeedsPractice), (code("6.3"), Why::Stopped), (code("10.2"), Why::NotTried)];
    assert_eq!(completion(&curriculum, &attempts(&done)), Completion::NotYet(missing));
    let Completion::NotYet(all) = completion(&curriculum, &[]) else { panic!("nothing done completes nothing") };
    assert_eq!(all.len(), curriculum.required_checks().count());
}

/// Up to a dozen attempts at two checks from two phones; most clears name a stop of their own check, some any act or none.
fn histories() -> impl Strategy<Value = Vec<Attempt>> {
    let mark = prop_oneof![
        5 => Just(Mark::Meets),
        2 => Just(Mark::NeedsPractice),
        1 => Just(Mark::NotTried),
        2 => Just(Mark::StoppedForSafety)
    ];
    let reason =
        prop_oneof![3 => Just(Some("Rode it calmly".to_string())), 1 => Just(Some(" ".into())), 1 => Just(None)];
    let one = (
        any::<bool>(),
        0i64..8,
        any::<bool>(),
        mark,
        prop::bool::weighted(0.7),
        reason,
        prop::option::weighted(0.8, 0u8..13),
    );
    prop::collection::vec(one, 0..12).prop_map(|rows| {
        let attempt = |(n, (first, counter, phone_a, mark, by_lead, reason, clears)): (u8, _)| Attempt {
            order: OrderKey { counter, device: if phone_a { "a".into() } else { "b".into() }, seq: n.into() },
            act: act(n),
            check: if first { code("6.2") } else { code("6.3") },
            mark,
            by_lead,
            reason,
            clears: Option::map(clears, act),
        };
        aimed((0u8..).zip(rows).map(attempt).collect())
    })
}

/// Turns most clears towards a stop of the same check, where there is one.
fn aimed(mut history: Vec<Attempt>) -> Vec<Attempt> {
    let all = history.clone();
    for attempt in &mut history {
        let is_stop = |other: &&Attempt| other.check == attempt.check && other.mark == Mark::StoppedForSafety;
        let stops: Vec<ActId> = all.iter().filter(is_stop).map(|stop| stop.act).collect();
        let aim = attempt.clears.map_or(0, |[n, ..]| usize::from(n));
        if aim > 2 && !stops.is_empty() {
            attempt.clears = Some(stops[aim % stops.len()]);
        }
    }
    history
}

/// The rule read aloud, one attempt after another.
fn step_by_step(attempts: &[Attempt], check: CheckCode) -> Standing {
    let mut tries: Vec<&Attempt> = attempts.iter().filter(|attempt| attempt.check == check).collect();
    tries.sort_by(|a, b| (&a.order, a.act).cmp(&(&b.order, b.act)));
    let (mut open, mut last) = (Vec::new(), Mark::NotTried);
    for attempt in tries {
        last = attempt.mark;
        match attempt.mark {
            Mark::StoppedForSafety => open.push(attempt.act),
            Mark::Meets if attempt.by_lead && attempt.reason.as_ref().is_some_and(|r| r.trim() != "") => {
                open.retain(|stop| Some(*stop) != attempt.clears);
            }
            _ => {}
        }
    }
    match last {
        _ if !open.is_empty() => Standing::Stopped { open },
        Mark::Meets => Standing::Meets,
        Mark::NeedsPractice => Standing::NeedsPractice,
        _ => Standing::NotTried,
    }
}

proptest! {
    #[test]
    fn house_3_order_of_arrival_and_repeats_never_change_the_standing(
        (sent, arrived) in histories().prop_flat_map(|sent| {
            let twice: Vec<Attempt> = sent.iter().chain(&sent).cloned().collect();
            (Just(sent), Just(twice).prop_shuffle())
        })
    ) {
        prop_assert_eq!(standing(&sent), standing(&arrived));
        prop_assert_eq!(completion(&shipped(), &sent), completion(&shipped(), &arrived));
    }

    #[test]
    fn house_3_no_clear_works_without_the_lead(history in histories()) {
        let stopped: BTreeSet<CheckCode> =
            history.iter().filter(|a| a.mark == Mark::StoppedForSafety).map(|a| a.check).collect();
        let no_lead: Vec<Attempt> = history.into_iter().map(|a| Attempt { by_lead: false, ..a }).collect();
        for (check, standing) in standing(&no_lead) {
            prop_assert_eq!(matches!(standing, Standing::Stopped { .. }), stopped.contains(&check));
        }
    }
}

/// Holds the rule against its second reading and prints how often each verdict came up, so that a one-sided generator shows.
#[test]
fn house_3_generated_histories_agree_with_the_rule_read_step_by_step() {
    let mut runner = TestRunner::deterministic();
    let (mut spread, mut cleared) = (BTreeMap::new(), 0);
    for _ in 0..2_000 {
        let history = histories().new_tree(&mut runner).unwrap().current();
        for (check, found) in standing(&history) {
            assert_eq!(found, step_by_step(&history, check), "{history:?}");
            let had_stop = history.iter().any(|a| a.check == check && a.mark == Mark::StoppedForSafety);
            cleared += usize::from(had_stop && !matches!(found, Standing::Stopped { .. }));
            let verdict = match found {
                Standing::NotTried => "not tried",
                Standing::Meets => "meets",
                Standing::NeedsPractice => "needs practice",
                Standing::Stopped { .. } => "stopped",
            };
            *spread.entry(verdict).or_insert(0) += 1;
        }
    }
    println!("standings: {spread:?}, stops cleared: {cleared}");
    assert_eq!(spread.len(), 4);
    assert!(spread.values().all(|times| *times >= 100) && cleared >= 50, "{spread:?} {cleared}");
}

/// Prints how often each answer to a mark came up in generated histories; every answer that can be reached must be.
#[test]
fn house_3_generated_marks_meet_every_answer() {
    let curriculum = shipped();
    let ready = attempts(&all_met(&curriculum));
    let mut runner = TestRunner::deterministic();
    let mut spread: BTreeMap<&str, u32> = BTreeMap::new();
    let strategy = (histories(), 0usize..8, prop::bool::weighted(0.8));
    for _ in 0..3_000 {
        let (history, pick, prepared) = strategy.new_tree(&mut runner).unwrap().current();
        let base: i64 = if prepared { 100 } else { 0 };
        let mut earlier = if prepared { ready.clone() } else { Vec::new() };
        earlier.extend(history.into_iter().map(|mut a| {
            a.order.counter += base;
            a
        }));
        let Some(last) = earlier.pop() else { continue };
        let what = match pick {
            0 => Marked::Lesson(6),
            1 => Marked::Check(code("77.1")),
            2 => Marked::Check(code("11.1")),
            3 => Marked::Lesson(77),
            _ => Marked::Check(last.check),
        };
        let order = OrderKey { counter: 300, ..last.order };
        let Attempt { act, mark, by_lead, reason, clears, .. } = last;
        let marking = Marking { what, mark, by_lead, reason, clears, order, act };
        let answer = match may_mark(&curriculum, &earlier, &marking) {
            Ok(_) => "taken",
            Err(MarkRefusal::UnknownCheck { .. }) => "unknown check",
            Err(MarkRefusal::UnknownLesson { .. }) => "unknown lesson",
            Err(MarkRefusal::WholeLessonNotTaken { .. }) => "whole lesson not taken",
            Err(MarkRefusal::PrerequisiteLesson { .. }) => "prerequisite",
            Err(MarkRefusal::BeforeWheels { .. }) => "before wheels",
            Err(MarkRefusal::OnlyLeadClears { .. }) => "only the lead",
            Err(MarkRefusal::ReasonNeeded { .. }) => "reason needed",
            Err(MarkRefusal::MustNameStop { .. }) => "must name the stop",
        };
        *spread.entry(answer).or_default() += 1;
    }
    println!("answers: {spread:?}");
    assert_eq!(spread.len(), 9, "{spread:?}");
}
