//! The day list of one day: what was looked at, what is not right, and whether the lead's signature stands.
//! Careful side first: whatever somebody found that the signer had not seen keeps riding from going on.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use crate::domain::acts::{Act, Body};
use crate::domain::point_list::{PointKey, PointList};
use crate::domain::refusal::Refusal;

/// What somebody saw at one point.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "saw", rename_all = "snake_case")]
pub enum Looked {
    /// Looked at, and as it should be.
    Right,
    /// Not right.
    NotRight {
        /// What is wrong, in the looker's words.
        words: String,
    },
}

/// What all looks at one point come to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum PointStanding {
    /// Nobody has looked today.
    #[default]
    NotLooked,
    /// Looked at, and as it should be.
    Right,
    /// Not right, and nobody who knew of it has put it right.
    NotRight {
        /// What is wrong, each in its finder's words.
        words: Vec<String>,
        /// The session's counter at the latest finding.
        found: i64,
    },
}

/// The lead's signature that stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Signed {
    /// When, by the signer's device.
    pub at: NaiveDateTime,
    /// The version of the emergency plan that was read and signed with the list.
    pub plan: i64,
}

/// The day list of one day.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Signing {
    /// What stands at each point that somebody looked at.
    pub points: BTreeMap<PointKey, PointStanding>,
    /// The signature that stands, if one does.
    pub signed: Option<Signed>,
    /// Whether the lead has signed at all today; then riding had begun.
    pub was_signed: bool,
}

/// One look at a point, with the act that tells it.
struct Look<'a> {
    key: &'a PointKey,
    looked: &'a Looked,
    act: &'a Act,
}

impl Look<'_> {
    fn is_not_right(&self) -> bool {
        matches!(self.looked, Looked::NotRight { .. })
    }

    /// A later look that finds it right answers a finding only if its device had heard of the finding.
    fn answers(&self, finding: &Look<'_>) -> bool {
        self.key == finding.key
            && *self.looked == Looked::Right
            && is_before(finding.act, self.act)
            && self.act.seen >= finding.act.counter
    }
}

fn is_before(one: &Act, other: &Act) -> bool {
    (one.order(), one.id) < (other.order(), other.id)
}

impl Signing {
    /// Reads the acts of the day, already in their one order.
    pub(super) fn of(list: &PointList, ordered: &[&Act]) -> Self {
        let looks = looks(list, ordered);
        let signings: Vec<(&Act, i64)> = ordered.iter().filter_map(|act| signing(act)).collect();
        let standing = signings.iter().rev().find(|(act, _)| stands(list, act, &looks));
        Self {
            points: list.points().iter().map(|point| (point.key.clone(), standing_of(&point.key, &looks))).collect(),
            signed: standing.map(|(act, plan)| Signed { at: act.at, plan: *plan }),
            was_signed: !signings.is_empty(),
        }
    }

    /// Points that nobody has looked at.
    pub fn not_looked(&self) -> BTreeSet<PointKey> {
        self.where_it(|standing| *standing == PointStanding::NotLooked)
    }

    /// Points that are not right.
    pub fn open(&self) -> BTreeSet<PointKey> {
        self.where_it(|standing| matches!(standing, PointStanding::NotRight { .. }))
    }

    fn where_it(&self, is: impl Fn(&PointStanding) -> bool) -> BTreeSet<PointKey> {
        self.points.iter().filter(|(_, standing)| is(standing)).map(|(key, _)| key.clone()).collect()
    }

    /// Whether engines may run.
    ///
    /// # Errors
    /// `DayListOpen` names what is not right; `DayListNotSigned` otherwise.
    pub fn may_ride(&self, list: &PointList) -> Result<(), Refusal> {
        if self.signed.is_some() {
            return Ok(());
        }
        let open = self.open();
        if open.is_empty() {
            Err(Refusal::DayListNotSigned)
        } else {
            Err(Refusal::DayListOpen { points: list.titles(&open) })
        }
    }

