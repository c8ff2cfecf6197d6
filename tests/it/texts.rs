//! Text messages to adults who agreed to them: through a gateway of HTTP that runs in the test, and with no gateway at all.

mod choosing;
mod keeping;
mod sending;

use chrono::TimeDelta;
use diesel::prelude::*;
use tokio::task::JoinSet;
use waymark::jobs::Texting;
use waymark::services::places;
use waymark::store::schema::{registrations, texts};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::{Answered, Browser};
use crate::house::database::scratch;
use crate::house::gateway::{GatewayHouse, Manner};
use crate::planning::office::Office;
use crate::walk_up::{but, send};

/// What the gateway of these stories wants to read.
pub const BODY: &str = r#"{"to":"{to}","text":"{text}","from":"ATV"}"#;
/// The value of its `Authorization` line.
pub const SECRET: &str = "Bearer canary-of-many-letters";

/// The settings of a gateway at this port, named as in the environment.
pub fn settings(port: u16) -> Vec<(&'static str, String)> {
    use std::os::unix::fs::PermissionsExt;
    let file = scratch("texts").join("authorization");
    std::fs::write(&file, SECRET).expect("a file");
    std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o600)).expect("a mode");
    vec![
        ("WAYMARK_TEXTS_URL", format!("http://127.0.0.1:{port}/send?from=atv")),
        ("WAYMARK_TEXTS_BODY", BODY.to_owned()),
        ("WAYMARK_TEXTS_AUTHORIZATION_FILE", file.display().to_string()),
        ("WAYMARK_TEXTS_SECONDS", "1".to_owned()),
    ]
}

/// A house whose texts go to this gateway.
pub fn house(gateway: &GatewayHouse) -> TestApp {
    let own = settings(gateway.port);
    let pairs: Vec<(&str, &str)> = own.iter().map(|(name, value)| (*name, value.as_str())).collect();
    TestApp::with(&pairs)
}

/// Priya's desk, the gateway, and a session on the Saturday three weeks on, for which Rosa registered Mateo at the desk.
/// She has no address, reads Spanish and agreed to texts.
struct Story {
    house: TestApp,
    gateway: GatewayHouse,
    session: String,
    priya: Browser,
    /// The office's page of Mateo's place.
    place: String,
}

impl Story {
    fn with(gateway: GatewayHouse, seats: i64) -> Self {
        let house = house(&gateway);
        let session = house.add_session("young", seats, saturday() + TimeDelta::days(21));
        house.add_coordinator();
        let priya = house.signed_in("priya@example.org");
        let place = walk_up(&priya, &session, &[("texts", "yes")]);
        Self { house, gateway, session, priya, place }
    }

    fn open() -> Self {
        Self::with(GatewayHouse::opened(), 4)
    }

    fn call_off(&self) {
        call_off(&self.priya, &self.session);
    }

    /// What Priya reads when she signs in now.
    fn first_page(&self) -> Answered {
        self.house.signed_in("priya@example.org").get("/")
    }

    fn told(&self) -> Answered {
        self.house.signed_in("priya@example.org").get(&format!("/season/{}/told", self.session))
    }

    /// Presses a button on the office's page of a place.
    fn press(&self, place: &str, act: &str) -> Answered {
        let priya = self.house.signed_in("priya@example.org");
        priya.submit(place, place, &[("act", act), ("sure", "yes")])
    }

    fn states(&self) -> Vec<String> {
        states(&self.house)
    }
}

fn states(house: &TestApp) -> Vec<String> {
    house.rows(|conn| texts::table.order(texts::id).select(texts::state).load(conn))
}

fn texting(house: &TestApp) -> Texting {
    let gateway = house.app.settings.texts.as_ref().expect("a gateway");
    Texting::by_setting(&house.app, gateway).expect("a sound secret")
}

/// Sends what is due until nothing is under way. Returns how often a text was tried.
async fn all_due(texting: &Texting) -> usize {
    let (mut tried, mut under_way) = (0, JoinSet::new());
    loop {
        tried += texting.start(&mut under_way).await.expect("the store answers");
        match under_way.join_next().await {
            None => return tried,
            Some(ended) => ended.expect("no panic").expect("the end is noted"),
        }
    }
}

/// Tries the texts that are due after so much time; says how many.
fn tried_after(house: &TestApp, time: TimeDelta) -> usize {
    house.app.clock.advance(time);
    actix_web::rt::System::new().block_on(all_due(&texting(house)))
}

