//! Workbooks that grow when they are opened, and XML that is meant to harm.

use waymark::outside::sheet::SheetFault;

use super::archive::{Parts, row, with_field};
use super::{Case, LIMITS, fault};

const SHEET: &str = "xl/worksheets/sheet1.xml";
const TOO_MUCH: SheetFault = SheetFault::TooMuchUnpacked { most: LIMITS.unpacked };
const OTHER: SheetFault = SheetFault::Damaged("a member is not what the directory says");

fn parts() -> Parts {
    Parts::with_rows(&(row(1, &["Name", "Town"]) + &row(2, &["Ana", "Elm"])))
}

fn bomb() -> Vec<u8> {
    parts().and_then(&" ".repeat(LIMITS.unpacked + 1)).packed()
}

fn damaged(name: &'static str, parts: Parts, words: &'static str) -> Case {
    fault(name, parts.packed(), SheetFault::Damaged(words))
}

/// A workbook whose part has one text in place of another.
fn changed(part: fn(&mut Parts) -> &mut String, from: &str, to: &str) -> Parts {
    let mut parts = parts();
    let text = part(&mut parts);
    assert!(text.contains(from), "{from}");
    *text = text.replacen(from, to, 1);
    parts
}

pub fn cases() -> Vec<Case> {
    let sheet: fn(&mut Parts) -> &mut String = |parts| &mut parts.sheet;
    let strings: fn(&mut Parts) -> &mut String = |parts| &mut parts.strings;
    let styles: fn(&mut Parts) -> &mut String = |parts| &mut parts.styles;
    let beyond = "a cell beyond the edge of a worksheet";
    let lie = |bytes: u32| with_field(bomb(), SHEET, 24, &bytes.to_le_bytes());
    let doctype = r#"<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]><worksheet "#;
    // One long shared text, told again and again: small in the file, large in memory.
    let mut repeated = Parts::with_rows(&(row(1, &["Name", "Town"]) + &long_texts()));
    repeated.strings = repeated.strings.replace("Name", &"x".repeat(LIMITS.characters));
    vec![
        fault("a bomb that says how large it is", bomb(), TOO_MUCH),
        fault("a bomb that says it is small", lie(100), OTHER),
        fault("a bomb that says it is empty", lie(0), OTHER),
        fault("a member smaller than it says", with_field(parts().packed(), SHEET, 24, &9_999u32.to_le_bytes()), OTHER),
        fault("a text repeated in every cell", repeated.packed(), TOO_MUCH),
        damaged("entities that grow", changed(sheet, "<worksheet ", doctype), "XML with a document type"),
        damaged("an entity that nothing declares", changed(sheet, "Ana", "&a;"), "a worksheet cannot be read"),
        damaged(
            "XML in another encoding",
            changed(sheet, "<worksheet ", "<?xml version='1.0' encoding='UTF-16'?><worksheet "),
            "XML that is not well formed",
        ),
        damaged("XML cut off in a tag", changed(sheet, "</worksheet>", "</worksheet"), "XML that is not well formed"),
        damaged(
            "XML cut off before a tag",
            changed(sheet, "</sheetData></worksheet>", ""),
            "a worksheet cannot be read",
        ),
        damaged(
            "a count of texts that would be reserved",
            changed(strings, "uniqueCount=\"1\"", "uniqueCount=\"9999999999999\""),
            "a count of texts that cannot be",
        ),
        damaged(
            "a count of texts that is no number",
            changed(strings, "uniqueCount=\"1\"", "uniqueCount = '99999999999999999999999'"),
            "a count of texts that cannot be",
        ),
        damaged(
            "a font's name copied into each format",
            changed(styles, "Calibri", &"x".repeat(2_000)),
            "a name that is too long",
        ),
        damaged("a cell in column AAAAAAAA", changed(sheet, "r=\"A2\"", "r=\"AAAAAAAA2\""), beyond),
        damaged("a cell in row 99999999999", changed(sheet, "r=\"A2\"", "r=\"A99999999999\""), beyond),
        damaged("a row 0", changed(sheet, "<row r=\"2\"", "<row r=\"0\""), beyond),
        damaged(
            "an area that runs backwards",
            parts().and_then("<mergeCells><mergeCell ref=\"B2:A1\"/></mergeCells>"),
            beyond,
        ),
        damaged(
            "a size that runs backwards",
            changed(sheet, "<sheetData>", "<dimension ref=\"A9:A1\"/><sheetData>"),
            beyond,
        ),
        damaged("rows out of order", changed(sheet, "r=\"A2\"", "r=\"A1\""), "cells out of order"),
        damaged(
            "merged cells one on another",
            parts().and_then(&format!("<mergeCells>{}</mergeCells>", "<mergeCell ref=\"A1:B2\"/>".repeat(30))),
            "merged cells lie one on another",
        ),
    ]
}

fn long_texts() -> String {
    let text = "<c r=\"@\" t=\"s\"><v>0</v></c>";
    (2..39).map(|number| row(number, &[text; 12])).collect::<String>() + &row(39, &[text; 12])
}
