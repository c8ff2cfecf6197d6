//! The report itself: what is written, part by part, and what must be there before it is signed.

use chrono::{NaiveDate, NaiveTime};
use serde::{Deserialize, Serialize};

use super::super::gear::GearPiece;
use super::super::health_note::Known;
use super::super::weather::Finding;
use super::super::words::{Word, word_list};
use super::{HelmetAfter, IncidentKind};

word_list! {
    /// A part of a report that somebody writes.
    ReportPart {
        /// Who it happened to, when it is no rider of the session.
        Person = "person",
        /// When, or that nobody knows.
        Time = "time",
        /// When the person began what they were doing.
        Began = "began",
        /// Lesson and exercise.
        Exercise = "exercise",
        /// What the ground was like.
        Surface = "surface",
        /// What the person was doing just before.
        Before = "before",
        /// What happened.
        Happened = "happened",
        /// What the injury was.
        Injury = "injury",
        /// What object or substance directly harmed the person.
        Object = "object",
        /// Whether a helmet was worn.
        HelmetWorn = "helmet_worn",
        /// What the helmet looks like now.
        HelmetAfter = "helmet_after",
        /// First aid: what was done, and by whom.
        FirstAid = "first_aid",
        /// The physician or other person who gave care.
        Physician = "physician",
        /// Where care was given.
        Facility = "facility",
        /// Whether in an emergency room.
        EmergencyRoom = "emergency_room",
        /// Whether the person stayed overnight.
        Overnight = "overnight",
        /// The day of death.
        Died = "died",
        /// Who saw it.
        Witnesses = "witnesses",
        /// When the parent was told.
        ToldAt = "told_at",
        /// Who told the parent.
        ToldBy = "told_by",
        /// What is done so that it does not happen again.
        FollowUp = "follow_up",
    }
}

/// A machine as it was.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MachineThen {
    /// The number painted on it.
    pub number: String,
    /// Make and model.
    pub make_model: String,
    /// Its limiter setting, in tenths of a mile an hour.
    pub limiter_tenths_mph: Option<i64>,
}

/// What the program knew by itself when the report was opened. Nobody types it and nobody changes it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Circumstances {
    /// The machine.
    pub machine: Option<MachineThen>,
    /// The gear that was seen on the rider that day; none when nobody looked.
    pub worn: Option<Vec<GearPiece>>,
    /// The weather that stood.
    pub weather: Vec<Finding>,
    /// The adults on the riding area.
    pub on_the_area: Vec<String>,
    /// The lots of the program's helmets that the rider had.
    pub helmets: Vec<String>,
}

/// A report. Everything in it may be about a child's health, so it is sealed where it is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Report {
    /// Who it happened to, when it is no rider of the session: the name, and what the person did there.
    pub person: String,
    /// The time of it, on the wall at the site.
    pub time: Option<NaiveTime>,
    /// Whether nobody knows the time.
    pub time_unknown: bool,
    /// When the person began what they were doing.
    pub began: Option<NaiveTime>,
    /// Lesson and exercise.
    pub exercise: String,
    /// What the ground was like.
    pub surface: String,
    /// What the person was doing just before.
    pub before: String,
    /// What happened.
    pub happened: String,
    /// What the injury was.
    pub injury: String,
    /// What object or substance directly harmed the person.
    pub object: String,
    /// Whether a helmet was worn.
    pub helmet_worn: Option<Known>,
    /// What the helmet looks like now.
    pub helmet_after: Option<HelmetAfter>,
    /// First aid: what was done, and by whom.
    pub first_aid: String,
    /// The physician or other person who gave care.
    pub physician: String,
    /// Where care was given.
    pub facility: String,
    /// Whether in an emergency room.
    pub emergency_room: Option<Known>,
    /// Whether the person stayed overnight.
    pub overnight: Option<Known>,
    /// The day of death.
    pub died_on: Option<NaiveDate>,
    /// Who saw it.
    pub witnesses: String,
    /// When the parent was told, on the wall at the site.
    pub told_at: Option<NaiveTime>,
    /// Who told the parent.
    pub told_by: String,
    /// What is done so that it does not happen again.
    pub follow_up: String,
    /// What the program knew by itself.
    pub circumstances: Circumstances,
}

impl Report {
    /// A part as text; empty while nobody has written it.
    #[must_use]
    pub fn part(&self, part: ReportPart) -> String {
        let word = |known: Option<Known>| known.map(|known| known.to_string()).unwrap_or_default();
        let time = |time: Option<NaiveTime>| time.map(|time| time.format("%H:%M").to_string()).unwrap_or_default();
        match part {
            ReportPart::Person => self.person.clone(),
            ReportPart::Time if self.time_unknown => Known::Unknown.to_string(),
            ReportPart::Time => time(self.time),
            ReportPart::Began => time(self.began),
            ReportPart::Exercise => self.exercise.clone(),
            ReportPart::Surface => self.surface.clone(),
            ReportPart::Before => self.before.clone(),
            ReportPart::Happened => self.happened.clone(),
            ReportPart::Injury => self.injury.clone(),
            ReportPart::Object => self.object.clone(),
            ReportPart::HelmetWorn => word(self.helmet_worn),
            ReportPart::HelmetAfter => self.helmet_after.map(|after| after.to_string()).unwrap_or_default(),
            ReportPart::FirstAid => self.first_aid.clone(),
            ReportPart::Physician => self.physician.clone(),
            ReportPart::Facility => self.facility.clone(),
            ReportPart::EmergencyRoom => word(self.emergency_room),
            ReportPart::Overnight => word(self.overnight),
            ReportPart::Died => self.died_on.map(|on| on.to_string()).unwrap_or_default(),
            ReportPart::Witnesses => self.witnesses.clone(),
            ReportPart::ToldAt => time(self.told_at),
            ReportPart::ToldBy => self.told_by.clone(),
            ReportPart::FollowUp => self.follow_up.clone(),
        }
    }

    /// The parts that must be written before anybody signs. Of somebody hurt: what, by what, first aid, helmet, emergency room
    /// and night; of a rider also when and by whom the parent was told. "Unknown" and "none" are answers.
    #[must_use]
    pub fn lacks(&self, kind: IncidentKind, is_rider: bool) -> Vec<ReportPart> {
        use ReportPart::{
            Before, EmergencyRoom, FirstAid, Happened, HelmetAfter, HelmetWorn, Injury, Object, Overnight, Person,
            Time, ToldAt, ToldBy, Witnesses,
        };
        let mut asked = vec![Time, Before, Happened, Witnesses];
        if kind == IncidentKind::Hurt {
            asked.extend([Injury, Object, HelmetWorn, FirstAid, EmergencyRoom, Overnight]);
            asked.extend(if is_rider { &[ToldAt, ToldBy][..] } else { &[Person] });
            asked.extend((self.helmet_worn == Some(Known::Yes)).then_some(HelmetAfter));
        }
        asked.sort_unstable();
        asked.into_iter().filter(|part| self.part(*part).trim().is_empty()).collect()
    }

    /// The parts that differ.
    #[must_use]
    pub fn changed(&self, after: &Self) -> Vec<ReportPart> {
        ReportPart::ALL.iter().copied().filter(|part| self.part(*part) != after.part(*part)).collect()
    }
}
