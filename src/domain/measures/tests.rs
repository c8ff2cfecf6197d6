//! Tests of measures: conversions, what people type, what is shown, and typing slips.

use super::*;
use proptest::prelude::*;

/// 1 in = 25.4 mm and 1 lb = 0.45359237 kg, by definition (international yard and pound agreement).
#[test]
fn house_4_inches_and_pounds_convert_exactly() {
    for (tenth_inches, um) in [(30, 76_200), (60, 152_400), (80, 203_200), (29, 73_660), (31, 78_740)] {
        assert_eq!(Length::from_tenth_inches(tenth_inches).um(), um);
    }
    for (pounds, g) in [(70, 31_751), (1, 454), (100, 45_359), (1_000, 453_592)] {
        assert_eq!(Mass::from_pounds(pounds).g(), g);
    }
    // A boy's 70 lb read as kilograms is the slip to catch: 31.75 kg.
    assert_eq!(Mass::from_pounds(70).kg_text(), "31.8 kg");
}

#[test]
fn house_3_lengths_are_read_as_people_type_them() {
    use UnitSystem::{Metric, Us};
    for (text, units, um) in [
        ("23 5/8", Us, 600_075),
        ("23.5", Us, 596_900),
        ("23,5", Us, 596_900),
        ("23½", Us, 596_900),
        ("5 ft 2", Us, 1_574_800),
        ("5 ft. 2 in.", Us, 1_574_800),
        ("5 feet, 2 1/2 inches", Us, 1_587_500),
        ("4'10\"", Us, 1_473_200),
        ("4’ 10”", Metric, 1_473_200),
        ("4'", Us, 1_219_200),
        ("5 pies 2 pulgadas", Us, 1_574_800),
        ("3/4", Us, 19_050),
        (".5", Us, 12_700),
        ("58 cm", Us, 580_000),
        ("58,5 cm", Us, 585_000),
        ("58", Metric, 580_000),
        ("58 in", Metric, 1_473_200),
        ("1.58 m", Metric, 1_580_000),
        ("1580mm", Us, 1_580_000),
        ("  62\" ", Us, 1_574_800),
        ("12.", Us, 304_800),
    ] {
        assert_eq!(read_length(text, units), Ok(Length::from_um(um)), "{text:?}");
    }
}

#[test]
fn house_3_masses_are_read_as_people_type_them() {
    use UnitSystem::{Metric, Us};
    for (text, units, g) in [
        ("70", Us, 31_751),
        ("70 lb", Metric, 31_751),
        ("70.5 lbs", Us, 31_978),
        ("70 1/2", Us, 31_978),
        ("70 libras", Us, 31_751),
        ("32", Metric, 32_000),
        ("32,5 kg", Us, 32_500),
        ("32.5KG", Us, 32_500),
    ] {
        assert_eq!(read_mass(text, units), Ok(Mass::from_g(g)), "{text:?}");
    }
}

#[test]
fn house_3_what_cannot_be_a_measure_is_refused() {
    use MeasureFault::{Empty, InchesBesideFeet, NotUnderstood, OutOfRange};
    for (text, fault) in [
        ("", Empty),
        ("   ", Empty),
        ("tall", NotUnderstood),
        ("-5", NotUnderstood),
        ("5 parsecs", NotUnderstood),
        ("8/5", NotUnderstood),
        ("1/0", NotUnderstood),
        ("23.5.1", NotUnderstood),
        ("5 ft 2 cm", NotUnderstood),
        ("5 in 2 ft", NotUnderstood),
        ("1 2 3", NotUnderstood),
        ("5 ft 12", InchesBesideFeet),
        ("0", OutOfRange),
        ("999999", OutOfRange),
        ("99999999999999999999", NotUnderstood),
        ("٣", NotUnderstood),
    ] {
        assert_eq!(read_length(text, UnitSystem::Us), Err(fault), "{text:?}");
    }
    for (text, fault) in
        [("", Empty), ("70 in", NotUnderstood), ("70 lb 8", NotUnderstood), ("0 kg", OutOfRange), ("5000", OutOfRange)]
    {
        assert_eq!(read_mass(text, UnitSystem::Us), Err(fault), "{text:?}");
    }
}

