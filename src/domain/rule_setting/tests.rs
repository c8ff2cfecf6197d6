//! Values of settings: told, typed and read back.

use proptest::prelude::*;

use super::*;

fn setting(unit: RuleUnit, bounds: (i64, i64)) -> RuleSetting {
    RuleSetting {
        key: "x".into(),
        group: String::new(),
        label: "X".into(),
        hint: String::new(),
        unit,
        now: RuleValue::Number(bounds.0),
        shipped: None,
        bounds,
        may_be_open: false,
        mark: Some(SourceMark::C),
        source: "Common practice".into(),
    }
}

/// An inch is 25.4 mm, a foot 12 inches, by definition.
#[test]
fn saturday_2_a_length_is_typed_with_its_unit_and_shown_both_ways() {
    let ground = setting(RuleUnit::GroundLength, (10_000, 1_000_000_000));
    for (typed, um, told) in [
        ("40 ft", 12_192_000, "40 ft (12.2 m)"),
        ("12 m", 12_000_000, "39 ft (12 m)"),
        ("5 ft 6 in", 1_676_400, "66 in (1.7 m)"),
        ("20 in", 508_000, "20 in (50.8 cm)"),
        ("100 ft", 30_480_000, "100 ft (30.5 m)"),
        ("4.5 m", 4_500_000, "15 ft (4.5 m)"),
    ] {
        assert_eq!(ground.read(typed, ""), Ok(RuleValue::Number(um)), "{typed}");
        assert_eq!(ground.unit.told(um), told);
    }
    for (typed, fault) in [
        ("", SettingFault::Missing),
        ("12", SettingFault::NotALength),
        ("far", SettingFault::NotALength),
        ("5 mm", SettingFault::TooSmall("0 in (1 cm)".into())),
        ("2 km", SettingFault::NotALength),
        ("1500 m", SettingFault::TooBig("3281 ft (1000 m)".into())),
    ] {
        assert_eq!(ground.read(typed, ""), Err(fault), "{typed}");
    }
    let body = setting(RuleUnit::BodyLength, (-100_000, 500_000));
    assert_eq!(body.read("3 in", ""), Ok(RuleValue::Number(76_200)));
    assert_eq!(body.unit.told(76_200), "3 in (76.2 mm)");
    assert_eq!(body.read("-1/2 in", ""), Ok(RuleValue::Number(-12_700)));
    assert_eq!(body.read("0", ""), Ok(RuleValue::Number(0)));
}

#[test]
fn saturday_2_numbers_lists_and_texts_are_held_to_their_bounds() {
    let years = setting(RuleUnit::Count("year", "years"), (1, 10));
    assert_eq!(years.read("5", ""), Ok(RuleValue::Number(5)));
    assert_eq!(years.read("11", ""), Err(SettingFault::TooBig("10 years".into())));
    assert_eq!(years.read("0", ""), Err(SettingFault::TooSmall("1 year".into())));
    for wrong in ["five", "5.5", "1e3", "٣", "9999999999999999999999"] {
        assert_eq!(years.read(wrong, ""), Err(SettingFault::NotANumber), "{wrong}");
    }
    let angle = setting(RuleUnit::TenthDegrees, (1, 450));
    assert_eq!(angle.read("12.5°", ""), Ok(RuleValue::Number(125)));
    assert_eq!(setting(RuleUnit::Permille, (100, 9_000)).read("1.3", ""), Ok(RuleValue::Number(1300)));
    let list = setting(RuleUnit::Choice(&[("a", "First"), ("b", "Second")]), (0, 0));
    assert_eq!(list.read("c", ""), Err(SettingFault::NotInTheList));
    let several = setting(RuleUnit::Several(&[("a", "First"), ("b", "Second"), ("c", "Third")]), (0, 0));
    let chosen = several.read_ticks(|word| word != "b");
    assert_eq!(chosen, RuleValue::Chosen(vec!["a".into(), "c".into()]));
    assert_eq!(several.told(&chosen, Lang::En), "First, Third");
    assert_eq!(several.told(&several.read_ticks(|_| false), Lang::En), "none");
    let score = setting(RuleUnit::Hundredths, (-1000, 0));
    assert_eq!(score.read("-5", ""), Ok(RuleValue::Number(-500)));
    assert_eq!(score.read("-2.333", ""), Err(SettingFault::NotANumber));
    assert_eq!(score.read("0.01", ""), Err(SettingFault::TooBig("0".into())));
    let words = setting(RuleUnit::Words(10), (0, 0));
    assert_eq!(words.read("Hello", " "), Err(SettingFault::MissingIn(Lang::Es)));
    assert_eq!(words.read("Hello", "un saludo largo"), Err(SettingFault::TooLong(10)));
    assert_eq!(words.read("He\u{202E}llo", "Hola"), Err(SettingFault::Malformed));
}

proptest! {
    /// What a field shows before anybody types, read again, is the same value: saving it unchanged changes nothing.
    #[test]
    fn saturday_2_what_a_field_shows_reads_back_as_the_same_number(um in -90_000i64..900_000_000) {
        let numbers = [RuleUnit::TenthDegrees, RuleUnit::Permille, RuleUnit::Hundredths];
        for unit in [RuleUnit::GroundLength, RuleUnit::BodyLength].into_iter().chain(numbers) {
            let one = setting(unit, (i64::MIN, i64::MAX));
            let typed = one.typed(&RuleValue::Number(um));
            prop_assert_eq!(one.read(&typed, ""), Ok(RuleValue::Number(um)), "{}", typed);
        }
    }
}
