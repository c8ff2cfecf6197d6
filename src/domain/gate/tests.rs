//! Each rule before an act, by table: what is missing, and the act that it keeps back.

use chrono::NaiveDateTime;

use super::*;
use crate::domain::acts::CountMoment;
use crate::domain::curriculum::Curriculum;
use crate::domain::fit::{self, Verdict};
use crate::domain::gear::{CameBack, GearPiece, HelmetCheck, SignedOn};
use crate::domain::proof::Proof;
use crate::domain::words::Word;

fn shipped() -> Curriculum {
    toml::from_str(include_str!("../../../seed/curriculum.toml")).expect("the shipped curriculum is sound")
}

fn at() -> NaiveDateTime {
    "2026-06-13T15:00:00".parse().expect("an instant")
}

fn act(counter: i64, body: Body) -> Act {
    let id = [u8::try_from(counter).expect("few acts"); 16];
    Act { id, meeting: 1, device: "web:1".into(), seq: counter, counter, seen: 0, at: at(), by_lead: false, body }
}

fn mark(code: &str, mark: Mark) -> Body {
    Body::Mark { check: CheckCode::parse(code).expect("a code"), mark, reason: None, clears: None }
}

fn helmet_check(lot: Option<&str>, comfortable: bool) -> Body {
    let lot = lot.map(str::to_owned);
    Body::HelmetCheck { lot, version: 1, size: true, wrong: Default::default(), comfortable }
}

/// Here, in full gear, in a helmet that is right, on a machine that fits, with every check of lessons 1 to 4 met.
fn ready(curriculum: &Curriculum) -> Day {
    let verdict = Verdict { outcome: fit::Outcome::MayStart, reasons: Vec::new(), rules_version: 1 };
    let fit = Body::Fit { machine: "4".into(), observations: Default::default(), overrides: Vec::new(), verdict };
    let worn = GearPiece::ALL.iter().copied().collect();
    let mut bodies = vec![Body::CheckIn { late: false }, Body::Gear { worn }, helmet_check(None, true), fit];
    bodies.extend((1..=4).map(|lesson| Body::LessonMarks { lesson, mark: Mark::Meets }));
    let acts: Vec<Act> = (1..).zip(bodies).map(|(counter, body)| act(counter, body)).collect();
    Day::of(&acts, curriculum, 1)
}

fn taken(day: &Day, body: Body) -> Result<(), Refusal> {
    let curriculum = shipped();
    let none: &[String] = &[];
    let before = Before {
        has_seat: true,
        has_consent: true,
        day,
        curriculum: &curriculum,
        not_release: none,
        proof: Proof::NOT_ASKED,
        parked: None,
    };
    before.may_take(&act(90, body))
}

#[test]
fn house_3_a_rider_with_everything_gets_a_riding_mark() {
    assert_eq!(taken(&ready(&shipped()), mark("5.1", Mark::Meets)), Ok(()));
}

#[test]
fn house_3_what_is_missing_keeps_the_riding_mark_back_and_is_named() {
    let ready = ready(&shipped());
    let worn = |pieces: &[GearPiece]| Some(pieces.iter().copied().collect());
    let not_yet = |mut day: Day| {
        if let Some((_, verdict)) = &mut day.fit {
            verdict.outcome = fit::Outcome::NotYet;
        }
        day
    };
    let missing = |pieces: &[&str]| Refusal::GearMissing { pieces: pieces.iter().map(|p| (*p).to_owned()).collect() };
    for (day, expected) in [
        (Day { arrived_at: None, ..ready.clone() }, Refusal::RiderNotHere),
        (Day { left_with: Some(("Ana".into(), at())), ..ready.clone() }, Refusal::RiderNotHere),
        (Day { worn: worn(&GearPiece::ALL[1..]), ..ready.clone() }, missing(&["helmet"])),
        (Day { worn: worn(&GearPiece::ALL[..5]), ..ready.clone() }, missing(&["boots over the ankle"])),
        (Day { helmet_check: None, ..ready.clone() }, Refusal::Gear(GearRefusal::NotChecked)),
        (Day { helmet_check: Some(HelmetCheck::default()), ..ready.clone() }, Refusal::Gear(GearRefusal::NotRight)),
        (Day { fit: None, ..ready.clone() }, Refusal::NoFit),
        (not_yet(ready.clone()), Refusal::NoFit),
    ] {
        for body in [mark("5.1", Mark::Meets), mark("5.1", Mark::NeedsPractice)] {
            assert_eq!(taken(&day, body), Err(expected.clone()));
        }
        // A stop is a warning: only a child who is not here cannot be stopped.
        let stop = taken(&day, mark("5.1", Mark::StoppedForSafety));
        assert_eq!(stop.is_ok(), expected != Refusal::RiderNotHere);
    }
    // Nothing turns in lesson 1, so gear and fit do not matter there.
    assert_eq!(taken(&Day { fit: None, worn: None, ..ready }, mark("1.1", Mark::Meets)), Ok(()));
}

