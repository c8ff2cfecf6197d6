//! Who rides which machine, and who gets which helmet: a proposal for the whole group, with what one choice of a person would
//! change. Reads only; a plan is kept by acts, and only the fit check lets a rider start.

mod helmets;

use std::collections::BTreeSet;

use super::super::{App, Failure};
use super::Head;
use super::fit::{blank, dimensions, earlier, least_age};
use super::opened::{Opened, counted_by_rider, open};
use super::rider::measures;
use crate::domain::access::Caller;
use crate::domain::acts::{Act, Body};
use crate::domain::assignment::{Assignment, Pair, Wanted, assign};
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::domain::fit::{Outcome, likely_fit};
use crate::domain::ids::MachineId;
use crate::domain::machine::MachineState;
use crate::domain::machine::record::number_order;
use crate::domain::measures::Measures;
use crate::domain::words::{Word, full_name};
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::machines::{MachineRow, list_machines};

pub use helmets::Helmet;

/// A choice that a person wants to see the consequence of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pin {
    /// Reference of the registration.
    pub rider: String,
    /// What the rider would have.
    pub choice: Choice,
}

/// What a rider would have in place of what is proposed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// The machine of this number.
    Machine(String),
    /// A helmet of the lot of this code.
    Helmet(String),
}

/// Who rides what.
#[derive(Clone, Debug)]
pub struct AssignmentPage {
    /// The session.
    pub head: Head,
    /// Every rider who rides today, by name.
    pub riders: Vec<Planned>,
    /// Why not everybody can have a machine.
    pub blocked: Option<Blocked>,
    /// The choice that is looked at, when it can be made.
    pub pin: Option<Pin>,
    /// Whether the choice cannot be made.
    pub pin_is_refused: bool,
    /// Why not everybody can have a helmet.
    pub no_helmet: Option<Blocked>,
}

/// Riders who are more than what there is for them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocked {
    /// Their names.
    pub riders: Vec<String>,
    /// Machines by number, or helmets in words.
    pub machines: Vec<String>,
}

/// One rider with a machine and a helmet.
#[derive(Clone, Debug)]
pub struct Planned {
    /// Reference of the registration.
    pub reference: String,
    /// Whole name.
    pub name: String,
    /// Completed years on the day.
    pub age: i64,
    /// Whether the rider has come and not gone home.
    pub is_here: bool,
    /// The machine that the rider has.
    pub now: Option<String>,
    /// Whether a fit check lets the rider start on it.
    pub is_fitted: bool,
    /// The machine that is proposed.
    pub proposed: Option<String>,
    /// Every machine that the rider may be given, by number.
    pub allowed: Vec<String>,
    /// The helmet that is proposed; none for a rider who has one.
    pub helmet: Option<Helmet>,
    /// The helmet that is proposed without the choice that is looked at.
    pub helmet_else: Option<Helmet>,
    /// Every helmet that the rider may be given, a lot each.
    pub helmets: Vec<Helmet>,
    /// Whether the rider has a helmet already.
    pub has_helmet: bool,
}

impl Planned {
    /// Whether the proposal changes anything for the rider.
    pub fn changes(&self) -> bool {
        self.now != self.proposed
    }

    /// Whether the choice that is looked at changes the helmet.
    pub fn changes_helmet(&self) -> bool {
        self.helmet != self.helmet_else
    }
}

/// One rider as the proposal needs it.
struct Rider {
    planned: Planned,
    day: Day,
    measures: Measures,
    costs: Vec<Option<i64>>,
}

