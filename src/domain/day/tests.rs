//! The same acts in any order of arrival give the same day; each act's effect by table.

use std::collections::BTreeMap;

use chrono::{NaiveDateTime, TimeDelta};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::*;
use crate::domain::acts::{CountMoment, Merge, Taking, merge};
use crate::domain::incident::IncidentKind;
use crate::domain::session::{Openness, SessionState};
use crate::domain::skill::Mark;
use crate::domain::words::Word;

fn shipped() -> Curriculum {
    static READ_ONCE: std::sync::LazyLock<Curriculum> =
        std::sync::LazyLock::new(|| toml::from_str(include_str!("../../../seed/curriculum.toml")).unwrap());
    READ_ONCE.clone()
}

fn at(minutes: i64) -> NaiveDateTime {
    "2026-06-13T14:00:00".parse::<NaiveDateTime>().unwrap() + TimeDelta::minutes(minutes)
}

fn act(counter: i64, body: Body) -> Act {
    let id = [u8::try_from(counter % 251).unwrap(); 16];
    Act {
        id,
        meeting: 1,
        device: "web:1".into(),
        seq: counter,
        counter,
        seen: 0,
        at: at(counter),
        by_lead: false,
        body,
    }
}

fn a_body() -> impl Strategy<Value = Body> {
    let codes: Vec<CheckCode> = shipped().checks().map(|check| check.code).collect();
    let mark = prop::sample::select(Mark::ALL.to_vec());
    let verdict = |may_start| Verdict {
        outcome: if may_start { fit::Outcome::MayStart } else { fit::Outcome::NotYet },
        reasons: Vec::new(),
        rules_version: 1,
    };
    let fit = move |(machine, may_start): (u8, bool)| Body::Fit {
        machine: machine.to_string(),
        observations: BTreeMap::new(),
        overrides: Vec::new(),
        verdict: verdict(may_start),
    };
    let measures = |(height_um, head_um): (Option<i64>, Option<i64>)| Body::Measures {
        height_um,
        weight_g: None,
        inseam_um: None,
        head_um,
    };
    prop_oneof![
        any::<bool>().prop_map(|late| Body::CheckIn { late }),
        (prop::option::of(1_000_000..1_900_000_i64), prop::option::of(480_000..640_000_i64)).prop_map(measures),
        (1..9_u8, any::<bool>()).prop_map(fit),
        prop::option::of(1..9_u8).prop_map(|number| Body::Assign { machine: number.map(|number| number.to_string()) }),
        prop::sample::subsequence(GearPiece::ALL.to_vec(), 0..=6)
            .prop_map(|worn| Body::Gear { worn: worn.into_iter().collect() }),
        prop::sample::select(Way::ALL.to_vec()).prop_map(|way| Body::Helmet { lot: "TR-M".into(), way }),
        (prop::sample::select(codes), mark.clone()).prop_map(|(check, mark)| Body::Mark {
            check,
            mark,
            reason: None,
            clears: None
        }),
        (1..12_u16, mark).prop_map(|(lesson, mark)| Body::LessonMarks { lesson, mark }),
        prop::sample::select(Outcome::ALL.to_vec()).prop_map(|outcome| Body::Outcome { outcome, why: None }),
        Just(Body::CheckOut { adult: "Ingrid Lindqvist".into() }),
        Just(Body::Count { moment: CountMoment::Lesson, expected: 4, counted: 4, group: None }),
        any::<bool>().prop_map(|seen| Body::Proof { seen }),
        any::<bool>().prop_map(|comfortable| Body::HelmetCheck {
            lot: None,
            version: 1,
            size: true,
            wrong: Default::default(),
            comfortable
        }),
        prop::sample::select(CameBack::ALL.to_vec()).prop_map(|how| Body::HelmetBack { lot: "TR-M".into(), how }),
    ]
}

