//! What announced sessions lack on their days to come: everything that the rule looks at, read once for many sessions.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::access::Duty;
use crate::domain::certification::InstructorState;
use crate::domain::ids::{SiteId, StaffId};
use crate::domain::program::ProgramSettings;
use crate::domain::readiness::{Adult, Lack, Needed, first_lacking};
use crate::domain::session::SessionState;
use crate::domain::site_paper::SitePaper;
use crate::services::people::{Member, members};
use crate::services::program;
use crate::store::sessions::{MeetingRow, SessionView};
use crate::store::site_papers::list_site_papers;
use crate::store::{AnyConn, StoreError};

/// The first day on which a session lacks anything, and what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lacking {
    /// The day.
    pub on: NaiveDate,
    /// What lacks then, the gravest first.
    pub lacks: Vec<Lack>,
}

/// People, papers of sites and settings, as they stand now.
pub(in crate::services) struct Lookout {
    pub(in crate::services) people: Vec<Member>,
    sites: BTreeMap<SiteId, Vec<SitePaper>>,
    settings: ProgramSettings,
    today: NaiveDate,
}

impl Lookout {
    /// Reads what the rule looks at.
    pub(in crate::services) fn take(conn: &mut AnyConn, today: NaiveDate) -> Result<Self, StoreError> {
        let mut sites: BTreeMap<SiteId, Vec<SitePaper>> = BTreeMap::new();
        for (site, paper) in list_site_papers(conn)? {
            sites.entry(site).or_default().push(paper);
        }
        let settings = program::load(conn)?.settings;
        Ok(Self { people: members(conn)?, sites, settings, today })
    }

    /// What an announced session lacks on its first day to come on which it lacks anything; nothing of others.
    pub(in crate::services) fn lacking(
        &self,
        view: &SessionView,
        meetings: &[MeetingRow],
        team: &[(StaffId, Duty)],
    ) -> Result<Option<Lacking>, StoreError> {
        if view.session.state != SessionState::Announced {
            return Ok(None);
        }
        let days = meetings.iter().map(MeetingRow::day).collect::<Result<Vec<_>, _>>()?;
        let to_come = days.into_iter().filter(|on| *on >= self.today);
        let adult = |(who, duty): &(StaffId, Duty)| {
            let member = self.people.iter().find(|member| member.id == *who)?;
            let is_shut = member.state == InstructorState::Suspended;
            Some(Adult { name: &member.name, duty: *duty, papers: &member.papers, is_shut, away: &member.away })
        };
        let team: Vec<Adult<'_>> = team.iter().filter_map(adult).collect();
        let papers = self.sites.get(&view.site.id).map_or(&[][..], Vec::as_slice);
        let needed = Needed { papers: &self.settings.papers, site_papers: &self.settings.site_papers };
        Ok(first_lacking(&team, papers, needed, to_come).map(|(on, lacks)| Lacking { on, lacks }))
    }
}
