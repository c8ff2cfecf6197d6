//! The one form door of the field: reads an act as a form sends it, hands it over, and leads back to its page.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::acts::{CountMoment, TurnedAwayFor};
use crate::domain::curriculum::CheckCode;
use crate::domain::fit::{CriterionKey, Observation, Seen, Unit, read_number};
use crate::domain::gear::{CameBack, GearPiece, Way};
use crate::domain::measures::{UnitSystem, read_length, read_mass};
use crate::domain::registration::Outcome;
use crate::domain::skill::Mark;
use crate::domain::words::{Lang, Line, Word};
use crate::services::field_act::{self, FitWish, Wish, Wished, read_id};
use crate::web::answer::{Answer, Trouble, go};
use crate::web::form::{FieldErrors, Typed};
use crate::web::refusal_words;

use super::many::{self, Named};
use super::place::Place;
use super::{Ask, Fields, Said, day_list, groups, helmet, incidents, look_over, weather};

/// The most characters of a name or a reason.
const LONGEST: usize = 300;

/// Takes one act, and leads back to the page that it came from.
///
/// # Errors
/// `Malformed` for what no page of ours sends; `NotFound` for a session or rider that is not the reader's.
pub async fn create(ask: Ask, Typed(fields): Typed<BTreeMap<String, String>>) -> Answer {
    let typed = Fields(fields);
    let (place, anchor) = Place::read(typed.of("back")).ok_or(Trouble::Malformed)?;
    let mut errors = FieldErrors::default();
    let named = wished(&typed, &anchor, &mut errors).ok_or(Trouble::Malformed)?;
    if !errors.is_empty() {
        return ask.draw(&place, Said { errors, typed }).await;
    }
    let (fields, wished): (Vec<String>, Vec<Wished>) = named.into_iter().unzip();
    let answers = ask.read(move |app, who, session| field_act::take(app, who, session, wished)).await?;
    for (field, answer) in fields.iter().zip(&answers) {
        match answer {
            field_act::Answer::Taken(_) | field_act::Answer::Already => {}
            field_act::Answer::Refused(refusal) => errors.add(field, refusal_words::words(Lang::En, refusal)),
            field_act::Answer::Unknown => return Err(Trouble::NotFound),
        }
    }
    if errors.is_empty() {
        return Ok(go(&format!("{}{anchor}", place.path(&ask.about.reference))));
    }
    ask.draw(&place, Said { errors, typed }).await
}

/// The acts that the form wishes, each with the field that a fault is told at; `None` when no page of ours can send it.
fn wished(typed: &Fields, anchor: &str, errors: &mut FieldErrors) -> Option<Vec<Named>> {
    match typed.of("act") {
        "undo" => many::undo(typed),
        "roll_call" => many::roll_call(typed, errors),
        "grid" => many::grid(typed),
        "assign" => many::assign(typed),
        "check_out" => Some(vec![("adult".to_owned(), one(typed, errors)?)]),
        "receipt" => Some(vec![("signer".to_owned(), one(typed, errors)?)]),
        "go_on" => Some(vec![("reason".to_owned(), one(typed, errors)?)]),
        "hand_over" => Some(vec![("to".to_owned(), one(typed, errors)?)]),
        "day_list" => Some(vec![("points".to_owned(), one(typed, errors)?)]),
        "group" => Some(vec![("riders".to_owned(), one(typed, errors)?)]),
        "group_place" => Some(vec![("group-sizes".to_owned(), one(typed, errors)?)]),
        "look_over" => Some(vec![("points".to_owned(), one(typed, errors)?)]),
        "fault" => Some(vec![("what".to_owned(), one(typed, errors)?)]),
        "weather" => Some(vec![("temperature".to_owned(), one(typed, errors)?)]),
        "near_miss" => Some(vec![("note".to_owned(), one(typed, errors)?)]),
        "incident" => Some(vec![("happened".to_owned(), one(typed, errors)?)]),
        "weather_call" => Some(vec![("why".to_owned(), one(typed, errors)?)]),
        _ => Some(vec![(anchor.trim_start_matches('#').to_owned(), one(typed, errors)?)]),
    }
}

