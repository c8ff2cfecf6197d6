//! What nearly happens is kept by one press; what happens becomes a report that two people sign and nobody changes afterwards. With
//! it the machine and the helmet stay as they are, nothing of the session goes, and whoever must hear of it is told in time.

use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::store::schema::{acts, audit_rows, files, gear_moves, incident_photos, incidents, machines};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};
use crate::house::field::Field;
use crate::house::paper::pages_of;

struct Story {
    house: TestApp,
    field: Field,
    priya: Browser,
    /// Zoë's registration.
    zoe: String,
}

impl Story {
    /// Zoë rides machine 4 in a lent helmet of lot TR-M.
    fn begins() -> Self {
        let house = TestApp::start();
        house.add_coordinator();
        house.add_lot_of("TR-M", 5, chrono::NaiveDate::from_ymd_opt(2026, 1, 1).expect("a day"));
        let field = house.field_day();
        field.tap(&house, &field.lead, "check_in", &[]).must_be(303);
        field.tap(&house, &field.lead, "helmet", &[("lot", "TR-M"), ("way", "lent")]).must_be(303);
        let (priya, zoe) = (house.signed_in("priya@example.org"), field.zoe.clone());
        Self { house, field, priya, zoe }
    }

    /// Opens a report from the page of the session.
    fn open(&self, who: &Browser, fields: &[(&str, &str)]) -> Answered {
        let mut all = vec![("back", "/incidents#reports")];
        all.extend_from_slice(fields);
        self.field.act(&self.house, who, "incident", &all)
    }

    /// Zoë came off machine 4; gives the report's address.
    fn zoe_falls(&self) -> String {
        let zoe = self.zoe.clone();
        self.open(
            &self.field.lead,
            &[
                ("kind", "hurt"),
                ("rider", &zoe),
                ("time", "8:35 AM"),
                ("happened", "Came off to the left in the big circle."),
                ("machine", "4"),
                ("helmet_hit", "yes"),
            ],
        )
        .must_be(303);
        self.newest()
    }

    fn newest(&self) -> String {
        let of = incidents::table.order(incidents::id.desc()).select(incidents::reference);
        let reference: String = self.house.rows(|conn| of.first(conn));
        format!("/incidents/{reference}")
    }

    /// Writes the report, with the fields that differ from a whole one.
    fn write(&self, who: &Browser, report: &str, differ: &[(&str, &str)]) -> Answered {
        let page = who.get(&format!("{report}/edit"));
        // A closed report has no form; somebody may still have one open.
        let seen = page.field("seen").unwrap_or_default();
        let whole = [
            ("seen", seen.as_str()),
            ("time", "8:35 AM"),
            ("before", "Riding the big circle to the left, second gear."),
            ("happened", "Came off to the left in the big circle."),
            ("injury", "Scraped left forearm."),
            ("object", "The ground."),
            ("helmet_worn", "yes"),
            ("helmet_after", "marked"),
            ("first_aid", "Washed and covered by Dewey."),
            ("emergency_room", "no"),
            ("overnight", "no"),
            ("witnesses", "Dewey Blackwater"),
            ("told_at", "8:50 AM"),
            ("told_by", "Rafael Tso"),
        ];
        let mut all: Vec<(&str, &str)> = whole.to_vec();
        all.retain(|(name, _)| !differ.iter().any(|(other, _)| other == name));
        all.extend_from_slice(differ);
        who.post(&format!("{report}/edit"), &all)
    }

    fn seen(&self, who: &Browser, report: &str) -> String {
        who.get(&format!("{report}/edit")).field("seen").unwrap_or_default()
    }

    fn sign(&self, who: &Browser, report: &str) -> Answered {
        let seen = self.seen(who, report);
        who.post(&format!("{report}/sign"), &[("seen", &seen)])
    }

    fn close(&self, who: &Browser, report: &str) -> Answered {
        let seen = self.seen(who, report);
        who.post(&format!("{report}/close"), &[("seen", &seen)])
    }
}

