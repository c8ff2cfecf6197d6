//! Proves the judge before it judges: a sound small story passes, and each fault planted into a copy of it is found.

use anyhow::ensure;

use super::family::mailbox;
use super::history::{Answer, Asked, Event, Moment, Shown};
use super::judge::{Kind, judge};
use super::tables::{Key, Place, Rows, Session, Step};

const SECOND: Moment = 1_000_000;

/// A story: what was asked and what is there.
#[derive(Clone)]
struct Story {
    history: Vec<Event>,
    rows: Rows,
}

/// One fault: what it is, how it is planted, and what the judge must call it.
struct Planted {
    name: &'static str,
    kind: Kind,
    plant: fn(&mut Story),
}

fn child(number: usize) -> String {
    format!("Child{number} Any")
}

fn register(family: usize, second: Moment, answer: Answer) -> Event {
    let (session, key) = ("s".to_owned(), format!("k{family}"));
    let asked = Asked::Register { session, child: child(family), key, body: 7 };
    event(family, second, asked, answer)
}

fn event(family: usize, second: Moment, asked: Asked, answer: Answer) -> Event {
    Event { family, began: second * SECOND, ended: second * SECOND + SECOND / 10, asked, answer }
}

fn step(id: i64, family: usize, state: &str, reason: &str) -> Step {
    Step { id, reference: format!("r{family}"), state: state.into(), reason: reason.into(), at: id * 10 * SECOND }
}

fn place(family: usize, state: &str, turn: Option<i64>) -> Place {
    Place {
        reference: format!("r{family}"),
        session: "s".into(),
        child: child(family),
        mailbox: mailbox(family),
        state: state.into(),
        place: turn,
        waits: 0,
        is_shown: 1,
    }
}

/// Two seats, five children: 1 and 2 get the seats, 3, 4 and 5 wait, 1 gives up, 3 is offered the seat and takes it. The
/// last press of 4 was cut off and repeated.
fn sound() -> Story {
    let done = |family: usize| Answer::Done(format!("r{family}"));
    let given_up = Asked::GiveUp { reference: "r1".into() };
    let taken = Asked::Offer { reference: "r3".into(), takes: true };
    let seen = Asked::Look { reference: "r2".into() };
    let mut history: Vec<Event> =
        (1..=3).map(|family| register(family, 10 * Moment::try_from(family).unwrap_or(0), done(family))).collect();
    history.extend([
        register(4, 40, Answer::Cut),
        register(4, 41, done(4)),
        register(5, 50, done(5)),
        event(2, 52, seen, Answer::Shown(Shown::Seat)),
        event(3, 60, Asked::Confirm, Answer::Done(String::new())),
        event(4, 61, Asked::Confirm, Answer::Done(String::new())),
        event(1, 80, given_up, Answer::Done(String::new())),
        event(3, 92, taken, Answer::Done(String::new())),
    ]);
    let steps = vec![
        step(1, 1, "confirmed", "registered"),
        step(2, 2, "confirmed", "registered"),
        step(3, 3, "waitlisted", "registered"),
        step(4, 4, "waitlisted", "registered"),
        step(5, 5, "waitlisted", "registered"),
        step(6, 3, "waitlisted", "address_shown"),
        step(7, 4, "waitlisted", "address_shown"),
        step(8, 1, "cancelled", "given_up"),
        step(9, 3, "offered", "seat_freed"),
        step(10, 3, "confirmed", "offer_taken"),
    ];
    let places = vec![
        place(1, "cancelled", None),
        place(2, "confirmed", None),
        place(3, "confirmed", None),
        place(4, "waitlisted", Some(2)),
        place(5, "waitlisted", Some(3)),
    ];
    let keys = (1..=5).map(|family| Key { key: format!("k{family}"), answer: format!("r{family}") }).collect();
    let session = Session { reference: "s".into(), capacity: 2, seats_taken: 2, waiting: 2 };
    Story { history, rows: Rows { sessions: vec![session], places, steps, keys } }
}

