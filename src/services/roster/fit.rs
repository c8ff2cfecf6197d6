//! Rider and machine: which machines may be tried and what to expect of each, and one fit check with every reason.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use chrono::NaiveTime;

use super::super::field_act::{category_of, state_of};
use super::super::{App, Failure};
use super::let_through::{LetThrough, let_through};
use super::opened::{Opened, counted_by_rider, open};
use super::rider::measures;
use super::{Head, Line};
use crate::domain::access::Caller;
use crate::domain::acts::{Act, Body};
use crate::domain::cautions::CautionKey;
use crate::domain::curriculum::{Curriculum, SourceMark};
use crate::domain::day::Day;
use crate::domain::fit::About;
use crate::domain::fit::{
    Criterion, CriterionKey, Finding, FitCheck, FitRules, Kind, LikelyFit, LikelyReason, Limit, Observation, Reason,
    Unit, Verdict, likely_fit, verdict,
};
use crate::domain::ids::RegistrationId;
use crate::domain::machine::{Category, Dimensions, speed_text};
use crate::domain::measures::{Length, Mass, Measures};
use crate::domain::words::{Lang, full_name};
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::families::RiderRow;
use crate::store::machines::{MachineRow, find_machine, list_machines};
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
}

/// One ATV for people to read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Machine {
    /// The number painted on it.
    pub number: String,
    /// Make and model.
    pub make_model: String,
    /// Category as on its label.
    pub category: &'static str,
    /// Least age of the category.
    pub least_age: Option<i64>,
    /// Limiter as set now.
    pub limiter: String,
    /// Ground to seat.
    pub seat: Length,
    /// Seat to footrests, downwards.
    pub rests: Length,
    /// Without fuel.
    pub dry_weight: Mass,
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
        let taken = taken_machines(conn, &opened, &curriculum, &acts, row.0.id)?;
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

type Common = (Head, Line, Vec<KeptAct>, Curriculum);

fn common(
    app: &App,
    conn: &mut AnyConn,
    caller: &Caller,
    opened: &Opened,
    row: &(RegistrationRow, RiderRow),
) -> Result<Common, Failure> {
    let acts = opened.acts(conn)?;
    let curriculum = opened.curriculum(conn)?;
    let head = opened.head(conn, caller, &acts, CautionKey::Fit)?;
    let own = counted_by_rider(&acts).remove(&row.0.id).unwrap_or_default();
    let line = opened.line(app, conn, row, Day::of(&own, &curriculum, opened.meeting.ordinal), false)?;
    Ok((head, line, acts, curriculum))
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

fn machine(rules: &FitRules, row: &MachineRow, category: Category) -> Machine {
    use crate::domain::words::Word;
    Machine {
        number: row.number.clone(),
        make_model: row.make_model.clone(),
        category: category.as_str(),
        least_age: rules.categories.of(category).map(|rule| rule.least_age),
        limiter: row.limiter_tenths_mph.map_or_else(|| "none".to_owned(), speed_text),
        seat: Length::from_um(row.seat_height_um),
        rests: Length::from_um(row.seat_to_rest_um),
        dry_weight: Mass::from_g(row.dry_weight_g),
    }
}

/// What the fleet's list says of a machine's dimensions.
pub(in crate::services) fn dimensions(row: &MachineRow) -> Dimensions {
    Dimensions {
        seat_to_rest: Some(Length::from_um(row.seat_to_rest_um)),
        dry_weight: Some(Mass::from_g(row.dry_weight_g)),
        ..Dimensions::default()
    }
}

/// One rider on one machine.
#[derive(Clone, Debug)]
pub struct FitPage {
    /// The session.
    pub head: Head,
    /// The rider.
    pub line: Line,
    /// Measured today, else as the guardian said.
    pub measures: Measures,
    /// The machine.
    pub machine: Machine,
    /// The verdict as it stood when it was kept; before that, of a check with nothing seen.
    pub verdict: Verdict,
    /// When it was kept, on the wall at the site.
    pub kept_at: Option<NaiveTime>,
    /// Age and machine state: what nobody taps.
    pub given: Vec<(String, Reason)>,
    /// The criteria in order.
    pub criteria: Vec<CriterionShown>,
    /// The sources, by letter.
    pub sources: Vec<Source>,
    /// What the lead ever let this rider start with.
    pub let_through: Vec<LetThrough>,
}

/// One criterion with its reason.
#[derive(Clone, Debug)]
pub struct CriterionShown {
    /// Its name in data.
    pub key: CriterionKey,
    /// Short name.
    pub label: String,
    /// How to look.
    pub look: String,
    /// Whether it is only shown.
    pub is_shown_only: bool,
    /// What is measured, when a number may be given.
    pub number: Option<(String, Unit)>,
    /// What was seen and measured.
    pub seen: Observation,
    /// The line of the verdict.
    pub reason: Reason,
    /// The letter of its source.
    pub letter: char,
}

/// Where a rule comes from and how surely it is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Its letter on the page.
    pub letter: char,
    /// In words.
    pub text: String,
    /// How surely it is known.
    pub mark: SourceMark,
}

