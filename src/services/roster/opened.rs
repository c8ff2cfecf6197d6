//! A session as its staff open it: permission asked, day and zone known. Every roster page and the acts door begin here.
//! Shows nothing and changes nothing.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use chrono_tz::Tz;

use super::super::{Failure, ask, program, ties};
use super::look_over::MachinesToday;
use crate::domain::access::{Action, Caller, Duty, Permission, Subject, may};
use crate::domain::acts::Act;
use crate::domain::consent::Signers;
use crate::domain::curriculum::Curriculum;
use crate::domain::day::Day;
use crate::domain::fit::FitRules;
use crate::domain::ids::RegistrationId;
use crate::domain::meeting::{Meeting, Meetings};
use crate::domain::people::{LeapRule, age_on};
use crate::domain::proof::{Proof, ProofRule};
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::domain::session::Openness;
use crate::domain::time::LocalTime;
use crate::store::acts::{KeptAct, acts_about, acts_of};
use crate::store::families::RiderRow;
use crate::store::proofs::proof_of;
use crate::store::registrations::{RegistrationRow, find_registration, registrations_of};
use crate::store::rulebooks::find_rulebook;
use crate::store::sessions::{SessionView, duty_of, find_session, meeting_days_of};
use crate::store::{AnyConn, StoreError};

/// A session that the caller may run.
pub(in crate::services) struct Opened {
    /// The session with its course and site.
    pub view: SessionView,
    /// What the caller does there; office people have no duty.
    pub duty: Option<Duty>,
    /// The site's zone.
    pub zone: Tz,
    /// Today at the site.
    pub today: NaiveDate,
    /// Its meetings.
    pub meetings: Meetings,
    /// The meeting of today, or the latest that has come.
    pub meeting: Meeting,
    /// The program's rule for birthdays on 29 February.
    pub leap_rule: LeapRule,
    /// Whose signature a consent to ride needs.
    signers: Signers,
    /// Now, in UTC.
    pub now: NaiveDateTime,
    /// Days before and after the session in which its staff see it.
    window: i64,
    /// Its curriculum, once it was asked for.
    curriculum: OnceCell<Curriculum>,
    /// How the machines stand, once it was asked for.
    pub(super) machines: OnceCell<MachinesToday>,
}

/// The zone of a site; the office's clock stands in for a name that no zone has.
pub(in crate::services) fn zone_of(view: &SessionView) -> Tz {
    view.site.time_zone.parse().unwrap_or(Tz::UTC)
}

/// Opens a session for its staff and the office.
///
/// # Errors
/// `NotFound` when there is none or the caller may not know of it.
pub(in crate::services) fn open(
    conn: &mut AnyConn,
    caller: &Caller,
    reference: &str,
    now: NaiveDateTime,
) -> Result<Opened, Failure> {
    let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
    let duty = match caller.staff() {
        Some(member) => duty_of(conn, view.session.id, member)?,
        None => None,
    };
    let opened = unasked(conn, view, duty, now)?;
    ask(caller, Action::RunSession, opened.subject())?;
    Ok(opened)
}

/// The session for the program itself, which asks nobody: a letter that is written at night.
pub(in crate::services) fn open_unasked(
    conn: &mut AnyConn,
    reference: &str,
    now: NaiveDateTime,
) -> Result<Opened, Failure> {
    let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
    unasked(conn, view, None, now)
}

fn unasked(conn: &mut AnyConn, view: SessionView, duty: Option<Duty>, now: NaiveDateTime) -> Result<Opened, Failure> {
    let zone = zone_of(&view);
    let today = LocalTime::from_utc(now, zone).wall.date();
    let meetings = meeting_days_of(conn, view.session.id)?;
    let meeting = meetings.of_day(today);
    let program = program::load(conn)?;
    Ok(Opened {
        view,
        duty,
        zone,
        today,
        meetings,
        meeting,
        window: program.staff_window(),
        leap_rule: program.settings.leap_rule,
        signers: program.settings.signers,
        now,
        curriculum: OnceCell::new(),
        machines: OnceCell::new(),
    })
}

impl Opened {
    /// The session, for asking what the caller may do.
    pub fn subject(&self) -> Subject {
        let session = &self.view.session;
        Subject::Session {
            duty: self.duty,
            held_on: session.held_on,
            last_on: session.last_on,
            today: self.today,
            window: self.window,
        }
    }

    /// Whether the caller may do this here.
    pub fn may(&self, caller: &Caller, action: Action) -> bool {
        may(caller, action, self.subject()) == Permission::Granted
    }

    /// Whether the caller leads the session.
    pub fn is_led_by_caller(&self) -> bool {
        self.duty == Some(Duty::Lead)
    }

