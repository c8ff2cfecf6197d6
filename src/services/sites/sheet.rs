//! One site as the office sees it: its facts, its papers with their dates, its emergency plan; and changing them.
//! The audit log learns that something was changed and which dates a paper has, never what somebody typed.

use chrono::NaiveDate;

use super::super::{App, Failure, ask, program};
use super::NewPlace;
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::emergency_plan::EmergencyPlan;
use crate::domain::refusal::Refusal;
use crate::domain::seen::Seen;
use crate::domain::site_paper::{BlockingSitePaper, SitePaper, SitePaperKind, blocking_site_papers};
use crate::domain::time::LocalTime;
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::emergency_plans::{find_emergency_plan, set_emergency_plan};
use crate::store::site_papers::{add_site_paper, papers_of_site, take_back_site_paper};
use crate::store::sites::{SiteChange, SiteRow, find_site, list_sites, set_site};

pub use crate::store::emergency_plans::KeptPlan;

/// One site.
#[derive(Clone, Debug)]
pub struct SiteSheet {
    /// Its facts.
    pub site: SiteRow,
    /// Its county's name.
    pub county: String,
    /// Its papers as they were entered.
    pub papers: Vec<SitePaper>,
    /// Its emergency plan, once somebody has written one.
    pub plan: Option<KeptPlan>,
    /// The kinds without which no session is announced here.
    pub blocking: Vec<SitePaperKind>,
    /// Today at the site.
    pub today: NaiveDate,
}

impl SiteSheet {
    /// Papers that would keep a session of today from being held here.
    pub fn lacks_today(&self) -> Vec<BlockingSitePaper> {
        blocking_site_papers(&self.blocking, &self.papers, self.today)
    }
}

/// One site by its reference.
///
/// # Errors
/// `NotFound` when there is none.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<SiteSheet, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let now = app.clock.now();
    app.store.read(|conn| {
        let found = list_sites(conn)?.into_iter().find(|(site, _)| site.reference == reference);
        let (site, county) = found.ok_or(Failure::NotFound)?;
        Ok(SiteSheet {
            papers: papers_of_site(conn, site.id)?,
            plan: find_emergency_plan(conn, site.id)?,
            blocking: program::load(conn)?.settings.site_papers,
            today: LocalTime::from_utc(now, site.time_zone.parse().unwrap_or(chrono_tz::UTC)).wall.date(),
            site,
            county,
        })
    })
}

/// Changes a site's facts. County and clocks stay: a place in another county is another site.
///
/// # Errors
/// `NotFound` when there is none; `DraftMoved` when it was changed since it was seen.
pub fn change(app: &App, caller: &Caller, reference: &str, seen: &Seen, new: NewPlace) -> Result<(), Failure> {
    let seen = seen.clone();
    write(app, caller, reference, "site.change", move |conn, site| {
        seen.holds_for(site)?;
        let change = SiteChange {
            name: new.name.clone(),
            street: new.street.clone(),
            city: new.city.clone(),
            zip: new.zip.clone(),
            latitude: new.coordinates.map(|(north, _)| north),
            longitude: new.coordinates.map(|(_, east)| east),
            most_riders: new.most_riders,
            hospital: new.hospital.clone(),
            emergency_notes: new.emergency_notes.clone(),
            directions: new.directions.clone(),
        };
        set_site(conn, site.id, &change)?;
        Ok(String::new())
    })
}

/// Adds a paper to a site.
///
/// # Errors
/// `NotFound` when there is no such site.
pub fn add_paper(app: &App, caller: &Caller, reference: &str, paper: SitePaper) -> Result<(), Failure> {
    write(app, caller, reference, "site.paper.add", move |conn, site| {
        add_site_paper(conn, site.id, &paper)?;
        Ok(format!("{} {} through {}", paper.kind, paper.valid_from, paper.valid_through))
    })
}

/// Takes a paper back from today on: the owner changed their mind, or it was entered wrongly.
///
/// # Errors
/// `NotFound` for a place that the list does not have; `WorldMoved` when it is taken back already.
pub fn take_back_paper(app: &App, caller: &Caller, reference: &str, place: i64) -> Result<(), Failure> {
    let now = app.clock.now();
    write(app, caller, reference, "site.paper.take_back", move |conn, site| {
        let papers = papers_of_site(conn, site.id)?;
        let paper = usize::try_from(place).ok().and_then(|place| papers.get(place)).ok_or(Failure::NotFound)?;
        let today = LocalTime::from_utc(now, site.time_zone.parse().unwrap_or(chrono_tz::UTC)).wall.date();
        if !take_back_site_paper(conn, site.id, place, today)? {
            return Err(Refusal::WorldMoved.into());
        }
        Ok(format!("{} {} through {}", paper.kind, paper.valid_from, paper.valid_through))
    })
}

/// Writes a site's emergency plan.
///
/// # Errors
/// `NotFound` when there is no such site; `DraftMoved` when the plan was changed since it was seen.
pub fn write_plan(
    app: &App,
    caller: &Caller,
    reference: &str,
    seen: &Seen,
    plan: EmergencyPlan,
) -> Result<(), Failure> {
    let (seen, now) = (seen.clone(), app.clock.now());
    write(app, caller, reference, "site.plan", move |conn, site| {
        seen.holds_for(&find_emergency_plan(conn, site.id)?)?;
        let version = set_emergency_plan(conn, site.id, &plan, now)?;
        Ok(format!("version {version}"))
    })
}

/// One change of one site in one transaction, with its audit row.
fn write(
    app: &App,
    caller: &Caller,
    reference: &str,
    action: &'static str,
    work: impl Fn(&mut AnyConn, &SiteRow) -> Result<String, Failure> + Send + 'static,
) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (reference.to_owned(), app.clock.now(), caller.clone());
    app.store.write(action, move |conn| {
        let site = find_site(conn, &reference)?.ok_or(Failure::NotFound)?;
        let detail = work(conn, &site)?;
        add_audit_row(conn, &AuditRow::by(&caller, now, action, format!("site {reference}"), detail))?;
        Ok(())
    })
}
