//! Workbooks made by hand: what one cell, row or part of the XML does.

use waymark::outside::sheet::SheetFault;

use super::archive::{Parts, row};
use super::{Case, LIMITS, fault, table};

/// A workbook of one hand-made worksheet with a heading of two names.
fn rows(below: &str) -> Parts {
    Parts::with_rows(&(row(1, &["Name", "Value"]) + below))
}

/// One value a row from row 2 on, given as XML.
fn values(values: &[&str]) -> Parts {
    let below = (2..).zip(values).map(|(number, value)| row(number, &["x", value]));
    rows(&below.collect::<String>())
}

pub fn cases() -> Vec<Case> {
    let day = |serial: &str| format!(r#"<c r="@" s="1"><v>{serial}</v></c>"#);
    let serials = ["1", "59", "60", "61", "0", "-1", "2958465", "2958466", "41796.75", "0.5"].map(day);
    let serials: Vec<&str> = serials.iter().map(String::as_str).collect();
    let in_1904 = ["0", "1", "40334", "2957003", "2957004"].map(day);
    let in_1904: Vec<&str> = in_1904.iter().map(String::as_str).collect();
    let no_first =
        row(1, &["Name", "Town"]) + r#"<row r="2"><c t="inlineStr"><is><t>Ana</t></is></c><c><v>7</v></c></row>"#;
    vec![
        table(
            "days counted from 1900, and the day that never was",
            values(&serials).packed(),
            &[
                "Name|Value",
                "2: x|@1900-01-01",
                "3: x|@1900-02-28",
                "4: x|!NoSuchDay",
                "5: x|@1900-03-01",
                "6: x|!NoSuchDay",
                "7: x|!NoSuchDay",
                "8: x|@9999-12-31",
                "9: x|!NoSuchDay",
                "10: x|@2014-06-06",
                "11: x|12:00",
                "= List From1900",
            ],
        ),
        table(
            "days counted from 1904",
            values(&in_1904).counting_from_1904().packed(),
            &[
                "Name|Value",
                "2: x|@1904-01-01",
                "3: x|@1904-01-02",
                "4: x|@2014-06-06",
                "5: x|@9999-12-31",
                "6: x|!NoSuchDay",
                "= List From1904",
            ],
        ),
        table(
            "days as text of the form",
            values(&[r#"<c r="@" t="d"><v>2014-05-06T10:00:00</v></c>"#, r#"<c r="@" t="d"><v>soon</v></c>"#]).packed(),
            &["Name|Value", "2: x|@2014-05-06", "3: x|soon", "= List From1900"],
        ),
        table(
            "a length of time and a code of five digits",
            values(&[
                r#"<c r="@" s="2"><v>1.104166666666667</v></c>"#,
                r#"<c r="@" s="3"><v>2134</v></c>"#,
                r#"<c r="@" s="2"><v>0.0000115741</v></c>"#,
            ])
            .packed(),
            &["Name|Value", "2: x|26:30", "3: x|#02134", "4: x|0:00:01", "= List From1900"],
        ),
        table(
            "numbers as a person writes them",
            values(
                &["5551234567", "5.551234567E9", "0.1", "0.30000000000000004", "-2.50", "1E-7", "1E21", "-0"]
                    .map(|number| format!(r#"<c r="@"><v>{number}</v></c>"#))
                    .each_ref()
                    .map(String::as_str),
            )
            .packed(),
            &[
                "Name|Value",
                "2: x|#5551234567",
                "3: x|#5551234567",
                "4: x|#0.1",
                "5: x|#0.3",
                "6: x|#-2.5",
                "7: x|#0.0000001",
                "8: x|#1000000000000000000000",
                "9: x|#0",
                "= List From1900",
            ],
        ),
        table(
            "numbers without end",
            values(&[r#"<c r="@"><v>1E999</v></c>"#, r#"<c r="@"><v>nan</v></c>"#]).packed(),
            &["Name|Value", "2: x|!#NUM!", "3: x|!#NUM!", "= List From1900"],
        ),
        table(
            "shared, rich, escaped and spoken text",
            {
                let mut parts = values(&[
                    r#"<c r="@" t="s"><v>0</v></c>"#,
                    r#"<c r="@" t="s"><v>1</v></c>"#,
                    r#"<c r="@" t="str"><v>a&amp;b &#233;</v></c>"#,
                ]);
                parts.strings = parts.strings.replace("<si><t>Name</t></si>", "<si><r><t>Re</t></r><r><t xml:space=\"preserve\">d _x000D_</t></r><rPh sb=\"0\" eb=\"1\"><t>ku</t></rPh></si><si><t>A_x0001_B</t></si>");
                parts.packed()
            },
            &["Name|Value", "2: x|Red", "3: x|!ControlCharacter", "4: x|a&b é", "= List From1900"],
        ),
        table(
            "yes and no, failed formulas, and cached values",
            values(&[
                r#"<c r="@" t="b"><v>1</v></c>"#,
                r#"<c r="@" t="e"><f>A1/0</f><v>#DIV/0!</v></c>"#,
                r##"<c r="@" t="e"><v>#REF!</v></c>"##,
                r#"<c r="@"><f>1+1</f><v>2</v></c>"#,
                r#"<c r="@" t="str"><f>A2&amp;"!"</f><v>x!</v></c>"#,
                r#"<c r="@"><f>1+1</f></c>"#,
            ])
            .packed(),
            &[
                "Name|Value",
                "2: x|TRUE",
                "3: x|!#DIV/0!",
                "4: x|!#REF!",
                "5: x|#2",
                "6: x|x!",
                "7: x|",
                "= List From1900",
            ],
        ),
        table(
            "cells without references",
            Parts::with_rows(&no_first).packed(),
            &["Name|Town", "2: Ana|#7", "= List From1900"],
        ),
        table(
            "hidden rows and values left under merged cells",
            rows(
                &(row(2, &["Ana", "1"]).replace("<row", "<row hidden=\"1\"")
                    + &row(3, &["", "left"])
                    + &row(4, &["Bo", "2"])),
            )
            .and_then("<mergeCells><mergeCell ref=\"A2:B3\"/></mergeCells>")
            .packed(),
            &["Name|Value", "2: Ana|", "4: Bo|2", "~ 3-3 Blank", "= List From1900"],
        ),
        table(
            "a stray cell in the last corner",
            rows(&(row(2, &["Ana", "1"]) + r#"<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>"#)).packed(),
            &["Name|Value", "2: Ana|1", "~ 3-1048575 Blank", "~ 1048576-1048576 Totals", "= List From1900"],
        ),
        fault(
            "one cell in the last corner and nothing else",
            Parts::with_rows(r#"<row r="1048576"><c r="XFD1048576" t="str"><v>x</v></c></row>"#).packed(),
            SheetFault::NoRows { heading: 1_048_576 },
        ),
        fault(
            "a worksheet of formats alone",
            Parts::with_rows(r#"<row r="9"><c r="C9" s="1"/></row>"#).packed(),
            SheetFault::Empty,
        ),
        fault("a workbook with a heading alone", rows("").packed(), SheetFault::NoRows { heading: 1 }),
        fault(
            "a workbook with too many rows",
            values(&["y"; 40]).packed(),
            SheetFault::TooManyRows { most: LIMITS.rows },
        ),
        fault(
            "a workbook with too many columns",
            rows(&row(2, &["y"; 13])).packed(),
            SheetFault::TooManyColumns { most: LIMITS.columns },
        ),
        fault(
            "a workbook with too many characters",
            values(&[&"y".repeat(301)]).packed(),
            SheetFault::CellTooLong { row: 2, column: "B".into(), most: LIMITS.characters },
        ),
    ]
}
