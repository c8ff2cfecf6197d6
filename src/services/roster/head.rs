//! What stands at the head of every page of one session: where, when, who leads, what the reader may do. Reads only.

use chrono::NaiveTime;

use super::super::{Failure, program};
use super::alarms::Alarms;
use super::area::Area;
use super::counts::{Counts, counts};
use super::just_done::{JustDone, just_done};
use super::opened::{Opened, zone_of};
use crate::domain::access::{Action, Caller, Duty};
use crate::domain::cautions::CautionKey;
use crate::domain::meeting::Meeting;
use crate::domain::session::SessionState;
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, full_name};
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::sessions::{SessionView, meetings_of, staff_of};

/// What every page of one session says about it.
#[derive(Clone, Debug)]
pub struct Head {
    /// Public reference.
    pub reference: String,
    /// Its course.
    pub course: String,
    /// Its site.
    pub site: String,
    /// The meeting that is shown: that of today, or the latest that has come.
    pub meeting: Meeting,
    /// How many meetings the session has.
    pub meetings: usize,
    /// What the earlier part is called of which the course asks proof; nothing when it asks for none.
    pub earlier_part: Option<String>,
    /// Start of that meeting on the wall at the site.
    pub starts: Option<NaiveTime>,
    /// Who leads.
    pub lead: String,
    /// Where it stands.
    pub state: SessionState,
    /// Whether acts are taken now, late ones too.
    pub takes_acts: bool,
    /// Whether the reader leads.
    pub is_lead: bool,
    /// Whether the reader may read health notes.
    pub reads_health: bool,
    /// Whether the reader may register children, and have their adults sign.
    pub may_register: bool,
    /// Whether the reader may register children, and the session takes any.
    pub takes_walk_ups: bool,
    /// Whether the reader may close it.
    pub may_close: bool,
    /// The riding area now; none while the session takes no acts.
    pub area: Option<Area>,
    /// Acts that came after closing and wait.
    pub late: usize,
    /// The caution of the page.
    pub caution: String,
    /// What must be seen first.
    pub alarms: Alarms,
    /// The figures that stand on every page.
    pub counts: Counts,
    /// What the reader has just entered, while it may be undone.
    pub just_done: Option<JustDone>,
}

impl Opened {
    pub(in crate::services) fn head(
        &self,
        conn: &mut AnyConn,
        caller: &Caller,
        acts: &[KeptAct],
        caution: CautionKey,
    ) -> Result<Head, Failure> {
        let session = &self.view.session;
        let area = self.area(conn, caller, acts)?;
        let lead = staff_of(conn, session.id)?.into_iter().find(|member| member.duty == Duty::Lead);
        Ok(Head {
            reference: session.reference.clone(),
            course: self.view.course.title(Lang::En).to_owned(),
            site: self.view.site.name.clone(),
            meeting: self.meeting,
            meetings: self.meetings.count(),
            earlier_part: self.view.course.earlier_part(Lang::En).map(str::to_owned),
            starts: start_of(conn, &self.view, self.meeting.ordinal)?,
            lead: lead.map(|member| full_name(&member.given_name, &member.family_name)).unwrap_or_default(),
            state: session.state,
            takes_acts: self.openness().takes_acts() || session.state == SessionState::Closed,
            is_lead: self.is_led_by_caller(),
            reads_health: self.may(caller, Action::ReadHealth),
            may_register: self.may(caller, Action::RegisterWalkUp),
            takes_walk_ups: self.may(caller, Action::RegisterWalkUp) && self.openness().takes_registrations(),
            may_close: self.may(caller, Action::CloseSession),
            late: acts.iter().filter(|kept| kept.waits()).count(),
            caution: program::caution(conn, session.cautions_id, caution)?.in_lang(Lang::En).to_owned(),
            alarms: self.alarms(conn, acts, area.as_ref())?,
            area,
            counts: counts(self, conn, acts)?,
            just_done: just_done(self, conn, caller, acts)?,
        })
    }
}

/// When a meeting starts, on the wall at the site.
pub(super) fn start_of(conn: &mut AnyConn, view: &SessionView, meeting: i64) -> Result<Option<NaiveTime>, Failure> {
    let zone = zone_of(view);
    let found = meetings_of(conn, view.session.id)?.into_iter().find(|row| row.ordinal == meeting);
    Ok(found.map(|meeting| LocalTime::from_utc(meeting.starts_at, zone).wall.time()))
}
