//! The words for every "no" that a rule can give. Each refusal is told here once, and nowhere else.
//!
//! The table of messages has no rest arm: a new refusal does not compile until it has words.

mod gear;
mod incident;
mod weather;

use std::borrow::Cow;

use actix_web::http::StatusCode;

use crate::domain::area::Stop;
use crate::domain::machine::today::Parked;
use crate::domain::refusal::{AbsenceRefusal, GearRefusal, IncidentRefusal, MarkRefusal, Refusal};
use crate::domain::session::Limit;
use crate::domain::words::Lang;
use crate::language::{self, Value};

pub use weather::finding as weather_finding;

use super::paper_words;

/// Why the answer is no, in the reader's language.
#[must_use]
pub fn words(lang: Lang, refusal: &Refusal) -> String {
    language::say(lang, message(refusal), &values(lang, refusal))
}

/// What to do after any refusal that has no page of its own.
#[must_use]
pub fn next(lang: Lang) -> String {
    language::say(lang, "refusal-next", &[])
}

/// 409 when the world moved under the reader's page, else 422.
#[must_use]
pub fn status(refusal: &Refusal) -> StatusCode {
    match refusal {
        Refusal::AlreadyRegistered
        | Refusal::ConsentChanged
        | Refusal::NoSeatThere
        | Refusal::OnlyAdult
        | Refusal::NobodyDecides
        | Refusal::OfficeDecides
        | Refusal::BothInSession { .. }
        | Refusal::StaysWithOther { .. }
        | Refusal::AddressNotShown
        | Refusal::NoSeatFree
        | Refusal::Gear(GearRefusal::NoHelmetLeft | GearRefusal::HelmetAlready | GearRefusal::BackAlready)
        | Refusal::Gear(GearRefusal::Short { .. })
        | Refusal::Incident(IncidentRefusal::Closed | IncidentRefusal::ToldAlready | IncidentRefusal::Kept { .. })
        | Refusal::MachineRetired { .. }
        | Refusal::MachineGoesElsewhere { .. }
        | Refusal::WorldMoved
        | Refusal::DayListChanged
        | Refusal::EmergencyPlanChanged
        | Refusal::DraftMoved
        | Refusal::AlreadyApproved
        | Refusal::SessionNotOpen
        | Refusal::SessionHasBegun
        | Refusal::SessionChanged
        | Refusal::AlreadyClosed
        | Refusal::NotClosed
        | Refusal::AlreadyRevoked => StatusCode::CONFLICT,
        Refusal::TooManyTries { .. } | Refusal::TooManyInvitations => StatusCode::TOO_MANY_REQUESTS,
        Refusal::LinkOver | Refusal::AnswerTooLate => StatusCode::GONE,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    }
}