#[test]
fn house_3_measures_are_shown_in_both_systems() {
    let inseam = Length::from_um(600_075);
    assert_eq!(inseam.inches_text(), "23 5/8 in");
    assert_eq!(inseam.cm_text(), "60.0 cm");
    assert_eq!(inseam.mm_text(), "600.1 mm");
    assert_eq!(Length::from_tenth_inches(30).inches_text(), "3 in");
    assert_eq!(Length::from_um(12_700).inches_text(), "1/2 in");
    assert_eq!(Length::from_um(-12_700).inches_text(), "-1/2 in");
    assert_eq!(Length::from_um(-100).inches_text(), "0 in");
    assert_eq!(Length::from_um(1_479_550).feet_inches_text(), "4 ft 10 1/4 in");
    assert_eq!(Length::from_um(254_000).feet_inches_text(), "10 in");
    assert_eq!(Mass::from_g(31_751).pounds_text(), "70.0 lb");
    assert_eq!(Mass::from_g(45_000).per_mille_of(Mass::from_g(100_000)), Some(450));
    assert_eq!(Mass::from_g(45_000).per_mille_of(Mass::from_g(0)), None);
}

fn measured() -> Measures {
    Measures::none_on(NaiveDate::from_ymd_opt(2026, 7, 4).expect("a day"))
}

/// The shipped windows: head 46 to 64 cm (common practice), inseam 0.38 to 0.54 of height (memory).
#[test]
fn house_3_measures_outside_their_window_are_asked_about() {
    let windows = Windows::default();
    for (head_um, asked) in [(459_999, true), (460_000, false), (640_000, false), (640_001, true)] {
        let of_head = Measures { head: Some(Length::from_um(head_um)), ..measured() };
        assert_eq!(!doubts(&of_head, &windows, None).is_empty(), asked, "{head_um}");
    }
    for (inseam_um, asked) in [(531_999, true), (532_000, false), (756_000, false), (756_001, true)] {
        let height = Some(Length::from_cm(140));
        let of_inseam = Measures { height, inseam: Some(Length::from_um(inseam_um)), ..measured() };
        assert_eq!(!doubts(&of_inseam, &windows, None).is_empty(), asked, "{inseam_um}");
    }
    assert!(doubts(&measured(), &windows, None).is_empty());
}

/// The commonest slips: pounds typed as kilograms, inches as centimetres, and the other way round.
#[test]
fn house_3_a_number_in_the_other_unit_is_recognised() {
    let windows = Windows::default();
    let tall = |height_um| Measures { height: Some(Length::from_um(height_um)), ..measured() };
    let found = doubts(&tall(520_000), &windows, None);
    assert_eq!(found, [Doubt::InchesTakenAsCentimetres(DoubtAbout::Height, Length::from_um(1_320_800))]);
    let found = doubts(&tall(132 * INCH_UM), &windows, None);
    assert_eq!(found, [Doubt::CentimetresTakenAsInches(DoubtAbout::Height, Length::from_cm(132))]);
    assert_eq!(doubts(&tall(100_000), &windows, None), [Doubt::OutsideWindow(DoubtAbout::Height)]);

    let heavy = |g| Measures { weight: Some(Mass::from_g(g)), ..tall(1_400_000) };
    assert_eq!(doubts(&heavy(70_000), &windows, None), [Doubt::PoundsTakenAsKilograms(Mass::from_g(31_751))]);
    assert_eq!(doubts(&heavy(14_515), &windows, None), [Doubt::KilogramsTakenAsPounds(Mass::from_g(32_000))]);
    assert!(doubts(&heavy(31_751), &windows, None).is_empty());
    let without_height = Measures { weight: Some(Mass::from_g(150_000)), ..measured() };
    assert_eq!(doubts(&without_height, &windows, None), [Doubt::PoundsTakenAsKilograms(Mass::from_g(68_039))]);
}

proptest! {
    /// What is shown in eighths reads back within a sixteenth of an inch; what is typed in decimals reads back exactly.
    #[test]
    fn house_3_what_is_shown_reads_back(um in 2_000_i64..2_500_000) {
        let length = Length::from_um(um);
        let read = read_length(&length.inches_text(), UnitSystem::Metric);
        prop_assert!((read.expect("an own text").um() - um).abs() <= INCH_UM / 16);
        let feet = read_length(&length.feet_inches_text(), UnitSystem::Metric);
        prop_assert_eq!(feet, read);
        let typed = format!("{}.{:03} mm", um / 1000, um % 1000);
        prop_assert_eq!(read_length(&typed, UnitSystem::Us), Ok(length));
    }

    /// No text makes the reader panic.
    #[test]
    fn house_3_any_text_is_read_or_refused(text in "[0-9 ./,'\"a-zé½-]{0,24}") {
        for units in [UnitSystem::Us, UnitSystem::Metric] {
            if let Ok(length) = read_length(&text, units) {
                prop_assert!(length.um() > 0);
            }
            if let Ok(mass) = read_mass(&text, units) {
                prop_assert!(mass.g() > 0);
            }
        }
    }
}
