//! Workbooks built by another program: what a whole file does.

use rust_xlsxwriter::{Format, Formula, Workbook, Worksheet, XlsxError};
use waymark::outside::sheet::SheetFault;

use super::{Case, fault, table};

type Done = Result<(), XlsxError>;

fn built(name: &'static str, build: fn(&mut Workbook) -> Done, lines: &[&'static str]) -> Case {
    table(name, saved(build), lines)
}

fn saved(build: fn(&mut Workbook) -> Done) -> Vec<u8> {
    let mut workbook = Workbook::new();
    build(&mut workbook).unwrap();
    workbook.save_to_buffer().unwrap()
}

/// Writes rows of text from a row on, from 0. An empty text is no cell.
fn texts(sheet: &mut Worksheet, from: u32, rows: &[&[&str]]) -> Done {
    for (row, cells) in (from..).zip(rows) {
        for (column, text) in (0..).zip(*cells).filter(|(_, text)| !text.is_empty()) {
            sheet.write_string(row, column, *text)?;
        }
    }
    Ok(())
}

fn families(workbook: &mut Workbook) -> Done {
    let sheet = workbook.add_worksheet();
    texts(sheet, 0, &[&["Name", "Born", "Phone", "Zip", "Paid"], &["Ana", "", "", "02134"], &["Bo"]])?;
    let day = Format::new().set_num_format("d mmmm yyyy");
    sheet.write_number_with_format(1, 1, 41_796.0, &day)?;
    sheet.write_number_with_format(2, 1, 41_797.9, &Format::new().set_num_format("[$-409]m/d/yy h:mm AM/PM;@"))?;
    sheet.write_number(1, 2, 5_551_234_567.0)?;
    sheet.write_number_with_format(2, 2, 5_557_654_321.0, &Format::new().set_num_format("(000) 000-0000"))?;
    sheet.write_number_with_format(2, 3, 2134.0, &Format::new().set_num_format("00000"))?;
    sheet.write_boolean(1, 4, true)?;
    sheet.write_formula(2, 4, Formula::new("=1=2").set_result("FALSE"))?;
    Ok(())
}

fn banner(workbook: &mut Workbook) -> Done {
    let sheet = workbook.add_worksheet().set_name("Sign-ups")?;
    let plain = Format::new();
    sheet.merge_range(0, 0, 0, 4, "Summer sign-ups", &plain)?;
    sheet.merge_range(1, 0, 2, 0, "Id", &plain)?;
    sheet.merge_range(1, 1, 1, 2, "Child", &plain)?;
    sheet.merge_range(1, 3, 1, 4, "Parent", &plain)?;
    texts(
        sheet,
        2,
        &[
            &["", "First", "Last", "Given", "Family"],
            &["a", "Ana", "Ruiz", "Eva", "Ruiz"],
            &["b", "Bo", "Lee", "Al", "Lee"],
        ],
    )
}

fn merged_heading(workbook: &mut Workbook) -> Done {
    let sheet = workbook.add_worksheet();
    sheet.merge_range(0, 0, 0, 1, "Name", &Format::new())?;
    texts(sheet, 0, &[&["", "", "Allergies", "Town"], &["Ana", "Ruiz", "nuts", "Elm"], &["Bo", "Lee", "none", "Oak"]])
}

fn several(workbook: &mut Workbook) -> Done {
    let hidden = workbook.add_worksheet().set_name("Lookup")?.set_hidden(true);
    texts(hidden, 0, &[&["Code", "Town"], &["a", "b"], &["c", "d"], &["e", "f"], &["g", "h"]])?;
    let prose = workbook.add_worksheet().set_name("Read me")?;
    texts(prose, 0, &[&["How to use this"], &["one"], &["two"], &["three"], &["four"], &["five"]])?;
    texts(workbook.add_worksheet().set_name("June")?.set_active(true), 0, &[&["Name", "Town"], &["Ana", "Elm"]])?;
    texts(workbook.add_worksheet().set_name("July")?, 0, &[&["Name", "Town"], &["Bo", "Oak"], &["Cy", "Ash"]])?;
    texts(workbook.add_worksheet().set_name("August")?, 0, &[&["Name", "Town"], &["Di", "Fir"], &["Ed", "Yew"]])?;
    workbook.add_worksheet().set_name("Empty")?;
    Ok(())
}

fn all_hidden(workbook: &mut Workbook) -> Done {
    workbook.add_worksheet().set_name("Shown")?;
    texts(workbook.add_worksheet().set_hidden(true), 0, &[&["Name", "Town"], &["Ana", "Elm"]])
}

fn many(workbook: &mut Workbook) -> Done {
    for _ in 0..101 {
        workbook.add_worksheet();
    }
    Ok(())
}

pub fn cases() -> Vec<Case> {
    vec![
        built(
            "a whole workbook of families",
            families,
            &[
                "Name|Born|Phone|Zip|Paid",
                "2: Ana|@2014-06-06|#5551234567|02134|TRUE",
                "3: Bo|@2014-06-07|#5557654321|#02134|FALSE",
                "= Sheet1 From1900",
            ],
        ),
        built(
            "a merged title and merged groups",
            banner,
            &[
                "Id|Child First|Child Last|Parent Given|Parent Family",
                "4: a|Ana|Ruiz|Eva|Ruiz",
                "5: b|Bo|Lee|Al|Lee",
                "~ 1-1 BeforeHeading",
                "= Sign-ups From1900",
            ],
        ),
        built(
            "a merged cell in a heading of one row",
            merged_heading,
            &["Name|Column B|Allergies|Town", "2: Ana|Ruiz|nuts|Elm", "3: Bo|Lee|none|Oak", "= Sheet1 From1900"],
        ),
        built(
            "several worksheets, one of them hidden",
            several,
            &["Name|Town", "2: Bo|Oak", "3: Cy|Ash", "& Lookup", "& Read me", "& June", "& August", "= July From1900"],
        ),
        fault("content on hidden worksheets alone", saved(all_hidden), SheetFault::OnlyHidden),
        fault("a new workbook", saved(|workbook| workbook.add_worksheet().set_name("A").map(drop)), SheetFault::Empty),
        fault("a hundred and one worksheets", saved(many), SheetFault::TooManyWorksheets { most: 100 }),
    ]
}
