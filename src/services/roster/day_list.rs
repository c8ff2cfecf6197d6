//! What is looked at and signed before the first engine: the day list with the site's emergency plan.

use chrono::NaiveTime;

use super::super::{App, Failure, program};
use super::Head;
use super::opened::{Opened, open};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::session_day::PointStanding;
use crate::domain::site_paper::{BlockingSitePaper, blocking_site_papers};
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::emergency_plans::{KeptPlan, find_emergency_plan};
use crate::store::site_papers::papers_of_site;
use crate::store::sites::SiteRow;

/// The day list of a session, today.
#[derive(Clone, Debug)]
pub struct DayListPage {
    /// The session.
    pub head: Head,
    /// Its points in order.
    pub points: Vec<PointShown>,
    /// The signature that stands.
    pub signed: Option<SignedShown>,
    /// Whether the lead has signed at all today.
    pub was_signed: bool,
    /// The emergency plan.
    pub plan: PlanShown,
    /// Papers of the site that do not count today.
    pub lacks: Vec<BlockingSitePaper>,
    /// The highest counter of the session so far.
    pub seen: i64,
}

/// One point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointShown {
    /// Its name in forms.
    pub key: String,
    /// A few words.
    pub title: String,
    /// What is looked for.
    pub look_for: String,
    /// What stands.
    pub standing: PointStanding,
}

/// A signature that stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SignedShown {
    /// On the wall at the site.
    pub at: NaiveTime,
    /// Whether the emergency plan has changed since.
    pub plan_changed: bool,
}

/// The site's emergency plan with what stands with the site.
#[derive(Clone, Debug)]
pub struct PlanShown {
    /// The site.
    pub site: SiteRow,
    /// Its plan, once somebody has written one.
    pub kept: Option<KeptPlan>,
}

impl PlanShown {
    pub(super) fn of(conn: &mut AnyConn, opened: &Opened) -> Result<Self, Failure> {
        let site = opened.view.site.clone();
        Ok(Self { kept: find_emergency_plan(conn, site.id)?, site })
    }

    /// The version that a form signs; 0 when there is none.
    pub fn version(&self) -> i64 {
        self.kept.as_ref().map_or(0, |kept| kept.version)
    }

    /// Whether somebody could follow it.
    pub fn can_be_followed(&self) -> bool {
        self.kept.as_ref().is_some_and(|kept| kept.plan.can_be_followed())
    }
}

/// The day list.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<DayListPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let (list, day) = opened.session_day(conn, &acts, opened.meeting.ordinal)?;
        let point = |point: &crate::domain::point_list::Point| PointShown {
            key: point.key.0.clone(),
            title: point.title.in_lang(Lang::En).to_owned(),
            look_for: point.look_for.in_lang(Lang::En).to_owned(),
            standing: day.signing.points.get(&point.key).cloned().unwrap_or_default(),
        };
        let plan = PlanShown::of(conn, &opened)?;
        let asked_for = program::load(conn)?.settings.site_papers;
        Ok(DayListPage {
            head: opened.head(conn, caller, &acts, CautionKey::Riding)?,
            points: list.points().iter().map(point).collect(),
            signed: day
                .signing
                .signed
                .map(|signed| SignedShown { at: opened.clock(signed.at), plan_changed: signed.plan != plan.version() }),
            was_signed: day.signing.was_signed,
            lacks: blocking_site_papers(&asked_for, &papers_of_site(conn, plan.site.id)?, opened.today),
            plan,
            seen: acts.iter().map(|kept| kept.act.counter).max().unwrap_or(0),
        })
    })
}

/// The emergency plan of the site, for the session's staff.
#[derive(Clone, Debug)]
pub struct EmergencyPage {
    /// The session.
    pub head: Head,
    /// The plan.
    pub plan: PlanShown,
}

/// The emergency plan alone, one tap from the roster.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn emergency(app: &App, caller: &Caller, reference: &str) -> Result<EmergencyPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        Ok(EmergencyPage {
            head: opened.head(conn, caller, &acts, CautionKey::FirstAid)?,
            plan: PlanShown::of(conn, &opened)?,
        })
    })
}