/// Acts of three devices whose counters collide often, in the order made and in one of arrival.
fn a_history() -> impl Strategy<Value = (Vec<Act>, Vec<Act>)> {
    let one = (0..12_i64, 0..3_u8, 1..3_i64, a_body());
    let all = prop::collection::vec(one, 0..24).prop_map(|made| {
        let acts = (1..).zip(made).map(|(seq, (counter, device, meeting, body))| Act {
            meeting,
            device: format!("web:{device}"),
            counter,
            ..act(seq, body)
        });
        acts.collect::<Vec<Act>>()
    });
    all.prop_flat_map(|acts| (Just(acts.clone()), Just(acts).prop_shuffle()))
}

proptest! {
    /// Proof of the one order: counter, device, seq.
    #[test]
    fn house_3_the_same_acts_in_any_order_of_arrival_give_the_same_day((made, arrived) in a_history()) {
        let curriculum = shipped();
        for meeting in 1..=2 {
            prop_assert_eq!(Day::of(&made, &curriculum, meeting), Day::of(&arrived, &curriculum, meeting));
        }
    }
}

#[test]
fn house_3_the_generated_histories_reach_what_they_are_meant_to_reach() {
    let (mut runner, curriculum) = (TestRunner::deterministic(), shipped());
    let (mut moved, mut here, mut home, mut marked, mut stopped) = (0, 0, 0, 0, 0);
    let cases = 500;
    for _ in 0..cases {
        let (made, arrived) = a_history().new_tree(&mut runner).unwrap().current();
        let day = Day::of(&made, &curriculum, 1);
        moved += usize::from(made != arrived);
        here += usize::from(day.is_here());
        home += usize::from(day.left_with.is_some());
        marked += usize::from(!day.attempts.is_empty());
        stopped += usize::from(day.attempts.iter().any(|attempt| attempt.mark == Mark::StoppedForSafety));
    }
    println!("of {cases}: {moved} reordered, {here} here, {home} home, {marked} marked, {stopped} with a stop");
    assert!([moved, here, home, marked, stopped].iter().all(|count| *count > cases / 20));
}

#[test]
fn house_3_each_act_does_what_it_says() {
    let day = |bodies: Vec<Body>| {
        Day::of(&(1..).zip(bodies).map(|(n, body)| act(n, body)).collect::<Vec<_>>(), &shipped(), 1)
    };
    let check_in = |late| Body::CheckIn { late };
    let out = || Body::CheckOut { adult: "Ingrid Lindqvist".into() };
    let head = |head_um| Body::Measures { height_um: None, weight_g: None, inseam_um: None, head_um };

    assert_eq!(day(vec![]), Day::default());
    assert_eq!(day(vec![]).outcome(), None);
    // The first check-in is the arrival; a second one corrects only whether it was late.
    let twice = day(vec![check_in(true), check_in(false)]);
    assert_eq!((twice.arrived_at, twice.late, twice.outcome()), (Some(at(1)), false, Some(Outcome::Attended)));
    assert_eq!(day(vec![check_in(true)]).outcome(), Some(Outcome::Late));
    // Out and in again is here again, arrived as the first time.
    assert!(!day(vec![check_in(false), out()]).is_here());
    let takes = |acts, knows| day(acts).takes_check_in(knows);
    assert!(takes(vec![], false) && takes(vec![check_in(false)], false) && takes(vec![check_in(false), out()], true));
    assert!(!takes(vec![check_in(false), out()], false), "an old page brings nobody back");
    let back = day(vec![check_in(false), out(), check_in(false)]);
    assert!(back.is_here() && back.arrived_at == Some(at(1)));
    // A measure that was not taken again stays.
    assert_eq!(day(vec![head(Some(560_000)), head(None)]).head_um, Some(560_000));
    // All pieces are missing while nobody has looked.
    assert_eq!(day(vec![check_in(false)]).gear_missing(), GearPiece::ALL);
    // A whole-lesson mark is one attempt for each check of the lesson, by one act.
    let whole = day(vec![Body::LessonMarks { lesson: 1, mark: Mark::Meets }]);
    assert_eq!(whole.attempts.len(), 4);
    assert!(whole.attempts.iter().all(|attempt| attempt.act == [1; 16]));
    // Nothing is made of a mark for a lesson that takes none as a whole.
    assert_eq!(day(vec![Body::LessonMarks { lesson: 6, mark: Mark::Meets }]).attempts, []);
}