/// Open the page, press what it was: two presses and no typing (bar: three).
#[test]
fn day_9_a_near_miss_is_kept_by_one_press_and_taken_back_by_another() {
    let story = Story::begins();
    let Story { house, field, priya, .. } = &story;
    let roster = field.lead.get(&field.at(""));
    assert!(roster.body.contains(&field.at("/incidents")), "the roster leads there");
    let page = field.lead.get(&field.at("/incidents"));
    page.must_say("Nothing happened so far.").must_say("A machine tipped or lifted two wheels");
    let near = |who: &Browser, what, note| {
        field.act(house, who, "near_miss", &[("what", what), ("note", note), ("back", "/incidents#near")])
    };
    near(&field.lead, "tipped", "").must_be(303);
    // A helper sees as much as anybody.
    let dewey = house.signed_in("dewey@example.org");
    near(&dewey, "walked_on", "A dog and its owner").must_be(303);
    let page = field.lead.get(&field.at("/incidents"));
    page.must_say("8:40 AM A machine tipped or lifted two wheels. Rafael Tso");
    page.must_say("Somebody walked onto the area: A dog and its owner. Dewey Blackwater");
    page.must_say("Nearly happened: a machine tipped or lifted two wheels Undo");
    field.press_undo(&field.lead, &page).must_be(303);
    assert!(!field.lead.get(&field.at("/incidents")).says("lifted two wheels. Rafael"));
    // The office sees what comes again; nothing was opened, nobody is blamed.
    near(&dewey, "walked_on", "").must_be(303);
    let list = priya.get("/incidents");
    list.must_say("No report was ever opened.").must_say("Somebody walked onto the area 2");
    assert!(!list.says("lifted two wheels"));
    near(&dewey, "flew", "").must_be(400);
    assert_eq!(house.rows(|conn| incidents::table.count().get_result::<i64>(conn)), 0);
}

#[test]
fn day_9_with_a_report_machine_and_helmet_stay_as_they_are_and_the_office_hears_at_once() {
    let story = Story::begins();
    let Story { house, field, priya, zoe } = &story;
    house.letters_out();
    let report = story.zoe_falls();
    let page = field.lead.get(&report);
    page.must_say("Report 1").must_say("Somebody was hurt.").must_say("Zoë Marisol").must_say("Time 8:35 AM");
    // What the program knew by itself.
    page.must_say("Machine 4, Alder 70, limiter at 10 mph").must_say("Helmet of the program Lot TR-M");
    page.must_say("Adults on the riding area Rafael Tso, Dewey Blackwater");
    page.must_say("Being written. Close it by June 20, 2026");
    // The machine: out of use on every phone, and nobody mends it.
    let state: String = house.rows(|conn| machines::table.select(machines::state).first(conn));
    assert_eq!(state, "out_of_use");
    let machine = priya.get("/machines/atv4");
    machine.must_say("Kept as it is for report 1: nobody rides, cleans or mends it");
    let mend = |note| priya.submit("/machines/atv4", "/machines/atv4/faults/1/mend", &[("note", note)]);
    mend("Straightened the bar").must_be(409).must_say("kept as it is for report 1");
    // The helmet: nobody wears it again.
    let moves: Vec<String> =
        house.rows(|conn| gear_moves::table.order(gear_moves::id).select(gear_moves::kind).load(conn));
    assert_eq!(moves.last().map(String::as_str), Some("retired"), "{moves:?}");
    assert!(!field.lead.get(&field.of_zoe("")).says("Lent from lot TR-M"));
    // Nothing of the session goes, and the office hears of it without a name.
    priya
        .get(&format!("/season/{}/hold", field.session))
        .must_say("Nothing of this session is removed.")
        .must_say("Report 1");
    let letters = house.letters_out();
    let [(kind, letter)] = letters.as_slice() else { panic!("{letters:?}") };
    assert_eq!((kind.as_str(), letter.to.address.as_str()), ("incident_opened", "priya@example.org"));
    for hidden in ["Zoë", "Okafor", "circle", "Came off"] {
        assert!(!letter.text.contains(hidden) && !letter.subject.contains(hidden), "{}", letter.text);
    }
    // In the acts and in the log stands no word of it.
    let kept: Vec<String> = house.rows(|conn| acts::table.select(acts::body).load(conn));
    let told: Vec<String> = house.rows(|conn| audit_rows::table.select(audit_rows::detail).load(conn));
    assert!(kept.iter().chain(&told).all(|text| !text.contains("circle")), "{kept:?}");
    assert!(told.contains(&"report 1 hurt".to_owned()), "{told:?}");
    // A report is never undone.
    assert!(!field.lead.get(&field.at("/incidents")).says("Report 1 opened Undo"));
    // What was typed is kept when something of it cannot be used.
    let wrong = story.open(&field.lead, &[("kind", ""), ("rider", zoe), ("time", "half past"), ("happened", "")]);
    wrong.must_be(422).must_say("Choose what kind of thing it is").must_say("Write what happened");
    assert!(wrong.body.contains("value=\"half past\""), "what was typed stays");
}

