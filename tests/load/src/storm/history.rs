//! What the families of a storm asked and what they were answered, by one clock. The judge reads nothing else of theirs.

use std::sync::Mutex;
use std::time::Instant;

/// Microseconds since 1970, UTC: the machine's clock when the storm began, and monotonic from there on.
pub type Moment = i64;

/// What one request asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asked {
    /// A place for a child: the press of the last button, with the form's one-time key and a digest of what was signed.
    Register { session: String, child: String, key: String, body: u64 },
    /// A look at a receipt.
    Look { reference: String },
    /// To give a place up.
    GiveUp { reference: String },
    /// To take an offered seat, or to leave it to the next child.
    Offer { reference: String, takes: bool },
    /// That the family's address is its own.
    Confirm,
}

/// How a place stands, as its receipt shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// A seat.
    Seat,
    /// A seat that waits for an answer: held, or offered.
    Waiting,
    /// So many in line before it, and itself.
    Line(i64),
    /// Given up, or lapsed.
    Over,
}

/// What came back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It is done; a registration has its reference.
    Done(String),
    /// A receipt.
    Shown(Shown),
    /// No, with the status.
    Refused(u16),
    /// Nothing came back: it may have happened or not.
    Cut,
}

/// One request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Whose.
    pub family: usize,
    /// When it was sent.
    pub began: Moment,
    /// When its answer was there, or when the family knew that none comes.
    pub ended: Moment,
    /// What for.
    pub asked: Asked,
    /// What came of it.
    pub answer: Answer,
}

/// The clock of a storm.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    origin: Moment,
    since: Instant,
}

impl Clock {
    /// A clock that starts with the machine's time.
    #[expect(clippy::disallowed_methods, reason = "steps in the tables carry the machine's time; this is read once")]
    pub fn start() -> Self {
        let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
        Self { origin: i64::try_from(now.as_micros()).unwrap_or(i64::MAX), since: Instant::now() }
    }

    /// Now.
    pub fn now(&self) -> Moment {
        self.origin + i64::try_from(self.since.elapsed().as_micros()).unwrap_or(i64::MAX)
    }
}

/// Events as they come in; nothing is ever taken out of it.
pub struct Log {
    /// The clock of all of them.
    pub clock: Clock,
    events: Mutex<Vec<Event>>,
}

impl Log {
    /// An empty one.
    pub fn new(clock: Clock) -> Self {
        Self { clock, events: Mutex::default() }
    }

    /// Writes down what came of a request that began at `began` and has ended now.
    pub fn note(&self, family: usize, began: Moment, asked: Asked, answer: Answer) {
        let ended = self.clock.now();
        self.events.lock().expect("nobody panics here").push(Event { family, began, ended, asked, answer });
    }

    /// How many places were acknowledged so far.
    pub fn acknowledged(&self) -> usize {
        let is_place =
            |event: &&Event| matches!((&event.asked, &event.answer), (Asked::Register { .. }, Answer::Done(_)));
        self.events.lock().expect("nobody panics here").iter().filter(is_place).count()
    }

    /// All of it.
    pub fn events(&self) -> Vec<Event> {
        self.events.lock().expect("nobody panics here").clone()
    }
}
