//! Whatever the bytes are, reading ends in a sheet or a fault.

use proptest::prelude::*;
use waymark::outside::sheet::{Sheet, read};

use super::archive::{Parts, row};
use super::{Case, LIMITS, corpus};

/// What holds for each sheet: one length of rows, headings once, no limit passed.
fn is_sound(sheet: &Sheet) -> bool {
    let mut headings = sheet.headings.clone();
    headings.sort_unstable();
    headings.dedup();
    headings.len() == sheet.headings.len()
        && !sheet.rows.is_empty()
        && sheet.rows.len() <= LIMITS.rows
        && sheet.headings.len() <= LIMITS.columns
        && sheet.rows.iter().all(|row| row.cells.len() == sheet.headings.len())
        && sheet.rows.is_sorted_by(|one, next| one.number < next.number)
}

fn survives(bytes: &[u8]) -> bool {
    read(bytes, &LIMITS).map_or(true, |sheet| is_sound(&sheet))
}

/// A change of a few bytes, then a cut.
fn mutated(mut bytes: Vec<u8>, changes: &[(prop::sample::Index, u8)], cut: Option<prop::sample::Index>) -> Vec<u8> {
    if bytes.is_empty() {
        return bytes;
    }
    for (place, byte) in changes {
        *place.get_mut(&mut bytes) = *byte;
    }
    if let Some(cut) = cut {
        bytes.truncate(cut.index(bytes.len()));
    }
    bytes
}

fn changes() -> impl Strategy<Value = Vec<(prop::sample::Index, u8)>> {
    prop::collection::vec(any::<(prop::sample::Index, u8)>(), 0..6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn u35_any_bytes_end_in_a_sheet_or_a_fault(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        prop_assert!(survives(&bytes));
    }

    #[test]
    fn u35_any_text_ends_in_a_sheet_or_a_fault(text in "[a-zA-Z0-9@.\"',;\t|=\r\n\u{a0}\u{200b}\u{0} ]{0,300}") {
        prop_assert!(survives(text.as_bytes()));
    }

    #[test]
    fn u35_any_file_of_the_corpus_with_a_few_bytes_changed(
        file in any::<prop::sample::Index>(),
        changes in changes(),
        cut in prop::option::weighted(0.2, any::<prop::sample::Index>()),
    ) {
        let (name, bytes) = CORPUS.with(|corpus| {
            let case = file.get(corpus);
            (case.name, case.bytes.clone())
        });
        prop_assert!(survives(&mutated(bytes, &changes, cut)), "{}", name);
    }

    /// The change is in the XML, so that it is not stopped by a checksum.
    #[test]
    fn u35_any_worksheet_with_a_few_characters_changed(changes in changes(), part in 0..4usize) {
        let mut parts = Parts::with_rows(&(row(1, &["Name", "Town"]) + &row(2, &["Ana", r#"<c r="@" s="1"><v>41796</v></c>"#])));
        parts = parts.and_then(r#"<mergeCells count="1"><mergeCell ref="A3:B4"/></mergeCells>"#);
        let text = [&mut parts.sheet, &mut parts.strings, &mut parts.styles, &mut parts.workbook].into_iter().nth(part).unwrap();
        *text = String::from_utf8_lossy(&mutated(text.clone().into_bytes(), &changes, None)).into_owned();
        prop_assert!(survives(&parts.packed()));
    }
}

thread_local! {
    static CORPUS: Vec<Case> = corpus();
}