#[test]
fn day_9_two_people_sign_a_whole_report_and_then_only_addenda_follow() {
    let story = Story::begins();
    let Story { house, field, priya, .. } = &story;
    let report = story.zoe_falls();
    let lead = &field.lead;
    lead.get(&report).must_say("Not written yet: just before it, the injury");
    story.sign(lead, &report).must_be(422).must_say("parts are not written yet");
    story.write(lead, &report, &[("told_at", ""), ("told_by", "")]).must_be(303);
    lead.get(&report).must_say("Not written yet: parent told at, parent told by.");
    story.write(lead, &report, &[]).must_be(303);
    story.close(priya, &report).must_be(422).must_say("Nobody has signed this report yet");
    story.sign(lead, &report).must_be(303);
    story.close(lead, &report).must_be(422).must_say("Another person signs second.");
    // Whoever changes a word takes the first signature away.
    story.write(priya, &report, &[("witnesses", "Dewey Blackwater, and Ana of the next group")]).must_be(303);
    story.close(priya, &report).must_be(422).must_say("somebody changed it after the signature");
    story.sign(lead, &report).must_be(303);
    priya
        .get(&format!("{report}/close"))
        .must_say("After this nobody changes a word of it.")
        .must_say("Rafael Tso signed");
    story.close(priya, &report).must_be(303);
    let page = lead.get(&report);
    page.must_say("Closed. Nothing of it changes any more").must_say("Priya Castellanos signed as the second");
    story.write(lead, &report, &[("injury", "None")]).must_be(409).must_say("This report is closed.");
    story.sign(lead, &report).must_be(409);
    lead.get(&report).must_say("Scraped left forearm.");
    let add = |words: &str| lead.submit(&report, &format!("{report}/addenda"), &[("words", words)]);
    add(" ").must_be(422).must_say("Write what is added");
    add("June 15: the family says the arm is fine.").must_be(303);
    lead.get(&report).must_say("June 15: the family says the arm is fine.");
    // The machine may be mended now; the hold stays.
    let mend = [("note", "Straightened the bar")];
    priya.submit("/machines/atv4", "/machines/atv4/faults/1/mend", &mend).must_be(303);
    priya.get(&format!("/season/{}/hold", field.session)).must_say("Nothing of this session is removed.");
    let actions = house.actions();
    for action in ["incident.change", "incident.sign", "incident.close", "incident.add", "incident.read"] {
        assert!(actions.iter().any(|one| one == action), "{action}: {actions:?}");
    }
    let changed: Vec<String> = house.rows(|conn| {
        let of = audit_rows::table.filter(audit_rows::action.eq("incident.change"));
        of.order(audit_rows::id).select(audit_rows::detail).load(conn)
    });
    assert_eq!(changed.last().map(String::as_str), Some("witnesses"), "the log says which part, and no words");
}

#[test]
fn day_9_who_saves_second_loses_nothing_and_sees_what_stands() {
    let story = Story::begins();
    let report = story.zoe_falls();
    let (lead, priya) = (&story.field.lead, &story.priya);
    let old = story.seen(lead, &report);
    story.write(priya, &report, &[("injury", "Bruised elbow.")]).must_be(303);
    let second = story.write(lead, &report, &[("seen", &old), ("injury", "Scraped forearm.")]);
    second.must_be(409);
    assert!(second.body.contains("Scraped forearm."), "what was typed stays");
    lead.get(&report).must_say("Bruised elbow.");
    let faulty = story.write(lead, &report, &[("time", "soon"), ("injury", "Scraped forearm.")]);
    faulty.must_be(422);
    assert!(faulty.body.contains("value=\"soon\"") && faulty.body.contains("Scraped forearm."), "{}", faulty.words());
}

/// A report is for who taught there and for the office; a helper of that day, an instructor of another and a family see nothing.
#[test]
fn day_9_only_the_sessions_instructors_and_the_office_read_a_report() {
    let story = Story::begins();
    let Story { house, field, priya, .. } = &story;
    let report = story.zoe_falls();
    let aider = house.staff_of(field, "Marta", Role::FirstAid, Duty::FirstAid);
    aider.get(&report).must_be(200);
    priya.get(&report).must_be(200);
    let dewey = house.signed_in("dewey@example.org");
    dewey.get(&field.at("/incidents")).must_say("Report 1").must_say("The instructors and the office write it.");
    house.add_member("lars@example.org", "Lars", "Ek", &[Role::Instructor]);
    let lars = house.signed_in("lars@example.org");
    for outsider in [&dewey, &lars] {
        for below in ["", "/edit", "/close", "/photos/1"] {
            outsider.get(&format!("{report}{below}")).must_be(404);
        }
        outsider.submit("/account", &format!("{report}/addenda"), &[("words", "Mine")]).must_be(404);
    }
    priya.get("/incidents").must_say("Report 1");
    field.lead.get("/incidents").must_be(403);
    // Fifteen days later it is the office's alone, as the roster is.
    house.app.clock.set("2026-06-28T15:00:00".parse().expect("an instant"));
    house.signed_in("rafael@example.org").get(&report).must_be(404);
    house.signed_in("priya@example.org").get(&report).must_be(200);
}

