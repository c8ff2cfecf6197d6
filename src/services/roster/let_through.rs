//! What the lead let a rider start with: every override and every named adaptation, shown for as long as acts are kept.

use chrono::{NaiveDate, NaiveTime};

use super::super::Failure;
use super::opened::Opened;
use crate::domain::acts::Body;
use crate::domain::fit::{About, FitRules, Reason};
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::acts::{KeptAct, fit_checks_elsewhere};
use crate::store::registrations::RegistrationRow;

/// One decision of the lead in a fit check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LetThrough {
    /// The machine's number.
    pub machine: String,
    /// The criterion's name.
    pub criterion: String,
    /// The lead's words.
    pub reason: String,
    /// Whether it names an adaptation; else it is an override.
    pub is_adaptation: bool,
    /// Day at the site.
    pub on: NaiveDate,
    /// On the wall at the site.
    pub at: NaiveTime,
}

/// Every decision of the lead in this rider's fit checks, at this session and every other, the newest first, whatever was checked
/// afterwards.
pub(super) fn let_through(
    conn: &mut AnyConn,
    opened: &Opened,
    rules: &FitRules,
    acts: &[KeptAct],
    rider: &RegistrationRow,
) -> Result<Vec<LetThrough>, Failure> {
    let elsewhere = fit_checks_elsewhere(conn, rider.rider_id, rider.id)?;
    let here = acts.iter().filter(|kept| kept.registration == Some(rider.id));
    let mut all: Vec<LetThrough> =
        elsewhere.iter().chain(here).flat_map(|kept| decisions(opened, rules, kept)).collect();
    all.sort_by_key(|one| (one.on, one.at));
    all.reverse();
    Ok(all)
}

/// The lead's decisions in one fit check; criteria that the rules of now do not know keep their names of then.
fn decisions(opened: &Opened, rules: &FitRules, kept: &KeptAct) -> Vec<LetThrough> {
    let Body::Fit { machine, verdict, .. } = &kept.act.body else { return Vec::new() };
    let wall = LocalTime::from_utc(kept.act.at, opened.zone).wall;
    let decision = |reason: &Reason| {
        let About::Criterion(key) = &reason.about else { return None };
        let said = reason.overridden.as_ref().or(reason.adaptation.as_ref())?;
        let label = rules.criterion(key).map_or(key.as_str(), |one| one.label.in_lang(Lang::En));
        Some(LetThrough {
            machine: machine.clone(),
            criterion: label.to_owned(),
            reason: said.clone(),
            is_adaptation: reason.overridden.is_none(),
            on: wall.date(),
            at: wall.time(),
        })
    };
    verdict.reasons.iter().filter_map(decision).collect()
}
