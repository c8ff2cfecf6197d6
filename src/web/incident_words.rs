//! English words about what happened and what nearly did. Staff pages are in English.

use chrono::NaiveTime;

use super::refusal_words;
use crate::domain::gear::GearPiece;
use crate::domain::health_note::Known;
use crate::domain::incident::{HelmetAfter, IncidentKind, NearMissKind, Report, ReportPart};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::incidents::PhotoFault;

/// What nearly happened, as a button says it.
pub fn near_miss(what: NearMissKind) -> &'static str {
    match what {
        NearMissKind::Tipped => "A machine tipped or lifted two wheels",
        NearMissKind::CameOff => "A rider came off, unhurt",
        NearMissKind::NearlyMet => "Two riders nearly met",
        NearMissKind::RanOn => "A machine ran on",
        NearMissKind::LeftArea => "A rider left the area",
        NearMissKind::WalkedOn => "Somebody walked onto the area",
        NearMissKind::Other => "Something else",
    }
}

/// Of what kind a report is.
pub fn kind(kind: IncidentKind) -> &'static str {
    match kind {
        IncidentKind::Hurt => "Somebody was hurt",
        IncidentKind::Damage => "Something broke, nobody was hurt",
    }
}

/// The helmet after it.
pub fn helmet_after(after: HelmetAfter) -> &'static str {
    match after {
        HelmetAfter::NoMark => "No mark on it",
        HelmetAfter::Marked => "Scratched or marked",
        HelmetAfter::Broken => "Cracked, dented or torn",
        HelmetAfter::NotLooked => "Nobody has looked",
    }
}

/// Yes, no, or nobody knows.
pub fn known(known: Known) -> &'static str {
    match known {
        Known::Yes => "Yes",
        Known::No => "No",
        Known::Unknown => "Nobody knows",
    }
}

/// The name of a part, as its field and its line say it.
pub fn part(part: ReportPart) -> &'static str {
    match part {
        ReportPart::Person => "Who it happened to",
        ReportPart::Time => "Time",
        ReportPart::Began => "Began what they were doing at",
        ReportPart::Exercise => "Lesson and exercise",
        ReportPart::Surface => "Ground",
        ReportPart::Before => "Just before it",
        ReportPart::Happened => "What happened",
        ReportPart::Injury => "The injury",
        ReportPart::Object => "What directly harmed the person",
        ReportPart::HelmetWorn => "A helmet was worn",
        ReportPart::HelmetAfter => "The helmet now",
        ReportPart::FirstAid => "First aid, and who gave it",
        ReportPart::Physician => "Doctor or other person who gave care",
        ReportPart::Facility => "Where care was given",
        ReportPart::EmergencyRoom => "Emergency room",
        ReportPart::Overnight => "Stayed overnight",
        ReportPart::Died => "Day of death",
        ReportPart::Witnesses => "Who saw it",
        ReportPart::ToldAt => "Parent told at",
        ReportPart::ToldBy => "Parent told by",
        ReportPart::FollowUp => "So that it does not happen again",
    }
}

/// Why a file is no photo that can be kept.
pub fn photo(fault: PhotoFault) -> &'static str {
    match fault {
        PhotoFault::NotAPhoto => "Choose a JPEG, PNG or WebP picture. This file is none",
        PhotoFault::TooManyPixels => "This picture has too many pixels. Choose a smaller one",
        PhotoFault::Damaged => "This picture is damaged and cannot be read. Choose another one",
    }
}

/// The parts of a report that are written, each with its words.
pub fn parts(report: &Report) -> Vec<(&'static str, String)> {
    let written = |one: &ReportPart| Some((part(*one), said(report, *one)?));
    ReportPart::ALL.iter().filter_map(written).collect()
}

/// A part in words; none when nobody has written it.
fn said(report: &Report, part: ReportPart) -> Option<String> {
    let time = |time: Option<NaiveTime>| time.map(|time| language::time(Lang::En, time));
    let word = |answer: Option<Known>| answer.map(|answer| known(answer).to_owned());
    match part {
        ReportPart::Time if report.time_unknown => Some("Nobody knows".to_owned()),
        ReportPart::Time => time(report.time),
        ReportPart::Began => time(report.began),
        ReportPart::ToldAt => time(report.told_at),
        ReportPart::HelmetWorn => word(report.helmet_worn),
        ReportPart::EmergencyRoom => word(report.emergency_room),
        ReportPart::Overnight => word(report.overnight),
        ReportPart::HelmetAfter => report.helmet_after.map(|after| helmet_after(after).to_owned()),
        ReportPart::Died => report.died_on.map(|on| language::date_short(Lang::En, on)),
        other => Some(report.part(other)).filter(|words| !words.is_empty()),
    }
}

/// What the program knew by itself when the report was opened, line by line.
pub fn circumstances(report: &Report) -> Vec<(&'static str, String)> {
    let found = &report.circumstances;
    let mut lines = Vec::new();
    if let Some(machine) = &found.machine {
        let limiter = machine.limiter_tenths_mph.map(|tenths| format!(", limiter at {} mph", speed(tenths)));
        let limiter = limiter.unwrap_or_else(|| ", limiter not written down".to_owned());
        lines.push(("Machine", format!("{}, {}{limiter}", machine.number, machine.make_model)));
    }
    if let Some(worn) = &found.worn {
        let names: Vec<&str> = worn.iter().map(|piece: &GearPiece| piece.words()).collect();
        lines.push(("Gear seen that day", if names.is_empty() { "None".to_owned() } else { names.join(", ") }));
    }
    if !found.helmets.is_empty() {
        lines.push(("Helmet of the program", format!("Lot {}", found.helmets.join(", "))));
    }
    if !found.weather.is_empty() {
        let told: Vec<String> = found.weather.iter().map(|one| refusal_words::weather_finding(Lang::En, one)).collect();
        lines.push(("Weather read that day", told.join(", ")));
    }
    if !found.on_the_area.is_empty() {
        lines.push(("Adults on the riding area", found.on_the_area.join(", ")));
    }
    lines
}

fn speed(tenths: i64) -> String {
    if tenths % 10 == 0 { (tenths / 10).to_string() } else { format!("{}.{}", tenths / 10, tenths % 10) }
}
