//! The rule of the riding area: tables, and properties over generated groups.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use proptest::prelude::*;

use super::*;
use crate::domain::certification::CertificationKind;
use crate::domain::curriculum::CheckCode;
use crate::domain::words::Word;

const SHIPPED: Limit = Limit { ratio: RatioRule::SHIPPED, course: 6, least_age: 6 };

const INSTRUCTOR: Worth = Worth { teaches: true, gives_first_aid: true };
const HELPER: Worth = Worth { teaches: false, gives_first_aid: false };

fn june(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, day).expect("a day of June")
}

fn group(ages: &[i64], adults: &[Worth]) -> Count {
    let mut count = Count::default();
    ages.iter().for_each(|age| count.rider(*age));
    adults.iter().for_each(|worth| count.adult(*worth));
    count
}

fn stops(ages: &[i64], adults: &[Worth]) -> Vec<Stop> {
    Guard::of(group(ages, adults), &SHIPPED).stops()
}

/// Riders an instructor, 4 at ages 6 to 9, else 6: common practice, no source; settings.
#[test]
fn saturday_1_day_6_the_youngest_rider_sets_the_ratio_of_the_whole_group() {
    let pair = [INSTRUCTOR, HELPER];
    for (ages, adults, room) in [
        (vec![10; 6], pair.to_vec(), 0),
        (vec![10; 7], pair.to_vec(), -1),
        (vec![9; 4], pair.to_vec(), 0),
        (vec![9; 5], pair.to_vec(), -1),
        // One rider of nine among the older ones.
        ([vec![12; 4], vec![9]].concat(), pair.to_vec(), -1),
        ([vec![12; 4], vec![9]].concat(), vec![INSTRUCTOR; 2], 3),
        (vec![6; 8], vec![INSTRUCTOR; 2], 0),
        (vec![6; 9], vec![INSTRUCTOR; 2], -1),
        // Nobody is there yet: the course's least age stands in.
        (vec![], vec![INSTRUCTOR; 2], 8),
        (vec![10], vec![HELPER; 5], -1),
    ] {
        let guard = Guard::of(group(&ages, &adults), &SHIPPED);
        assert_eq!(guard.room(), room, "{ages:?} with {adults:?}");
        let crowded = guard.stops().iter().any(|stop| matches!(stop, Stop::TooManyRiders { .. }));
        assert_eq!(crowded, room < 0, "{ages:?} with {adults:?}");
    }
}

#[test]
fn saturday_1_day_6_never_one_adult_alone_and_never_without_a_first_aider() {
    let no_card = Worth { teaches: true, gives_first_aid: false };
    let first_aider = Worth { teaches: false, gives_first_aid: true };
    assert_eq!(stops(&[10], &[INSTRUCTOR, HELPER]), []);
    assert_eq!(stops(&[10], &[no_card, first_aider]), []);
    assert_eq!(stops(&[10], &[INSTRUCTOR]), [Stop::AdultAlone { riders: 1, adults: 1 }]);
    assert_eq!(stops(&[10], &[no_card, HELPER]), [Stop::NoFirstAider { riders: 1 }]);
    let nobody = stops(&[10, 8], &[]);
    let crowd = Stop::TooManyRiders { riders: 2, instructors: 0, may_teach: 0, youngest: 8 };
    assert_eq!(nobody, [crowd, Stop::AdultAlone { riders: 2, adults: 0 }, Stop::NoFirstAider { riders: 2 }]);
    assert_eq!(stops(&[], &[]), [], "an empty area stops nobody");
}

#[test]
fn saturday_1_day_6_a_smaller_number_of_the_course_holds_and_a_broken_setting_teaches_nobody() {
    let limit =
        |young, older, course| Limit { ratio: RatioRule { young, young_through: 9, older }, course, least_age: 6 };
    for (limit, youngest, riders) in [
        (limit(4, 6, 3), Some(12), 3),
        (limit(4, 6, 8), Some(12), 6),
        (limit(4, 6, 8), Some(9), 4),
        // Set the wrong way round: the younger group still gets no more.
        (limit(8, 5, 9), Some(7), 5),
        (limit(-1, 6, 6), Some(7), 0),
        (limit(4, 6, 6), None, 4),
    ] {
        assert_eq!(limit.per_instructor(youngest), riders, "{limit:?} {youngest:?}");
    }
}

fn papers(kinds: &[CertificationKind], through: u32) -> Vec<Certification> {
    let paper = |kind: &CertificationKind| Certification {
        kind: *kind,
        issued_on: june(1),
        valid_through: june(through),
        suspended_on: None,
        revoked_on: None,
    };
    kinds.iter().map(paper).collect()
}

