//! The day of a session by table and by property: any order of arrival gives the same signature, groups and counts.

use std::collections::BTreeMap;

use chrono::{NaiveDateTime, TimeDelta};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::*;
use crate::domain::curriculum::CheckCode;
use crate::domain::point_list::PointKey;
use crate::domain::words::Word;

fn list() -> PointList {
    static READ_ONCE: std::sync::LazyLock<PointList> =
        std::sync::LazyLock::new(|| toml::from_str(include_str!("../../../seed/day_list.toml")).unwrap());
    READ_ONCE.clone()
}

fn curriculum() -> Curriculum {
    toml::from_str(include_str!("../../../seed/curriculum.toml")).expect("the shipped curriculum is sound")
}

fn at(minutes: i64) -> NaiveDateTime {
    "2026-06-13T14:00:00".parse::<NaiveDateTime>().unwrap() + TimeDelta::minutes(minutes)
}

fn rider(number: i64) -> RegistrationId {
    RegistrationId::new(number)
}

/// An act of the lead's own device, which has heard of everything before it.
pub(super) fn entry(counter: i64, of: Option<i64>, body: Body) -> Entry {
    let id = [u8::try_from(counter % 251).unwrap(); 16];
    let (device, seen) = ("web:1".to_owned(), counter - 1);
    let act = Act { id, meeting: 1, device, seq: counter, counter, seen, at: at(counter), by_lead: true, body };
    Entry { rider: of.map(rider), is_today: true, act }
}

fn key(name: &str) -> PointKey {
    PointKey(name.into())
}

fn not_right(words: &str) -> Looked {
    Looked::NotRight { words: words.into() }
}

fn looked(points: &[(&str, Looked)], signed: Option<i64>) -> Body {
    let points = points.iter().map(|(name, looked)| (key(name), looked.clone())).collect();
    Body::DayList { version: 1, points, signed }
}

fn all_right(signed: Option<i64>) -> Body {
    let points = list().points().iter().map(|point| (point.key.clone(), Looked::Right)).collect();
    Body::DayList { version: 1, points, signed }
}

fn count(moment: CountMoment, expected: i64, counted: i64, group: Option<&str>) -> Body {
    Body::Count { moment, expected, counted, group: group.map(str::to_owned) }
}

fn day(bodies: Vec<(Option<i64>, Body)>) -> SessionDay {
    let entries: Vec<Entry> = (1..).zip(bodies).map(|(counter, (of, body))| entry(counter, of, body)).collect();
    SessionDay::of(&list(), &entries)
}

fn signed(entries: &[Entry]) -> bool {
    SessionDay::of(&list(), entries).signing.signed.is_some()
}

#[test]
fn saturday_1_a_signature_stands_when_every_point_was_looked_at_and_nothing_is_open() {
    let signature = |bodies: Vec<Body>| day(bodies.into_iter().map(|body| (None, body)).collect()).signing;
    assert!(signature(vec![all_right(Some(1))]).signed.is_some());
    assert!(signature(vec![all_right(None)]).signed.is_none());
    assert!(signature(vec![looked(&[], Some(1))]).signed.is_none(), "nobody looked");
    assert!(signature(vec![all_right(None), looked(&[], Some(1))]).signed.is_some(), "others may look, the lead signs");
    let hole = looked(&[("holes", not_right("A badger's hole"))], None);
    let stopped = signature(vec![all_right(Some(1)), hole.clone()]);
    assert!(stopped.signed.is_none() && stopped.was_signed);
    assert_eq!(stopped.open(), [key("holes")].into());
    let filled = looked(&[("holes", Looked::Right)], None);
    let answered = signature(vec![all_right(Some(1)), hole.clone(), filled.clone()]);
    assert!(answered.signed.is_none() && answered.open().is_empty(), "riding goes on when the lead signs anew");
    assert!(signature(vec![all_right(Some(1)), hole, filled, looked(&[], Some(1))]).signed.is_some());
}

#[test]
fn saturday_1_a_finding_that_the_signer_had_not_heard_of_keeps_riding_from_going_on() {
    let finding = |counter, seen| {
        let mut found = entry(counter, None, looked(&[("holes", not_right("A hole"))], None));
        found.act = Act { device: "phone:2".into(), seen, by_lead: false, ..found.act };
        found
    };
    let signature = |counter, seen| {
        let mut signature = entry(counter, None, all_right(Some(1)));
        signature.act.seen = seen;
        signature
    };
    // The helper's phone noted a hole before the lead signed, and came home later.
    assert!(!signed(&[finding(1, 0), signature(2, 0)]));
    // Seen and looked at again by the one who signs.
    assert!(signed(&[finding(1, 0), signature(2, 1)]));
    // Found after the signature.
    assert!(!signed(&[signature(1, 0), finding(2, 1)]));
    // A signature of somebody who does not lead is none.
    let mut other = signature(1, 0);
    other.act.by_lead = false;
    assert!(!signed(&[other]));
    // Yesterday's is none either.
    assert!(!signed(&[Entry { is_today: false, ..signature(1, 0) }]));
}

