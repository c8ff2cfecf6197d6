//! Reports over a period, perhaps of one course or grant, from the facts alone: figures, counties, helmets by grant.
//! No name of a rider is read here.

pub mod file;
pub mod map;
pub mod rows;

use chrono::NaiveDateTime;
use chrono_tz::Tz;

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::county::parse_states;
use crate::domain::report::{Period, Scope, TableOrder};
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::services::seed::STATES;
use crate::store::courses::list_courses;
use crate::store::grants::list_grants;
use crate::store::programs::{ProgramRow, find_program};
use crate::store::reports::{Span, counties_in, county_set_of, figures, grants_in};
use crate::store::{AnyConn, StoreError};

pub use crate::store::reports::{CountyPart, Figures, GrantPart};

/// A report.
#[derive(Clone, Debug)]
pub struct Report {
    /// What it looks at.
    pub scope: Scope,
    /// The program's state.
    pub state: String,
    /// The county set's year.
    pub county_set: i64,
    /// The state, two digits.
    pub state_fips: String,
    /// The figures.
    pub figures: Figures,
    /// Every county of the state, then any other, in the order asked for.
    pub counties: Vec<CountyPart>,
    /// The columns added up.
    pub totals: Totals,
    /// Every grant, or the one asked for.
    pub grants: Vec<GrantPart>,
    /// When it was made, as the clock at the program's home shows it.
    pub made_at: NaiveDateTime,
}

/// The columns of the county table added up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Sessions.
    pub sessions: i64,
    /// Participations by site.
    pub by_site: i64,
    /// Participations by home.
    pub by_home: i64,
    /// Completions.
    pub completions: i64,
    /// Helmets.
    pub helmets: i64,
}

impl Totals {
    fn of(counties: &[CountyPart]) -> Self {
        counties.iter().fold(Self::default(), |sum, part| Self {
            sessions: sum.sessions + part.sessions,
            by_site: sum.by_site + part.by_site,
            by_home: sum.by_home + part.by_home,
            completions: sum.completions + part.completions,
            helmets: sum.helmets + part.helmets,
        })
    }
}

/// The courses and grants that a report may be narrowed to: code and name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choices {
    /// Courses.
    pub courses: Vec<(String, String)>,
    /// Grants.
    pub grants: Vec<(String, String)>,
}

/// What a report may be narrowed to, and the period that is shown when nobody asks for another: this year at the
/// program's home.
///
/// # Errors
/// `NotAllowed`.
pub fn choices(app: &App, caller: &Caller) -> Result<(Choices, Period), Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    app.store.read(|conn| {
        let period = Period::year_of(app.clock.today(zone(&program(conn)?)));
        let courses = list_courses(conn)?.into_iter().map(|row| (row.code.clone(), row.title(Lang::En).to_owned()));
        let courses = courses.collect();
        let grants =
            list_grants(conn)?.into_iter().map(|row| (row.code.clone(), format!("{}, {}", row.name, row.code)));
        Ok((Choices { courses, grants: grants.collect() }, period))
    })
}

fn program(conn: &mut AnyConn) -> Result<ProgramRow, StoreError> {
    find_program(conn)?.ok_or(StoreError::Missing)
}

fn zone(program: &ProgramRow) -> Tz {
    program.time_zone.parse().unwrap_or(chrono_tz::UTC)
}

/// A year that was written by one county set is read by it, whatever the program reports by today.
fn span(conn: &mut AnyConn, program: &ProgramRow, scope: &Scope) -> Result<Span, StoreError> {
    let (from, to) = (scope.period.from, scope.period.to);
    Ok(Span {
        from,
        to,
        course: scope.course.clone().unwrap_or_default(),
        grant: scope.grant.clone().unwrap_or_default(),
        county_set: county_set_of(conn, (from, to), program.county_set)?,
        state_fips: program.state_fips.clone(),
    })
}

/// The report of a scope.
///
/// # Errors
/// `NotAllowed`.
pub fn show(app: &App, caller: &Caller, scope: &Scope, order: TableOrder) -> Result<Report, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    app.store.read(|conn| {
        let program = program(conn)?;
        let span = span(conn, &program, scope)?;
        let states = parse_states(STATES).expect("the shipped states are sound");
        let mut counties = counties_in(conn, &span)?;
        if let Some(figure) = figure_of(order) {
            counties.sort_by_key(|part| std::cmp::Reverse(figure(part)));
        }
        Ok(Report {
            scope: scope.clone(),
            state: states
                .into_iter()
                .find(|state| state.fips.as_str() == program.state_fips)
                .map(|state| state.name)
                .unwrap_or_default(),
            county_set: span.county_set,
            figures: figures(conn, &span)?,
            totals: Totals::of(&counties),
            counties,
            grants: grants_in(conn, &span)?,
            made_at: LocalTime::from_utc(app.clock.now(), zone(&program)).wall,
            state_fips: program.state_fips,
        })
    })
}

/// The figure that a table is ordered by; none for the order by name, in which the counties are read.
fn figure_of(order: TableOrder) -> Option<fn(&CountyPart) -> i64> {
    Some(match order {
        TableOrder::Name => return None,
        TableOrder::Sessions => |part| part.sessions,
        TableOrder::BySite => |part| part.by_site,
        TableOrder::ByHome => |part| part.by_home,
        TableOrder::Completions => |part| part.completions,
        TableOrder::Helmets => |part| part.helmets,
    })
}

impl CountyPart {
    /// Whether somebody took part there, or came from there who took part.
    pub fn is_reached(&self) -> bool {
        self.by_site > 0 || self.by_home > 0
    }

    /// How it was reached, in words.
    pub fn reached(&self) -> &'static str {
        match (self.by_site > 0, self.by_home > 0) {
            (true, true) => "by site and home",
            (true, false) => "by site",
            (false, true) => "by home",
            (false, false) => "not reached",
        }
    }
}
