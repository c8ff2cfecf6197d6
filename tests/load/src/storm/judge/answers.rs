//! What families were answered against what is there: nothing acknowledged is lost, nothing is there twice or unasked,
//! and a key has one answer.

use std::collections::{BTreeMap, BTreeSet};

use super::{Fault, Kind, fault, is_open};
use crate::storm::family::mailbox;
use crate::storm::history::{Answer, Asked, Event, Shown};
use crate::storm::tables::{Place, Rows};

/// Every answer that is not kept.
pub(super) fn judge(history: &[Event], rows: &Rows) -> Vec<Fault> {
    let places: BTreeMap<&str, &Place> = rows.places.iter().map(|place| (place.reference.as_str(), place)).collect();
    let mut faults = Vec::new();
    faults.extend(history.iter().filter_map(|event| unkept(event, &places)));
    faults.extend(states(history, &places));
    faults.extend(keys(history, rows));
    faults.extend(twice_or_unasked(history, rows));
    faults
}

/// One answer by itself.
fn unkept(event: &Event, places: &BTreeMap<&str, &Place>) -> Option<Fault> {
    match (&event.asked, &event.answer) {
        (_, Answer::Refused(500)) => Some(fault(Kind::Broken, format!("{:?} was answered 500", event.asked))),
        (Asked::Register { session, child, .. }, Answer::Done(reference)) => {
            let is_there = places.get(reference.as_str()).is_some_and(|place| {
                place.session == *session && place.child == *child && place.mailbox == mailbox(event.family)
            });
            let words = || format!("{child} was given {reference} in {session}, which is not there");
            (!is_there).then(|| fault(Kind::Lost, words()))
        }
        (Asked::GiveUp { reference } | Asked::Offer { reference, takes: false }, Answer::Done(_)) => {
            let is_over = places.get(reference.as_str()).is_some_and(|place| place.state == "cancelled");
            (!is_over).then(|| fault(Kind::Lost, format!("{reference} was given up and is not")))
        }
        (Asked::Confirm, Answer::Done(_)) => {
            let own = mailbox(event.family);
            let unshown = places.values().find(|place| {
                place.mailbox == own && (place.is_shown == 0 || place.waits == 1 && place.state != "offered")
            })?;
            Some(fault(Kind::Lost, format!("{own} is shown, and {} waits for it", unshown.reference)))
        }
        (Asked::Look { reference }, Answer::Shown(_)) => {
            let is_there = places.contains_key(reference.as_str());
            (!is_there).then(|| fault(Kind::Lost, format!("the receipt {reference} was shown and is not there")))
        }
        _ => None,
    }
}

/// A place that nobody gave up stands, and a seat that was shown as the family's is still its own.
fn states(history: &[Event], places: &BTreeMap<&str, &Place>) -> Vec<Fault> {
    let (mut left, mut sure) = (BTreeSet::new(), BTreeSet::new());
    for event in history {
        match (&event.asked, &event.answer) {
            (Asked::GiveUp { reference } | Asked::Offer { reference, takes: false }, _) => {
                left.insert(reference.as_str());
            }
            (Asked::Look { reference }, Answer::Shown(Shown::Seat))
            | (Asked::Offer { reference, takes: true }, Answer::Done(_)) => {
                sure.insert(reference.as_str());
            }
            _ => {}
        }
    }
    let standing = places.values().filter(|place| !left.contains(place.reference.as_str()));
    standing
        .filter_map(|place| {
            let words = format!("{} is {} and nobody gave it up", place.reference, place.state);
            let is_sure = sure.contains(place.reference.as_str());
            let is_kept = if is_sure { place.state == "confirmed" } else { is_open(&place.state) };
            (!is_kept).then(|| fault(Kind::Lost, words))
        })
        .collect()
}

/// Refusals that mean nothing but "later".
fn is_later(status: u16) -> bool {
    matches!(status, 429 | 503)
}

/// One key, one body, one answer.
fn keys(history: &[Event], rows: &Rows) -> Vec<Fault> {
    let kept: BTreeMap<&str, &str> = rows.keys.iter().map(|key| (key.key.as_str(), key.answer.as_str())).collect();
    let mut bodies: BTreeMap<&str, u64> = BTreeMap::new();
    let mut answers: BTreeMap<&str, &str> = BTreeMap::new();
    let mut faults = Vec::new();
    let mut ordered: Vec<&Event> = history.iter().collect();
    ordered.sort_by_key(|event| event.began);
    for event in ordered {
        let Asked::Register { key, body, child, .. } = &event.asked else { continue };
        let is_first_body = *bodies.entry(key).or_insert(*body) == *body;
        match (&event.answer, is_first_body) {
            (Answer::Done(reference), true) => {
                let first = *answers.entry(key).or_insert(reference);
                if first != reference || kept.get(key.as_str()) != Some(&reference.as_str()) {
                    let words = format!(
                        "{child}: key {key} was answered {reference}, first {first}, kept {:?}",
                        kept.get(key.as_str())
                    );
                    faults.push(fault(Kind::Key, words));
                }
            }
            (Answer::Done(reference), false) => {
                faults.push(fault(Kind::Key, format!("{child}: another body under key {key} got {reference}")));
            }
            (Answer::Refused(status), true) if !is_later(*status) && kept.contains_key(key.as_str()) => {
                faults
                    .push(fault(Kind::Key, format!("{child}: key {key} has an answer and was refused with {status}")));
            }
            (Answer::Refused(status), false) if !is_later(*status) && *status != 422 => {
                faults
                    .push(fault(Kind::Key, format!("{child}: another body under key {key} was refused with {status}")));
            }
            _ => {}
        }
    }
    faults
}

/// Each place was asked for, and no child has two in one session.
fn twice_or_unasked(history: &[Event], rows: &Rows) -> Vec<Fault> {
    let asked: BTreeSet<(&str, &str)> = history
        .iter()
        .filter_map(|event| match &event.asked {
            Asked::Register { session, child, .. } => Some((session.as_str(), child.as_str())),
            _ => None,
        })
        .collect();
    let mut seen = BTreeMap::new();
    let mut faults = Vec::new();
    for place in &rows.places {
        let child = (place.session.as_str(), place.child.as_str());
        if !asked.contains(&child) {
            faults.push(fault(Kind::Unasked, format!("nobody asked for {} of {}", place.reference, place.child)));
        }
        if let Some(first) = seen.insert(child, &place.reference) {
            let words = format!("{} has {first} and {} in {}", place.child, place.reference, place.session);
            faults.push(fault(Kind::Duplicate, words));
        }
    }
    faults
}
