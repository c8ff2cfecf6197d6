//! The days of the demonstration, held through the one door for acts as a lead would hold them.

use std::collections::{BTreeMap, BTreeSet};

use super::families::Registered;
use super::{Announced, Builder};
use crate::domain::acts::CountMoment;
use crate::domain::curriculum::Curriculum;
use crate::domain::fit::{FitRules, Kind, Observation, Seen};
use crate::domain::gear::{GearPiece, Way};
use crate::domain::measures::Length;
use crate::domain::point_list::PointListKind;
use crate::domain::session_day::Looked;
use crate::domain::skill::Mark;
use crate::domain::words::Word;
use crate::services::field_act::{Answer, DayListWish, FitWish, Wish, Wished, take};
use crate::services::{Failure, seed};
use crate::store::machines::list_machines;

/// A whole day: everybody arrives, rides, gets a helmet and goes home. Of each group one child still needs practice.
pub(super) fn whole(builder: &Builder, session: &Announced, riders: &[Registered]) -> Result<(), Failure> {
    let curriculum = curriculum();
    let mut acts = morning(builder, session, riders)?;
    for (place, rider) in riders.iter().enumerate() {
        arrive(builder, &mut acts, session, place, rider);
        for lesson in curriculum.lessons() {
            marks(builder, &mut acts, &curriculum, lesson.number, rider, place % 5 == 3);
        }
        let lot = lot(rider.head_cm);
        enter(builder, &mut acts, rider, Wish::Helmet { lot: lot.into(), way: Way::Given });
        enter(builder, &mut acts, rider, Wish::CheckOut { adult: rider.adult.clone() });
    }
    send(builder, session, acts)
}

/// Half a day: everybody is here and fitted, and the first half of the lessons is marked for the first half of the group.
pub(super) fn half(builder: &Builder, session: &Announced, riders: &[Registered]) -> Result<(), Failure> {
    let curriculum = curriculum();
    let mut acts = morning(builder, session, &riders[..riders.len().div_ceil(2)])?;
    for (place, rider) in riders.iter().enumerate() {
        if place * 2 < riders.len() {
            arrive(builder, &mut acts, session, place, rider);
            let with = Some(session.teachers[place % session.teachers.len()].clone());
            enter(builder, &mut acts, rider, Wish::Group { with });
            let half = curriculum.lessons().len() / 2;
            for lesson in &curriculum.lessons()[..half] {
                marks(builder, &mut acts, &curriculum, lesson.number, rider, false);
            }
        }
    }
    let here = i64::try_from(riders.len().div_ceil(2)).expect("few riders");
    let counted = Wish::Count { moment: CountMoment::Lesson, counted: here, group: None };
    acts.push(about_nobody(builder, counted));
    send(builder, session, acts)
}

/// Before the first engine: the team comes, the lead signs the day list, and each machine of these riders is looked over.
fn morning(builder: &Builder, session: &Announced, riders: &[Registered]) -> Result<Vec<Wished>, Failure> {
    let mut acts = on_the_area(builder, session);
    acts.push(signed(builder));
    let used: BTreeSet<String> =
        riders.iter().enumerate().map(|(place, rider)| machine(rider.age, place, session.ages)).collect();
    for row in builder.app.store.read(list_machines)?.into_iter().filter(|row| used.contains(&row.number)) {
        acts.push(about_nobody(builder, Wish::LookOver { machine: row.reference, wrong: BTreeMap::new() }));
    }
    Ok(acts)
}

/// The lead enters the whole team on the riding area.
fn on_the_area(builder: &Builder, session: &Announced) -> Vec<Wished> {
    let enter = |member: &String| Wished {
        id: builder.app.random.uuid_v7(builder.app.clock.now()).into_bytes(),
        rider: None,
        meeting: None,
        wish: Wish::Area { member: member.clone(), on: true },
    };
    session.team.iter().map(enter).collect()
}

/// The day list with every point right, signed by the lead with the first version of the site's emergency plan.
fn signed(builder: &Builder) -> Wished {
    let points = seed::point_list(PointListKind::DayList)
        .points()
        .iter()
        .map(|point| (point.key.clone(), Looked::Right))
        .collect();
    about_nobody(builder, Wish::DayList(DayListWish { points, signs: Some(1), seen: i64::MAX }))
}

