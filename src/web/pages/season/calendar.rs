//! The months of a season as tables: seven columns, one cell a day, a link for each meeting of that day.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate, Weekday};

use crate::domain::session::SessionState;
use crate::domain::words::Lang;
use crate::language;
use crate::services::season::{Season, SeasonRow};

/// A month with at least one meeting.
pub struct Month {
    /// "June 2026".
    pub name: String,
    /// "4 sessions".
    pub count: String,
    /// A word for its address within the page.
    pub anchor: String,
    /// Its weeks, each with seven days.
    pub weeks: Vec<Vec<Day>>,
}

/// One cell.
pub struct Day {
    /// The day of the month; none outside the month.
    pub number: Option<u32>,
    /// "Sat", for readers of the list.
    pub weekday: String,
    /// Whether it is today.
    pub is_today: bool,
    /// The meetings of that day.
    pub meetings: Vec<Line>,
}

/// One meeting in a cell.
pub struct Line {
    /// The session's page.
    pub href: String,
    /// The site.
    pub site: String,
    /// County, and which meeting it is when there are several.
    pub place: String,
    /// "8:30 AM".
    pub starts: String,
    /// "3 of 12 seats", "called off".
    pub seats: String,
    /// Whether it is called off.
    pub called_off: bool,
    /// What it lacks, or empty.
    pub lacks: String,
}

/// The months of a year that have a meeting, in order.
pub fn months(season: &Season, year: i32) -> Vec<Month> {
    let mut days: BTreeMap<NaiveDate, Vec<(String, Line)>> = BTreeMap::new();
    for row in &season.rows {
        for place in 0..row.meetings.len() {
            if let Some(wall) = super::wall_of(&row.meetings[place]) {
                let starts = language::time(Lang::En, wall.time());
                let order = row.meetings[place].local_start.clone();
                days.entry(wall.date()).or_default().push((order, line(row, place, starts)));
            }
        }
    }
    let mut found = Vec::new();
    for month in 1..=12 {
        let Some(first) = NaiveDate::from_ymd_opt(year, month, 1) else { continue };
        let of_month = days.iter().filter(|(day, _)| (day.year(), day.month()) == (year, month));
        let count: usize = of_month.map(|(_, lines)| lines.len()).sum();
        if count > 0 {
            found.push(Month {
                name: format!("{} {year}", language::month_name(Lang::En, month)),
                count: format!("{count} {}", if count == 1 { "meeting" } else { "meetings" }),
                anchor: format!("month-{month}"),
                weeks: weeks(first, &mut days, season.today),
            });
        }
    }
    found
}

fn weeks(first: NaiveDate, days: &mut BTreeMap<NaiveDate, Vec<(String, Line)>>, today: NaiveDate) -> Vec<Vec<Day>> {
    let mut begin = first.week(Weekday::Sun).first_day();
    let mut weeks = Vec::new();
    while begin.month() == first.month() || begin < first {
        let cell = |offset| {
            let on = begin + Days::new(offset);
            let inside = on.month() == first.month();
            let mut lines = if inside { days.remove(&on).unwrap_or_default() } else { Vec::new() };
            lines.sort_by(|one, other| one.0.cmp(&other.0));
            Day {
                number: inside.then(|| on.day()),
                weekday: language::weekday_short(Lang::En, on),
                is_today: inside && on == today,
                meetings: lines.into_iter().map(|(_, line)| line).collect(),
            }
        };
        weeks.push((0..7).map(cell).collect());
        begin = begin + Days::new(7);
    }
    weeks
}

fn line(row: &SeasonRow, place: usize, starts: String) -> Line {
    let session = &row.view.session;
    let called_off = session.state == SessionState::Cancelled;
    let which = match row.meetings.len() {
        1 => String::new(),
        count => format!(", meeting {} of {count}", place + 1),
    };
    Line {
        href: format!("/season/{}", session.reference),
        site: row.view.site.name.clone(),
        place: format!("{}{which}", row.view.county_name),
        starts,
        seats: match session.state {
            SessionState::Cancelled => "called off".into(),
            SessionState::Closed => format!("{} of {} seats, closed", session.seats_taken, session.capacity),
            _ => format!("{} of {} seats", session.seats_taken, session.capacity),
        },
        called_off,
        lacks: super::lacks_in_line(row.lacking.as_ref()),
    }
}

/// The names of the columns, Sunday first as calendars here begin.
pub fn weekdays() -> Vec<(String, String)> {
    let sunday = NaiveDate::from_ymd_opt(2026, 6, 14).expect("a Sunday");
    (0..7)
        .map(|offset| sunday + Days::new(offset))
        .map(|on| (language::weekday_short(Lang::En, on), language::weekday_name(Lang::En, on)))
        .collect()
}