/// The message of each refusal. A table, so longer than a function with steps should be.
fn message(refusal: &Refusal) -> &'static str {
    match refusal {
        Refusal::SignInFailed => "refusal-sign-in-failed",
        Refusal::TooManyTries { .. } => "refusal-too-many-tries",
        Refusal::CodeWrong => "refusal-code-wrong",
        Refusal::PasswordWrong => "refusal-password-wrong",
        Refusal::LinkOver => "refusal-link-over",
        Refusal::LastAdministrator => "refusal-last-administrator",
        Refusal::AskedByYourself => "refusal-asked-by-yourself",
        Refusal::HasAdministrator => "refusal-has-administrator",
        Refusal::OnlyInDemo => "refusal-only-in-demo",
        Refusal::TooYoung { .. } => "refusal-too-young",
        Refusal::TooOld { .. } => "refusal-too-old",
        Refusal::AlreadyRegistered => "refusal-already-registered",
        Refusal::SessionTakesNoRegistrations { .. } => "refusal-session-takes-no-registrations",
        Refusal::AnswerTooLate => "refusal-answer-too-late",
        Refusal::TwoSessionsAtOnce { .. } => "refusal-two-sessions-at-once",
        Refusal::NoSeatThere => "refusal-no-seat-there",
        Refusal::OnlyAdult => "refusal-only-adult",
        Refusal::TookPart => "refusal-took-part",
        Refusal::NobodyDecides => "refusal-nobody-decides",
        Refusal::OfficeDecides => "refusal-office-decides",
        Refusal::BothInSession { .. } => "refusal-both-in-session",
        Refusal::StaysWithOther { .. } => "refusal-stays-with-other",
        Refusal::AddressNotShown => "refusal-address-not-shown",
        Refusal::TooManyInvitations => "refusal-too-many-invitations",
        Refusal::NoSeatFree => "refusal-no-seat-free",
        Refusal::ConsentNotApproved => "refusal-consent-not-approved",
        Refusal::ConsentChanged => "refusal-consent-changed",
        Refusal::StepMissing { .. } => "refusal-step-missing",
        Refusal::KeyReused => "refusal-key-reused",
        Refusal::PaperTakenBack => "refusal-paper-taken-back",
        Refusal::LeadNotValid { .. } => "refusal-lead-not-valid",
        Refusal::StaffNotValid { .. } => "refusal-staff-not-valid",
        Refusal::SiteNotReady { .. } => "refusal-site-not-ready",
        Refusal::NotYetALead { .. } => "refusal-not-yet-a-lead",
        Refusal::Absence(AbsenceRefusal::Away { .. }) => "refusal-staff-away",
        Refusal::Absence(AbsenceRefusal::TooLong) => "refusal-too-long-away",
        Refusal::Absence(AbsenceRefusal::TooMany) => "refusal-too-many-away",
        Refusal::SecondAdultNeeded => "refusal-second-adult-needed",
        Refusal::FirstAiderNeeded { .. } => "refusal-first-aider-needed",
        Refusal::CodeTaken { .. } => "refusal-code-taken",
        Refusal::MachineRetired { .. } => "refusal-machine-retired",
        Refusal::MachineGoesElsewhere { .. } => "refusal-machine-goes-elsewhere",
        Refusal::MeterRunsBack { .. } => "refusal-meter-runs-back",
        Refusal::DayIsOver { .. } => "refusal-day-is-over",
        Refusal::NoSeats { limit } => no_seats(*limit),
        Refusal::MeetingsNotInOrder { .. } => "refusal-meetings-not-in-order",
        Refusal::NoSuchTime { .. } => "refusal-no-such-time",
        Refusal::DayToCome { .. } => "refusal-day-to-come",
        Refusal::AlreadyApproved => "refusal-already-approved",
        Refusal::DraftMoved => "refusal-draft-moved",
        Refusal::SiteTaken { .. } => "refusal-site-taken",
        Refusal::PersonPlannedTwice { .. } => "refusal-person-planned-twice",
        Refusal::PatternNameTaken { .. } => "refusal-pattern-name-taken",
        Refusal::SessionNotOpen => "refusal-session-not-open",
        Refusal::SessionHasBegun => "refusal-session-has-begun",
        Refusal::SessionChanged => "refusal-session-changed",
        Refusal::SeatsTaken { limit, .. } => seats_taken(*limit),
        Refusal::RidersTooYoung { .. } => "refusal-riders-too-young",
        Refusal::NothingMoves => "refusal-nothing-moves",
        Refusal::RidersAreRegistered => "refusal-riders-are-registered",
        Refusal::NoLead => "refusal-no-lead",
        Refusal::SessionTakesNoActs => "refusal-session-takes-no-acts",
        Refusal::MeetingToCome { .. } => "refusal-meeting-to-come",
        Refusal::LastMeetingToCome { .. } => "refusal-last-meeting-to-come",
        Refusal::ProofMissing => "refusal-proof-missing",
        Refusal::NoProofAsked => "refusal-no-proof-asked",
        Refusal::RiderNotHere => "refusal-rider-not-here",
        Refusal::NoSeat => "refusal-no-seat",
        Refusal::NoConsent => "refusal-no-consent",
        Refusal::WentHome { .. } => "refusal-went-home",
        Refusal::GearMissing { .. } => "refusal-gear-missing",
        Refusal::NoFit => "refusal-no-fit",
        Refusal::MachineParked { why: Parked::OutOfUse, .. } => "refusal-machine-out-of-use",
        Refusal::MachineParked { why: Parked::NotLookedOver, .. } => "refusal-machine-not-looked-over",
        Refusal::Mark(mark) => mark_message(mark),
        Refusal::RidingStops(stop) => stop_message(stop),
        Refusal::Weather(refusal) => weather::message(refusal),
        Refusal::Incident(refusal) => incident::message(refusal),
        Refusal::NothingToGoOn => "refusal-nothing-to-go-on",
        Refusal::LeadsAlready { .. } => "refusal-leads-already",
        Refusal::DayListNotSigned => "refusal-day-list-not-signed",
        Refusal::DayListOpen { .. } => "refusal-day-list-open",
        Refusal::DayListNotLooked { .. } => "refusal-day-list-not-looked",
        Refusal::DayListChanged => "refusal-day-list-changed",
        Refusal::EmergencyPlanMissing => "refusal-emergency-plan-missing",
        Refusal::EmergencyPlanChanged => "refusal-emergency-plan-changed",
        Refusal::GroupFull { .. } => "refusal-group-full",
        Refusal::NoteNeeded => "refusal-note-needed",
        Refusal::OnlyTheLead => "refusal-only-the-lead",
        Refusal::MandatoryStands => "refusal-mandatory-stands",
        Refusal::AdultNeeded => "refusal-adult-needed",
        Refusal::NotReleased { .. } => "refusal-not-released",
        Refusal::Gear(refusal) => gear::message(refusal),
        Refusal::WorldMoved => "refusal-world-moved",
        Refusal::UndoTooLate => "refusal-undo-too-late",
        Refusal::UndoNotYours => "refusal-undo-not-yours",
        Refusal::ChildrenNotHome { .. } => "refusal-children-not-home",
        Refusal::OutcomesMissing { .. } => "refusal-outcomes-missing",
        Refusal::NameCannotBeSet { .. } => "refusal-name-cannot-be-set",
        Refusal::AlreadyClosed => "refusal-already-closed",
        Refusal::NotClosed => "refusal-not-closed",
        Refusal::AlreadyRevoked => "refusal-already-revoked",
        Refusal::CountyUnknown => "refusal-county-unknown",
        Refusal::CountyAmbiguous { .. } => "refusal-county-ambiguous",
    }
}