#[test]
fn saturday_1_what_keeps_a_signature_back_is_named() {
    let nothing = SessionDay::of(&list(), &[]).signing;
    let sign = |body, by_lead| {
        let mut one = entry(9, None, body);
        one.act.by_lead = by_lead;
        nothing.may_add(&list(), &one.act)
    };
    assert_eq!(sign(all_right(Some(1)), true), Ok(()));
    assert_eq!(sign(all_right(Some(1)), false), Err(Refusal::OnlyTheLead));
    assert_eq!(sign(all_right(None), false), Ok(()), "anybody of the staff looks");
    let without_wires = match all_right(Some(1)) {
        Body::DayList { version, mut points, signed } => {
            points.remove(&key("wires"));
            Body::DayList { version, points, signed }
        }
        other => other,
    };
    let wires = vec!["Wires, ropes and fences".to_owned()];
    assert_eq!(sign(without_wires, true), Err(Refusal::DayListNotLooked { points: wires }));
    let holes = Refusal::DayListOpen { points: vec!["Holes, ruts and rocks".into()] };
    assert_eq!(sign(looked(&[("holes", not_right("x"))], Some(1)), true), Err(holes));
    assert_eq!(sign(looked(&[("dragons", Looked::Right)], None), true), Err(Refusal::DayListChanged));
}

#[test]
fn saturday_1_no_riding_mark_and_no_trail_count_is_taken_without_the_signature() {
    let (curriculum, list) = (curriculum(), list());
    let mark =
        |code: &str, mark| Body::Mark { check: CheckCode::parse(code).unwrap(), mark, reason: None, clears: None };
    let unsigned = day(vec![(Some(1), Body::CheckIn { late: false })]);
    let hole = day(vec![(None, all_right(Some(1))), (None, looked(&[("holes", not_right("x"))], None))]);
    let ready = day(vec![(None, all_right(Some(1)))]);
    let open = Refusal::DayListOpen { points: vec!["Holes, ruts and rocks".into()] };
    for (body, needs_it) in [
        (mark("5.1", Mark::Meets), true),
        (mark("5.1", Mark::NeedsPractice), true),
        (Body::LessonMarks { lesson: 5, mark: Mark::Meets }, true),
        (count(CountMoment::TrailOut, 4, 4, None), true),
        (count(CountMoment::TrailIn, 4, 4, None), true),
        // A stop is always taken; so is what is learnt standing still, and a head count.
        (mark("5.1", Mark::StoppedForSafety), false),
        (mark("5.1", Mark::NotTried), false),
        (mark("1.1", Mark::Meets), false),
        (count(CountMoment::Lesson, 4, 4, None), false),
    ] {
        let asked = |day: &SessionDay| day.may_take(&entry(9, None, body.clone()), &list, &curriculum);
        assert_eq!(asked(&unsigned), if needs_it { Err(Refusal::DayListNotSigned) } else { Ok(()) }, "{body:?}");
        assert_eq!(asked(&hole), if needs_it { Err(open.clone()) } else { Ok(()) }, "{body:?}");
        assert_eq!(asked(&ready), Ok(()), "{body:?}");
    }
    // Who rode out is counted in, whatever was found meanwhile.
    let out = day(vec![
        (None, all_right(Some(1))),
        (None, count(CountMoment::TrailOut, 4, 4, None)),
        (None, looked(&[("water", not_right("The creek rose"))], None)),
    ]);
    let back = entry(9, None, count(CountMoment::TrailIn, 4, 4, None));
    assert_eq!(out.may_take(&back, &list, &curriculum), Ok(()));
    assert!(out.may_take(&entry(9, None, count(CountMoment::TrailOut, 4, 4, None)), &list, &curriculum).is_err());
}

#[test]
fn saturday_1_day_6_a_group_takes_as_many_riders_as_the_curriculum_sets() {
    let (curriculum, list) = (curriculum(), list());
    let most = most_in_group(&curriculum).expect("the shipped curriculum sets it");
    let with = |instructor: &str| Body::Group { with: Some(instructor.into()) };
    let full = day((1..=most).map(|number| (Some(number), with("ana"))).collect());
    let asked = |number, instructor| full.may_take(&entry(90, Some(number), with(instructor)), &list, &curriculum);
    assert_eq!(asked(most + 1, "ana"), Err(Refusal::GroupFull { most }));
    assert_eq!(asked(most, "ana"), Ok(()), "who is in it stays in it");
    assert_eq!(asked(most + 1, "bea"), Ok(()));
    let out = day(vec![(Some(1), with("ana")), (Some(1), Body::Group { with: None })]);
    assert!(out.groups.is_empty());
}

