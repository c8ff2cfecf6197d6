//! The administrator edits the curriculum: versions, a draft, its parts, its faults, the preview, publishing. Sessions that
//! were planned keep what they were planned with.

mod three_lessons;

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::store::schema::{audit_rows, rulebooks};

use crate::house::app::{TestApp, saturday, story_begins};
use crate::house::browser::{Answered, Browser};

const DRAFT: &str = "/curriculum/draft";

/// The program with its administrator, and a draft of the curriculum started from version 1.
fn with_draft() -> (TestApp, Browser) {
    let house = TestApp::start();
    let ana = house.person(Role::Administrator);
    start(&ana).must_be(200);
    (house, ana)
}

fn start(ana: &Browser) -> Answered {
    let started = ana.submit("/curriculum", DRAFT, &[("version", "1")]);
    ana.follow(&started)
}

fn revision(page: &Answered) -> String {
    page.field("revision").unwrap_or_else(|| panic!("no revision on the page: {}", page.words()))
}

/// Every field of a form page as it stands, with some answered otherwise; ticks are kept.
fn fields_of(page: &Answered, changed: &[(&str, &str)]) -> Vec<(String, String)> {
    let form =
        page.body.split("<form class=\"form\"").nth(1).expect("a form").split("</form>").next().expect("its end");
    let mut fields = Vec::new();
    for tag in form.split("<input").skip(1) {
        let tag = tag.split('>').next().expect("a tag");
        let part = |name: &str| tag.split(&format!(" {name}=\"")).nth(1).and_then(|rest| rest.split('"').next());
        let Some(name) = part("name") else { continue };
        if part("type") == Some("checkbox") && !tag.contains(" checked") {
            continue;
        }
        fields.push((name.to_owned(), plain(part("value").unwrap_or_default())));
    }
    for area in form.split("<textarea").skip(1) {
        let name = area.split(" name=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a name");
        let text = area.split('>').nth(1).and_then(|rest| rest.split('<').next()).expect("its text");
        fields.push((name.to_owned(), plain(text.trim())));
    }
    for (name, value) in changed {
        fields.retain(|(other, _)| other != name);
        if !value.is_empty() || !name.starts_with("needs_") {
            fields.push(((*name).to_owned(), (*value).to_owned()));
        }
    }
    fields
}

fn plain(text: &str) -> String {
    text.replace("&#39;", "'").replace("&#34;", "\"").replace("&amp;", "&").replace("&#38;", "&")
}

fn save(ana: &Browser, path: &str, changed: &[(&str, &str)]) -> Answered {
    let fields = fields_of(ana.get(path).must_be(200), changed);
    send(ana, path, &fields)
}

fn send(ana: &Browser, path: &str, fields: &[(String, String)]) -> Answered {
    let pairs: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    ana.post_whole(path, &pairs)
}

fn arrange(ana: &Browser, fields: &[(&str, &str)]) -> Answered {
    let revision = revision(&ana.get(DRAFT));
    let mut all = vec![("revision", revision.as_str())];
    all.extend_from_slice(fields);
    ana.post("/curriculum/draft/arrange", &all)
}

fn publish(ana: &Browser, [month, day, year]: [&str; 3]) -> Answered {
    let page = ana.get("/curriculum/draft/publish");
    let revision = page.field("revision").unwrap_or_default();
    let fields = [("revision", revision.as_str()), ("starts_month", month), ("starts_day", day), ("starts_year", year)];
    ana.post("/curriculum/draft/publish", &fields)
}

/// What the story's day is called in forms: 10 June 2026.
const TODAY: [&str; 3] = ["6", "10", "2026"];

#[test]
fn saturday_2_the_versions_say_which_is_in_force_and_which_sessions_use_each() {
    let house = TestApp::start();
    house.add_session("young", 6, saturday());
    house.add_session("older", 6, story_begins().date() - chrono::TimeDelta::days(30));
    let ana = house.person(Role::Administrator);
    ana.get("/curriculum").must_be(200).must_say("Version 1").must_say("in force 1 1").must_say("Start a draft");
    let version = ana.get("/curriculum/versions/1");
    version
        .must_be(200)
        .must_say("2 sessions")
        .must_say("June 13, 2026, Alder Flat")
        .must_say("Rider and machine match");
    assert_eq!(ana.get("/curriculum/versions/7").status, 404);
    assert_eq!(ana.get("/curriculum/versions/9999999999999999999999").status, 404);
    assert_eq!(ana.get(DRAFT).status, 404);
}

