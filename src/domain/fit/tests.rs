//! Tests of the fit rules; here is the scenery they share.

mod answers;
mod data;
mod generated;
mod limits;

use super::*;
use crate::domain::curriculum::SourceMark;
use crate::domain::machine::{Category, Dimensions, MachineState};
use crate::domain::measures::{Length, Mass, Measures};
use chrono::NaiveDate;
use std::collections::BTreeMap;

fn key(word: &str) -> CriterionKey {
    CriterionKey(word.to_owned())
}

fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
}

/// Everything met by tap, an age of ten on a Y-10+ that is ready.
fn all_met(rules: &FitRules) -> FitCheck {
    let judged = rules.criteria.iter().filter(|criterion| criterion.kind == Kind::SeeAndTap);
    FitCheck {
        observations: judged.map(|criterion| (criterion.key.clone(), Observation::tapped(Seen::Met))).collect(),
        age: 10,
        category: Category::Y10,
        machine_state: MachineState::Ready,
        engine_tenth_cc: None,
        limiter_tenth_mph: Some(150),
        overrides: Vec::new(),
    }
}

fn with(mut check: FitCheck, word: &str, observation: Observation) -> FitCheck {
    check.observations.insert(key(word), observation);
    check
}

fn reason_of(verdict: &Verdict, word: &str) -> Reason {
    let about = About::Criterion(key(word));
    verdict.reasons.iter().find(|reason| reason.about == about).expect("each criterion has a reason").clone()
}

fn finding_of_number(word: &str, number: i64) -> Finding {
    let rules = shipped_rules();
    reason_of(&verdict(&rules, &with(all_met(&rules), word, Observation::measured(number))), word).finding
}