/// The proposal, with a choice that a person wants to see.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str, pin: Option<Pin>) -> Result<AssignmentPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let machines = machines(conn, &opened)?;
        let mut riders = riders(conn, &opened, &acts, &machines)?;
        let place = |number: &String| machines.iter().position(|machine| machine.number == *number);
        let pinned = pin.as_ref().and_then(|pin| {
            let rider = riders.iter().position(|rider| rider.planned.reference == pin.rider)?;
            Some((rider, &pin.choice))
        });
        let wanted_pin = pinned.and_then(|(rider, choice)| {
            let Choice::Machine(number) = choice else { return None };
            let machine = place(number)?;
            riders[rider].costs[machine].map(|_| (rider, machine))
        });
        let helmet_pin = pinned.and_then(|(rider, choice)| match choice {
            Choice::Helmet(lot) => Some((rider, lot.as_str())),
            Choice::Machine(_) => None,
        });
        let mut costs: Vec<Vec<Option<i64>>> = riders.iter().map(|rider| rider.costs.clone()).collect();
        if let Some((rider, machine)) = wanted_pin {
            costs[rider].iter_mut().enumerate().filter(|(at, _)| *at != machine).for_each(|(_, cost)| *cost = None);
        }
        let has = |rider: &Rider| rider.planned.now.as_ref().and_then(place);
        let (now, first) = (riders.iter().map(has).collect(), wanted_pin.map(|(rider, _)| rider));
        let wanted = Wanted { machines: machines.len(), costs, now, first };
        let found = assign(&wanted);
        for (rider, machine) in riders.iter_mut().zip(&found.machine_of) {
            rider.planned.proposed = machine.map(|at| machines[at].number.clone());
        }
        let blocked = named(&found, &riders, |at| machines[at].number.clone());
        let helmets = helmets::offer(conn, &opened, &mut riders, helmet_pin)?;
        let is_possible = wanted_pin.is_some() || helmets.is_possible;
        Ok(AssignmentPage {
            head: opened.head(conn, caller, &acts, CautionKey::Fit)?,
            riders: riders.into_iter().map(|rider| rider.planned).collect(),
            blocked,
            pin_is_refused: pin.is_some() && !is_possible,
            pin: pin.filter(|_| is_possible),
            no_helmet: helmets.blocked,
        })
    })
}

fn named(found: &Assignment, riders: &[Rider], name: impl Fn(usize) -> String) -> Option<Blocked> {
    let blocked = found.blocked.as_ref()?;
    let mut machines: Vec<String> = blocked.machines.iter().map(|at| name(*at)).collect();
    machines.sort_by_key(|number| number_order(number));
    machines.dedup();
    Some(Blocked { riders: blocked.riders.iter().map(|at| riders[*at].planned.name.clone()).collect(), machines })
}

/// The machines that are there and ready: those that go to the session, before somebody has said which the whole fleet.
fn machines(conn: &mut AnyConn, opened: &Opened) -> Result<Vec<MachineRow>, Failure> {
    let going = opened.going(conn)?;
    let is_ready = |row: &MachineRow| MachineState::from_word(&row.state).is_some_and(MachineState::may_be_ridden);
    let mut rows = list_machines(conn)?;
    rows.retain(|row| is_ready(row) && (going.is_empty() || going.contains(&row.id)));
    rows.sort_by_key(|row| number_order(&row.number));
    Ok(rows)
}

/// Everybody who has a seat or came, and has not gone home or ended the day otherwise.
fn riders(
    conn: &mut AnyConn,
    opened: &Opened,
    acts: &[KeptAct],
    machines: &[MachineRow],
) -> Result<Vec<Rider>, Failure> {
    let (rules, by_rider) = (opened.fit_rules(conn)?, counted_by_rider(acts));
    let mut hours: Vec<i64> = machines.iter().filter_map(|row| row.hours_tenths).collect();
    hours.sort_unstable();
    let most_hours = hours.last().copied().unwrap_or(0).max(1);
    // A meter that nobody read says neither much nor little.
    let usual_hours = hours.get(hours.len() / 2).copied().unwrap_or(0);
    let mut found = Vec::new();
    for (registration, rider) in opened.riders(conn, &by_rider)? {
        let own = by_rider.get(&registration.id).map_or(&[][..], Vec::as_slice);
        let day = Day::of(own, opened.curriculum(conn)?, opened.meeting.ordinal);
        if !day.rides_on() {
            continue;
        }
        let (age, measures) = (opened.age_of(&rider), measures(conn, &rider, &day, opened.now)?);
        let fitted = earlier(conn, opened, &rules, &registration)?;
        let mut costs = Vec::new();
        for row in machines {
            let likely = likely_fit(&rules, &measures, &dimensions(row));
            let pair = Pair {
                is_allowed: blank(&rules, row, age)?.may_be_tried().is_none(),
                checked: checked(own, &row.number),
                fitted_before: fitted.get(&row.number).is_some_and(|fitted| !fitted.is_stale),
                likely: &likely,
                years_over: age - least_age(&rules, row)?,
                wear: row.hours_tenths.unwrap_or(usual_hours) * 1_000 / most_hours,
            };
            costs.push(pair.cost());
        }
        let may_have = machines.iter().zip(&costs).filter(|(_, cost)| cost.is_some());
        found.push(Rider {
            planned: Planned {
                name: full_name(&rider.given_name, &rider.family_name),
                reference: registration.reference,
                age,
                is_here: day.is_here(),
                now: day.machine.clone(),
                is_fitted: day.is_fitted(),
                proposed: None,
                allowed: may_have.map(|(row, _)| row.number.clone()).collect(),
                helmet: None,
                helmet_else: None,
                helmets: Vec::new(),
                has_helmet: !day.helmets.is_empty(),
            },
            costs,
            day,
            measures,
        });
    }
    Ok(found)
}