#[test]
fn saturday_2_a_lesson_is_changed_published_and_used_by_new_sessions_while_planned_ones_keep_their_own() {
    let (house, ana) = with_draft();
    let planned = house.add_session("young", 6, saturday());
    let lesson = format!("{DRAFT}/lessons/6");
    save(&ana, &lesson, &[("title_en", "Stopping at a line"), ("title_es", "Parar en una línea")]).must_be(303);
    save(&ana, &format!("{DRAFT}/settings/stop_mark_distance_um"), &[("value", "20 ft")]).must_be(303);
    let draft = ana.get(DRAFT);
    draft.must_say("Stopping at a line").must_say("20 ft (6.1 m) ships as 16 ft (5 m)").must_say("Set by the program");
    // The published version and the sessions under it are as they were.
    ana.get("/curriculum/versions/1").must_say("Braking to a mark").must_say("16 ft (5 m)");
    let page = ana.get("/curriculum/draft/publish");
    page.must_say("From the gate to the stopping mark 16 ft (5 m) 20 ft (6.1 m)").must_say("6. Stopping at a line");
    assert_eq!(publish(&ana, TODAY).location(), "/curriculum/versions/2");
    ana.get("/curriculum").must_say("Version 2 June 10, 2026 in force 0 0").must_say("no longer used 1 0");
    let later = house.add_session("young", 6, saturday() + chrono::TimeDelta::days(7));
    let priya = house.person(Role::Coordinator);
    priya.get(&format!("/roster/{planned}/lessons/6")).must_say("Braking to a mark").must_say("16 ft (5 m)");
    priya.get(&format!("/roster/{later}/lessons/6")).must_say("Stopping at a line").must_say("20 ft (6.1 m)");
    assert_eq!(ana.get(DRAFT).status, 404, "the draft is gone");
}

#[test]
fn saturday_2_a_start_day_that_is_over_is_refused_and_one_to_come_waits() {
    let (house, ana) = with_draft();
    save(&ana, &format!("{DRAFT}/settings/weave_gap_um"), &[("value", "6 m 50")]).must_be(422);
    save(&ana, &format!("{DRAFT}/settings/weave_gap_um"), &[("value", "5.5 m")]).must_be(303);
    let refused = publish(&ana, ["6", "9", "2026"]);
    refused.must_be(422).must_say("June 9, 2026 is over. Choose a day to come.").must_say("One answer needs");
    assert!(refused.body.contains("<title>Error:"), "the title says that something is wrong");
    assert_eq!(refused.field("starts_day").as_deref(), Some("9"), "what was typed stays");
    publish(&ana, ["13", "40", "2026"]).must_be(422).must_say("There is no such day.");
    publish(&ana, ["", "", ""]).must_be(422);
    publish(&ana, ["7", "1", "2026"]).must_be(303);
    ana.get("/curriculum")
        .must_say("Version 2 July 1, 2026 starts later")
        .must_say("Version 1 January 1, 2024 in force");
    house.app.clock.set("2026-07-01T12:00:00".parse().expect("an instant"));
    house.signed_in("administrator@example.org").get("/curriculum").must_say("Version 2 July 1, 2026 in force");
}

#[test]
fn saturday_2_faults_are_told_in_words_at_their_field_and_hold_publishing_back() {
    let (_house, ana) = with_draft();
    let lesson = format!("{DRAFT}/lessons/6");
    save(&ana, &lesson, &[("title_es", ""), ("setup_en", "A mark {moon_um} away")]).must_be(303);
    let draft = ana.get(DRAFT);
    draft.must_say("3 things are still missing").must_say("Lesson 6 : Write the title in Spanish");
    draft.must_say("The setup in English names the figure {moon_um}, which is not there");
    draft.must_say("Name the same figures in both languages of the setup");
    assert!(draft.body.contains("href=\"/curriculum/draft/lessons/6#title_es\""), "each fault leads to its field");
    let page = ana.get(&lesson);
    assert!(page.body.contains("id=\"title_es-error\"") && page.body.contains("id=\"setup_en-error\""));
    ana.get("/curriculum/draft/publish").must_say("3 things are missing. It cannot be published yet.");
    // Sent all the same: nothing is published.
    let revision = revision(&draft);
    let fields =
        [("revision", revision.as_str()), ("starts_month", "6"), ("starts_day", "10"), ("starts_year", "2026")];
    ana.post("/curriculum/draft/publish", &fields).must_be(422).must_say("It cannot be published yet");
    ana.get("/curriculum").must_say("3 things are still missing");
    assert_eq!(ana.get("/curriculum/versions/2").status, 404);
}

