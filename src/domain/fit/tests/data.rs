//! The shipped rules as data, and verdicts as they are kept.

use super::*;

#[test]
fn house_3_the_shipped_rules_hold_every_criterion_with_words_and_source() {
    let rules = shipped_rules();
    let mandatory: Vec<_> = rules.criteria.iter().filter(|c| c.mandatory).map(|c| c.key.as_str()).collect();
    assert_eq!(mandatory, ["feet_on_rests", "standing_clearance", "lever_reach", "foot_brake_reach", "full_lock"]);
    assert_eq!(rules.criteria.len(), 14, "thirteen criteria, the standing clearance with two ends");
    assert_eq!(rules.measure_again_within_um, 6_350);
    let printed = toml::to_string(&rules).expect("rules can be written");
    assert_eq!(toml::from_str::<FitRules>(&printed).expect("and read again"), rules);
}

#[test]
fn house_3_unsound_rules_are_refused_with_the_cause() {
    let shipped = include_str!("../../../../seed/fit.toml");
    for (from, to, cause) in [
        ("at_least = 900", "at_least = 1400", "a band starts above its end"),
        ("order = 20", "order = 10", "used twice"),
        ("key = \"full_lock\"", "key = \"Full lock\"", "lower-case words"),
        ("es = \"Codos doblados\"", "es = \" \"", "lacks words"),
        ("number_from = \"standing_clearance\"", "number_from = \"full_lock\"", "takes its number"),
        ("least_age = 6", "least_age = 5", "least age of six"),
        ("category = \"Y-12+\"", "category = \"Y-10+\"", "each category"),
        ("mandatory = true", "mandatory = false", "no criterion is mandatory"),
        ("kind = \"see_and_tap\"", "kind = \"shown_only\"", "mixes up"),
        ("estimate = \"hand_less_lever\"", "estimate = \"weight_ratio\"", "mixes up"),
        ("measure_again_within_um = 6350", "measure_again_within_um = -1", "negative"),
        ("kind = \"see_and_tap\"", "kind = \"see_and_tap\"\nweight = 3", "unknown field"),
    ] {
        assert!(shipped.contains(from), "{from}");
        let fault = toml::from_str::<FitRules>(&shipped.replace(from, to)).expect_err(to).to_string();
        assert!(fault.contains(cause), "{to}: {fault}");
    }
}

#[test]
fn house_3_a_kept_verdict_reads_back_with_all_its_reasons() {
    let rules = shipped_rules();
    let check = with(all_met(&rules), "standing_clearance", Observation::measured(76_000));
    let found = verdict(&rules, &check);
    let kept = serde_json::to_string(&found).expect("a verdict can be kept");
    assert_eq!(serde_json::from_str::<Verdict>(&kept).expect("and read again"), found);
    let held: Vec<_> = found.holding_back().map(|reason| reason.about.clone()).collect();
    assert_eq!(held, [About::Criterion(key("standing_clearance"))]);
}
