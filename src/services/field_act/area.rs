//! Acts about the riding area and the lead: who may enter them, what they say, and what waits while riding is stopped.

use super::{Hand, Wish};
use crate::domain::access::{Action, Duty};
use crate::domain::acts::{Act, Body, Taking};
use crate::domain::area::waits_while_stopped;
use crate::domain::refusal::Refusal;
use crate::services::people::{Member, members};
use crate::services::plan_session::fit_for;
use crate::services::roster::area::AREA_KINDS;
use crate::services::{Failure, program};
use crate::store::AnyConn;
use crate::store::acts::acts_of_kinds;
use crate::store::team::{add_to_team, set_duty, team_of};

impl Hand {
    /// The body of an act about nobody's child: the area, going on, the lead.
    pub(super) fn area_body(&self, conn: &mut AnyConn, wish: &Wish) -> Result<Body, Failure> {
        match wish {
            Wish::Area { member, on } => self.came_or_left_area(conn, member, *on),
            Wish::GoOn { reason } => self.go_on(conn, reason),
            Wish::HandOver { to } => self.wished_lead(conn, to),
            _ => Err(Failure::NotFound),
        }
    }

    /// Whoever is on the team says so alone; the lead says it for others too.
    fn came_or_left_area(&self, conn: &mut AnyConn, reference: &str, on: bool) -> Result<Body, Failure> {
        let member = member_of(members(conn)?, reference)?;
        if team_of(conn, self.opened.view.session.id)?.iter().all(|(id, _)| *id != member.id) {
            return Err(Failure::NotFound);
        }
        if member.account != self.person.account && !self.opened.may(&self.caller, Action::LeadSession) {
            return Err(Refusal::OnlyTheLead.into());
        }
        Ok(Body::Area { member: member.reference, on })
    }

    fn go_on(&self, conn: &mut AnyConn, reason: &str) -> Result<Body, Failure> {
        if !self.opened.may(&self.caller, Action::LeadSession) {
            return Err(Refusal::OnlyTheLead.into());
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, AREA_KINDS)?;
        let area = self.opened.area(conn, &self.caller, &acts)?.ok_or(Refusal::SessionTakesNoActs)?;
        if area.stops.is_empty() {
            return Err(Refusal::NothingToGoOn.into());
        }
        if reason.trim().is_empty() {
            return Err(Refusal::NoteNeeded.into());
        }
        Ok(Body::GoOn { reason: reason.trim().to_owned(), count: area.guard.count })
    }

    /// The next lead: an active instructor of the program whose papers to lead hold today.
    fn wished_lead(&self, conn: &mut AnyConn, to: &str) -> Result<Body, Failure> {
        if !self.opened.may(&self.caller, Action::HandOverLead) {
            return Err(Refusal::OnlyTheLead.into());
        }
        let people = members(conn)?;
        let team = team_of(conn, self.opened.view.session.id)?;
        let leads = team.iter().find(|(_, duty)| *duty == Duty::Lead).map(|(id, _)| *id);
        let from = leads.and_then(|id| people.iter().find(|member| member.id == id)).map(|one| one.reference.clone());
        let next = member_of(people, to)?;
        if leads == Some(next.id) {
            return Err(Refusal::LeadsAlready { name: next.name }.into());
        }
        fit_for(&next, Duty::Lead, &program::load(conn)?.settings.papers, self.opened.today)?;
        Ok(Body::HandOver { from, to: next.reference })
    }

    /// Going out and riding marks wait while the rule of the riding area is broken and the lead gave no reason.
    pub(super) fn pass_guard(&self, conn: &mut AnyConn, act: &Act, taking: Taking) -> Result<(), Failure> {
        let acts_count = taking == Taking::Taken;
        if !acts_count || !waits_while_stopped(&act.body, self.opened.curriculum(conn)?) {
            return Ok(());
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, AREA_KINDS)?;
        let area = self.opened.area(conn, &self.caller, &acts)?;
        match area.filter(|area| area.is_stopped()).and_then(|area| area.stops.first().copied()) {
            Some(stop) => Err(Refusal::RidingStops(stop).into()),
            None => Ok(()),
        }
    }

    /// Moves the duty of the lead in the transaction of its act: the one who led teaches on, without the lead's rights.
    pub(super) fn hand_over(&self, conn: &mut AnyConn, act: &Act, taking: Taking) -> Result<(), Failure> {
        let Body::HandOver { from, to } = &act.body else { return Ok(()) };
        if taking != Taking::Taken {
            return Err(Refusal::SessionTakesNoActs.into());
        }
        let (session, people) = (self.opened.view.session.id, members(conn)?);
        if let Some(from) = from {
            let old = people.iter().find(|member| member.reference == *from).ok_or(Failure::NotFound)?;
            if !set_duty(conn, session, old.id, Duty::Lead, Duty::Instructor)? {
                return Err(Refusal::WorldMoved.into());
            }
        }
        let next = member_of(people, to)?;
        let had = team_of(conn, session)?.into_iter().find(|(id, _)| *id == next.id).map(|(_, duty)| duty);
        match had {
            None => Ok(add_to_team(conn, session, next.id, Duty::Lead)?),
            Some(duty) if set_duty(conn, session, next.id, duty, Duty::Lead)? => Ok(()),
            Some(_) => Err(Refusal::WorldMoved.into()),
        }
    }
}

fn member_of(people: Vec<Member>, reference: &str) -> Result<Member, Failure> {
    people.into_iter().find(|member| member.reference == *reference).ok_or(Failure::NotFound)
}

/// References and numbers for the audit log; never the words that somebody typed.
pub(super) fn detail(body: &Body) -> String {
    match body {
        Body::Area { member, on } => format!("account {member} {}", if *on { "on" } else { "off" }),
        Body::GoOn { count, .. } => format!(
            "riders {} adults {} instructors {} first-aiders {}",
            count.riders, count.adults, count.instructors, count.first_aiders
        ),
        Body::HandOver { from, to } => format!("account {} to account {to}", from.as_deref().unwrap_or("nobody")),
        _ => String::new(),
    }
}