#[test]
fn saturday_2_prerequisites_that_come_later_and_lessons_without_a_required_check_are_named() {
    let (_house, ana) = with_draft();
    for code in ["5.1", "5.2", "5.3", "5.4"] {
        save(&ana, &format!("{DRAFT}/checks/{code}"), &[("required", "")]).must_be(303);
    }
    save(&ana, &format!("{DRAFT}/checks/4.3"), &[("required", "")]).must_be(303);
    arrange(&ana, &[("do", "lesson_earlier"), ("lesson", "9")]).must_be(303);
    arrange(&ana, &[("do", "lesson_earlier"), ("lesson", "8")]).must_be(303);
    arrange(&ana, &[("do", "lesson_earlier"), ("lesson", "7")]).must_be(303);
    let draft = ana.get(DRAFT);
    draft.must_say("Make at least one check of lesson 5 required");
    draft.must_say("Check 4.3 comes before any wheel turns. Make it required");
    draft.must_say("Lesson 6 needs lesson 7, which comes later");
    assert!(ana.get(&format!("{DRAFT}/lessons/6")).body.contains("id=\"needs-error\""));
}

#[test]
fn saturday_2_lessons_and_checks_are_added_moved_removed_and_the_last_change_taken_back() {
    let (_house, ana) = with_draft();
    arrange(&ana, &[("do", "lesson_later"), ("lesson", "2")]).must_be(303);
    ana.get(DRAFT).must_say("2. Looking the machine over").must_say("3. Putting the gear on");
    let added = arrange(&ana, &[("do", "add_lesson")]);
    let path = added.location().to_owned();
    ana.get(&path).must_say("Write the title in English").must_say("Write the caution in Spanish");
    let words = [
        ("title_en", "Riding at dusk"),
        ("title_es", "Manejar al anochecer"),
        ("setup_en", "A lit field."),
        ("setup_es", "Un campo con luz."),
        ("caution_en", "Never on a road."),
        ("caution_es", "Nunca en un camino."),
    ];
    save(&ana, &path, &words).must_be(303);
    let number = path.rsplit('/').next().expect("a number").to_owned();
    let check = [
        ("title_en", "Lights on"),
        ("title_es", "Luces encendidas"),
        ("looks_like_en", "Turns the lights on first."),
        ("looks_like_es", "Primero prende las luces."),
        ("not_yet_en", "Rides off in the dark."),
        ("not_yet_es", "Arranca a oscuras."),
    ];
    save(&ana, &format!("{DRAFT}/checks/{number}.1"), &check).must_be(303);
    ana.get(DRAFT).must_say("Ready to be published");
    let second = arrange(&ana, &[("do", "add_check"), ("lesson", &number)]);
    assert_eq!(second.location(), format!("{DRAFT}/checks/{number}.2"));
    let undo = revision(&ana.get(DRAFT));
    ana.post("/curriculum/draft/undo", &[("revision", &undo)]).must_be(303);
    ana.get(DRAFT).must_say("Ready to be published");
    arrange(&ana, &[("do", "remove_lesson"), ("lesson", &number)]).must_be(303);
    assert!(!ana.get(DRAFT).says("Riding at dusk"));
    let undo = revision(&ana.get(DRAFT));
    ana.post("/curriculum/draft/undo", &[("revision", &undo)]).must_be(303);
    ana.get(DRAFT).must_say("Riding at dusk");
    for wrong in [("do", "explode"), ("do", "remove_lesson"), ("do", "move_check")] {
        assert_eq!(arrange(&ana, &[wrong, ("lesson", "99"), ("check", "6")]).status, 404, "{wrong:?}");
    }
}

