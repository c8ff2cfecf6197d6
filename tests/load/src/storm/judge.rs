//! Judges a storm: what was answered must be what is there. A pure function over the history and the rows; it shares no
//! code with the service, and proves on planted faults that it sees them (`planted.rs`).

mod answers;
mod line;

use super::history::Event;
use super::tables::Rows;

/// What kind of promise was broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// An acknowledged act is not there.
    Lost,
    /// There is something that nobody asked for.
    Unasked,
    /// More seats are taken than there are, or were at some time.
    Oversold,
    /// One child has two places in a session.
    Duplicate,
    /// One key was answered differently.
    Key,
    /// A counter or a state is not what the rows and steps say.
    Counter,
    /// Somebody was let in before somebody who came first.
    Order,
    /// The service failed at something it must be able to answer.
    Broken,
}

/// One broken promise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Which.
    pub kind: Kind,
    /// What happened.
    pub words: String,
}

fn fault(kind: Kind, words: String) -> Fault {
    Fault { kind, words }
}

/// Everything that is wrong.
pub fn judge(history: &[Event], rows: &Rows) -> Vec<Fault> {
    let mut faults = answers::judge(history, rows);
    faults.extend(line::judge(history, rows));
    faults
}

/// Whether a place in this state takes a seat.
fn is_seat(state: &str) -> bool {
    matches!(state, "held" | "confirmed" | "offered")
}

/// Whether the place can still be given up.
fn is_open(state: &str) -> bool {
    is_seat(state) || state == "waitlisted"
}
