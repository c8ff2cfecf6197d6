//! Reports in lists: of the whole program with the near misses of late, of one session, and those in which something is due.

use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime};

use crate::domain::access::{Action, Caller, Subject};
use crate::domain::acts::Body;
use crate::domain::cautions::CautionKey;
use crate::domain::incident::NearMissKind;
use crate::domain::machine::record::number_order;
use crate::domain::time::LocalTime;
use crate::domain::words::full_name;
use crate::services::program::Program;
use crate::services::roster::Head;
use crate::services::roster::opened::{counted_by_rider, open, zone_of};
use crate::services::{App, Failure, ask, program};
use crate::store::AnyConn;
use crate::store::accounts::names_of;
use crate::store::acts::{KeptAct, acts_of_kind_since};
use crate::store::incidents::{IncidentRow, incidents_of, list_incidents, open_incidents};
use crate::store::machines::list_machines;
use crate::store::registrations::find_registration_by_id;
use crate::store::sessions::{SessionView, find_session_by_id};

/// For how many days near misses stand in the list of the office: two seasons.
const LATELY: u64 = 730;

/// A report in a list. What happened to whom is on the report's own page.
#[derive(Clone, Debug)]
pub struct Listed {
    /// Its row.
    pub row: IncidentRow,
    /// At which session.
    pub session: SessionView,
    /// The day by which it is closed.
    pub report_due: NaiveDate,
    /// The instant by which the insurer is told, on the clocks of the site.
    pub insurer_due: NaiveDateTime,
    /// Whether that instant has passed and nobody told the insurer.
    pub insurer_late: bool,
}

/// What nearly happened.
#[derive(Clone, Debug)]
pub struct NearMiss {
    /// What.
    pub what: NearMissKind,
    /// In somebody's words; empty without.
    pub note: String,
    /// The rider's name; empty when it is about nobody.
    pub rider: String,
    /// When, on the wall at the site.
    pub at: NaiveDateTime,
    /// Who entered it.
    pub by: String,
    /// The session's reference and site.
    pub session: (String, String),
}

/// Every report, and the near misses of late.
#[derive(Clone, Debug)]
pub struct Reports {
    /// The newest first.
    pub reports: Vec<Listed>,
    /// The newest first.
    pub near_misses: Vec<NearMiss>,
    /// How often each kind nearly happened, the most first.
    pub kinds: Vec<(NearMissKind, usize)>,
}

/// The reports and near misses of one session, with what its form needs.
#[derive(Clone, Debug)]
pub struct OfSession {
    /// The session.
    pub head: Head,
    /// Its reports, the newest first.
    pub reports: Vec<IncidentRow>,
    /// Whether the reader may open them.
    pub may_read: bool,
    /// What nearly happened, the newest first.
    pub near_misses: Vec<NearMiss>,
    /// Its riders: reference and name.
    pub riders: Vec<(String, String)>,
    /// The machines of the fleet, by number, with make and model.
    pub machines: Vec<(String, String)>,
    /// Now, on the wall at the site.
    pub now: NaiveTime,
}

/// A report in which something is due.
#[derive(Clone, Debug)]
pub struct Due {
    /// The report.
    pub listed: Listed,
    /// Whether it is not closed.
    pub is_open: bool,
    /// Whether nobody told the insurer.
    pub insurer: bool,
}

fn listed(conn: &mut AnyConn, program: &Program, row: IncidentRow, now: NaiveDateTime) -> Result<Listed, Failure> {
    let session = find_session_by_id(conn, row.session_id)?;
    let local = |at: NaiveDateTime| LocalTime::from_utc(at, zone_of(&session)).wall;
    let insurer_due = program.settings.incidents.insurer_due(row.learned_at, row.ambulance);
    Ok(Listed {
        report_due: program.settings.retention.report_due(local(row.learned_at).date()),
        insurer_late: row.insurer_told_at.is_none() && insurer_due <= now,
        insurer_due: local(insurer_due),
        session,
        row,
    })
}

/// Every report, and the near misses of late.
pub fn list(app: &App, caller: &Caller) -> Result<Reports, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let rows = list_incidents(conn)?;
        let reports = rows.into_iter().map(|row| listed(conn, &program, row, now)).collect::<Result<Vec<_>, _>>()?;
        let mut near_misses = Vec::new();
        for (session, kept) in acts_of_kind_since(conn, "near_miss", now - Days::new(LATELY))? {
            let view = find_session_by_id(conn, session)?;
            near_misses.extend(near_miss(conn, &view, &kept)?);
        }
        near_misses.reverse();
        let count = |kind: &NearMissKind| near_misses.iter().filter(|one| one.what == *kind).count();
        let all = <NearMissKind as crate::domain::words::Word>::ALL;
        let mut kinds: Vec<(NearMissKind, usize)> = all.iter().map(|kind| (*kind, count(kind))).collect();
        kinds.retain(|(_, count)| *count > 0);
        kinds.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        Ok(Reports { reports, near_misses, kinds })
    })
}

fn near_miss(conn: &mut AnyConn, view: &SessionView, kept: &KeptAct) -> Result<Option<NearMiss>, Failure> {
    let Body::NearMiss { what, note } = &kept.act.body else { return Ok(None) };
    let rider = match kept.registration {
        Some(id) => {
            let (_, child) = find_registration_by_id(conn, id)?;
            full_name(&child.given_name, &child.family_name)
        }
        None => String::new(),
    };
    let by = names_of(conn, &[kept.account])?.remove(&kept.account).unwrap_or_default();
    let at = LocalTime::from_utc(kept.act.at, zone_of(view)).wall;
    let session = (view.session.reference.clone(), view.site.name.clone());
    Ok(Some(NearMiss { what: *what, note: note.clone().unwrap_or_default(), rider, at, by, session }))
}

/// What a session's page of reports shows.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn of_session(app: &App, caller: &Caller, reference: &str) -> Result<OfSession, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Incident)?;
        let mut near_misses = Vec::new();
        for kept in acts.iter().filter(|kept| !kept.undone) {
            near_misses.extend(near_miss(conn, &opened.view, kept)?);
        }
        near_misses.reverse();
        let by_rider = counted_by_rider(&acts);
        let riders = opened.riders(conn, &by_rider)?.into_iter();
        let name = |(number, model): &(String, String)| (number_order(number), model.clone());
        let fleet = list_machines(conn)?.into_iter();
        let mut machines: Vec<(String, String)> = fleet.map(|row| (row.number, row.make_model)).collect();
        machines.sort_by_key(name);
        Ok(OfSession {
            reports: incidents_of(conn, opened.view.session.id)?,
            may_read: opened.may(caller, Action::ReadIncident),
            riders: riders
                .map(|(one, child)| (one.reference, full_name(&child.given_name, &child.family_name)))
                .collect(),
            now: opened.clock(now),
            near_misses,
            machines,
            head,
        })
    })
}

/// Reports in which something is due, of the sessions that a condition lets through.
pub(in crate::services) fn due(
    conn: &mut AnyConn,
    program: &Program,
    now: NaiveDateTime,
    mut concerns: impl FnMut(&IncidentRow) -> bool,
) -> Result<Vec<Due>, Failure> {
    let mut found = Vec::new();
    for row in open_incidents(conn)?.into_iter().filter(|row| concerns(row)) {
        let (is_open, insurer) = (row.closed_at.is_none(), row.insurer_told_at.is_none());
        found.push(Due { listed: listed(conn, program, row, now)?, is_open, insurer });
    }
    Ok(found)
}