/// One rider on one machine.
///
/// # Errors
/// `NotFound` for a rider of another session or a machine that is not there.
pub fn show(app: &App, caller: &Caller, reference: &str, rider: &str, number: &str) -> Result<FitPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let row = opened.rider(conn, rider)?;
        let machine_row = find_machine(conn, number)?.ok_or(Failure::NotFound)?;
        let (head, line, acts, _) = common(app, conn, caller, &opened, &row)?;
        let rules = opened.fit_rules(conn)?;
        let kept = latest(&acts, row.0.id, number);
        let (observations, verdict) = match kept.map(|act| &act.body) {
            Some(Body::Fit { observations, verdict, .. }) => (observations.clone(), verdict.clone()),
            _ => (BTreeMap::new(), blank(&rules, &machine_row, line.age)?),
        };
        let category = category_of(&machine_row)?;
        let mut letters = Letters::default();
        let criteria = criteria(&rules, &observations, &verdict, &mut letters);
        Ok(FitPage {
            measures: measures(conn, &row.1, &line.day, now)?,
            machine: machine(&rules, &machine_row, category),
            kept_at: kept.map(|act| opened.clock(act.at)),
            given: given(&verdict),
            criteria,
            sources: letters.0,
            let_through: let_through(&opened, &rules, &acts, row.0.id),
            verdict,
            head,
            line,
        })
    })
}

/// The latest fit check of this rider on this machine.
fn latest<'a>(acts: &'a [KeptAct], registration: RegistrationId, number: &str) -> Option<&'a Act> {
    acts.iter()
        .filter(|kept| kept.counts() && kept.registration == Some(registration))
        .map(|kept| &kept.act)
        .filter(|act| matches!(&act.body, Body::Fit { machine, .. } if machine == number))
        .max_by_key(|act| (act.order(), act.id))
}

/// What the rules say while nobody has looked.
fn blank(rules: &FitRules, row: &MachineRow, age: i64) -> Result<Verdict, Failure> {
    let check = FitCheck {
        observations: BTreeMap::new(),
        age,
        category: category_of(row)?,
        machine_state: state_of(row)?,
        engine_tenth_cc: Some(row.engine_cc_tenths),
        overrides: Vec::new(),
    };
    Ok(verdict(rules, &check))
}

/// The reasons that no criterion gives, with their names.
fn given(verdict: &Verdict) -> Vec<(String, Reason)> {
    let name = |about: &About| match about {
        About::LeastAge(_) => Some("Age for this category"),
        About::EngineSize => Some("Engine size for this age"),
        About::MachineState(_) => Some("Machine ready for use"),
        About::Criterion(_) => None,
    };
    verdict.reasons.iter().filter_map(|reason| Some((name(&reason.about)?.to_owned(), reason.clone()))).collect()
}

fn criteria(
    rules: &FitRules,
    observations: &BTreeMap<CriterionKey, Observation>,
    verdict: &Verdict,
    letters: &mut Letters,
) -> Vec<CriterionShown> {
    let reason_of = |criterion: &Criterion| {
        verdict.reasons.iter().find(|reason| reason.about == About::Criterion(criterion.key.clone())).cloned()
    };
    let mut shown = Vec::new();
    for criterion in &rules.criteria {
        let Some(reason) = reason_of(criterion) else { continue };
        shown.push(CriterionShown {
            key: criterion.key.clone(),
            label: criterion.label.in_lang(Lang::En).to_owned(),
            look: criterion.look.in_lang(Lang::En).to_owned(),
            is_shown_only: criterion.kind == Kind::ShownOnly,
            number: criterion.number.as_ref().map(|rule| (rule.what.in_lang(Lang::En).to_owned(), rule.unit)),
            seen: observations.get(&criterion.key).cloned().unwrap_or_default(),
            letter: letters.of(&reason),
            reason,
        });
    }
    shown
}

/// Letters for sources; one source has one letter.
#[derive(Default)]
struct Letters(Vec<Source>);

impl Letters {
    fn of(&mut self, reason: &Reason) -> char {
        let same = |source: &&Source| source.text == reason.source && source.mark == reason.mark;
        if let Some(known) = self.0.iter().find(same) {
            return known.letter;
        }
        let next = self.0.last().map_or('a', |last| char::from(last.letter as u8 + 1));
        self.0.push(Source { letter: next, text: reason.source.clone(), mark: reason.mark });
        next
    }
}
