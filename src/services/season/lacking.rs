//! What announced sessions lack on their days to come: everything that the rule looks at, read once for many sessions.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::access::Duty;
use crate::domain::certification::InstructorState;
use crate::domain::ids::{MachineId, SessionId, SiteId, StaffId};
use crate::domain::machine::MachineState;
use crate::domain::program::ProgramSettings;
use crate::domain::readiness::{Adult, Lack, Needed, Taken, first_lacking};
use crate::domain::session::SessionState;
use crate::domain::site_paper::SitePaper;
use crate::domain::staffing::counts_for_ratio;
use crate::domain::words::Word;
use crate::services::people::{Member, members};
use crate::services::program;
use crate::store::machines::{MachineRow, list_machines};
use crate::store::session_machines::machines_of_sessions_from;
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
    /// Machines that go to sessions to come and are ready, where anybody has said which go.
    machines: BTreeMap<SessionId, i64>,
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
        let is_ready = |row: &MachineRow| MachineState::from_word(&row.state).is_some_and(MachineState::may_be_ridden);
        let ready: BTreeSet<MachineId> = list_machines(conn)?.into_iter().filter(is_ready).map(|row| row.id).collect();
        let mut machines = BTreeMap::new();
        for (session, machine) in machines_of_sessions_from(conn, today)? {
            *machines.entry(session).or_insert(0) += i64::from(ready.contains(&machine));
        }
        Ok(Self { people: members(conn)?, sites, machines, settings, today })
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
            let teaches = counts_for_ratio(*duty, member.state);
            let beside_lead = member.state == InstructorState::Provisional;
            Some(Adult {
                name: &member.name,
                duty: *duty,
                papers: &member.papers,
                is_shut,
                away: &member.away,
                teaches,
                beside_lead,
            })
        };
        let team: Vec<Adult<'_>> = team.iter().filter_map(adult).collect();
        let papers = self.sites.get(&view.site.id).map_or(&[][..], Vec::as_slice);
        let ratio = self.settings.ratio.for_youngest(view.course.least_age);
        let seats = Taken {
            riders: view.session.seats_taken,
            per_instructor: view.course.riders_per_instructor.min(ratio),
            machines: self.machines.get(&view.session.id).copied(),
        };
        let needed = Needed { papers: &self.settings.papers, site_papers: &self.settings.site_papers, seats };
        Ok(first_lacking(&team, papers, needed, to_come).map(|(on, lacks)| Lacking { on, lacks }))
    }
}
