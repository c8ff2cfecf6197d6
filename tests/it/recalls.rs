//! A maker calls helmets back: nothing of them is handed out from the press on, whoever has one is written to, and what became
//! of each is noted by the family or the office.

use waymark::domain::access::Role;
use waymark::store::connection::{Purpose, open};
use waymark::store::migrations::execute;

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;

struct Story {
    house: TestApp,
    field: Field,
    priya: Browser,
}

impl Story {
    /// Zoë has a helmet of lot TR-M; there are more of it, and of TR-L of the same model.
    fn begins() -> Self {
        let house = TestApp::start();
        house.add_coordinator();
        let field = house.field_day();
        for lot in ["TR-M", "TR-L"] {
            house.add_lot_of(lot, 5, chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day"));
        }
        field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
        field.tap(&house, &field.lead, "helmet", &[("lot", "TR-M"), ("way", "lent")]).must_be(303);
        let priya = house.signed_in("priya@example.org");
        Self { house, field, priya }
    }

    fn call_back(&self, what: &str) -> Answered {
        let fields = [("what", what), ("why", "The strap can tear out"), ("source", "Notice of the maker, June 12")];
        self.priya.submit("/gear/recalls", "/gear/recalls", &fields)
    }

    fn ingrid(&self) -> Browser {
        let browser = self.house.stranger();
        browser
            .submit(
                "/sign-in",
                "/sign-in",
                &[("email", "ingrid@example.org"), ("password", "lantern under seven larches")],
            )
            .must_be(303);
        browser
    }

    /// The address of Zoë's page for her family.
    fn zoe(&self) -> String {
        let body = self.ingrid().get("/riders").body;
        let reference = body.split("href=\"/riders/").nth(1).and_then(|rest| rest.split('"').next());
        format!("/riders/{}", reference.expect("a child"))
    }
}

#[test]
fn day_4_from_the_press_on_none_is_handed_out_or_passes_a_check_and_a_family_is_written_to_once() {
    let story = Story::begins();
    let (house, field) = (&story.house, &story.field);
    house.letters_out();
    field.tap(house, &field.lead, "helmet_check", &[("all", "yes"), ("lot", "TR-M")]).must_be(303);
    story.call_back("").must_be(422).must_say("Choose which helmets");
    story.call_back("lot:nothing").must_be(404);
    let recall = story.call_back("lot:lotTR-M");
    recall.must_be(303);
    story.call_back("lot:lotTR-M").must_be(409).must_say("called back already");
    let give = |lot: &str| field.tap(house, &field.lead, "helmet", &[("lot", lot), ("way", "given")]);
    give("TR-M").must_be(422).must_say("are called back");
    assert!(!field.lead.get(&field.of_zoe("/helmet")).says("Lot TR-M,"), "it is not offered");
    let check = |lot: &str| field.tap(house, &field.lead, "helmet_check", &[("all", "yes"), ("lot", lot)]);
    check("TR-M").must_be(422).must_say("are called back");
    story.priya.get("/gear").must_say("Called back");
    let letters = house.letters_out();
    assert_eq!(letters.len(), 1);
    let (kind, letter) = &letters[0];
    assert_eq!((kind.as_str(), letter.to.address.as_str()), ("helmet_recall", "ingrid@example.org"));
    for said in ["Zoë Marisol", "Alder shell, size M", "The strap can tear out", "let nobody wear it", "/riders/"] {
        assert!(letter.text.contains(said), "{said}: {}", letter.text);
    }
    story.priya.get(recall.location()).must_say("Zoë Marisol").must_say("Ingrid Lindqvist").must_say("No answer yet");
    house.signed_in("priya@example.org").get("/").must_say("Helmets called back Alder shell, lot TR-M");
}

#[test]
fn day_4_helmets_that_are_called_back_or_past_their_use_are_not_loaded_for_a_session() {
    let story = Story::begins();
    let gear = format!("/season/{}/gear", story.field.session);
    let body = story.priya.get("/gear/receive").body;
    let store = body.split("<option ").find(|option| option.contains(">Store<")).expect("the store");
    let store = store.split('"').nth(1).expect("a value").to_owned();
    // The page was open before the press that called them back.
    let seen = story.priya.get(&gear).field("seen").expect("what the form was drawn from");
    story.call_back("lot:lotTR-L").must_be(303);
    let load = |lot: &str| {
        let name = format!("out_{lot}");
        let fields = [("from", store.as_str()), (name.as_str(), "1"), ("seen", seen.as_str())];
        story.priya.post(&format!("{gear}/out"), &fields)
    };
    load("lotTR-L").must_be(409).must_say("Helmets of this lot are called back.");
    load("lotTR-M").must_be(303);
}

#[test]
fn day_4_the_family_says_what_became_of_it_and_nobody_else_does() {
    let story = Story::begins();
    let recall = story.call_back("lot:lotTR-M").location().to_owned();
    let zoe = story.zoe();
    let ingrid = story.ingrid();
    let page = ingrid.get(&zoe);
    page.must_say("Zoë Marisol's helmet is called back")
        .must_say("The strap can tear out (Notice of the maker, June 12)");
    ingrid.get(&format!("{zoe}?lang=es"));
    let spanish = ingrid.get(&zoe);
    spanish.must_say("El casco de Zoë Marisol está retirado").must_say("Ya nadie lo usa");
    let way = page.body.split("action=\"").map(|rest| rest.split('"').next().unwrap_or_default());
    let way = way.into_iter().find(|action| action.contains("/recalls/")).expect("the form").to_owned();
    let stranger = story.house.stranger();
    stranger.register(&story.field.session, &crate::house::season::rider(), "chidi@example.org");
    stranger.post(&way, &[("answer", "stopped")]).must_be(404);
    ingrid.post(&way, &[("answer", "not_reached")]).must_be(404);
    ingrid.post(&way, &[("answer", "stopped")]).must_be(303);
    assert!(!ingrid.get(&zoe).says("está retirado"), "it is settled");
    story.priya.get(&recall).must_say("Nobody wears it").must_say("Ingrid Lindqvist");
    assert!(!story.house.signed_in("priya@example.org").get("/").says("Helmets called back"));
}

#[test]
fn day_4_the_office_calls_whom_no_letter_reaches_and_ends_what_is_over() {
    let story = Story::begins();
    let mut conn = open(&story.house.database.url, Purpose::Write).expect("a connection");
    execute(&mut conn, "UPDATE guardians SET email = NULL").expect("no address");
    drop(conn);
    story.house.letters_out();
    let recall = story.call_back("model:Alder shell").location().to_owned();
    assert_eq!(story.house.letters_out().len(), 0);
    let page = story.priya.get(&recall);
    page.must_say("Alder shell, every lot").must_say("No e-mail: call").must_say("TR-L, TR-M");
    let number =
        page.body.split("/answers/").nth(1).and_then(|rest| rest.split('"').next()).expect("a form").to_owned();
    let answer = |said: &str| {
        let way = format!("{recall}/answers/{number}");
        story.priya.submit(&recall, &way, &[("answer", said)])
    };
    answer("moon").must_be(404);
    answer("not_reached").must_be(303);
    let first_page = || story.house.signed_in("priya@example.org").get("/");
    first_page().must_say("Helmets called back").must_say("1 without an answer");
    answer("handed_in").must_be(303);
    assert!(!first_page().says("Helmets called back"));
    let give =
        |lot: &str| story.field.tap(&story.house, &story.field.lead, "helmet", &[("lot", lot), ("way", "given")]);
    give("TR-L").must_be(422).must_say("are called back");
    story.priya.submit(&recall, &format!("{recall}/end"), &[]).must_be(303);
    story.priya.post(&format!("{recall}/end"), &[]).must_be(409);
    give("TR-L").must_be(303);
    story.house.person(Role::Instructor).get("/gear/recalls").must_be(403);
}

#[test]
fn day_4_a_helmet_handed_out_by_a_slip_is_taken_off_the_list_of_those_called_back() {
    let story = Story::begins();
    let recall = story.call_back("model:Alder shell").location().to_owned();
    story.priya.get(&recall).must_say("Zoë Marisol");
    let page = story.field.lead.get(&story.field.of_zoe(""));
    story.field.press_undo(&story.field.lead, &page).must_be(303);
    story.priya.get(&recall).must_say("No rider has one");
}