#[test]
fn saturday_2_the_preview_shows_what_the_instructor_will_see_in_both_languages_with_the_figures_filled_in() {
    let (house, ana) = with_draft();
    save(&ana, &format!("{DRAFT}/settings/stop_mark_distance_um"), &[("value", "20 ft")]).must_be(303);
    let preview = ana.get(&format!("{DRAFT}/lessons/6/preview"));
    preview.must_say("A mark 20 ft (6.1 m) past the gate").must_say("Una marca a 20 pies (6.1 m) de la puerta");
    preview.must_say("Looks like: Front wheels stop within 20 in (50 cm) of the mark, twice in a row.");
    preview.must_say("Todavía no: Para antes o se pasa más de 39 pulgadas (1 m) de la marca.");
    assert!(preview.body.contains("lang=\"es\""), "Spanish words say that they are Spanish");
    assert!(!preview.words().contains('{'), "no name of a figure is left");
    // Word for word what the roster shows once it is published.
    publish(&ana, TODAY).must_be(303);
    let session = house.add_session("young", 6, saturday());
    let lesson = house.person(Role::Coordinator).get(&format!("/roster/{session}/lessons/6?check=6.3"));
    let part = |page: &Answered| {
        let words = page.words();
        let from = words.find("6.3 Stops on the mark").expect("the check");
        let till = from + words[from..].find("on level firm ground.").expect("the area");
        words[from..till].replace(" What it looks like", "").replace(" 0 of 0 marked", "")
    };
    assert_eq!(part(&lesson), part(&preview));
    ana.get("/curriculum/versions/2/lessons/6").must_be(200).must_say("A mark 20 ft (6.1 m) past the gate");
}

#[test]
fn saturday_2_a_draft_changed_in_two_tabs_gives_a_clear_page_and_loses_nothing() {
    let (_house, ana) = with_draft();
    let lesson = format!("{DRAFT}/lessons/6");
    let (one, other) = (ana.get(&lesson), ana.get(&lesson));
    send(&ana, &lesson, &fields_of(&one, &[("title_en", "Stopping at a line")])).must_be(303);
    let stale = send(&ana, &lesson, &fields_of(&other, &[("caution_en", "Start at walking pace.")]));
    stale.must_be(409).must_say("This was changed in another window").must_say("Start at walking pace.");
    stale.must_say("Title in English Stopping at a line");
    assert_eq!(stale.field("title_en").as_deref(), Some("Braking to a mark"), "what this tab holds stays");
    ana.get(&lesson).must_say("Stopping at a line");
    // The page that came back can be sent again, knowingly.
    send(&ana, &lesson, &fields_of(&stale, &[("title_en", "Stopping at a line")])).must_be(303);
    let kept = ana.get(&lesson);
    kept.must_say("Stopping at a line").must_say("Start at walking pace.");

    let check = ana.get(&format!("{DRAFT}/checks/6.1"));
    arrange(&ana, &[("do", "remove_lesson"), ("lesson", "6")]).must_be(303);
    arrange(&ana, &[("do", "remove_lesson"), ("lesson", "6")]).must_be(303);
    let stale = send(&ana, &format!("{DRAFT}/checks/6.1"), &fields_of(&check, &[("title_en", "Thumb away first")]));
    stale.must_be(409);
    assert_eq!(stale.field("title_en").as_deref(), Some("Thumb away first"));
    let setting = format!("{DRAFT}/settings/run_off_um");
    let page = ana.get(&setting);
    arrange(&ana, &[("do", "lesson_later"), ("lesson", "1")]).must_be(303);
    let stale = send(&ana, &setting, &fields_of(&page, &[("value", "20 ft")]));
    stale.must_be(409);
    assert_eq!(stale.field("value").as_deref(), Some("20 ft"));
    send(&ana, &setting, &fields_of(&stale, &[])).must_be(303);
    ana.get(DRAFT).must_say("20 ft (6.1 m)");
}

#[test]
fn saturday_2_a_published_version_never_changes_whatever_is_sent() {
    let (house, ana) = with_draft();
    let body = |version: i64| -> String {
        house.rows(|conn| {
            let one = rulebooks::table.filter(rulebooks::kind.eq("curriculum")).filter(rulebooks::version.eq(version));
            one.select(rulebooks::body).first(conn)
        })
    };
    let first = body(1);
    save(&ana, &format!("{DRAFT}/settings/run_off_um"), &[("value", "30 ft")]).must_be(303);
    publish(&ana, TODAY).must_be(303);
    let second = body(2);
    start(&ana).must_be(200);
    save(&ana, &format!("{DRAFT}/settings/run_off_um"), &[("value", "40 ft")]).must_be(303);
    for path in ["/curriculum/versions/1", "/curriculum/versions/2/lessons/1"] {
        assert_eq!(ana.post(path, &[("title_en", "x")]).status, 405, "{path}");
    }
    publish(&ana, TODAY).must_be(303);
    assert_eq!((body(1), body(2)), (first, second));
}

