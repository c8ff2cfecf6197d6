//! Who pays: the record of each grant, what it has spent and given, the reports that it asks for, and what the program brings
//! beside it. Which child may get a helmet from it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;

use super::{GrantRow, Listed, LotRow, listed};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::grant::{Child, GrantNo, GrantRule, MatchKind, MatchRates};
use crate::domain::ids::GrantId;
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::time::LocalTime;
use crate::domain::words::Line;
use crate::services::{App, Failure, ask, program};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::counties::list_counties;
use crate::store::families::RiderRow;
use crate::store::gear::last_given;
use crate::store::grants::{
    NewMatch, add_due as keep_due, add_grant, add_match as keep_match, counties_of, find_grant, find_grant_by_id,
    list_dues, list_grants, list_matches, set_counties, set_due_done, set_grant, take_back_match as forget_match,
};
use crate::store::machines::list_places;
use crate::store::{AnyConn, StoreError};

pub use crate::store::grants::{DueRow, GrantFacts, MatchRow};

/// What a grant comes to. Money in cents.
#[derive(Clone, Debug)]
pub struct Standing {
    /// Its record.
    pub row: GrantRow,
    /// What its lots cost.
    pub spent_cents: i64,
    /// Helmets that went home with children.
    pub given: i64,
    /// Helmets of it on hand.
    pub on_hand: i64,
    /// What the program brought beside it.
    pub matched_cents: i64,
    /// The next report that was not sent.
    pub next_due: Option<DueRow>,
}

impl Standing {
    /// What is left of what it pays for gear; less than nothing when more was spent.
    #[must_use]
    pub fn left_cents(&self) -> Option<i64> {
        self.row.budget_cents.map(|budget| budget - self.spent_cents)
    }

    /// Helmets still to give.
    #[must_use]
    pub fn to_give(&self) -> i64 {
        (self.row.helmets_target - self.given).max(0)
    }
}

/// One grant.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What it comes to.
    pub standing: Standing,
    /// The counties in which it gives: code and name; none stands for all.
    pub counties: Vec<(String, String)>,
    /// Every county of the program's state: code and name.
    pub all_counties: Vec<(String, String)>,
    /// Its lots.
    pub lots: Vec<Listed>,
    /// Reports that it asks for, by day.
    pub dues: Vec<DueRow>,
    /// What the program brought, by day.
    pub matches: Vec<MatchRow>,
    /// What the form of its record is drawn from.
    pub seen: Seen,
}

/// Every grant, by code.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Standing>, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let today = clock.today(program::load(conn)?.zone);
        let (grants, places) = (list_grants(conn)?, list_places(conn)?);
        let lots = listed(conn, &grants, &places, today)?;
        standings(conn, grants, &lots)
    })
}

fn standings(conn: &mut AnyConn, grants: Vec<GrantRow>, lots: &[Listed]) -> Result<Vec<Standing>, Failure> {
    let (dues, matches) = (list_dues(conn)?, list_matches(conn)?);
    let one = |row: GrantRow| {
        let own = || lots.iter().filter(|lot| lot.row.grant_id == row.id);
        Standing {
            spent_cents: own().map(|lot| lot.row.unit_cost_cents * lot.row.received).sum(),
            given: own().map(|lot| lot.given).sum(),
            on_hand: own().map(Listed::on_hand).sum(),
            matched_cents: matches.iter().filter(|one| one.grant_id == row.id).map(|one| one.worth_cents).sum(),
            next_due: dues.iter().find(|due| due.grant_id == row.id && due.done_on.is_none()).cloned(),
            row,
        }
    };
    Ok(grants.into_iter().map(one).collect())
}

/// One grant by its reference.
///
/// # Errors
/// `NotFound` when there is none.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let row = find_grant(conn, reference)?.ok_or(Failure::NotFound)?;
        let today = clock.today(program::load(conn)?.zone);
        let (grants, places) = (list_grants(conn)?, list_places(conn)?);
        let lots = listed(conn, &grants, &places, today)?;
        let standing = standings(conn, grants, &lots)?.into_iter().find(|one| one.row.id == row.id);
        let standing = standing.ok_or(Failure::NotFound)?;
        let codes = counties_of(conn, row.id)?;
        let all_counties = counties_of_state(conn)?;
        let name = |code: &String| {
            let found = all_counties.iter().find(|(other, _)| other == code);
            (code.clone(), found.map_or_else(|| code.clone(), |(_, name)| name.clone()))
        };
        let seen = Seen::of(&(&row, &codes));
        Ok(Sheet {
            counties: codes.iter().map(name).collect(),
            all_counties,
            lots: lots.into_iter().filter(|lot| lot.row.grant_id == row.id).collect(),
            dues: list_dues(conn)?.into_iter().filter(|due| due.grant_id == row.id).collect(),
            matches: list_matches(conn)?.into_iter().filter(|one| one.grant_id == row.id).collect(),
            standing,
            seen,
        })
    })
}

