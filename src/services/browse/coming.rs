//! The sessions to come that fit what a reader looks for, and what there is to choose from. A reader may look from a
//! county of the program's state; nobody's own position ever comes here.

use chrono::{Datelike, Days, NaiveDate};

use super::{Announced, announced};
use crate::domain::distance::{Distance, Miles, Position};
use crate::domain::session::SessionState;
use crate::domain::words::{Lang, word_list};
use crate::services::counties::{counties_of, position_of};
use crate::services::{App, Failure};
use crate::store::StoreError;
use crate::store::programs::{ProgramRow, find_program};
use crate::store::sessions::{SessionView, list_sessions};

/// How far ahead the list looks.
const AHEAD: Days = Days::new(400);

/// The miles within which a reader may look. Common practice, no source.
pub const REACHES: [i64; 4] = [25, 50, 100, 200];

word_list! {
    /// What comes first.
    Order {
        /// The earliest day.
        Day = "day",
        /// The nearest to the county that the reader looks from; the earliest when nobody chose one.
        Distance = "distance",
    }
}

/// What a reader looks for. Empty parts mean any.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// The code of the county in which it is held.
    pub county: Option<String>,
    /// The code of the county from which the reader looks.
    pub near: Option<String>,
    /// How far from there it may be.
    pub within: Option<Miles>,
    /// The rider's age.
    pub age: Option<i64>,
    /// The language of teaching.
    pub language: Option<Lang>,
    /// The first day of the month in which it begins.
    pub month: Option<NaiveDate>,
    /// Whether only sessions with a seat that nobody waits for are wanted.
    pub with_seats: bool,
    /// What comes first; by day when none is said.
    pub order: Option<Order>,
}

/// A county of the program's state, as a place to look from.
#[derive(Clone, Debug, PartialEq)]
pub struct NearCounty {
    /// Five digits.
    pub code: String,
    /// Its name within the state.
    pub name: String,
    /// The position that stands for it.
    pub at: Position,
}

/// From where a reader looks.
#[derive(Clone, Debug, PartialEq)]
pub enum Near {
    /// Nobody chose a county.
    Anywhere,
    /// A county of the state.
    From(NearCounty),
    /// The state has no such county, so that nothing was looked for.
    Unknown,
}

/// Sessions that are still to come.
#[derive(Clone, Debug)]
pub struct Coming {
    /// Those that were looked for, in the order asked for.
    pub sessions: Vec<Announced>,
    /// The counties that have any, by name: code and name.
    pub counties: Vec<(String, String)>,
    /// The first days of the months that have any.
    pub months: Vec<NaiveDate>,
    /// From where the reader looks.
    pub near: Near,
    /// Every county of the program's state, by name.
    pub homes: Vec<NearCounty>,
    /// The program; none before it is seeded.
    pub(super) program: Option<ProgramRow>,
}

/// The sessions to come that fit what is wanted. Called-off ones are shown as such.
pub fn coming(app: &App, wanted: &Wanted) -> Result<Coming, Failure> {
    let (program, homes, all) = app.store.read(|conn| -> Result<_, Failure> {
        let Some(program) = find_program(conn)? else { return Ok((None, Vec::new(), Vec::new())) };
        let zone = program.time_zone.parse().map_err(|_| StoreError::Unreadable("programs.time_zone"))?;
        let today = app.clock.today(zone);
        // A session between its first and last meeting takes nobody any more.
        let shown = |view: &SessionView| {
            view.session.held_on >= today
                && matches!(view.session.state, SessionState::Announced | SessionState::Cancelled)
        };
        let views = list_sessions(conn, today, today + AHEAD)?.into_iter().filter(shown).collect();
        let (_, counties) = counties_of(conn, &program)?;
        let home = |county: &crate::domain::county::County| {
            let code = county.fips.to_string();
            Some(NearCounty { at: position_of(&code)?, name: county.name_in_state(), code })
        };
        let homes = counties.iter().filter_map(home).collect();
        Ok((Some(program), homes, announced(app, conn, views)?))
    })?;
    let mut counties: Vec<_> = all.iter().map(|one| (one.county.clone(), one.fips.clone())).collect();
    counties.sort();
    counties.dedup();
    let counties = counties.into_iter().map(|(name, code)| (code, name)).collect();
    let mut months: Vec<_> = all.iter().map(|one| month_of(one.held_on)).collect();
    months.dedup();
    let near = near(&homes, wanted);
    let sessions = fitting(all, wanted, &near);
    Ok(Coming { sessions, counties, months, near, homes, program })
}

fn near(homes: &[NearCounty], wanted: &Wanted) -> Near {
    let Some(code) = &wanted.near else { return Near::Anywhere };
    homes.iter().find(|home| home.code == *code).map_or(Near::Unknown, |home| Near::From(home.clone()))
}

/// Those that fit, each with its distance from where the reader looks.
fn fitting(all: Vec<Announced>, wanted: &Wanted, near: &Near) -> Vec<Announced> {
    let from = match near {
        Near::Anywhere => None,
        Near::From(home) => Some(home.at),
        Near::Unknown => return Vec::new(),
    };
    let away = |one: &Announced| Some(Distance::between(from?, one.at?));
    let all = all.into_iter().map(|one| Announced { distance: away(&one), ..one });
    let mut sessions: Vec<Announced> = all.filter(|one| fits(one, wanted)).collect();
    if wanted.order == Some(Order::Distance) && from.is_some() {
        // A site without any position comes last.
        sessions.sort_by_key(|one| (one.distance.is_none(), one.distance));
    }
    sessions
}

/// The first day of a day's month.
fn month_of(day: NaiveDate) -> NaiveDate {
    day.with_day(1).unwrap_or(day)
}

fn fits(one: &Announced, wanted: &Wanted) -> bool {
    // What a reader is told counts: "about 50 miles" lies within 50.
    let reaches = |most: Miles| one.distance.is_some_and(|distance| distance.miles() <= most);
    wanted.county.as_ref().is_none_or(|code| *code == one.fips)
        && wanted.within.is_none_or(reaches)
        && wanted.age.is_none_or(|age| (one.least_age..=one.most_age).contains(&age))
        && wanted.language.is_none_or(|language| language == one.language)
        && wanted.month.is_none_or(|month| month == month_of(one.held_on))
        && (!wanted.with_seats || one.seats_free() > 0)
}
