//! A series: sessions planned from a pattern on many days at once. Every day is looked at as planning looks at it, before
//! anything is written; one press plans all of them or none, and never twice.

use chrono::{NaiveDate, NaiveDateTime};

use super::once::{Press, once};
use super::patterns::{Pattern, by_reference};
use super::plan_session::{Around, Plan, add_planned, plan};
use super::program::{self, Program};
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::refusal::Refusal;
use crate::domain::session::Seats;
use crate::store::AnyConn;
use crate::store::patterns::add_pattern_session;

/// What one day would become.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayOfSeries {
    /// The day of the first meeting.
    pub on: NaiveDate,
    /// The seats and what binds them, or why no session can be planned.
    pub outcome: Result<Seats, Refusal>,
}

/// A series before it is planned.
#[derive(Clone, Debug)]
pub struct Series {
    /// The pattern.
    pub pattern: Pattern,
    /// The days in order.
    pub days: Vec<DayOfSeries>,
    /// A one-time key for the button.
    pub key: String,
}

impl Series {
    /// The days on which a session can be planned.
    pub fn plannable(&self) -> Vec<NaiveDate> {
        self.days.iter().filter(|day| day.outcome.is_ok()).map(|day| day.on).collect()
    }
}

/// A series as it would be planned now. Sessions of earlier days of the series take their helmets, site and people.
pub fn look(app: &App, caller: &Caller, reference: &str, days: &[NaiveDate]) -> Result<Series, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let pattern = by_reference(conn, reference)?;
        let program = program::load(conn)?;
        let mut around = Around::default();
        let mut looked = Vec::with_capacity(days.len());
        for on in days {
            let planned = one(conn, &program, &pattern, *on, now, &around);
            let outcome = around.take(planned)?;
            looked.push(DayOfSeries { on: *on, outcome });
        }
        Ok(Series { pattern, days: looked, key: app.random.reference() })
    })
}

fn one(
    conn: &mut AnyConn,
    program: &Program,
    pattern: &Pattern,
    on: NaiveDate,
    now: NaiveDateTime,
    around: &Around,
) -> Result<Plan, Failure> {
    let wish = pattern.wish_on(on).ok_or(Refusal::DayIsOver { on })?;
    if wish.lead.is_empty() {
        return Err(Refusal::NoLead.into());
    }
    plan(conn, program, &wish, now, around)
}

/// Plans a session on each of these days, all of them or none.
///
/// # Errors
/// `SeriesMoved` with the first day that cannot be planned any more, and why; `KeyReused`.
pub fn announce(app: &App, caller: &Caller, reference: &str, days: &[NaiveDate], key: &str) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let press = Press::of(caller, key, &("series", reference, days))?;
    let planned: Vec<(NaiveDate, String)> = days.iter().map(|on| (*on, app.random.reference())).collect();
    let (pattern_reference, caller, now) = (reference.to_owned(), caller.clone(), app.clock.now());
    once(app, "plan series", press, reference.to_owned(), move |conn| {
        let pattern = by_reference(conn, &pattern_reference)?;
        let program = program::load(conn)?;
        for (on, session) in &planned {
            let plan = one(conn, &program, &pattern, *on, now, &Around::default())?;
            let id = add_planned(conn, &plan, session, &caller, now)?;
            add_pattern_session(conn, pattern.row.id, id)?;
        }
        Ok(())
    })?;
    Ok(())
}