/// What the latest fit check of the rider on a machine says.
fn checked(own: &[Act], number: &str) -> Option<Outcome> {
    let of_it = own.iter().filter_map(|act| match &act.body {
        Body::Fit { machine, verdict, .. } if machine == number => Some((act.order(), act.id, verdict.outcome)),
        _ => None,
    });
    of_it.max_by(|one, other| (&one.0, one.1).cmp(&(&other.0, other.1))).map(|(.., outcome)| outcome)
}

impl Foreseen {
    /// Riders who can have none at once; of a session without any machine nothing is said about a child.
    pub fn without(&self) -> usize {
        let has_machines = self.fitted > 0 || !self.on_none.is_empty();
        if has_machines { self.riders - self.fitted } else { 0 }
    }
}

/// Riders of a session, before its day, whom measures keep off every machine that goes there, or who are too many.
pub(in crate::services) fn foreseen(conn: &mut AnyConn, opened: &Opened) -> Result<Foreseen, Failure> {
    let acts = opened.acts(conn)?;
    let machines = machines(conn, opened)?;
    let riders = riders(conn, opened, &acts, &machines)?;
    let costs: Vec<Vec<Option<i64>>> = riders.iter().map(|rider| rider.costs.clone()).collect();
    let found = assign(&Wanted { machines: machines.len(), costs, now: vec![None; riders.len()], first: None });
    // Without any machine nothing is said about a child.
    let has_none = |rider: &&Rider| !machines.is_empty() && rider.costs.iter().all(Option::is_none);
    let none = riders.iter().filter(has_none);
    Ok(Foreseen {
        riders: riders.len(),
        fitted: found.machine_of.iter().flatten().count(),
        on_none: none.map(|rider| (rider.planned.reference.clone(), rider.planned.name.clone())).collect(),
        blocked: named(&found, &riders, |at| machines[at].number.clone()),
    })
}

/// Of some machines those that suit the riders of a session best.
pub(in crate::services) fn best_of(
    conn: &mut AnyConn,
    opened: &Opened,
    machines: &[MachineRow],
) -> Result<BTreeSet<MachineId>, Failure> {
    let acts = opened.acts(conn)?;
    let costs: Vec<Vec<Option<i64>>> =
        riders(conn, opened, &acts, machines)?.into_iter().map(|rider| rider.costs).collect();
    let now = vec![None; costs.len()];
    let found = assign(&Wanted { machines: machines.len(), costs, now, first: None });
    Ok(found.machine_of.into_iter().flatten().map(|at| machines[at].id).collect())
}

/// What the machines of a session come to for those who are registered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Foreseen {
    /// Riders.
    pub riders: usize,
    /// Riders who can have a machine at the same time.
    pub fitted: usize,
    /// Riders for whom no machine is to be expected: reference of the registration, and name.
    pub on_none: Vec<(String, String)>,
    /// Why not everybody can have one.
    pub blocked: Option<Blocked>,
}
