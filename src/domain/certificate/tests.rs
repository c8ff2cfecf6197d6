//! Tables and properties of the certificate code and state. The check of "794" is the example of ISO/IEC 7064; the
//! other check numbers were worked out with whole-number division outside this program.

use super::*;
use proptest::prelude::*;

fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
}

#[test]
fn house_3_the_check_number_follows_iso_7064_mod_97_10() {
    for (digits, check) in [
        ("794", 44), // ISO/IEC 7064, the worked example
        ("", 98),    // nothing: 0 leaves 0
        ("0", 98),   // 98 - 0
        ("1", 95),   // 100 leaves 3
        ("97", 98),  // a multiple of 97 leaves 0
        ("96", 4),   // 9600 leaves 94
        ("12345678901234567890", 89),
    ] {
        assert_eq!(mod9710(digits.as_bytes()), Some(check), "{digits}");
        let whole: u128 = format!("{digits}{check:02}").parse().expect("digits");
        assert_eq!(whole % 97, 1, "{digits}");
    }
    assert_eq!(mod9710(b"79a"), None);
}

#[test]
fn house_3_a_code_is_the_bits_in_order_and_its_check() {
    for (bits, code) in
        [(0, "0000000000000000000098"), (31, "0000000000000000000Z90"), ((1 << 100) - 1, "ZZZZZZZZZZZZZZZZZZZZ29")]
    {
        assert_eq!(CertificateCode::from_bits(bits).as_str(), code);
    }
    let high = 1_u128 << 100;
    assert_eq!(CertificateCode::from_bits(high), CertificateCode::from_bits(0));
}

#[test]
fn house_3_a_code_is_read_as_people_type_it() {
    let code = CertificateCode::from_bits(0x1_2345_6789_ABCD_EF01_2345_6789);
    let grouped = code.grouped();
    assert_eq!(grouped.len(), 27);
    assert_eq!(grouped.replace('-', ""), code.as_str());
    for typed in [
        grouped.clone(),
        grouped.to_lowercase(),
        grouped.replace('-', " "),
        grouped.replace('-', "\u{a0}\u{2013}"),
        code.as_str().replace('0', "O").replace('1', "l"),
        code.as_str().replace('0', "o").replace('1', "I"),
        format!("  {code}\t"),
    ] {
        assert_eq!(CertificateCode::parse(&typed), Ok(code), "{typed}");
    }
}

#[test]
fn house_3_a_wrong_code_says_what_is_wrong() {
    let zeros = "00000000000000000000";
    for (typed, wrong) in [
        (String::new(), BadCode::Length),
        (zeros.to_string(), BadCode::Length),
        (format!("{zeros}980"), BadCode::Length),
        ("0".repeat(100_000), BadCode::Length),
        (format!("U{}98", &zeros[1..]), BadCode::Character),
        (format!("é{}98", &zeros[1..]), BadCode::Character),
        (format!("０{}98", &zeros[1..]), BadCode::Character),
        (format!("{zeros}9A"), BadCode::Character),
        (format!("{zeros}97"), BadCode::Check),
        (format!("{zeros}01"), BadCode::Check),
    ] {
        assert_eq!(CertificateCode::parse(&typed), Err(wrong), "{typed:.30}");
    }
}

/// Every 22-character text that differs in one place, among the characters of the alphabet.
fn slips(code: &str) -> impl Iterator<Item = String> {
    (0..LENGTH).flat_map(move |place| {
        ALPHABET.iter().filter_map(move |&other| {
            let mut wrong = code.as_bytes().to_vec();
            (wrong[place] != other).then(|| {
                wrong[place] = other;
                String::from_utf8(wrong).expect("ASCII")
            })
        })
    })
}

/// Every text made by swapping two unlike neighbours.
fn swaps(code: &str) -> impl Iterator<Item = String> {
    (1..LENGTH).filter_map(move |place| {
        let mut wrong = code.as_bytes().to_vec();
        wrong.swap(place - 1, place);
        (wrong != code.as_bytes()).then(|| String::from_utf8(wrong).expect("ASCII"))
    })
}