#[test]
fn saturday_1_day_6_the_number_to_count_is_worked_out_for_each_group_and_for_all() {
    let with = |instructor: &str| Body::Group { with: Some(instructor.into()) };
    let come = || Body::CheckIn { late: false };
    let day = day(vec![
        (Some(1), come()),
        (Some(2), come()),
        (Some(3), come()),
        (Some(1), with("ana")),
        (Some(2), with("ana")),
        (Some(9), with("ana")),
        (Some(2), Body::CheckOut { adult: "Ingrid".into() }),
    ]);
    let group = |name: &str| Scope::Group(name.into());
    assert_eq!([Scope::All, group("ana"), group("bea")].map(|scope| day.expected(&scope)), [2, 1, 0]);
    assert_eq!(day.without_group(), 1);
}

#[test]
fn saturday_1_day_6_a_wrong_count_stands_until_a_right_one_of_the_same_riders_follows() {
    use CountMoment::{Lesson, Other};
    let loud = |counts: &[(i64, i64, Option<&str>)]| {
        let bodies = counts.iter().map(|(of, is, group)| (None, count(Lesson, *of, *is, *group)));
        day(bodies.collect()).counts.is_loud()
    };
    for (counts, expected) in [
        (vec![(4, 4, None)], false),
        (vec![(4, 3, None)], true),
        (vec![(4, 5, None)], true),
        (vec![(4, 3, None), (4, 4, None)], false),
        (vec![(4, 3, Some("ana")), (3, 3, Some("bea"))], true),
        (vec![(4, 3, Some("ana")), (4, 4, Some("ana"))], false),
        // All heads counted right count the group's too; one group counted right does not count all.
        (vec![(4, 3, Some("ana")), (7, 7, None)], false),
        (vec![(7, 6, None), (4, 4, Some("ana"))], true),
    ] {
        assert_eq!(loud(&counts), expected, "{counts:?}");
    }
    let later = day(vec![(None, count(Lesson, 4, 3, None)), (None, count(Other, 4, 4, None))]);
    assert!(!later.counts.is_loud());
}

#[test]
fn saturday_1_day_6_a_group_that_rode_out_is_out_until_it_is_counted_in() {
    use CountMoment::{Lesson, TrailIn, TrailOut};
    let out = |counts: &[(CountMoment, i64, i64, Option<&str>)]| {
        let bodies = counts.iter().map(|(moment, of, is, group)| (None, count(*moment, *of, *is, *group)));
        day(bodies.collect()).counts.out.len()
    };
    let ana = Some("ana");
    for (counts, expected) in [
        (vec![(TrailOut, 4, 4, ana)], 1),
        (vec![(TrailOut, 4, 4, ana), (TrailIn, 4, 4, ana)], 0),
        (vec![(TrailOut, 4, 4, ana), (Lesson, 4, 4, ana)], 1),
        // One is missing at the gate: the group still shows as out.
        (vec![(TrailOut, 4, 4, ana), (TrailIn, 4, 3, ana)], 1),
        (vec![(TrailOut, 4, 4, ana), (TrailOut, 3, 3, Some("bea")), (TrailIn, 4, 4, ana)], 1),
        (vec![(TrailOut, 4, 4, ana), (TrailOut, 3, 3, Some("bea")), (TrailIn, 7, 7, None)], 0),
    ] {
        assert_eq!(out(&counts), expected, "{counts:?}");
    }
}

fn a_body() -> impl Strategy<Value = Body> {
    let keys: Vec<PointKey> = list().points().iter().map(|point| point.key.clone()).collect();
    let looked = any::<bool>().prop_map(|right| if right { Looked::Right } else { not_right("x") });
    let signed = prop::option::of(1..3_i64);
    let group = prop::option::of(prop::sample::select(vec!["ana".to_owned(), "bea".to_owned()]));
    let moment = prop::sample::select(CountMoment::ALL.to_vec());
    prop_oneof![
        any::<bool>().prop_map(|late| Body::CheckIn { late }),
        Just(Body::CheckOut { adult: "Ingrid Lindqvist".into() }),
        group.clone().prop_map(|with| Body::Group { with }),
        (moment, 3..5_i64, 3..5_i64, group).prop_map(|(moment, expected, counted, group)| Body::Count {
            moment,
            expected,
            counted,
            group
        }),
        signed.clone().prop_map(all_right),
        (prop::collection::btree_map(prop::sample::select(keys), looked, 0..3), signed)
            .prop_map(|(points, signed)| Body::DayList { version: 1, points, signed }),
    ]
}

