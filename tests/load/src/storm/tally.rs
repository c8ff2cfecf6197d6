//! What a storm was made of, counted from its history and its rows: a storm in which nothing happened proves nothing.

use std::collections::BTreeMap;
use std::fmt;
use std::time::Duration;

use super::history::{Answer, Asked, Event, Moment};
use super::tables::Rows;

/// A kill and the start after it.
#[derive(Clone, Copy, Debug)]
pub struct Kill {
    /// When.
    pub at: Moment,
    /// From the start to the first good answer.
    pub ready: Duration,
}

/// The counts of one storm.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Places acknowledged.
    pub acknowledged: usize,
    seats: usize,
    line: usize,
    cut: usize,
    repeated: usize,
    at_once: usize,
    other_body: usize,
    given_up: usize,
    offered: usize,
    taken: usize,
    left: usize,
    confirmed: usize,
    mid_write: usize,
    later: usize,
}

impl Tally {
    /// Counts.
    pub fn of(history: &[Event], rows: &Rows, kills: &[Kill]) -> Self {
        let count = |is: &dyn Fn(&Event) -> bool| history.iter().filter(|event| is(event)).count();
        let done = |event: &Event| matches!(event.answer, Answer::Done(_));
        let state = |states: &[&str]| rows.places.iter().filter(|place| states.contains(&place.state.as_str())).count();
        let mut keys: BTreeMap<&str, Vec<&Event>> = BTreeMap::new();
        for event in history {
            if let Asked::Register { key, .. } = &event.asked {
                keys.entry(key).or_default().push(event);
            }
        }
        let body = |event: &Event| if let Asked::Register { body, .. } = event.asked { body } else { 0 };
        let is_write = |event: &Event| !matches!(event.asked, Asked::Look { .. });
        let in_the_middle = |kill: &&Kill| {
            history.iter().any(|event| {
                is_write(event) && event.answer == Answer::Cut && event.began < kill.at && kill.at < event.ended
            })
        };
        let overlaps = |events: &Vec<&Event>| {
            events
                .iter()
                .enumerate()
                .any(|(at, one)| events[at + 1..].iter().any(|two| one.began < two.ended && two.began < one.ended))
        };
        Self {
            acknowledged: keys.values().filter(|events| events.iter().any(|event| done(event))).count(),
            seats: state(&["held", "confirmed", "offered"]),
            line: state(&["waitlisted"]),
            cut: count(&|event| event.answer == Answer::Cut),
            repeated: keys
                .values()
                .map(|events| events.iter().filter(|event| done(event)).count().saturating_sub(1))
                .sum(),
            at_once: keys.values().filter(|events| overlaps(events)).count(),
            other_body: keys
                .values()
                .filter(|events| events.iter().any(|event| body(event) != body(events[0])))
                .count(),
            given_up: count(&|event| matches!(event.asked, Asked::GiveUp { .. }) && done(event)),
            offered: rows.steps.iter().filter(|step| step.reason == "seat_freed").count(),
            taken: rows.steps.iter().filter(|step| step.reason == "offer_taken").count(),
            left: rows.steps.iter().filter(|step| step.reason == "offer_left").count(),
            confirmed: count(&|event| event.asked == Asked::Confirm && done(event)),
            mid_write: kills.iter().filter(in_the_middle).count(),
            later: count(&|event| matches!(event.answer, Answer::Refused(429 | 503))),
        }
    }

    /// The kinds of event that did not occur.
    pub fn missing(&self, kills: usize) -> Vec<&'static str> {
        let needed = [
            ("a kill while a write was under way", self.mid_write + usize::from(kills == 0)),
            ("a connection cut off", self.cut),
            ("a retry with the same answer", self.repeated),
            ("presses at the same time", self.at_once),
            ("another body under the same key", self.other_body),
            ("a place given up", self.given_up),
            ("an offer", self.offered),
            ("an offer taken", self.taken),
            ("an address shown", self.confirmed),
            ("a turn in line", self.line),
        ];
        needed.into_iter().filter(|(_, count)| *count == 0).map(|(what, _)| what).collect()
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { acknowledged, seats, line, cut, repeated, at_once, other_body, given_up, .. } = self;
        let Self { offered, taken, left, confirmed, mid_write, later, .. } = self;
        writeln!(
            out,
            "  {acknowledged} registrations acknowledged: {seats} have seats, {line} are in line, {given_up} places given up"
        )?;
        writeln!(
            out,
            "  {cut} cut off, {repeated} repeated with the same answer, {at_once} keys pressed at the same time, {other_body} sent with another body, {later} told to come later"
        )?;
        write!(
            out,
            "  {confirmed} addresses shown, {offered} seats offered, {taken} taken, {left} left; {mid_write} kills while a write was under way"
        )
    }
}
