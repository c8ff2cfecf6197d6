//! The rows behind a figure, a page at a time: as many in all as the figure says.

use std::collections::HashMap;

use super::{CountyPart, program, span};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::registration::Outcome;
use crate::domain::report::{Figure, RowOrder, Scope};
use crate::services::{App, Failure, ask};
use crate::store::reports::rows::{RiderLine, SessionLine, Stretch, Wanted, rider_lines, session_lines};
use crate::store::reports::{Figures, Span, counties_in, figures, rider_keys};
use crate::store::{AnyConn, StoreError};

/// How many rows one page shows.
pub const PER_PAGE: i64 = 100;

/// One row behind a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Row {
    /// A session.
    Session(SessionLine),
    /// A registration.
    Rider(RiderLine),
    /// One rider with every participation of the span, and the rider's number in the whole list.
    SameRider(i64, Vec<RiderLine>),
    /// A county.
    County(CountyPart),
}

/// Which rows are wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// Behind which figure.
    pub figure: Figure,
    /// Of what.
    pub scope: Scope,
    /// Only of this county, five characters.
    pub county: Option<String>,
    /// In which order.
    pub order: RowOrder,
}

/// One page of rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rows {
    /// The rows.
    pub rows: Vec<Row>,
    /// The figure: how many rows there are in all.
    pub total: i64,
    /// Which page this is, from 1. A page after the last is the last.
    pub page: i64,
    /// How many pages there are; one when there is nothing.
    pub pages: i64,
}

/// One page of the rows behind a figure.
///
/// # Errors
/// `NotAllowed`.
pub fn rows(app: &App, caller: &Caller, question: &Question, page: i64) -> Result<Rows, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    app.store.read(|conn| {
        let program = program(conn)?;
        let span = span(conn, &program, &question.scope)?;
        let total = total(conn, &span, question)?;
        let pages = (total + PER_PAGE - 1).div_euclid(PER_PAGE).max(1);
        let page = page.clamp(1, pages);
        let stretch = Stretch { after: (page - 1) * PER_PAGE, most: PER_PAGE };
        Ok(Rows { rows: stretch_of(conn, &span, question, stretch)?, total, page, pages })
    })
}

/// Every row behind a figure.
pub(super) fn all(app: &App, caller: &Caller, question: &Question) -> Result<Vec<Row>, Failure> {
    ask(caller, Action::SeeReports, Subject::Program)?;
    app.store.read(|conn| {
        let program = program(conn)?;
        let span = span(conn, &program, &question.scope)?;
        Ok(stretch_of(conn, &span, question, Stretch { after: 0, most: i64::MAX })?)
    })
}

/// The figure itself, of the whole span or of one county.
fn total(conn: &mut AnyConn, span: &Span, question: &Question) -> Result<i64, StoreError> {
    let Some(county) = &question.county else {
        return Ok(figure_of(&figures(conn, span)?, question.figure));
    };
    let part = counties_in(conn, span)?.into_iter().find(|part| part.fips == *county);
    Ok(part.map_or(0, |part| match question.figure {
        Figure::Sessions => part.sessions,
        Figure::BySite => part.by_site,
        Figure::Completions => part.completions,
        Figure::Helmets => part.helmets,
        _ => part.by_home,
    }))
}

fn figure_of(figures: &Figures, figure: Figure) -> i64 {
    match figure {
        Figure::Sessions => figures.sessions,
        Figure::Participations | Figure::BySite | Figure::ByHome => figures.participations,
        Figure::Riders => figures.riders,
        Figure::Completions => figures.completions,
        Figure::Helmets => figures.helmets,
        Figure::TurnedAway => figures.turned_away,
        Figure::Absent => figures.absent,
        Figure::CountiesBySite => figures.counties_by_site,
        Figure::CountiesByHome => figures.counties_by_home,
    }
}

fn stretch_of(conn: &mut AnyConn, span: &Span, question: &Question, stretch: Stretch) -> Result<Vec<Row>, StoreError> {
    let (county, order) = (question.county.as_deref(), question.order);
    Ok(match question.figure {
        Figure::Sessions => session_lines(conn, span, county, order, stretch)?.into_iter().map(Row::Session).collect(),
        Figure::CountiesBySite | Figure::CountiesByHome => reached(conn, span, question.figure, stretch)?,
        Figure::Riders => same_riders(conn, span, stretch)?,
        _ => rider_lines(conn, span, &wanted(question), order, stretch)?.into_iter().map(Row::Rider).collect(),
    })
}

fn wanted(question: &Question) -> Wanted {
    let (county, all) = (question.county.clone(), Wanted::default());
    match question.figure {
        Figure::BySite => Wanted { took_part: true, site_county: county, ..all },
        Figure::Completions => Wanted { completed: true, home_county: county, ..all },
        Figure::Helmets => Wanted { helmet: true, home_county: county, ..all },
        Figure::TurnedAway => Wanted { outcome: Some(Outcome::TurnedAway), ..all },
        Figure::Absent => Wanted { outcome: Some(Outcome::Absent), ..all },
        _ => Wanted { took_part: true, home_county: county, ..all },
    }
}

/// Counties of the state that were reached. A state has at most a few hundred, so they are cut here.
fn reached(conn: &mut AnyConn, span: &Span, figure: Figure, stretch: Stretch) -> Result<Vec<Row>, StoreError> {
    let counts = |part: &CountyPart| if figure == Figure::CountiesBySite { part.by_site } else { part.by_home };
    let in_state = |part: &CountyPart| part.state_fips == span.state_fips && counts(part) > 0;
    let counties = counties_in(conn, span)?.into_iter().filter(in_state).map(Row::County);
    let after = usize::try_from(stretch.after).unwrap_or(usize::MAX);
    Ok(counties.skip(after).take(usize::try_from(stretch.most).unwrap_or(usize::MAX)).collect())
}

/// One row a rider, in the order in which the riders first took part.
fn same_riders(conn: &mut AnyConn, span: &Span, stretch: Stretch) -> Result<Vec<Row>, StoreError> {
    let keys = rider_keys(conn, span, stretch)?;
    let mut by_key: HashMap<String, Vec<RiderLine>> = HashMap::new();
    for part in keys.chunks(500) {
        let wanted = Wanted { took_part: true, riders: Some(part.to_vec()), ..Wanted::default() };
        let whole = Stretch { after: 0, most: i64::MAX };
        for line in rider_lines(conn, span, &wanted, RowOrder::Day, whole)? {
            by_key.entry(line.rider_key.clone()).or_default().push(line);
        }
    }
    let numbered = (stretch.after + 1..).zip(keys);
    Ok(numbered.map(|(number, key)| Row::SameRider(number, by_key.remove(&key).unwrap_or_default())).collect())
}
