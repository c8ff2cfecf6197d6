//! Which machines one rider may be tried on today, and what measures alone let one expect of each. Reads only.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::super::super::field_act::category_of;
use super::super::super::{App, Failure};
use super::super::opened::{Opened, open};
use super::super::rider::measures;
use super::super::{Head, Line};
use super::{Machine, blank, common, dimensions, machine};
use crate::domain::access::Caller;
use crate::domain::acts::Body;
use crate::domain::fit::{
    About, Finding, FitRules, LikelyFit, LikelyReason, Limit, Outcome, Reason, is_stale, likely_fit,
};
use crate::domain::measures::{Length, Measures};
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::acts::fit_checks_elsewhere;
use crate::store::machines::{MachineRow, list_machines};
use crate::store::registrations::RegistrationRow;

/// The machines for one rider, likely ones first.
#[derive(Clone, Debug)]
pub struct Choice {
    /// The session.
    pub head: Head,
    /// The rider.
    pub line: Line,
    /// Measured today, else as the guardian said.
    pub measures: Measures,
    /// Machines of a category that the rider's age allows, and that are ready.
    pub allowed: Vec<MachineChoice>,
    /// Machines that the rider cannot be tried on today.
    pub kept_back: Vec<MachineChoice>,
}

/// One machine as a rider may be tried on it.
#[derive(Clone, Debug)]
pub struct MachineChoice {
    /// What it is.
    pub machine: Machine,
    /// What measures alone let one expect.
    pub likely: LikelyFit,
    /// Each estimate with its limit, in a sentence.
    pub told: Vec<String>,
    /// Why it is kept back; empty when it may be tried.
    pub why_not: String,
    /// Whether another rider may start on it by a fit check of today.
    pub taken_by: Option<String>,
    /// When the rider was last fitted on it at another session, and may have started.
    pub fitted: Option<Fitted>,
    /// Whether it goes to the session, or nobody has said which do.
    pub is_here: bool,
}

/// A fit check of another session that let the rider start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fitted {
    /// The day.
    pub on: NaiveDate,
    /// Whether it was so long ago that it says nothing any more: children grow.
    pub is_stale: bool,
}

/// The machines for one rider.
///
/// # Errors
/// `NotFound` for a rider of another session, or when the caller may not know of this one.
pub fn choose(app: &App, caller: &Caller, reference: &str, rider: &str) -> Result<Choice, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let row = opened.rider(conn, rider)?;
        let (head, line, acts, _) = common(app, conn, caller, &opened, &row)?;
        let rules = opened.fit_rules(conn)?;
        let measures = measures(conn, &row.1, &line.day, now)?;
        let others = opened.starters(conn, &acts)?.into_iter().filter(|starter| starter.registration != row.0.id);
        let taken: BTreeMap<String, String> = others.map(|starter| (starter.machine, starter.name)).collect();
        let going = opened.going(conn)?;
        let earlier = earlier(conn, &opened, &rules, &row.0)?;
        let mut choices = Vec::new();
        for machine in list_machines(conn)? {
            let is_here = going.is_empty() || going.contains(&machine.id);
            let fitted = earlier.get(&machine.number).copied();
            choices.push(MachineChoice { is_here, fitted, ..choice(&rules, &measures, line.age, &machine, &taken)? });
        }
        let (mut allowed, kept_back): (Vec<_>, Vec<_>) = choices.into_iter().partition(|c| c.why_not.is_empty());
        // The planned one first, then those that go to the session; of machines that measures do not tell apart, the category
        // nearest to the rider's age comes first.
        allowed.sort_by_key(|c| {
            let is_planned = line.day.machine.as_ref() == Some(&c.machine.number);
            let by_category = Reverse(c.machine.least_age);
            let by_number = (c.machine.number.len(), c.machine.number.clone());
            let fits_still = c.fitted.is_some_and(|fitted| !fitted.is_stale);
            (
                !is_planned,
                !c.is_here,
                c.likely.is_unlikely(),
                !fits_still,
                !c.likely.is_likely(),
                c.taken_by.is_some(),
                (by_category, by_number),
            )
        });
        Ok(Choice { head, line, measures, allowed, kept_back })
    })
}

/// The latest fit check of the rider on each machine at other sessions, where it let the rider start.
pub(in crate::services::roster) fn earlier(
    conn: &mut AnyConn,
    opened: &Opened,
    rules: &FitRules,
    registration: &RegistrationRow,
) -> Result<BTreeMap<String, Fitted>, Failure> {
    let mut found = BTreeMap::new();
    for kept in fit_checks_elsewhere(conn, registration.rider_id, registration.id)? {
        let (true, Body::Fit { machine, verdict, .. }) = (kept.counts(), kept.act.body) else { continue };
        let on = LocalTime::from_utc(kept.act.at, opened.zone).wall.date();
        let fitted = Fitted { on, is_stale: is_stale(rules, on, opened.today) };
        // A later check that held the rider back takes an earlier one away.
        match verdict.outcome {
            Outcome::MayStart => found.insert(machine, fitted),
            Outcome::NotYet => found.remove(&machine),
        };
    }
    Ok(found)
}

fn choice(
    rules: &FitRules,
    measures: &Measures,
    age: i64,
    row: &MachineRow,
    taken: &BTreeMap<String, String>,
) -> Result<MachineChoice, Failure> {
    let category = category_of(row)?;
    let verdict = blank(rules, row, age)?;
    let why_not = match verdict.may_be_tried() {
        Some(reason) => why_not(reason),
        None => String::new(),
    };
    let likely = likely_fit(rules, measures, &dimensions(row));
    Ok(MachineChoice {
        machine: machine(rules, row, category),
        told: likely.reasons.iter().filter_map(|reason| told(rules, reason)).collect(),
        likely,
        why_not,
        taken_by: taken.get(&row.number).cloned(),
        fitted: None,
        is_here: true,
    })
}

/// Why nobody of the rider's age is tried on a machine, in a sentence.
fn why_not(reason: &Reason) -> String {
    match (&reason.about, reason.limit, reason.number) {
        (About::LeastAge(_), Some(Limit::AtLeast(least)), Some(age)) => {
            format!("For age {least} and over. The rider is {age}.")
        }
        (About::EngineSize, ..) => "Its engine is too big for this age.".to_owned(),
        (About::Limiter(_), _, None) => "Nobody wrote down how its speed limiter is set.".to_owned(),
        (About::Limiter(_), ..) => "Its speed limiter is set faster than its category may go.".to_owned(),
        _ => "Not ready for use today.".to_owned(),
    }
}

/// "Room above the seat: about 6 3/4 in, limit at least 3 in."; nothing without a number.
fn told(rules: &FitRules, reason: &LikelyReason) -> Option<String> {
    let label = rules.criterion(&reason.criterion)?.label.in_lang(Lang::En);
    let (number, limit) = reason.number.zip(reason.limit)?;
    let about = |number| Length::from_um(number).inches_text();
    let limit = match limit {
        Limit::AtLeast(least) => format!("at least {}", about(least)),
        Limit::AtMost(most) => format!("at most {}", about(most)),
        Limit::Band(least, most) => format!("{} to {}", about(least), about(most)),
    };
    let outside = if reason.finding == Finding::NotMet { " Outside it." } else { "" };
    Some(format!("{label}: about {}, limit {limit}.{outside}", about(number)))
}