proptest! {
    #[test]
    fn house_3_every_code_reads_back_as_itself(bits in 0_u128..1 << 100) {
        let code = CertificateCode::from_bits(bits);
        prop_assert_eq!(CertificateCode::parse(code.as_str()), Ok(code));
        prop_assert_eq!(CertificateCode::parse(&code.grouped()), Ok(code));
        prop_assert_eq!(code.as_str().len(), LENGTH);
    }

    #[test]
    fn house_3_unlike_bits_make_unlike_codes(a in 0_u128..1 << 100, b in 0_u128..1 << 100) {
        prop_assert_eq!(a == b, CertificateCode::from_bits(a) == CertificateCode::from_bits(b));
    }

    #[test]
    fn house_3_every_wrong_character_and_every_swapped_pair_is_caught(bits in 0_u128..1 << 100) {
        let code = CertificateCode::from_bits(bits);
        for wrong in slips(code.as_str()).chain(swaps(code.as_str())) {
            prop_assert!(CertificateCode::parse(&wrong).is_err(), "{} passed for {}", wrong, code);
        }
    }

    #[test]
    fn house_3_no_text_breaks_the_reader(typed in ".{0,60}") {
        if let Ok(code) = CertificateCode::parse(&typed) {
            prop_assert_eq!(CertificateCode::parse(code.as_str()), Ok(code));
        }
    }
}

#[test]
fn house_3_a_certificate_answers_by_its_record_and_the_day() {
    let birthday = day(2026, 9, 1);
    let given = CertificateRecord { valid_from: birthday, confirmed: true, revoked_on: None };
    let reserved = CertificateRecord { confirmed: false, ..given };
    let taken_back = CertificateRecord { revoked_on: Some(day(2026, 7, 1)), ..given };
    for (record, on, state) in [
        (None, birthday, CertificateState::Unknown),
        (Some(given), day(2026, 8, 31), CertificateState::ValidFrom(birthday)),
        (Some(given), birthday, CertificateState::Valid),
        (Some(given), day(2099, 1, 1), CertificateState::Valid),
        (Some(reserved), birthday, CertificateState::NotYetConfirmed),
        (Some(taken_back), day(2026, 8, 31), CertificateState::Revoked),
        (Some(taken_back), birthday, CertificateState::Revoked),
        (Some(CertificateRecord { confirmed: false, ..taken_back }), birthday, CertificateState::Revoked),
    ] {
        assert_eq!(CertificateState::on(on, record.as_ref()), state, "{record:?} on {on}");
    }
}

/// Minnesota: the course may be taken at 10 and 11, and the certificate becomes valid on the 12th birthday.
#[test]
fn house_3_a_certificate_counts_from_completion_or_from_the_later_birthday() {
    let completed = day(2026, 6, 13);
    for (birth, from) in [
        (day(2014, 6, 13), completed),
        (day(2010, 1, 1), completed),
        (day(2014, 6, 14), day(2026, 6, 14)),
        (day(2016, 2, 29), day(2028, 2, 29)),
        (day(2015, 12, 31), day(2027, 12, 31)),
    ] {
        assert_eq!(counts_from(completed, birth, 12, LeapRule::FirstOfMarch), from, "{birth}");
    }
    assert_eq!(counts_from(completed, day(2016, 2, 29), 11, LeapRule::FirstOfMarch), day(2027, 3, 1));
    assert_eq!(counts_from(completed, day(2016, 2, 29), 11, LeapRule::LastOfFebruary), day(2027, 2, 28));
}

#[test]
fn s32_initials_are_the_first_letters_of_the_first_and_the_last_word() {
    for (name, told) in [
        ("Zoë Okafor-Lindqvist", "Z. O."),
        ("Suri", "S."),
        ("María de la Cruz", "M. C."),
        ("łukasz nowak", "Ł. N."),
        ("  ", ""),
    ] {
        assert_eq!(initials(name), told);
    }
}