/// The counties of the program's state, for the form of a new grant.
pub fn counties(app: &App, caller: &Caller) -> Result<Vec<(String, String)>, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    app.store.read(counties_of_state)
}

fn counties_of_state(conn: &mut AnyConn) -> Result<Vec<(String, String)>, Failure> {
    let row = program::load(conn)?.row;
    let rows = list_counties(conn, row.county_set, &row.state_fips)?;
    Ok(rows.into_iter().map(|county| (county.fips, county.name)).collect())
}

/// A grant as a form tells it: its record, and the counties in which it gives, by code; none stands for all.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Its record.
    pub facts: GrantFacts,
    /// Counties by code.
    pub counties: Vec<String>,
}

/// Adds a grant; gives its reference.
///
/// # Errors
/// `CodeTaken` when another grant has the code; `NotFound` for a county that there is not.
pub fn add(app: &App, caller: &Caller, new: Wish) -> Result<String, Failure> {
    let reference = app.random.reference();
    write(app, caller, "grant.add", move |conn, _| {
        let id = once(add_grant(conn, &reference, &new.facts), &new.facts.code)?;
        keep_counties(conn, id, &new.counties)?;
        Ok((reference.clone(), new.facts.code.clone(), String::new()))
    })
}

/// Changes the record of a grant.
///
/// # Errors
/// `NotFound`; `DraftMoved` when it was changed since it was seen; `CodeTaken`.
pub fn change(app: &App, caller: &Caller, reference: &str, seen: &Seen, new: Wish) -> Result<String, Failure> {
    let (reference, seen) = (reference.to_owned(), seen.clone());
    write(app, caller, "grant.change", move |conn, _| {
        let row = find_grant(conn, &reference)?.ok_or(Failure::NotFound)?;
        seen.holds_for(&(&row, &counties_of(conn, row.id)?))?;
        once(set_grant(conn, row.id, &new.facts), &new.facts.code)?;
        keep_counties(conn, row.id, &new.counties)?;
        Ok((reference.clone(), new.facts.code.clone(), String::new()))
    })
}

fn keep_counties(conn: &mut AnyConn, id: GrantId, counties: &[String]) -> Result<(), Failure> {
    let known: BTreeSet<String> = counties_of_state(conn)?.into_iter().map(|(code, _)| code).collect();
    if !counties.iter().all(|code| known.contains(code)) {
        return Err(Failure::NotFound);
    }
    let set = program::load(conn)?.row.county_set;
    Ok(set_counties(conn, id, set, counties)?)
}

/// Adds a report that a grant asks for.
///
/// # Errors
/// `NotFound`.
pub fn add_due(app: &App, caller: &Caller, reference: &str, on: NaiveDate, what: Line) -> Result<String, Failure> {
    let reference = reference.to_owned();
    write(app, caller, "grant.due", move |conn, _| {
        let row = find_grant(conn, &reference)?.ok_or(Failure::NotFound)?;
        keep_due(conn, row.id, on, what.as_str())?;
        Ok((reference.clone(), row.code, on.to_string()))
    })
}

/// Notes that a report was sent today, or that it was not after all.
///
/// # Errors
/// `NotFound`.
pub fn finish_due(app: &App, caller: &Caller, reference: &str, number: i64, is_done: bool) -> Result<String, Failure> {
    let (reference, clock) = (reference.to_owned(), app.clock.clone());
    write(app, caller, "grant.due_done", move |conn, _| {
        let row = find_grant(conn, &reference)?.ok_or(Failure::NotFound)?;
        let today = clock.today(program::load(conn)?.zone);
        if !set_due_done(conn, row.id, number, is_done.then_some(today))? {
            return Err(Failure::NotFound);
        }
        Ok((reference.clone(), row.code, if is_done { "done" } else { "open" }.to_owned()))
    })
}

