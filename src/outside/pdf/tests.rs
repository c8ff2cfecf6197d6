//! What the certificate refuses and how it says so. What the paper looks like to other programs is checked in
//! `tests/it/certificate_paper.rs`.

use super::*;

fn sheet<'a>(rider_name: &'a str, check_url: &'a str) -> Sheet<'a> {
    Sheet {
        program_name: "Program",
        heading: "Certificate",
        lead_in: "This is to say that",
        rider_name,
        statement: &["met every required skill."],
        signers: &[],
        code_label: "Number",
        code: "0000-0000-0000-0000-0000-98",
        code_raw: "0000000000000000000098",
        valid_from_line: "Valid from June 13, 2026",
        check_url,
        check_url_shown: "example.org/c",
        caution: "It is no license.",
        lang: "en",
        made_at: NaiveDateTime::default(),
    }
}

#[test]
fn house_3_a_missing_letter_is_named_once_with_its_code_point() {
    let refusal = certificate(&sheet("Ж Жук\u{7}", "https://example.org/c")).expect_err("no Cyrillic");
    assert_eq!(refusal.to_string(), "the certificate font lacks Ж (U+0416), у (U+0443), к (U+043A), U+0007");
}

#[test]
fn house_3_an_address_too_long_for_a_code_is_refused() {
    let refusal = certificate(&sheet("Ana", &"x".repeat(5000))).expect_err("too long");
    assert!(matches!(refusal, CannotSet::Address));
}

#[test]
fn house_3_a_sheet_with_the_least_words_is_set() {
    let least = Sheet { statement: &[], caution: "", ..sheet("Bo", "https://example.org/c") };
    let bytes = certificate(&least).expect("sets");
    assert!(bytes.starts_with(b"%PDF-1.7"));
}