/// The one act of a form; `None` when no page of ours can send it.
fn one(typed: &Fields, errors: &mut FieldErrors) -> Option<Wished> {
    let wish = match typed.of("act") {
        "check_in" => Wish::CheckIn { late: typed.of("late") == "yes", returned: typed.of("returned") == "yes" },
        "count" => count(typed, errors)?,
        "day_list" => day_list::wish(typed, errors)?,
        "group" => groups::wish(typed),
        "group_place" => groups::place(typed),
        "look_over" => look_over::wish(typed, errors),
        "fault" => Wish::Fault {
            machine: typed.of("machine").to_owned(),
            what: asked(typed, "what", "Write what is wrong, such as: front brake does not hold.", errors),
        },
        "measures" => measures(typed, errors),
        "gear" => Wish::Gear { worn: worn(typed) },
        "helmet" => Wish::Helmet { lot: typed.of("lot").to_owned(), way: Way::from_word(typed.of("way"))? },
        "helmet_check" => helmet::check(typed),
        "helmet_back" => {
            Wish::HelmetBack { lot: typed.of("lot").to_owned(), how: CameBack::from_word(typed.of("how"))? }
        }
        "receipt" => helmet::paper_receipt(typed, errors),
        "mark" => mark(typed)?,
        "lesson_marks" => {
            Wish::LessonMarks { lesson: typed.of("lesson").parse().ok()?, mark: Mark::from_word(typed.of("mark"))? }
        }
        "outcome" => outcome(typed, errors)?,
        "check_out" => Wish::CheckOut { adult: adult(typed, errors) },
        "proof" => Wish::Proof { seen: typed.of("seen") == "yes" },
        "fit" => Wish::Fit(fit(typed, errors)?),
        "area" => Wish::Area { member: typed.of("member").to_owned(), on: came(typed.of("on"))? },
        "go_on" => Wish::GoOn { reason: asked(typed, "reason", "Write why riding goes on.", errors) },
        "hand_over" => Wish::HandOver { to: asked(typed, "to", "Choose who leads from now on.", errors) },
        "weather" => Wish::Weather { reading: weather::reading(typed, errors) },
        "thunder" => Wish::Thunder,
        "weather_call" => weather::call(typed, errors)?,
        "near_miss" => incidents::near_miss(typed)?,
        "incident" => incidents::incident(typed, errors)?,
        _ => return None,
    };
    let rider = Some(typed.of("rider")).filter(|rider| !rider.is_empty()).map(str::to_owned);
    let meeting = match typed.of("meeting") {
        "" => None,
        number => Some(number.parse().ok()?),
    };
    Some(Wished { id: read_id(typed.of("act_id"))?, rider, meeting, wish })
}

fn count(typed: &Fields, errors: &mut FieldErrors) -> Option<Wish> {
    let moment = CountMoment::from_word(typed.of("moment"))?;
    let counted = typed.of("counted").trim().parse().ok().filter(|count| (0..=1000).contains(count));
    if counted.is_none() {
        errors.add("counted", "Write the number of heads you counted, such as 12.");
    }
    Some(Wish::Count { moment, counted: counted.unwrap_or(0), group: groups::named(typed.of("group")) })
}

fn measures(typed: &Fields, errors: &mut FieldErrors) -> Wish {
    let mut read = |field: &str, read: &dyn Fn(&str) -> Option<i64>| {
        let text = typed.of(field).trim();
        let value = if text.is_empty() { None } else { read(text) };
        if value.is_none() && !text.is_empty() {
            errors.add(field, "Write a number with its unit, such as 22 in or 56 cm. For weight, 63 lb or 29 kg.");
        }
        value
    };
    let length = |text: &str| read_length(text, UnitSystem::Us).ok().map(|length| length.um());
    let mass = |text: &str| read_mass(text, UnitSystem::Us).ok().map(|mass| mass.g());
    let (head_um, height_um) = (read("head", &length), read("height", &length));
    let (weight_g, inseam_um) = (read("weight", &mass), read("inseam", &length));
    if errors.is_empty() && [head_um, height_um, weight_g, inseam_um].iter().all(Option::is_none) {
        errors.add("head", "Write at least one measure.");
    }
    Wish::Measures { height_um, weight_g, inseam_um, head_um }
}