pub(super) fn about_nobody(builder: &Builder, wish: Wish) -> Wished {
    let id = builder.app.random.uuid_v7(builder.app.clock.now()).into_bytes();
    Wished { id, rider: None, meeting: None, wish }
}

fn curriculum() -> Curriculum {
    toml::from_str(seed::CURRICULUM).expect("the shipped curriculum is sound")
}

pub(super) fn about(builder: &Builder, rider: &Registered, wish: Wish) -> Wished {
    Wished { rider: Some(rider.reference.clone()), ..about_nobody(builder, wish) }
}

fn enter(builder: &Builder, acts: &mut Vec<Wished>, rider: &Registered, wish: Wish) {
    acts.push(about(builder, rider, wish));
}

fn arrive(builder: &Builder, acts: &mut Vec<Wished>, session: &Announced, place: usize, rider: &Registered) {
    enter(builder, acts, rider, Wish::CheckIn { late: place % 7 == 6, returned: false });
    if session.asks_for_proof() {
        enter(builder, acts, rider, Wish::Proof { seen: true });
    }
    let head_um = Some(Length::from_cm(rider.head_cm).um());
    enter(builder, acts, rider, Wish::Measures { height_um: None, weight_g: None, inseam_um: None, head_um });
    enter(builder, acts, rider, Wish::Gear { worn: GearPiece::ALL.iter().copied().collect::<BTreeSet<_>>() });
    let check = Wish::HelmetCheck { lot: None, size: true, wrong: BTreeSet::new(), comfortable: true };
    enter(builder, acts, rider, check);
    let machine = machine(rider.age, place, session.ages);
    let fit = FitWish { machine, observations: all_met(), overrides: BTreeMap::new() };
    enter(builder, acts, rider, Wish::Fit(fit));
}

/// A machine of the fleet that a child of this age stands over with three to six inches of room: 1 to 8, 9 to 12, 13 to 18 and
/// 19 to 22 grow with the child.
pub(super) fn machine(age: i64, place: usize, ages: (i64, i64)) -> String {
    let number = match age {
        ..8 => 1 + place % 8,
        8 | 9 => 9 + place % 4,
        _ if ages.1 < 10 => 9 + place % 4,
        10..13 => 13 + place % 6,
        _ => 19 + place % 4,
    };
    number.to_string()
}

fn all_met() -> BTreeMap<crate::domain::fit::CriterionKey, Observation> {
    let rules: FitRules = toml::from_str(seed::FIT).expect("the shipped fit rules are sound");
    let looked_at = rules.criteria.iter().filter(|criterion| criterion.kind == Kind::SeeAndTap);
    looked_at.map(|criterion| (criterion.key.clone(), Observation::tapped(Seen::Met))).collect()
}

fn marks(
    builder: &Builder,
    acts: &mut Vec<Wished>,
    curriculum: &Curriculum,
    lesson: u16,
    rider: &Registered,
    needs_practice: bool,
) {
    let found = curriculum.lesson(lesson).expect("a lesson of the curriculum");
    let is_last = curriculum.next(lesson).is_none();
    if found.whole_lesson_marks {
        enter(builder, acts, rider, Wish::LessonMarks { lesson, mark: Mark::Meets });
        return;
    }
    for check in &found.checks {
        let mark = if needs_practice && is_last { Mark::NeedsPractice } else { Mark::Meets };
        enter(builder, acts, rider, Wish::Mark { check: check.code, mark, reason: None, clears: None });
    }
}

fn lot(head_cm: i64) -> &'static str {
    match head_cm {
        ..=50 => "K-S",
        51..=52 => "K-M",
        53..=54 => "K-L",
        55..=56 => "H-S",
        _ => "H-M",
    }
}

/// Sends the acts through the door. The demonstration is built of days on which nothing was refused.
pub(super) fn send(builder: &Builder, session: &Announced, acts: Vec<Wished>) -> Result<(), Failure> {
    let told: Vec<String> = acts.iter().map(|act| format!("{:?}", act.wish)).collect();
    let answers = take(&builder.app, &session.lead, &session.reference, acts)?;
    match answers.iter().zip(told).find(|(answer, _)| !matches!(answer, Answer::Taken(_))) {
        None => Ok(()),
        Some((answer, act)) => Err(Failure::broken(format!("{answer:?} to {act}"))),
    }
}
