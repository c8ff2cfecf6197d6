//! Seats and line of each session: the steps are replayed in the order in which they were written, and compared with the
//! counters, the rows and what families heard.
//!
//! On PostgreSQL the number of a step is drawn before its commit. Whoever takes a seat or joins a line holds the session's
//! row by then, so that those stand in their true order; who leaves may stand too early, which only ever excuses.

use std::collections::{BTreeMap, BTreeSet};

use super::{Fault, Kind, fault, is_seat};
use crate::storm::family::mailbox;
use crate::storm::history::{Answer, Asked, Event, Moment};
use crate::storm::tables::{Place, Rows, Session, Step};

/// How far the clock of the steps and the clock of the history may be apart after some minutes, in microseconds.
const APART: Moment = 500_000;

/// Everything wrong with seats and line.
pub(super) fn judge(history: &[Event], rows: &Rows) -> Vec<Fault> {
    let heard = Heard::of(history);
    rows.sessions.iter().flat_map(|session| Replay::new(session, rows, &heard).judge()).collect()
}

/// What families knew, and when.
struct Heard<'a> {
    /// When the first request for a place began, and when its first acknowledgement was there, by reference.
    places: BTreeMap<&'a str, (Moment, Moment)>,
    /// When a family heard that its address is shown, by address.
    shown: BTreeMap<String, Moment>,
}

impl<'a> Heard<'a> {
    fn of(history: &'a [Event]) -> Self {
        let (mut began, mut places, mut shown) = (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
        let mut ordered: Vec<&Event> = history.iter().collect();
        ordered.sort_by_key(|event| event.began);
        for event in &ordered {
            if let Asked::Register { session, child, .. } = &event.asked {
                began.entry((session, child)).or_insert(event.began);
            }
        }
        ordered.sort_by_key(|event| event.ended);
        for event in ordered {
            match (&event.asked, &event.answer) {
                (Asked::Register { session, child, .. }, Answer::Done(reference)) => {
                    let first = began.get(&(session, child)).copied().unwrap_or(event.began);
                    places.entry(reference.as_str()).or_insert((first, event.ended));
                }
                (Asked::Confirm, Answer::Done(_)) => {
                    shown.entry(mailbox(event.family)).or_insert(event.ended);
                }
                _ => {}
            }
        }
        Self { places, shown }
    }

    /// Whether a place was surely in line, with its address shown, before a moment.
    fn is_ready(&self, place: &Place, at: Moment) -> bool {
        let is_past = |moment: Option<Moment>| moment.is_some_and(|moment| moment + APART < at);
        is_past(self.places.get(place.reference.as_str()).map(|heard| heard.1))
            && is_past(self.shown.get(&place.mailbox).copied())
    }
}

/// One session, step by step.
struct Replay<'a> {
    session: &'a Session,
    places: BTreeMap<&'a str, &'a Place>,
    steps: Vec<&'a Step>,
    heard: &'a Heard<'a>,
    faults: Vec<Fault>,
}

impl<'a> Replay<'a> {
    fn new(session: &'a Session, rows: &'a Rows, heard: &'a Heard<'a>) -> Self {
        let own = rows.places.iter().filter(|place| place.session == session.reference);
        let places: BTreeMap<&str, &Place> = own.map(|place| (place.reference.as_str(), place)).collect();
        let mut steps: Vec<&Step> =
            rows.steps.iter().filter(|step| places.contains_key(step.reference.as_str())).collect();
        steps.sort_by_key(|step| step.id);
        Self { session, places, steps, heard, faults: Vec::new() }
    }

    fn judge(mut self) -> Vec<Fault> {
        self.replay();
        self.count();
        self.order();
        self.faults
    }

    fn tell(&mut self, kind: Kind, words: &str) {
        self.faults.push(fault(kind, format!("{}: {words}", self.session.reference)));
    }

