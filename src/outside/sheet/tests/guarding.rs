//! What the guard lets pass and what it refuses, tag by tag.

use super::super::guard::check;

#[test]
fn u35_plain_xml_passes_and_merges_are_seen() {
    let plain = r#"<?xml version="1.0" encoding="utf-8"?><!-- <c r="AAAA1"/> --><w><c r = 'XFD1048576' s="1"/><row r="7"/><t a=">">r="AAAA1"</t><![CDATA[<c r="AAAA1">]]></w>"#;
    assert_eq!(check(plain.as_bytes()), Ok(false));
    assert_eq!(check(br#"<x:mergeCell ref="A1:B2"/>"#), Ok(true));
    assert_eq!(check(b""), Ok(false));
}

#[test]
fn u35_references_end_at_the_edge_of_a_worksheet() {
    for beyond in ["XFE1", "A1048577", "A0", "1A", "", "AAAA1", "A99999999999", "A1:", "B1:A1", "A2:A1", "$A$1"] {
        for tag in ["c r", "x:c r", "row r", "dimension ref", "mergeCell ref", "c\n s='1' r"] {
            let xml = format!("<{tag}=\"{beyond}\"/>");
            assert_eq!(check(xml.as_bytes()), Err("a cell beyond the edge of a worksheet"), "{xml}");
        }
    }
}

#[test]
fn u35_a_count_of_texts_fits_into_the_file() {
    assert_eq!(check(br#"<sst uniqueCount="1000000"/>"#), Ok(false));
    for count in ["1000001", "99999999999999999999999", "-1", "x"] {
        let xml = format!("<sst count=\"1\" uniqueCount=\"{count}\"/>");
        assert_eq!(check(xml.as_bytes()), Err("a count of texts that cannot be"), "{xml}");
    }
}

#[test]
fn u35_formats_cannot_multiply() {
    assert_eq!(check("<xf/>".repeat(65_490).as_bytes()), Ok(false));
    assert_eq!(check("<xf/>".repeat(65_491).as_bytes()), Err("too many formats"));
    let long = format!("<numFmt formatCode=\"{}\"/>", "0".repeat(1_100));
    assert_eq!(check(long.as_bytes()), Err("a name that is too long"));
}

#[test]
fn u35_other_encodings_and_document_types_are_refused() {
    assert_eq!(check(b"<\0x\0>\0\xD8"), Err("XML that is not UTF-8"));
    assert_eq!(check(b"<?xml encoding='utf-16'?>"), Err("XML that is not well formed"));
    assert_eq!(check(b"<!DOCTYPE x>"), Err("XML with a document type"));
    for open in ["<a", "<a b='>", "<!-- a>", "<![CDATA[a>", "<?a>"] {
        assert_eq!(check(open.as_bytes()), Err("XML that is not well formed"), "{open}");
    }
}