#[test]
fn saturday_1_day_6_whose_papers_do_not_hold_today_counts_for_nothing() {
    let needed = DutyPapers::default();
    let all = papers(CertificationKind::ALL, 13);
    let worth = |duty, state, papers: &[Certification], day| Worth::of(duty, state, papers, &needed, june(day));
    let (active, provisional) = (InstructorState::Active, InstructorState::Provisional);
    let teaches = Some(Worth { teaches: true, gives_first_aid: true });
    assert_eq!(worth(Duty::Lead, active, &all, 13), teaches);
    assert_eq!(worth(Duty::Instructor, provisional, &all, 13), teaches);
    assert_eq!(worth(Duty::Helper, active, &all, 13), Some(Worth { teaches: false, gives_first_aid: true }));
    assert_eq!(worth(Duty::FirstAid, active, &all, 13), Some(Worth { teaches: false, gives_first_aid: true }));
    for duty in Duty::ALL {
        assert_eq!(worth(*duty, active, &all, 14), None, "{duty} the day after");
        assert_eq!(worth(*duty, InstructorState::Suspended, &all, 13), None, "{duty} suspended");
        assert_eq!(worth(*duty, InstructorState::Former, &all, 13), None, "{duty} gone");
        for kind in needed.of(*duty) {
            let mut set_aside = all.clone();
            set_aside.iter_mut().filter(|paper| paper.kind == *kind).for_each(|paper| {
                paper.suspended_on = Some(june(13));
            });
            assert!(worth(*duty, active, &set_aside, 12).is_some(), "{duty} the day before");
            assert_eq!(worth(*duty, active, &set_aside, 13), None, "{duty} without {kind}");
        }
    }
}

fn at(minute: i64) -> NaiveDateTime {
    june(13).and_hms_opt(14, 40, 0).expect("a time") + TimeDelta::minutes(minute)
}

fn act(counter: i64, body: Body) -> Act {
    let mut id = [0; 16];
    id[15] = u8::try_from(counter).expect("a small number");
    Act {
        id,
        meeting: 1,
        device: "web:1".into(),
        seq: counter,
        counter,
        seen: counter - 1,
        at: at(counter),
        by_lead: true,
        body,
    }
}

fn area(counter: i64, member: &str, on: bool) -> Act {
    act(counter, Body::Area { member: member.into(), on })
}

#[test]
fn saturday_1_day_6_the_last_word_says_where_an_adult_is_whatever_the_order_of_arrival() {
    let acts = [area(1, "ana", true), area(2, "bea", true), area(3, "ana", true), area(4, "bea", false)];
    for order in [[0, 1, 2, 3], [3, 2, 1, 0], [2, 0, 3, 1]] {
        let arrived: Vec<&Act> = order.iter().map(|place| &acts[*place]).collect();
        let there = presence(&arrived);
        assert_eq!(there["ana"], Presence { on: true, since: at(1) }, "the second tap changes nothing");
        assert_eq!(there["bea"], Presence { on: false, since: at(4) });
        assert_eq!(there.len(), 2);
    }
}

#[test]
fn saturday_1_day_6_a_reason_to_go_on_ends_when_anything_is_worse_or_anybody_leaves() {
    let then = group(&[10, 10, 9], &[INSTRUCTOR]);
    let decided = act(5, Body::GoOn { reason: "Bea is two minutes away".into(), count: then });
    let holds = |later: &[Act], now: &Count| {
        let all: Vec<&Act> = later.iter().chain([&decided]).collect();
        going_on(&all, now).is_some()
    };
    assert!(holds(&[], &then));
    assert!(holds(&[area(6, "bea", true)], &group(&[10, 10, 9], &[INSTRUCTOR, HELPER])), "one more adult");
    assert!(holds(&[], &group(&[10, 9], &[INSTRUCTOR])), "one rider fewer");
    assert!(holds(&[area(4, "bea", false)], &then), "who left before is counted already");
    for (worse, why) in [
        (group(&[10, 10, 9, 11], &[INSTRUCTOR]), "one more rider"),
        (group(&[10, 10, 8], &[INSTRUCTOR]), "a younger rider"),
        (group(&[10, 10, 9], &[HELPER]), "no instructor"),
        (group(&[10, 10, 9], &[]), "no adult"),
        (group(&[10, 10, 9], &[Worth { teaches: true, gives_first_aid: false }]), "no first-aider"),
    ] {
        assert!(!holds(&[], &worse), "{why}");
    }
    assert!(!holds(&[area(6, "bea", false)], &then), "somebody left since");
    let handed = Body::HandOver { from: Some("ana".into()), to: "bea".into() };
    assert!(!holds(&[act(6, handed)], &then), "another person leads");
    assert!(going_on(&[], &then).is_none());
}

#[test]
fn saturday_1_day_6_only_trail_out_and_marks_that_say_a_rider_rode_wait() {
    let curriculum: Curriculum = toml::from_str(include_str!("../../../seed/curriculum.toml")).expect("shipped");
    let riding = curriculum.lessons().iter().find(|lesson| lesson.riding).expect("a riding lesson");
    let still = curriculum.lessons().iter().find(|lesson| !lesson.riding).expect("a lesson without riding");
    let mark = |check: CheckCode, mark| Body::Mark { check, mark, reason: None, clears: None };
    let waits = |body: &Body| waits_while_stopped(body, &curriculum);
    for one in Mark::ALL {
        let rode = matches!(one, Mark::Meets | Mark::NeedsPractice);
        assert_eq!(waits(&mark(riding.checks[0].code, *one)), rode, "{one}");
        assert_eq!(waits(&Body::LessonMarks { lesson: riding.number, mark: *one }), rode, "{one}");
        assert!(!waits(&mark(still.checks[0].code, *one)), "{one}");
        assert!(!waits(&Body::LessonMarks { lesson: still.number, mark: *one }), "{one}");
    }
    for moment in CountMoment::ALL {
        let count = Body::Count { moment: *moment, expected: 3, counted: 3, group: None };
        assert_eq!(waits(&count), *moment == CountMoment::TrailOut, "{moment}");
    }
    for body in [Body::CheckIn { late: false }, Body::CheckOut { adult: "Ana".into() }, area(1, "ana", false).body] {
        assert!(!waits(&body), "{body:?}");
    }
}