#[test]
fn house_3_an_act_is_taken_kept_late_or_not_at_all() {
    let day = |text: &str| text.parse().unwrap();
    let openness = |state, today| Openness { state, held_on: day("2026-06-13"), today: day(today) };
    use SessionState::{Announced, Cancelled, Closed, Reopened};
    for (state, today, expected) in [
        (Announced, "2026-06-12", Merge::NoActs),
        (Announced, "2026-06-13", Merge::Keep(Taking::Taken)),
        (Announced, "2026-06-20", Merge::Keep(Taking::Taken)),
        (Closed, "2026-06-13", Merge::Keep(Taking::Late)),
        (Reopened, "2026-06-14", Merge::Keep(Taking::Taken)),
        (Cancelled, "2026-06-13", Merge::NoActs),
    ] {
        assert_eq!(merge(false, openness(state, today)), expected, "{state} {today}");
        assert_eq!(merge(true, openness(state, today)), Merge::Already);
    }
}

#[test]
fn saturday_1_coming_gear_outcome_and_going_home_belong_to_one_meeting_and_the_rest_to_the_session() {
    let curriculum = shipped();
    let at_meeting = |meeting, counter, body| Act { meeting, ..act(counter, body) };
    let head = Body::Measures { height_um: None, weight_g: None, inseam_um: None, head_um: Some(560_000) };
    let verdict = Verdict { outcome: fit::Outcome::MayStart, reasons: Vec::new(), rules_version: 1 };
    let fit = Body::Fit { machine: "4".into(), observations: BTreeMap::new(), overrides: Vec::new(), verdict };
    let first = [
        Body::CheckIn { late: true },
        Body::Gear { worn: GearPiece::ALL.iter().copied().collect() },
        head,
        fit,
        Body::Helmet { lot: "TR-M".into(), way: Way::Lent },
        Body::LessonMarks { lesson: 1, mark: Mark::Meets },
        Body::Proof { seen: true },
        Body::Outcome { outcome: Outcome::LeftEarly, why: None },
    ];
    let mut acts: Vec<Act> = (1..).zip(first).map(|(n, body)| at_meeting(1, n, body)).collect();
    let (one, two) = (Day::of(&acts, &curriculum, 1), Day::of(&acts, &curriculum, 2));
    assert!(one.is_here() && one.gear_missing().is_empty() && one.outcome() == Some(Outcome::LeftEarly));
    // Of the second morning nothing is known, and the child is not there.
    assert_eq!((two.arrived_at, two.is_here(), two.outcome()), (None, false, None));
    assert_eq!(two.gear_missing(), GearPiece::ALL);
    // What was measured, fitted, lent, learnt and shown stays.
    assert_eq!((two.head_um, two.fit_lets_start(), two.helmets.len()), (Some(560_000), true, 1));
    assert_eq!((two.attempts.len(), two.proof_seen), (4, Some(true)));
    // Coming again on the second morning does not check the child in on the first.
    acts.push(at_meeting(1, 20, Body::CheckOut { adult: "Ingrid Lindqvist".into() }));
    acts.push(at_meeting(2, 21, Body::CheckIn { late: false }));
    assert!(!Day::of(&acts, &curriculum, 1).is_here());
    assert_eq!(Day::of(&acts, &curriculum, 2).outcome(), Some(Outcome::Attended));
}