    /// Whether an act about the list may be taken: anybody of the staff looks, the lead alone signs, with nothing open.
    ///
    /// # Errors
    /// `OnlyTheLead`, `DayListOpen` and `DayListNotLooked`; `WorldMoved` for a point that this session's list has not.
    pub(super) fn may_add(&self, list: &PointList, act: &Act) -> Result<(), Refusal> {
        let Body::DayList { points, signed, .. } = &act.body else { return Ok(()) };
        if points.keys().any(|key| !list.has(key)) {
            return Err(Refusal::DayListChanged);
        }
        if signed.is_none() {
            return Ok(());
        }
        if !act.by_lead {
            return Err(Refusal::OnlyTheLead);
        }
        let (mut open, mut not_looked) = (BTreeSet::new(), BTreeSet::new());
        for point in list.points() {
            match (points.get(&point.key), self.points.get(&point.key)) {
                (Some(Looked::NotRight { .. }), _) => open.insert(point.key.clone()),
                // What the signer had not heard of is not answered by a look at an older page.
                (Some(Looked::Right), Some(PointStanding::NotRight { found, .. })) if act.seen < *found => {
                    open.insert(point.key.clone())
                }
                (Some(Looked::Right), _) | (None, Some(PointStanding::Right)) => false,
                (None, Some(PointStanding::NotRight { .. })) => open.insert(point.key.clone()),
                (None, Some(PointStanding::NotLooked) | None) => not_looked.insert(point.key.clone()),
            };
        }
        match (open.is_empty(), not_looked.is_empty()) {
            (false, _) => Err(Refusal::DayListOpen { points: list.titles(&open) }),
            (true, false) => Err(Refusal::DayListNotLooked { points: list.titles(&not_looked) }),
            (true, true) => Ok(()),
        }
    }
}

fn looks<'a>(list: &PointList, ordered: &[&'a Act]) -> Vec<Look<'a>> {
    let mut all = Vec::new();
    for act in ordered {
        if let Body::DayList { points, .. } = &act.body {
            let known = points.iter().filter(|(key, _)| list.has(key));
            all.extend(known.map(|(key, looked)| Look { key, looked, act }));
        }
    }
    all
}

/// The act and the plan's version, when it is the lead's signature.
fn signing<'a>(act: &&'a Act) -> Option<(&'a Act, i64)> {
    match &act.body {
        Body::DayList { signed: Some(plan), .. } if act.by_lead => Some((act, *plan)),
        _ => None,
    }
}

fn standing_of(key: &PointKey, looks: &[Look<'_>]) -> PointStanding {
    let own: Vec<&Look<'_>> = looks.iter().filter(|look| look.key == key).collect();
    let unanswered = own.iter().filter(|look| look.is_not_right() && !own.iter().any(|later| later.answers(look)));
    let findings: Vec<(String, i64)> = unanswered
        .filter_map(|look| match look.looked {
            Looked::NotRight { words } => Some((words.clone(), look.act.counter)),
            Looked::Right => None,
        })
        .collect();
    match findings.iter().map(|(_, counter)| *counter).max() {
        _ if own.is_empty() => PointStanding::NotLooked,
        None => PointStanding::Right,
        Some(found) => PointStanding::NotRight { words: findings.into_iter().map(|(words, _)| words).collect(), found },
    }
}

/// Whether a signature stands: every point was looked at by then, and each finding, whenever it came, was known to the
/// signer and answered before the signature.
fn stands(list: &PointList, signature: &Act, looks: &[Look<'_>]) -> bool {
    let by_then = |look: &Look<'_>| look.act.id == signature.id || is_before(look.act, signature);
    let all_looked = list.points().iter().all(|point| looks.iter().any(|look| *look.key == point.key && by_then(look)));
    let mut findings = looks.iter().filter(|look| look.is_not_right());
    let settled = |finding: &Look<'_>| {
        is_before(finding.act, signature)
            && signature.seen >= finding.act.counter
            && looks.iter().any(|later| later.answers(finding) && by_then(later))
    };
    all_looked && findings.all(settled)
}
