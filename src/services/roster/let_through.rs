//! What the lead let a rider start with: every override and every named adaptation, shown for as long as acts are kept.

use chrono::{NaiveDate, NaiveTime};

use super::opened::Opened;
use crate::domain::acts::Body;
use crate::domain::fit::{About, FitRules};
use crate::domain::ids::RegistrationId;
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::store::acts::KeptAct;

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

/// Every decision of the lead in this rider's fit checks, the newest first, whatever was checked afterwards.
pub(super) fn let_through(
    opened: &Opened,
    rules: &FitRules,
    acts: &[KeptAct],
    rider: RegistrationId,
) -> Vec<LetThrough> {
    let mut all = Vec::new();
    for kept in acts.iter().filter(|kept| kept.registration == Some(rider)) {
        let Body::Fit { machine, verdict, .. } = &kept.act.body else { continue };
        let wall = LocalTime::from_utc(kept.act.at, opened.zone).wall;
        for reason in &verdict.reasons {
            let About::Criterion(key) = &reason.about else { continue };
            let Some(said) = reason.overridden.as_ref().or(reason.adaptation.as_ref()) else { continue };
            let label = rules.criterion(key).map_or(key.as_str(), |one| one.label.in_lang(Lang::En));
            all.push(LetThrough {
                machine: machine.clone(),
                criterion: label.to_owned(),
                reason: said.clone(),
                is_adaptation: reason.overridden.is_none(),
                on: wall.date(),
                at: wall.time(),
            });
        }
    }
    all.reverse();
    all
}
