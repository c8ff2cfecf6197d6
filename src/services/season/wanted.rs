//! Which sessions of a year are wanted, and in which order: what the address of the season's page says.

use std::cmp::Ordering;

use chrono::NaiveDate;

use super::SeasonRow;
use crate::domain::session::SessionState;
use crate::domain::words::word_list;
use crate::services::Failure;

word_list! {
    /// By what the sessions are put in order.
    Order {
        /// Day and time.
        Day = "day",
        /// The site's name.
        Site = "site",
        /// The county's name.
        County = "county",
        /// The lead's name.
        Lead = "lead",
        /// Seats taken.
        Taken = "taken",
        /// Families waiting.
        Waiting = "waiting",
        /// Where they stand.
        State = "state",
    }
}

/// What is wanted of a season. Empty parts mean any.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The year.
    pub year: i32,
    /// The county's code.
    pub county: Option<String>,
    /// The course's code.
    pub course: Option<String>,
    /// The lead's account reference.
    pub lead: Option<String>,
    /// Where the session stands.
    pub state: Option<SessionState>,
    /// In which order.
    pub order: Order,
    /// The greatest first.
    pub falling: bool,
}

impl Wanted {
    /// All of a year, by day.
    pub fn year(year: i32) -> Self {
        Self { year, county: None, course: None, lead: None, state: None, order: Order::Day, falling: false }
    }

    pub(super) fn days(&self) -> Result<(NaiveDate, NaiveDate), Failure> {
        let day = |month, day| NaiveDate::from_ymd_opt(self.year, month, day).ok_or(Failure::NotFound);
        Ok((day(1, 1)?, day(12, 31)?))
    }

    fn wants(&self, row: &SeasonRow) -> bool {
        let fits = |wanted: &Option<String>, found: &str| wanted.as_deref().is_none_or(|wanted| wanted == found);
        fits(&self.county, &row.view.site.county)
            && fits(&self.course, &row.view.course.code)
            && fits(&self.lead, &row.lead_reference)
            && self.state.is_none_or(|state| state == row.view.session.state)
    }

    /// The wanted rows in the wanted order; what is alike stays by day.
    pub(super) fn of(&self, mut rows: Vec<SeasonRow>) -> Vec<SeasonRow> {
        rows.retain(|row| self.wants(row));
        rows.sort_by_cached_key(|row| {
            (row.meetings.first().map(|meeting| meeting.starts_at), row.view.session.held_on)
        });
        match (self.order, self.falling) {
            (Order::Day, false) => {}
            (Order::Day, true) => rows.reverse(),
            (_, false) => rows.sort_by(|one, other| self.compared(one, other)),
            (_, true) => rows.sort_by(|one, other| self.compared(other, one)),
        }
        rows
    }

    fn compared(&self, one: &SeasonRow, other: &SeasonRow) -> Ordering {
        let session =
            |row: &SeasonRow| (row.view.session.seats_taken, row.view.session.waiting, row.view.session.state);
        match self.order {
            Order::Day => Ordering::Equal,
            Order::Site => one.view.site.name.cmp(&other.view.site.name),
            Order::County => one.view.county_name.cmp(&other.view.county_name),
            Order::Lead => one.lead.cmp(&other.lead),
            Order::Taken => session(one).0.cmp(&session(other).0),
            Order::Waiting => session(one).1.cmp(&session(other).1),
            Order::State => session(one).2.cmp(&session(other).2),
        }
    }
}