fn no_seats(limit: Limit) -> &'static str {
    match limit {
        Limit::Site => "refusal-no-seats-site",
        Limit::Staff => "refusal-no-seats-staff",
        Limit::Machines => "refusal-no-seats-machines",
        Limit::Helmets => "refusal-no-seats-helmets",
        Limit::Choice => "refusal-no-seats-choice",
    }
}

fn stop_message(stop: &Stop) -> &'static str {
    match stop {
        Stop::TooManyRiders { .. } => "refusal-too-many-riders",
        Stop::AdultAlone { .. } => "refusal-adult-alone",
        Stop::NoFirstAider { .. } => "refusal-no-first-aider",
    }
}

fn seats_taken(limit: Limit) -> &'static str {
    match limit {
        Limit::Site => "refusal-seats-taken-site",
        Limit::Staff => "refusal-seats-taken-staff",
        Limit::Machines => "refusal-seats-taken-machines",
        Limit::Helmets => "refusal-seats-taken-helmets",
        Limit::Choice => "refusal-seats-taken-choice",
    }
}

fn mark_message(refusal: &MarkRefusal) -> &'static str {
    match refusal {
        MarkRefusal::UnknownCheck => "refusal-mark-unknown-check",
        MarkRefusal::WholeLessonNotTaken => "refusal-mark-whole-lesson",
        MarkRefusal::LessonFirst { .. } => "refusal-mark-lesson-first",
        MarkRefusal::BeforeWheels { .. } => "refusal-mark-before-wheels",
        MarkRefusal::OnlyLeadClears => "refusal-mark-only-lead-clears",
        MarkRefusal::ReasonNeeded => "refusal-mark-reason-needed",
        MarkRefusal::MustNameStop => "refusal-mark-must-name-stop",
    }
}

fn stop_values(stop: &Stop) -> Values {
    match *stop {
        Stop::TooManyRiders { riders, instructors, may_teach, youngest } => vec![
            ("riders", Value::from(riders)),
            ("instructors", Value::from(instructors)),
            ("most", Value::from(may_teach)),
            ("youngest", Value::from(youngest)),
        ],
        Stop::AdultAlone { riders, adults } => {
            vec![("riders", Value::from(riders)), ("adults", Value::from(adults))]
        }
        Stop::NoFirstAider { riders } => vec![("riders", Value::from(riders))],
    }
}

type Values = Vec<(&'static str, Value<'static>)>;

