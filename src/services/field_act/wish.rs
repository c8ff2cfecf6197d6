//! From what a person wishes to the body of an act: the fit verdict is worked out here, helmets are looked at in `helmets`.
//! Keeps nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::{About, DayListWish, Hand, IncidentWish};
use crate::domain::acts::{Body, CountMoment, TurnedAwayFor};
use crate::domain::curriculum::CheckCode;
use crate::domain::fit::{
    CriterionKey, FitCheck, FitRules, Kind, Observation, Override, OverrideBy, OverrideRefusal, Seen, verdict,
};
use crate::domain::gear::{CameBack, GearPiece, SignedOn, Way};
use crate::domain::incident::NearMissKind;
use crate::domain::machine::{Category, MachineState};
use crate::domain::measures::Measures;
use crate::domain::point_list::PointKey;
use crate::domain::refusal::Refusal;
use crate::domain::registration::Outcome;
use crate::domain::skill::{ActId, Mark};
use crate::domain::weather::Reading;
use crate::domain::words::Word;
use crate::services::Failure;
use crate::services::roster::fit::dimensions;
use crate::store::AnyConn;
use crate::store::machines::{MachineRow, find_machine};

/// What a person wishes to enter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wish {
    /// The rider is here.
    CheckIn {
        /// After the start.
        late: bool,
        /// The form knows that the rider had gone home.
        returned: bool,
    },
    /// Heads were counted; how many should be there is worked out.
    Count {
        /// When.
        moment: CountMoment,
        /// How many are.
        counted: i64,
        /// Whose group, by the account reference of its instructor; none for everybody.
        group: Option<String>,
    },
    /// The day list was looked at or signed.
    DayList(DayListWish),
    /// The rider goes into the group of an instructor, by the account's reference; none takes the rider out.
    Group {
        /// Whose.
        with: Option<String>,
    },
    /// The rider was measured; lengths in micrometres, mass in grams.
    Measures {
        /// Standing height.
        height_um: Option<i64>,
        /// Weight.
        weight_g: Option<i64>,
        /// Crotch to floor.
        inseam_um: Option<i64>,
        /// Head circumference.
        head_um: Option<i64>,
    },
    /// The rider was tried on a machine.
    Fit(FitWish),
    /// The gear was looked over.
    Gear {
        /// What the rider wears.
        worn: BTreeSet<GearPiece>,
    },
    /// A helmet goes to the rider.
    Helmet {
        /// The lot's code.
        lot: String,
        /// Lent or given.
        way: Way,
    },
    /// The helmet on the rider's head was checked.
    HelmetCheck {
        /// The code of its lot; none for the rider's own.
        lot: Option<String>,
        /// Whether its size is the one for this head.
        size: bool,
        /// Points that are not right.
        wrong: BTreeSet<PointKey>,
        /// Whether the child says that it is comfortable.
        comfortable: bool,
    },
    /// A lent helmet comes back, or does not.
    HelmetBack {
        /// The lot's code.
        lot: String,
        /// How.
        how: CameBack,
    },
    /// An adult signs for a helmet.
    Receipt {
        /// The lot's code.
        lot: String,
        /// Who signs.
        name: String,
        /// Where.
        on: SignedOn,
    },
    /// One skill check.
    Mark {
        /// Which.
        check: CheckCode,
        /// How.
        mark: Mark,
        /// Why, where the rules want words.
        reason: Option<String>,
        /// The act whose safety stop this clears.
        clears: Option<ActId>,
    },
    /// A whole lesson with one tap.
    LessonMarks {
        /// Its number.
        lesson: u16,
        /// How.
        mark: Mark,
    },
    /// The day ended otherwise than by check-out alone.
    Outcome {
        /// How.
        outcome: Outcome,
        /// Why, when turned away.
        why: Option<TurnedAwayFor>,
    },
    /// An adult takes the child.
    CheckOut {
        /// Who.
        adult: String,
    },
    /// A group rides at a place of its own.
    GroupPlace {
        /// The account reference of its instructor.
        with: String,
        /// Where; none takes it back.
        place: Option<String>,
    },
    /// The proof of an earlier part was looked at.
    Proof {
        /// Whether it was there.
        seen: bool,
    },
    /// Somebody of the team came onto the riding area, or left it.
    Area {
        /// Whose account, by its reference.
        member: String,
        /// Came, else left.
        on: bool,
    },
    /// The lead goes on although the rule of the riding area is broken.
    GoOn {
        /// Why.
        reason: String,
    },
    /// The weather was read off and typed.
    Weather {
        /// What was read.
        reading: Reading,
    },
    /// It thundered or flashed.
    Thunder,
    /// The lead stops riding for the weather, or lifts that stop.
    WeatherCall {
        /// Stops, else lifts.
        stop: bool,
        /// Why.
        why: String,
    },
    /// Something nearly happened.
    NearMiss {
        /// What.
        what: NearMissKind,
        /// In somebody's words.
        note: Option<String>,
    },
    /// A person was hurt or a machine broke.
    Incident(IncidentWish),
    /// The lead is handed over.
    HandOver {
        /// To whose account, by its reference.
        to: String,
    },
    /// The rider is to ride a machine.
    Assign {
        /// Its number; none takes the plan back.
        machine: Option<String>,
    },
    /// A machine was looked over before the ride.
    LookOver {
        /// Which, by its reference.
        machine: String,
        /// Points that are not right, each with what is wrong.
        wrong: BTreeMap<PointKey, String>,
    },
    /// A fault of a machine was found.
    Fault {
        /// Which machine, by its reference.
        machine: String,
        /// What is wrong.
        what: String,
    },
    /// An act of just before is taken back.
    Undo {
        /// Which.
        of: ActId,
    },
}

