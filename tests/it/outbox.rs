//! Letters reach a real mail server at least once and at most once a try, whatever happens to server or sender.
//! The clock is set by hand: nothing here waits for time to pass.

mod hang;

use std::sync::Arc;

use chrono::{NaiveDateTime, TimeDelta};
use diesel::prelude::*;
use waymark::domain::ids::AccountId;
use waymark::domain::words::Lang;
use waymark::jobs::Deliver;
use waymark::jobs::letters::{Kind, Unwritten, Written};
use waymark::outside::cipher::{Cipher, KeyRing};
use waymark::outside::clock::Clock;
use waymark::outside::mail::Party;
use waymark::outside::password::Passwords;
use waymark::outside::post::{Post, Protection, Relay};
use waymark::outside::random::Random;
use waymark::services::App;
use waymark::settings::{Overrides, load_from};
use waymark::store::outbox::{Backlog, Claim, NewLetter, OutboxRow, add_letter, backlog, claim_letters};
use waymark::store::schema::{accounts, outbox};
use waymark::store::{AnyConn, StoreError};

use crate::house::database::{TestDatabase, scratch};
use crate::house::letters::all_due;
use crate::house::relay::RelayHouse;

/// A kind for these tests: the subject says what the relay will answer.
static KINDS: &[Kind] = &[Kind { name: "probe", write }];
const TAKEN: i64 = 0;
const LATER: i64 = 1;
const NEVER: i64 = 2;
const DROPS: i64 = 3;
const DEAF: i64 = 4;
const HANGS: i64 = 5;
const DRIPS: i64 = 6;
const ADDRESSES: [&str; 7] = ["taken", "later", "never", "drops", "deaf", "hangs", "drips"];

fn write(_: &App, row: &OutboxRow) -> Result<Written, Unwritten> {
    let name = ADDRESSES[usize::try_from(row.subject_id).expect("a small number")];
    Ok(Written {
        to: Party { name: None, address: format!("{name}@example.org") },
        subject: format!("Letter {}", row.id.raw()),
        text: "Your place is kept.\n".into(),
        html: "<p>Your place is kept.</p>".into(),
        enclosures: vec![],
        unsubscribe: None,
    })
}

struct Office {
    app: App,
    relay: RelayHouse,
    account: AccountId,
    _database: TestDatabase,
}

impl Office {
    fn new() -> Self {
        let database = TestDatabase::migrated();
        let random = Random::seeded(5);
        let overrides = Overrides { data: Some(scratch("office")), ..Overrides::default() };
        let app = App {
            store: database.store(),
            clock: Clock::fixed("2026-05-01T12:00:00".parse().expect("a time")),
            passwords: Passwords::new(2, random.clone()),
            cipher: Cipher::new(KeyRing::fresh(&random), random.clone()),
            random,
            settings: Arc::new(load_from(&overrides, std::collections::BTreeMap::new()).expect("settings")),
        };
        let account = app.store.write("an_account", account).expect("an account");
        Self { app, relay: RelayHouse::closed(), account, _database: database }
    }

    fn deliver(&self) -> Deliver {
        let relay = Relay::new("127.0.0.1", self.relay.port, Protection::Bare, None).expect("a relay");
        Deliver::new(self.app.clone(), Post::Relay(relay), KINDS).expect("a sender")
    }

    fn ask_for(&self, letters: usize, subject_id: i64) -> Vec<String> {
        let (account_id, at) = (self.account, self.now());
        let ids: Vec<String> =
            (0..letters).map(|_| format!("{}@waymark.example", self.app.random.reference())).collect();
        let wanted = ids.clone();
        let add = move |conn: &mut AnyConn| {
            for message_id in wanted.iter().cloned() {
                let language = Lang::En;
                add_letter(conn, &NewLetter { message_id, kind: "probe", subject_id, account_id, language, at })?;
            }
            Ok::<_, StoreError>(())
        };
        self.app.store.write("letters", add).expect("letters are asked for");
        ids
    }

    fn now(&self) -> NaiveDateTime {
        self.app.clock.now()
    }

    fn backlog(&self) -> (i64, i64) {
        let Backlog { due, stopped } = self.app.store.read(backlog).expect("a count");
        (due, stopped)
    }