/// Acts of three devices whose counters collide often and that have not always heard of each other, in the order made
/// and in one of arrival.
fn a_history() -> impl Strategy<Value = (Vec<Entry>, Vec<Entry>)> {
    let one = (0..12_i64, 0..4_i64, 0..3_u8, any::<bool>(), prop::option::of(1..5_i64), a_body());
    let all = prop::collection::vec(one, 0..24).prop_map(|made| {
        let entries = (1..).zip(made).map(|(seq, (counter, unheard, device, by_lead, of, body))| {
            let plain = entry(seq, of, body);
            let seen = (counter - 1 - unheard).max(0);
            Entry { act: Act { device: format!("web:{device}"), counter, seen, by_lead, ..plain.act }, ..plain }
        });
        entries.collect::<Vec<Entry>>()
    });
    all.prop_flat_map(|made| (Just(made.clone()), Just(made).prop_shuffle()))
}

proptest! {
    #[test]
    fn saturday_1_the_same_acts_in_any_order_of_arrival_give_the_same_session_day((made, arrived) in a_history()) {
        prop_assert_eq!(SessionDay::of(&list(), &made), SessionDay::of(&list(), &arrived));
    }

    /// Whatever else happened: a finding by a device that nobody has heard of keeps the signature from standing.
    #[test]
    fn saturday_1_an_unheard_finding_always_stops((made, _) in a_history(), counter in 0..12_i64) {
        let mut finding = entry(200, None, looked(&[("holes", not_right("x"))], None));
        finding.act = Act { device: "phone:9".into(), counter: counter + 100, ..finding.act };
        let all: Vec<Entry> = made.into_iter().chain([finding]).collect();
        prop_assert!(!signed(&all));
    }
}

#[test]
fn saturday_1_the_generated_histories_reach_what_they_are_meant_to_reach() {
    let mut runner = TestRunner::deterministic();
    let mut reached: BTreeMap<&str, usize> = BTreeMap::new();
    let cases = 600;
    for _ in 0..cases {
        let (made, arrived) = a_history().new_tree(&mut runner).unwrap().current();
        let day = SessionDay::of(&list(), &made);
        for (what, is) in [
            ("moved", made != arrived),
            ("signed", day.signing.signed.is_some()),
            ("stopped again", day.signing.was_signed && day.signing.signed.is_none()),
            ("open", !day.signing.open().is_empty()),
            ("grouped", !day.groups.is_empty()),
            ("loud", day.counts.is_loud()),
            ("out", !day.counts.out.is_empty()),
        ] {
            *reached.entry(what).or_default() += usize::from(is);
        }
    }
    println!("of {cases}: {reached:?}");
    assert!(reached.values().all(|count| *count > cases / 20), "{reached:?}");
}

/// What is read from the store for the rules of the day is these kinds alone.
#[test]
fn saturday_1_a_day_of_the_session_is_worked_out_from_its_kinds_of_acts_and_no_others() {
    let others = [
        Body::Measures { height_um: Some(1), weight_g: None, inseam_um: None, head_um: None },
        Body::Gear { worn: Default::default() },
        Body::Helmet { lot: "K-L".into(), way: crate::domain::gear::Way::Given },
        Body::Mark {
            check: CheckCode::parse("6.1").unwrap(),
            mark: Mark::StoppedForSafety,
            reason: None,
            clears: None,
        },
        Body::LessonMarks { lesson: 5, mark: Mark::Meets },
        Body::Outcome { outcome: crate::domain::registration::Outcome::Attended, why: None },
        Body::Proof { seen: true },
        Body::Area { member: "a".into(), on: true },
        Body::HandOver { from: None, to: "a".into() },
        Body::Undo { of: [0; 16] },
    ];
    let own = [
        (Some(1), Body::CheckIn { late: false }),
        (Some(1), Body::CheckOut { adult: "Chidi".into() }),
        (Some(1), Body::Group { with: Some("a".into()) }),
        (None, Body::GroupPlace { with: "a".into(), place: Some("North field".into()) }),
        (None, count(CountMoment::TrailOut, 1, 1, None)),
        (None, all_right(Some(1))),
    ];
    let here = (Some(1), Body::CheckIn { late: false });
    let before = day(vec![here.clone()]);
    for body in others {
        assert!(!SessionDay::KINDS.contains(&body.kind()), "{}", body.kind());
        assert_eq!(day(vec![here.clone(), (Some(1), body.clone())]), before, "{}", body.kind());
    }
    let kinds: Vec<&str> = own.iter().map(|(_, body)| body.kind()).collect();
    assert_eq!(kinds, SessionDay::KINDS);
    for (of, body) in own {
        let (kind, begin) = (body.kind(), if body.kind() == "check_in" { vec![] } else { vec![here.clone()] });
        let without = day(begin.clone());
        assert_ne!(day([begin, vec![(of, body)]].concat()), without, "{kind}");
    }
}
