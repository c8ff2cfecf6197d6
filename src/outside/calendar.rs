//! Calendar files (iCalendar, RFC 5545) that families put into the calendar of their phone. One entry a meeting, in the
//! site's wall time with its zone rules beside it. Must not know sessions: it takes the words and times to show.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate, NaiveDateTime, NaiveTime, Offset, TimeDelta, TimeZone};
use chrono_tz::{OffsetComponents, Tz};
use icalendar::{Calendar, Component, Event, EventLike, EventStatus, Property};

use crate::domain::time::LocalTime;

/// The media type of a calendar file.
pub const MEDIA: &str = "text/calendar; charset=utf-8";

/// RFC 5545 3.1: no line over 75 octets, line break left out.
const LINE: usize = 75;

/// One meeting as a calendar shows it.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Never changes for this meeting and family, so that calendars replace and do not add.
    pub uid: String,
    /// Rises with every change and with a cancellation (RFC 5546).
    pub sequence: u32,
    /// When this state of the entry was written, UTC. Comes from the record, so that the same state gives the same bytes.
    pub stamp: NaiveDateTime,
    /// First moment, at the site.
    pub start: LocalTime,
    /// Last moment, UTC. Written as the wall time in the zone of `start`, unless clocks show that time twice and it would
    /// be read as the first.
    pub ends_at: NaiveDateTime,
    /// One line.
    pub summary: String,
    /// Several lines; may be empty.
    pub description: String,
    /// Where to come; may be empty.
    pub location: String,
    /// The page of the registration; may be empty.
    pub url: String,
    /// Whether the meeting is called off.
    pub cancelled: bool,
}

/// What a calendar file says of itself when it comes by mail: who sends it, and whether it takes entries away.
#[derive(Clone, Copy, Debug)]
pub struct Notice<'a> {
    /// The sender's mail address.
    pub organizer: &'a str,
    /// The sender's name.
    pub organizer_name: &'a str,
    /// Whether every entry is called off.
    pub cancels: bool,
}

impl Notice<'_> {
    /// RFC 5546 3.2.1 and 3.2.5: nobody is asked to answer, so entries are published, and later cancelled.
    fn method(&self) -> &'static str {
        if self.cancels { "CANCEL" } else { "PUBLISH" }
    }

    /// The media type with the method, as RFC 6047 2.4 asks of a calendar file in a mail.
    pub fn media(&self) -> String {
        format!("{MEDIA}; method={}", self.method())
    }

    /// The sender as RFC 5545 3.8.4.3 writes it. The name loses what would end or quote a parameter.
    fn written(&self) -> Property {
        let name: String = plain(self.organizer_name).chars().filter(|c| !matches!(c, '"' | ';' | ':' | ',')).collect();
        Property::new("ORGANIZER", format!("mailto:{}", plain(self.organizer))).add_parameter("CN", &name).done()
    }
}

/// The calendar file of `entries` as a letter about a change carries it.
pub fn notice(entries: &[Entry], notice: &Notice<'_>) -> String {
    written(entries, Some(notice))
}

/// The calendar file of `entries`: CRLF, folded, with the rules of every zone that occurs.
pub fn file(entries: &[Entry]) -> String {
    written(entries, None)
}

fn written(entries: &[Entry], notice: Option<&Notice<'_>>) -> String {
    let mut calendar = Calendar::empty();
    calendar.append_property(("VERSION", "2.0"));
    calendar.append_property(("PRODID", "-//Waymark//Calendar//EN"));
    calendar.append_property(("CALSCALE", "GREGORIAN"));
    if let Some(notice) = notice {
        calendar.append_property(("METHOD", notice.method()));
    }
    for entry in entries {
        let mut event = event(entry);
        if let Some(notice) = notice {
            event.append_property(notice.written());
        }
        calendar.push(event);
    }
    let text = calendar.to_string();
    let body = text.find("BEGIN:VEVENT").unwrap_or(text.len() - "END:VCALENDAR\r\n".len());
    folded(&format!("{}{}{}", &text[..body], zones(entries), &text[body..]))
}

fn event(entry: &Entry) -> Event {
    let mut event = Event::new();
    event
        .uid(&plain(&entry.uid))
        .sequence(entry.sequence)
        .timestamp(entry.stamp.and_utc())
        .summary(&plain(&entry.summary))
        .append_property(wall("DTSTART", entry.start))
        .append_property(end(entry))
        .status(if entry.cancelled { EventStatus::Cancelled } else { EventStatus::Confirmed });
    if !entry.description.is_empty() {
        event.description(&plain(&entry.description));
    }
    if !entry.location.is_empty() {
        event.location(&plain(&entry.location));
    }
    if !entry.url.is_empty() {
        event.url(&plain(&entry.url).replace('\n', ""));
    }
    event.done()
}