/// A fit check as entered; the verdict is worked out from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FitWish {
    /// The number painted on the machine.
    pub machine: String,
    /// What was seen and measured.
    pub observations: BTreeMap<CriterionKey, Observation>,
    /// Reasons of the lead for advisory criteria that are not met.
    pub overrides: BTreeMap<CriterionKey, String>,
}

impl Wish {
    /// The session's counter that the page behind the wish had heard of, where the page tells it.
    pub(super) fn seen(&self) -> Option<i64> {
        match self {
            Self::DayList(list) => Some(list.seen),
            _ => None,
        }
    }
}

impl Hand {
    /// The body of the act.
    pub(super) fn body(
        &self,
        conn: &mut AnyConn,
        about: Option<&About>,
        wish: &Wish,
        meeting: i64,
    ) -> Result<Body, Failure> {
        let about = match (about, wish) {
            (_, Wish::NearMiss { what, note }) => return Ok(Body::NearMiss { what: *what, note: note.clone() }),
            (_, Wish::Incident(wish)) => return self.incident(conn, wish),
            (None, Wish::Count { moment, counted, group }) => {
                return self.count(conn, (*moment, *counted), group.clone(), meeting);
            }
            (None, Wish::GroupPlace { with, place }) => return self.group_place(conn, with, place.clone()),
            (None, Wish::DayList(list)) => return self.day_list(conn, list.clone()),
            (None, Wish::LookOver { machine, wrong }) => return self.look_over(conn, machine, wrong.clone()),
            (None, Wish::Weather { reading }) => return self.weather(conn, *reading),
            (None, Wish::Thunder) => return Ok(Body::Thunder),
            (None, Wish::WeatherCall { stop, why }) => return self.weather_call(conn, *stop, why, meeting),
            (None, Wish::Fault { machine, what }) => return self.fault(conn, machine, what.clone()),
            (None, _) => return self.area_body(conn, wish),
            // Head counts and the day list are about nobody, everything else about one rider.
            (Some(_), Wish::Count { .. } | Wish::DayList(_)) => return Err(Failure::NotFound),
            (Some(about), _) => about,
        };
        Ok(match wish.clone() {
            Wish::CheckIn { returned, .. } if !about.day.takes_check_in(returned) => {
                let (_, rider) = self.opened.rider(conn, &about.reference)?;
                return Err(Refusal::WentHome { given: rider.given_name }.into());
            }
            Wish::CheckIn { late, .. } => Body::CheckIn { late },
            Wish::Count { .. } | Wish::DayList(_) => return Err(Failure::NotFound),
            Wish::Group { with } => self.group(conn, with)?,
            Wish::Assign { machine } => self.assign(conn, machine)?,
            Wish::Measures { height_um, weight_g, inseam_um, head_um } => {
                Body::Measures { height_um, weight_g, inseam_um, head_um }
            }
            Wish::Fit(fit) => self.fit(conn, about, fit)?,
            Wish::Gear { worn } => Body::Gear { worn },
            Wish::Helmet { lot, way } => self.helmet(conn, about, lot, way)?,
            Wish::HelmetCheck { lot, size, wrong, comfortable } => {
                self.helmet_check(conn, about, lot, (size, comfortable), wrong)?
            }
            Wish::HelmetBack { lot, how } => Body::HelmetBack { lot: self.lot(conn, &lot)?.code, how },
            Wish::Receipt { lot, name, on } => self.receipt(conn, &lot, &name, on)?,
            Wish::Mark { check, mark, reason, clears } => Body::Mark { check, mark, reason, clears },
            Wish::LessonMarks { lesson, mark } => Body::LessonMarks { lesson, mark },
            Wish::Outcome { outcome, why } => Body::Outcome { outcome, why },
            Wish::CheckOut { adult } => Body::CheckOut { adult },
            Wish::Proof { seen } => Body::Proof { seen },
            Wish::Area { .. }
            | Wish::GoOn { .. }
            | Wish::HandOver { .. }
            | Wish::LookOver { .. }
            | Wish::Weather { .. }
            | Wish::Thunder
            | Wish::WeatherCall { .. }
            | Wish::NearMiss { .. }
            | Wish::Incident(_)
            | Wish::GroupPlace { .. }
            | Wish::Fault { .. } => return Err(Failure::NotFound),
            // The door takes an undo before it comes here, because the act it names says about whom it is.
            Wish::Undo { .. } => return Err(Failure::NotFound),
        })
    }