fn a_limit() -> impl Strategy<Value = Limit> {
    (-1..9i64, 3..13i64, -1..9i64, -1..9i64, 5..11i64).prop_map(|(young, young_through, older, course, least_age)| {
        Limit { ratio: RatioRule { young, young_through, older }, course, least_age }
    })
}

fn a_worth() -> impl Strategy<Value = Worth> {
    (any::<bool>(), any::<bool>()).prop_map(|(teaches, gives_first_aid)| Worth { teaches, gives_first_aid })
}

fn a_group() -> impl Strategy<Value = Count> {
    let ages = proptest::collection::vec(5..17i64, 0..16);
    (ages, proptest::collection::vec(a_worth(), 0..6)).prop_map(|(ages, adults)| group(&ages, &adults))
}

/// Which parts of the rule are broken.
fn broken(count: Count, limit: &Limit) -> [bool; 3] {
    let stops = Guard::of(count, limit).stops();
    let has = |is: fn(&Stop) -> bool| stops.iter().any(is);
    [
        has(|stop| matches!(stop, Stop::TooManyRiders { .. })),
        has(|stop| matches!(stop, Stop::AdultAlone { .. })),
        has(|stop| matches!(stop, Stop::NoFirstAider { .. })),
    ]
}

fn is_no_harder(after: [bool; 3], before: [bool; 3]) -> bool {
    after.iter().zip(before).all(|(after, before)| !after || before)
}

proptest! {
    #[test]
    fn saturday_1_one_more_adult_never_breaks_the_rule(count in a_group(), worth in a_worth(), limit in a_limit()) {
        let mut more = count;
        more.adult(worth);
        prop_assert!(is_no_harder(broken(more, &limit), broken(count, &limit)));
        prop_assert!(more.is_no_worse_than(&count));
        prop_assert!(Guard::of(more, &limit).room() >= Guard::of(count, &limit).room());
    }

    #[test]
    fn saturday_1_one_more_rider_never_mends_the_rule(count in a_group(), age in 5..17i64, limit in a_limit()) {
        let mut more = count;
        more.rider(age);
        prop_assert!(is_no_harder(broken(count, &limit), broken(more, &limit)));
        prop_assert!(!more.is_no_worse_than(&count));
    }

    #[test]
    fn saturday_1_a_younger_rider_never_loosens_the_rule(count in a_group(), years in 1..6i64, limit in a_limit()) {
        let younger = Count { youngest: count.youngest.map(|age| age - years), ..count };
        prop_assert!(is_no_harder(broken(count, &limit), broken(younger, &limit)));
        prop_assert!(Guard::of(younger, &limit).per_instructor <= Guard::of(count, &limit).per_instructor || count.riders == 0);
    }

    #[test]
    fn saturday_1_what_is_no_worse_breaks_nothing_new(
        riders in proptest::collection::vec((5..17i64, any::<bool>()), 0..16),
        adults in proptest::collection::vec(a_worth(), 0..6),
        more in proptest::collection::vec(a_worth(), 0..3),
        other in a_group(),
        limit in a_limit(),
    ) {
        let ages: Vec<i64> = riders.iter().map(|(age, _)| *age).collect();
        let stay: Vec<i64> = riders.iter().filter(|(_, stays)| *stays).map(|(age, _)| *age).collect();
        let (then, now) = (group(&ages, &adults), group(&stay, &[adults, more].concat()));
        prop_assert!(now.is_no_worse_than(&then));
        prop_assert!(is_no_harder(broken(now, &limit), broken(then, &limit)));
        if other.is_no_worse_than(&then) {
            prop_assert!(is_no_harder(broken(other, &limit), broken(then, &limit)));
        }
    }

    #[test]
    fn saturday_1_the_room_is_exact(count in a_group(), age in 5..17i64, limit in a_limit()) {
        // As many more of the youngest's age as the room says, and not one over it.
        let guard = Guard::of(count, &limit);
        let mut filled = count;
        let age = count.youngest.unwrap_or(age.max(limit.least_age));
        prop_assume!(guard.per_instructor == limit.per_instructor(Some(age)));
        for _ in 0..guard.room().max(0) {
            filled.rider(age);
        }
        prop_assert_eq!(broken(filled, &limit)[0], filled.riders > 0 && guard.room() < 0);
        filled.rider(age);
        prop_assert!(broken(filled, &limit)[0]);
    }
}