fn wall(name: &str, at: LocalTime) -> Property {
    Property::new(name, stamp(at.wall)).add_parameter("TZID", at.zone.name()).done()
}

/// The end on the wall where that means the same instant, else the instant itself.
fn end(entry: &Entry) -> Property {
    let shown = LocalTime::from_utc(entry.ends_at, entry.start.zone);
    match shown.to_utc() {
        Ok(at) if at == entry.ends_at => wall("DTEND", shown),
        _ => Property::new("DTEND", format!("{}Z", stamp(entry.ends_at))).done(),
    }
}

fn stamp(at: NaiveDateTime) -> String {
    at.format("%Y%m%dT%H%M%S").to_string()
}

/// Text without control characters; every kind of line break becomes `\n`, which the escaping turns into `\\n`.
fn plain(text: &str) -> String {
    let lines = text.replace("\r\n", "\n").replace('\r', "\n");
    lines.chars().filter(|c| *c == '\n' || !c.is_control()).collect()
}

/// Undoes the library's folding, which lets a last line run to 76 octets, and folds at 75.
fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 32);
    for line in text.replace("\r\n ", "").split_terminator("\r\n") {
        let mut width = 0;
        for letter in line.chars() {
            if width + letter.len_utf8() > LINE {
                out.push_str("\r\n ");
                width = 1;
            }
            out.push(letter);
            width += letter.len_utf8();
        }
        out.push_str("\r\n");
    }
    out
}

/// A VTIMEZONE for each zone, from the year before its first entry to the year after its last.
fn zones(entries: &[Entry]) -> String {
    let mut spans: BTreeMap<&str, (Tz, i32, i32)> = BTreeMap::new();
    for entry in entries {
        let (zone, first, last) = (entry.start.zone, entry.start.wall.year(), entry.ends_at.year());
        let span = spans.entry(zone.name()).or_insert((zone, first, last));
        *span = (zone, span.1.min(first), span.2.max(last));
    }
    spans.into_values().map(|(zone, first, last)| time_zone(zone, first - 1, last + 1)).collect()
}

fn time_zone(zone: Tz, first_year: i32, last_year: i32) -> String {
    let begin = midnight(first_year);
    let mut text = format!("BEGIN:VTIMEZONE\r\nTZID:{}\r\n", zone.name());
    let before = offset_at(zone, begin);
    text.push_str(&observance(zone, begin, begin + TimeDelta::seconds(before), before));
    for day in begin.date().iter_days().take_while(|day| day.year() <= last_year) {
        let (from, to) = (NaiveDateTime::from(day), NaiveDateTime::from(day + Days::new(1)));
        let (old, new) = (offset_at(zone, from), offset_at(zone, to));
        if old != new {
            let change = change_between(zone, from, to);
            text.push_str(&observance(zone, change, change + TimeDelta::seconds(old), old));
        }
    }
    text + "END:VTIMEZONE\r\n"
}

fn midnight(year: i32) -> NaiveDateTime {
    let day = NaiveDate::from_ymd_opt(year, 1, 1).expect("a year near that of a session");
    day.and_time(NaiveTime::MIN)
}

/// Seconds east of Greenwich at the instant `utc`.
fn offset_at(zone: Tz, utc: NaiveDateTime) -> i64 {
    zone.offset_from_utc_datetime(&utc).fix().local_minus_utc().into()
}

/// The first second, between two instants whose offsets differ, at which the later offset holds.
fn change_between(zone: Tz, mut old: NaiveDateTime, mut new: NaiveDateTime) -> NaiveDateTime {
    let before = offset_at(zone, old);
    while new - old > TimeDelta::seconds(1) {
        let middle = old + TimeDelta::seconds((new - old).num_seconds() / 2);
        if offset_at(zone, middle) == before { old = middle } else { new = middle }
    }
    new
}

/// One STANDARD or DAYLIGHT part: what holds from the instant `utc` on, which the wall showed as `onset`.
fn observance(zone: Tz, utc: NaiveDateTime, onset: NaiveDateTime, before: i64) -> String {
    let offset = zone.offset_from_utc_datetime(&utc);
    let kind = if offset.dst_offset().is_zero() { "STANDARD" } else { "DAYLIGHT" };
    format!(
        "BEGIN:{kind}\r\nDTSTART:{}\r\nTZOFFSETFROM:{}\r\nTZOFFSETTO:{}\r\nTZNAME:{offset}\r\nEND:{kind}\r\n",
        stamp(onset),
        signed(before),
        signed(offset_at(zone, utc)),
    )
}

fn signed(offset: i64) -> String {
    let sign = if offset < 0 { '-' } else { '+' };
    let minutes = offset.abs() / 60;
    format!("{sign}{:02}{:02}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests;
