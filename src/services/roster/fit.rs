//! One rider on one machine: the fit check with every reason, its numbers and its sources. Reads only.

mod machines;

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
    Criterion, CriterionKey, Estimate, FitCheck, FitRules, Kind, Observation, Reason, Unit, Verdict, verdict,
};
use crate::domain::ids::RegistrationId;
use crate::domain::machine::{Category, Dimensions, speed_text};
use crate::domain::measures::{Length, Mass, Measures};
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::families::RiderRow;
use crate::store::machines::{MachineRow, find_machine};
use crate::store::registrations::RegistrationRow;

pub(super) use machines::earlier;
pub use machines::{Choice, Fitted, MachineChoice, choose};

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

type Common<'a> = (Head, Line, Vec<KeptAct>, &'a Curriculum);

fn common<'a>(
    app: &App,
    conn: &mut AnyConn,
    caller: &Caller,
    opened: &'a Opened,
    row: &(RegistrationRow, RiderRow),
) -> Result<Common<'a>, Failure> {
    let acts = opened.acts(conn)?;
    let curriculum = opened.curriculum(conn)?;
    let head = opened.head(conn, caller, &acts, CautionKey::Fit)?;
    let own = counted_by_rider(&acts).remove(&row.0.id).unwrap_or_default();
    let line = opened.line(app, conn, row, Day::of(&own, curriculum, opened.meeting.ordinal), false)?;
    Ok((head, line, acts, curriculum))
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

/// The least age of a machine's category.
pub(in crate::services) fn least_age(rules: &FitRules, row: &MachineRow) -> Result<i64, Failure> {
    Ok(rules.categories.of(category_of(row)?).map_or(0, |rule| rule.least_age))
}

/// What the fleet's list says of a machine's dimensions.
pub(in crate::services) fn dimensions(row: &MachineRow) -> Dimensions {
    Dimensions {
        seat_to_rest: Some(Length::from_um(row.seat_to_rest_um)),
        grip_to_lever: row.grip_to_lever_um.map(Length::from_um),
        rest_to_pedal: row.rest_to_pedal_um.map(Length::from_um),
        dry_weight: Some(Mass::from_g(row.dry_weight_g)),
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
    /// The room above the seat, as it was measured on the machine.
    pub room: Option<Length>,
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
        let room = rules.criteria.iter().filter(|criterion| criterion.estimate == Some(Estimate::InseamLessSeat));
        let room = room.filter_map(|criterion| observations.get(&criterion.key)?.deciding_number()).next();
        let criteria = criteria(&rules, &observations, &verdict, &mut letters);
        Ok(FitPage {
            measures: measures(conn, &row.1, &line.day, now)?,
            machine: machine(&rules, &machine_row, category),
            kept_at: kept.map(|act| opened.clock(act.at)),
            given: given(&verdict),
            criteria,
            sources: letters.0,
            let_through: let_through(conn, &opened, &rules, &acts, &row.0)?,
            room: room.map(Length::from_um),
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
pub(in crate::services) fn blank(rules: &FitRules, row: &MachineRow, age: i64) -> Result<Verdict, Failure> {
    let check = FitCheck {
        observations: BTreeMap::new(),
        age,
        category: category_of(row)?,
        machine_state: state_of(row)?,
        engine_tenth_cc: Some(row.engine_cc_tenths),
        limiter_tenth_mph: row.limiter_tenths_mph,
        overrides: Vec::new(),
    };
    Ok(verdict(rules, &check))
}

/// The reasons that no criterion gives, with their names.
fn given(verdict: &Verdict) -> Vec<(String, Reason)> {
    let name = |about: &About| match about {
        About::LeastAge(_) => Some("Age for this category"),
        About::EngineSize => Some("Engine size for this age"),
        About::Limiter(_) => Some("Speed limiter for this category"),
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
