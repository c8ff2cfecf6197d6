//! Which machines one rider may be tried on today, and what measures alone let one expect of each. Reads only.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::super::super::field_act::{category_of, state_of};
use super::super::super::{App, Failure};
use super::super::opened::{Opened, counted_by_rider, open};
use super::super::rider::measures;
use super::super::{Head, Line};
use super::{Machine, common, dimensions, machine};
use crate::domain::access::Caller;
use crate::domain::curriculum::Curriculum;
use crate::domain::day::Day;
use crate::domain::fit::{Finding, FitRules, LikelyFit, LikelyReason, Limit, likely_fit};
use crate::domain::ids::RegistrationId;
use crate::domain::measures::{Length, Measures};
use crate::domain::words::{Lang, full_name};
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::machines::{MachineRow, list_machines};

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
        let (head, line, acts, curriculum) = common(app, conn, caller, &opened, &row)?;
        let rules = opened.fit_rules(conn)?;
        let measures = measures(conn, &row.1, &line.day, now)?;
        let taken = taken_machines(conn, &opened, curriculum, &acts, row.0.id)?;
        let mut choices = Vec::new();
        for machine in list_machines(conn)? {
            choices.push(choice(&rules, &measures, line.age, &machine, &taken)?);
        }
        let (mut allowed, kept_back): (Vec<_>, Vec<_>) = choices.into_iter().partition(|c| c.why_not.is_empty());
        // Of machines that measures do not tell apart, the category nearest to the rider's age comes first.
        allowed.sort_by_key(|c| {
            let by_category = Reverse(c.machine.least_age);
            let by_number = (c.machine.number.len(), c.machine.number.clone());
            (c.likely.is_unlikely(), !c.likely.is_likely(), c.taken_by.is_some(), by_category, by_number)
        });
        Ok(Choice { head, line, measures, allowed, kept_back })
    })
}

/// Which machines other riders on the site may start on, and who.
fn taken_machines(
    conn: &mut AnyConn,
    opened: &Opened,
    curriculum: &Curriculum,
    acts: &[KeptAct],
    except: RegistrationId,
) -> Result<BTreeMap<String, String>, Failure> {
    let mut by_rider = counted_by_rider(acts);
    by_rider.remove(&except);
    let mut taken = BTreeMap::new();
    for (registration, rider) in opened.riders(conn, &by_rider)? {
        let own = by_rider.get(&registration.id).map_or(&[][..], Vec::as_slice);
        let day = Day::of(own, curriculum, opened.meeting.ordinal);
        if let (true, true, Some((machine, _))) = (day.is_here(), day.fit_lets_start(), &day.fit) {
            taken.insert(machine.clone(), full_name(&rider.given_name, &rider.family_name));
        }
    }
    Ok(taken)
}

fn choice(
    rules: &FitRules,
    measures: &Measures,
    age: i64,
    row: &MachineRow,
    taken: &BTreeMap<String, String>,
) -> Result<MachineChoice, Failure> {
    let category = category_of(row)?;
    let why_not = match rules.categories.allowed_by_age(category, age) {
        Err(refusal) => format!("For age {} and over. The rider is {}.", refusal.least, refusal.age),
        Ok(()) if !state_of(row)?.may_be_ridden() => "Not ready for use today.".to_owned(),
        Ok(()) => String::new(),
    };
    let likely = likely_fit(rules, measures, &dimensions(row));
    Ok(MachineChoice {
        machine: machine(rules, row, category),
        told: likely.reasons.iter().filter_map(|reason| told(rules, reason)).collect(),
        likely,
        why_not,
        taken_by: taken.get(&row.number).cloned(),
    })
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