    /// How many letters are under way.
    fn claimed(&self) -> i64 {
        let claimed = outbox::table.filter(outbox::leased_until.is_not_null()).count();
        self.app.store.read(|conn| Ok::<_, StoreError>(claimed.get_result(conn)?)).expect("a count")
    }

    /// Every letter was taken, each once.
    #[track_caller]
    fn assert_each_once(&self, ids: &[String]) {
        self.assert_each(ids, 1);
    }

    /// These letters were taken and no other, each so many times.
    #[track_caller]
    fn assert_each(&self, ids: &[String], times: usize) {
        let taken = self.relay.taken();
        assert_eq!(taken.len(), ids.len(), "{taken:?}");
        assert!(ids.iter().all(|id| taken.get(id) == Some(&times)), "not each {times} times: {taken:?}");
    }

    /// Tries what is due after so many minutes.
    async fn tried_after(&self, deliver: &Deliver, minutes: i64) -> usize {
        self.app.clock.advance(TimeDelta::minutes(minutes));
        all_due(deliver).await
    }
}

fn account(conn: &mut AnyConn) -> Result<AccountId, StoreError> {
    Ok(diesel::insert_into(accounts::table)
        .values((
            accounts::reference.eq("a"),
            accounts::sign_in_name.eq("a@example.org"),
            accounts::email.eq("a@example.org"),
            accounts::given_name.eq("A"),
            accounts::family_name.eq(""),
            accounts::language.eq("en"),
            accounts::created_at.eq(NaiveDateTime::default()),
        ))
        .returning(accounts::id)
        .get_result(conn)?)
}

#[tokio::test]
async fn r08_five_hundred_letters_wait_an_hour_for_their_relay_and_none_is_lost_or_doubled() {
    let office = Office::new();
    let deliver = office.deliver();
    let ids = office.ask_for(500, TAKEN);
    assert_eq!(all_due(&deliver).await, 8, "the first eight find it down, the rest is kept");
    for minute in 1..=60 {
        assert_eq!(all_due(&deliver).await, 0, "minute {minute}");
        office.app.clock.advance(TimeDelta::minutes(1));
        assert_eq!(all_due(&deliver).await, 1, "one probe in minute {minute}");
    }
    assert_eq!(office.backlog(), (500, 0));
    let server = office.relay.open();
    assert_eq!(all_due(&deliver).await, 0, "before the next probe nothing goes out");
    office.app.clock.advance(TimeDelta::minutes(1));
    assert_eq!(all_due(&deliver).await, 500, "one success makes all due, a minute after the return");
    office.assert_each_once(&ids);
    assert_eq!(office.backlog(), (0, 0));
    drop(server);
    let more = office.ask_for(1, TAKEN);
    assert_eq!(all_due(&deliver).await, 1);
    assert_eq!(office.backlog(), (1, 0));
    let _server = office.relay.open();
    office.app.clock.advance(TimeDelta::minutes(1));
    assert_eq!(all_due(&deliver).await, 1);
    office.assert_each_once(&[ids, more].concat());
}

#[tokio::test]
async fn r08_one_success_makes_letters_due_that_had_long_to_wait() {
    let office = Office::new();
    let deliver = office.deliver();
    let ids = office.ask_for(4, TAKEN);
    assert_eq!(all_due(&deliver).await, 4);
    for minute in 1..=40 {
        assert_eq!(office.tried_after(&deliver, 1).await, 1, "one probe in minute {minute}");
    }
    let _server = office.relay.open();
    assert_eq!(office.tried_after(&deliver, 1).await, 4, "the probe goes out and takes the others along");
    office.assert_each_once(&ids);
}

#[tokio::test]
async fn r08_a_letter_that_is_not_taken_for_now_waits_longer_each_time_up_to_a_quarter_of_an_hour() {
    let office = Office::new();
    let _server = office.relay.open();
    office.ask_for(1, LATER);
    let deliver = office.deliver();
    assert_eq!(all_due(&deliver).await, 1);
    for longest in [1, 2, 4, 8, 15, 15] {
        let mut waited = 1;
        while office.tried_after(&deliver, 1).await == 0 {
            waited += 1;
        }
        assert!((longest * 3 / 4..=longest).contains(&(waited)), "{waited} of at most {longest} minutes");
    }
}