/// Within 24 hours, at once when an ambulance came (settings; common practice, no source); the report in seven days (29 CFR 1904).
#[test]
fn day_9_the_first_page_says_by_when_the_insurer_is_told_and_the_report_closed() {
    let story = Story::begins();
    let Story { house, field, priya, .. } = &story;
    let report = story.zoe_falls();
    let first = priya.get("/");
    first.must_say("Report 1").must_say("tell the insurer").must_say("By Sunday, June 14 at 8:40 AM.");
    first.must_say("Two people sign the report by Saturday, June 20");
    field.lead.get("/").must_say("Reports to write").must_say("Two people sign it by June 20, 2026.");
    assert!(!house.signed_in("dewey@example.org").get("/").says("Reports to write"));
    house.app.clock.set("2026-06-14T14:40:00".parse().expect("an instant"));
    let priya = house.signed_in("priya@example.org");
    priya.get("/").must_say("tell the insurer now");
    priya.submit(&report, &format!("{report}/insurer"), &[]).must_be(303);
    let page = priya.get(&report);
    page.must_say("Priya Castellanos told the insurer June 14, 2026 at 8:40 AM.");
    assert!(!priya.get("/").says("tell the insurer"));
    let twice = priya.post(&format!("{report}/insurer"), &[]);
    twice.must_be(409).must_say("noted already");
    // An ambulance: at once.
    let lead = house.signed_in("rafael@example.org");
    house.app.clock.set("2026-06-13T15:00:00".parse().expect("an instant"));
    story
        .open(
            &lead,
            &[
                ("kind", "hurt"),
                ("person", "Otis Vang, an onlooker"),
                ("happened", "Fell over a rope."),
                ("ambulance", "yes"),
            ],
        )
        .must_be(303);
    priya.get("/").must_say("tell the insurer now");
    let letters = house.letters_out();
    assert!(letters.iter().any(|(_, letter)| letter.text.contains("tell your insurer at once")), "{letters:?}");
}

/// Shipped: 24 hours, at once with an ambulance, 7 days (common practice, no source); each is a setting of the program.
#[test]
fn day_9_each_clock_of_a_report_is_a_setting_of_the_program() {
    let story = Story::begins();
    let Story { house, priya, .. } = &story;
    let admin = house.person(Role::Administrator);
    for (key, value) in
        [("incident_insurer_hours", "2"), ("incident_ambulance_hours", "1"), ("incident_report_days", "3")]
    {
        admin.set_program(key, &[("value", value)]).must_be(303);
    }
    story.zoe_falls();
    let first = priya.get("/");
    first.must_say("By Saturday, June 13 at 10:40 AM.").must_say("Two people sign the report by Tuesday, June 16");
    let ambulance =
        [("kind", "hurt"), ("person", "Otis Vang"), ("happened", "Fell over a rope."), ("ambulance", "yes")];
    story.open(&story.field.lead, &ambulance).must_be(303);
    priya.get("/").must_say("By Saturday, June 13 at 9:40 AM.");
}

/// An Exif segment (CIPA DC-008) with the words of a place before the picture's own bytes.
fn photo_with_a_place() -> Vec<u8> {
    let picture = image::RgbImage::from_pixel(64, 48, image::Rgb([90, 120, 60]));
    let mut jpeg = Vec::new();
    picture.write_with_encoder(image::codecs::jpeg::JpegEncoder::new(&mut jpeg)).expect("a picture");
    let exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\0\0\0\0\0 46.8721 N 113.9940 W";
    let length = u16::try_from(exif.len() + 2).expect("short").to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length, &exif[..], &jpeg[2..]].concat()
}