#[test]
fn saturday_2_a_draft_may_be_thrown_away_and_two_presses_start_one_draft() {
    let (_house, ana) = with_draft();
    save(&ana, &format!("{DRAFT}/settings/run_off_um"), &[("value", "30 ft")]).must_be(303);
    start(&ana).must_say("30 ft (9.1 m)");
    let page = ana.get("/curriculum/draft/discard");
    page.must_say("This cannot be undone");
    ana.post("/curriculum/draft/discard", &[("revision", "1")]).must_be(409).must_say("another window");
    ana.post("/curriculum/draft/discard", &[("revision", &revision(&page))]).must_be(303);
    assert_eq!(ana.get(DRAFT).status, 404);
    assert_eq!(ana.get("/curriculum/draft/publish").status, 404);
    ana.get("/curriculum").must_say("Start a draft");
}

#[test]
fn saturday_2_every_change_of_rules_is_in_the_audit_log_without_what_was_typed() {
    let (house, ana) = with_draft();
    save(&ana, &format!("{DRAFT}/lessons/6"), &[("title_en", "Canary in the title")]).must_be(303);
    save(&ana, &format!("{DRAFT}/settings/run_off_um"), &[("value", "30 ft")]).must_be(303);
    publish(&ana, TODAY).must_be(303);
    let rows: Vec<(String, String, String)> = house.rows(|conn| {
        audit_rows::table
            .filter(audit_rows::action.like("rules.%"))
            .order(audit_rows::id)
            .select((audit_rows::action, audit_rows::subject, audit_rows::detail))
            .load(conn)
    });
    let told: Vec<String> =
        rows.iter().map(|(action, subject, detail)| format!("{action} {subject} {detail}")).collect();
    assert_eq!(
        told,
        [
            "rules.draft curriculum draft from version 1",
            "rules.edit curriculum draft lesson 6",
            "rules.edit curriculum draft setting run_off_um",
            "rules.publish curriculum version 2 starts 2026-06-10",
        ]
    );
}

/// No field of these forms reaches a row that the form does not show.
#[test]
fn s29_a_form_of_the_draft_changes_nothing_but_its_own_fields() {
    let (house, ana) = with_draft();
    let before = ana.get("/curriculum/versions/1").words();
    let extra = [
        ("number", "1"),
        ("version", "9"),
        ("starts_on", "2020-01-01"),
        ("body", "{}"),
        ("kind", "fit"),
        ("checks", "x"),
        ("needs_77", "yes"),
        ("code", "1.1"),
    ];
    save(&ana, &format!("{DRAFT}/lessons/6"), &extra).must_be(303);
    ana.get(DRAFT).must_say("Ready to be published").must_say("6. Braking to a mark");
    assert_eq!(ana.get("/curriculum/versions/1").words(), before);
    let versions: i64 = house.rows(|conn| rulebooks::table.count().get_result(conn));
    assert_eq!(versions, 3);
}

#[test]
fn s33_what_nobody_should_type_into_a_lesson_is_answered_at_its_field_and_kept() {
    let (_house, ana) = with_draft();
    let lesson = format!("{DRAFT}/lessons/6");
    let long = "a".repeat(2_000);
    for (typed, status) in [
        (long.as_str(), 422),
        ("Braking\u{202E}now", 422),
        ("Bell \u{7} rings", 422),
        ("Frenar 🛑 ya", 303),
        ("e\u{301}\u{301}\u{301}", 303),
        ("<b>Braking</b> & 'more'", 303),
        ("{", 303),
    ] {
        let answered = save(&ana, &lesson, &[("title_en", typed)]);
        answered.must_be(status);
        if status == 422 {
            answered.must_say("One answer needs");
            assert!(answered.body.contains("id=\"title_en-error\""), "{typed}");
        }
    }
    ana.get(DRAFT).must_say("The title in English has a brace that names no figure");
    for typed in ["-1 ft", "0", "1e9 m", "999999999 m", "9223372036854775808 m", "ten feet", "12", "1/0 ft", ""] {
        let answered = save(&ana, &format!("{DRAFT}/settings/run_off_um"), &[("value", typed)]);
        answered.must_be(422);
        assert_eq!(answered.field("value").as_deref(), Some(typed));
    }
}

#[test]
fn s25_only_an_administrator_reads_or_changes_the_rules() {
    let (house, _ana) = with_draft();
    for role in [Role::Coordinator, Role::Instructor, Role::Guardian, Role::GrantManager] {
        let person = house.person(role);
        for path in ["/curriculum", DRAFT, "/rules/fit", "/curriculum/draft/publish", "/curriculum/draft/lessons/1"] {
            assert_eq!(person.get(path).status, 403, "{role} {path}");
        }
    }
}
