//! What each role may do, asked as stories.

use super::*;

fn person(roles: &[Role]) -> Caller {
    Caller {
        person: Some(Person {
            account: AccountId::new(1),
            sign_in: SignInId::new(1),
            name: "Ana".into(),
            language: Lang::En,
            roles: RoleSet::of(roles),
            guardian: None,
            staff: None,
        }),
        halfway: None,
        request: String::new(),
    }
}
fn day(d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, d).expect("a day of June")
}
fn at(duty: Option<Duty>, today: NaiveDate) -> Subject {
    Subject::Session { duty, held_on: day(15), last_on: day(15), today, window: STAFF_WINDOW_DAYS }
}

#[test]
fn s27_staff_see_their_session_for_fourteen_days_around_it_and_no_other() {
    let instructor = person(&[Role::Instructor]);
    let lead = Some(Duty::Lead);
    let asked = |duty, today| may(&instructor, Action::RunSession, at(duty, today));
    assert_eq!(asked(lead, day(1)), Permission::Granted);
    assert_eq!(asked(lead, day(29)), Permission::Granted);
    assert_eq!(asked(lead, day(30)), Permission::Hidden);
    assert_eq!(asked(lead, day(1) - chrono::Days::new(1)), Permission::Hidden);
    assert_eq!(asked(None, day(15)), Permission::Hidden);
}

#[test]
fn s28_health_notes_are_for_the_sessions_own_teaching_and_first_aid_staff() {
    let asked = |roles: &[Role], duty| may(&person(roles), Action::ReadHealth, at(duty, day(15)));
    assert_eq!(asked(&[Role::Instructor], Some(Duty::Lead)), Permission::Granted);
    assert_eq!(asked(&[Role::FirstAid], Some(Duty::FirstAid)), Permission::Granted);
    assert_eq!(asked(&[Role::Helper], Some(Duty::Helper)), Permission::Hidden);
    assert_eq!(asked(&[Role::Coordinator], None), Permission::Hidden);
    assert_eq!(asked(&[Role::Administrator], None), Permission::Hidden);
}

#[test]
fn family_10_the_sessions_staff_and_the_office_register_walk_ups_and_helpers_do_not() {
    let asked = |roles: &[Role], duty| may(&person(roles), Action::RegisterWalkUp, at(duty, day(15)));
    for duty in [Duty::Lead, Duty::Instructor, Duty::FirstAid] {
        assert_eq!(asked(&[Role::Instructor], Some(duty)), Permission::Granted, "{duty:?}");
    }
    assert_eq!(asked(&[Role::Helper], Some(Duty::Helper)), Permission::Denied);
    assert_eq!(asked(&[Role::Coordinator], Some(Duty::Helper)), Permission::Granted);
    assert_eq!(asked(&[Role::Instructor], None), Permission::Hidden);
    assert_eq!(asked(&[Role::Coordinator], None), Permission::Granted);
    assert_eq!(asked(&[Role::Guardian], None), Permission::Hidden);
}

#[test]
fn saturday_1_only_the_lead_decides_as_lead_and_the_office_too_hands_the_lead_over() {
    use Permission::{Denied, Granted, Hidden};
    let asked = |roles: &[Role], action, duty| may(&person(roles), action, at(duty, day(15)));
    for duty in [None, Some(Duty::Instructor), Some(Duty::Helper), Some(Duty::FirstAid)] {
        assert_eq!(asked(&[Role::Instructor], Action::LeadSession, duty), Denied, "{duty:?}");
        assert_eq!(asked(&[Role::Instructor], Action::HandOverLead, duty), Denied, "{duty:?}");
        assert_eq!(asked(&[Role::Coordinator], Action::LeadSession, duty), Denied, "{duty:?}");
        assert_eq!(asked(&[Role::Coordinator], Action::HandOverLead, duty), Granted, "{duty:?}");
    }
    let lead = Some(Duty::Lead);
    assert_eq!(asked(&[Role::Instructor], Action::LeadSession, lead), Granted);
    assert_eq!(asked(&[Role::Instructor], Action::HandOverLead, lead), Granted);
    let late = may(&person(&[Role::Instructor]), Action::LeadSession, at(lead, day(30)));
    assert_eq!(late, Hidden);
}

#[test]
fn s26_only_an_active_guardian_answers_for_a_rider() {
    let guardian = person(&[Role::Guardian]);
    for (tie, expected) in [
        (Some(Guardianship::Active), Permission::Granted),
        (Some(Guardianship::Restricted), Permission::Hidden),
        (Some(Guardianship::Revoked), Permission::Hidden),
        (None, Permission::Hidden),
    ] {
        assert_eq!(may(&guardian, Action::AnswerForRider, Subject::Rider { tie }), expected);
    }
}

#[test]
fn s25_anonymous_callers_and_partners_are_granted_nothing() {
    for action in [Action::Plan, Action::SeeSeason, Action::SeeOffice, Action::SeeReports, Action::ReadAudit] {
        assert_eq!(may(&Caller::anonymous(), action, Subject::Program), Permission::Denied);
        assert_eq!(may(&person(&[Role::Partner]), action, Subject::Program), Permission::Denied);
    }
}