#[test]
fn day_9_a_photo_is_kept_sealed_without_its_place_and_seen_only_with_the_report() {
    let story = Story::begins();
    let Story { house, field, .. } = &story;
    let report = story.zoe_falls();
    let photos = format!("{report}/photos");
    let send = |bytes: &[u8]| {
        let token = field.lead.get(&report).form_token().expect("a token");
        let parts = [("form_token", None, token.as_bytes()), ("file", Some("IMG_2041.JPG"), bytes)];
        field.lead.send_parts(&photos, &crate::house::browser::multipart(&parts))
    };
    send(&photo_with_a_place()).must_be(303);
    let shown = field.lead.get(&format!("{photos}/1"));
    shown.must_be(200);
    assert_eq!(shown.header("content-type"), Some("image/jpeg"));
    assert_eq!(shown.header("cache-control"), Some("no-store"));
    let kept: Vec<u8> = house.rows(|conn| {
        let own = files::table.filter(files::kind.eq("incident_photo"));
        own.select(files::body).first(conn)
    });
    assert!(!kept.windows(7).any(|part| part == b"46.8721") && !kept.starts_with(&[0xff, 0xd8]), "it lies sealed");
    field.lead.get(&report).must_say("Photo 1").must_say("Rafael Tso");
    send(b"%PDF-1.7 no picture").must_be(422).must_say("Choose a JPEG, PNG or WebP picture");
    send(b"").must_be(422).must_say("Choose a photo");
    field.lead.get(&format!("{photos}/2")).must_be(404);
    let many: i64 = house.rows(|conn| incident_photos::table.count().get_result(conn));
    assert_eq!(many, 1);
}

/// Five years after the year (29 CFR 1904), and as long as the signed text of the child: whichever is later.
#[test]
fn day_9_a_closed_report_goes_when_it_is_old_and_the_office_has_ended_the_hold() {
    let story = Story::begins();
    let Story { house, field, priya, .. } = &story;
    let report = story.zoe_falls();
    let page = field.lead.get(&report);
    // Zoë was born on September 21, 2016: of age in 2034, three years and one more.
    page.must_say("Kept through September 21, 2038");
    story.write(&field.lead, &report, &[]).must_be(303);
    story.sign(&field.lead, &report).must_be(303);
    story.close(priya, &report).must_be(303);
    let count = || house.rows(|conn| incidents::table.count().get_result::<i64>(conn));
    let sweep = |at: &str| {
        house.app.clock.set(at.parse().expect("an instant"));
        waymark::services::retention::remove_old(&house.app).expect("the job");
        count()
    };
    assert_eq!(sweep("2038-09-22T18:00:00"), 1, "the hold keeps it");
    house.app.clock.set("2026-06-15T12:00:00".parse().expect("an instant"));
    let hold = format!("/season/{}/hold", field.session);
    let priya = house.signed_in("priya@example.org");
    priya.submit(&hold, &hold, &[("holds", "no"), ("note", "Counsel, June 15")]).must_be(303);
    assert_eq!(sweep("2038-09-21T18:00:00"), 1, "its last day");
    assert_eq!(sweep("2038-09-22T18:00:00"), 0);
}

#[test]
fn day_9_the_session_file_holds_papers_consents_fit_machines_counts_weather_and_the_report() {
    let story = Story::begins();
    let Story { house, field, priya, .. } = &story;
    field.sign_day_list(house);
    field.fit(house, &field.lead, &[]).must_be(303);
    field.act(house, &field.lead, "count", &[("moment", "lesson"), ("counted", "1"), ("back", "#heads")]).must_be(303);
    let read = [("temperature", "95"), ("humidity", "60"), ("back", "/weather#reading")];
    field.act(house, &field.lead, "weather", &read).must_be(303);
    let report = story.zoe_falls();
    story.write(&field.lead, &report, &[]).must_be(303);
    let file = priya.get(&format!("/season/{}/file.pdf", field.session));
    file.must_be(200);
    assert_eq!(file.header("content-type"), Some("application/pdf"));
    let words = pages_of(&file.bytes).concat();
    let flat = words.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Alder Flat, June 13, 2026",
        "Rafael Tso",
        "holds through",
        "Taking part, version",
        "Day list signed",
        "Head count 1 of 1",
        "at the lesson",
        "heat index 113",
        "humidity 60 %",
        "Fit check on machine 4",
        "Rules of version 1.",
        "The text that was signed: Taking part, version",
        "Fingerprint (SHA-256):",
        "Machine 4 looked over, all right",
        "Report 1",
        "Scraped left forearm.",
        "Machine 4, Alder 70, limiter at 10 mph",
        "Not closed: it may still change",
        "Page 1 of",
        "Health answers are not in it.",
    ] {
        assert!(flat.contains(said), "{said}: {words}");
    }
    // Who may not plan gets none, and each that is made is noted.
    field.lead.get(&format!("/season/{}/file.pdf", field.session)).must_be(403);
    assert_eq!(house.actions().iter().filter(|action| *action == "session.file").count(), 1);
}
