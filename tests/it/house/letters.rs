//! The letters that the program owes, written as they would be sent, and the code that somebody's app shows.

use diesel::prelude::*;
use tokio::task::JoinSet;
use waymark::jobs::Deliver;
use waymark::jobs::letters::{KINDS, Written};
use waymark::outside::totp::SharedSecret;
use waymark::store::StoreError;
use waymark::store::outbox::{OutboxRow, set_letter_sent};
use waymark::store::schema::outbox;

use super::app::TestApp;
use super::browser::{Answered, unescaped};

/// Sends what is due, and what becomes due by that, until nothing is under way. Returns how often a letter was tried.
pub async fn all_due(deliver: &Deliver) -> usize {
    let (mut tried, mut under_way) = (0, JoinSet::new());
    loop {
        tried += deliver.start(&mut under_way).await.expect("the store answers");
        match under_way.join_next().await {
            None => return tried,
            Some(ended) => ended.expect("no panic").expect("the end is noted"),
        }
    }
}

impl TestApp {
    /// Writes every letter that is due, in the order in which they were asked for, and counts them as sent.
    pub fn letters_out(&self) -> Vec<(String, Written)> {
        let due = outbox::table.filter(outbox::state.eq("due")).order(outbox::id);
        let rows: Vec<OutboxRow> = self
            .app
            .store
            .read(|conn| Ok::<_, StoreError>(due.select(OutboxRow::as_select()).load(conn)?))
            .expect("the letters");
        let mut written = Vec::new();
        for row in rows {
            let kind = KINDS.iter().find(|kind| kind.name == row.kind).expect("a kind");
            if let Ok(letter) = (kind.write)(&self.app, &row) {
                written.push((row.kind.clone(), letter));
            }
            let (id, now) = (row.id, self.app.clock.now());
            self.app.store.write("sent", move |conn| set_letter_sent(conn, id, now)).expect("sent");
        }
        written
    }

    /// The way of the question in the newest letter to a mailbox, all letters that are due having gone out.
    #[track_caller]
    pub fn question_to(&self, mailbox: &str) -> String {
        let to = |(_, letter): (String, Written)| (letter.to.address == mailbox).then_some(letter.text);
        let texts: Vec<String> = self.letters_out().into_iter().filter_map(to).collect();
        let asked = texts.iter().rev().find_map(|text| text.lines().find(|line| line.contains("/answers/")));
        let way = asked.unwrap_or_else(|| panic!("{mailbox} is asked nothing: {texts:?}"));
        let (way, lang) = way.split_once("?lang=").expect("the letter's language goes along");
        assert!(["en", "es"].contains(&lang), "{lang}");
        way[way.find("/answers/").expect("it is there")..].to_owned()
    }

    /// Somebody opens the question of a letter on another device and presses a button.
    #[track_caller]
    pub fn answer(&self, question: &str, said: &str) -> Answered {
        let browser = self.stranger();
        browser.get(question).must_be(200);
        browser.submit(question, question, &[("answer", said)])
    }

    /// A new family shows that its address is its own.
    #[track_caller]
    pub fn confirm(&self, mailbox: &str) {
        let question = self.question_to(mailbox);
        assert_eq!(self.answer(&question, "yes").location(), "/answers/done/address-yes");
    }

    /// The way of the link in the only letter that is due.
    #[track_caller]
    pub fn link_in_the_letter(&self) -> String {
        let letters = self.letters_out();
        let [(_, letter)] = letters.as_slice() else { panic!("{} letters are due", letters.len()) };
        let way = letter.text.lines().find_map(|line| line.split_once("/links/")).expect("a link").1;
        format!("/links/{way}")
    }
}

/// What somebody's code app keeps.
pub struct AppKey(SharedSecret);

impl AppKey {
    /// As the page of a new second step gives it away to be typed.
    #[track_caller]
    pub fn on(page: &Answered) -> Self {
        let text = page.body.split("class=\"code\">").nth(1).and_then(|rest| rest.split('<').next()).expect("a key");
        let bytes = base32(&text.replace(' ', ""));
        Self(SharedSecret::from_bytes(&bytes).expect("twenty bytes"))
    }
}

impl AppKey {
    /// The code that the app shows at an instant.
    pub fn code_on(&self, at: chrono::NaiveDateTime) -> String {
        self.0.code(at).expect("a code")
    }

    /// The code that the app shows now.
    pub fn code_at(&self, house: &TestApp) -> String {
        self.code_on(house.app.clock.now())
    }
}

/// The recovery codes on a page of a new second step.
pub fn recovery_codes_on(page: &Answered) -> Vec<String> {
    let list = page.body.split("spare-codes").nth(1).and_then(|rest| rest.split("</ol>").next()).unwrap_or_default();
    list.split("class=\"code\">").skip(1).filter_map(|rest| rest.split('<').next()).map(unescaped).collect()
}

/// Base32 of RFC 4648, section 6, read by hand: the tests' own eyes on what the program shows.
fn base32(text: &str) -> Vec<u8> {
    let (mut bytes, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for letter in text.bytes() {
        let five = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'2'..=b'7' => letter - b'2' + 26,
            other => panic!("{other} is no letter of base32"),
        };
        held = held << 5 | u32::from(five);
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            bytes.push(u8::try_from(held >> bits & 0xff).expect("eight bits"));
        }
    }
    bytes
}
