//! The rows of meetings in the form that announces a session: the first must be filled in, the others may stay empty.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime};

use crate::domain::words::Lang;
use crate::language;
use crate::services::plan_session::WishedMeeting;
use crate::services::season::MeetingRow;
use crate::web::staff_form::Reading;

/// How many meetings the form takes.
pub const MOST: usize = 4;

/// How long a meeting may be, in minutes.
pub const LENGTH: std::ops::RangeInclusive<i64> = 15..=720;

/// One row as it was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// From 1.
    pub ordinal: usize,
    /// Month of the day.
    pub month: String,
    /// Day of the month.
    pub day: String,
    /// Year.
    pub year: String,
    /// When it starts.
    pub starts: String,
    /// Length in minutes.
    pub minutes: String,
}

impl Row {
    /// A row with its answers; the day stays open where none is known.
    pub fn new(ordinal: usize, on: Option<NaiveDate>, starts: NaiveTime, minutes: i64) -> Self {
        let part = |of: fn(&NaiveDate) -> String| on.as_ref().map(of).unwrap_or_default();
        Self {
            ordinal,
            month: part(|on| on.month().to_string()),
            day: part(|on| on.day().to_string()),
            year: part(|on| on.year().to_string()),
            starts: language::time(Lang::En, starts),
            minutes: minutes.to_string(),
        }
    }

    /// The row of this number among the fields of the form.
    pub fn of(ordinal: usize, typed: &BTreeMap<String, String>) -> Self {
        let typed = |stem: &str| typed.get(&field(stem, ordinal)).cloned().unwrap_or_default();
        Self {
            ordinal,
            month: typed("held_month"),
            day: typed("held_day"),
            year: typed("held_year"),
            starts: typed("starts"),
            minutes: typed("minutes"),
        }
    }

    /// What a field of this row is called.
    pub fn field(&self, stem: &str) -> String {
        field(stem, self.ordinal)
    }

    /// What the row is called.
    pub fn title(&self) -> &'static str {
        match self.ordinal {
            1 => "Day",
            2 => "Second meeting",
            3 => "Third meeting",
            _ => "Fourth meeting",
        }
    }

    /// Whether anything was typed in it.
    pub fn is_empty(&self) -> bool {
        [&self.month, &self.day, &self.year, &self.starts, &self.minutes].iter().all(|typed| typed.trim().is_empty())
    }

    /// The day, when what was typed is one.
    pub fn on(&self) -> Option<NaiveDate> {
        let (year, month, day) =
            (self.year.trim().parse().ok()?, self.month.trim().parse().ok()?, self.day.trim().parse().ok()?);
        NaiveDate::from_ymd_opt(year, month, day)
    }
}

/// `starts` in the first row, `starts2` in the second, `held2_day` for the parts of a day.
fn field(stem: &str, ordinal: usize) -> String {
    match (ordinal, stem.split_once('_')) {
        (1, _) => stem.to_owned(),
        (_, Some((stem, part))) => format!("{stem}{ordinal}_{part}"),
        (_, None) => format!("{stem}{ordinal}"),
    }
}

/// The rows of a session's meetings as a form shows them.
pub fn rows_of(meetings: &[MeetingRow]) -> Vec<Row> {
    let row = |(ordinal, meeting): (usize, &MeetingRow)| {
        let wall = super::wall_of(meeting).unwrap_or(NaiveDateTime::MIN);
        Row::new(ordinal, Some(wall.date()), wall.time(), meeting.minutes)
    };
    (1..).zip(meetings).map(row).collect()
}

/// Reads the rows. A later row that gives only a day starts when the first does and is as long.
pub fn read(reading: &mut Reading, rows: &[Row]) -> Vec<WishedMeeting> {
    let mut read: Vec<WishedMeeting> = Vec::new();
    for row in rows.iter().filter(|row| row.ordinal == 1 || !row.is_empty()) {
        let day = reading.day(&row.field("held"), [&row.month, &row.day, &row.year]);
        let first = read.first().copied();
        let starts = match first {
            Some(first) if row.starts.trim().is_empty() => first.wall.time(),
            _ => reading.time(&row.field("starts"), "when it starts", &row.starts),
        };
        let minutes = match first {
            Some(first) if row.minutes.trim().is_empty() => first.minutes,
            _ => reading.whole(&row.field("minutes"), "the length in minutes", &row.minutes, LENGTH),
        };
        let starts = if day == NaiveDate::MIN { NaiveTime::MIN } else { starts };
        read.push(WishedMeeting { wall: day.and_time(starts), minutes });
    }
    read
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
    }

    #[test]
    fn saturday_1_a_later_row_with_only_a_day_starts_and_lasts_as_the_first() {
        let form = typed(&[
            ("held_month", "6"),
            ("held_day", "13"),
            ("held_year", "2026"),
            ("starts", "8:30 AM"),
            ("minutes", "180"),
            ("held2_month", "6"),
            ("held2_day", "20"),
            ("held2_year", "2026"),
        ]);
        let rows: Vec<Row> = (1..=MOST).map(|ordinal| Row::of(ordinal, &form)).collect();
        let mut reading = Reading::default();
        let read = read(&mut reading, &rows);
        let told: Vec<(String, i64)> = read.iter().map(|one| (one.wall.to_string(), one.minutes)).collect();
        assert_eq!(told, [("2026-06-13 08:30:00".to_owned(), 180), ("2026-06-20 08:30:00".to_owned(), 180)]);
        assert!(reading.done(()).is_ok());
        assert!(rows[2].is_empty() && rows[3].is_empty());
    }
}
