//! The growth charts against a second package, and the question in the sizes step that uses them.

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::{Command, Stdio};

use diesel::prelude::*;
use diesel::sql_types::BigInt;
use waymark::domain::access::Role;
use waymark::domain::measures::growth::{Chart, GrowthCharts, GrowthRow, Lms};
use waymark::store::connection::{Purpose, open};

use crate::house::app::{TestApp, saturday};
use crate::house::browser::Browser;
use crate::house::python;
use crate::house::season::{adults, health, rider, sizes, step, with};

fn charts() -> GrowthCharts {
    GrowthCharts::parse(include_str!("../../seed/growth/cdc2000.csv")).expect("the shipped charts are sound")
}

fn lms_of(row: &GrowthRow, measure: &str) -> Lms {
    if measure == "height" { row.height } else { row.weight }
}

/// What a Python program with the second package prints for these lines.
fn second_package(program: &str, lines: &str) -> Vec<String> {
    let mut child = Command::new(python::interpreter())
        .args(["-c", program])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("tests/run makes the interpreter");
    child.stdin.take().expect("its input").write_all(lines.as_bytes()).expect("it reads");
    let output = child.wait_with_output().expect("it ends");
    assert!(output.status.success(), "the second package failed");
    String::from_utf8(output.stdout).expect("text").lines().map(str::to_owned).collect()
}

/// Source: PyPI rcpchgrowth 4.6.5, data_tables/cdc2-20.json (CDC growth charts of 2000). Used by this test alone.
#[test]
fn saturday_6_every_number_of_the_shipped_charts_stands_in_a_second_package_too() {
    let program = "from rcpchgrowth.cdc import CDC_CHILD_DATA as d\n\
                   for measure in ('height', 'weight'):\n\
                   \tfor sex, ours in (('male', 'boy'), ('female', 'girl')):\n\
                   \t\tfor r in d['measurement'][measure][sex]:\n\
                   \t\t\tprint(ours, measure, round(r['decimal_age'] * 24), repr(r['L']), repr(r['M']), repr(r['S']))";
    let charts = charts();
    let mut compared = 0;
    for line in second_package(program, "") {
        let cells: Vec<&str> = line.split(' ').collect();
        let number = |at: usize| cells[at].parse::<f64>().expect("a number");
        let (_, _, row) = charts
            .rows()
            .find(|(chart, half_months, _)| chart.to_string() == cells[0] && half_months.to_string() == cells[2])
            .unwrap_or_else(|| panic!("no row for {line}"));
        let ours = lms_of(row, cells[1]);
        assert_eq!([ours.l, ours.m, ours.s], [number(3), number(4), number(5)], "{line}");
        compared += 1;
    }
    assert_eq!(compared, 872, "218 rows each of height and weight, boys and girls");
}

/// Source: PyPI rcpchgrowth 4.6.5, sds_for_measurement with its own CDC tables; 4 decimals of the score.
#[test]
fn saturday_6_scores_equal_an_independent_implementation_over_ages_sexes_and_measures() {
    let program = "import sys\nfrom rcpchgrowth import sds_for_measurement as sds\n\
                   for line in sys.stdin:\n\
                   \tsex, measure, half, value = line.split()\n\
                   \tsex = {'boy': 'male', 'girl': 'female'}[sex]\n\
                   \tprint(repr(float(sds(reference='cdc', age=int(half) / 24, measurement_method=measure, \
                   observation_value=float(value), sex=sex))))";
    let charts = charts();
    let (mut lines, mut ours) = (String::new(), Vec::new());
    for months in (48..=239).step_by(3) {
        for chart in [Chart::Boy, Chart::Girl] {
            let row = charts.row(chart, months).expect("a row");
            for measure in ["height", "weight"] {
                let lms = lms_of(row, measure);
                for share in [0.75, 0.9, 1.0, 1.1, 1.6] {
                    let value = (lms.m * share * 100.0).round() / 100.0;
                    writeln!(lines, "{chart} {measure} {} {value}", months * 2 + 1).expect("text grows");
                    ours.push(lms.z(value));
                }
            }
        }
    }
    let theirs = second_package(program, &lines);
    assert_eq!(theirs.len(), ours.len());
    let mut worst = 0.0_f64;
    for ((line, ours), theirs) in lines.lines().zip(&ours).zip(&theirs) {
        let off = (ours - theirs.parse::<f64>().expect("a number")).abs();
        assert!(off < 0.00005, "{line}: {ours} and {theirs}");
        worst = worst.max(off);
    }
    let spread = |from: f64, to: f64| ours.iter().filter(|z| (from..to).contains(*z)).count();
    println!(
        "{} scores compared, largest difference {worst:e}; below -2: {}, -2 to 2: {}, above 2: {}",
        ours.len(),
        spread(-99.0, -2.0),
        spread(-2.0, 2.0),
        spread(2.0, 99.0)
    );
    assert!(ours.len() == 1280 && spread(-99.0, -2.0) > 100 && spread(2.0, 99.0) > 100, "every case must come up");
}

