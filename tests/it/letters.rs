//! Letters from the page that gives the reason for them to a real mail server, and what people read of them meanwhile.

use chrono::TimeDelta;
use waymark::jobs::Deliver;
use waymark::jobs::letters::KINDS;
use waymark::outside::post::{Post, Protection, Relay};

use crate::house::browser::{Answered, Browser};
use crate::house::letters::all_due;
use crate::house::relay::RelayHouse;
use crate::house::season::rider;
use crate::planning::office::Office;

/// A session at Alder Flat, Ingrid who registers Zoë for it, and the relay that her letters go to.
struct Story {
    office: Office,
    relay: RelayHouse,
    session: String,
    ingrid: Browser,
    receipt: String,
}

impl Story {
    fn of(mailbox: &str) -> Self {
        let office = Office::furnished();
        let session = office.announce(&[]).location().trim_start_matches("/season/").to_owned();
        let ingrid = office.house.stranger();
        let receipt = ingrid.register(&session, &rider(), mailbox);
        Self { office, relay: RelayHouse::closed(), session, ingrid, receipt }
    }

    /// The same, and the address is shown to be hers: the letter about the place is due.
    fn with_a_place(mailbox: &str) -> Self {
        let story = Self::of(mailbox);
        story.office.house.confirm(mailbox);
        story
    }

    /// Tries the letters that are due after so many hours; says how many.
    fn tried_after(&self, time: TimeDelta) -> usize {
        let app = &self.office.house.app;
        app.clock.advance(time);
        let relay = Relay::new("127.0.0.1", self.relay.port, Protection::Bare, None).expect("a relay");
        let deliver = Deliver::new(app.clone(), Post::Relay(relay), KINDS).expect("a sender");
        actix_web::rt::System::new().block_on(all_due(&deliver))
    }

    fn tried(&self) -> usize {
        self.tried_after(TimeDelta::zero())
    }

    /// What Priya reads when she signs in now.
    fn first_page(&self) -> Answered {
        self.office.house.signed_in("priya@example.org").get("/")
    }

    fn call_off(&self) {
        let path = format!("/season/{}/cancel", self.session);
        let page = self.office.priya.get(&path);
        let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
        let fields =
            [("key", key.as_str()), ("seen", &seen), ("reason", "air"), ("words", ""), ("words_language", "en")];
        self.office.priya.post(&path, &fields).must_be(303);
    }

    fn told(&self) -> Answered {
        self.office.priya.get(&format!("/season/{}/told", self.session))
    }
}

#[test]
fn r08_families_register_while_no_letter_goes_out_and_read_that_it_is_on_its_way() {
    let story = Story::of("taken.ingrid@example.org");
    assert_eq!(story.tried(), 1, "the relay is down");
    let page = story.ingrid.get(&story.receipt);
    page.must_say("A letter is on its way to taken.ingrid@example.org.");
    assert!(!page.says("sent"), "nothing was sent");
    let _server = story.relay.open();
    assert_eq!(story.tried_after(TimeDelta::minutes(1)), 1);
    assert_eq!(story.relay.taken().into_values().collect::<Vec<_>>(), [1]);
}

#[test]
fn r09_no_page_says_that_a_letter_is_out_before_the_relay_has_said_so() {
    let story = Story::of("drops.ingrid@example.org");
    story.call_off();
    let _server = story.relay.open();
    let tried = story.tried();
    assert_eq!(story.relay.taken().into_values().sum::<usize>(), tried, "the relay has each letter once");
    let lines = |words: &str| story.told().body.matches(words).count();
    let out = lines("letter sent");
    assert_eq!(lines("letter on its way"), 1, "the team's are out, of Ingrid's nobody knows");
    let again = story.tried_after(TimeDelta::minutes(15));
    let copies = story.relay.taken();
    assert_eq!(copies.values().filter(|copies| **copies == 2).count(), again, "{copies:?}");
    assert_eq!(copies.into_values().max(), Some(2));
    assert_eq!((lines("letter sent"), lines("letter on its way")), (out + 1, 0));
}

#[test]
fn r09_a_family_that_may_have_its_letter_is_a_task_of_the_office() {
    let story = Story::with_a_place("deaf.ingrid@example.org");
    let _server = story.relay.open();
    assert_eq!(story.tried(), 1);
    assert!(!story.first_page().says("Letters that did not reach"));
    assert_eq!(story.tried_after(TimeDelta::minutes(15)), 1);
    let page = story.first_page();
    page.must_say("Letters that did not reach Ingrid Lindqvist, deaf.ingrid@example.org").must_say("not sure");
    page.must_say("The confirmation of a registration may not have reached the family");
}

#[test]
fn r10_a_letter_that_the_relay_refuses_is_a_task_of_the_office_at_once() {
    let story = Story::with_a_place("never.ingrid@example.org");
    let _server = story.relay.open();
    assert_eq!(story.tried(), 1);
    let page = story.first_page();
    page.must_say("Letters that did not reach Ingrid Lindqvist, never.ingrid@example.org").must_say("came back");
    page.must_say("The confirmation of a registration did not reach the family.");
    assert_eq!(story.tried_after(TimeDelta::hours(100)), 0, "it is not tried again");
}

#[test]
fn r10_a_letter_that_is_put_off_for_three_days_becomes_a_task_of_the_office() {
    let story = Story::with_a_place("later.ingrid@example.org");
    let _server = story.relay.open();
    assert_eq!(story.tried(), 1);
    assert_eq!(story.tried_after(TimeDelta::minutes(71 * 60 + 59)), 1);
    assert!(!story.first_page().says("Letters that did not reach"), "it is still tried");
    assert_eq!(story.tried_after(TimeDelta::minutes(2)), 1);
    story.first_page().must_say("Letters that did not reach Ingrid Lindqvist, later.ingrid@example.org");
}

#[test]
fn r10_a_letter_that_nobody_is_owed_any_more_is_no_task() {
    let story = Story::with_a_place("taken.ingrid@example.org");
    let path = format!("{}/give-up", story.receipt);
    story.ingrid.submit(&path, &path, &[]).must_be(303);
    let _server = story.relay.open();
    assert_eq!(story.tried(), 2, "the confirmation that is moot, and the letter that the place is over");
    assert_eq!(story.relay.taken().len(), 1);
    assert!(!story.first_page().says("Letters that did not reach"));
}
