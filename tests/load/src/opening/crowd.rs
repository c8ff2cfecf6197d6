//! Lets many visitors go at their own pace: each request is sent when it is due, by whichever hand is free.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::sync::{Condvar, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use super::visitor::{Next, Visitor};
use crate::storm::history::Log;

/// Hands that send requests; more than the service answers at once, so that none is late for want of a hand.
const HANDS: usize = 96;

/// One request.
#[derive(Clone, Debug)]
pub struct Sent {
    /// Verb and page.
    pub what: String,
    /// When it was due, from the beginning.
    pub due: Duration,
    /// From then until its answer was read: time in which no hand was free counts.
    pub took: Duration,
    /// How long it waited for a hand.
    pub late: Duration,
}

/// What became of all of them.
#[derive(Default)]
pub struct Outcome {
    /// Every request that was answered.
    pub sent: Vec<Sent>,
    /// What kept a visitor from going on.
    pub troubles: Vec<String>,
}

#[derive(Default)]
struct Diary {
    due: BinaryHeap<Reverse<(Duration, usize)>>,
    /// Visitors whose receipt is not read yet.
    left: usize,
}

/// Lets every visitor begin at its moment and go on to its receipt.
pub fn let_in(visitors: Vec<(Duration, Visitor)>, log: &Log) -> Outcome {
    let (mut diary, mut all) = (Diary { left: visitors.len(), ..Diary::default() }, Vec::new());
    for (number, (due, visitor)) in visitors.into_iter().enumerate() {
        diary.due.push(Reverse((due, number)));
        all.push(Mutex::new(visitor));
    }
    let (diary, bell, outcome) = (Mutex::new(diary), Condvar::new(), Mutex::new(Outcome::default()));
    let began = Instant::now();
    thread::scope(|scope| {
        for _ in 0..HANDS {
            scope.spawn(|| {
                while let Some((due, number)) = next(&diary, &bell, began) {
                    let late = began.elapsed().saturating_sub(due);
                    let step = all[number].lock().expect("one hand at a time").step(log);
                    let now = began.elapsed();
                    let mut noted = outcome.lock().expect("nobody panics here");
                    let next = match step {
                        Ok(step) => {
                            noted.sent.push(Sent { what: step.what, due, took: now.saturating_sub(due), late });
                            step.next
                        }
                        Err(trouble) => {
                            noted.troubles.push(format!("family {number}: {trouble:#}"));
                            Next::Done
                        }
                    };
                    drop(noted);
                    let mut diary = diary.lock().expect("nobody panics here");
                    match next {
                        Next::After(pause) => diary.due.push(Reverse((now + pause, number))),
                        Next::Done => diary.left -= 1,
                    }
                    bell.notify_all();
                }
            });
        }
    });
    outcome.into_inner().expect("nobody panics here")
}

/// The next request, once it is due; nothing when nobody is left.
fn next(diary: &Mutex<Diary>, bell: &Condvar, began: Instant) -> Option<(Duration, usize)> {
    let mut diary = diary.lock().expect("nobody panics here");
    while diary.left > 0 {
        let wait = match diary.due.peek() {
            Some(Reverse((due, _))) => due.saturating_sub(began.elapsed()),
            None => Duration::from_millis(50),
        };
        if wait.is_zero() {
            return diary.due.pop().map(|Reverse(due)| due);
        }
        diary = bell.wait_timeout(diary, wait).expect("nobody panics here").0;
    }
    None
}
