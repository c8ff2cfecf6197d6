//! Every rider of the demonstration on every machine of its fleet, judged by the shipped rules alone.

use std::collections::BTreeMap;

use diesel::prelude::*;
use waymark::domain::fit::{
    About, Finding, FitCheck, FitRules, Kind, Observation, Outcome, Override, OverrideBy, Seen, Verdict, likely_fit,
    verdict,
};
use waymark::domain::ids::RiderId;
use waymark::domain::machine::{Category, Dimensions, MachineState};
use waymark::domain::measures::{Length, Mass, Measures};
use waymark::domain::people::{LeapRule, age_on};
use waymark::domain::words::Word;
use waymark::services::demo;
use waymark::store::StoreError;
use waymark::store::machines::{MachineRow, list_machines};
use waymark::store::registrations::find_newest_measures;
use waymark::store::schema::riders;

use crate::house::app::{saturday, unserved};
use crate::house::database::TestDatabase;

/// One rider and one machine.
pub struct Pair {
    age: i64,
    measures: Measures,
    machine: Dimensions,
    category: Category,
    state: MachineState,
    engine_tenth_cc: i64,
    limiter_tenth_mph: Option<i64>,
}

/// All pairs: the riders whose families wrote measures, and the whole fleet.
pub fn demo_pairs() -> Vec<Pair> {
    let database = TestDatabase::migrated();
    let app = unserved(&database);
    demo::build(&app).expect("the demonstration");
    let read = |conn: &mut waymark::store::AnyConn| {
        let children: Vec<(RiderId, chrono::NaiveDate)> = riders::table
            .order(riders::id)
            .select((riders::id, riders::birth_date))
            .load(conn)
            .map_err(StoreError::from)?;
        let machines = list_machines(conn)?;
        let mut pairs = Vec::new();
        for (rider, born) in children {
            let Some(told) = find_newest_measures(conn, rider)? else { continue };
            let length = |um: Option<i64>| um.map(Length::from_um);
            let measures = Measures {
                height: length(told.height_um),
                weight: told.weight_g.map(Mass::from_g),
                inseam: length(told.inseam_um),
                reach: length(told.reach_um),
                hand: length(told.hand_um),
                foot: length(told.foot_um),
                head: length(told.head_um),
                taken_on: told.taken_on,
            };
            let age = age_on(born, saturday(), LeapRule::default());
            pairs.extend(machines.iter().map(|machine| pair(age, measures, machine)));
        }
        Ok::<_, StoreError>(pairs)
    };
    app.store.read(read).expect("riders and machines")
}

fn pair(age: i64, measures: Measures, machine: &MachineRow) -> Pair {
    Pair {
        age,
        measures,
        machine: Dimensions {
            seat_to_rest: Some(Length::from_um(machine.seat_to_rest_um)),
            grip_to_lever: machine.grip_to_lever_um.map(Length::from_um),
            rest_to_pedal: machine.rest_to_pedal_um.map(Length::from_um),
            dry_weight: Some(Mass::from_g(machine.dry_weight_g)),
        },
        category: Category::from_word(&machine.category).expect("a category"),
        state: MachineState::from_word(&machine.state).expect("a state"),
        engine_tenth_cc: machine.engine_cc_tenths,
        limiter_tenth_mph: machine.limiter_tenths_mph,
    }
}

impl Pair {
    /// Counts what measures let one expect, and what a fit check says with and without anybody's look.
    pub fn verdicts(&self, rules: &FitRules, count: &mut impl FnMut(String)) {
        let likely = likely_fit(rules, &self.measures, &self.machine);
        let expected = match (likely.is_unlikely(), likely.is_likely()) {
            (true, _) => "not likely to fit",
            (false, true) => "likely to fit",
            (false, false) => "not enough is known",
        };
        count(format!("measures of home: {expected}"));
        for reason in &likely.reasons {
            count(format!("measures of home, {}: {:?}", reason.criterion.as_str(), reason.finding));
        }
        let numbers = self.numbers(rules);
        count(format!(
            "verdict from measures of home alone: {}",
            said(&self.judged(rules, numbers.clone(), Vec::new()))
        ));
        let mut seen = numbers;
        for criterion in rules.criteria.iter().filter(|criterion| criterion.kind == Kind::SeeAndTap) {
            seen.entry(criterion.key.clone()).or_default().seen = Seen::Met;
        }
        let found = self.judged(rules, seen.clone(), Vec::new());
        count(format!("verdict, every point seen met: {}", said(&found)));
        if found.measure_again() {
            count("measure again".to_owned());
        }
        if let Some(why) = why(&found) {
            count(format!("held back by {why}"));
        }
        let advisory = rules.criteria.iter().filter(|criterion| !criterion.mandatory);
        let reasons = advisory.filter_map(|one| Override::of(rules, &one.key, OverrideBy::Lead, "Seen twice").ok());
        count(format!("verdict, with the lead's reasons: {}", said(&self.judged(rules, seen, reasons.collect()))));
    }

    fn numbers(&self, rules: &FitRules) -> BTreeMap<waymark::domain::fit::CriterionKey, Observation> {
        let number = |criterion: &waymark::domain::fit::Criterion| {
            let number = criterion.estimate?.number(&self.measures, &self.machine)?;
            Some((criterion.key.clone(), Observation::measured(number)))
        };
        rules.criteria.iter().filter_map(number).collect()
    }

    fn judged(
        &self,
        rules: &FitRules,
        observations: BTreeMap<waymark::domain::fit::CriterionKey, Observation>,
        overrides: Vec<Override>,
    ) -> Verdict {
        let (age, category, machine_state) = (self.age, self.category, self.state);
        verdict(
            rules,
            &FitCheck {
                observations,
                age,
                category,
                machine_state,
                engine_tenth_cc: Some(self.engine_tenth_cc),
                limiter_tenth_mph: self.limiter_tenth_mph,
                overrides,
            },
        )
    }
}

fn said(verdict: &Verdict) -> &'static str {
    match verdict.outcome {
        Outcome::MayStart => "may start",
        Outcome::NotYet => "not yet",
    }
}

/// Age, least clearance, or the advisory points: what holds back first.
fn why(verdict: &Verdict) -> Option<&'static str> {
    let has = |is: &dyn Fn(&About, bool) -> bool| {
        verdict.holding_back().any(|reason| reason.finding == Finding::NotMet && is(&reason.about, reason.mandatory))
    };
    let age = has(&|about, _| matches!(about, About::LeastAge(_)));
    let mandatory = has(&|about, mandatory| mandatory && matches!(about, About::Criterion(_)));
    let stands = has(&|about, _| matches!(about, About::MachineState(_)));
    let is_fast = has(&|about, _| matches!(about, About::Limiter(_)))
        || verdict.holding_back().any(|reason| matches!(reason.about, About::Limiter(_)));
    match (age, mandatory, verdict.outcome) {
        (false, false, Outcome::NotYet) if is_fast => Some("the speed limiter"),
        (false, false, Outcome::NotYet) if stands => Some("a machine that is out of use"),
        (true, true, _) => Some("age and clearance"),
        (true, false, _) => Some("age"),
        (false, true, _) => Some("clearance"),
        (false, false, Outcome::NotYet) => Some("an advisory point without the lead's reason"),
        (false, false, Outcome::MayStart) => None,
    }
}