    fn fit(&self, conn: &mut AnyConn, about: &About, wish: FitWish) -> Result<Body, Failure> {
        let machine = find_machine(conn, &wish.machine)?.ok_or(Failure::NotFound)?;
        let rules = self.opened.fit_rules(conn)?;
        let FitWish { mut observations, overrides, .. } = wish;
        add_shown_numbers(&rules, &about.measures, &machine, &mut observations);
        let is_lead = self.opened.is_led_by_caller();
        if !is_lead && observations.values().any(names_an_adaptation) {
            return Err(Refusal::OnlyTheLead.into());
        }
        let overrides = self.overrides(&rules, &overrides)?;
        let check = fit_check(&machine, about.age, observations, overrides)?;
        let verdict = verdict(&rules, &check);
        Ok(Body::Fit { machine: machine.number, observations: check.observations, overrides: check.overrides, verdict })
    }

    fn overrides(&self, rules: &FitRules, wished: &BTreeMap<CriterionKey, String>) -> Result<Vec<Override>, Refusal> {
        let by = if self.opened.is_led_by_caller() { OverrideBy::Lead } else { OverrideBy::Other };
        let take = |(key, reason): (&CriterionKey, &String)| {
            Override::of(rules, key, by, reason).map_err(|refusal| match refusal {
                OverrideRefusal::NotTheLead => Refusal::OnlyTheLead,
                OverrideRefusal::Mandatory | OverrideRefusal::NoSuchCriterion => Refusal::MandatoryStands,
                OverrideRefusal::NoReason => Refusal::NoteNeeded,
            })
        };
        wished.iter().map(take).collect()
    }
}

fn names_an_adaptation(observation: &Observation) -> bool {
    matches!(&observation.seen, Seen::MetWithAdaptation { note } if !note.trim().is_empty())
}

/// Fills in the numbers that are only shown and that measures tell, such as weights compared.
fn add_shown_numbers(
    rules: &FitRules,
    measures: &Measures,
    machine: &MachineRow,
    observations: &mut BTreeMap<CriterionKey, Observation>,
) {
    for criterion in rules.criteria.iter().filter(|criterion| criterion.kind == Kind::ShownOnly) {
        let number = criterion.estimate.and_then(|estimate| estimate.number(measures, &dimensions(machine)));
        if let Some(number) = number {
            observations.insert(criterion.key.clone(), Observation::measured(number));
        }
    }
}

/// One rider on one machine as the rules judge it.
fn fit_check(
    machine: &MachineRow,
    age: i64,
    observations: BTreeMap<CriterionKey, Observation>,
    overrides: Vec<Override>,
) -> Result<FitCheck, Failure> {
    Ok(FitCheck {
        observations,
        age,
        category: category_of(machine)?,
        machine_state: state_of(machine)?,
        engine_tenth_cc: Some(machine.engine_cc_tenths),
        limiter_tenth_mph: machine.limiter_tenths_mph,
        overrides,
    })
}

/// The category on the machine's label.
pub(in crate::services) fn category_of(machine: &MachineRow) -> Result<Category, Failure> {
    Category::from_word(&machine.category).ok_or_else(|| Failure::broken(format!("category {}", machine.category)))
}

/// Whether the machine can be ridden today.
pub(in crate::services) fn state_of(machine: &MachineRow) -> Result<MachineState, Failure> {
    MachineState::from_word(&machine.state).ok_or_else(|| Failure::broken(format!("machine state {}", machine.state)))
}