#[tokio::test]
async fn house_1_two_runners_share_the_letters_and_send_each_once() {
    let office = Office::new();
    let _server = office.relay.open();
    let ids = office.ask_for(40, TAKEN);
    let (one, two) = (office.deliver(), office.deliver());
    let (tried_by_one, tried_by_two) = tokio::join!(all_due(&one), all_due(&two));
    assert_eq!(tried_by_one + tried_by_two, 40);
    office.assert_each_once(&ids);
}

#[tokio::test]
async fn r11_a_letter_of_a_runner_that_died_goes_out_under_its_own_id() {
    let office = Office::new();
    let _server = office.relay.open();
    let ids = office.ask_for(3, TAKEN);
    let now = office.now();
    let claim = Claim { holder: "dead".into(), now, until: now + TimeDelta::minutes(15), most: 3, early: false };
    let claimed = office.app.store.write("claim", move |conn| claim_letters(conn, &claim)).expect("a claim");
    assert_eq!(claimed.len(), 3);
    let deliver = office.deliver();
    assert_eq!(all_due(&deliver).await, 0, "they are still the dead one's");
    office.app.clock.advance(TimeDelta::minutes(15));
    assert_eq!(all_due(&deliver).await, 3);
    office.assert_each_once(&ids);
}

#[tokio::test]
async fn r10_a_refused_letter_stops_and_a_deferred_one_is_tried_for_three_days() {
    let office = Office::new();
    let _server = office.relay.open();
    office.ask_for(1, NEVER);
    office.ask_for(1, LATER);
    let ids = office.ask_for(2, TAKEN);
    let deliver = office.deliver();
    assert_eq!(all_due(&deliver).await, 4, "the refused ones hold nobody back");
    office.assert_each_once(&ids);
    assert_eq!(office.backlog(), (1, 1));
    let asked = office.now();
    let mut tries = 0;
    while office.backlog() == (1, 1) {
        assert!(office.now() < asked + TimeDelta::hours(73), "it is given up after three days");
        office.app.clock.advance(TimeDelta::minutes(15));
        tries += all_due(&deliver).await;
    }
    assert!(office.now() >= asked + TimeDelta::hours(72));
    assert!(tries > 200, "{tries} tries in three days");
    assert_eq!(office.backlog(), (0, 2));
}

#[tokio::test]
async fn r09_a_letter_whose_answer_was_lost_goes_out_again_once_under_its_own_id() {
    let office = Office::new();
    let _server = office.relay.open();
    let ids = office.ask_for(3, DROPS);
    let deliver = office.deliver();
    assert_eq!(all_due(&deliver).await, 3);
    office.assert_each_once(&ids);
    assert_eq!(office.backlog(), (3, 0), "the relay has them and never said so: they do not count as sent");
    assert_eq!(office.tried_after(&deliver, 11).await, 0, "there is no hurry");
    let others = office.ask_for(1, TAKEN);
    assert_eq!(all_due(&deliver).await, 1);
    assert_eq!(office.tried_after(&deliver, 4).await, 3);
    assert_eq!(office.backlog(), (0, 0));
    let mut taken = office.relay.taken();
    assert_eq!(taken.remove(&others[0]), Some(1));
    assert_eq!(taken.into_iter().collect::<Vec<_>>(), sorted(ids).into_iter().map(|id| (id, 2)).collect::<Vec<_>>());
}

#[tokio::test]
async fn r09_a_letter_whose_answer_is_lost_twice_is_left_to_a_person_and_no_third_copy_goes_out() {
    let office = Office::new();
    let server = office.relay.open();
    let ids = office.ask_for(1, DEAF);
    let deliver = office.deliver();
    assert_eq!(all_due(&deliver).await, 1);
    drop(server);
    assert_eq!(office.tried_after(&deliver, 15).await, 1, "the relay is gone meanwhile");
    assert_eq!(office.backlog(), (1, 0));
    let _server = office.relay.open();
    assert_eq!(office.tried_after(&deliver, 15).await, 1);
    assert_eq!(office.backlog(), (0, 1));
    for _ in 0..100 {
        assert_eq!(office.tried_after(&deliver, 60).await, 0);
    }
    office.assert_each(&ids, 2);
}

fn sorted(mut ids: Vec<String>) -> Vec<String> {
    ids.sort();
    ids
}