fn tried(house: &TestApp) -> usize {
    tried_after(house, TimeDelta::zero())
}

/// Staff register a child of a family without an address; gives the office's page of the place.
#[track_caller]
fn walk_up(priya: &Browser, session: &str, changes: &[(&str, &str)]) -> String {
    let receipt = send(priya, session, &but(changes)).must_be(303).location().to_owned();
    let reference = receipt.rsplit('/').next().expect("a reference");
    format!("/season/{session}/riders/{reference}")
}

#[track_caller]
fn call_off(priya: &Browser, session: &str) {
    let path = format!("/season/{session}/cancel");
    let page = priya.get(&path);
    let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
    let fields = [("key", key.as_str()), ("seen", &seen), ("reason", "air"), ("words", ""), ("words_language", "en")];
    priya.post(&path, &fields).must_be(303);
}

#[test]
fn family_7_a_family_without_an_address_is_texted_that_its_session_is_called_off_and_called_all_the_same() {
    let story = Story::open();
    story.call_off();
    assert_eq!(tried(&story.house), 1);
    let got = story.gateway.got();
    let [got] = got.as_slice() else { panic!("{got:?}") };
    assert_eq!(got.line, "POST /send?from=atv HTTP/1.1");
    assert_eq!(got.header("content-type"), Some("application/json"));
    assert_eq!(got.header("authorization"), Some(SECRET));
    let (to, text) = got.said();
    assert_eq!(to, "+14065550171");
    let url = &story.house.app.settings.server.public_url;
    let session = &story.session;
    let expected = format!(
        "Our youth riding program: Se cancela la sesión de Mateo del sáb. 4 jul. en Alder Flat. Por favor no venga. \
         {url}/sessions/{session}"
    );
    let bare = expected.replace("sesión", "sesion").replace("sáb.", "sab.");
    assert!(text == expected || text == bare, "{text}");
    for never in ["Baeza", "wasp", "555", "token", "/answers/", "/registrations/"] {
        assert!(!text.contains(never), "{never}: {text}");
    }
    assert_eq!(story.states(), ["sent"]);
    let told = story.told();
    told.must_say("1 told by text.")
        .must_say("no e-mail address told by text")
        .must_say("1 on this list were not told");
    told.must_say("Call those without a letter all the same.");
    story.first_page().must_say("1 to call");
    let priya = story.house.signed_in("priya@example.org");
    let way = format!("/season/{}/told/1", story.session);
    priya.submit(&format!("/season/{}/told", story.session), &way, &[]).must_be(303);
    story.told().must_say("Everybody on this list was told.");
    assert_eq!(tried_after(&story.house, TimeDelta::hours(30)), 0, "once is enough");
    assert_eq!(story.gateway.got().len(), 1);
}

#[test]
fn family_7_a_form_gateway_gets_a_form() {
    let gateway = GatewayHouse::opened();
    let mut own = settings(gateway.port);
    own.retain(|(name, _)| *name != "WAYMARK_TEXTS_BODY" && *name != "WAYMARK_TEXTS_AUTHORIZATION_FILE");
    own.push(("WAYMARK_TEXTS_BODY", "To={to}&Body={text}".into()));
    own.push(("WAYMARK_TEXTS_CONTENT_TYPE", "application/x-www-form-urlencoded".into()));
    let pairs: Vec<(&str, &str)> = own.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let house = TestApp::with(&pairs);
    let session = house.add_session("young", 4, saturday() + TimeDelta::days(21));
    house.add_coordinator();
    let priya = house.signed_in("priya@example.org");
    walk_up(&priya, &session, &[("texts", "yes"), ("child_given", "Ana & Ben"), ("language", "en")]);
    call_off(&priya, &session);
    assert_eq!(tried(&house), 1);
    let got = gateway.got();
    assert_eq!(got[0].header("content-type"), Some("application/x-www-form-urlencoded"));
    assert_eq!(got[0].header("authorization"), None);
    assert!(
        got[0].body.starts_with("To=%2B14065550171&Body=Our+youth+riding+program%3A+The+session+of+Ana+%26+Ben+on")
    );
}

