//! Reports over a period, from the facts alone: figures, counties, helmets by grant, and the rows behind each figure.
//! No name of a rider is read here.

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::county::parse_states;
use crate::domain::registration::Outcome;
use crate::domain::report::{Figure, Period};
use crate::domain::time::LocalTime;
use crate::outside::table::{Form, Table};
use crate::store::programs::{ProgramRow, find_program};
use crate::store::reports::{
    RiderLine, SessionLine, Span, Wanted, counties_in, figures, grants_in, rider_lines, session_lines,
};
use crate::store::{AnyConn, StoreError};

/// Media type of the tables.
pub use crate::outside::table::MEDIA as TABLE_MEDIA;
pub use crate::store::reports::{CountyPart, Figures, GrantPart};

const STATES: &str = include_str!("../../seed/counties/states.csv");

/// A report.
#[derive(Clone, Debug)]
pub struct Report {
    /// The period.
    pub period: Period,
    /// The program's state.
    pub state: String,
    /// The county set's year.
    pub county_set: i64,
    /// The figures.
    pub figures: Figures,
    /// Every county of the state, then any other.
    pub counties: Vec<CountyPart>,
    /// The columns added up.
    pub totals: Totals,
    /// Every grant.
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

/// The period that is shown when nobody asks for another: this year at the program's home.
///
/// # Errors
/// `NotAllowed`.
pub fn this_year(app: &App, caller: &Caller) -> Result<Period, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    let program = app.store.read(program)?;
    Ok(Period::year_of(app.clock.today(zone(&program))))
}

fn program(conn: &mut AnyConn) -> Result<ProgramRow, StoreError> {
    find_program(conn)?.ok_or(StoreError::Missing)
}

fn zone(program: &ProgramRow) -> Tz {
    program.time_zone.parse().unwrap_or(chrono_tz::UTC)
}

fn span(program: &ProgramRow, period: Period) -> Span {
    Span { from: period.from, to: period.to, county_set: program.county_set, state_fips: program.state_fips.clone() }
}

/// The report of a period.
///
/// # Errors
/// `NotAllowed`.
pub fn show(app: &App, caller: &Caller, period: Period) -> Result<Report, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    app.store.read(|conn| {
        let program = program(conn)?;
        let span = span(&program, period);
        let states = parse_states(STATES).expect("the shipped states are sound");
        let counties = counties_in(conn, &span)?;
        Ok(Report {
            period,
            state: states
                .into_iter()
                .find(|state| state.fips.as_str() == program.state_fips)
                .map(|state| state.name)
                .unwrap_or_default(),
            county_set: program.county_set,
            figures: figures(conn, &span)?,
            totals: Totals::of(&counties),
            counties,
            grants: grants_in(conn, &span)?,
            made_at: LocalTime::from_utc(app.clock.now(), zone(&program)).wall,
        })
    })
}

/// One row behind a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Row {
    /// A session.
    Session(SessionLine),
    /// A registration.
    Rider(RiderLine),
    /// One rider with every participation of the period.
    SameRider(Vec<RiderLine>),
    /// A county.
    County(CountyPart),
}

/// Which rows are wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// Behind which figure.
    pub figure: Figure,
    /// In which period.
    pub period: Period,
    /// Only of this county, five characters.
    pub county: Option<String>,
    /// Only of this grant, by its code.
    pub grant: Option<String>,
}

/// The rows behind a figure: as many as the figure says.
///
/// # Errors
/// `NotAllowed`.
pub fn rows(app: &App, caller: &Caller, question: &Question) -> Result<Vec<Row>, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    app.store.read(|conn| {
        let program = program(conn)?;
        let span = span(&program, question.period);
        Ok(match question.figure {
            Figure::Sessions => {
                let lines = session_lines(conn, &span, question.county.as_deref())?;
                lines.into_iter().map(Row::Session).collect()
            }
            Figure::CountiesBySite | Figure::CountiesByHome => reached(conn, &span, question.figure)?,
            Figure::Riders => same_riders(rider_lines(conn, &span, &wanted(question))?),
            _ => rider_lines(conn, &span, &wanted(question))?.into_iter().map(Row::Rider).collect(),
        })
    })
}

fn wanted(question: &Question) -> Wanted {
    let (county, grant) = (question.county.clone(), question.grant.clone());
    let all = Wanted { grant, ..Wanted::default() };
    match question.figure {
        Figure::BySite => Wanted { took_part: true, site_county: county, ..all },
        Figure::Completions => Wanted { completed: true, home_county: county, ..all },
        Figure::Helmets => Wanted { helmet: true, home_county: county, ..all },
        Figure::TurnedAway => Wanted { outcome: Some(Outcome::TurnedAway), ..all },
        Figure::Absent => Wanted { outcome: Some(Outcome::Absent), ..all },
        _ => Wanted { took_part: true, home_county: county, ..all },
    }
}

fn reached(conn: &mut AnyConn, span: &Span, figure: Figure) -> Result<Vec<Row>, StoreError> {
    let counts = |part: &CountyPart| if figure == Figure::CountiesBySite { part.by_site } else { part.by_home };
    let in_state = |part: &CountyPart| part.state_fips == span.state_fips && counts(part) > 0;
    Ok(counties_in(conn, span)?.into_iter().filter(in_state).map(Row::County).collect())
}

/// One row a rider, in the order in which the riders first took part.
fn same_riders(lines: Vec<RiderLine>) -> Vec<Row> {
    let mut riders: Vec<Vec<RiderLine>> = Vec::new();
    let mut places = std::collections::HashMap::new();
    for line in lines {
        let place = *places.entry(line.rider_key.clone()).or_insert(riders.len());
        match riders.get_mut(place) {
            Some(rider) => rider.push(line),
            None => riders.push(vec![line]),
        }
    }
    riders.into_iter().map(Row::SameRider).collect()
}

/// The county table as a file. Codes are text; the period stands in every row, because a table may lose its name.
///
/// # Errors
/// `NotAllowed`.
pub fn counties_table(app: &App, caller: &Caller, period: Period) -> Result<Vec<u8>, Failure> {
    let report = show(app, caller, period)?;
    let mut table = Table::new(
        Form::default(),
        &[
            "county_set",
            "county_fips",
            "county_name",
            "from",
            "to",
            "sessions",
            "participations_by_site",
            "participations_by_home",
            "completions_by_home",
            "helmets_by_home",
        ],
    );
    let day = |day: NaiveDate| day.format("%Y-%m-%d").to_string();
    for part in &report.counties {
        let counts = [part.sessions, part.by_site, part.by_home, part.completions, part.helmets];
        let mut cells =
            vec![report.county_set.to_string(), part.fips.clone(), part.name.clone(), day(period.from), day(period.to)];
        cells.extend(counts.map(|count| count.to_string()));
        table.add(&cells);
    }
    Ok(table.into_bytes())
}
