//! What taps, adaptations and overrides do to a verdict.

use super::*;

/// Design: overall not complete, not a pass.
#[test]
fn house_4_a_mandatory_criterion_not_measured_is_never_a_pass() {
    let rules = shipped_rules();
    assert_eq!(verdict(&rules, &all_met(&rules)).outcome, Outcome::MayStart);
    for criterion in &rules.criteria {
        let mut check = all_met(&rules);
        check.observations.remove(&criterion.key);
        let found = verdict(&rules, &check);
        let expected = if criterion.mandatory { Outcome::NotYet } else { Outcome::MayStart };
        assert_eq!(found.outcome, expected, "{}", criterion.key.as_str());
    }
    let nothing = FitCheck { observations: BTreeMap::new(), ..all_met(&rules) };
    assert_eq!(verdict(&rules, &nothing).outcome, Outcome::NotYet);
    assert_eq!(verdict_from_reasons(&[]), Outcome::NotYet);
}

/// Minnesota DNR: the joint must pass the lever; by tap alone.
#[test]
fn house_4_a_tap_without_a_number_decides() {
    let rules = shipped_rules();
    for (seen, outcome) in
        [(Seen::Met, Outcome::MayStart), (Seen::NotMet, Outcome::NotYet), (Seen::NotMeasured, Outcome::NotYet)]
    {
        let check = with(all_met(&rules), "lever_reach", Observation::tapped(seen));
        assert_eq!(verdict(&rules, &check).outcome, outcome);
    }
}

/// A failing number stands against any tap; a tapped "not met" stands against a passing number.
#[test]
fn house_3_a_tapped_no_holds_back_whatever_the_number_says_and_a_different_tap_is_shown() {
    let rules = shipped_rules();
    for (seen, number, finding, disagrees) in [
        (Seen::Met, 76_000, Finding::NotMet, true),
        (Seen::NotMet, 90_000, Finding::NotMet, true),
        (Seen::NotMet, 76_000, Finding::NotMet, false),
        (Seen::Met, 90_000, Finding::Met, false),
        (Seen::NotMeasured, 90_000, Finding::Met, false),
    ] {
        let observation = Observation { seen, number: Some(number), second_number: None };
        let found = verdict(&rules, &with(all_met(&rules), "standing_clearance", observation));
        let expected = if finding == Finding::Met { Outcome::MayStart } else { Outcome::NotYet };
        assert_eq!(found.outcome, expected, "{number}");
        let reason = reason_of(&found, "standing_clearance");
        assert_eq!((reason.finding, reason.tap_disagrees), (finding, disagrees), "{number}");
        assert_eq!(reason.margin, Some(number - 76_200));
        assert_eq!((reason.limit, reason.mark), (Some(Limit::AtLeast(76_200)), SourceMark::R));
        assert!(reason.source.contains("Minnesota DNR"));
    }
}

/// The second number passes, both ends of the clearance pass, and still the instructor says no.
#[test]
fn house_3_a_tapped_no_stands_against_a_second_and_a_borrowed_number() {
    let rules = shipped_rules();
    let twice = Observation { seen: Seen::NotMet, ..Observation::measured(76_000).again(90_000) };
    let reason = reason_of(&verdict(&rules, &with(all_met(&rules), "standing_clearance", twice)), "standing_clearance");
    assert_eq!((reason.finding, reason.tap_disagrees, reason.number), (Finding::NotMet, true, Some(90_000)));
    let lent = with(all_met(&rules), "standing_clearance", Observation::measured(90_000));
    let lent = with(lent, "standing_clearance_most", Observation::tapped(Seen::NotMet));
    let reason = reason_of(&verdict(&rules, &lent), "standing_clearance_most");
    assert_eq!((reason.finding, reason.tap_disagrees), (Finding::NotMet, true));
}

/// The Oregon rule accepts prosthetic or adapted equipment (second-hand).
#[test]
fn house_4_an_adaptation_passes_only_when_it_is_named() {
    let rules = shipped_rules();
    let adapted = |note: &str| Observation::tapped(Seen::MetWithAdaptation { note: note.to_owned() });
    for word in ["lever_reach", "elbow_bend"] {
        let named = verdict(&rules, &with(all_met(&rules), word, adapted("left-hand thumb brake")));
        assert_eq!(named.outcome, Outcome::MayStart);
        assert_eq!(reason_of(&named, word).adaptation.as_deref(), Some("left-hand thumb brake"));
        let unnamed = verdict(&rules, &with(all_met(&rules), word, adapted("  ")));
        assert_eq!(unnamed.outcome, Outcome::NotYet);
        assert_eq!(reason_of(&unnamed, word).finding, Finding::AdaptationNotNamed);
    }
    let numbered = Observation { number: Some(-5_000), ..adapted("thumb brake") };
    let failing = verdict(&rules, &with(all_met(&rules), "lever_reach", numbered));
    assert_eq!(reason_of(&failing, "lever_reach").finding, Finding::NotMet);
}

#[test]
fn house_3_only_the_lead_overrides_and_only_advisory_criteria() {
    let rules = shipped_rules();
    use OverrideBy::{Lead, Other};
    for (word, by, why, refusal) in [
        ("elbow_bend", Other, "Rides well", OverrideRefusal::NotTheLead),
        ("elbow_bend", Lead, "  ", OverrideRefusal::NoReason),
        ("lever_reach", Lead, "Rides well", OverrideRefusal::Mandatory),
        ("least_age", Lead, "Rides well", OverrideRefusal::NoSuchCriterion),
    ] {
        assert_eq!(Override::of(&rules, &key(word), by, why), Err(refusal), "{word}");
    }
    let given = Override::of(&rules, &key("elbow_bend"), Lead, " Short spell, walking pace ").expect("taken");
    let not_met = with(all_met(&rules), "elbow_bend", Observation::tapped(Seen::NotMet));
    assert_eq!(verdict(&rules, &not_met).outcome, Outcome::NotYet);
    let overridden = verdict(&rules, &FitCheck { overrides: vec![given], ..not_met });
    assert_eq!(overridden.outcome, Outcome::MayStart);
    let reason = reason_of(&overridden, "elbow_bend");
    assert_eq!((reason.finding, reason.overridden.as_deref()), (Finding::NotMet, Some("Short spell, walking pace")));
}

/// An override taken while a criterion was advisory does nothing once the rules make it mandatory.
#[test]
fn house_3_an_old_override_never_lifts_a_mandatory_criterion() {
    let mut rules = shipped_rules();
    let given = Override::of(&rules, &key("elbow_bend"), OverrideBy::Lead, "Rides well").expect("taken");
    let elbow = rules.criteria.iter_mut().find(|criterion| criterion.key == key("elbow_bend")).expect("shipped");
    elbow.mandatory = true;
    let not_met = with(all_met(&rules), "elbow_bend", Observation::tapped(Seen::NotMet));
    let found = verdict(&rules, &FitCheck { overrides: vec![given], ..not_met });
    assert_eq!(found.outcome, Outcome::NotYet);
    assert_eq!(reason_of(&found, "elbow_bend").overridden, None);
}

#[test]
fn house_3_a_kept_mandatory_reason_holds_back_whatever_stands_beside_it() {
    let rules = shipped_rules();
    let not_met = with(all_met(&rules), "lever_reach", Observation::tapped(Seen::NotMet));
    let mut reasons = verdict(&rules, &not_met).reasons;
    reasons.iter_mut().for_each(|reason| reason.overridden = Some("Rides well".to_owned()));
    assert_eq!(verdict_from_reasons(&reasons), Outcome::NotYet);
}
