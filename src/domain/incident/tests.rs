//! Tables about reports: when one is whole, who signs, by when the insurer hears.

use chrono::{NaiveDate, NaiveTime};

use super::super::health_note::Known;
use super::super::words::Word;
use super::*;

fn at(text: &str) -> NaiveDateTime {
    text.parse().expect("an instant")
}

/// A report in which every part is written.
fn whole() -> Report {
    let time = NaiveTime::from_hms_opt(10, 20, 0);
    let word = || "written".to_owned();
    Report {
        person: word(),
        time,
        began: time,
        exercise: word(),
        surface: word(),
        before: word(),
        happened: word(),
        injury: word(),
        object: word(),
        helmet_worn: Some(Known::Yes),
        helmet_after: Some(HelmetAfter::Marked),
        first_aid: word(),
        physician: word(),
        facility: word(),
        emergency_room: Some(Known::No),
        overnight: Some(Known::No),
        died_on: NaiveDate::from_ymd_opt(2026, 6, 14),
        witnesses: word(),
        told_at: time,
        told_by: word(),
        follow_up: word(),
        ..Report::default()
    }
}

/// The report without one part.
fn without(part: ReportPart) -> Report {
    let mut text = serde_json::to_value(whole()).expect("a report");
    let field = match part {
        ReportPart::Died => "died_on",
        other => other.as_str(),
    };
    text.as_object_mut().expect("an object").remove(field).unwrap_or_else(|| panic!("{part}"));
    serde_json::from_value(text).expect("a report")
}

/// The hours are settings (common practice, no source). An instant, so no calendar plays a part.
#[test]
fn day_9_the_insurer_is_told_within_a_day_and_at_once_when_an_ambulance_came() {
    let rule = IncidentRule::default();
    let learned = at("2026-07-04T16:10:00");
    assert_eq!(rule.insurer_due(learned, false), at("2026-07-05T16:10:00"));
    assert_eq!(rule.insurer_due(learned, true), learned);
    let policy = IncidentRule { insurer_hours: 72, ambulance_hours: 4 };
    assert_eq!(policy.insurer_due(learned, false), at("2026-07-07T16:10:00"));
    assert_eq!(policy.insurer_due(learned, true), at("2026-07-04T20:10:00"));
}

/// OSHA Form 301 asks for each of these but for what riding adds (helmet, witnesses, the parent); which of them must be there
/// before anybody signs is ours (common practice, no source).
#[test]
fn day_9_a_report_is_whole_when_each_part_that_its_kind_asks_for_is_written() {
    use ReportPart::*;
    let (hurt, damage) = (IncidentKind::Hurt, IncidentKind::Damage);
    let always = [Time, Before, Happened, Witnesses];
    let of_hurt = [Injury, Object, HelmetWorn, HelmetAfter, FirstAid, EmergencyRoom, Overnight];
    for part in ReportPart::ALL.iter().copied() {
        let report = without(part);
        assert_eq!(whole().changed(&report), [part]);
        let lacks = |kind, is_rider| report.lacks(kind, is_rider) == [part];
        let asked = (always.contains(&part), of_hurt.contains(&part));
        assert_eq!(lacks(damage, true), asked.0, "{part}, damage");
        // Without the answer whether it was worn, nobody asks what the helmet looks like.
        assert_eq!(lacks(hurt, true), asked.0 || asked.1 || [ToldAt, ToldBy].contains(&part), "{part}, a rider hurt");
        assert_eq!(lacks(hurt, false), asked.0 || asked.1 || part == Person, "{part}, somebody else hurt");
    }
    for (kind, is_rider) in [(hurt, true), (hurt, false), (damage, true), (damage, false)] {
        assert_eq!(whole().lacks(kind, is_rider), []);
        assert!(!Report::default().lacks(kind, is_rider).is_empty());
    }
    // "Nobody knows" is an answer, and without a helmet there is none to look at.
    let unknown = Report { time: None, time_unknown: true, ..whole() };
    assert_eq!(unknown.lacks(hurt, true), []);
    let bare = Report { helmet_worn: Some(Known::No), helmet_after: None, ..whole() };
    assert_eq!(bare.lacks(hurt, true), []);
    assert_eq!(Report { happened: "  ".into(), ..whole() }.lacks(damage, true), [Happened]);
}

#[test]
fn day_9_two_different_people_sign_a_whole_report_and_then_nothing_changes_it() {
    let (writer, other) = (AccountId::new(1), AccountId::new(2));
    let lacks = [ReportPart::Time];
    let signed = Standing::Signed { by: writer };
    for (standing, change, sign, close) in [
        (Standing::Open, Ok(()), Ok(()), Err(IncidentRefusal::NotSigned)),
        (signed, Ok(()), Ok(()), Ok(())),
        (Standing::Closed, Err(IncidentRefusal::Closed), Err(IncidentRefusal::Closed), Err(IncidentRefusal::Closed)),
    ] {
        assert_eq!(standing.may_change(), change, "{standing:?}");
        assert_eq!(standing.may_sign(&[]), sign, "{standing:?}");
        assert_eq!(standing.may_close(other, &[]), close, "{standing:?}");
    }
    assert_eq!(signed.may_close(writer, &[]), Err(IncidentRefusal::SamePerson));
    let missing = Err(IncidentRefusal::Lacks { parts: lacks.to_vec() });
    assert_eq!(Standing::Open.may_sign(&lacks), missing);
    assert_eq!(signed.may_close(other, &lacks), missing);
}

#[test]
fn day_9_a_report_reads_back_as_it_was_kept_and_an_old_one_without_a_later_part_too() {
    let text = serde_json::to_string(&whole()).expect("a report");
    assert_eq!(serde_json::from_str::<Report>(&text).expect("a report"), whole());
    assert_eq!(serde_json::from_str::<Report>("{}").expect("a report"), Report::default());
}
