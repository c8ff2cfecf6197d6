//! The riding area of a session as its staff see it: who of the team is there and counts, whether riding stops, and
//! what was decided about it. Reads only.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveTime};

use super::super::people::{Member, members};
use super::super::plan_session::{fit_for, may_be_asked_to_lead};
use super::super::{App, Failure, program};
use super::Head;
use super::opened::{Opened, counted_by_rider, open};
use crate::domain::access::{Action, Caller, Duty};
use crate::domain::acts::{Act, Body};
use crate::domain::area::{Count, Guard, Limit, Presence, Stop, Worth, going_on, presence};
use crate::domain::cautions::CautionKey;
use crate::domain::certification::{BlockingPaper, InstructorState};
use crate::domain::ids::AccountId;
use crate::domain::staffing::DutyPapers;
use crate::domain::time::LocalTime;
use crate::store::AnyConn;
use crate::store::acts::{KeptAct, acts_of_kinds};
use crate::store::team::team_of;

/// The kinds of acts that say who is where and what was decided about it.
pub(in crate::services) const AREA_KINDS: &[&str] = &["check_in", "check_out", "area", "go_on", "hand_over"];

/// The riding area now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Area {
    /// Who is there, and how many riders they may teach.
    pub guard: Guard,
    /// Why nobody rides now, the gravest first.
    pub stops: Vec<Stop>,
    /// Whether anybody of the team was on the area today.
    pub has_begun: bool,
    /// The lead's decision to go on that holds now.
    pub going_on: Option<Decision>,
    /// Who took the lead over today.
    pub handed_over: Option<Event>,
    /// The team, lead first.
    pub team: Vec<OnTeam>,
}

impl Area {
    /// Whether going out and riding marks wait now.
    pub fn is_stopped(&self) -> bool {
        !self.stops.is_empty() && self.going_on.is_none()
    }
    /// The reader, when on the team.
    pub fn me(&self) -> Option<&OnTeam> {
        self.team.iter().find(|one| one.is_reader)
    }
    /// Those of the team who do not count today.
    pub fn not_counted(&self) -> impl Iterator<Item = &OnTeam> {
        self.team.iter().filter(|one| !one.counts)
    }
}

/// Somebody of the team.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OnTeam {
    /// The account's public reference.
    pub reference: String,
    /// Whole name.
    pub name: String,
    /// What the person does here.
    pub duty: Duty,
    /// Whether the person is on the riding area.
    pub is_on: bool,
    /// Since when, on the wall at the site.
    pub since: Option<NaiveTime>,
    /// Papers that do not hold today.
    pub lacks: Vec<BlockingPaper>,
    /// Whether the person's account is shut.
    pub is_suspended: bool,
    /// Whether the person counts when on the area.
    pub counts: bool,
    /// Whether it is the reader.
    pub is_reader: bool,
}

/// The lead's decision to go on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decision {
    /// Who decided.
    pub by: String,
    /// On the wall at the site.
    pub at: NaiveTime,
    /// In the lead's words.
    pub reason: String,
}

/// Something that was done about the riding area or the lead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Day at the site.
    pub on: NaiveDate,
    /// On the wall at the site.
    pub at: NaiveTime,
    /// Who entered it.
    pub by: String,
    /// What.
    pub what: What,
}

/// What was done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// Somebody came onto the area.
    Came(String),
    /// Somebody left it.
    Left(String),
    /// The lead went on although the rule was broken.
    WentOn {
        /// Why.
        reason: String,
        /// Who was there.
        count: Count,
    },
    /// Another person leads.
    Leads {
        /// Who leads since.
        to: String,
        /// Who led before.
        from: Option<String>,
    },
}

impl Event {
    /// Whether it is shown forever and on every page about the area.
    pub fn is_decision(&self) -> bool {
        matches!(self.what, What::WentOn { .. } | What::Leads { .. })
    }
}

/// Somebody to whom the lead may be handed today.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MayLead {
    /// The account's public reference.
    pub reference: String,
    /// Whole name.
    pub name: String,
    /// Whether the person is on the team already.
    pub is_on_team: bool,
}