fn at_the_sizes(house: &TestApp, browser: &Browser) -> String {
    let session = house.add_session("young", 4, saturday());
    for (name, answers) in [("rider", rider()), ("health", health()), ("adults", adults("ingrid@example.org"))] {
        browser.answer(&session, name, &answers).must_be(303);
    }
    session
}

#[test]
fn saturday_6_the_chart_asks_about_a_weight_that_the_flat_windows_let_pass_and_takes_it_at_the_second_press() {
    let house = TestApp::start();
    let browser = house.stranger();
    let session = at_the_sizes(&house, &browser);
    let page = browser.get(&step(&session, "sizes"));
    page.must_be(200).must_say("Only to catch slips, such as pounds typed for kilograms");
    page.must_say("We do not keep this answer after you register").must_say("Rather not say");
    // 63 kg for a child of nine and no height: the flat windows reach to 130 kg.
    let heavy = with(with(with(sizes(), "units", "metric"), "height_unknown", "yes"), "inseam", "60");
    for none in ["", "none"] {
        let next = browser.answer(&session, "sizes", &with(heavy.clone(), "chart", none));
        assert_eq!(next.location(), step(&session, "check"), "no answer, no check");
    }
    let asked = browser.answer(&session, "sizes", &with(heavy.clone(), "chart", "boy"));
    asked.must_be(422).must_say("Please look again. Did you mean 63.0 lb?").must_say("These sizes are right");
    assert!(asked.body.contains("value=\"boy\" checked"), "the choice is kept");
    let kept = with(with(heavy.clone(), "chart", "boy"), "confirmed", "yes");
    assert_eq!(browser.answer(&session, "sizes", &kept).location(), step(&session, "check"));
    browser
        .answer(&session, "sizes", &with(heavy, "chart", "horse"))
        .must_be(422)
        .must_say("Choose one of the answers");
}

/// The limits are from memory of the notes of the federal growth-chart program, so each program may set its own.
#[test]
fn saturday_6_from_where_on_a_weight_is_asked_about_is_the_programs_setting() {
    let house = TestApp::start();
    let browser = house.stranger();
    let session = at_the_sizes(&house, &browser);
    let ana = house.person(Role::Administrator);
    // 110 pounds at nine years: far above the median, and right in pounds.
    let big = with(with(with(sizes(), "units", "us"), "weight", "110"), "chart", "boy");
    assert_eq!(browser.answer(&session, "sizes", &big).location(), step(&session, "check"));
    ana.set_program("growth_weight_most", &[("value", "1.5")]).must_be(303);
    browser.answer(&session, "sizes", &big).must_be(422).must_say("Please look again.");
    ana.set_program("growth_weight_most", &[("value", "0.5")]).must_be(422).must_say("Write 1 or more");
    ana.set_program("growth_weight_most", &[("value", "8")]).must_be(303);
    assert_eq!(browser.answer(&session, "sizes", &big).location(), step(&session, "check"));
    let page = ana.get("/program");
    page.must_say("Notes of the federal growth-chart program").must_say("from memory of the source, not looked up");
}

#[test]
fn saturday_6_the_question_is_asked_in_spanish_too() {
    let house = TestApp::start();
    let browser = house.stranger().speaking("es");
    let session = at_the_sizes(&house, &browser);
    let page = browser.get(&step(&session, "sizes"));
    page.must_say("Solo para notar errores, como libras por kilogramos").must_say("Prefiero no decirlo");
    let heavy = with(with(with(sizes(), "units", "metric"), "height_unknown", "yes"), "inseam", "60");
    let asked = browser.answer(&session, "sizes", &with(heavy, "chart", "girl"));
    asked.must_be(422).must_say("¿Quiso decir 63.0 lb?");
}

#[derive(QueryableByName)]
struct N {
    #[diesel(sql_type = BigInt)]
    n: i64,
}

#[test]
fn saturday_6_the_answer_leaves_with_the_draft_and_no_table_has_a_column_for_it() {
    let house = TestApp::start();
    let browser = house.stranger();
    let session = at_the_sizes(&house, &browser);
    browser.answer(&session, "sizes", &with(sizes(), "chart", "girl")).must_be(303);
    let mut conn = open(&house.database.url, Purpose::Read).expect("a connection");
    let mut drafts = || diesel::sql_query("SELECT COUNT(*) AS n FROM drafts").get_result::<N>(&mut conn).unwrap().n;
    assert_eq!(drafts(), 1);
    let signed = browser.signed(&session, "Ingrid Lindqvist");
    browser.sign(&session, &signed).must_be(303);
    assert_eq!(drafts(), 0);
    let schema = include_str!("../../src/store/schema.rs");
    let measures =
        schema.split("    measures (id)").nth(1).and_then(|rest| rest.split("    }").next()).expect("a table");
    assert!(!measures.contains("chart") && !measures.contains("sex"), "{measures}");
}
