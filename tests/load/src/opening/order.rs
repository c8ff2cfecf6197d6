//! Whether places went in order of arrival. Reads the base tables and what families heard; shares nothing with the service.

use std::collections::BTreeMap;

use crate::storm::history::{Answer, Asked, Event, Moment};
use crate::storm::tables::Rows;

/// Everybody who was answered before another had even asked, and stands behind it nevertheless; and places in line that
/// are not one, two, three and so on in the order of the steps.
pub fn faults(history: &[Event], rows: &Rows) -> Vec<String> {
    let mut heard: BTreeMap<&str, (Moment, Moment)> = BTreeMap::new();
    for event in history {
        if let (Asked::Register { .. }, Answer::Done(reference)) = (&event.asked, &event.answer) {
            heard.insert(reference, (event.began, event.ended));
        }
    }
    let places: BTreeMap<&str, _> = rows.places.iter().map(|place| (place.reference.as_str(), place)).collect();
    let mut faults = Vec::new();
    for session in &rows.sessions {
        let own = rows.steps.iter().filter(|step| step.reason == "registered");
        let own = own.filter_map(|step| places.get(step.reference.as_str()).map(|place| (step, place)));
        let (mut latest, mut line) = (None::<(Moment, &str)>, 0);
        for (step, place) in own.filter(|(_, place)| place.session == session.reference) {
            let Some((began, ended)) = heard.get(step.reference.as_str()).copied() else { continue };
            if let Some((_, other)) = latest.filter(|(asked, _)| ended < *asked) {
                faults.push(format!("{} was answered before {other} asked, and stands behind it", place.child));
            }
            if latest.is_none_or(|(asked, _)| began > asked) {
                latest = Some((began, &place.child));
            }
            if let Some(number) = place.place {
                line += 1;
                if number != line {
                    faults.push(format!("{} is number {number} in line, and should be {line}", place.child));
                }
            } else if line > 0 {
                faults.push(format!("{} has a seat, though somebody was in line before", place.child));
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storm::tables::{Place, Session, Step};

    fn event(child: &str, began: Moment, ended: Moment) -> Event {
        let asked = Asked::Register { session: "s".to_owned(), child: child.to_owned(), key: String::new(), body: 0 };
        Event { family: 0, began, ended, asked, answer: Answer::Done(child.to_owned()) }
    }

    /// A session of one seat with three children in this order of steps.
    fn rows(order: [(&str, Option<i64>); 3]) -> Rows {
        let mut rows = Rows::default();
        rows.sessions.push(Session { reference: "s".to_owned(), capacity: 1, seats_taken: 1, waiting: 2 });
        for (id, (child, place)) in (1..).zip(order) {
            let state = if place.is_some() { "waitlisted" } else { "confirmed" }.to_owned();
            let (child, session) = (child.to_owned(), "s".to_owned());
            let (reference, mailbox) = (child.clone(), String::new());
            rows.steps.push(Step {
                id,
                reference: child.clone(),
                state: state.clone(),
                reason: "registered".to_owned(),
                at: 0,
            });
            rows.places.push(Place { reference, session, child, mailbox, state, place, waits: 0, is_shown: 1 });
        }
        rows
    }

    #[test]
    fn r37_the_order_of_arrival_is_judged_and_each_planted_fault_is_found() {
        let history = [event("ada", 0, 10), event("bo", 20, 40), event("cy", 30, 50)];
        let sound = [("ada", None), ("bo", Some(1)), ("cy", Some(2))];
        assert_eq!(faults(&history, &rows(sound)), [""; 0]);
        let as_they_overlap = [("ada", None), ("cy", Some(1)), ("bo", Some(2))];
        assert_eq!(faults(&history, &rows(as_they_overlap)), [""; 0]);
        let overtaken = [("bo", None), ("ada", Some(1)), ("cy", Some(2))];
        assert_eq!(faults(&history, &rows(overtaken)), ["ada was answered before bo asked, and stands behind it"]);
        let misnumbered = [("ada", None), ("bo", Some(2)), ("cy", Some(3))];
        assert_eq!(faults(&history, &rows(misnumbered)).len(), 2);
        let let_in = [("ada", Some(1)), ("bo", None), ("cy", Some(2))];
        assert_eq!(faults(&history, &rows(let_in)), ["bo has a seat, though somebody was in line before"]);
    }
}