/// The page of the riding area.
#[derive(Clone, Debug)]
pub struct AreaPage {
    /// The session, with the area in it.
    pub head: Head,
    /// Everything that was done, the newest first.
    pub events: Vec<Event>,
    /// Whether the reader may enter others and go on with a reason.
    pub leads: bool,
    /// Whether the reader may hand the lead over now.
    pub hands_over: bool,
    /// Those to whom the reader may hand it.
    pub may_lead: Vec<MayLead>,
}

/// The riding area of one session.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<AreaPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let people = members(conn)?;
        let mut events = opened.events(&acts, &people);
        events.reverse();
        let hands_over = opened.openness().takes_acts() && opened.may(caller, Action::HandOverLead);
        let may_lead = if hands_over { opened.may_lead(conn, people)? } else { Vec::new() };
        let leads = opened.may(caller, Action::LeadSession);
        let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
        Ok(AreaPage { head, events, leads, hands_over, may_lead })
    })
}

/// The decisions that were made about a session's area and lead, the newest first.
pub(in crate::services) fn decisions(
    conn: &mut AnyConn,
    opened: &Opened,
    people: &[Member],
) -> Result<Vec<Event>, Failure> {
    let acts = acts_of_kinds(conn, opened.view.session.id, AREA_KINDS)?;
    let mut events = opened.events(&acts, people);
    events.retain(Event::is_decision);
    events.reverse();
    Ok(events)
}

impl Opened {
    /// The riding area now; none while the session takes no acts.
    pub(in crate::services) fn area(
        &self,
        conn: &mut AnyConn,
        caller: &Caller,
        acts: &[KeptAct],
    ) -> Result<Option<Area>, Failure> {
        if !self.openness().takes_acts() {
            return Ok(None);
        }
        let people = members(conn)?;
        let settings = program::load(conn)?.settings;
        let todays = self.of_today(acts);
        let there = presence(&todays);
        let (mut team, mut count) = (Vec::new(), self.riders_here(conn, acts)?);
        for (id, duty) in team_of(conn, self.view.session.id)? {
            let Some(member) = people.iter().find(|member| member.id == id) else { continue };
            let worth = self.worth(member, duty, &settings.papers);
            let one = self.on_team(member, duty, there.get(&member.reference), &settings.papers, caller);
            if let Some(worth) = worth.filter(|_| one.is_on) {
                count.adult(worth);
            }
            team.push(OnTeam { counts: worth.is_some(), ..one });
        }
        let limit = Limit {
            ratio: settings.ratio,
            course: self.view.course.riders_per_instructor,
            least_age: self.view.course.least_age,
        };
        let guard = Guard::of(count, &limit);
        let stops = guard.stops();
        let decided = going_on(&todays, &count).filter(|_| !stops.is_empty());
        let going_on = decided.map(|act| self.decision(act, acts, &people));
        let handed_over = self
            .events(acts, &people)
            .into_iter()
            .rev()
            .find(|event| event.on == self.today && matches!(event.what, What::Leads { .. }));
        Ok(Some(Area { guard, stops, has_begun: !there.is_empty(), going_on, handed_over, team }))
    }

    fn worth(&self, member: &Member, duty: Duty, needed: &DutyPapers) -> Option<Worth> {
        Worth::of(duty, member.state, &member.papers, needed, self.today)
    }

    fn on_team(
        &self,
        member: &Member,
        duty: Duty,
        presence: Option<&Presence>,
        needed: &DutyPapers,
        caller: &Caller,
    ) -> OnTeam {
        OnTeam {
            reference: member.reference.clone(),
            name: member.name.clone(),
            duty,
            is_on: presence.is_some_and(|presence| presence.on),
            since: presence.map(|presence| self.clock(presence.since)),
            lacks: needed.blocked(duty, &member.papers, self.today),
            is_suspended: member.state == InstructorState::Suspended,
            counts: false,
            is_reader: caller.account() == Some(member.account),
        }
    }