#[test]
fn day_3_the_rider_has_the_machine_of_the_latest_plan_or_of_the_latest_check_that_let_the_rider_start() {
    let fit = |machine: &str, outcome| {
        let verdict = Verdict { outcome, reasons: Vec::new(), rules_version: 1 };
        Body::Fit { machine: machine.into(), observations: BTreeMap::new(), overrides: Vec::new(), verdict }
    };
    let (yes, no) = (fit::Outcome::MayStart, fit::Outcome::NotYet);
    let plan = |machine: Option<&str>| Body::Assign { machine: machine.map(str::to_owned) };
    for (bodies, has, is_fitted) in [
        (vec![], None, false),
        (vec![plan(Some("4"))], Some("4"), false),
        (vec![plan(Some("4")), plan(None)], None, false),
        (vec![plan(Some("4")), fit("4", yes)], Some("4"), true),
        (vec![plan(Some("4")), fit("4", no)], None, false),
        (vec![plan(Some("4")), fit("7", no)], Some("4"), false),
        (vec![plan(Some("4")), fit("7", yes)], Some("7"), true),
        (vec![fit("4", yes), plan(Some("7"))], Some("7"), false),
        (vec![fit("4", yes), plan(Some("7")), fit("7", yes)], Some("7"), true),
    ] {
        let acts: Vec<Act> = (1..).zip(bodies).map(|(counter, body)| act(counter, body)).collect();
        let day = Day::of(&acts, &shipped(), 1);
        assert_eq!((day.machine.as_deref(), day.is_fitted()), (has, is_fitted), "{acts:?}");
    }
}

#[test]
fn day_3_a_rider_rides_on_until_home_or_counted_out_of_the_day() {
    let ended = |outcome| Day { set_outcome: Some((outcome, None)), ..Day::default() };
    for (outcome, rides) in [
        (Outcome::Attended, true),
        (Outcome::Late, true),
        (Outcome::LeftEarly, false),
        (Outcome::TurnedAway, false),
        (Outcome::ChoseToStop, false),
        (Outcome::Absent, false),
    ] {
        assert_eq!(ended(outcome).rides_on(), rides, "{outcome}");
    }
    assert!(Day::default().rides_on());
    assert!(!Day { left_with: Some(("Chidi Okafor".into(), at(9))), ..Day::default() }.rides_on());
}

#[test]
fn day_4_day_9_a_helmet_that_is_lent_anew_is_back_or_took_a_blow_is_checked_anew() {
    let check_of =
        |lot, comfortable| Body::HelmetCheck { lot, version: 1, size: true, wrong: Default::default(), comfortable };
    let check = |comfortable| check_of(None, comfortable);
    let fall =
        |helmet_hit| Body::Incident { case: 1, what: IncidentKind::Hurt, ambulance: false, machine: None, helmet_hit };
    let lend = || Body::Helmet { lot: "TR-M".into(), way: Way::Lent };
    let give = || Body::Helmet { lot: "TR-L".into(), way: Way::Given };
    let back = || Body::HelmetBack { lot: "TR-M".into(), how: CameBack::Damaged };
    for (bodies, is_right, has) in [
        (vec![], false, 0),
        (vec![check(true)], true, 0),
        (vec![check(true), check(false)], false, 0),
        (vec![check(false), check(true)], true, 0),
        (vec![check(true), lend()], false, 1),
        (vec![lend(), check(true)], true, 1),
        // What goes home with the child is not what it rode in.
        (vec![check(true), give()], true, 1),
        (vec![lend(), give(), back()], false, 1),
        (vec![lend(), back()], false, 0),
        (vec![lend(), back(), lend(), check(true)], true, 1),
        // A check goes with the helmet it was made of, and a blow ends it, also that of the rider's own.
        (vec![lend(), check_of(Some("TR-M".into()), true), back()], false, 0),
        (vec![lend(), back(), check(true)], true, 0),
        (vec![check(true), fall(false)], true, 0),
        (vec![check(true), fall(true)], false, 0),
        (vec![check(true), fall(true), check(true)], true, 0),
    ] {
        let acts: Vec<Act> = (1..).zip(bodies).map(|(counter, body)| act(counter, body)).collect();
        let day = Day::of(&acts, &shipped(), 1);
        assert_eq!((day.helmet_is_right(), day.helmets.len()), (is_right, has), "{acts:?}");
        // Of another meeting nothing is known about what is on the head.
        assert!(!Day::of(&acts, &shipped(), 2).helmet_is_right());
    }
}