/// What the program brought, as a form tells it. Hours and miles in tenths, money in cents.
#[derive(Clone, Debug)]
pub struct Brought {
    /// What kind.
    pub kind: MatchKind,
    /// The day.
    pub on: NaiveDate,
    /// How much.
    pub tenths: i64,
    /// What it was.
    pub what: Line,
}

/// Writes down what the program brought, worth what the grant says now.
///
/// # Errors
/// `NotFound`; `DayToCome`; `NoRate` when the grant does not say what it counts for.
pub fn add_match(app: &App, caller: &Caller, reference: &str, brought: Brought) -> Result<String, Failure> {
    let (reference, clock, account_id) = (reference.to_owned(), app.clock.clone(), caller.account());
    write(app, caller, "grant.match", move |conn, now| {
        let row = find_grant(conn, &reference)?.ok_or(Failure::NotFound)?;
        if brought.on > clock.today(program::load(conn)?.zone) {
            return Err(Refusal::DayToCome { on: brought.on }.into());
        }
        let rates = MatchRates { hour_cents: row.hour_cents, mile_tenth_cents: row.mile_tenth_cents };
        let worth_cents = rates.worth(brought.kind, brought.tenths).ok_or(Refusal::Gear(GearRefusal::NoRate))?;
        let (kind, done_on, tenths) = (brought.kind, brought.on, brought.tenths);
        let what = brought.what.as_str().to_owned();
        keep_match(
            conn,
            &NewMatch { grant_id: row.id, kind, done_on, tenths, worth_cents, what, at: now, account_id },
        )?;
        Ok((reference.clone(), row.code, format!("{kind} {tenths}")))
    })
}

/// Takes back what was written down by mistake.
///
/// # Errors
/// `NotFound`, also when it was taken back already.
pub fn take_back_match(app: &App, caller: &Caller, reference: &str, number: i64) -> Result<String, Failure> {
    let reference = reference.to_owned();
    write(app, caller, "grant.match_back", move |conn, now| {
        let row = find_grant(conn, &reference)?.ok_or(Failure::NotFound)?;
        if !forget_match(conn, row.id, number, now)? {
            return Err(Failure::NotFound);
        }
        Ok((reference.clone(), row.code, String::new()))
    })
}

/// Does something to a grant, with a row in the audit log: `work` gives the grant's reference, its code, and a detail.
fn write(
    app: &App,
    caller: &Caller,
    action: &'static str,
    work: impl Fn(&mut AnyConn, NaiveDateTime) -> Result<(String, String, String), Failure> + Send + 'static,
) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write(action, move |conn| -> Result<String, Failure> {
        let (reference, code, detail) = work(conn, now)?;
        add_audit_row(conn, &AuditRow::by(&caller, now, action, format!("grant {code}"), detail))?;
        Ok(reference)
    })
}

fn once<T>(kept: Result<T, StoreError>, code: &str) -> Result<T, Failure> {
    super::once(kept, code)
}

/// Whether the grant that paid for a lot gives a child a helmet to keep on a day.
///
/// # Errors
/// Only when the tables cannot be read.
pub(in crate::services) fn may_give(
    conn: &mut AnyConn,
    lot: &LotRow,
    rider: &RiderRow,
    age: i64,
    (on, zone): (NaiveDate, Tz),
) -> Result<Result<(), GrantNo>, Failure> {
    let row = find_grant_by_id(conn, lot.grant_id)?;
    let given = last_given(conn, rider.id)?.map(|at| LocalTime::from_utc(at, zone).wall.date());
    let rule = GrantRule {
        starts_on: row.starts_on,
        ends_on: row.ends_on,
        least_age: row.least_age,
        most_age: row.most_age,
        counties: counties_of(conn, row.id)?.into_iter().collect(),
        again_after_years: row.again_after_years,
    };
    Ok(rule.may_give(&Child { age, county: rider.county.clone(), last_given: given }, on))
}

/// Reports of grants that are due by a day and were not sent: the grant's reference and name, and the report.
pub(in crate::services) fn due_by(
    conn: &mut AnyConn,
    through: NaiveDate,
) -> Result<Vec<(String, String, DueRow)>, StoreError> {
    let grants: BTreeMap<GrantId, GrantRow> = list_grants(conn)?.into_iter().map(|row| (row.id, row)).collect();
    let open = list_dues(conn)?.into_iter().filter(|due| due.done_on.is_none() && due.due_on <= through);
    let named = |due: DueRow| grants.get(&due.grant_id).map(|row| (row.reference.clone(), row.name.clone(), due));
    Ok(open.filter_map(named).collect())
}