/// What the message of a refusal needs to know.
fn values(lang: Lang, refusal: &Refusal) -> Values {
    let day = |on| text("day", language::date_long(lang, on));
    match refusal {
        Refusal::TooManyTries { minutes } => vec![("minutes", Value::from(*minutes))],
        Refusal::TooYoung { least, on } => vec![("least", Value::from(*least)), day(*on)],
        Refusal::TooOld { most, on } => vec![("most", Value::from(*most)), day(*on)],
        Refusal::SessionTakesNoRegistrations { held_on } => vec![day(*held_on)],
        Refusal::LeadNotValid { name, papers, on } | Refusal::StaffNotValid { name, papers, on } => {
            let papers: Vec<String> = papers.iter().map(|paper| paper_words::blocking(lang, *paper)).collect();
            vec![text("name", name.clone()), text("papers", papers.join(", ")), day(*on)]
        }
        Refusal::SiteNotReady { site, papers, on } => {
            let papers: Vec<String> = papers.iter().map(|paper| paper_words::blocking_site(lang, *paper)).collect();
            vec![text("site", site.clone()), text("papers", papers.join(", ")), day(*on)]
        }
        Refusal::FirstAiderNeeded { on } => vec![day(*on)],
        Refusal::RidingStops(stop) => stop_values(stop),
        Refusal::Absence(AbsenceRefusal::Away { name, through }) => {
            vec![text("name", name.clone()), ("day", Value::from(language::date_short(lang, *through)))]
        }
        Refusal::NotYetALead { name } | Refusal::LeadsAlready { name } => vec![text("name", name.clone())],
        Refusal::CodeTaken { code } => vec![text("code", code.clone())],
        Refusal::MachineRetired { number } | Refusal::MachineParked { number, .. } => {
            vec![text("number", number.clone())]
        }
        Refusal::MachineGoesElsewhere { number, site, on } => {
            vec![text("number", number.clone()), text("site", site.clone()), day(*on)]
        }
        Refusal::MeterRunsBack { before_tenths } => {
            vec![text("hours", format!("{}.{}", before_tenths / 10, before_tenths % 10))]
        }
        Refusal::DayIsOver { on }
        | Refusal::NoSuchTime { on }
        | Refusal::DayToCome { on }
        | Refusal::MeetingsNotInOrder { on }
        | Refusal::MeetingToCome { on }
        | Refusal::LastMeetingToCome { on } => vec![day(*on)],
        Refusal::TwoSessionsAtOnce { site, on }
        | Refusal::SiteTaken { site, on }
        | Refusal::BothInSession { site, on }
        | Refusal::StaysWithOther { site, on } => vec![text("site", site.clone()), day(*on)],
        Refusal::PersonPlannedTwice { name, site, on } => {
            vec![text("name", name.clone()), text("site", site.clone()), day(*on)]
        }
        Refusal::PatternNameTaken { name } => vec![text("name", name.clone())],
        Refusal::SeatsTaken { taken, seats, .. } => {
            vec![("taken", Value::from(*taken)), ("seats", Value::from(*seats))]
        }
        Refusal::RidersTooYoung { names, least } => {
            vec![text("names", names.join(", ")), ("least", Value::from(*least))]
        }
        Refusal::NotReleased { name } => vec![text("name", name.clone())],
        Refusal::WentHome { given } => vec![text("given", given.clone())],
        Refusal::GearMissing { pieces } => vec![text("pieces", pieces.join(", "))],
        Refusal::DayListOpen { points } | Refusal::DayListNotLooked { points } => {
            vec![text("points", points.join(", "))]
        }
        Refusal::GroupFull { most } => vec![("most", Value::from(*most))],
        Refusal::Mark(MarkRefusal::LessonFirst { lesson }) => vec![text("lesson", lesson.to_string())],
        Refusal::Mark(MarkRefusal::BeforeWheels { check }) => vec![text("check", check.clone())],
        Refusal::ChildrenNotHome { names } | Refusal::OutcomesMissing { names } => {
            vec![text("names", names.join(", "))]
        }
        Refusal::NameCannotBeSet { name, characters } => {
            vec![text("name", name.clone()), text("characters", characters.clone())]
        }
        Refusal::CountyAmbiguous { labels } => vec![text("labels", labels.join(", "))],
        Refusal::Gear(refusal) => gear::values(lang, refusal),
        Refusal::Weather(refusal) => weather::values(lang, refusal),
        Refusal::Incident(refusal) => incident::values(refusal),
        _ => Vec::new(),
    }
}