#[test]
fn day_1_a_parked_machine_keeps_the_riding_mark_back_and_no_stop() {
    let curriculum = shipped();
    let day = ready(&curriculum);
    for why in [Parked::OutOfUse, Parked::NotLookedOver] {
        let before = Before {
            has_seat: true,
            has_consent: true,
            day: &day,
            curriculum: &curriculum,
            not_release: &[],
            proof: Proof::NOT_ASKED,
            parked: Some(why),
        };
        let parked = Err(Refusal::MachineParked { number: "4".into(), why });
        assert_eq!(before.may_take(&act(90, mark("5.1", Mark::Meets))), parked);
        assert_eq!(before.may_take(&act(90, mark("5.1", Mark::NeedsPractice))), parked);
        assert_eq!(before.may_take(&act(90, mark("5.1", Mark::StoppedForSafety))), Ok(()));
        assert_eq!(before.may_take(&act(90, mark("1.1", Mark::Meets))), Ok(()));
        assert_eq!(before.may_take(&act(90, Body::CheckOut { adult: "Ingrid Lindqvist".into() })), Ok(()));
    }
}

#[test]
fn house_3_nothing_is_entered_without_a_seat_or_a_consent() {
    let (curriculum, none): (_, &[String]) = (shipped(), &[]);
    let day = ready(&curriculum);
    let bodies = [Body::CheckIn { late: false }, Body::Gear { worn: Default::default() }, mark("1.1", Mark::Meets)];
    for body in bodies {
        let asked = |has_seat, has_consent| {
            let before = Before {
                has_seat,
                has_consent,
                day: &day,
                curriculum: &curriculum,
                not_release: none,
                proof: Proof::NOT_ASKED,
                parked: Some(Parked::NotLookedOver),
            };
            before.may_take(&act(90, body.clone()))
        };
        assert_eq!(asked(false, true), Err(Refusal::NoSeat));
        assert_eq!(asked(true, false), Err(Refusal::NoConsent));
        assert_eq!(asked(true, true), Ok(()));
    }
}

#[test]
fn house_3_a_child_goes_home_even_when_a_consent_was_withdrawn_but_only_with_a_named_adult() {
    let curriculum = shipped();
    let day = ready(&curriculum);
    let listed = ["Marcus Webb".to_owned()];
    let before = Before {
        has_seat: true,
        has_consent: false,
        day: &day,
        curriculum: &curriculum,
        not_release: &listed,
        proof: Proof::NOT_ASKED,
        parked: Some(Parked::OutOfUse),
    };
    let out = |adult: &str| before.may_take(&act(90, Body::CheckOut { adult: adult.into() }));
    assert_eq!(out("Ingrid Lindqvist"), Ok(()));
    assert_eq!(out(" "), Err(Refusal::AdultNeeded));
    assert_eq!(out("marcus webb"), Err(Refusal::NotReleased { name: "Marcus Webb".into() }));
}

#[test]
fn house_3_a_rider_gets_one_helmet_of_each_way() {
    let day = Day { helmets: vec![("TR-M".into(), Way::Given)], ..ready(&shipped()) };
    let helmet = |way| Body::Helmet { lot: "TR-L".into(), way };
    assert_eq!(taken(&day, helmet(Way::Given)), Err(Refusal::Gear(GearRefusal::HelmetAlready)));
    assert_eq!(taken(&day, helmet(Way::Lent)), Ok(()));
}