    /// The acts that count and were done today, by the calendar at the site.
    fn of_today<'a>(&self, acts: &'a [KeptAct]) -> Vec<&'a Act> {
        let is_today = |kept: &&KeptAct| LocalTime::from_utc(kept.act.at, self.zone).wall.date() == self.today;
        acts.iter().filter(|kept| kept.counts()).filter(is_today).map(|kept| &kept.act).collect()
    }

    fn riders_here(&self, conn: &mut AnyConn, acts: &[KeptAct]) -> Result<Count, Failure> {
        let by_rider: BTreeMap<_, _> = counted_by_rider(acts);
        let mut count = Count::default();
        for (registration, rider) in self.riders(conn, &by_rider)? {
            if by_rider.get(&registration.id).is_some_and(|acts| is_here(acts, self.meeting.ordinal)) {
                count.rider(self.age_of(&rider));
            }
        }
        Ok(count)
    }

    fn decision(&self, act: &Act, acts: &[KeptAct], people: &[Member]) -> Decision {
        let by = acts.iter().find(|kept| kept.act.id == act.id).map(|kept| kept.account);
        let reason = match &act.body {
            Body::GoOn { reason, .. } => reason.clone(),
            _ => String::new(),
        };
        Decision { by: by.map_or_else(String::new, |by| name_of(people, by)), at: self.clock(act.at), reason }
    }

    fn events(&self, acts: &[KeptAct], people: &[Member]) -> Vec<Event> {
        let named = |reference: &String| {
            let found = people.iter().find(|member| member.reference == *reference);
            found.map_or_else(|| "somebody who left the program".to_owned(), |member| member.name.clone())
        };
        let event = |kept: &KeptAct| {
            let what = match &kept.act.body {
                Body::Area { member, on: true } => What::Came(named(member)),
                Body::Area { member, on: false } => What::Left(named(member)),
                Body::GoOn { reason, count } => What::WentOn { reason: reason.clone(), count: *count },
                Body::HandOver { from, to } => What::Leads { to: named(to), from: from.as_ref().map(named) },
                _ => return None,
            };
            let wall = LocalTime::from_utc(kept.act.at, self.zone).wall;
            Some(Event { on: wall.date(), at: wall.time(), by: name_of(people, kept.account), what })
        };
        acts.iter().filter(|kept| kept.counts()).filter_map(event).collect()
    }

    /// Active instructors whose papers to lead hold today, those of the team first.
    fn may_lead(&self, conn: &mut AnyConn, people: Vec<Member>) -> Result<Vec<MayLead>, Failure> {
        let team = team_of(conn, self.view.session.id)?;
        let needed = program::load(conn)?.settings.papers;
        let duty = |member: &Member| team.iter().find(|(id, _)| *id == member.id).map(|(_, duty)| *duty);
        let may = |member: &Member| {
            duty(member) != Some(Duty::Lead)
                && may_be_asked_to_lead(member)
                && fit_for(member, Duty::Lead, &needed, self.today).is_ok()
        };
        let mut all: Vec<MayLead> = people
            .into_iter()
            .filter(may)
            .map(|member| MayLead {
                is_on_team: duty(&member).is_some(),
                reference: member.reference,
                name: member.name,
            })
            .collect();
        all.sort_by_key(|one| !one.is_on_team);
        Ok(all)
    }
}

/// Whether a rider is here at a meeting, by the last word on it.
fn is_here(acts: &[Act], meeting: i64) -> bool {
    let mut ordered: Vec<&Act> = acts.iter().filter(|act| act.meeting == meeting).collect();
    ordered.sort_by_key(|act| (act.order(), act.id));
    let last = ordered.iter().rev().find(|act| matches!(act.body, Body::CheckIn { .. } | Body::CheckOut { .. }));
    last.is_some_and(|act| matches!(act.body, Body::CheckIn { .. }))
}

fn name_of(people: &[Member], account: AccountId) -> String {
    let found = people.iter().find(|member| member.account == account);
    found.map_or_else(|| "the office".to_owned(), |member| member.name.clone())
}
