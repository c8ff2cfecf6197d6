//! What happened in the demonstration: one rider came off, the report waits for its second signature; and two near misses.

use chrono::NaiveTime;

use super::families::Registered;
use super::{Announced, Builder, days};
use crate::domain::health_note::Known;
use crate::domain::incident::{HelmetAfter, IncidentKind, NearMissKind, Report};
use crate::services::Failure;
use crate::services::field_act::{IncidentWish, Wish};
use crate::services::incidents;

/// A near miss, as the lead enters it.
pub(super) fn near_miss(builder: &Builder, session: &Announced, what: NearMissKind, note: &str) -> Result<(), Failure> {
    let wish = Wish::NearMiss { what, note: Some(note.to_owned()).filter(|note| !note.is_empty()) };
    days::send(builder, session, vec![days::about_nobody(builder, wish)])
}

/// The last rider came off; the lead wrote the report and signed, and the office told the insurer.
pub(super) fn fall(builder: &Builder, session: &Announced, riders: &[Registered]) -> Result<(), Failure> {
    let Some((place, rider)) = riders.iter().enumerate().next_back() else { return Ok(()) };
    let time = NaiveTime::from_hms_opt(11, 10, 0);
    let happened = "In the big circle to the left the inner wheels lifted and the child came off to the right.";
    let wish = Wish::Incident(IncidentWish {
        kind: IncidentKind::Hurt,
        ambulance: false,
        time,
        happened: happened.to_owned(),
        person: String::new(),
        machine: Some(days::machine(rider.age, place, session.ages)),
        helmet_hit: false,
    });
    days::send(builder, session, vec![days::about(builder, rider, wish)])?;
    let found = incidents::of_session(&builder.app, &session.lead, &session.reference)?;
    let row = found.reports.first().ok_or(Failure::NotFound)?;
    let report = Report {
        time,
        exercise: "Lesson 7, big circle to the left".into(),
        surface: "Short dry grass, level".into(),
        before: "Riding the big circle, second round.".into(),
        happened: happened.into(),
        injury: "Scraped left forearm, no more seen.".into(),
        object: "The ground".into(),
        helmet_worn: Some(Known::Yes),
        helmet_after: Some(HelmetAfter::Marked),
        first_aid: "Washed and covered by the first-aider, ice for ten minutes.".into(),
        emergency_room: Some(Known::No),
        overnight: Some(Known::No),
        witnesses: "The other instructor".into(),
        told_at: NaiveTime::from_hms_opt(11, 20, 0),
        told_by: "The lead".into(),
        follow_up: "The circle is set out two meters wider from the next session on.".into(),
        ..Report::default()
    };
    let (app, lead, reference) = (&builder.app, &session.lead, row.reference.as_str());
    let seen = incidents::find(app, lead, reference)?.seen;
    incidents::change(app, lead, reference, &seen, (report, false))?;
    let seen = incidents::find(app, lead, reference)?.seen;
    incidents::sign(app, lead, reference, &seen)?;
    incidents::tell_insurer(app, &builder.members.coordinator(), reference)
}