    /// Where the session stands today.
    pub fn openness(&self) -> Openness {
        let session = &self.view.session;
        Openness { state: session.state, held_on: session.held_on, today: self.today }
    }

    /// The wall time at the site of an instant.
    pub fn clock(&self, at: NaiveDateTime) -> NaiveTime {
        LocalTime::from_utc(at, self.zone).wall.time()
    }

    /// The rider's completed years on the session's first day.
    pub fn age_of(&self, rider: &RiderRow) -> i64 {
        age_on(rider.birth_date, self.view.session.held_on, self.leap_rule)
    }

    /// Whether a consent to ride stands for a rider.
    pub fn has_consent(&self, conn: &mut AnyConn, registration: &RegistrationRow) -> Result<bool, StoreError> {
        ties::has_consent(conn, self.signers, registration)
    }

    /// The curriculum that the session was made with; read once, however many acts ask.
    pub fn curriculum(&self, conn: &mut AnyConn) -> Result<&Curriculum, Failure> {
        if let Some(read) = self.curriculum.get() {
            return Ok(read);
        }
        let text = find_rulebook(conn, self.view.session.curriculum_id)?;
        let read = serde_json::from_str(&text).map_err(Failure::broken)?;
        Ok(self.curriculum.get_or_init(|| read))
    }

    /// The fit rules that the session was made with.
    pub fn fit_rules(&self, conn: &mut AnyConn) -> Result<FitRules, Failure> {
        let text = find_rulebook(conn, self.view.session.fit_id)?;
        serde_json::from_str(&text).map_err(Failure::broken)
    }

    /// The riders with a confirmed seat, by name, and whoever came: nobody on the site drops off the list.
    pub fn riders(
        &self,
        conn: &mut AnyConn,
        by_rider: &BTreeMap<RegistrationId, Vec<Act>>,
    ) -> Result<Vec<(RegistrationRow, RiderRow)>, StoreError> {
        let mut all = registrations_of(conn, self.view.session.id)?;
        all.retain(|(registration, _)| {
            registration.state == RegistrationState::Confirmed || by_rider.contains_key(&registration.id)
        });
        Ok(all)
    }

    /// One registration of this session.
    ///
    /// # Errors
    /// `NotFound` when the reference is none of this session's.
    pub fn rider(&self, conn: &mut AnyConn, reference: &str) -> Result<(RegistrationRow, RiderRow), Failure> {
        let found = find_registration(conn, reference)?;
        found.filter(|(registration, _)| registration.session_id == self.view.session.id).ok_or(Failure::NotFound)
    }

    /// The meeting that an act is for: the one named, else that of today.
    ///
    /// # Errors
    /// `NotFound` for a meeting that the session does not have, `MeetingToCome` before its day.
    pub fn meeting_for(&self, named: Option<i64>) -> Result<Meeting, Failure> {
        let Some(ordinal) = named else { return Ok(self.meeting) };
        match self.meetings.find(ordinal).ok_or(Failure::NotFound)? {
            to_come if to_come.on > self.today => Err(Refusal::MeetingToCome { on: to_come.on }.into()),
            come => Ok(come),
        }
    }

    /// How a rider stands to the earlier part that the course may ask for.
    pub fn proof(&self, conn: &mut AnyConn, registration: RegistrationId, day: &Day) -> Result<Proof, StoreError> {
        let rule = self.view.course.proof_rule;
        if rule == ProofRule::None {
            return Ok(Proof::NOT_ASKED);
        }
        let kept = proof_of(conn, registration)?;
        let seen_by_office = kept.seen_at.is_some();
        Ok(Proof { rule, answer: kept.answer, seen_by_office, seen_on_field: day.proof_seen })
    }

    /// The acts of the session, every one.
    pub fn acts(&self, conn: &mut AnyConn) -> Result<Vec<KeptAct>, StoreError> {
        acts_of(conn, self.view.session.id)
    }
}

/// The acts that count, by rider.
pub(in crate::services) fn counted_by_rider(acts: &[KeptAct]) -> BTreeMap<RegistrationId, Vec<Act>> {
    let mut by_rider: BTreeMap<RegistrationId, Vec<Act>> = BTreeMap::new();
    for kept in acts.iter().filter(|kept| kept.counts()) {
        if let Some(registration) = kept.registration {
            by_rider.entry(registration).or_default().push(kept.act.clone());
        }
    }
    by_rider
}

/// One rider's day at a meeting from the acts that count.
pub(in crate::services) fn day_of(
    conn: &mut AnyConn,
    registration: RegistrationId,
    curriculum: &Curriculum,
    meeting: i64,
) -> Result<Day, StoreError> {
    let acts: Vec<Act> =
        acts_about(conn, registration)?.into_iter().filter(KeptAct::counts).map(|kept| kept.act).collect();
    Ok(Day::of(&acts, curriculum, meeting))
}