fn text(name: &'static str, value: impl Into<Cow<'static, str>>) -> (&'static str, Value<'static>) {
    (name, Value::from(value.into()))
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::*;
    use crate::domain::certification::{BlockingPaper, CertificationKind, PaperFault};
    use crate::domain::site_paper::{BlockingSitePaper, SitePaperKind};
    use crate::domain::words::Word;

    #[test]
    fn house_1_a_refusal_with_values_names_them_in_both_languages() {
        let on = NaiveDate::from_ymd_opt(2026, 6, 13).unwrap();
        let names = vec!["Zoë".to_owned(), "Łukasz".to_owned()];
        let fault = PaperFault::Expired(on.pred_opt().unwrap());
        let papers = vec![BlockingPaper { kind: CertificationKind::FirstAid, fault }];
        let of_site = vec![BlockingSitePaper { kind: SitePaperKind::Insurance, fault }];
        for (refusal, parts) in [
            (Refusal::TooYoung { least: 6, on }, &["6", "2026"][..]),
            (Refusal::TooOld { most: 17, on }, &["17", "2026"]),
            (Refusal::SessionTakesNoRegistrations { held_on: on }, &["13"]),
            (Refusal::LeadNotValid { name: "Ana".into(), papers: papers.clone(), on }, &["Ana", "12", "13"]),
            (Refusal::StaffNotValid { name: "Ana".into(), papers, on }, &["Ana", "12", "13"]),
            (Refusal::SiteNotReady { site: "Alder Flat".into(), papers: of_site, on }, &["Alder Flat", "12", "13"]),
            (Refusal::NotYetALead { name: "Ana".into() }, &["Ana"]),
            (Refusal::DayIsOver { on }, &["13"]),
            (Refusal::MeetingsNotInOrder { on }, &["13"]),
            (Refusal::NoSuchTime { on }, &["13"]),
            (Refusal::MeetingToCome { on }, &["13"]),
            (Refusal::LastMeetingToCome { on }, &["13"]),
            (Refusal::CodeTaken { code: "M7".into() }, &["M7"]),
            (Refusal::MachineRetired { number: "7".into() }, &["7"]),
            (Refusal::MachineParked { number: "7".into(), why: Parked::OutOfUse }, &["7"]),
            (Refusal::MachineParked { number: "7".into(), why: Parked::NotLookedOver }, &["7"]),
            (Refusal::MeterRunsBack { before_tenths: 1205 }, &["120.5"]),
            (Refusal::SiteTaken { site: "Alder Flat".into(), on }, &["Alder Flat", "13"]),
            (Refusal::PersonPlannedTwice { name: "Ana".into(), site: "B".into(), on }, &["Ana", "B", "13"]),
            (Refusal::PatternNameTaken { name: "Young".into() }, &["Young"]),
            (Refusal::RidersTooYoung { names: names.clone(), least: 6 }, &["Zoë", "Łukasz", "6"]),
            (Refusal::WentHome { given: "Zoë".into() }, &["Zoë"]),
            (Refusal::GearMissing { pieces: vec!["gloves".into()] }, &["gloves"]),
            (Refusal::DayListOpen { points: vec!["Holes".into(), "Water".into()] }, &["Holes", "Water"]),
            (Refusal::DayListNotLooked { points: vec!["Holes".into()] }, &["Holes"]),
            (Refusal::GroupFull { most: 6 }, &["6"]),
            (Refusal::NotReleased { name: "Marcus Webb".into() }, &["Marcus Webb"]),
            (Refusal::ChildrenNotHome { names: names.clone() }, &["Zoë", "Łukasz"]),
            (Refusal::OutcomesMissing { names }, &["Zoë", "Łukasz"]),
            (Refusal::NameCannotBeSet { name: "N".into(), characters: "字".into() }, &["字"]),
            (Refusal::CountyAmbiguous { labels: vec!["A 30001".into()] }, &["A 30001"]),
            (Refusal::Mark(MarkRefusal::LessonFirst { lesson: 4 }), &["4"]),
            (Refusal::Mark(MarkRefusal::BeforeWheels { check: "2.1".into() }), &["2.1"]),
        ] {
            for lang in Lang::ALL {
                let told = words(*lang, &refusal);
                assert!(parts.iter().all(|part| told.contains(part)), "{told}");
            }
        }
    }

    #[test]
    fn house_1_every_limit_and_every_mark_has_words_in_both_languages() {
        let marks = [
            MarkRefusal::UnknownCheck,
            MarkRefusal::WholeLessonNotTaken,
            MarkRefusal::OnlyLeadClears,
            MarkRefusal::ReasonNeeded,
            MarkRefusal::MustNameStop,
        ];
        let limits = Limit::ALL.iter().map(|limit| Refusal::NoSeats { limit: *limit });
        let taken = Limit::ALL.iter().map(|limit| Refusal::SeatsTaken { taken: 8, seats: 7, limit: *limit });
        let changes =
            [Refusal::SessionNotOpen, Refusal::SessionHasBegun, Refusal::SessionChanged, Refusal::NothingMoves];
        for refusal in limits.chain(taken).chain(changes).chain(marks.into_iter().map(Refusal::Mark)) {
            assert_ne!(words(Lang::En, &refusal), words(Lang::Es, &refusal));
        }
    }
}
