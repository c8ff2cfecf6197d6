//! A child's name, birth date and county.

use chrono::NaiveDate;

use crate::domain::access::{Action, Caller, Subject};
use crate::domain::people::{Child, LeapRule, age_on};
use crate::domain::registration::{PlaceByAge, birth_date_fits};
use crate::services::places::Side;
use crate::services::program::{self, Program};
use crate::services::register::answers::RiderAnswers;
use crate::services::register::faults::Faults;
use crate::services::register::reading::{self, RiderRead, date_parts};
use crate::services::ties::own_child;
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::counties::list_counties;
use crate::store::families::{RiderRow, active_adults_of, find_rider_by_reference, riders_of, set_rider};
use crate::store::merges::entries_of;
use crate::store::registrations::registrations_of_riders;
use crate::store::sessions::find_session_by_id;

use super::Changed;

/// A child as it stands.
#[derive(Clone, Debug)]
pub struct ChildNow {
    /// Given name.
    pub given: String,
    /// As the form asks for it.
    pub answers: RiderAnswers,
    /// Counties to choose from: code and name.
    pub counties: Vec<(String, String)>,
}

fn child(conn: &mut AnyConn, caller: &Caller, side: Side, reference: &str) -> Result<RiderRow, Failure> {
    match side {
        Side::Family => Ok(own_child(conn, caller, reference)?.1),
        Side::Office => {
            ask(caller, Action::DecideTies, Subject::Program)?;
            find_rider_by_reference(conn, reference)?.ok_or(Failure::NotFound)
        }
    }
}

/// A child as it stands.
///
/// # Errors
/// `NotFound` for a child that is not there or that the caller does not answer for.
pub fn find_child(app: &App, caller: &Caller, side: Side, reference: &str) -> Result<ChildNow, Failure> {
    Ok(look(app, caller, side, reference)?.0)
}

/// A child as it stands, and the program.
fn look(app: &App, caller: &Caller, side: Side, reference: &str) -> Result<(ChildNow, Program), Failure> {
    app.store.read(|conn| {
        let row = child(conn, caller, side, reference)?;
        let program = program::load(conn)?;
        let counties = list_counties(conn, program.row.county_set, &program.row.state_fips)?;
        let [birth_month, birth_day, birth_year] = date_parts(row.birth_date);
        let now = ChildNow {
            given: row.given_name.clone(),
            answers: RiderAnswers {
                given: row.given_name,
                family: row.family_name,
                paper_name: row.paper_name,
                birth_month,
                birth_day,
                birth_year,
                county: row.county,
                ..RiderAnswers::default()
            },
            counties: counties.into_iter().map(|county| (county.fips, county.name)).collect(),
        };
        Ok((now, program))
    })
}

/// Changes a child.
///
/// # Errors
/// `NotFound`; `TookPart` when a family changes the birth date of a child whose age was relied on already; `TooYoung` or
/// `TooOld` when a place that stands would not fit the child any more.
pub fn set_child(
    app: &App,
    caller: &Caller,
    side: Side,
    reference: &str,
    answers: &RiderAnswers,
) -> Result<Changed, Failure> {
    let (now, program) = look(app, caller, side, reference)?;
    let read = match reading::rider(answers, &now.counties, app.clock.today(program.zone)) {
        Ok(read) => read,
        Err(faults) => return Ok(Changed::Faulty(faults)),
    };
    let (leap_rule, county_set) = (program.settings.leap_rule, program.row.county_set);
    let (caller, reference, at) = (caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("change child", move |conn| -> Result<Changed, Failure> {
        let row = child(conn, &caller, side, &reference)?;
        if is_another_of_the_family(conn, &row, &read)? {
            let mut faults = Faults::default();
            faults.add("given", "child-edit-twin");
            return Ok(Changed::Faulty(faults));
        }
        if read.birth_date != row.birth_date {
            let places = places_by_age(conn, &row, read.birth_date, leap_rule)?;
            birth_date_fits(&places, side == Side::Office)?;
        }
        let what = differences(&row, &read);
        if what.is_empty() {
            return Ok(Changed::Kept);
        }
        let (given, family) = (read.name.given(), read.name.family());
        set_rider(conn, row.id, (given, family, &read.paper_name), read.birth_date, (county_set, &read.county))?;
        let subject = format!("rider {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, at, "rider.change", subject, what.join(" ")))?;
        Ok(Changed::Kept)
    })
}

/// Whether an adult of the child has another one of this name and birth date: then two entries would be one child.
fn is_another_of_the_family(conn: &mut AnyConn, row: &RiderRow, read: &RiderRead) -> Result<bool, Failure> {
    let meant = Child { given: read.name.given(), family: read.name.family(), born: read.birth_date };
    for adult in active_adults_of(conn, row.id)? {
        if riders_of(conn, adult.id)?.iter().any(|other| other.id != row.id && other.child().is_same(&meant)) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The places of a child, whichever entry of it they stand with, by a new birth date.
fn places_by_age(
    conn: &mut AnyConn,
    row: &RiderRow,
    born: NaiveDate,
    rule: LeapRule,
) -> Result<Vec<PlaceByAge>, Failure> {
    let entries = entries_of(conn, row.id)?;
    let mut places = Vec::new();
    for place in registrations_of_riders(conn, &entries)? {
        let view = find_session_by_id(conn, place.session_id)?;
        let on = view.session.held_on;
        places.push(PlaceByAge {
            is_open: place.state.is_open(),
            has_outcome: place.outcome.is_some(),
            age: age_on(born, on, rule),
            ages: (view.course.least_age, view.course.most_age),
            on,
        });
    }
    Ok(places)
}

/// The names of what is changed.
fn differences(row: &RiderRow, read: &RiderRead) -> Vec<&'static str> {
    let name = row.given_name != read.name.given() || row.family_name != read.name.family();
    [
        ("name", name),
        ("paper_name", row.paper_name != read.paper_name),
        ("birth_date", row.birth_date != read.birth_date),
        ("county", row.county != read.county),
    ]
    .into_iter()
    .filter_map(|(what, differs)| differs.then_some(what))
    .collect()
}
