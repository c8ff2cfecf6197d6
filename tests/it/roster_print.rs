//! The session on Letter paper: riders, gear boxes, marks, counts and help, with a code that names nobody.

use std::process::Command;

use waymark::domain::access::{Duty, Role};

use crate::house::app::TestApp;

fn has(tool: &str) -> bool {
    Command::new(tool).arg("--version").output().is_ok()
}

#[test]
fn u25_the_paper_has_riders_gear_marks_counts_and_the_way_to_help() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    field.tap(&house, &field.lead, "mark", &[("check", "1.1"), ("mark", "meets")]).must_be(303);
    let paper = field.lead.get(&field.at("/print"));
    paper
        .must_be(200)
        .must_say("Day sheet: Alder Flat")
        .must_say("Zoë Marisol Okafor-Lindqvist")
        .must_say("9, (406) 555-");
    paper.must_say("Allergy: bee stings").must_say("Made June 13, 2026, 8:40 AM, after entry 8");
    paper.must_say("Lessons 1 to 4: Alder Flat").must_say("1.1 Reads the age label").must_say("Before lesson 11");
    paper.must_say("12 Lantern Street, Helena 59601").must_say("Valley hospital").must_say("call 911 first");
    assert!(paper.body.contains("<td class=\"box first\">M</td>"), "what was marked stands on it");
    assert_eq!(paper.body.matches("<td class=\"box\">✓</td>").count(), 7, "here, and six pieces of gear");
}

#[test]
fn u25_the_code_on_paper_leads_to_the_record_and_names_nobody() {
    assert!(has("zbarimg"), "zbarimg of zbar-tools reads the code; tests/run installs it");
    let house = TestApp::start();
    let field = house.field_day();
    let paper = field.lead.get(&field.at("/print"));
    let svg = paper.body.split("<svg class=\"qr-box\"").nth(1).and_then(|rest| rest.split("</svg>").next());
    let svg = svg.expect("a code");
    let part =
        |name: &str| svg.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next()).expect("it");
    let told = read_code(part("viewBox"), part(" d"));
    assert_eq!(told, format!("{}/roster/{}", house.app.settings.server.public_url, field.session));
}

/// Draws the path as a bitmap and lets zbar, an independent reader, read it.
fn read_code(view_box: &str, path: &str) -> String {
    let side: usize = view_box.split(' ').nth(2).and_then(|side| side.parse().ok()).expect("a side");
    let mut dark = vec![vec![false; side]; side];
    for run in path.split('M').filter(|run| !run.is_empty()) {
        let numbers: Vec<usize> =
            run.split(|c: char| !c.is_ascii_digit()).filter_map(|number| number.parse().ok()).collect();
        let (left, top, length) = (numbers[0] + 4, numbers[1] + 4, numbers[2]);
        dark[top][left..left + length].fill(true);
    }
    let zoom = 6;
    let mut bitmap = format!("P1 {0} {0}\n", side * zoom);
    for y in 0..side * zoom {
        for x in 0..side * zoom {
            bitmap.push(if dark[y / zoom][x / zoom] { '1' } else { '0' });
        }
        bitmap.push('\n');
    }
    let file = std::env::temp_dir().join(format!("paper-code-{}.pbm", std::process::id()));
    std::fs::write(&file, bitmap).expect("a picture");
    let read = Command::new("zbarimg").args(["--quiet", "--raw"]).arg(&file).output().expect("zbarimg runs");
    std::fs::remove_file(&file).expect("the picture goes");
    String::from_utf8(read.stdout).expect("text").trim().to_owned()
}

#[test]
fn u25_health_stands_on_paper_for_the_readers_who_may_and_each_print_is_noted() {
    let house = TestApp::start();
    let field = house.field_day();
    let helper = house.staff_of(&field, "Hal", Role::Helper, Duty::Helper);
    let paper = helper.get(&field.at("/print"));
    paper.must_be(200).must_say("Health is left out").must_say("Zoë Marisol Okafor-Lindqvist 9, (406)");
    assert!(!paper.says("bee stings") && !paper.body.contains("c-health"));
    field.lead.get(&field.at("/print")).must_say("bee stings");
    house.add_member("bea@example.org", "Bea", "Ward", &[Role::Instructor]);
    house.signed_in("bea@example.org").get(&field.at("/print")).must_be(404);
    let noted: Vec<String> = house.rows(|conn| {
        use diesel::prelude::*;
        use waymark::store::schema::audit_rows;
        let printed = audit_rows::table.filter(audit_rows::action.eq("roster.print")).order(audit_rows::id);
        printed.select(audit_rows::detail).load(conn)
    });
    assert_eq!(noted, ["without health flags", "with health flags"]);
}