const PLANTED: [Planted; 18] = [
    Planted {
        name: "a lost acknowledgement",
        kind: Kind::Lost,
        plant: |story| {
            story.rows.places.retain(|place| place.reference != "r5");
            story.rows.steps.retain(|step| step.reference != "r5");
            story.rows.sessions[0].waiting = 1;
        },
    },
    Planted {
        name: "an acknowledged place in another session",
        kind: Kind::Lost,
        plant: |story| {
            let mut other = register(5, 51, Answer::Done("r5".into()));
            if let Asked::Register { session, key, .. } = &mut other.asked {
                *session = "t".into();
                *key = "k9".into();
            }
            story.history.push(other);
            story.rows.keys.push(Key { key: "k9".into(), answer: "r5".into() });
        },
    },
    Planted {
        name: "an answer 500",
        kind: Kind::Broken,
        plant: |story| {
            let seen = Asked::Look { reference: "r2".into() };
            story.history.push(event(2, 53, seen, Answer::Refused(500)));
        },
    },
    Planted {
        name: "a place given up that stands again",
        kind: Kind::Lost,
        plant: |story| {
            story.rows.places[0].state = "confirmed".into();
            story.rows.sessions[0].capacity = 3;
            story.rows.sessions[0].seats_taken = 3;
            story.rows.steps.retain(|step| step.reason != "given_up");
        },
    },
    Planted {
        name: "a seat that nobody gave up",
        kind: Kind::Lost,
        plant: |story| {
            story.rows.places[1].state = "cancelled".into();
            story.rows.steps.push(step(11, 2, "cancelled", "given_up"));
            story.rows.sessions[0].seats_taken = 1;
        },
    },
    Planted {
        name: "a place that waits for an address that is shown",
        kind: Kind::Lost,
        plant: |story| {
            story.rows.places[3].waits = 1;
        },
    },
    Planted {
        name: "an oversold session",
        kind: Kind::Oversold,
        plant: |story| {
            story.rows.sessions[0].capacity = 1;
        },
    },
    Planted {
        name: "a seat sold twice for a while",
        kind: Kind::Oversold,
        plant: |story| {
            story.rows.steps.iter_mut().filter(|step| step.reason == "given_up").for_each(|step| step.id = 20);
        },
    },
    Planted {
        name: "a duplicate child",
        kind: Kind::Duplicate,
        plant: |story| {
            story.rows.places.push(Place { reference: "r9".into(), place: Some(9), ..place(5, "waitlisted", Some(9)) });
            story.rows.steps.push(Step { reference: "r9".into(), ..step(11, 5, "waitlisted", "registered") });
            story.rows.sessions[0].waiting = 3;
        },
    },
    Planted {
        name: "a child that nobody registered",
        kind: Kind::Unasked,
        plant: |story| {
            story.rows.places.push(place(6, "waitlisted", Some(9)));
            story.rows.steps.push(step(11, 6, "waitlisted", "registered"));
            story.rows.sessions[0].waiting = 3;
        },
    },
    Planted {
        name: "a wrong counter of seats",
        kind: Kind::Counter,
        plant: |story| story.rows.sessions[0].seats_taken = 1,
    },
    Planted {
        name: "a wrong counter of the line",
        kind: Kind::Counter,
        plant: |story| story.rows.sessions[0].waiting = 3,
    },
    Planted {
        name: "two turns in the wrong order",
        kind: Kind::Order,
        plant: |story| {
            (story.rows.places[3].place, story.rows.places[4].place) = (Some(3), Some(2));
        },
    },
    Planted {
        name: "one who came later and stands before",
        kind: Kind::Order,
        plant: |story| {
            (story.rows.steps[3].id, story.rows.steps[4].id) = (5, 4);
            (story.rows.places[3].place, story.rows.places[4].place) = (Some(3), Some(2));
        },
    },
    Planted {
        name: "a newcomer's seat past the line",
        kind: Kind::Order,
        plant: |story| {
            story.rows.sessions[0].capacity = 3;
            story.rows.sessions[0].seats_taken = 3;
            story.rows.sessions[0].waiting = 1;
            story.rows.places[4] = place(5, "confirmed", None);
            story.rows.steps[4].state = "confirmed".into();
        },
    },
    Planted {
        name: "an offer past the first in line",
        kind: Kind::Order,
        plant: |story| {
            story.rows.places[4].place = Some(1);
            (story.rows.steps[8].reference, story.rows.steps[9].reference) = ("r4".into(), "r4".into());
            (story.rows.places[2], story.rows.places[3]) =
                (place(3, "waitlisted", Some(1)), place(4, "confirmed", None));
            story.rows.places[4].place = Some(3);
            story.history.last_mut().expect("a taken offer").asked =
                Asked::Offer { reference: "r4".into(), takes: true };
        },
    },
    Planted {
        name: "a key answered twice differently",
        kind: Kind::Key,
        plant: |story| {
            story.history.push(register(4, 45, Answer::Done("r5".into())));
        },
    },
    Planted {
        name: "another body under a key that was taken",
        kind: Kind::Key,
        plant: |story| {
            let mut other = register(4, 45, Answer::Done("r4".into()));
            if let Asked::Register { body, .. } = &mut other.asked {
                *body = 8;
            }
            story.history.push(other);
        },
    },
];

/// Judges the sound story and every planted fault; gives the number of faults that were found.
///
/// # Errors
/// The sound story is not passed, or a fault is not found.
pub fn prove() -> anyhow::Result<usize> {
    let story = sound();
    let faults = judge(&story.history, &story.rows);
    ensure!(faults.is_empty(), "the judge finds faults in a sound story: {faults:?}");
    for Planted { name, kind, plant } in &PLANTED {
        let mut story = sound();
        plant(&mut story);
        let faults = judge(&story.history, &story.rows);
        ensure!(faults.iter().any(|fault| fault.kind == *kind), "the judge does not see {name}: {faults:?}");
    }
    Ok(PLANTED.len())
}

#[cfg(test)]
mod tests;
