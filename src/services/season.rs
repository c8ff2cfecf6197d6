//! The sessions of a year: as rows, with sums and filters, and as a file. One session stands in `sheet`.

mod lacking;
mod sheet;
mod wanted;

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Duty, Subject};
use crate::domain::ids::{SessionId, StaffId};
use crate::domain::session::SessionState;
use crate::outside::table::{self, Form, Table};
use crate::store::sessions::{list_sessions, meetings_of_all, staff_of_all};
use crate::store::{AnyConn, StoreError};

pub use crate::store::sessions::{MeetingRow, SessionStaffRow, SessionView};
pub use lacking::Lacking;
pub(super) use lacking::Lookout;
pub use sheet::{RiderLine, SessionSheet, find};
pub use wanted::{Order, Wanted};

/// The media type of the season as a file.
pub const TABLE_MEDIA: &str = table::MEDIA;

/// One session of the season.
#[derive(Clone, Debug)]
pub struct SeasonRow {
    /// The session with its course, site and county.
    pub view: SessionView,
    /// Its meetings in order.
    pub meetings: Vec<MeetingRow>,
    /// The lead's name; empty when nobody leads.
    pub lead: String,
    /// The lead's account reference.
    pub lead_reference: String,
    /// What it lacks on a day to come, while it is announced.
    pub lacking: Option<Lacking>,
}

/// Sums of the rows that are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Seats taken.
    pub taken: i64,
    /// Seats.
    pub seats: i64,
    /// Families waiting.
    pub waiting: i64,
}

/// The sessions of a year that were wanted, in the order that was wanted.
#[derive(Clone, Debug)]
pub struct Season {
    /// Today in the program's zone.
    pub today: NaiveDate,
    /// The sessions.
    pub rows: Vec<SeasonRow>,
    /// Their sums.
    pub totals: Totals,
    /// Counties of the whole year, by name: code and name.
    pub counties: Vec<(String, String)>,
    /// Courses of the whole year: code and title.
    pub courses: Vec<(String, String)>,
    /// Leads of the whole year, by name: account reference and name.
    pub leads: Vec<(String, String)>,
    /// How many sessions the year has.
    pub of: usize,
}

/// The year in which today lies, in the program's zone.
pub fn this_year(app: &App) -> Result<i32, Failure> {
    let program = program::find(app)?;
    Ok(chrono::Datelike::year(&app.clock.today(program.zone)))
}

/// The sessions of a year that are wanted.
pub fn list(app: &App, caller: &Caller, wanted: &Wanted) -> Result<Season, Failure> {
    ask(caller, Action::SeeSeason, Subject::Program)?;
    let (from, through) = wanted.days()?;
    app.store.read(|conn| {
        let today = app.clock.today(program::load(conn)?.zone);
        let views = list_sessions(conn, from, through)?;
        let lookout = Lookout::take(conn, today)?;
        let rows = rows(conn, views, &lookout)?;
        let pick = |of: &dyn Fn(&SeasonRow) -> (String, String)| {
            let all: BTreeSet<(String, String)> = rows.iter().map(of).filter(|(_, word)| !word.is_empty()).collect();
            all.into_iter().map(|(name, word)| (word, name)).collect::<Vec<_>>()
        };
        let counties = pick(&|row| (row.view.county_name.clone(), row.view.site.county.clone()));
        let courses = pick(&|row| (row.view.course.title_en.clone(), row.view.course.code.clone()));
        let leads = pick(&|row| (row.lead.clone(), row.lead_reference.clone()));
        let of = rows.len();
        let rows = wanted.of(rows);
        let totals = totals(&rows);
        Ok(Season { today, rows, totals, counties, courses, leads, of })
    })
}

fn totals(rows: &[SeasonRow]) -> Totals {
    rows.iter().fold(Totals::default(), |sum, row| Totals {
        taken: sum.taken + row.view.session.seats_taken,
        seats: sum.seats + row.view.session.capacity,
        waiting: sum.waiting + row.view.session.waiting,
    })
}

/// Sessions with their meetings, their lead and what they lack, on an open connection.
pub(super) fn rows(
    conn: &mut AnyConn,
    views: Vec<SessionView>,
    lookout: &Lookout,
) -> Result<Vec<SeasonRow>, StoreError> {
    let ids: Vec<SessionId> = views.iter().map(|view| view.session.id).collect();
    let (meetings, teams) = (meetings_of_all(conn, &ids)?, staff_of_all(conn, &ids)?);
    let row = |view: SessionView| {
        let id = view.session.id;
        // Both lists come in the order of sessions.
        let begin = teams.partition_point(|(session, ..)| *session < id);
        let own = teams[begin..].iter().take_while(|(session, ..)| *session == id);
        let team: Vec<(StaffId, Duty)> = own.map(|(_, who, duty)| (*who, *duty)).collect();
        let begin = meetings.partition_point(|meeting| meeting.session_id < id);
        let own = meetings[begin..].iter().take_while(|meeting| meeting.session_id == id);
        let meetings: Vec<MeetingRow> = own.cloned().collect();
        let lead = team.iter().find(|(_, duty)| *duty == Duty::Lead);
        let lead = lead.and_then(|(who, _)| lookout.people.iter().find(|member| member.id == *who));
        Ok(SeasonRow {
            lacking: lookout.lacking(&view, &meetings, &team)?,
            meetings,
            lead: lead.map(|member| member.name.clone()).unwrap_or_default(),
            lead_reference: lead.map(|member| member.reference.clone()).unwrap_or_default(),
            view,
        })
    };
    views.into_iter().map(row).collect()
}

/// The season as a file: the rows that are shown, in their order. The words come from the page that shows them.
pub fn file(
    season: &Season,
    state: impl Fn(SessionState) -> &'static str,
    lacks: impl Fn(Option<&Lacking>) -> String,
) -> Vec<u8> {
    let header = [
        "session",
        "day",
        "starts",
        "time_zone",
        "site",
        "county",
        "county_fips",
        "course",
        "lead",
        "seats_taken",
        "seats",
        "waiting",
        "state",
        "lacks",
    ];
    let mut table = Table::new(Form::default(), &header);
    for row in &season.rows {
        let SessionView { session, course, site, county_name } = &row.view;
        let first = row.meetings.first();
        let starts = first.and_then(|meeting| meeting.local_start.split_once('T')).map_or("", |(_, time)| time);
        table.add(&[
            session.reference.as_str(),
            &session.held_on.format("%Y-%m-%d").to_string(),
            starts,
            &site.time_zone,
            &site.name,
            county_name,
            &site.county,
            &course.title_en,
            &row.lead,
            &session.seats_taken.to_string(),
            &session.capacity.to_string(),
            &session.waiting.to_string(),
            state(session.state),
            &lacks(row.lacking.as_ref()),
        ]);
    }
    table.into_bytes()
}
