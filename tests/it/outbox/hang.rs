//! A relay that keeps one letter without an answer keeps nothing else.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use chrono::TimeDelta;
use tokio::task::JoinSet;
use waymark::jobs::{Job, Runner};

use super::{DRIPS, HANGS, Office, TAKEN};

/// Far longer than anything here takes; only a fault is that slow.
const PATIENCE: Duration = Duration::from_secs(60);

#[tokio::test]
async fn r10_letters_that_hang_hold_up_no_other_letter() {
    let office = Office::new();
    let _server = office.relay.open();
    office.ask_for(1, HANGS);
    office.ask_for(1, DRIPS);
    let ids = office.ask_for(20, TAKEN);
    let (deliver, mut under_way, mut tried) = (office.deliver(), JoinSet::new(), 0);
    let others = async {
        loop {
            tried += deliver.start(&mut under_way).await.expect("the store answers");
            if tried == 22 && under_way.len() == 2 {
                return;
            }
            under_way.join_next().await.expect("a letter").expect("no panic").expect("the end is noted");
        }
    };
    tokio::time::timeout(PATIENCE, others).await.expect("twenty letters go past the two that hang");
    office.assert_each_once(&ids);
    assert_eq!(office.backlog(), (2, 0));
}

#[tokio::test]
async fn r10_a_letter_that_hangs_holds_up_no_other_work() {
    static TURNS: AtomicUsize = AtomicUsize::new(0);
    static WORK: &[Job] = &[Job {
        name: "count",
        every: 5,
        run: |_| {
            TURNS.fetch_add(1, Ordering::Relaxed);
            Ok(())
        },
    }];
    let office = Office::new();
    let _server = office.relay.open();
    office.ask_for(1, HANGS);
    let runner = Runner::new(office.app.clone(), office.deliver(), None, WORK);
    let two_turns = async {
        while office.claimed() == 0 || TURNS.load(Ordering::Relaxed) == 0 {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        office.app.clock.advance(TimeDelta::seconds(5));
        while TURNS.load(Ordering::Relaxed) == 1 {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    tokio::select! {
        () = runner.run_until(std::future::pending()) => panic!("nobody told it to stop"),
        done = tokio::time::timeout(PATIENCE, two_turns) => done.expect("work comes round while a letter hangs"),
    }
    assert_eq!(office.claimed(), 1, "the letter still hangs");
}