#[test]
fn house_3_a_day_ends_only_as_it_can_have_ended() {
    let curriculum = shipped();
    let (here, away) = (ready(&curriculum), Day::default());
    let end = |outcome, why| Body::Outcome { outcome, why };
    let consent = Some(TurnedAwayFor::Consent);
    for (day, body, expected) in [
        (&away, end(Outcome::Absent, None), Ok(())),
        (&here, end(Outcome::Absent, None), Err(Refusal::WorldMoved)),
        (&away, end(Outcome::TurnedAway, consent), Ok(())),
        (&here, end(Outcome::TurnedAway, None), Err(Refusal::NoteNeeded)),
        (&away, end(Outcome::LeftEarly, None), Err(Refusal::RiderNotHere)),
        (&here, end(Outcome::LeftEarly, None), Ok(())),
        (&here, end(Outcome::ChoseToStop, None), Ok(())),
        (&away, Body::Count { moment: CountMoment::Other, expected: 0, counted: 0, group: None }, Ok(())),
    ] {
        assert_eq!(taken(day, body.clone()), expected, "{body:?}");
    }
}

#[test]
fn saturday_1_a_proof_that_is_needed_and_unseen_keeps_the_riding_mark_back() {
    let curriculum = shipped();
    let day = ready(&curriculum);
    let asked = |rule, seen_on_field, body: Body| {
        let proof = Proof { rule, answer: None, seen_by_office: false, seen_on_field };
        let before = Before {
            has_seat: true,
            has_consent: true,
            day: &day,
            curriculum: &curriculum,
            not_release: &[],
            proof,
            parked: None,
        };
        before.may_take(&act(90, body))
    };
    let riding = || mark("5.1", Mark::Meets);
    assert_eq!(asked(ProofRule::Needed, None, riding()), Err(Refusal::ProofMissing));
    assert_eq!(asked(ProofRule::Needed, Some(true), riding()), Ok(()));
    assert_eq!(asked(ProofRule::Asked, None, riding()), Ok(()));
    // Nothing turns in lesson 1; a stop is always taken; the proof itself can be looked at.
    assert_eq!(asked(ProofRule::Needed, None, mark("1.1", Mark::Meets)), Ok(()));
    assert_eq!(asked(ProofRule::Needed, None, mark("5.1", Mark::StoppedForSafety)), Ok(()));
    assert_eq!(asked(ProofRule::Needed, None, Body::Proof { seen: true }), Ok(()));
    assert_eq!(asked(ProofRule::None, None, Body::Proof { seen: true }), Err(Refusal::NoProofAsked));
}

/// Nothing happens twice: a helmet that is back does not come back again, and nobody signs for what a rider never had.
#[test]
fn day_4_only_a_helmet_that_the_rider_has_is_checked_signed_for_and_taken_back() {
    let lent = Day { helmets: vec![("TR-M".into(), Way::Lent)], ..ready(&shipped()) };
    let back = Day { helmets_back: vec![("TR-M".into(), CameBack::InOrder)], ..ready(&shipped()) };
    let none = ready(&shipped());
    let no = |refusal| Err(Refusal::Gear(refusal));
    let comes_back = |lot: &str| Body::HelmetBack { lot: lot.into(), how: CameBack::InOrder };
    let receipt = || Body::Receipt { lot: "TR-M".into(), name: "Chidi Okafor".into(), on: SignedOn::Paper };
    for (day, body, expected) in [
        (&lent, comes_back("TR-M"), Ok(())),
        (&lent, comes_back("TR-L"), no(GearRefusal::NotTheirs)),
        (&back, comes_back("TR-M"), no(GearRefusal::BackAlready)),
        (&none, comes_back("TR-M"), no(GearRefusal::NotTheirs)),
        (&lent, helmet_check(Some("TR-M"), true), Ok(())),
        (&lent, helmet_check(Some("TR-L"), true), no(GearRefusal::NotTheirs)),
        (&none, helmet_check(None, false), Ok(())),
        (&lent, receipt(), Ok(())),
        (&none, receipt(), no(GearRefusal::NotTheirs)),
        // One that came back may be lent again.
        (&back, Body::Helmet { lot: "TR-M".into(), way: Way::Lent }, Ok(())),
    ] {
        assert_eq!(taken(day, body.clone()), expected, "{body:?}");
    }
    // A child who went home brings a lent helmet back another day.
    let home = Day { left_with: Some(("Ana".into(), at())), ..lent };
    assert_eq!(taken(&home, comes_back("TR-M")), Ok(()));
}