fn worn(typed: &Fields) -> BTreeSet<GearPiece> {
    let all = typed.of("all") == "yes";
    let has = |piece: &GearPiece| all || typed.of(&format!("worn_{piece}")) == "yes";
    GearPiece::ALL.iter().copied().filter(has).collect()
}

fn mark(typed: &Fields) -> Option<Wish> {
    let clears = match typed.of("clears") {
        "" => None,
        text => Some(read_id(text)?),
    };
    Some(Wish::Mark {
        check: CheckCode::parse(typed.of("check")).ok()?,
        mark: Mark::from_word(typed.of("mark"))?,
        reason: words(typed.of("reason")),
        clears,
    })
}

/// `left_early`, or `turned_away.gear` with its why.
fn outcome(typed: &Fields, errors: &mut FieldErrors) -> Option<Wish> {
    let text = typed.of("outcome");
    if text.is_empty() {
        errors.add("outcome", "Choose how the day ended.");
        return Some(Wish::Outcome { outcome: Outcome::Attended, why: None });
    }
    let (outcome, why) = text.split_once('.').unwrap_or((text, ""));
    let why = if why.is_empty() { None } else { Some(TurnedAwayFor::from_word(why)?) };
    Some(Wish::Outcome { outcome: Outcome::from_word(outcome)?, why })
}

fn adult(typed: &Fields, errors: &mut FieldErrors) -> String {
    let name = words(typed.of("adult"));
    if name.is_none() {
        errors.add("adult", "Write the first and last name of the adult who takes the child.");
    }
    name.unwrap_or_default()
}

/// Came onto the riding area, or left it.
fn came(text: &str) -> Option<bool> {
    match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// A line that must not be empty.
pub(super) fn asked(typed: &Fields, field: &str, else_say: &str, errors: &mut FieldErrors) -> String {
    let said = words(typed.of(field));
    if said.is_none() {
        errors.add(field, else_say);
    }
    said.unwrap_or_default()
}

/// A line that somebody typed; nothing when it is empty or no line at all.
pub(super) fn words(text: &str) -> Option<String> {
    Line::parse(text, LONGEST).ok().map(Line::into_string)
}

fn fit(typed: &Fields, errors: &mut FieldErrors) -> Option<FitWish> {
    let mut wish =
        FitWish { machine: typed.of("machine").to_owned(), observations: BTreeMap::new(), overrides: BTreeMap::new() };
    for (name, text) in &typed.0 {
        let Some((stem, key)) = name.split_once('_') else { continue };
        let key = CriterionKey(key.to_owned());
        let text = text.trim();
        match stem {
            "seen" => wish.observations.entry(key).or_default().seen = seen(text, typed, name)?,
            "length" | "length2" => number(&mut wish, key, stem, name, (text, Unit::Micrometre), errors),
            "angle" | "angle2" => number(&mut wish, key, stem, name, (text, Unit::TenthDegree), errors),
            "override" => {
                wish.overrides.extend(words(text).map(|reason| (key, reason)));
            }
            _ => {}
        }
    }
    Some(wish)
}

fn seen(text: &str, typed: &Fields, name: &str) -> Option<Seen> {
    Some(match text {
        "met" => Seen::Met,
        "not_met" => Seen::NotMet,
        "not_measured" => Seen::NotMeasured,
        "adapted" => {
            let note = typed.of(&name.replacen("seen_", "note_", 1));
            Seen::MetWithAdaptation { note: words(note).unwrap_or_default() }
        }
        _ => return None,
    })
}

fn number(
    wish: &mut FitWish,
    key: CriterionKey,
    stem: &str,
    name: &str,
    (text, unit): (&str, Unit),
    errors: &mut FieldErrors,
) {
    let seen: &mut Observation = wish.observations.entry(key).or_default();
    match read_number(text, unit) {
        Ok(number) if stem.ends_with('2') => seen.second_number = number,
        Ok(number) => seen.number = number,
        Err(_) if unit == Unit::Micrometre => errors.add(name, "Write inches or millimeters, such as 3 1/4 or 82 mm."),
        Err(_) => errors.add(name, "Write degrees, such as 120."),
    }
}
