//! Machines that come in a spreadsheet file: every row is looked at first, and all are added or none.

use diesel::prelude::*;
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};
use waymark::store::schema::{audit_rows, machines};

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};

const PAGE: &str = "/machines/import";

/// A fleet as an office keeps it: its own words and order, a column that no record has, units in cells.
const FLEET: &str = "Unit;Make / Model;Cat.;Category;Build date;cc;Dry weight;Seat height;Seat to rests;Limiter (mph);Label?;Notes\n\
    7;Alder 70;;Y6;3/14/2023;69.5;190 lb;23 5/8;16;10;yes;blue\n\
    12;Rowan 110;;y-10+;April 2, 2025;110;110 kg;27;17 1/2;15;no;\n";

struct Office {
    house: TestApp,
    priya: Browser,
}

impl Office {
    fn new() -> Self {
        let house = TestApp::start();
        house.add_coordinator();
        let priya = house.signed_in("priya@example.org");
        Self { house, priya }
    }

    fn bring(&self, text: &str) -> Answered {
        self.priya.bring(PAGE, "fleet.csv", text.as_bytes())
    }

    /// Presses what a page of the look offers.
    fn take(&self, page: &Answered) -> Answered {
        let sheet = page.field("sheet").expect("rows to add");
        self.priya.post("/machines/import/take", &[("sheet", &sheet)])
    }

    fn fleet(&self) -> Vec<(String, String, i64, i64)> {
        self.house.rows(|conn| {
            machines::table
                .order(machines::number)
                .select((machines::number, machines::category, machines::dry_weight_g, machines::seat_height_um))
                .load(conn)
        })
    }
}

#[test]
fn day_1_machines_of_a_sheet_are_looked_at_row_by_row_and_added_at_once() {
    let office = Office::new();
    office.priya.get("/machines").must_say("Add machines from a file");
    let page = office.bring(FLEET);
    page.must_be(200).must_say("2 machines would be added.").must_say("7, Alder 70").must_say("Row 3");
    page.must_say("Not read: Cat., Notes");
    assert_eq!(office.fleet(), [], "a look adds nothing");
    assert_eq!(office.take(&page).must_be(303).location(), "/machines");
    // 190 lb and 23 5/8 in by the definitions of the pound (0.45359237 kg) and the inch (25.4 mm).
    let added =
        [("12".to_owned(), "Y-10+".to_owned(), 110_000, 685_800), ("7".to_owned(), "Y-6+".to_owned(), 86_183, 600_075)];
    assert_eq!(office.fleet(), added);
    let list = office.priya.get("/machines");
    list.must_say("2 machines by number").must_say("built March 14, 2023").must_say("built April 2, 2025");
    let told: Vec<String> = office.house.rows(|conn| {
        audit_rows::table.filter(audit_rows::action.eq("machine.import")).select(audit_rows::detail).load(conn)
    });
    assert_eq!(told, ["2 machines"]);
    // The same press again adds nobody twice.
    office.take(&page).must_be(409).must_say("Nothing was added.").must_say("has this number already");
    assert_eq!(office.fleet().len(), 2);
}

#[test]
fn day_1_one_row_that_cannot_be_added_keeps_all_of_them_out_and_says_why() {
    let office = Office::new();
    office.house.add_atv("4", "Y-6+", "ready");
    let rows = "3;Alder 70;;Y6;3/14/2035;69.5;190;23;16;10;;\n\
        4;Alder 70;;Y6;3/14/2023;69.5;190;23;16;10;;\n\
        5;Alder 70;;Y6;3/14/2023;69.5;heavy;23;16;10;perhaps;\n\
        6;;;moon;spring;69.5;190;23;16;10;;\n\
        7;Alder 70;;Y6;3/14/2023;69.5;190;23;16;10;;\n\
        7;Alder 70;;Y6;3/14/2023;69.5;190;23;16;10;;\n";
    let page = office.bring(&format!("{}\n{rows}", FLEET.lines().next().expect("a heading")));
    page.must_be(200).must_say("5 of 6 cannot be added.").must_say("Correct the file and bring it again.");
    for words in [
        "This day is yet to come. Write the day on the plate",
        "A machine of the fleet has this number already",
        "the dry weight",
        "whether the warning label is there",
        "the make and model",
        "the category",
        "Write the day it was built, such as 3/14/2023",
        "Row 6 has this number already",
    ] {
        page.must_say(words);
    }
    assert!(page.field("sheet").is_none(), "nothing can be pressed");
    assert_eq!(office.fleet().len(), 1);
}

#[test]
fn day_1_a_workbook_reads_like_a_text_file() {
    let office = Office::new();
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let headings = ["Number", "Make and model", "Category", "Day it was built", "Engine cc", "Dry weight"];
    for (at, heading) in (0u16..).zip(headings.iter().chain(&["Ground to seat", "Seat to footrests"])) {
        sheet.write(0, at, *heading).expect("a heading");
    }
    let day = ExcelDateTime::from_ymd(2023, 3, 14).expect("a day");
    let format = Format::new().set_num_format("d mmm yyyy");
    sheet.write(1, 0, 21).expect("a number");
    sheet.write(1, 1, "Alder 70").expect("a text");
    sheet.write(1, 2, "Y-6+").expect("a text");
    sheet.write_with_format(1, 3, &day, &format).expect("a day");
    for (at, number) in [(4, 69.5), (5, 190.0), (6, 23.625), (7, 16.0)] {
        sheet.write(1, at, number).expect("a number");
    }
    let page = office.priya.bring(PAGE, "fleet.xlsx", &book.save_to_buffer().expect("a workbook"));
    page.must_be(200).must_say("1 machine would be added.");
    office.take(&page).must_be(303);
    assert_eq!(office.fleet(), [("21".to_owned(), "Y-6+".to_owned(), 86_183, 600_075)]);
}

#[test]
fn day_1_what_is_no_sheet_of_machines_is_told_and_nothing_happens() {
    let office = Office::new();
    office.bring("Name;Phone\nZoë;406\n").must_be(422).must_say("Name these columns in its first row: Number,");
    office.bring("").must_be(422).must_say("The file is empty");
    office.priya.bring(PAGE, "photo.png", b"\x89PNG\r\n\x1a\n0000").must_be(422);
    let many: String = (0..101).map(|at| format!("{at};Alder 70;;Y6;3/14/2023;69.5;190;23;16;10;;\n")).collect();
    let long = format!("{}\n{many}", FLEET.lines().next().expect("a heading"));
    office.bring(&long).must_be(422).must_say("more than 100 rows");
    for strange in ["", "7", "a\tb\nc"] {
        office.priya.post("/machines/import/take", &[("sheet", strange)]).must_be(400);
    }
    assert_eq!(office.fleet(), []);
}