#[test]
fn family_7_only_the_newest_move_of_a_session_is_texted() {
    let gateway = GatewayHouse::opened();
    let office = Office::furnished_in(house(&gateway));
    let session = office.announce(&[("held_month", "7"), ("held_day", "11")]).location().to_owned();
    let session = session.trim_start_matches("/season/").to_owned();
    walk_up(&office.priya, &session, &[("texts", "yes"), ("language", "en")]);
    let move_to = |day: &str, starts: &str| {
        let way = format!("/season/{session}/move");
        let site = office.value_of("/season/new", "Alder Flat, Missoula");
        let page = office.priya.get(&way);
        let (key, seen) = (page.field("key").expect("a key"), page.field("seen").expect("a revision"));
        let fields = [
            ("key", key.as_str()),
            ("seen", &seen),
            ("reason", "weather"),
            ("words", ""),
            ("words_language", "en"),
            ("site", &site),
            ("held_month", "7"),
            ("held_day", day),
            ("held_year", "2026"),
            ("starts", starts),
            ("minutes", "270"),
        ];
        office.priya.post(&way, &fields).must_be(303);
    };
    move_to("12", "8:30 AM");
    move_to("18", "9:15 AM");
    assert_eq!(tried(&office.house), 2, "of one nobody is owed the words any more");
    let texts = gateway.texts();
    assert_eq!(texts.len(), 1, "{texts:?}");
    assert!(texts[0].contains("The session of Mateo is now on Sat, July 18, 9:15 AM, at Alder Flat."), "{texts:?}");
    assert_eq!(states(&office.house), ["moot", "sent"]);
    office.priya.get(&format!("/season/{session}/told")).must_say("told by text");
}

#[test]
fn family_7_a_free_seat_is_texted_with_until_when_and_whom_to_call() {
    let story = Story::with(GatewayHouse::opened(), 1);
    let waits = [("texts", "yes"), ("child_given", "Nina"), ("phone", "406 555 0188"), ("language", "en")];
    let nina = walk_up(&story.priya, &story.session, &waits);
    assert_eq!(tried(&story.house), 0, "nobody is texted about a place as it is");
    story.press(&story.place, "give_up").must_be(303);
    story.first_page().must_say("without e-mail has a seat offered");
    assert_eq!(tried(&story.house), 1);
    let (to, text) = story.gateway.got()[0].said();
    assert_eq!(to, "+14065550188");
    assert!(text.contains("A seat is free for Nina on Sat, July 4 at Alder Flat. Call ("), "{text}");
    assert!(text.contains(" by Thu, June 11, ") || text.contains(" by Fri, June 12, "), "{text}");
    assert!(!text.contains("e-mail"), "there is none: {text}");
    story.press(&nina, "take").must_be(303);
    let held: Vec<Option<chrono::NaiveDateTime>> =
        story.house.rows(|conn| registrations::table.select(registrations::held_until).load(conn));
    assert_eq!(held, [None, None]);
    assert_eq!(tried_after(&story.house, TimeDelta::hours(1)), 0);
}

#[test]
fn family_7_a_seat_that_is_taken_before_the_text_is_out_is_not_offered_by_text() {
    let story = Story::with(GatewayHouse::opened(), 1);
    let waits = [("texts", "yes"), ("child_given", "Nina"), ("phone", "406 555 0188")];
    let nina = walk_up(&story.priya, &story.session, &waits);
    story.press(&story.place, "give_up").must_be(303);
    story.press(&nina, "take").must_be(303);
    assert_eq!(tried(&story.house), 1);
    assert_eq!((story.gateway.got().len(), story.states()), (0, vec!["moot".to_owned()]));
}

#[test]
fn family_7_the_day_before_is_texted_once_and_not_after_the_start() {
    let story = Story::open();
    let remind = |at: &str| {
        story.house.at(at);
        places::remind(&story.house.app).expect("the job");
    };
    remind("2026-06-27T15:00:00");
    assert_eq!(story.states(), Vec::<String>::new(), "a week before there is no text");
    for _ in 0..3 {
        remind("2026-07-03T15:00:00");
    }
    assert_eq!(tried(&story.house), 1);
    let texts = story.gateway.texts();
    assert!(
        texts[0].contains("Mateo monta el s") && texts[0].contains("4 jul., 8:30 a. m., en Alder Flat"),
        "{texts:?}"
    );
    // Another family's waits until the session has begun.
    let other = Story::with(GatewayHouse::closed(), 4);
    other.house.at("2026-07-03T20:00:00");
    places::remind(&other.house.app).expect("the job");
    assert_eq!(tried(&other.house), 1);
    other.gateway.behave(Manner::Answers(200));
    other.house.at("2026-07-04T14:30:00");
    assert_eq!(tried(&other.house), 1);
    assert_eq!(other.states(), ["moot"]);
}