    /// At no time were more seats taken than there are, and no seat went past the line.
    fn replay(&mut self) {
        let mut states: BTreeMap<&str, &str> = BTreeMap::new();
        // Who waits, by the step with which the place began.
        let mut line: BTreeMap<i64, &str> = BTreeMap::new();
        for step in self.steps.clone() {
            let reference = step.reference.as_str();
            if step.reason == "registered" && is_seat(&step.state) && !line.is_empty() {
                self.tell(Kind::Order, &format!("{reference} got a seat while {} waited", line.len()));
            }
            if step.reason == "seat_freed" {
                self.passed_over(step, &line);
            }
            states.insert(reference, &step.state);
            match (step.state.as_str(), step.reason.as_str()) {
                ("waitlisted", "registered") => drop(line.insert(step.id, reference)),
                ("waitlisted", _) => {}
                _ => line.retain(|_, waits| *waits != reference),
            }
            let taken = states.values().filter(|state| is_seat(state)).count();
            if i64::try_from(taken).is_ok_and(|taken| taken > self.session.capacity) {
                self.tell(Kind::Oversold, &format!("{taken} seats were taken at step {} of {reference}", step.id));
            }
        }
        for (reference, place) in self.places.clone() {
            if states.get(reference) != Some(&place.state.as_str()) {
                self.tell(
                    Kind::Counter,
                    &format!("{reference} is {}, its steps say {:?}", place.state, states.get(reference)),
                );
            }
        }
    }

    /// Whoever was surely ready and came before the one who got a freed seat was passed over.
    fn passed_over(&mut self, step: &Step, line: &BTreeMap<i64, &str>) {
        let reference = step.reference.as_str();
        let Some((own, _)) = line.iter().find(|(_, waits)| **waits == reference) else {
            return self.tell(Kind::Order, &format!("{reference} was offered a seat and did not wait"));
        };
        let before = line.range(..own).map(|(_, waits)| *waits);
        let passed: Vec<&str> = before.filter(|waits| self.heard.is_ready(self.places[waits], step.at)).collect();
        if let [first, ..] = passed[..] {
            self.tell(Kind::Order, &format!("{reference} was offered a seat past {first}"));
        }
        if self.places[reference].is_shown == 0 {
            self.tell(Kind::Order, &format!("{reference} was offered a seat before its address was shown"));
        }
    }

    /// The counters are what the rows say, and no more seats are taken than there are.
    fn count(&mut self) {
        let of = |is: &dyn Fn(&str) -> bool| self.places.values().filter(|place| is(&place.state)).count();
        let (taken, waiting) = (of(&is_seat), of(&|state| state == "waitlisted"));
        let counted = [i64::try_from(taken).unwrap_or(i64::MAX), i64::try_from(waiting).unwrap_or(i64::MAX)];
        let told = [self.session.seats_taken, self.session.waiting];
        if counted != told {
            self.tell(
                Kind::Counter,
                &format!("taken and waiting are {counted:?} by the rows and {told:?} by the counters"),
            );
        }
        if counted[0] > self.session.capacity {
            self.tell(Kind::Oversold, &format!("{taken} seats are taken of {}", self.session.capacity));
        }
    }

    /// Who was acknowledged before another began stands before them, and turns in line are in order of arrival.
    fn order(&mut self) {
        let first = self.steps.iter().filter(|step| step.reason == "registered");
        let arrived: Vec<(i64, &str)> = first.map(|step| (step.id, step.reference.as_str())).collect();
        // From the last to arrive backwards: nobody behind may have been acknowledged before this one began.
        let mut behind: Option<(Moment, &str)> = None;
        let mut faults = Vec::new();
        for (_, reference) in arrived.iter().rev() {
            let Some((began, acknowledged)) = self.heard.places.get(reference).copied() else { continue };
            if let Some((_, other)) = behind.filter(|(ended, _)| *ended < began) {
                faults.push(format!("{other} was acknowledged before {reference} began and stands behind it"));
            }
            if behind.is_none_or(|(ended, _)| acknowledged < ended) {
                behind = Some((acknowledged, reference));
            }
        }
        let turns: Vec<i64> = arrived.iter().filter_map(|(_, reference)| self.places[reference].place).collect();
        let distinct: BTreeSet<i64> = turns.iter().copied().collect();
        if !turns.is_sorted() || distinct.len() != turns.len() {
            faults.push(format!("the turns in line are not in order of arrival: {turns:?}"));
        }
        faults.iter().for_each(|words| self.tell(Kind::Order, words));
    }
}
