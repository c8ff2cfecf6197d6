//! What a report shows as files for spreadsheets. Codes are text; what the report looked at stands in every row, because
//! a table may lose its name. Cells that a spreadsheet would run begin with an apostrophe.

use chrono::NaiveDate;

use super::rows::{Question, Row, all};
use super::show;
use crate::domain::access::Caller;
use crate::domain::report::{Figure, Scope, TableOrder};
use crate::outside::table::{Form, Table};
use crate::services::{App, Failure};
use crate::store::reports::rows::RiderLine;

/// Media type of the files.
pub use crate::outside::table::MEDIA;

fn day(day: NaiveDate) -> String {
    day.format("%Y-%m-%d").to_string()
}

/// First day, last day, course and grant; the last two are empty when they do not narrow.
fn scope_cells(scope: &Scope) -> [String; 4] {
    let (course, grant) = (scope.course.clone(), scope.grant.clone());
    [day(scope.period.from), day(scope.period.to), course.unwrap_or_default(), grant.unwrap_or_default()]
}

/// The county table, every county that the page shows and in its order.
///
/// # Errors
/// `NotAllowed`.
pub fn counties(app: &App, caller: &Caller, scope: &Scope, order: TableOrder) -> Result<Vec<u8>, Failure> {
    let report = show(app, caller, scope, order)?;
    let mut table = Table::new(
        Form::default(),
        &[
            "county_set",
            "county_fips",
            "county_name",
            "from",
            "to",
            "course",
            "grant",
            "reached",
            "sessions",
            "participations_by_site",
            "participations_by_home",
            "completions_by_home",
            "helmets_by_home",
        ],
    );
    for part in &report.counties {
        let counts = [part.sessions, part.by_site, part.by_home, part.completions, part.helmets];
        let mut cells = vec![report.county_set.to_string(), part.fips.clone(), part.name.clone()];
        cells.extend(scope_cells(scope));
        cells.push(part.reached().to_owned());
        cells.extend(counts.map(|count| count.to_string()));
        table.add(&cells);
    }
    Ok(table.into_bytes())
}

/// The rows behind a figure, every page of them, with the columns of the page.
///
/// # Errors
/// `NotAllowed`.
pub fn rows(app: &App, caller: &Caller, question: &Question) -> Result<Vec<u8>, Failure> {
    let header: &[&str] = match question.figure {
        Figure::Sessions => &["session", "day", "site_county_fips", "course"],
        Figure::Riders => &["rider", "took_part", "registrations"],
        Figure::CountiesBySite | Figure::CountiesByHome => {
            &["county_name", "county_fips", "participations_by_site", "participations_by_home"]
        }
        _ => &["registration", "session", "day", "site_county_fips", "home_county_fips", "ended", "completed", "grant"],
    };
    let mut table = Table::new(Form::default(), header);
    for row in all(app, caller, question)? {
        table.add(&cells(row));
    }
    Ok(table.into_bytes())
}

fn cells(row: Row) -> Vec<String> {
    match row {
        Row::Session(line) => vec![line.reference, day(line.held_on), line.site_county, line.course],
        Row::Rider(line) => rider_cells(line),
        Row::SameRider(number, lines) => {
            let registrations: Vec<&str> = lines.iter().map(|line| line.registration.as_str()).collect();
            vec![number.to_string(), lines.len().to_string(), registrations.join(" ")]
        }
        Row::County(part) => vec![part.name, part.fips, part.by_site.to_string(), part.by_home.to_string()],
    }
}

fn rider_cells(line: RiderLine) -> Vec<String> {
    vec![
        line.registration,
        line.session,
        day(line.held_on),
        line.site_county,
        line.home_county,
        line.outcome.to_string(),
        if line.completed == 1 { "yes" } else { "no" }.to_owned(),
        line.grant.unwrap_or_default(),
    ]
}
